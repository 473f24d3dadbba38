"""Clay that stays porous after its firing, though nothing is to be eaten from it."""

from __future__ import annotations

from tracker.domain.findings import Level
from tracker.domain.message import Choice, Fact, Message, _
from tracker.domain.pieces.piece import Use
from tracker.domain.quantities import percent
from tracker.domain.rules.food import measurement_of
from tracker.domain.rules.overlaps import kept_bare, lining
from tracker.domain.rules.rule import Case, Facts, Rule, at_heat, names_of
from tracker.domain.studio.absorption import Soak, at_least, at_most
from tracker.domain.studio.kilns import AFTER_BISQUE, SMOKED, VAPOR
from tracker.domain.studio.materials import (
    HOTTEST_LOW_FIRE,
    NON_VITREOUS_PCT,
    ClayKind,
    Zone,
)

STAYS_POROUS = "clay-stays-porous"

_DECORATIVE = Use.DECORATIVE
_UNKNOWN = ClayKind.UNKNOWN


def _stays_porous(case: Case) -> Facts | None:
    ware, clay, firing = case.ware, case.ware.clay, case.route.cone
    if ware.use is not _DECORATIVE:
        return _not_judged(case)
    if clay.is_mature_at(case.clay_heat) and not _is_anybodys_guess(case):
        return _seeps(case)
    # A test is the fact, whatever cones its label names.
    if clay.is_shown_within(case.clay_heat, NON_VITREOUS_PCT):
        return None
    if clay.is_shown_over(case.clay_heat, NON_VITREOUS_PCT) and (found := _seeps(case)):
        return found
    known = "nameless" if clay.kind is _UNKNOWN else "known"
    # What is pulled hot is pulled by its pyrometer, often below its cone.
    known += "-pulled" if case.route.is_pulled_hot else "-lined" if _inside(case) == "lined" else ""
    at = at_heat(case, case.clay_heat)
    stays = "surely" if clay.stays_over(case.clay_heat, NON_VITREOUS_PCT) else "maybe"
    return {"clay": clay.name, "low": clay.cone_low, "firing": firing, "at": at, "known": known, "stays": stays}


def _is_anybodys_guess(case: Case) -> bool:
    """Whether nobody can name the clay nor has told what it absorbs: it counts as low-fire ware, which is porous.

    Vapor may glaze what is bare, and over its top nothing is known.
    """
    clay = case.ware.clay
    if clay.kind is not _UNKNOWN or case.clay_heat > clay.ceiling:
        return False
    is_bare_in_vapor = case.route.kind in VAPOR and not case.ware.has_glaze
    is_told = clay.absorption_pct is not None and clay.absorption_pct <= NON_VITREOUS_PCT
    return not is_bare_in_vapor and not is_told


def _not_judged(case: Case) -> Facts | None:
    """Clay for food of which nobody has told what it absorbs, though it usually stays porous.

    No measuring makes ware for food of what comes out of smoke.
    """
    ware, clay = case.ware, case.ware.clay
    is_told = clay.absorption is not None or clay.measured or clay.absorption_pct is not None
    is_never_for_food = case.route.kind in SMOKED
    if ware.use is not Use.FOOD or is_told or is_never_for_food or not clay.is_mature_at(case.clay_heat):
        return None
    found = _seeps(case)
    return found and {**found, "known": f"{found['known']}-untold"}


def _measured_or_kept_dry(case: Case) -> Facts:
    """What is left to do about porous clay, by what the piece is for."""
    return {"for": "food" if case.ware.use is Use.FOOD else "show"}


def _porous_by(facts: Facts) -> str:
    """What it rests on that clay stays porous: a number, or what potters know."""
    return _("absorption by ASTM C373; ANSI A137.1") if "absorption" in facts else _("common practice")


def _inside(case: Case) -> str:
    """What the inside is: "lined" with glaze that melts in this firing or did before, "immature" glaze, or "bare"."""
    if not (glaze := lining(case.ware)):
        return "bare" if Zone.INSIDE not in kept_bare(case.ware) else "waxed"
    firing = case.route.cone
    melted = any(layer.glaze.cone_low <= max(firing, layer.fired_to or firing) for layer in glaze)
    return "lined" if melted else "immature"


def _water_seeps(case: Case) -> dict[str, Fact]:
    """Where water gets into porous clay, by what is inside."""
    inside = _inside(case)
    glazes = names_of(layer.glaze for layer in lining(case.ware))
    return {"inside": inside, "seeps": Message("water-seeps", Choice("inside", _SEEPS), inside=inside, glazes=glazes)}


_SEEPS = {
    "bare": _("Without a glaze inside, water seeps through."),
    "waxed": _("Where wax keeps the inside bare, water seeps through."),
    "immature": _("This firing doesn't mature the glaze inside ({glazes}), so water may seep through."),
    "lined": _("Water seeps in where its glaze is crazed, thin or missing."),
}


def _seeps(case: Case) -> Facts | None:
    """Mature clay that takes up much water, or nobody has measured what never turns dense: it stays porous.

    Earthenware never does, nor any clay that was fired no hotter than low-fire ware. One that came through a firing
    over its top closes no more for that.
    """
    ware, clay, heat = case.ware, case.ware.clay, case.clay_heat
    # Vapor may glaze what is bare, of clay that nobody can name another rule asks, and what goes over its top slumps.
    is_bare_in_vapor = case.route.kind in VAPOR and not ware.has_glaze
    if clay.kind is _UNKNOWN or is_bare_in_vapor or case.route.cone > clay.ceiling:
        return None
    told: dict[str, Fact] = {"clay": clay.name, **_water_seeps(case)}
    least, most = at_least(clay.measured, heat), at_most(clay.measured, heat)
    if least is not None and least.pct > NON_VITREOUS_PCT:
        known = "tested" if least.method is Soak.BOIL and least.cone == heat else "tested-least"
        return {**told, **measurement_of(least), "known": known}
    if most is not None and (most.pct <= NON_VITREOUS_PCT or not clay.sheet_speaks_for(heat)):
        return None if most.pct <= NON_VITREOUS_PCT else {**told, **measurement_of(most), "known": "tested-most"}
    if (sheet := clay.absorption_pct) is not None:
        return None if sheet <= NON_VITREOUS_PCT else {**told, "absorption": percent(sheet), "known": "mature"}
    is_earthenware = clay.kind is ClayKind.EARTHENWARE
    if not is_earthenware and heat > HOTTEST_LOW_FIRE:
        return None
    return {**told, "known": "unmeasured" if is_earthenware else "low-fired"}


RULES = (
    Rule(
        name=STAYS_POROUS,
        about="heat",
        when=(
            "a decorative piece whose clay isn't mature at the firing's cone, or absorbs over 7%, or isn't known to "
            "absorb less and is earthenware, not identified or fired to cone 01 or cooler; glazed inside or not; not "
            "where a boil test shows 7% or less; a functional piece of such clay in a what-if that doesn't say what it "
            "absorbs"
        ),
        level=Level.NOTE,
        look=_stays_porous,
        kinds=AFTER_BISQUE,
        of_materials=True,
        message=Choice(
            "known",
            {
                "known": Choice(
                    "stays",
                    {
                        "surely": _("{clay} matures at {low}: {at}, it stays porous and won't hold water."),
                        "maybe": _("{clay} matures at {low}: {at}, it may stay porous and not hold water."),
                    },
                ),
                "known-lined": Choice(
                    "stays",
                    {
                        "surely": _(
                            "{clay} matures at {low}: {at}, it stays porous under its glaze. "
                            "Water seeps in where the glaze is crazed, thin or missing."
                        ),
                        "maybe": _(
                            "{clay} matures at {low}: {at}, it may stay porous under its glaze. "
                            "Water then seeps in where the glaze is crazed, thin or missing."
                        ),
                    },
                ),
                "mature": _("{clay} absorbs {absorption} when mature. {seeps}"),
                "tested": _("{clay} absorbs {absorption} at {measured_at}. {seeps}"),
                "tested-least": _("{clay} absorbs at least {absorption}, by its test at {measured_at}. {seeps}"),
                "tested-most": _("{clay} may absorb up to {absorption}, by its test at {measured_at}. {seeps}"),
                "unmeasured": _("{clay} is earthenware, which stays porous even when mature. {seeps}"),
                "low-fired": _("{clay} stays porous when it's fired this low. {seeps}"),
                "unmeasured-untold": _(
                    "The absorption of {clay} wasn't given, so it isn't judged. Earthenware usually stays porous."
                ),
                "low-fired-untold": _(
                    "The absorption of {clay} wasn't given, so it isn't judged. Clay fired this low usually stays "
                    "porous."
                ),
                "nameless": _("{clay} hasn't been identified. {at:capital}, it may stay porous and not hold water."),
                "nameless-lined": _(
                    "{clay} hasn't been identified. {at:capital}, it may stay porous under its glaze. "
                    "Water then seeps in where the glaze is crazed, thin or missing."
                ),
                "known-pulled": Choice(
                    "stays",
                    {
                        "surely": _("{clay} matures at {low}. Fired cooler, it stays porous and won't hold water."),
                        "maybe": _("{clay} matures at {low}. Fired cooler, it may stay porous and not hold water."),
                    },
                ),
                "nameless-pulled": _(
                    "{clay} hasn't been identified. Fired this low, it may stay porous and not hold water."
                ),
            },
        ),
        mend=_measured_or_kept_dry,
        remedy=Choice(
            "for",
            {
                "food": _("Measure its absorption by ASTM C373, or make the piece decorative."),
                "show": _("A decorative piece may stay porous. Don't keep water in it."),
            },
        ),
        source=_("common practice; over 7% is non-vitreous (ANSI A137.1)"),
        rests_on=_porous_by,
    ),
)
