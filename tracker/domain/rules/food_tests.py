"""What tests and labels show of a glaze and food: limits that it breaks, metals that nobody tested."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from tracker.domain.cones import Cone
from tracker.domain.findings import Finding, Level
from tracker.domain.message import ByRole, Choice, Fact, Message, Plural, Sentences, Template, _
from tracker.domain.rules.food import CHOOSE_ANOTHER, OUT_OF_SMOKE, fired_indoors_instead, on_or_off
from tracker.domain.rules.rule import (
    Case,
    Facts,
    Rule,
    at_heat,
    choose,
    choose_another,
    for_instructor,
    for_staff,
    names_of,
    raw_or_fired,
    without,
)
from tracker.domain.studio.kilns import AFTER_BISQUE, SMOKED, VAPOR, Atmosphere
from tracker.domain.studio.leach_evidence import failures, in_force, passed, speaking, unshown, ware_tested
from tracker.domain.studio.leach_tests import FiredAs, Judgement, ReleaseTest
from tracker.domain.studio.materials import Family, FoodStanding, Glaze, Trait
from tracker.domain.studio.metals import LIMITED, WATCHED, Metal, unnamed_in

UNTESTED = "untested-for-food"

ACID_TEST = _("FDA CPG 545.400 and 545.450 unless the studio chose 84/500/EEC or ISO 6486-2")

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_DECORATIVE = FoodStanding.DECORATIVE
_UNTESTED = FoodStanding.UNTESTED
_TESTED = FoodStanding.TESTED
_DECLARED = FoodStanding.DECLARED
_CLAIMED = frozenset({_DECLARED, _TESTED})

_OXIDATION = Atmosphere.OXIDATION
_REDUCTION = Atmosphere.REDUCTION
_WANTS_OXIDATION = Trait.WANTS_OXIDATION
_WANTS_REDUCTION = Trait.WANTS_REDUCTION
_OUTSIDE = Family.OUTSIDE


def fired_as(glaze: Glaze, case: Case) -> FiredAs:
    """How a glaze is fired in a case, as far as tests are asked about it.

    One that was fired hotter before stays as that fire left it, in an atmosphere that is not on record.
    """
    clay, firing, outside = case.ware.clay.name, case.route, case.sort_of_ware
    if (cone := _heat_of(glaze, case)) > firing.cone:
        return FiredAs(cone=cone, clay=clay, outside=outside)
    vapor = firing.kind in VAPOR
    return FiredAs(cone=cone, atmosphere=case.air, clay=clay, route=firing.name, vapor=vapor, outside=outside)


def _heat_of(glaze: Glaze, case: Case) -> Cone:
    """The hottest cone that a glaze has seen after the firing of the case."""
    firing = case.route.cone
    if glaze in case.raw:
        return firing
    return max(firing, *(one.fired_to for one in case.ware.layers if one.glaze == glaze and one.fired_to is not None))


def tests_here(glaze: Glaze, case: Case) -> tuple[ReleaseTest, ...]:
    """The tests of a glaze that speak for the firing of the case."""
    return speaking(glaze.tests, fired_as(glaze, case), glaze.cones) if glaze.tests else ()


def standing_here(glaze: Glaze, case: Case) -> FoodStanding | None:
    """What is known of a glaze and food in the firing of the case; None only in a what-if that does not ask.

    Tests for lead and cadmium that passed for this firing make it tested. Fired otherwise than its tests were, or at a
    cone that is not on its label, it counts as untested. So does a glaze from outside the studio without a test, and
    one in vapor, which makes another of it: no label speaks for that.
    """
    if glaze.food is _DECORATIVE:
        return glaze.food
    if not glaze.tests:
        return _without_a_test(glaze, case)
    regime, outside = case.practice.regime, case.sort_of_ware
    here = tests_here(glaze, case)
    if here and not unshown(here, regime, outside):
        return _TESTED
    if glaze.food is _DECLARED and not fired_as(glaze, case).vapor:
        return _DECLARED if _label_speaks(glaze, case) else _UNTESTED
    if glaze.food not in _CLAIMED:
        return glaze.food
    shown, looked_for = passed(here, regime, outside), {test.metal for test in in_force(glaze.tests)} & set(LIMITED)
    return _TESTED if shown and looked_for <= shown.keys() else _UNTESTED


def _without_a_test(glaze: Glaze, case: Case) -> FoodStanding | None:
    """What is said of a glaze with no test on file holds within its own cones and the atmosphere that it needs."""
    if glaze.family is _OUTSIDE or (glaze.food in _CLAIMED and fired_as(glaze, case).vapor):
        return _UNTESTED
    return glaze.food if glaze.food is None or _label_speaks(glaze, case) else _UNTESTED


def _label_speaks(glaze: Glaze, case: Case) -> bool:
    return glaze.cone_low <= _heat_of(glaze, case) <= glaze.cone_high and _wants_other_air(glaze, case) is None


def _wants_other_air(glaze: Glaze, case: Case) -> Atmosphere | None:
    """The atmosphere that it needs and that its label is about, where it is known to be fired in another."""
    air = fired_as(glaze, case).atmosphere
    if air is None or not glaze.traits:
        return None
    if _WANTS_REDUCTION in glaze.traits and air is not _REDUCTION:
        return _REDUCTION
    return _OXIDATION if _WANTS_OXIDATION in glaze.traits and air is _REDUCTION else None


def over_the_limit_here(case: Case) -> Facts | None:
    """The tests of its glazes that failed and speak for this firing."""
    failed = tuple(
        _failed_test(glaze, *one, is_here=one[0] in tests_here(glaze, case))
        for glaze in case.glazes
        for one in _failed(glaze, case)
    )
    return {"failed": failed} if failed else None


def _failed(glaze: Glaze, case: Case) -> tuple[tuple[ReleaseTest, Judgement], ...]:
    regime = case.practice.regime
    return failures(glaze.tests, regime, fired_as(glaze, case), glaze.cones, glaze.holds) if glaze.tests else ()


def _failed_elsewhere(case: Case) -> Facts | None:
    """The tests that failed in another firing than this one, for which a test of that metal passed or none speaks."""
    found = [
        (glaze, test)
        for glaze in case.glazes
        if glaze.tests and glaze.food is not _DECORATIVE
        for test, judgement in failures(glaze.tests, case.practice.regime)
        if (test, judgement) not in _failed(glaze, case)
    ]
    told = tuple(
        Message(
            "failed-elsewhere",
            Choice("where", _ELSEWHERE),
            where="" if (fired := _fired_in(test)) is None else "told",
            glaze=glaze.name,
            metal=test.metal,
            fired=fired,
        )
        for glaze, test in found
    )
    is_passed = all(test.metal in _passed_for(glaze, case, tests_here(glaze, case)) for glaze, test in found)
    return {"failed": told, "here": "passed" if is_passed else "none"} if told else None


_ELSEWHERE = {
    "": _("{glaze} failed another leach test for {metal}"),
    "told": _("{glaze} failed a leach test for {metal} {fired}"),
}


def _fired_in(test: ReleaseTest) -> Message | None:
    """Cone, atmosphere and firing of a test as a sentence has them: "at cone 6 in oxidation"; None where it names none.

    Of firings, vapor alone makes another glaze of it.
    """
    cone, air, vapor = test.cone, test.atmosphere, test.route if test.is_of_vapor else None
    told = f"{'cone' if cone else ''}{'vapor' if vapor else 'air' if air else ''}"
    words: Mapping[str, Template] = {
        "air": _("in {air}"),
        "cone": _("at {cone}"),
        "coneair": _("at {cone} in {air}"),
        "vapor": Choice("vapor", _IN_VAPOR),
        "conevapor": Choice("vapor", _AT_CONE_IN_VAPOR),
    }
    if not told:
        return None
    in_air = None if air is None else _in_air(air)
    return Message("test-fired", Choice("told", words), told=told, cone=cone, air=in_air, vapor=vapor)


_IN_VAPOR = {"soda": _("in a soda firing"), "salt": _("in a salt firing"), "wood": _("in a wood firing")}
_AT_CONE_IN_VAPOR = {
    "soda": _("at {cone} in a soda firing"),
    "salt": _("at {cone} in a salt firing"),
    "wood": _("at {cone} in a wood firing"),
}


def _failed_for(glaze: Glaze, case: Case) -> set[Metal]:
    """The metals for which a test of a glaze failed: of these the failed test alone is told."""
    return {test.metal for test, _judgement in _failed(glaze, case)}


def _failed_test(glaze: Glaze, test: ReleaseTest, judgement: Judgement, *, is_here: bool = True) -> Message:
    """A failed test; one that doesn't speak for the firing of the case tells of which firing it does."""
    fired = None if is_here else _fired_in(test)
    return Message(
        "failed-leach-test",
        Choice("by", _FAILED if fired is None else _FAILED_IN_ANOTHER),
        by=f"{'lab' if test.laboratory else 'anybody'}, {judgement.by}",
        fired=fired,
        glaze=glaze.name,
        laboratory=test.laboratory,
        metal=test.metal,
        result=judgement.found,
    )


_FAILED = {
    "lab, limit": _("{glaze} failed a leach test by {laboratory}: {result}"),
    "lab, report": _("{glaze} failed a leach test by {laboratory}, by its own report: {result}"),
    "lab, word": _("{glaze} failed a leach test by {laboratory} for {metal}"),
    "anybody, limit": _("{glaze} failed a leach test: {result}"),
    "anybody, report": _("{glaze} failed a leach test, by its own report: {result}"),
    "anybody, word": _("{glaze} failed a leach test for {metal}"),
}
_FAILED_IN_ANOTHER = {
    "lab, limit": _("{glaze} failed a leach test by {laboratory} {fired}: {result}"),
    "lab, report": _("{glaze} failed a leach test by {laboratory} {fired}, by its own report: {result}"),
    "lab, word": _("{glaze} failed a leach test by {laboratory} for {metal} {fired}"),
    "anybody, limit": _("{glaze} failed a leach test {fired}: {result}"),
    "anybody, report": _("{glaze} failed a leach test {fired}, by its own report: {result}"),
    "anybody, word": _("{glaze} failed a leach test for {metal} {fired}"),
}


def published_limits(facts: Facts) -> str:
    """What a failed test rests on: limits are published of lead and cadmium alone."""
    failed = facts["failed"]
    metals = {one["metal"] for one in failed if isinstance(one, Message)} if isinstance(failed, tuple) else set()
    return ACID_TEST if metals & set(LIMITED) else _("the laboratory's own report: no limit is published")


def over_the_limit(glaze: Glaze, failed: Iterable[tuple[ReleaseTest, Judgement]]) -> Finding:
    """What is found against a glaze by these tests, whatever firing it comes to."""
    told = tuple(_failed_test(glaze, *one) for one in failed)
    return _RELEASE.said({"failed": told}, lambda: {"is": "raw", "choose": choose_another(glaze.noun)})


def _poison_unshown(case: Case) -> Facts | None:
    """Lead and cadmium need a test that names this very cone: what is left open does not count for them."""
    found: dict[Glaze, tuple[Fact, ...]] = {}
    for glaze in case.glazes:
        if glaze.metals and (held := [metal for metal in LIMITED if metal in glaze.holds]):
            tests = [test for test in _in_this_air(glaze, case) if test.cone is not None]
            settled = passed(tests, case.practice.regime, case.sort_of_ware).keys() | _failed_for(glaze, case)
            found[glaze] = tuple(metal for metal in held if metal not in settled)
    facts = _contents(found, case)
    if facts and all(_passed_at_no_cone(glaze, case) >= set(metals) for glaze, metals in found.items()):
        return {**facts, "told": "no cone"}
    return facts


def _passed_at_no_cone(glaze: Glaze, case: Case) -> set[Fact]:
    """The metals for which a test passed whose report names no cone."""
    tests = [test for test in tests_here(glaze, case) if test.cone is None]
    return set(passed(tests, case.practice.regime, case.sort_of_ware))


def _in_this_air(glaze: Glaze, case: Case) -> list[ReleaseTest]:
    """The tests of a glaze that speak for the firing of the case and its atmosphere, for a metal of its recipe.

    One that names no atmosphere is taken as made in oxidation; in vapor it speaks for that firing and its atmosphere.
    """
    fired = fired_as(glaze, case)
    is_any = fired.vapor or fired.atmosphere in {None, _OXIDATION}
    return [test for test in tests_here(glaze, case) if is_any or test.atmosphere is not None]


def _metals_unshown(case: Case) -> Facts | None:
    found: dict[Glaze, tuple[Fact, ...]] = {}
    for glaze in case.glazes:
        if glaze.metals and glaze.food is not _DECORATIVE:
            settled = _passed_for(glaze, case, _in_this_air(glaze, case)) | _failed_for(glaze, case)
            held = [metal for metal in WATCHED if metal in glaze.holds and metal not in settled]
            # A word that names no metal known here may stand for any.
            found[glaze] = (*held, *unnamed_in(glaze.metals))
    facts = _contents(found, case)
    if facts and all(_passed_for(glaze, case, tests_here(glaze, case)) >= set(some) for glaze, some in found.items()):
        return {**facts, "when": "no air"}
    return facts


def _passed_for(glaze: Glaze, case: Case, tests: Iterable[ReleaseTest]) -> set[Fact]:
    """The metals for which one of these tests of a glaze passed on the ware of the case."""
    return set(passed(tests, case.practice.regime, case.sort_of_ware)) if glaze.tests else set()


def _contents(found: Mapping[Glaze, tuple[Fact, ...]], case: Case) -> Facts | None:
    """Which glaze contains what, of those that contain anything, and the hottest cone that one of them has seen."""
    holding = {glaze: metals for glaze, metals in found.items() if metals}
    if not holding:
        return None
    told = tuple(
        Message("glaze-contains", _("{glaze} contains {metals}"), glaze=glaze.name, metals=metals)
        for glaze, metals in holding.items()
    )
    metals = tuple(dict.fromkeys(metal for several in holding.values() for metal in several))
    heat = max(_heat_of(glaze, case) for glaze in holding)
    # What was fired hotter before stays as that fire left it, in an atmosphere that nobody knows.
    air = case.air if heat == case.route.cone else None
    said = {} if air is None else {"air": _in_air(air)}
    when = "before" if heat > case.route.cone else "now"
    fired: dict[str, Fact] = {"firing": heat, "at": at_heat(case, heat), "when": when}
    return {"contents": told, "metals": metals, **fired, **said, "told": "no air" if air is None else "air"}


def _tested_where_food_may_be(mend: Callable[[Case], Facts]) -> Callable[[Case], Facts]:
    """As `mend`, but in smoke: no glaze is for food there, whatever its tests, so no other one helps."""

    def mend_or_out_of_smoke(case: Case) -> Facts:
        return {"is": "smoked", **fired_indoors_instead(case)} if case.route.kind in SMOKED else mend(case)

    return mend_or_out_of_smoke


def _in_air(air: Atmosphere) -> Message:
    """An atmosphere as a sentence has it: fired "in oxidation", "in a neutral atmosphere"."""
    words = {"oxidation": _("oxidation"), "neutral": _("a neutral atmosphere"), "reduction": _("reduction")}
    return Message("in-air", Choice("air", words), air=air)


def _untested(case: Case) -> Facts | None:
    untested = [glaze for glaze in case.glazes if standing_here(glaze, case) is _UNTESTED and not _failed(glaze, case)]
    if not untested:
        return None
    alike: dict[tuple[tuple[str, Fact], ...], list[Glaze]] = {}
    for glaze in untested:
        alike.setdefault(tuple(_doubt(glaze, case).items()), []).append(glaze)
    told = tuple(
        Message("untested-glaze", Choice("why", _DOUBTS), glazes=names_of(glazes), **dict(doubt))
        for doubt, glazes in alike.items()
    )
    return {"doubts": Sentences(told), "glazes": names_of(untested), "firing": case.route.cone}


def _doubt(glaze: Glaze, case: Case) -> dict[str, Fact]:
    """What a glaze has no test for: for anything, for these metals, or for this firing."""
    here, regime, fired = tests_here(glaze, case), case.practice.regime, fired_as(glaze, case)
    heat = _heat_of(glaze, case)
    told: dict[str, Fact] = {"firing": heat, "at": at_heat(case, heat)}
    if here:
        missing, for_any_ware = unshown(here, regime, fired.outside), unshown(here, regime)
        of_others = tuple(metal for metal in missing if metal not in for_any_ware)
        wares = tuple(dict.fromkeys(ware_tested(one.vessel) for one in here if one.metal in of_others))
        told |= {"why": "ware", "metals": of_others, "wares": wares} if wares else {"why": "metals", "metals": missing}
    elif close := _all_but_one(glaze, fired):
        told |= close
    elif glaze.food in _CLAIMED and fired.atmosphere is not None and (wanted := _wants_other_air(glaze, case)):
        why = "own test" if glaze.food is _TESTED else "label"
        told |= {"why": why, "wanted": _in_air(wanted), "air": _in_air(fired.atmosphere)}
    else:
        told["why"] = "here" if in_force(glaze.tests) or glaze.food in _CLAIMED else "never"
    return told


def _all_but_one(glaze: Glaze, fired: FiredAs) -> dict[str, Fact] | None:
    """What alone keeps the tests of a glaze from speaking for how it is `fired`: vapor, atmosphere or clay."""
    label = glaze.cones
    if fired.vapor:
        is_near = glaze.food in _CLAIMED or speaking(glaze.tests, replace(fired, vapor=False), label)
        return {"why": "vapor"} if is_near else None
    near = speaking(glaze.tests, replace(fired, atmosphere=None), label)
    if near and fired.atmosphere is not None:
        airs = tuple(dict.fromkeys(one.atmosphere for one in near if one.atmosphere is not None))
        return {"why": "air", "airs": tuple(map(_in_air, airs)), "air": _in_air(fired.atmosphere)}
    if tests := [one for one in in_force(glaze.tests) if one.clay not in {None, fired.clay}]:
        clays = [one.clay for one in tests if speaking((one,), replace(fired, clay=one.clay), label)]
        return {"why": "clay", "clays": tuple(dict.fromkeys(clays)), "clay": fired.clay} if clays else None
    return None


_DOUBTS: Mapping[str, Template] = {
    "never": _("{glazes:capital}: no leach test on file."),
    "metals": _("{glazes:capital}: no leach test for {metals} passed {at}."),
    "ware": Plural(
        "glazes",
        "{glazes:capital}: its leach test for {metals} was on {wares}, and its results don't cover this ware.",
        "{glazes:capital}: their leach tests for {metals} were on {wares}, and their results don't cover this ware.",
    ),
    "air": Plural(
        "glazes",
        "{glazes:capital}: its leach test at {firing} was fired in {airs}, and this kiln fires in {air}.",
        "{glazes:capital}: their leach tests at {firing} were fired in {airs}, and this kiln fires in {air}.",
    ),
    "label": Plural(
        "glazes",
        "{glazes:capital}: its label is for {wanted}, and this kiln fires in {air}.",
        "{glazes:capital}: their labels are for {wanted}, and this kiln fires in {air}.",
    ),
    "own test": Plural(
        "glazes",
        "{glazes:capital}: its test counts for {wanted}, and this kiln fires in {air}.",
        "{glazes:capital}: their tests count for {wanted}, and this kiln fires in {air}.",
    ),
    "clay": Plural(
        "glazes",
        "{glazes:capital}: its leach test at {firing} was on {clays}, and this piece is {clay}.",
        "{glazes:capital}: their leach tests at {firing} were on {clays}, and this piece is {clay}.",
    ),
    "vapor": Plural(
        "glazes",
        "{glazes:capital}: the vapor of this firing changes it, and no leach test covers that.",
        "{glazes:capital}: the vapor of this firing changes them, and no leach test covers that.",
    ),
    "here": Plural(
        "glazes",
        "{glazes:capital}: no leach test and no label speaks for it {at}.",
        "{glazes:capital}: no leach test and no label speaks for them {at}.",
    ),
}


def _without_poison(case: Case) -> Facts:
    """As `on_or_off`, for coats with the metals that nobody has shown to stay in them."""
    found = _poison_unshown(case) or {}
    coats = [glaze for glaze in case.glazes if any(metal in glaze.holds for metal in LIMITED)]
    return {"is": raw_or_fired(case, coats), "choose": choose(case, coats, without(found.get("metals")))}


_RELEASE = Rule(
    name="release-over-limit",
    about="food",
    when="a leach test of a glaze that failed (lead or cadmium over the published limit), on a functional piece",
    level=Level.REFUSE,
    look=over_the_limit_here,
    for_food=True,
    of_coats=True,
    of_materials=True,
    message=_("{failed}."),
    mend=on_or_off(_failed),
    remedy=CHOOSE_ANOTHER,
    source=ACID_TEST,
    rests_on=published_limits,
)


RULES = (
    _RELEASE,
    Rule(
        name="test-failed-elsewhere",
        # It takes nothing from what is known of the piece and food.
        about="heat",
        when="a leach test that failed at another cone or in another atmosphere, where one for this firing passed; one "
        "made in soda, salt or wood that failed for a metal of the recipe but lead and cadmium, in other firings",
        level=Level.NOTE,
        look=_failed_elsewhere,
        for_food=True,
        kinds=AFTER_BISQUE,
        of_coats=True,
        of_materials=True,
        message=Choice(
            "here",
            {
                "passed": _("{failed}. For this firing, a test passed."),
                "none": _("{failed}. For this firing, that test doesn't count."),
            },
        ),
        remedy=Choice(
            "here",
            {
                "passed": _("Fire this glaze only as in the test that passed."),
                "none": _("For functional ware, fire this glaze only as in a test that passed."),
            },
        ),
        source=_("a test speaks for its metal, cone and atmosphere: common practice"),
    ),
    Rule(
        name="lead-or-cadmium-for-food",
        about="food",
        when=(
            "lead or cadmium in the recipe, and no passed leach test for it at the firing's cone, on a functional piece"
        ),
        level=Level.REFUSE,
        look=_poison_unshown,
        for_food=True,
        kinds=AFTER_BISQUE,
        of_coats=True,
        of_materials=True,
        message=Choice(
            "told",
            {
                "air": _("{contents}, and no leach test for {metals} that covers this ware passed {at} in {air}."),
                "no air": _("{contents}, and no leach test for {metals} that covers this ware passed {at}."),
                "no cone": _("{contents}, and the report of its leach test for {metals} names no cone."),
            },
        ),
        mend=_without_poison,
        remedy=Choice(
            "is",
            {
                "raw": _("{choose:capital}, or make the piece decorative."),
                "fired": ByRole(
                    _("Make the piece decorative, or ask the instructor about a laboratory test."),
                    {"instructor": _("Make the piece decorative, or have a laboratory test it for {metals}.")},
                ),
            },
        ),
        source=ACID_TEST,
    ),
    Rule(
        name="metals-untested-for-food",
        about="food",
        when=(
            "barium, copper, manganese, chromium, nickel, vanadium, cobalt, or a rarer poisonous "
            "metal such as arsenic or uranium in the recipe, and no passed leach test for that "
            "metal, on a functional piece; a test that names no atmosphere counts for oxidation only"
        ),
        level=Level.WARN,
        look=_metals_unshown,
        for_food=True,
        kinds=AFTER_BISQUE,
        of_coats=True,
        of_materials=True,
        message=Choice(
            "when",
            {
                "now": _("{contents}, and no leach test for {metals} passed for this firing."),
                "before": _("{contents}, and no leach test for {metals} passed {at}."),
                "no air": _(
                    "{contents}, and the report of its leach test for {metals} names no atmosphere: "
                    "it counts for oxidation only."
                ),
            },
        ),
        mend=_tested_where_food_may_be(on_or_off(lambda glaze, _case: glaze.metals)),
        remedy=Choice(
            "is",
            {
                "smoked": OUT_OF_SMOKE,
                "raw": for_instructor(
                    _("{choose:capital}, or ask staff to accept the risk."),
                    _("{choose:capital}, or accept the risk."),
                    _("Have a laboratory test it for {metals}, {choose}, or accept the risk."),
                ),
                "fired": for_instructor(
                    _("Make the piece decorative, or ask staff to accept the risk."),
                    _("Make the piece decorative, or accept the risk."),
                    _("Have a laboratory test it for {metals}, make the piece decorative, or accept the risk."),
                ),
            },
        ),
    ),
    Rule(
        name=UNTESTED,
        about="food",
        when=(
            "an untested glaze on a functional piece, or one fired at another cone or in another "
            "atmosphere than its tests or its label cover"
        ),
        level=Level.WARN,
        look=_untested,
        for_food=True,
        kinds=AFTER_BISQUE,
        of_coats=True,
        of_materials=True,
        message=_("{doubts}"),
        mend=_tested_where_food_may_be(
            on_or_off(
                lambda glaze, case: standing_here(glaze, case) is _UNTESTED,
                Message("tested-here", _("tested for food in this firing")),
            )
        ),
        remedy=Choice(
            "is",
            {
                "smoked": OUT_OF_SMOKE,
                "raw": for_staff(
                    _(
                        "{choose:capital}, or ask staff to accept the risk. "
                        "Only a lab test can say whether it's food-safe."
                    ),
                    _("{choose:capital}, or accept the risk. Only a lab test can say whether it's food-safe."),
                ),
                "fired": for_instructor(
                    _(
                        "Make the piece decorative, or ask staff to accept the risk. "
                        "Only a lab test can say whether it's food-safe."
                    ),
                    _("Make the piece decorative, or accept the risk. Only a lab test can say whether it's food-safe."),
                    _(
                        "Have a laboratory test it, make the piece decorative, or accept the risk. "
                        "Only a lab test can say whether it's food-safe."
                    ),
                ),
            },
        ),
    ),
)
