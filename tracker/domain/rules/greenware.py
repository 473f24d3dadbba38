"""What raw clay asks of a firing: dry, vented, bisqued first or fired once, and nothing on it that sticks."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Message, Sentences, _
from tracker.domain.quantities import celsius, compared, mm
from tracker.domain.rules.rule import (
    NOTHING_MORE,
    SUNK_IN_CLAY,
    Case,
    Facts,
    Rule,
    for_staff,
    names_of,
)
from tracker.domain.studio.cone_bands import HOTTEST_BISQUE
from tracker.domain.studio.kilns import PULLED_HOT, VAPOR, RouteKind
from tracker.domain.studio.materials import GLASS, Coat, Glaze

RAW_IN_GLAZE_FIRING = "greenware-in-glaze-firing"
_NO_GREENWARE = VAPOR | {RouteKind.SHELF, RouteKind.OVERGLAZE}
"""Kinds of firing that take no raw clay hotter than a bisque."""


def raw_glass(case: Case) -> list[Glaze]:
    """The raw coats that melt to glass."""
    return [glaze for glaze in case.raw if glaze.coat in GLASS]


def _glazed_raw(case: Case) -> Facts | None:
    """Raw clay where no bisque comes first: bare clay may join a glaze firing that is no hotter than a bisque."""
    ware, kind = case.ware, case.route.kind
    if kind is RouteKind.ONCE_FIRE:
        if ware.fired_to is not None:
            return None
        return NOTHING_MORE if ware.has_glaze else {"why": "bare"}
    if not case.goes_in_raw or _raw_in_a_hot_fire(case):
        return None
    if kind is RouteKind.PIT:
        return {"why": "pit"}
    return NOTHING_MORE if ware.has_glaze else None


def _raw_in_a_hot_fire(case: Case) -> Facts | None:
    """Raw clay in a firing that isn't made for it: hotter than any bisque, or over fired glaze."""
    if not case.goes_in_raw:
        return None
    if case.route.kind is RouteKind.OVERGLAZE:
        return {"why": "overglaze"}
    is_hot = case.route.kind is not RouteKind.PIT and case.route.cone > HOTTEST_BISQUE
    return {"why": "hot", "firing": case.route.cone, "most": HOTTEST_BISQUE} if is_hot else None


def _off_before_the_bisque(case: Case) -> Facts:
    """What has to come off greenware before it can be bisqued: raw glaze, which would stick to its neighbors.

    No once-firing takes an overglaze or a raku glaze.
    """
    glass = raw_glass(case)
    if not glass:
        return {"on": "nothing"}
    never_once = any(glaze.coat is Coat.OVERGLAZE or glaze.is_outdoor_only for glaze in glass)
    return {"on": "never-once" if never_once else "glaze", "glazes": names_of(glass), "off": off_raw_clay(glass)}


def off_raw_clay(glass: Sequence[Glaze]) -> Sentences:
    """How raw coats come off raw clay: glaze as the instructor says, overglaze not at all without the clay it is in."""
    over = [glaze for glaze in glass if glaze.coat is Coat.OVERGLAZE]
    watery = [glaze for glaze in glass if glaze not in over]
    told = [Message("off-greenware", _OFF_GREENWARE, glazes=names_of(watery))] if watery else []
    on_clay = [Message("sunk-in-clay", SUNK_IN_CLAY, glazes=names_of(over))]
    on_glaze = [Message("off-with-glaze", _("Take {glazes} off together with the glaze."), glazes=names_of(over))]
    told += [] if not over else on_glaze if watery else on_clay
    return Sentences(tuple(told))


_OFF_GREENWARE = ByRole(
    _("Before you take {glazes} off, ask the instructor: raw clay falls apart under water."),
    {"instructor": _("Take {glazes} off with a barely damp sponge: raw clay falls apart under water.")},
)


def _once_or_bisque_first(case: Case) -> Facts:
    """As `_off_before_the_bisque`; glaze on greenware for a once-firing is meant to be there."""
    off = _off_before_the_bisque(case)
    return {**off, "on": "once"} if off["on"] == "glaze" and case.route.kind is RouteKind.ONCE_FIRE else off


def _damp_greenware(case: Case) -> Facts | None:
    return NOTHING_MORE if case.ware.dry is False and case.goes_in_raw else None


def _sealed_hollow(case: Case) -> Facts | None:
    return NOTHING_MORE if case.ware.vented is False and case.goes_in_raw else None


def _raw_in_a_fast_fire(case: Case) -> Facts | None:
    return NOTHING_MORE if case.goes_in_raw else None


def _soft_or_dry(case: Case) -> Facts:
    return {"clay": "dry" if case.ware.dry else "soft"}


def _thick_wall(case: Case) -> Facts | None:
    ware, thick = case.ware, case.practice.thick_wall_mm
    if ware.wall_mm is None or ware.wall_mm <= thick or not case.goes_in_raw:
        return None
    wall, most = compared(mm(ware.wall_mm), mm(thick))
    # What is told to be damp dries first: of that another rule speaks.
    where = "pit" if case.route.kind is RouteKind.PIT else "kiln" if ware.dry is None else "dry"
    return {"in": where, "wall": wall, "thick": most, "candling": celsius(100)}


def _candled_where(case: Case) -> Facts:
    """That a firing which takes no greenware isn't the one to candle."""
    is_refused = case.route.kind in PULLED_HOT or (case.route.kind in _NO_GREENWARE and _raw_in_a_hot_fire(case))
    return {"in": "elsewhere"} if is_refused else NOTHING_MORE


RULES = (
    Rule(
        name="glazed-raw",
        about="prep",
        when=("greenware in a once-firing or a pit, or glazed raw in a glaze firing to cone 01 or cooler"),
        level=Level.ASK,
        look=_glazed_raw,
        of_greenware=True,
        kinds=frozenset(RouteKind) - PULLED_HOT - {RouteKind.BISQUE},
        message=Choice(
            "why",
            {
                "": _("Raw glazed ware is fragile. Its steam and gases have to escape through the glaze."),
                "bare": _("This clay hasn't been bisqued. Raw clay is fragile, and it needs a slow firing."),
                "pit": _("This clay hasn't been bisqued. A pit heats fast and unevenly, and raw clay bursts easily."),
            },
        ),
        mend=_once_or_bisque_first,
        remedy=Choice(
            "on",
            {
                "once": ByRole(
                    _("Ask the instructor. Use only a glaze made for raw clay: others crack or flake off as they dry."),
                    {
                        "instructor": _(
                            "Allow it if its glaze is made for raw clay. Others crack or flake off as they dry."
                        )
                    },
                ),
                **dict.fromkeys(
                    ("glaze", "never-once"),
                    ByRole(
                        _("Bisque it first, without {glazes}, or ask the instructor to allow it. {off}"),
                        {"instructor": _("Bisque it first, without {glazes}, or allow it. {off}")},
                    ),
                ),
                "nothing": ByRole(
                    _("Bisque it first, or ask the instructor."), {"instructor": _("Bisque it first, or allow it.")}
                ),
            },
        ),
    ),
    Rule(
        name=RAW_IN_GLAZE_FIRING,
        about="prep",
        when="greenware in an overglaze firing, or hotter than cone 01 in any but a once-firing",
        level=Level.REFUSE,
        look=_raw_in_a_hot_fire,
        kinds=_NO_GREENWARE,
        of_greenware=True,
        message=Choice(
            "why",
            {
                "hot": _("This clay hasn't been bisqued. Hotter than {most}, only a once-firing takes greenware."),
                "overglaze": _("This clay hasn't been bisqued. An overglaze goes on fired glaze."),
            },
        ),
        mend=_off_before_the_bisque,
        remedy=Choice(
            "why",
            {
                "hot": Choice(
                    "on",
                    {
                        "glaze": _("Choose a once-firing. Or bisque it first, without {glazes}. {off}"),
                        "never-once": _("Bisque it first, without {glazes}. {off}"),
                        "nothing": _("Bisque it first, or choose a once-firing."),
                    },
                ),
                "overglaze": Choice(
                    "on",
                    {
                        **dict.fromkeys(
                            ("glaze", "never-once"),
                            _("Bisque it without {glazes}, then glaze and fire it first. {off}"),
                        ),
                        "nothing": _("Bisque it, then glaze and fire it first."),
                    },
                ),
            },
        ),
    ),
    Rule(
        name="sealed-hollow",
        about="prep",
        when="greenware with a sealed hollow and no vent, in any firing",
        level=Level.REFUSE,
        look=_sealed_hollow,
        needs="vented",
        of_greenware=True,
        message=_("It's hollow and closed, with no hole for the steam: it would burst."),
        mend=_soft_or_dry,
        remedy=Choice(
            "clay",
            {
                "soft": _("Poke a vent hole while the clay is still soft."),
                "dry": _("Drill a vent hole by hand, gently: the clay is dry."),
            },
        ),
    ),
    Rule(
        name="damp-greenware",
        about="prep",
        when="greenware that isn't bone dry, in any firing",
        level=Level.REFUSE,
        look=_damp_greenware,
        of_greenware=True,
        message=_("It isn't bone dry: steam would burst it and the pieces next to it."),
        remedy=_("Let it dry until it no longer feels cold against the cheek."),
    ),
    Rule(
        name="greenware-pulled-hot",
        about="prep",
        when="greenware in a firing that is pulled hot",
        level=Level.REFUSE,
        look=_raw_in_a_fast_fire,
        kinds=PULLED_HOT,
        of_greenware=True,
        message=_("This clay hasn't been bisqued: raw clay bursts in a kiln that heats this fast."),
        mend=_off_before_the_bisque,
        remedy=Choice(
            "on",
            {
                **dict.fromkeys(("glaze", "never-once"), _("Bisque it first, without {glazes}. {off}")),
                "nothing": _("Bisque it first."),
            },
        ),
    ),
    Rule(
        name="thick-wall",
        about="prep",
        when="greenware with a wall over 25 mm in any firing: candle it long below 100 °C, or bisque it before a pit",
        level=Level.WARN,
        look=_thick_wall,
        needs="wall_mm",
        of_greenware=True,
        message=Choice(
            "in",
            {
                "kiln": _("Its wall is {wall} thick, over {thick}: it needs long candling below {candling}."),
                "dry": _(
                    "Its wall is {wall} thick, over {thick}. Even bone dry, it needs long candling below {candling}."
                ),
                "pit": _("Its wall is {wall} thick, over {thick}. A pit heats it too fast: it may burst."),
            },
        ),
        mend=_candled_where,
        remedy=Choice(
            "in",
            {
                "elsewhere": _("In a firing that takes it, candle the kiln long."),
                "kiln": for_staff(
                    _("Ask staff to candle the kiln until the piece is dry."),
                    _("Candle the kiln until the piece is dry, and accept the risk."),
                ),
                "dry": for_staff(
                    _("Ask staff to candle the kiln long and heat it slowly."),
                    _("Candle the kiln long, heat it slowly, and accept the risk."),
                ),
                "pit": for_staff(
                    _("Bisque it first, or ask staff to accept the risk."),
                    _("Bisque it first, or accept the risk."),
                ),
            },
        ),
    ),
)
