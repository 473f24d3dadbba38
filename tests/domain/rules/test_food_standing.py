"""What is said of a piece and food is never more than a laboratory has shown."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.rules.wares import wares
from tests.reading import said, tells
from tests.studio import a_clay, a_glaze, a_route, a_test
from tracker.domain.cones import Cone
from tracker.domain.pieces.piece import Use, Ware
from tracker.domain.quantities import percent
from tracker.domain.rules.food_standing import FoodWord, food_standing, glaze_standing, settled
from tracker.domain.studio.absorption import Scheme
from tracker.domain.studio.leach_limits import Metal, Regime
from tracker.domain.studio.materials import FoodStanding, Layer, Trait, Zone
from tracker.domain.studio.settings import Practice

BOTH = tuple(a_test(metal=metal) for metal in Metal)
SHELF = a_route("mid-range")


def a_mug(**facts: Any) -> Ware:  # noqa: ANN401 -- any fact of a glaze or of a pot
    """A mug for food of mature, dense clay in one glaze that passed for both metals, but for the facts given."""
    glaze = a_glaze(**({"food": FoodStanding.TESTED, "tests": BOTH} | facts.pop("glaze", {})))
    plain: dict[str, Any] = {"clay": a_clay(), "layers": (Layer(glaze, Zone.INSIDE),), "use": Use.FOOD}
    return Ware(**(plain | facts))


def test_tested_glazes_on_mature_clay_are_all_that_is_ever_said() -> None:
    answer = food_standing(a_mug(), SHELF)

    assert answer.word is FoodWord.TESTED_GLAZES
    assert "within the limits of US FDA; a laboratory test of this very piece was not made" in said(answer.message)
    assert tells(answer.reasons, "absorption", clay="Doorstep Buff", absorption=percent(1.5))
    assert tells(answer.reasons, "absorption-class", scheme=Scheme.ANSI_A137_1, name="vitreous")


@pytest.mark.parametrize(
    ("facts", "because"),
    [
        pytest.param({"glaze": {"food": FoodStanding.DECLARED, "tests": ()}}, {"standing": "declared"}, id="declared"),
        pytest.param({"glaze": {"food": FoodStanding.UNTESTED, "tests": ()}}, {"standing": "untested"}, id="untested"),
        pytest.param({"glaze": {"tests": BOTH[:1]}}, {"metals": (Metal.CADMIUM,)}, id="lead alone"),
        pytest.param(
            {"glaze": {"tests": (a_test(0.1), BOTH[1])}}, {"code": "leach-too-few", "count": 1}, id="one specimen"
        ),
        pytest.param(
            {"glaze": {"tests": tuple(replace(one, clay="Lantern White") for one in BOTH)}},
            {"standing": "tested", "metals": tuple(Metal)},
            id="other clay",
        ),
        pytest.param(
            {"glaze": {"tests": tuple(replace(one, route="high-fire") for one in BOTH)}},
            {"standing": "tested", "metals": tuple(Metal)},
            id="other firing",
        ),
        pytest.param({"glaze": {"traits": frozenset({Trait.CRACKLE})}}, {"code": "crackle-for-food"}, id="crackle"),
        pytest.param({"clay": a_clay(absorption_pct=None)}, {"code": "absorption-unmeasured"}, id="clay unmeasured"),
    ],
)
def test_whatever_is_missing_is_said_and_the_piece_is_not_shown_to_be_fit(
    facts: dict[str, Any], because: dict[str, Any]
) -> None:
    answer = food_standing(a_mug(**facts), SHELF)

    assert answer.word is FoodWord.NOT_SHOWN
    assert tells(answer.reasons, **({"code": "glaze-standing"} | because)), answer.reasons


@pytest.mark.parametrize(
    ("facts", "route", "rule"),
    [
        pytest.param(
            {"glaze": {"food": FoodStanding.DECORATIVE}}, "mid-range", "decorative-glaze-for-food", id="decorative"
        ),
        pytest.param(
            {"glaze": {"tests": (*BOTH, a_test(0.6))}}, "mid-range", "release-over-limit", id="over the limit"
        ),
        pytest.param({}, "raku", "outdoors-for-food", id="outdoors"),
        pytest.param({"clay": a_clay(absorption_pct=3.1)}, "mid-range", "clay-porous-for-food", id="porous"),
        pytest.param({"clay": a_clay(cone_low="8")}, "mid-range", "clay-porous-for-food", id="immature"),
    ],
)
def test_what_the_rules_refuse_for_food_is_not_for_food(facts: dict[str, Any], route: str, rule: str) -> None:
    answer = food_standing(a_mug(**facts), a_route(route))

    assert answer.word is FoodWord.NOT_FOR_FOOD
    assert rule in {reason.code for reason in answer.reasons}


@pytest.mark.parametrize("use", [Use.DECORATIVE, None])
def test_what_nobody_means_for_food_is_decorative(use: Use | None) -> None:
    assert food_standing(a_mug(use=use), SHELF).word is FoodWord.DECORATIVE


def test_a_bare_piece_has_everything_still_to_come() -> None:
    assert food_standing(a_mug(layers=())).word is FoodWord.STILL_TO_COME


def test_without_a_route_the_fire_it_had_is_what_counts() -> None:
    fired, cold = Cone.parse("6"), Cone.parse("06")

    assert food_standing(a_mug(fired_to=fired)).word is FoodWord.TESTED_GLAZES
    assert tells(food_standing(a_mug(fired_to=cold)).reasons, "clay-immature", cone=cold)
    assert tells(food_standing(a_mug()).reasons, "maturing-to-come")


def test_the_regime_of_the_studio_decides() -> None:
    cadmium = a_test(*[0.3] * 6, metal=Metal.CADMIUM)
    mug = a_mug(glaze={"tests": (BOTH[0], cadmium)})

    by = {regime: food_standing(mug, SHELF, Practice(regime=regime)).word for regime in Regime}

    # 0.3 mg/L out of a mug of 300 ml: 0.5 by the US FDA, 0.3 in category 2 of 84/500/EEC, 0.25 by ISO 6486-2 (the
    # last from memory).
    assert by == {
        Regime.US_FDA: FoodWord.TESTED_GLAZES,
        Regime.EU: FoodWord.TESTED_GLAZES,
        Regime.ISO_6486_2: FoodWord.NOT_FOR_FOOD,
    }


@given(wares(), st.sampled_from(["mid-range", "high-fire", "raku", "low-fire"]), st.sampled_from(Regime))
def test_nothing_is_ever_called_safe_and_every_tested_word_has_its_tests(ware: Ware, name: str, regime: Regime) -> None:
    answer = food_standing(ware, a_route(name), Practice(regime=regime))

    assert "safe" not in " ".join(map(said, (answer.message, *answer.reasons))).lower()
    if answer.word is FoodWord.TESTED_GLAZES:
        assert all({test.metal for test in layer.glaze.tests} == set(Metal) for layer in ware.layers)


@pytest.mark.parametrize(
    ("food", "tests", "then"),
    [
        pytest.param("untested", BOTH, "tested", id="shown"),
        pytest.param("declared", BOTH, "tested", id="shown beyond a claim"),
        pytest.param("decorative", BOTH, "decorative", id="decorative for other reasons"),
        pytest.param("tested", BOTH[:1], "untested", id="half shown"),
        pytest.param("tested", (*BOTH, a_test(0.6)), "untested", id="failed since"),
        pytest.param("declared", (), "declared", id="a claim alone"),
    ],
)
def test_tests_on_file_settle_what_a_glaze_is_called(food: str, tests: tuple[Any, ...], then: str) -> None:
    glaze = a_glaze(food=FoodStanding(food), tests=tests)

    assert settled(glaze, Regime.US_FDA) == then


def test_a_glaze_is_told_with_its_tests_or_without() -> None:
    tested = a_glaze(food=FoodStanding.TESTED, tests=BOTH)

    shown = glaze_standing(tested, Regime.EU)

    assert (shown.code, shown["standing"], shown["regime"]) == ("glaze-standing", "passed", Regime.EU)
    assert glaze_standing(a_glaze(tests=(a_test(0.6),)), Regime.US_FDA).code == "glaze-failed"
    assert glaze_standing(a_glaze(food=FoodStanding.DECORATIVE), Regime.US_FDA).code == "glaze-decorative"
