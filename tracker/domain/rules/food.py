"""What may touch food: glazes, clay and firings that may not, or of which nothing is known."""

from __future__ import annotations

from collections.abc import Callable

from tracker.domain.cones import Cone, ConeRange
from tracker.domain.findings import Level
from tracker.domain.message import Choice, Fact, Message, Plural, _
from tracker.domain.quantities import compared, percent
from tracker.domain.rules import other_firings
from tracker.domain.rules.rule import (
    Case,
    Facts,
    Rule,
    at_heat,
    choose,
    for_instructor,
    names_of,
    raw_or_fired,
)
from tracker.domain.studio.absorption import Absorption, Soak, at_least
from tracker.domain.studio.kilns import AFTER_BISQUE, SMOKED
from tracker.domain.studio.materials import HOTTEST_LOW_FIRE, Clay, ClayKind, Coat, FoodStanding, Glaze, Zone

SHEET_ELSEWHERE = "sheet-for-hotter-firing"


# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_DECORATIVE = FoodStanding.DECORATIVE
_GLAZE = Coat.GLAZE

_UNKNOWN = ClayKind.UNKNOWN

FOOD_SURFACE = frozenset({Zone.ALL_OVER, Zone.INSIDE, Zone.LIP})
"""Where food comes."""

MAKE_DECORATIVE = _("Make the piece decorative.")
CHOOSE_ANOTHER = Choice("is", {"raw": _("{choose:capital}, or make the piece decorative."), "fired": MAKE_DECORATIVE})


def _decorative_on_food(case: Case) -> Facts | None:
    decorative = [glaze for glaze in case.glazes if glaze.food is _DECORATIVE]
    return {"glazes": names_of(decorative)} if decorative else None


def _outdoors_for_food(case: Case) -> Facts:
    heat = case.ware.fired_to
    return {"wall": "dense" if heat is not None and case.ware.clay.is_dense_at(heat) else "porous"}


def _porous_for_food(case: Case) -> Facts | None:
    clay, firing, limit = case.ware.clay, case.clay_heat, case.practice.food_absorption_pct
    if clay.is_shown_within(firing, limit):
        return None
    if not clay.is_mature_at(firing):
        why = "nameless" if clay.kind is _UNKNOWN else "immature"
        told: dict[str, Fact] = {"clay": clay.name, "low": clay.cone_low, "firing": firing}
        stays = "surely" if clay.stays_over(firing, limit) else "maybe"
        return {"why": why, **told, "at": at_heat(case, firing), "stays": stays}
    if (found := _absorbs_too_much(clay, firing, limit)) is None:
        return None
    return {**found, "at": at_heat(case, firing)}


_STONEWARE_HEAT = Cone.parse("4")
"""What the data sheet of a clay for this cone says isn't true of it as low-fire ware (common practice)."""


def _absorbs_too_much(clay: Clay, firing: Cone, limit: float) -> Facts | None:
    """What speaks against mature clay: a measurement that bounds it before a data sheet, and else that none does."""
    told: dict[str, Fact] = {"clay": clay.name, "firing": firing, "limit": percent(limit)}
    measured = clay.measured
    least = at_least(measured, firing)
    if least is not None and least.pct > limit:
        why = "measured here" if least.method is Soak.BOIL and least.cone == firing else f"measured {least.method}"
        absorption, bound = compared(percent(least.pct), percent(limit))
        return {"why": why, **told, **measurement_of(least), "absorption": absorption, "limit": bound}
    if (sheet := clay.absorption_pct) is not None:
        is_too_cool = firing <= HOTTEST_LOW_FIRE and clay.cone_high >= _STONEWARE_HEAT
        why = "absorbent" if sheet > limit else "elsewhere"
        absorption, bound = compared(percent(sheet), percent(limit))
        told |= {"why": why, "absorption": absorption, "limit": bound, "top": clay.cone_high}
        return told if sheet > limit or is_too_cool else None
    if clay.kind is _UNKNOWN or (clay.absorption is None and not measured):
        return None
    if measured and all(one.method is Soak.COLD for one in measured):
        return {"why": "soaked", **told}
    cones = tuple(dict.fromkeys(one.cone for one in measured))
    return {"why": "unbounded" if cones else "unmeasured", **told, "cones": cones}


def _sheet_of_a_hotter_firing(case: Case) -> Facts | None:
    """A data sheet within the limit that isn't known to be true of wide-range clay fired below its top cone."""
    clay, firing = case.ware.clay, case.clay_heat
    sheet = clay.absorption_pct
    if sheet is None or clay.sheet_speaks_for(firing) or _porous_for_food(case) is not None:
        return None
    if clay.is_shown_within(firing, case.practice.food_absorption_pct):
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
    limit, firing = case.practice.food_absorption_pct, case.clay_heat
    is_known = clay.is_shown_over(firing, limit) or clay.is_shown_within(firing, limit)
    return None if is_known else {"clay": clay.name}


def on_or_off(spoils: Callable[[Glaze, Case], object], which: Message | None = None) -> Callable[[Case], Facts]:
    """Whether the coats that are in the way could still be others, and `which`, or are fired on."""

    def mend(case: Case) -> Facts:
        coats = [glaze for glaze in case.glazes if spoils(glaze, case)]
        return {"is": raw_or_fired(case, coats), "choose": choose(case, coats, which)}

    return mend


def fired_indoors_instead(case: Case) -> Facts:
    """Whether the ware could go in a firing indoors; a raku glaze keeps it out of any until it is washed off."""
    outdoor = [glaze for glaze in case.glazes if glaze.is_outdoor_only]
    if outdoor:
        return {"instead": raw_or_fired(case, outdoor), "choose": choose(case, outdoor)}
    if not other_firings.hotter_for_food(case, case.ware.clay.cone_low):
        return {"instead": "fired"}
    heat = case.ware.fired_to
    return {"instead": "mature" if heat is not None and case.ware.clay.is_mature_at(heat) else "indoors"}


def never_dense_enough(case: Case) -> bool:
    """Whether its clay is too porous for food in this firing, and no hotter one that matures it suits the ware."""
    return _porous_for_food(case) is not None and _hotter_or_decorative(case)["hotter"] == "no"


def _hotter_or_decorative(case: Case) -> Facts:
    """Whether a hotter firing matures the clay and suits the rest of the ware."""
    low = case.ware.clay.cone_low
    if other_firings.hotter_for_food(case, low):
        return {"hotter": "yes"}
    # What is raw and can't take that heat may be washed off and give way to another.
    weak = [glaze for glaze in case.raw if glaze.ceiling < low and glaze.coat is _GLAZE]
    if weak and other_firings.hotter_for_food(other_firings.without(case, weak), low):
        hot = Message("between-cones", _("for {cones}"), cones=ConeRange(low, case.ware.clay.ceiling))
        return {"hotter": "reglazed", "choose": choose(case, weak, hot)}
    over = [glaze for glaze in case.raw if glaze.ceiling < low and glaze.coat is Coat.OVERGLAZE]
    if over and other_firings.hotter_for_food(other_firings.without(case, over), low):
        return {"hotter": "overglaze", "overglazes": names_of(over)}
    return {"hotter": "no"}


_CHOOSE_DENSER = _("Make the piece decorative. For functional ware, choose a denser clay.")
_MEASURE_IT = _("Measure its absorption at this cone by ASTM C373, or make the piece decorative.")
OUT_OF_SMOKE = Choice(
    "instead",
    {
        "indoors": _("Choose a firing that matures its clay, or make the piece decorative."),
        "mature": _("Choose another firing, or make the piece decorative."),
        "raw": _("{choose:capital}, and another firing. Or make the piece decorative."),
        "fired": MAKE_DECORATIVE,
    },
)
"""What is left to ware for food in a firing that smokes: no ware from there is for food (common practice)."""


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
        remedy=CHOOSE_ANOTHER,
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
        message=Choice(
            "wall",
            {
                "porous": _(
                    "This piece is functional, and ware from raku, horsehair and pit firings isn't food-safe. "
                    "Its clay stays porous, smoke stays in the wall, and copper can leach from raku glazes."
                ),
                "dense": _(
                    "This piece is functional, and ware from raku, horsehair and pit firings isn't food-safe. "
                    "Smoke and ash stay on the surface and don't wash off, and copper can leach from raku glazes."
                ),
            },
        ),
        mend=fired_indoors_instead,
        remedy=OUT_OF_SMOKE,
    ),
    Rule(
        name="clay-porous-for-food",
        about="food",
        when=(
            "clay for food that isn't mature at the firing's cone, or isn't shown to absorb within the studio's limit; "
            "not where a boil test at this cone or a cooler one is within it"
        ),
        level=Level.REFUSE,
        look=_porous_for_food,
        for_food=True,
        # A bisque is only the first fire: the one that matures the clay is still to come.
        kinds=AFTER_BISQUE,
        of_materials=True,
        message=Choice(
            "why",
            {
                "immature": Choice(
                    "stays",
                    {
                        "surely": _("{clay} matures at {low}: {at}, it stays too porous for food."),
                        "maybe": _("{clay} matures at {low}: {at}, it may stay too porous for food."),
                    },
                ),
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
                "soaked": _("{clay} counts as porous: a cold soak can't show an absorption within {limit}."),
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
                        "reglazed": _(
                            "Make the piece decorative. For functional ware, {choose} and a firing that matures this "
                            "clay."
                        ),
                        "overglaze": _(
                            "Leave {overglazes} off until a hotter firing has matured this clay, or make the piece "
                            "decorative."
                        ),
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
                "soaked": _MEASURE_IT,
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
)
