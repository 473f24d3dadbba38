"""What raw glaze does on ware that takes it otherwise than good bisque: too soft, too dense, or glazed already."""

from __future__ import annotations

from tracker.domain.cones import Cone
from tracker.domain.findings import Finding, Level
from tracker.domain.message import Choice, _
from tracker.domain.pieces.outcomes import OF_BISQUE_HEAT, Flaw
from tracker.domain.pieces.piece import Ware
from tracker.domain.rules.melting import NEARLY_AS_HOT_C
from tracker.domain.rules.refire import raw_in_the_way
from tracker.domain.rules.rule import Case, Facts, Rule, names_of
from tracker.domain.studio.absorption import at_most
from tracker.domain.studio.kilns import AFTER_BISQUE
from tracker.domain.studio.materials import GLASS, HOTTEST_LOW_FIRE, Clay, Coat, Glaze

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_GLAZE = Coat.GLAZE


def _takes_glaze_otherwise(case: Case) -> Facts | None:
    """Bisque that came out too soft or too dense for its raw glaze."""
    flaws = [flaw for flaw in case.ware.flaws if flaw in OF_BISQUE_HEAT]
    is_told = Flaw.SHIVERED in case.ware.flaws
    return {"why": flaws[0]} if flaws and not is_told and case.ware.is_glazed_bisque else None


def _takes_little_glaze(case: Case) -> Facts | None:
    """Raw glaze on clay that a fire made dense, or over fired glaze: neither absorbs the water of the glaze."""
    ware = case.ware
    if ware.fired_to is None or not any(glaze.coat is _GLAZE for glaze in case.raw):
        return None
    over = _over_fired_glaze(case) if len(ware.layers) > 1 else []
    if not (over or _counts_as_dense(ware.clay, ware.fired_to)) or _takes_glaze_otherwise(case) is not None:
        return None
    if ware.flaws and not ware.is_glaze_fired and not ware.is_glazed_bisque:
        # Nobody has told its fired glaze: it is the one that came out flawed.
        return None
    if raw_in_the_way(case):
        # It comes off before the firing that mends the piece.
        return None
    return {"why": "glaze", "glazes": names_of(over)} if over else {"why": "clay", "heat": ware.fired_to}


def _counts_as_dense(clay: Clay, heat: Cone) -> bool:
    """Whether clay fired to `heat` absorbs little water: as it was measured, or else where it is near its top cone."""
    is_near_top = heat > HOTTEST_LOW_FIRE and heat.celsius >= clay.cone_high.celsius - NEARLY_AS_HOT_C
    is_told = is_near_top or clay.sheet_speaks_for(heat) or at_most(clay.measured, heat) is not None
    return is_told and clay.is_dense_at(heat)


def _over_fired_glaze(case: Case) -> list[Glaze]:
    """The raw glaze with fired glaze under it somewhere."""
    found, under = [], []
    for layer in case.ware.layers:
        if layer.glaze.coat not in GLASS:
            continue
        if layer.fired_to is not None and layer.fired_to >= layer.glaze.cone_low:
            under.append(layer.zone)
        elif layer.fired_to is None and layer.glaze.coat is _GLAZE and any(zone.meets(layer.zone) for zone in under):
            found.append(layer.glaze)
    return found


def told_before_glazing(ware: Ware) -> Finding | None:
    """What bisque that came out too soft or too dense does to its glaze, to be told while it has none."""
    takes_otherwise, takes_little = RULES
    if flaws := [flaw for flaw in ware.flaws if flaw in OF_BISQUE_HEAT]:
        return takes_otherwise.said({"why": flaws[0]}, dict)
    if ware.fired_to is not None and _counts_as_dense(ware.clay, ware.fired_to):
        return takes_little.said({"why": "clay", "heat": ware.fired_to}, dict)
    return None


RULES = (
    Rule(
        name="bisque-takes-glaze-otherwise",
        about="prep",
        when="raw glaze on bisque that came out underfired or overfired",
        level=Level.NOTE,
        look=_takes_glaze_otherwise,
        of_flaws=True,
        of_coats=True,
        message=Choice(
            "why",
            {
                Flaw.UNDERFIRED: _("Its bisque came out underfired: it's soft, and takes too much glaze."),
                Flaw.OVERFIRED: _("Its bisque came out overfired: it's dense, and takes too little glaze."),
            },
        ),
        remedy=Choice(
            "why",
            {
                Flaw.UNDERFIRED: _("Check that the coat isn't too thick, and handle it gently."),
                Flaw.OVERFIRED: _("Check that the coat is thick enough. Warm bisque takes more."),
            },
        ),
    ),
    Rule(
        name="glaze-on-dense-ware",
        about="prep",
        when="raw glaze on clay that was fired dense, or over fired glaze",
        level=Level.NOTE,
        look=_takes_little_glaze,
        kinds=AFTER_BISQUE,
        of_coats=True,
        message=Choice(
            "why",
            {
                "clay": _("It was fired to {heat}, where its clay counts as dense: it takes little glaze."),
                "glaze": _("{glazes:capital} goes over fired glaze, which absorbs no water: little glaze stays on."),
            },
        ),
        remedy=_("Check that the coat is thick enough. Warm the piece before you glaze it, or use a thickened glaze."),
    ),
)
