"""Colors: where they lie in OKLab, which family they are looked for in, and which is in the middle of many."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as some

from tracker.domain.studio.swatches import Color, ColorFamily, median_color

ANY_COLOR = some.builds(Color, *[some.integers(0, 255)] * 3)


@pytest.mark.parametrize(
    ("color", "lab"),
    [("#008000", (0.51975, -0.1403, 0.10768)), ("#c65d07", (0.59686, 0.1009, 0.1192)), ("#ffffff", (1.0, 0.0, 0.0))],
    ids=["green", "orange", "white"],
)
def test_oklab_agrees_with_the_examples_of_css_color_4(color: str, lab: tuple[float, float, float]) -> None:
    assert Color.parse(color).lab == pytest.approx(lab, abs=1e-3)


@given(ANY_COLOR)
def test_a_color_comes_back_from_its_text_and_from_oklab(color: Color) -> None:
    assert Color.parse(str(color)) == color
    assert Color.of_lab(*color.lab) == color


@pytest.mark.parametrize("text", ["", "3a6ea5", "#3a6ea", "#3a6ea5f", "#3a6eag"])
def test_nothing_else_is_a_color(text: str) -> None:
    with pytest.raises(ValueError, match="isn't a color"):
        Color.parse(text)


@pytest.mark.parametrize(
    ("color", "family"),
    [
        ("#efe6d2", ColorFamily.WHITE),  # cream
        ("#e2d6bc", ColorFamily.WHITE),  # ivory
        ("#5c626a", ColorFamily.GRAY),  # slate
        ("#2a1d18", ColorFamily.BLACK),  # tenmoku
        ("#6b3a22", ColorFamily.BROWN),  # iron
        ("#b69670", ColorFamily.BROWN),  # ash tan
        ("#86262a", ColorFamily.RED),  # oxblood
        ("#ce6a2c", ColorFamily.ORANGE),
        ("#d6ae56", ColorFamily.YELLOW),
        ("#a8c2b0", ColorFamily.GREEN),  # celadon
        ("#3a9696", ColorFamily.TURQUOISE),
        ("#2a4a8c", ColorFamily.BLUE),  # cobalt
        ("#603a62", ColorFamily.PURPLE),
        ("#c68a7e", ColorFamily.PINK),  # chrome-tin
        ("#c27062", ColorFamily.PINK),  # brick pink
        ("#e02818", ColorFamily.RED),
    ],
    ids=str,
)
def test_glazes_are_found_in_the_family_in_which_people_look(color: str, family: ColorFamily) -> None:
    assert Color.parse(color).family is family


@given(ANY_COLOR)
def test_every_color_has_a_family(color: Color) -> None:
    assert color.family in ColorFamily


def test_glints_and_specks_leave_the_color_in_the_middle_as_it_is() -> None:
    blue, glint, speck = Color(58, 84, 132), Color(255, 255, 255), Color(40, 25, 18)

    assert median_color([glint] * 20 + [blue] * 60 + [speck] * 20) == blue
