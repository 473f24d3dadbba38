"""A studio file with a cone that doesn't fit is refused with its line, unless its row vouches for it."""

from __future__ import annotations

import pytest

from tests.forms.studio.studio_example import STUDIO
from tests.reading import said
from tracker.domain.cones import Cone
from tracker.domain.refusals import Unusable
from tracker.forms.entity import shape
from tracker.forms.fields import LINE
from tracker.forms.studio.material_schemas import GlazeSchema
from tracker.forms.studio.studio_file import read_studio, write_studio

_COPPER = 'family = "outdoor"\ncone_low = "06"\ncone_high = "06"'
_FOG = 'family = "mid-range"\ncone_low = "5"\ncone_high = "6"'
_HERON = 'kind = "stoneware"\ncone_low = "5"\ncone_high = "6"\nabs'
_BISQUE = 'kind = "bisque"\ncone = "06"'


def line_of(text: str, words: str) -> int:
    """The line on which these words begin in a file."""
    return text[: text.index(words)].count("\n") + 1


@pytest.mark.parametrize(
    ("old", "new", "place", "advice"),
    [
        pytest.param(
            _FOG,
            'family = "low-fire"\ncone_low = "06"\ncone_high = "4"',
            'glaze "Fog Harbour", cone_high: cone 4, 1,162 °C doesn\'t fit low-fire glazes',
            'Write "04", or add cones_checked = true if "4" is right.',
            id="low-fire 06 to 4",
        ),
        pytest.param(
            _FOG,
            'family = "low-fire"\ncone_low = "6"\ncone_high = "10"',
            'glaze "Fog Harbour", cone_high: cone 10, 1,285 °C doesn\'t fit low-fire glazes',
            "Change it, or add cones_checked = true if it's right.",
            id="low-fire 6 to 10",
        ),
        pytest.param(
            _COPPER,
            'family = "outdoor"\ncone_low = "7"\ncone_high = "12"',
            'glaze "Copper Wink", cone_high: cone 12, 1,306 °C doesn\'t fit raku glazes',
            "Change it, or add cones_checked = true if it's right.",
            id="raku 7 to 12",
        ),
        pytest.param(
            _HERON,
            'kind = "stoneware"\ncone_low = "05"\ncone_high = "6"\nabs',
            'clay "Heron White", cone_low: cone 05, 1,031 °C doesn\'t fit stoneware',
            'Write "5", or add cones_checked = true if "05" is right.',
            id="stoneware from 05",
        ),
        pytest.param(
            _BISQUE,
            'kind = "bisque"\ncone = "5"',
            'route "bisque", cone: cone 5, 1,186 °C doesn\'t fit bisque firings',
            'Write "05", or add cones_checked = true if "5" is right.',
            id="bisque to 5",
        ),
    ],
)
def test_a_cone_that_does_not_fit_is_refused_with_its_line_unless_the_row_vouches_for_it(
    old: str, new: str, place: str, advice: str
) -> None:
    text = STUDIO.replace(old, new, 1)
    # What was tested at other cones is another matter.
    text = text.replace('food = "tested"', 'food = "untested"')
    vouched = text.replace(new, new.replace("\ncone", "\ncones_checked = true\ncone", 1), 1)

    with pytest.raises(Unusable) as refused:
        read_studio(text)

    (problem,) = refused.value.problems
    key = str(problem["key"])
    assert problem["line"] == line_of(text, new) + [line.split(" =")[0] for line in new.splitlines()].index(key)
    assert said(problem).startswith(f"line {problem['line']}: {place}")
    assert said(problem).endswith(advice)
    studio = read_studio(vouched)
    assert "cones_checked = true" in write_studio(studio)
    assert read_studio(write_studio(studio)) == studio


def test_a_row_whose_cones_fit_says_nothing_of_them() -> None:
    assert "cones_checked" not in write_studio(read_studio(STUDIO))


def test_a_what_if_is_not_held_to_what_is_usual() -> None:
    asked = {"name": "Plum", "family": "low-fire", "cone_low": "06", "cone_high": "4"}

    assert shape(GlazeSchema, LINE)(asked).cone_high == Cone.parse("4")
