"""What may be said of a piece and food, with the reasons: never more than a laboratory has shown."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from tracker.domain.findings import Level
from tracker.domain.message import Choice, Message, _
from tracker.domain.pieces.piece import Use
from tracker.domain.quantities import percent
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
    FLAWED = "flawed"
    NOT_FOR_FOOD = "not for food"
    NOT_SHOWN = "not shown to be fit"
    TESTED_GLAZES = "tested glazes on mature clay"


@dataclass(frozen=True, slots=True)
class FoodAnswer:
    """The word, the message that goes with it, and one message for each thing it rests on."""

    word: FoodWord
    message: Message
    reasons: tuple[Message, ...] = ()


def food_standing(ware: Ware, route: Route | None = None, practice: Practice = COMMON_PRACTICE) -> FoodAnswer:
    """What may be said of `ware` and food; `route` is how it is or was fired, None while that is still open."""
    if ware.use is not Use.FOOD:
        return FoodAnswer(FoodWord.DECORATIVE, Message("food-decorative", _("Decorative: not for food or drink.")))
    findings = _findings(ware, route, practice)
    if never := [one.message for one in findings if one.level is Level.REFUSE]:
        message = Message("food-never", _("Meant for food, and not fit for it as it is."))
        return FoodAnswer(FoodWord.NOT_FOR_FOOD, message, tuple(never))
    if flawed := [one.message for one in findings if one.rule == food.FLAWED]:
        message = Message("food-flawed", _("Decorative because of its last firing: not for food or drink."))
        return FoodAnswer(FoodWord.FLAWED, message, tuple(flawed))
    if not ware.layers and ware.fired_to is None:
        words = _("Meant for food. Its glazes and its firing are still to come; a laboratory decides in the end.")
        return FoodAnswer(FoodWord.STILL_TO_COME, Message("food-to-come", words))
    reasons = (
        *(_about_a_glaze(glaze, ware.clay, route, practice.regime) for glaze in _left_by_the_fire(ware)),
        *_about_the_clay(ware, route, practice),
        *(one.message for one in findings if one.rule != food.UNTESTED),
    )
    if findings or not _is_shown(ware, route, practice):
        words = _("Meant for food, and not shown to be fit for it; a laboratory decides.")
        return FoodAnswer(FoodWord.NOT_SHOWN, Message("food-not-shown", words), reasons)
    words = _(
        "Meant for food. Its glazes' release tests are within the limits of {regime}; "
        "a laboratory test of this very piece was not made."
    )
    return FoodAnswer(FoodWord.TESTED_GLAZES, Message("food-tested", words, regime=practice.regime), reasons)


def glaze_standing(glaze: Glaze, regime: Regime, clay: Clay | None = None, route: Route | None = None) -> Message:
    """What is known of a glaze and food under `regime`, promising nothing; on `clay` where one is given."""
    if failed := failures(glaze.tests, regime):
        words = _("a release test was over the limit: {result}")
        return Message("glaze-failed", words, result=failed[0][1].message)
    if glaze.food is FoodStanding.DECORATIVE:
        return Message("glaze-decorative", _("decorative only, not for food"))
    missing = unshown(_about(glaze.tests, clay, route), regime)
    standing = Message(
        "glaze-standing",
        Choice("standing", _STANDINGS),
        standing=(glaze.food or FoodStanding.UNTESTED) if missing else "passed",
        metals=missing,
        regime=regime,
    )
    doubts = [answer.message for test in in_force(glaze.tests) if not (answer := judged(test, regime)).has_passed]
    if not doubts:
        return standing
    words = _("{standing}; a test on file shows nothing: {doubt}")
    return Message("glaze-standing-in-doubt", words, standing=standing, doubt=doubts[0])


_STANDINGS = {
    "tested": _("tested, but no test on file for this clay and firing passed for {metals} by {regime}"),
    "declared": _("its maker says it is for food; nobody here has shown it by test"),
    "untested": _("nobody has shown by test that it is fit for food"),
    "passed": _("its release tests of lead and cadmium are within the limits of {regime}"),
}


def _about_a_glaze(glaze: Glaze, clay: Clay, route: Route | None, regime: Regime) -> Message:
    standing = glaze_standing(glaze, regime, clay, route)
    return Message("glaze-and-food", _("{glaze}: {standing}."), glaze=glaze.name, standing=standing)


def what_was_tested(
    ware: Ware, route: Route | None = None, practice: Practice = COMMON_PRACTICE
) -> tuple[tuple[Message, ...], tuple[Message, ...]]:
    """What was tested about `ware` with what came of it, and what was not; `route` is how it was fired.

    Each thing is a message. The piece itself is always among what was not tested.
    """
    regime, clay = practice.regime, ware.clay
    tested, untested = [], []
    for glaze in _left_by_the_fire(ware):
        failed = dict.fromkeys(test.metal for test, _ in failures(glaze.tests, regime))
        missing = unshown(_about(glaze.tests, clay, route), regime)
        shown = tuple(metal for metal in Metal if metal not in missing and metal not in failed)
        about = {"glaze": glaze.name, "regime": regime}
        if shown:
            words = _("{glaze}: release of {metals}, within the limits of {regime}.")
            tested.append(Message("release-within", words, **about, metals=shown))
        if failed:
            words = _("{glaze}: release of {metals}, over the limit of {regime}.")
            tested.append(Message("release-over", words, **about, metals=tuple(failed)))
        if unknown := tuple(metal for metal in missing if metal not in failed):
            words = _("{glaze}: release of {metals}, on this clay and in this firing.")
            untested.append(Message("release-unknown", words, **about, metals=unknown))
    if clay.absorption_pct is not None and clay.weighed_mature:
        words = _("{clay}: takes up {absorption} water when mature, by weighing (ASTM C373).")
        tested.append(Message("absorption-weighed", words, clay=clay.name, absorption=percent(clay.absorption_pct)))
    else:
        words = _("{clay}: how much water it takes up once fired.")
        untested.append(Message("absorption-unknown", words, clay=clay.name))
    return tuple(tested), (*untested, _OTHER_METALS, _THIS_PIECE)


_OTHER_METALS = Message("other-metals", _("Metals other than lead and cadmium."))
_THIS_PIECE = Message("this-piece", _("This very piece."))


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


_OF_THE_SURFACE = {food.UNTESTED, food.CRACKLE, food.FLAWED}


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


def _about_the_clay(ware: Ware, route: Route | None, practice: Practice) -> tuple[Message, ...]:
    clay = ware.clay
    takes_up = _absorption_of(clay, practice.food_absorption_pct)
    if _matures(ware, route):
        return (takes_up,)
    cone = route.cone if route is not None else ware.fired_to
    if cone is None:
        words = _("The firing that matures {clay} is still to come.")
        return (takes_up, Message("maturing-to-come", words, clay=clay.name))
    return (takes_up, Message("clay-immature", _("{clay} is not mature at {cone}."), clay=clay.name, cone=cone))


def _absorption_of(clay: Clay, limit: float) -> Message:
    if clay.absorption_pct is None:
        return Message(
            "absorption-unmeasured", _("Nobody has measured how much water {clay} takes up."), clay=clay.name
        )
    return Message(
        "absorption",
        _("{clay} takes up {absorption} water when mature, {source}: {classes}. {within}"),
        clay=clay.name,
        absorption=percent(clay.absorption_pct),
        source=Message(
            "absorption-source",
            Choice("weighed", {"True": _("by weighing (ASTM C373)"), "False": _("as its data say")}),
            weighed=bool(clay.weighed_mature),
        ),
        classes=tuple(one.message for one in classes_of(clay.absorption_pct)),
        within=Message(
            "absorption-limit",
            Choice(
                "within",
                {
                    "True": _("That is within this studio's own limit for food, {limit}."),
                    "False": _("That is over this studio's own limit for food, {limit}."),
                },
            ),
            within=clay.absorption_pct <= limit,
            limit=percent(limit),
        ),
    )
