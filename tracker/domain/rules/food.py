"""What may touch food: glazes, clay and firings that may not, or of which nothing is known."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from tracker.domain.cones import Cone
from tracker.domain.findings import Finding, Level
from tracker.domain.message import ByRole, Choice, Fact, Message, Plural, _
from tracker.domain.quantities import compared, percent
from tracker.domain.rules import other_firings
from tracker.domain.rules.rule import (
    NOTHING_MORE,
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
from tracker.domain.studio.absorption import Absorption, Soak, at_least, at_most
from tracker.domain.studio.kilns import AFTER_BISQUE, SMOKED, VAPOR, Atmosphere
from tracker.domain.studio.leach_evidence import failures, in_force, passed, speaking, unshown, ware_tested
from tracker.domain.studio.leach_tests import FiredAs, Judgement, ReleaseTest
from tracker.domain.studio.materials import Clay, ClayKind, Family, FoodStanding, Glaze, Trait, Zone
from tracker.domain.studio.metals import LIMITED, WATCHED, Metal, unnamed_in

UNTESTED = "untested-for-food"
SHEET_ELSEWHERE = "sheet-for-hotter-firing"
_ACID_TEST = _("FDA CPG 545.400 and 545.450 unless the studio chose 84/500/EEC or ISO 6486-2")

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_DECORATIVE = FoodStanding.DECORATIVE
_UNTESTED = FoodStanding.UNTESTED
_TESTED = FoodStanding.TESTED
_DECLARED = FoodStanding.DECLARED
_CLAIMED = frozenset({_DECLARED, _TESTED})
_UNKNOWN = ClayKind.UNKNOWN
_OXIDATION = Atmosphere.OXIDATION
_REDUCTION = Atmosphere.REDUCTION
_WANTS_OXIDATION = Trait.WANTS_OXIDATION
_WANTS_REDUCTION = Trait.WANTS_REDUCTION
_OUTSIDE = Family.OUTSIDE

FOOD_SURFACE = frozenset({Zone.ALL_OVER, Zone.INSIDE, Zone.LIP})
"""Where food comes."""

MAKE_DECORATIVE = _("Make the piece decorative.")
_CHOOSE_ANOTHER = Choice("is", {"raw": _("{choose:capital}, or make the piece decorative."), "fired": MAKE_DECORATIVE})


# ---- what tests and labels speak for ---------------------------------------------------------------------------------


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


# ---- what is wrong ---------------------------------------------------------------------------------------------------


def _decorative_on_food(case: Case) -> Facts | None:
    decorative = [glaze for glaze in case.glazes if glaze.food is _DECORATIVE]
    return {"glazes": names_of(decorative)} if decorative else None


def _outdoors_for_food(_case: Case) -> Facts:
    return NOTHING_MORE


def _porous_for_food(case: Case) -> Facts | None:
    clay, firing = case.ware.clay, case.clay_heat
    if not clay.is_mature_at(firing):
        why = "nameless" if clay.kind is _UNKNOWN else "immature"
        return {"why": why, "clay": clay.name, "low": clay.cone_low, "firing": firing, "at": at_heat(case, firing)}
    if (found := _absorbs_too_much(clay, firing, case.practice.food_absorption_pct)) is None:
        return None
    return {**found, "at": at_heat(case, firing)}


_LOW_HEAT, _STONEWARE_HEAT = Cone.parse("01"), Cone.parse("4")
"""What the data sheet of a clay for the hotter cone says isn't true of it at the cooler one (common practice)."""


def _absorbs_too_much(clay: Clay, firing: Cone, limit: float) -> Facts | None:
    """What speaks against mature clay: a measurement that bounds it before a data sheet, and else that none does."""
    told: dict[str, Fact] = {"clay": clay.name, "firing": firing, "limit": percent(limit)}
    measured = clay.measured
    least, most = at_least(measured, firing), at_most(measured, firing)
    if least is not None and least.pct > limit:
        why = "measured here" if least.method is Soak.BOIL and least.cone == firing else f"measured {least.method}"
        absorption, bound = compared(percent(least.pct), percent(limit))
        return {"why": why, **told, **measurement_of(least), "absorption": absorption, "limit": bound}
    if most is not None and most.pct <= limit:
        return None
    if (sheet := clay.absorption_pct) is not None:
        is_too_cool = firing <= _LOW_HEAT and clay.cone_high >= _STONEWARE_HEAT
        why = "absorbent" if sheet > limit else "elsewhere"
        absorption, bound = compared(percent(sheet), percent(limit))
        told |= {"why": why, "absorption": absorption, "limit": bound, "top": clay.cone_high}
        return told if sheet > limit or is_too_cool else None
    if clay.kind is _UNKNOWN or (clay.absorption is None and not measured):
        return None
    cones = tuple(dict.fromkeys(one.cone for one in measured))
    return {"why": "unbounded" if cones else "unmeasured", **told, "cones": cones}


def _sheet_of_a_hotter_firing(case: Case) -> Facts | None:
    """A data sheet within the limit that isn't known to be true of wide-range clay fired below its top cone."""
    clay, firing = case.ware.clay, case.clay_heat
    sheet = clay.absorption_pct
    if sheet is None or clay.sheet_speaks_for(firing) or _porous_for_food(case) is not None:
        return None
    most = at_most(clay.measured, firing)
    if most is not None and most.pct <= case.practice.food_absorption_pct:
        return None
    told: dict[str, Fact] = {"clay": clay.name, "firing": firing, "at": at_heat(case, firing)}
    return {**told, "absorption": percent(sheet), "top": clay.cone_high}


def _to_its_top(case: Case) -> Facts:
    """Whether a firing to the top cone of its clay, for which the sheet counts, takes the ware."""
    top = case.ware.clay.cone_high
    return {"hotter": "yes" if other_firings.hotter_for_food(case, top) else "no", "top": top}


def measurement_of(one: Absorption) -> dict[str, Fact]:
    """A measured absorption and its cone, as facts."""
    return {"absorption": percent(one.pct), "measured_at": one.cone}


def _of_nameless_clay(case: Case) -> Facts | None:
    clay = case.ware.clay
    if clay.kind is not _UNKNOWN or clay.absorption_pct is not None:
        return None
    # Once it is over or within the limit by measuring, that alone is said.
    limit, firing = case.practice.food_absorption_pct, case.route.cone
    least, most = at_least(clay.measured, firing), at_most(clay.measured, firing)
    is_known = (least is not None and least.pct > limit) or (most is not None and most.pct <= limit)
    return None if is_known else {"clay": clay.name}


def _over_the_limit(case: Case) -> Facts | None:
    failed = tuple(_failed_test(glaze, *one) for glaze in case.glazes for one in _failed(glaze, case))
    return {"failed": failed} if failed else None


def _failed(glaze: Glaze, case: Case) -> tuple[tuple[ReleaseTest, Judgement], ...]:
    return failures(glaze.tests, case.practice.regime, fired_as(glaze, case), glaze.cones) if glaze.tests else ()


def _failed_for(glaze: Glaze, case: Case) -> set[Metal]:
    """The metals for which a test of a glaze failed: of these the failed test alone is told."""
    return {test.metal for test, _judgement in _failed(glaze, case)}


def _failed_test(glaze: Glaze, test: ReleaseTest, judgement: Judgement) -> Message:
    return Message(
        "failed-leach-test",
        Choice("by", _FAILED),
        by=f"{'lab' if test.laboratory else 'anybody'}, {judgement.by}",
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


def _published(facts: Facts) -> str:
    """What a failed test rests on: limits are published of lead and cadmium alone."""
    failed = facts["failed"]
    metals = {one["metal"] for one in failed if isinstance(one, Message)} if isinstance(failed, tuple) else set()
    return _ACID_TEST if metals & set(LIMITED) else _("the laboratory's own report: no limit is published")


def over_the_limit(glaze: Glaze, failed: Iterable[tuple[ReleaseTest, Judgement]]) -> Finding:
    """What is found against a glaze by these tests, whatever firing it comes to."""
    told = tuple(_failed_test(glaze, *one) for one in failed)
    return _RELEASE.said({"failed": told}, lambda: {"is": "raw", "choose": choose_another(glaze.noun)})


def _poison_unshown(case: Case) -> Facts | None:
    """Lead and cadmium need a test that names this very cone: what is left open does not count for them.

    One that names no atmosphere is taken as made in oxidation; in vapor it speaks for that firing and its atmosphere.
    """
    found: dict[Glaze, tuple[Fact, ...]] = {}
    for glaze in case.glazes:
        if glaze.metals and (held := [metal for metal in LIMITED if metal in glaze.holds]):
            fired = fired_as(glaze, case)
            in_oxidation = fired.atmosphere in {None, _OXIDATION}
            tests = [
                test
                for test in tests_here(glaze, case)
                if test.cone is not None and (test.atmosphere is not None or in_oxidation or fired.vapor)
            ]
            settled = passed(tests, case.practice.regime, case.sort_of_ware).keys() | _failed_for(glaze, case)
            found[glaze] = tuple(metal for metal in held if metal not in settled)
    return _contents(found, case)


def _metals_unshown(case: Case) -> Facts | None:
    found: dict[Glaze, tuple[Fact, ...]] = {}
    for glaze in case.glazes:
        if glaze.metals and glaze.food is not _DECORATIVE:
            here, outside = tests_here(glaze, case), case.sort_of_ware
            settled = passed(here, case.practice.regime, outside).keys() if here else set()
            settled = settled | _failed_for(glaze, case)
            held = [metal for metal in WATCHED if metal in glaze.holds and metal not in settled]
            # A word that names no metal known here may stand for any.
            found[glaze] = (*held, *unnamed_in(glaze.metals))
    return _contents(found, case)


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


def _in_air(air: Atmosphere) -> Message:
    """An atmosphere as a sentence has it: fired "in oxidation", "in a neutral atmosphere"."""
    words = {"oxidation": _("oxidation"), "neutral": _("a neutral atmosphere"), "reduction": _("reduction")}
    return Message("in-air", Choice("air", words), air=air)


def _untested(case: Case) -> Facts | None:
    untested = [glaze for glaze in case.glazes if standing_here(glaze, case) is _UNTESTED and not _failed(glaze, case)]
    if not untested:
        return None
    told = tuple(_doubt(glaze, case) for glaze in untested)
    return {"doubts": told, "glazes": names_of(untested), "firing": case.route.cone}


def _doubt(glaze: Glaze, case: Case) -> Message:
    """What a glaze has no test for: for anything, for these metals, or for this firing."""
    here, regime, fired = tests_here(glaze, case), case.practice.regime, fired_as(glaze, case)
    heat = _heat_of(glaze, case)
    told: dict[str, Fact] = {"glaze": glaze.name, "firing": heat, "at": at_heat(case, heat)}
    if here:
        missing, for_any_ware = unshown(here, regime, fired.outside), unshown(here, regime)
        of_others = tuple(metal for metal in missing if metal not in for_any_ware)
        wares = tuple(dict.fromkeys(ware_tested(one.vessel) for one in here if one.metal in of_others))
        told |= {"why": "ware", "metals": of_others, "wares": wares} if wares else {"why": "metals", "metals": missing}
    elif close := _all_but_one(glaze, fired):
        told |= close
    elif glaze.food in _CLAIMED and fired.atmosphere is not None and (wanted := _wants_other_air(glaze, case)):
        told |= {"why": "label", "wanted": _in_air(wanted), "air": _in_air(fired.atmosphere)}
    else:
        told["why"] = "here" if in_force(glaze.tests) or glaze.food in _CLAIMED else "never"
    return Message("untested-glaze", Choice("why", _DOUBTS), **told)


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


_DOUBTS = {
    "never": _("{glaze}: no leach test on file"),
    "metals": _("{glaze}: no leach test for {metals} passed {at}"),
    "ware": _("{glaze}: its leach test for {metals} was on {wares}, and its results don't cover this ware"),
    "air": _("{glaze}: its leach test at {firing} was fired in {airs}, and this kiln fires in {air}"),
    "label": _("{glaze}: its label is for {wanted}, and this kiln fires in {air}"),
    "clay": _("{glaze}: its leach test at {firing} was on {clays}, and this piece is {clay}"),
    "vapor": _("{glaze}: no leach test in this firing, whose vapor changes it"),
    "here": _("{glaze}: no leach test and no label speaks for it {at}"),
}


# ---- what can be done about it ---------------------------------------------------------------------------------------


def on_or_off(spoils: Callable[[Glaze, Case], object], which: Message | None = None) -> Callable[[Case], Facts]:
    """Whether the coats that are in the way could still be others, and `which`, or are fired on."""

    def mend(case: Case) -> Facts:
        coats = [glaze for glaze in case.glazes if spoils(glaze, case)]
        return {"is": raw_or_fired(case, coats), "choose": choose(case, coats, which)}

    return mend


def _without_poison(case: Case) -> Facts:
    """As `on_or_off`, for coats with the metals that nobody has shown to stay in them."""
    found = _poison_unshown(case) or {}
    coats = [glaze for glaze in case.glazes if any(metal in glaze.holds for metal in LIMITED)]
    return {"is": raw_or_fired(case, coats), "choose": choose(case, coats, without(found.get("metals")))}


def _fired_indoors_instead(case: Case) -> Facts:
    """Whether the ware could go in a firing indoors; a raku glaze keeps it out of any until it is washed off."""
    outdoor = [glaze for glaze in case.glazes if glaze.is_outdoor_only]
    if outdoor:
        return {"instead": raw_or_fired(case, outdoor), "choose": choose(case, outdoor)}
    return {"instead": "indoors" if other_firings.hotter_for_food(case, case.ware.clay.cone_low) else "fired"}


def _hotter_or_decorative(case: Case) -> Facts:
    """Whether a hotter firing matures the clay and suits the rest of the ware."""
    return {"hotter": "yes" if other_firings.hotter_for_food(case, case.ware.clay.cone_low) else "no"}


_RELEASE = Rule(
    name="release-over-limit",
    about="food",
    when="a leach test of a glaze that failed (lead or cadmium over the published limit), on a functional piece",
    level=Level.REFUSE,
    look=_over_the_limit,
    for_food=True,
    of_coats=True,
    of_materials=True,
    message=_("{failed}."),
    mend=on_or_off(_failed),
    remedy=_CHOOSE_ANOTHER,
    source=_ACID_TEST,
    rests_on=_published,
)

_CHOOSE_DENSER = _("Make the piece decorative. For functional ware, choose a denser clay.")
_MEASURE_IT = _("Measure its absorption at this cone by ASTM C373, or make the piece decorative.")

RULES = (
    Rule(
        name="decorative-glaze-for-food",
        about="food",
        when="a decorative glaze anywhere on a functional piece",
        level=Level.REFUSE,
        look=_decorative_on_food,
        at_glazing=True,
        for_food=True,
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} is decorative only, and this piece is functional.",
            "{glazes} are decorative only, and this piece is functional.",
        ),
        mend=on_or_off(
            lambda glaze, _case: glaze.food is _DECORATIVE, Message("for-food", _("made for functional ware"))
        ),
        remedy=_CHOOSE_ANOTHER,
    ),
    Rule(
        name="outdoors-for-food",
        about="food",
        when="a raku, horsehair or pit firing of a functional piece",
        level=Level.REFUSE,
        look=_outdoors_for_food,
        for_food=True,
        kinds=SMOKED,
        of_materials=True,
        message=_(
            "This piece is functional, and ware from raku, horsehair and pit firings isn't food-safe. "
            "Its clay stays porous, smoke stays in the wall, and copper can leach from raku glazes."
        ),
        mend=_fired_indoors_instead,
        remedy=Choice(
            "instead",
            {
                "indoors": _("Choose a firing that matures its clay, or make the piece decorative."),
                "raw": _("{choose:capital}, and another firing. Or make the piece decorative."),
                "fired": MAKE_DECORATIVE,
            },
        ),
    ),
    Rule(
        name="clay-porous-for-food",
        about="food",
        when="clay for food that isn't mature at the firing's cone, or isn't shown to absorb within the studio's limit",
        level=Level.REFUSE,
        look=_porous_for_food,
        for_food=True,
        # A bisque is only the first fire: the one that matures the clay is still to come.
        kinds=AFTER_BISQUE,
        of_materials=True,
        message=Choice(
            "why",
            {
                "immature": _("{clay} matures at {low}: {at}, it stays too porous for food."),
                "nameless": _("{clay} hasn't been identified. {at:capital}, it may stay too porous for food."),
                "absorbent": _("{clay} absorbs {absorption} when mature, over the limit for food of {limit}."),
                "elsewhere": _(
                    "{at:capital}, {clay} counts as porous. Its data sheet ({absorption} when mature) doesn't cover "
                    "a firing this cool: the clay goes up to {top}."
                ),
                "measured here": _("{clay} absorbs {absorption} {at}, over the limit for food of {limit}."),
                "measured boil": _(
                    "{clay} absorbs {absorption} at {measured_at}, over the limit for food of {limit}. "
                    "{at:capital}, it absorbs at least as much."
                ),
                "measured cold": _(
                    "{clay} absorbs at least {absorption} at {measured_at} (cold soak). The limit for food is {limit}."
                ),
                "unbounded": _(
                    "{clay} counts as porous: its tests at {cones} don't show an absorption within {limit} {at}."
                ),
                "unmeasured": _("{clay} counts as porous: its absorption isn't known."),
            },
        ),
        mend=_hotter_or_decorative,
        remedy=Choice(
            "why",
            {
                "immature": Choice(
                    "hotter",
                    {
                        "yes": _("Choose a hotter firing that matures this clay, or make the piece decorative."),
                        "no": MAKE_DECORATIVE,
                    },
                ),
                "nameless": _("Identify the clay, or make the piece decorative."),
                "absorbent": _CHOOSE_DENSER,
                "elsewhere": _MEASURE_IT,
                "measured here": _CHOOSE_DENSER,
                "measured boil": _CHOOSE_DENSER,
                "measured cold": _CHOOSE_DENSER,
                "unbounded": _MEASURE_IT,
                "unmeasured": _MEASURE_IT,
            },
        ),
        source=_("absorption by ASTM C373; the limit is common practice, and a setting"),
    ),
    Rule(
        name=SHEET_ELSEWHERE,
        about="food",
        when=(
            "clay for food that matures over more than two cones, fired below its top cone: only its data sheet says "
            "that it absorbs within the limit"
        ),
        level=Level.WARN,
        look=_sheet_of_a_hotter_firing,
        for_food=True,
        # As above: a bisque is only the first fire.
        kinds=AFTER_BISQUE,
        of_materials=True,
        message=_(
            "The data sheet of {clay} ({absorption} when mature) names no cone, so it counts for {top}. "
            "{at:capital}, the clay may absorb more than the limit for food."
        ),
        mend=_to_its_top,
        remedy=Choice(
            "hotter",
            {
                "yes": for_instructor(
                    _(
                        "Choose a firing to {top}, have its absorption measured at this cone, make the piece "
                        "decorative, or ask staff to accept the risk."
                    ),
                    _("Choose a firing to {top}, make the piece decorative, or accept the risk."),
                    _(
                        "Choose a firing to {top}, measure its absorption at this cone by ASTM C373, make the piece "
                        "decorative, or accept the risk."
                    ),
                ),
                "no": for_instructor(
                    _(
                        "Have its absorption measured at this cone, make the piece decorative, or ask staff to accept "
                        "the risk."
                    ),
                    _("Make the piece decorative, or accept the risk."),
                    _(
                        "Measure its absorption at this cone by ASTM C373, make the piece decorative, or accept the "
                        "risk."
                    ),
                ),
            },
        ),
        source=_("absorption by ASTM C373; clay absorbs more the cooler it is fired (common practice)"),
    ),
    Rule(
        name="nameless-clay-for-food",
        about="food",
        when="clay for food that hasn't been identified, until its absorption has been measured",
        level=Level.REFUSE,
        look=_of_nameless_clay,
        for_food=True,
        # As above: a bisque is only the first fire.
        kinds=AFTER_BISQUE,
        of_materials=True,
        message=_("{clay} hasn't been identified, and its absorption isn't known."),
        remedy=_("Make the piece decorative, or measure the absorption of this clay."),
        source=_("absorption by ASTM C373; what isn't known counts as unsafe"),
    ),
    _RELEASE,
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
        source=_ACID_TEST,
    ),
    Rule(
        name="metals-untested-for-food",
        about="food",
        when=(
            "barium, copper, manganese, chromium, nickel, vanadium, cobalt, or a rarer poisonous "
            "metal such as arsenic or uranium in the recipe, and no passed leach test for that "
            "metal, on a functional piece"
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
            },
        ),
        mend=on_or_off(lambda glaze, _case: glaze.metals),
        remedy=Choice(
            "is",
            {
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
        message=_("{doubts}."),
        mend=on_or_off(
            lambda glaze, case: standing_here(glaze, case) is _UNTESTED,
            Message("tested-here", _("tested for food in this firing")),
        ),
        remedy=Choice(
            "is",
            {
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
