"""What may be said of a piece and food, with the reasons: never more than a laboratory has shown.

One answer for pages, paper and `footring judge`: the worst that the rules about food find. A rule about food that is
added to the rulebook is heard here without more.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from typing import Protocol

from tracker.domain.cones import Cone
from tracker.domain.findings import Finding, Level
from tracker.domain.message import Choice, Fact, Message, _
from tracker.domain.pieces.piece import Piece, Stage, StepName, Use, Ware
from tracker.domain.quantities import percent
from tracker.domain.rules import engine, food, food_surface, food_tests, greenware, heat
from tracker.domain.rules.rule import Case, outside_of
from tracker.domain.studio.absorption import Absorption, Soak, at_least, at_most, classes_of
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import COMMON_ROUTES, Kiln, Route, RouteKind
from tracker.domain.studio.leach_evidence import (
    failures,
    in_force,
    judged_on,
    never_shown,
    passed,
    speaking,
    unshown,
    ware_tested,
)
from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.leach_tests import FiredAs, Judgement, Outside, ReleaseTest, judged
from tracker.domain.studio.materials import Clay, FoodStanding, Glaze
from tracker.domain.studio.metals import LIMITED, POISONS, WATCHED, Metal, unnamed_in
from tracker.domain.studio.settings import COMMON_PRACTICE, Practice

_BEFORE_ANY_FIRING = frozenset({"decorative-glaze-for-food", food_surface.CRACKLE, food_surface.FLAWED})
"""The rules about food that look at no firing."""


class FoodWord(StrEnum):
    """What is known of a piece and food, in a few words. None of them says that it is fit."""

    DECORATIVE = "decorative"
    STILL_TO_COME = "still to come"
    FLAWED = "flawed"
    NOT_FOR_FOOD = "not for food"
    NOT_SHOWN = "not shown to be fit"
    NOTHING_AGAINST = "nothing known against"

    @property
    def is_warned_of(self) -> bool:
        """Whether ware of which that is known goes home with the warning that it is not for food."""
        return self not in {FoodWord.NOT_SHOWN, FoodWord.NOTHING_AGAINST}

    @property
    def for_scripts(self) -> str:
        """The same as one of three words: "not-for-food", "not-shown" or "nothing-known-against"."""
        return _FOR_SCRIPTS[self]


_FOR_SCRIPTS = {
    FoodWord.DECORATIVE: "not-for-food",
    FoodWord.STILL_TO_COME: "not-shown",
    FoodWord.FLAWED: "not-for-food",
    FoodWord.NOT_FOR_FOOD: "not-for-food",
    FoodWord.NOT_SHOWN: "not-shown",
    FoodWord.NOTHING_AGAINST: "nothing-known-against",
}


@dataclass(frozen=True, slots=True)
class FoodAnswer:
    """The word, the message that goes with it, and one message for each thing it rests on.

    `may_change` says that a firing to come may make another word of it, as where a refire may heal
    it.
    """

    word: FoodWord
    message: Message
    reasons: tuple[Message, ...] = ()
    may_change: bool = False


@dataclass(frozen=True, slots=True)
class LastFire:
    """The firing type and the kiln of a piece's last glaze firing, by name, as its history has them."""

    route: str | None = None
    kiln: str | None = None


class Fired(Protocol):
    """A line of a piece's history, as far as it tells where the piece was fired."""

    @property
    def step(self) -> StepName:
        """What was done."""

    @property
    def route(self) -> str | None:
        """The firing type, by name."""

    @property
    def kiln(self) -> str | None:
        """The kiln, by name."""


def last_fire(newest_first: Iterable[Fired]) -> LastFire:
    """The firing type and the kiln of a piece's last glaze firing; of neither anything where it had none."""
    return next((LastFire(line.route, line.kiln) for line in newest_first if line.step is StepName.FIRE), LastFire())


_COMES_OUT_UNKNOWN = frozenset({greenware.RAW_IN_GLAZE_FIRING, heat.SLUMPS})
"""The rules that refuse a firing of which nobody knows what it makes of the clay."""


def food_word(ware: Ware, route: Route | None, findings: Iterable[Finding]) -> tuple[FoodWord, tuple[str, ...]]:
    """The word for `ware` in a firing, and the names of the rules about food among its `findings`."""
    if ware.use is not Use.FOOD:
        return FoodWord.DECORATIVE, ()
    findings = tuple(findings)
    about_food = [one for one in findings if one.rule in engine.ABOUT_FOOD]
    rules, worst = tuple(one.rule for one in about_food), max((one.level for one in about_food), default=Level.NOTE)
    if worst is Level.REFUSE:
        return FoodWord.NOT_FOR_FOOD, rules
    if food_surface.FLAWED in rules:
        return FoodWord.FLAWED, rules
    if (route is None and ware.layers) or any(one.rule in _COMES_OUT_UNKNOWN for one in findings):
        return FoodWord.NOT_SHOWN, rules
    if route is None or (route.kind is RouteKind.BISQUE and not ware.is_glaze_fired):
        return FoodWord.STILL_TO_COME, rules
    is_shown = worst is Level.NOTE and not {food_surface.OVERFIRED, food_surface.UNLINED} & set(rules)
    return (FoodWord.NOTHING_AGAINST if is_shown else FoodWord.NOT_SHOWN), rules


def food_standing(
    ware: Ware, route: Route | None = None, practice: Practice = COMMON_PRACTICE, kiln: Kiln | None = None
) -> FoodAnswer:
    """What may be said of `ware` and food; `route` is how it is or was fired, None while that is still open.

    `kiln` is where, None where nobody has said: then no atmosphere is asked about.
    """
    if ware.use is not Use.FOOD:
        return FoodAnswer(FoodWord.DECORATIVE, _SAYS[FoodWord.DECORATIVE])
    if route is None and ware.fired_to is not None:
        route = _fired_to(ware.fired_to)
    findings = _findings(ware, route, practice, kiln)
    word, _rules = food_word(ware, route, findings)
    told = _SAYS[word]
    if word is FoodWord.NOT_FOR_FOOD:
        return FoodAnswer(word, told, tuple(one.message for one in findings if one.level is Level.REFUSE))
    if word is FoodWord.FLAWED:
        flaws = tuple(one.message for one in findings if one.rule == food_surface.FLAWED)
        return FoodAnswer(word, told, flaws, may_change=not food_surface.stays_flawed(ware))
    if word is FoodWord.STILL_TO_COME:
        return FoodAnswer(word, told, may_change=True)
    reasons = (
        *(_about_a_glaze(glaze, practice.regime, fired) for glaze, fired in _fired(ware, route, practice, kiln)),
        *_about_the_clay(ware, route, practice),
        *(one.message for one in findings),
    )
    return FoodAnswer(word, told, reasons)


_SAYS = {
    FoodWord.DECORATIVE: Message("food-decorative", _("Decorative: not for food or drink.")),
    FoodWord.STILL_TO_COME: Message(
        "food-to-come",
        _("Functional. It still needs its glaze firing. Only a lab test can say whether it's food-safe."),
    ),
    FoodWord.FLAWED: Message("food-flawed", _("Decorative because of its flaws: not for food or drink.")),
    FoodWord.NOT_FOR_FOOD: Message("food-never", _("Functional, but not for food or drink as it is.")),
    FoodWord.NOT_SHOWN: Message(
        "food-not-shown", _("Functional, but not shown to be food-safe. Only a lab test can say.")
    ),
    FoodWord.NOTHING_AGAINST: Message(
        "food-nothing-against",
        _("Functional. Nothing on record rules it out for food. This piece itself wasn't tested."),
    ),
}


_AFTER_A_REFIRE = Message(
    "food-after-a-refire",
    _("Functional. It depends on its next firing what can be said of it and food."),
)


def food_of(piece: Piece, catalog: Catalog, last: LastFire | None = None) -> FoodAnswer:
    """What may be said of a piece of the studio: as it waits to be fired, or as its `last` glaze firing left it."""
    route, kiln = firing_of(piece, catalog, last)
    is_raw = piece.route is None and piece.stage not in _AFTER_ITS_FIRING and not piece.is_glaze_fired
    # Raw glaze says nothing by the cone of the bisque under it.
    ware, route = (replace(piece, fired_to=None), None) if is_raw else (piece, route)
    answer = food_standing(ware, route, catalog.practice, kiln)
    if piece.stage in _AFTER_ITS_FIRING or answer.word not in {FoodWord.NOT_SHOWN, FoodWord.NOTHING_AGAINST}:
        return answer
    told = _AFTER_A_REFIRE if piece.is_glaze_fired else _SAYS[FoodWord.STILL_TO_COME]
    return FoodAnswer(FoodWord.STILL_TO_COME, told, answer.reasons)


_AFTER_ITS_FIRING = frozenset({Stage.FIRED, Stage.CLAIMED, Stage.LOST})
"""The stages at which what its glaze firing made of a piece is known."""


def firing_of(piece: Piece, catalog: Catalog, last: LastFire | None = None) -> tuple[Route | None, Kiln | None]:
    """The firing that a piece waits for, or else the last glaze firing it had, to the cone it was fired to."""
    if piece.route is not None or piece.fired_to is None:
        return catalog.routes.get(piece.route or ""), None
    last = last or LastFire()
    route = catalog.routes.get(last.route or "")
    fired = _fired_to(piece.fired_to) if route is None else route.at(piece.fired_to)
    return fired, catalog.kilns.get(last.kiln or "")


def glaze_standing(glaze: Glaze, regime: Regime, fired: FiredAs | None = None) -> Message:
    """What is known of a glaze and food under `regime`, promising nothing; `fired` so, or by all its tests."""
    if failed := failures(glaze.tests, regime, fired, glaze.cones, glaze.holds):
        test, answer = failed[0]
        return Message("glaze-failed", Choice("by", _FAILED), by=answer.by, metal=test.metal, result=answer.found)
    if glaze.food is FoodStanding.DECORATIVE:
        return Message("glaze-decorative", _("decorative only, not for food"))
    tests = in_force(glaze.tests) if fired is None else speaking(glaze.tests, fired, glaze.cones)
    outside = None if fired is None else fired.outside
    shown = passed_tests(tests, regime, outside)
    elsewhere = () if shown or fired is None else passed_tests(in_force(glaze.tests), regime)
    missing = unshown(tests, regime, outside)
    standing = Message(
        "glaze-standing",
        Choice("standing", _STANDINGS),
        standing=("partly" if missing else "passed")
        if shown
        else "elsewhere"
        if elsewhere
        else (glaze.food or FoodStanding.UNTESTED),
        passed=shown or elsewhere,
        missing=missing,
        cones=glaze.cones,
    )
    answers = [judged_on(test, regime, outside) for test in tests if test.metal in LIMITED]
    doubts = [answer.message for answer in answers if not answer.has_passed]
    if not doubts:
        return standing
    words = _("{standing}; a test on file is inconclusive: {doubt}")
    return Message("glaze-standing-in-doubt", words, standing=standing, doubt=doubts[0])


_FAILED = {
    "limit": _("a leach test failed: {result}"),
    "report": _("a leach test failed, by its own report: {result}"),
    "word": _("a leach test failed for {metal}"),
}


_STANDINGS = {
    "passed": _("leach tests passed: {passed}"),
    "partly": _("leach tests passed: {passed}; none for {missing}"),
    "elsewhere": _("no leach test for this firing; passed elsewhere: {passed}"),
    "tested": _("no passed leach test on file"),
    "declared": _("the manufacturer says it's food-safe, {cones}; no passed leach test on file"),
    "untested": _("no passed leach test on file"),
}


def is_never_for_food(glaze: Glaze, regime: Regime) -> bool:
    """Whether no firing makes ware in this glaze fit for food, as far as its tests on file go."""
    if glaze.food is FoodStanding.DECORATIVE or glaze.is_outdoor_only or only_failed(glaze, regime):
        return True
    once = _passed_once(glaze, regime)
    return any(metal in glaze.holds and metal not in once for metal in LIMITED)


def metals_never_passed(glaze: Glaze, regime: Regime) -> tuple[Fact, ...]:
    """The metals of its recipe that a food rule asks about and that no leach test on file passed for."""
    if not glaze.metals:
        return ()
    once = _passed_once(glaze, regime)
    return (*(one for one in POISONS if one in glaze.holds and one not in once), *unnamed_in(glaze.metals))


def only_failed(glaze: Glaze, regime: Regime) -> tuple[tuple[ReleaseTest, Judgement], ...]:
    """The tests of a glaze that failed for a metal for which none ever passed: over the limit in every firing.

    One that was made in vapor counts for itself alone, where the recipe names its metal; but for lead and cadmium.
    """
    once = _passed_once(glaze, regime)
    alone = glaze.holds - set(LIMITED)
    anywhere = [one for one in failures(glaze.tests, regime) if not (one[0].is_of_vapor and one[0].metal in alone)]
    return tuple(one for one in anywhere if one[0].metal not in once)


def _passed_once(glaze: Glaze, regime: Regime) -> set[Metal]:
    return {test.metal for test in in_force(glaze.tests) if judged(test, regime).has_passed}


def passed_tests(tests: Iterable[ReleaseTest], regime: Regime, outside: Outside | None = None) -> tuple[Message, ...]:
    """Which metals passed at which cone, in which atmosphere, when and on what ware.

    A message for each firing and sort of ware that was tested. For a piece of this `outside` only what covers its ware.
    """
    firings: dict[tuple[object, ...], list[ReleaseTest]] = {}
    for test in tests:
        tested = ware_tested(test.vessel) if test.laboratory else None
        firings.setdefault((test.cone, test.atmosphere, test.clay, test.route, tested), []).append(test)
    several = [passed(alike, regime, outside) for alike in firings.values()]
    return tuple(_passed_at(tuple(shown), shown) for shown in several if shown)


def _passed_at(metals: tuple[Metal, ...], shown: dict[Metal, ReleaseTest]) -> Message:
    newest = max(shown.values(), key=lambda test: test.tested_on or date.min)
    told = "".join(
        letter
        for letter, fact in (("c", newest.cone), ("a", newest.atmosphere), ("d", newest.tested_on))
        if fact is not None
    )
    at = Message(
        "passed-at",
        Choice("told", _PASSED_AT),
        told=told,
        metals=metals,
        cone=newest.cone,
        atmosphere=newest.atmosphere,
        day=newest.tested_on,
    )
    if not newest.laboratory:
        return at
    return Message("passed-on", _("{passed} (on {ware})"), passed=at, ware=ware_tested(newest.vessel))


_PASSED_AT = {
    "cad": _("{metals} at {cone} in {atmosphere}, {day}"),
    "cd": _("{metals} at {cone}, {day}"),
    "ad": _("{metals} in {atmosphere}, {day}, cone not on record"),
    "d": _("{metals}, {day}, cone not on record"),
    "ca": _("{metals} at {cone} in {atmosphere}, day not on record"),
    "c": _("{metals} at {cone}, day not on record"),
    "a": _("{metals} in {atmosphere}, cone and day not on record"),
    "": _("{metals}, cone and day not on record"),
}


def what_was_tested(
    ware: Ware, route: Route | None = None, practice: Practice = COMMON_PRACTICE, kiln: Kiln | None = None
) -> tuple[tuple[Message, ...], tuple[Message, ...]]:
    """What was tested about `ware` with what came of it, and what was not; `route` is how it was fired, `kiln` where.

    A passed test is told only of a glaze that food touches, inside or on the rim. Each thing is a message. The piece
    itself is always among what was not tested.
    """
    regime = practice.regime
    tested: list[Message] = []
    untested: list[Message] = []
    touches = {layer.glaze for layer in ware.layers if layer.zone in food.FOOD_SURFACE}
    for glaze, fired in _fired(ware, route, practice, kiln):
        here = speaking(glaze.tests, fired, glaze.cones)
        over = failures(glaze.tests, regime, fired, glaze.cones, glaze.holds)
        failed = tuple(dict.fromkeys(test.metal for test, _answer in over))
        words = _("{glaze}: leach test passed for {passed}. Limits: {regime}.")
        tested += (
            Message("release-within", words, glaze=glaze.name, passed=one, regime=regime)
            for one in passed_tests([test for test in here if test.metal not in failed], regime, fired.outside)
            if glaze in touches
        )
        if failed:
            words = _("{glaze}: leach test failed for {metals}.")
            tested.append(Message("release-over", words, glaze=glaze.name, metals=failed))
        wanted = [*LIMITED, *(metal for metal in WATCHED if metal in glaze.holds)]
        shown = passed(here, regime, fired.outside)
        if unknown := tuple(metal for metal in wanted if metal not in shown and metal not in failed):
            words = _("{glaze}: leach test for {metals}, on this clay and in this firing.")
            untested.append(Message("release-unknown", words, glaze=glaze.name, metals=unknown))
    measured = None if _hottest(ware, route) is None else _measured(ware, route)
    if measured:
        tested.append(
            Message("absorption-measured", _("{clay}: {absorption}."), clay=ware.clay.name, absorption=measured)
        )
    else:
        words = _("{clay}: absorption after firing.")
        untested.append(Message("absorption-unknown", words, clay=ware.clay.name))
    return tuple(tested), (*untested, _OTHER_METALS, _THIS_PIECE)


_OTHER_METALS = Message("other-metals", _("Metals not named above."))
_THIS_PIECE = Message("this-piece", _("This particular piece."))


def settled(glaze: Glaze, regime: Regime) -> FoodStanding:
    """The standing that a glaze's tests bear out under `regime`.

    Tests of one firing that pass for lead and cadmium make it tested, for that firing; a claim to be tested that none
    bear out falls to untested. Whoever keeps a glaze decorative has reasons of their own, which no test takes away.
    """
    if glaze.food is FoodStanding.DECORATIVE:
        return glaze.food
    if not never_shown(glaze.tests, regime):
        return FoodStanding.TESTED
    if glaze.food is None or glaze.food is FoodStanding.TESTED:
        return FoodStanding.UNTESTED
    return glaze.food


# ---- the parts of the answer ----------------------------------------------------------------------------------------


def _fired_to(cone: Cone) -> Route:
    """A firing of which only the cone is known."""
    return Route(name="", title="", kind=RouteKind.SHELF, cone=cone)


def _findings(ware: Ware, route: Route | None, practice: Practice, kiln: Kiln | None) -> list[Finding]:
    """What the rules about food say; without a route only those that ask for none."""
    if route is not None:
        return [one for one in engine.judge(ware, route, practice, kiln).findings if one.rule in engine.ABOUT_FOOD]
    # These rules look at no route, so any stands in for the one that is not chosen yet.
    case = Case(ware, COMMON_ROUTES["bisque"], practice)
    asked = (rule for rule in engine.RULES if rule.name in _BEFORE_ANY_FIRING)
    found = [finding for rule in asked if (finding := rule.finding(case))]
    failed = [(glaze, over) for glaze in case.glazes if (over := only_failed(glaze, practice.regime))]
    return [*found, *(food_tests.over_the_limit(glaze, over) for glaze, over in failed)]


def _fired(ware: Ware, route: Route | None, practice: Practice, kiln: Kiln | None) -> list[tuple[Glaze, FiredAs]]:
    """The layers on it but wax, each once, with how it is fired."""
    if route is None:
        bare = Case(ware, COMMON_ROUTES["bisque"], practice)
        fired = FiredAs(cone=None, clay=ware.clay.name, outside=outside_of(ware))
        return [(glaze, fired) for glaze in bare.glazes]
    case = Case(ware, route, practice, kiln)
    return [(glaze, food_tests.fired_as(glaze, case)) for glaze in case.glazes]


def _about_a_glaze(glaze: Glaze, regime: Regime, fired: FiredAs) -> Message:
    known = fired if fired.cone is not None else None
    standing = glaze_standing(glaze, regime, known)
    return Message("glaze-and-food", _("{glaze}: {standing}."), glaze=glaze.name, standing=standing)


def _hottest(ware: Ware, route: Route | None) -> Cone | None:
    """The hottest cone that its clay has seen once it comes out of that firing; clay stays as mature as it was."""
    cones = [cone for cone in (ware.fired_to, route.cone if route is not None else None) if cone is not None]
    return max(cones, default=None)


def _about_the_clay(ware: Ware, route: Route | None, practice: Practice) -> tuple[Message, ...]:
    clay, cone = ware.clay, _hottest(ware, route)
    takes_up = _absorption_of(ware, route, practice.food_absorption_pct)
    if cone is None:
        words = _("{clay} still needs the firing that matures it.")
        return (takes_up, Message("maturing-to-come", words, clay=clay.name))
    if clay.is_mature_at(cone):
        return (takes_up,)
    return (takes_up, Message("clay-immature", _("{clay} isn't mature at {cone}."), clay=clay.name, cone=cone))


def _bound(clay: Clay, cone: Cone | None) -> Absorption | None:
    """The measurement that says most of clay fired to `cone`: what bounds it from above, else from below.

    Before its first firing that is the hottest on file.
    """
    measured = clay.measured
    if not measured:
        return None
    if cone is None:
        return max(measured, key=lambda one: (one.cone, one.method is Soak.BOIL))
    return at_most(measured, cone) or at_least(measured, cone)


def _measured(ware: Ware, route: Route | None) -> Message | None:
    """What was measured of its clay at or below the heat of that firing, or above; None where nothing was."""
    bound = _bound(ware.clay, _hottest(ware, route))
    return None if bound is None else measurement(bound)


def measurement(one: Absorption) -> Message:
    """A measured absorption with its cone and its method."""
    words = {
        str(Soak.BOIL): _("absorption {pct} at {cone}, boiled (ASTM C373)"),
        str(Soak.COLD): _("absorption at least {pct} at {cone}, cold soak"),
    }
    return Message(
        "absorption-at", Choice("method", words), method=str(one.method), pct=percent(one.pct), cone=one.cone
    )


def _absorption_of(ware: Ware, route: Route | None, limit: float) -> Message:
    clay = ware.clay
    cone = _hottest(ware, route)
    measured, bound = _measured(ware, route), _bound(clay, cone)
    pct = clay.absorption_pct if bound is None else bound.pct
    is_elsewhere = bound is None and cone is not None and not clay.sheet_speaks_for(cone)
    if pct is None or (is_elsewhere and pct <= limit):
        words = {
            "never": _("The absorption of {clay} isn't known."),
            "here": _("The absorption of {clay} at {cone} isn't known."),
            # Clay takes up more the cooler it is fired, and a sheet names no cone.
            "sheet": _("{clay}: absorption {pct} when mature, by its data sheet. Fired to {cone}, it may be more."),
        }
        return Message(
            "absorption-unmeasured",
            Choice("told", words),
            told="sheet" if pct is not None else "here" if clay.measured else "never",
            clay=clay.name,
            cone=cone,
            pct=None if pct is None else percent(pct),
        )
    sheet = Message("absorption-sheet", _("absorption {pct} when mature, by its data sheet"), pct=percent(pct))
    return Message(
        "absorption",
        _("{clay}: {absorption}. {classes:capital}. Limit for food in this studio: {limit}."),
        clay=clay.name,
        absorption=sheet if measured is None else measured,
        classes=tuple(one.message for one in classes_of(pct)),
        limit=percent(limit),
    )
