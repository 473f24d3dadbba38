"""What may be said of a piece and food, with the reasons: never more than a laboratory has shown."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from tracker.domain.findings import Level, listed
from tracker.domain.pieces.piece import Use
from tracker.domain.rules import food
from tracker.domain.rules.rule import Case
from tracker.domain.studio.absorption import classes_of
from tracker.domain.studio.kilns import COMMON_ROUTES
from tracker.domain.studio.leach_limits import Metal
from tracker.domain.studio.leach_tests import failures, in_force, judged, unshown
from tracker.domain.studio.materials import Coat, FoodStanding
from tracker.domain.studio.settings import COMMON_PRACTICE, Practice

if TYPE_CHECKING:
    from tracker.domain.findings import Finding
    from tracker.domain.pieces.piece import Ware
    from tracker.domain.studio.kilns import Route
    from tracker.domain.studio.leach_limits import Regime
    from tracker.domain.studio.leach_tests import ReleaseTest
    from tracker.domain.studio.materials import Clay, Glaze


class FoodWord(StrEnum):
    """What is known of a piece and food, in a few words. None of them says that it is fit."""

    DECORATIVE = "decorative"
    STILL_TO_COME = "still to come"
    NOT_FOR_FOOD = "not for food"
    NOT_SHOWN = "not shown to be fit"
    TESTED_GLAZES = "tested glazes on mature clay"


@dataclass(frozen=True, slots=True)
class FoodAnswer:
    """The word, the sentence that goes with it, and one sentence for each thing it rests on."""

    word: FoodWord
    sentence: str
    reasons: tuple[str, ...] = ()


def food_standing(ware: Ware, route: Route | None = None, practice: Practice = COMMON_PRACTICE) -> FoodAnswer:
    """What may be said of `ware` and food; `route` is how it is or was fired, None while that is still open."""
    if ware.use is not Use.FOOD:
        return FoodAnswer(FoodWord.DECORATIVE, "Decorative: not for food or drink.")
    findings = _findings(ware, route, practice)
    if never := [one.says for one in findings if one.level is Level.REFUSE]:
        return FoodAnswer(FoodWord.NOT_FOR_FOOD, "Meant for food, and not fit for it as it is.", tuple(never))
    if not ware.layers and ware.fired_to is None:
        return FoodAnswer(
            FoodWord.STILL_TO_COME,
            "Meant for food. Its glazes and its firing are still to come; a laboratory decides in the end.",
        )
    glazes = _left_by_the_fire(ware)
    reasons = (
        *(f"{glaze.name}: {glaze_standing(glaze, practice.regime, ware.clay, route)}." for glaze in glazes),
        *_about_the_clay(ware, route, practice),
        *(one.says for one in findings if one.rule != food.UNTESTED),
    )
    if findings or not _is_shown(ware, route, practice):
        return FoodAnswer(
            FoodWord.NOT_SHOWN, "Meant for food, and not shown to be fit for it; a laboratory decides.", reasons
        )
    return FoodAnswer(
        FoodWord.TESTED_GLAZES,
        f"Meant for food. Its glazes' release tests are within the limits of {practice.regime.in_words}; "
        "a laboratory test of this very piece was not made.",
        reasons,
    )


def glaze_standing(glaze: Glaze, regime: Regime, clay: Clay | None = None, route: Route | None = None) -> str:
    """What is known of a glaze and food under `regime`, in words that promise nothing; on `clay` where one is given."""
    if failed := failures(glaze.tests, regime):
        return f"a release test was over the limit: {failed[0][1].says}"
    if glaze.food is FoodStanding.DECORATIVE:
        return "decorative only, not for food"
    doubts = [answer.says for test in in_force(glaze.tests) if not (answer := judged(test, regime)).has_passed]
    doubt = f"; a test on file shows nothing: {doubts[0]}" if doubts else ""
    if missing := unshown(_about(glaze.tests, clay, route), regime):
        return _STANDINGS[glaze.food or FoodStanding.UNTESTED].format(named=_named(missing), by=regime.in_words) + doubt
    return f"its release tests of lead and cadmium are within the limits of {regime.in_words}{doubt}"


_STANDINGS = {
    FoodStanding.TESTED: "tested, but no test on file for this clay and firing passed for {named} by {by}",
    FoodStanding.DECLARED: "its maker says it is for food; nobody here has shown it by test",
    FoodStanding.UNTESTED: "nobody has shown by test that it is fit for food",
}


def what_was_tested(
    ware: Ware, route: Route | None = None, practice: Practice = COMMON_PRACTICE
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What was tested about `ware` with what came of it, and what was not; `route` is how it was fired.

    Each thing is a sentence. The piece itself is always among what was not tested.
    """
    regime, clay = practice.regime, ware.clay
    tested, untested = [], []
    for glaze in _left_by_the_fire(ware):
        failed = dict.fromkeys(test.metal for test, _ in failures(glaze.tests, regime))
        missing = unshown(_about(glaze.tests, clay, route), regime)
        shown = tuple(metal for metal in Metal if metal not in missing and metal not in failed)
        if shown:
            tested.append(f"{glaze.name}: release of {_named(shown)}, within the limits of {regime.in_words}.")
        if failed:
            tested.append(f"{glaze.name}: release of {_named(tuple(failed))}, over the limit of {regime.in_words}.")
        if unknown := tuple(metal for metal in missing if metal not in failed):
            untested.append(f"{glaze.name}: release of {_named(unknown)}, on this clay and in this firing.")
    if clay.absorption_pct is not None and clay.weighed_mature:
        tested.append(f"{clay.name}: takes up {clay.absorption_pct:.3g} % water when mature, by weighing (ASTM C373).")
    else:
        untested.append(f"{clay.name}: how much water it takes up once fired.")
    return tuple(tested), (*untested, "Metals other than lead and cadmium.", "This very piece.")


def settled(glaze: Glaze, regime: Regime) -> FoodStanding:
    """The standing that a glaze's tests bear out under `regime`.

    Tests that pass for lead and cadmium make it tested; a claim to be tested that they do not bear out falls to
    untested. Whoever keeps a glaze decorative has reasons of their own, which no test takes away.
    """
    if glaze.food is FoodStanding.DECORATIVE:
        return glaze.food
    if not unshown(glaze.tests, regime):
        return FoodStanding.TESTED
    if glaze.food is None or glaze.food is FoodStanding.TESTED:
        return FoodStanding.UNTESTED
    return glaze.food


# ---- the parts of the answer ----------------------------------------------------------------------------------------


def _findings(ware: Ware, route: Route | None, practice: Practice) -> list[Finding]:
    """What the food rules say; without a route only those that ask for none."""
    # Rules that are asked at glazing look at no route, so any stands in for the one that is not chosen yet.
    case = Case(ware, route or COMMON_ROUTES["bisque"], practice)
    asked = [rule for rule in food.RULES if route is not None or rule.at_glazing or rule.name in _OF_THE_SURFACE]
    return [finding for rule in asked if (finding := rule.finding(case))]


_OF_THE_SURFACE = {food.UNTESTED, food.CRACKLE}


def _about(tests: tuple[ReleaseTest, ...], clay: Clay | None, route: Route | None) -> tuple[ReleaseTest, ...]:
    """The tests that say something of this clay and firing; all of them where no clay is given.

    A test that names no clay or no route speaks of all. One that names a route says nothing of ware whose firing
    nobody knows.
    """
    if clay is None:
        return tests
    fired = None if route is None else route.name
    return tuple(test for test in tests if test.clay in {None, clay.name} and test.route in {None, fired})


def _is_shown(ware: Ware, route: Route | None, practice: Practice) -> bool:
    """Whether every glass on it was tested on this clay and firing, and the clay is dense enough and mature."""
    absorption = ware.clay.absorption_pct
    glazes = _left_by_the_fire(ware)
    return (
        any(glaze.coat is Coat.GLAZE for glaze in glazes)
        and not any(unshown(_about(glaze.tests, ware.clay, route), practice.regime) for glaze in glazes)
        and absorption is not None
        and absorption <= practice.food_absorption_pct
        and _matures(ware, route)
    )


def _left_by_the_fire(ware: Ware) -> tuple[Glaze, ...]:
    """The coats on it but wax, each once."""
    return tuple(dict.fromkeys(layer.glaze for layer in ware.layers if not layer.glaze.burns_away))


def _matures(ware: Ware, route: Route | None) -> bool:
    cone = route.cone if route is not None else ware.fired_to
    return cone is not None and ware.clay.is_mature_at(cone)


def _about_the_clay(ware: Ware, route: Route | None, practice: Practice) -> tuple[str, ...]:
    clay, limit = ware.clay, f"{practice.food_absorption_pct:g} %"
    if clay.absorption_pct is None:
        takes_up = f"Nobody has measured how much water {clay.name} takes up."
    else:
        among = ", ".join(one.in_words for one in classes_of(clay.absorption_pct))
        weighed = "by weighing (ASTM C373)" if clay.weighed_mature else "as its data say"
        keeps = "within" if clay.absorption_pct <= practice.food_absorption_pct else "over"
        takes_up = (
            f"{clay.name} takes up {clay.absorption_pct:.3g} % water when mature, {weighed}: {among}. "
            f"That is {keeps} this studio's own limit for food, {limit}."
        )
    if _matures(ware, route):
        return (takes_up,)
    cone = route.cone if route is not None else ware.fired_to
    if cone is None:
        return (takes_up, f"The firing that matures {clay.name} is still to come.")
    return (takes_up, f"{clay.name} is not mature at {cone.label}.")


def _named(metals: tuple[Metal, ...]) -> str:
    return listed(metal.in_words for metal in metals)
