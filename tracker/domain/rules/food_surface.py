"""What a food surface is: lined with glaze, of one glaze or two, crackled, or flawed by its last firing."""

from __future__ import annotations

from itertools import combinations

from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Message, Plural, _
from tracker.domain.pieces.outcomes import LASTING, Flaw, came_out
from tracker.domain.pieces.piece import Coats, Ware
from tracker.domain.rules import food, food_tests, other_firings
from tracker.domain.rules.food import FOOD_SURFACE, MAKE_DECORATIVE, measurement_of, never_dense_enough, on_or_off
from tracker.domain.rules.food_tests import standing_here
from tracker.domain.rules.melting import of_last_firing, spared_its_clay
from tracker.domain.rules.overlaps import kept_bare, lining, pairs
from tracker.domain.rules.refire import (
    HERE,
    HOTTER,
    NEVER,
    bare_spots,
    melts_where,
    overglaze_firing,
    raw_in_the_way,
    softens,
)
from tracker.domain.rules.rule import Case, Facts, Rule, for_instructor, names_of, washed_off, wax_first
from tracker.domain.studio.absorption import at_most
from tracker.domain.studio.kilns import AFTER_BISQUE, SMOKED, VAPOR, RouteKind
from tracker.domain.studio.materials import GLASS, ON_CLAY, ClayKind, Coat, FoodStanding, Layer, Trait, Zone

CRACKLE = "crackle-for-food"
FLAWED = "flawed-for-food"
OVERFIRED = "overfired-for-food"
UNLINED = "unlined-for-food"

INSIDE = frozenset({Zone.ALL_OVER, Zone.INSIDE})
"""Where a liner glaze goes."""

DENSE_PCT = 0.5
"""Clay that absorbs no more than this, in percent, is impervious (ANSI A137.1)."""

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_KNOWN = frozenset({FoodStanding.TESTED, FoodStanding.DECLARED})
_UNSHOWN = frozenset({FoodStanding.UNTESTED, None})
_CRACKLE = Trait.CRACKLE
_GLAZE = Coat.GLAZE
_UNKNOWN = ClayKind.UNKNOWN
LAYERED_FOR_FOOD = "layered-for-food"
_ON_RECORD, _ALL_TOLD = Coats.ON_RECORD, Coats.ALL_TOLD

_TOO_HOT = (Flaw.BLOATED, Flaw.OVERFIRED)
"""Flaws of a firing hotter than the clay or the glaze is known at."""


def _unlined(case: Case) -> Facts | None:
    """What the inside of ware without a liner glaze is instead.

    Of ware without glaze it is asked only in a what-if that says that none goes on.
    """
    ware = case.ware
    is_asked = ware.coats is _ALL_TOLD or (ware.coats is _ON_RECORD and ware.has_glaze)
    if not is_asked or lining(ware):
        return None
    if Zone.INSIDE in kept_bare(ware):
        return {"why": "waxed"}
    most = at_most(ware.clay.measured, case.clay_heat)
    if most is not None and most.pct <= DENSE_PCT:
        return {"why": "dense", "clay": ware.clay.name, **measurement_of(most)}
    inside = [layer.glaze for layer in ware.layers if layer.zone in INSIDE and not layer.glaze.burns_away]
    return {"why": "coats" if inside else "bare", "glazes": names_of(inside)}


def _layered(case: Case) -> Facts | None:
    """Of two glazes, or a glaze and a coat on it, that meet where food does, what nobody has tested together.

    Of an overglaze, or of a slip, an underglaze or sigillata over the glaze, nothing has to be known: the glaze under
    it is no longer what was tested.
    """
    if len(case.glazes) < 2:  # noqa: PLR2004 -- one glaze alone lies over none
        return None
    there = [layer.glaze for layer in case.ware.layers if layer.zone in FOOD_SURFACE and layer.glaze.coat in GLASS]
    standings = {glaze: standing_here(glaze, case) for glaze in dict.fromkeys(there)}
    known = [glaze for glaze, standing in standings.items() if standing in _KNOWN]
    over = [one for one, standing in standings.items() if one.coat is Coat.OVERGLAZE and standing in _UNSHOWN]
    over += [upper.glaze for lower, upper in _on_the_glaze(case) if lower.glaze in known]
    if over and any(glaze.coat is _GLAZE for glaze in known):
        meeting = {*known, *over}
        return {"glazes": names_of(one for one in case.glazes if one in meeting), "why": "untested"}
    return {"glazes": names_of(known), "why": "alone"} if any(combinations(known, 2)) else None


def _on_the_glaze(case: Case) -> list[tuple[Layer, Layer]]:
    """Each slip, underglaze and sigillata on a glaze where food comes; what is decorative is refused anyway."""
    if all(glaze.coat not in ON_CLAY for glaze in case.glazes):
        return []
    return [
        (lower, upper)
        for lower, upper in pairs(case.ware)
        if upper.glaze.coat in ON_CLAY
        and upper.glaze.food is not FoodStanding.DECORATIVE
        and lower.glaze.coat is _GLAZE
        and {lower.zone, upper.zone} <= FOOD_SURFACE
    ]


def _which_leaves(case: Case) -> Facts:
    """Of coats that meet which stays off: the raw ones over fired glaze, overglaze over any; or all glazes but one."""
    there = [layer for layer in case.ware.layers if layer.zone in FOOD_SURFACE and layer.glaze.coat in GLASS]
    raw = names_of(layer.glaze for layer in there if layer.fired_to is None)
    over = names_of(
        [
            *(layer.glaze for layer in there if layer.fired_to is None and layer.glaze.coat is Coat.OVERGLAZE),
            *(upper.glaze for _lower, upper in _on_the_glaze(case) if upper.fired_to is None),
        ]
    )
    raw = names_of(glaze for glaze in case.raw if glaze.name in {*raw, *over})
    if not raw:
        return {"is": "fired"}
    is_fired_below = any(layer.fired_to is not None for layer in there)
    glazes = {layer.glaze for layer in there if layer.glaze.coat is _GLAZE}
    if len(glazes) > 1 and not is_fired_below:
        return {"is": "raw"}
    return {"is": "upper", "leaves": raw if is_fired_below else over} if is_fired_below or over else {"is": "raw"}


def _crackled(case: Case) -> Facts | None:
    crackled = [glaze for glaze in case.glazes if _CRACKLE in glaze.traits]
    if not crackled:
        return None
    touched = any(layer.glaze in crackled and layer.zone in FOOD_SURFACE for layer in case.ware.layers)
    where = "inside" if touched else "outside"
    return {"where": where, "glazes": names_of(crackled)}


def stays_flawed(ware: Ware) -> bool:
    """Whether a flaw that keeps a piece from food is one that no refire heals."""
    return bool(LASTING.intersection(ware.spoilt_by))


def _is_bisque(case: Case) -> bool:
    """Whether the firing of its glaze is still to come: raw glaze on bisque, or bare bisque."""
    ware = case.ware
    is_told = ware.coats is _ALL_TOLD or case.route.kind is RouteKind.BISQUE
    return ware.is_bisque or (is_told and ware.is_bare_bisque)


def _flawed(case: Case) -> Facts | None:
    """Its flaws; underfired bisque has none of its glaze."""
    flaws = tuple(flaw for flaw in case.ware.spoilt_by if flaw is not Flaw.UNDERFIRED or not _is_bisque(case))
    if not flaws:
        return None
    heals = "no" if stays_flawed(case.ware) else "rarely" if Flaw.CRAZED in flaws else "yes"
    means = "cuts" if Flaw.SHIVERED in flaws else "refused" if heals != "no" and _refire_where(case) == NEVER else heals
    return {"heals": heals, "means": means, "flaws": came_out(flaws)}


def _is_refused_anyway(case: Case) -> bool:
    """Whether its fired coats, its clay or too much heat keep it from food, however well a refire comes out."""
    if _overfired(case) is not None:
        return True
    if case.route.kind is RouteKind.BISQUE:
        return False
    kept = other_firings.without(case, case.raw) if case.raw else case
    return any(rule.finding(kept) is not None for rule in _OF_FIRED_COATS) or never_dense_enough(kept)


_OF_FIRED_COATS = tuple(
    rule
    for rule in (*food.RULES, *food_tests.RULES)
    if rule.name in {"decorative-glaze-for-food", "release-over-limit", "lead-or-cadmium-for-food"}
)
"""The rules that refuse ware for food because of what its coats are."""


def _refire_where(case: Case) -> str:
    """Whether a refire here, in a hotter firing or in none makes it fit for food."""
    return NEVER if softens(case) or _is_refused_anyway(case) else melts_where(case)


def _refire_or_keep(case: Case) -> Facts:
    """What this firing can't do about flaws that a refire may heal: it takes a hotter one, or none heals them.

    What still has raw glaze on it is kept by nobody as it is.
    """
    where = NEVER if stays_flawed(case.ware) else _refire_where(case)
    spots = "blistered" if Flaw.BLISTERED in case.ware.flaws and not case.raw else bare_spots(case) or ""
    again: Facts = {"spots": spots, "refire": Message("fire-it-again", Choice("spots", _FIRE_AGAIN), spots=spots)}
    if where == HERE and not case.raw and (top := overglaze_firing(case)):
        return {"means": "overglaze", "top": top}
    if not case.raw:
        return again if where == HERE or stays_flawed(case.ware) else {**again, "means": where}
    if where != HOTTER:
        return {**again, "means": "raw" if where == NEVER else "raw-here"}
    rinsed = raw_in_the_way(case)
    return {**again, "means": "rinse" if rinsed else "raw-hotter", "rinsed": names_of(washed_off(case, rinsed))}


_FIRE_AGAIN = {
    **dict.fromkeys(("", "covered"), _("fire it again")),
    "bare": _("dab glaze thickly on its bare spots and fire it again"),
    "blistered": _("grind its blisters flat (goggles, respirator), dab glaze on them and fire it again"),
}
"""How a flaw may be mended: crawled glaze doesn't close by itself; blisters that stay are sharp (common practice)."""


def _overfired(case: Case) -> Facts | None:
    """Its flaws of too much heat; or that its clay went over the hottest cone it stands in an earlier firing.

    A last firing that was too cool to change the clay spoils only what melts in it. Of this firing `clay-slumps` says
    that it is too hot. Bisque that came out overfired is only denser, while bloated clay stays so.
    """
    ware, clay = case.ware, case.ware.clay
    is_bisque = bool(ware.flaws) and _is_bisque(case)
    if flaws := tuple(flaw for flaw in ware.flaws if flaw in (_TOO_HOT[:1] if is_bisque else _TOO_HOT)):
        if Flaw.BLOATED not in flaws and spared_its_clay(ware):
            touched = names_of(one.glaze for one in of_last_firing(ware) if one.zone in FOOD_SURFACE)
            return {"why": "coats", "flaws": flaws, "glazes": touched} if touched else None
        # Of glaze of which no firing is on record the fire says nothing.
        return {"why": "" if ware.is_glaze_fired and not is_bisque else "bisque", "flaws": flaws}
    if clay.kind is _UNKNOWN or ware.fired_to is None or not case.route.cone <= clay.ceiling < ware.fired_to:
        return None
    return {"why": "clay", "clay": clay.name, "top": clay.ceiling, "fired_to": ware.fired_to}


def _raw_or_kept(case: Case) -> Facts:
    """Whether something raw is on ware that a fire had too hot."""
    return {"is": "raw" if case.raw else "fired"}


_MAKE_DECORATIVE_OR_TEST = ByRole(
    _("Make the piece decorative, or ask the instructor about a laboratory test."),
    {"instructor": _("Make the piece decorative, or have a laboratory test it.")},
)

RULES = (
    Rule(
        name=LAYERED_FOR_FOOD,
        about="food",
        when="two tested or declared glazes, or one under an overglaze, slip, underglaze or terra sigillata, tested or "
        "not, inside or on the rim of a functional piece",
        level=Level.WARN,
        look=_layered,
        for_food=True,
        kinds=AFTER_BISQUE,
        of_coats=True,
        of_materials=True,
        message=Choice(
            "why",
            {
                "alone": _("Food touches {glazes}. Each was tested or declared alone, not together."),
                "untested": _("Food touches {glazes}, and no test covers them together."),
            },
        ),
        mend=_which_leaves,
        remedy=Choice(
            "is",
            {
                "raw": for_instructor(
                    _("Use one glaze inside and on the rim, or ask staff to accept the risk."),
                    _("Use one glaze inside and on the rim, or accept the risk."),
                    _("Use one glaze inside and on the rim, have the combination tested, or accept the risk."),
                ),
                "upper": for_instructor(
                    _("Leave {leaves} off inside and on the rim, or ask staff to accept the risk."),
                    _("Leave {leaves} off inside and on the rim, or accept the risk."),
                    _("Leave {leaves} off inside and on the rim, have the combination tested, or accept the risk."),
                ),
                "fired": for_instructor(
                    _("Make the piece decorative, or ask staff to accept the risk."),
                    _("Make the piece decorative, or accept the risk."),
                    _("Have the combination tested, make the piece decorative, or accept the risk."),
                ),
            },
        ),
    ),
    Rule(
        name=CRACKLE,
        about="food",
        when="a crackle surface on a functional piece",
        level=Level.ASK,
        look=_crackled,
        for_food=True,
        of_coats=True,
        of_materials=True,
        message=Choice(
            "where",
            {
                "inside": Plural(
                    "glazes",
                    "{glazes} crackles, and food gets trapped in the cracks.",
                    "{glazes} crackle, and food gets trapped in the cracks.",
                ),
                "outside": Plural(
                    "glazes",
                    "{glazes} crackles on the outside, and dishwater gets trapped in the cracks.",
                    "{glazes} crackle on the outside, and dishwater gets trapped in the cracks.",
                ),
            },
        ),
        mend=on_or_off(lambda glaze, _case: _CRACKLE in glaze.traits, Message("no-crackle", _("without crackle"))),
        remedy=Choice(
            "is",
            {
                "raw": ByRole(
                    _("{choose:capital}, make the piece decorative, or ask the instructor."),
                    {"instructor": _("{choose:capital}, or make the piece decorative.")},
                ),
                "fired": ByRole(
                    _("Make the piece decorative, or ask the instructor."), {"instructor": MAKE_DECORATIVE}
                ),
            },
        ),
    ),
    Rule(
        name=UNLINED,
        about="food",
        when="a functional piece without a liner glaze inside (slip, underglaze and terra sigillata don't count): it "
        "isn't shown to be food-safe, however dense its clay",
        # Nobody has to sign off on it: ware may be bare inside on purpose. What may be said of it and food changes.
        level=Level.NOTE,
        look=_unlined,
        for_food=True,
        kinds=AFTER_BISQUE - SMOKED - VAPOR,
        message=Choice(
            "why",
            {
                "bare": _("The inside has no glaze: bare clay takes in food and is hard to clean."),
                "coats": _("The inside has no glaze over {glazes}: it takes in food and is hard to clean."),
                "waxed": _(
                    "The inside has no glaze where wax keeps it off: bare clay takes in food and is hard to clean."
                ),
                "dense": _(
                    "The inside has no glaze. {clay:capital} is dense by its boil test "
                    "({absorption} at {measured_at}), but that doesn't show what leaches out."
                ),
            },
        ),
        mend=wax_first,
        remedy=Choice(
            "wax",
            {
                "none": _("Glaze the inside, or make the piece decorative."),
                "glazed": _(
                    "Take {off} off and burn the wax off in a bisque, then glaze the inside. Or make the piece "
                    "decorative."
                ),
                "bare": _("Burn the wax off in a bisque, then glaze the inside. Or make the piece decorative."),
            },
        ),
        source=_("ANSI A137.1 (impervious clay); common practice"),
    ),
    Rule(
        name=FLAWED,
        about="food",
        when="a functional piece that came out crazed, crawled, pinholed or blistered on a food surface (inside or "
        "rim), or shivered, underfired, cracked, dunted or with an S-crack anywhere, until a later firing comes out "
        "well",
        # The next firing may heal it, so nothing is asked of that; what the piece is good for says `food_standing`.
        level=Level.NOTE,
        look=_flawed,
        of_flaws=True,
        for_food=True,
        message=Choice(
            "means",
            {
                "yes": _("It came out {flaws}: not for food or drink until a refire comes out well."),
                "rarely": _("It came out {flaws}: not for food or drink until a refire comes out well."),
                "no": _("It came out {flaws}: not for food or drink. A refire doesn't fix that."),
                "refused": _("It came out {flaws}: not for food or drink."),
                "cuts": _(
                    "It came out {flaws}: not for food or drink. A refire doesn't fix that. "
                    "Slivers of glaze fall off and cut."
                ),
            },
        ),
        mend=_refire_or_keep,
        remedy=Choice(
            "means",
            {
                "raw": MAKE_DECORATIVE,
                "raw-here": Choice(
                    "heals",
                    {
                        "yes": _("{refire:capital}, or make the piece decorative."),
                        "rarely": _(
                            "{refire:capital}, or make the piece decorative. A refire seldom cures crazing for good."
                        ),
                    },
                ),
                "raw-hotter": Choice(
                    "heals",
                    {
                        "yes": _("Make the piece decorative, or {refire} hot enough to melt its glaze."),
                        "rarely": _(
                            "Make the piece decorative, or {refire} hot enough to melt its glaze. A refire seldom "
                            "cures crazing for good."
                        ),
                    },
                ),
                "rinse": Choice(
                    "heals",
                    {
                        "yes": _(
                            "Make the piece decorative. Or rinse off {rinsed}, then {refire} hot enough to melt its "
                            "fired glaze."
                        ),
                        "rarely": _(
                            "Make the piece decorative. Or rinse off {rinsed}, then {refire} hot enough to melt its "
                            "fired glaze. A refire seldom cures crazing for good."
                        ),
                    },
                ),
                "hotter": Choice(
                    "heals",
                    {
                        "yes": _("Keep it as a decorative piece, or {refire} hot enough to melt its glaze."),
                        "rarely": _(
                            "Keep it as a decorative piece, or {refire} hot enough to melt its glaze. A refire seldom "
                            "cures crazing for good."
                        ),
                    },
                ),
                "never": _("Keep it as a decorative piece."),
                "overglaze": _("Choose an overglaze firing to {top}, or keep it as a decorative piece."),
                "yes": _("{refire:capital}, or keep it as a decorative piece."),
                "rarely": _(
                    "{refire:capital}, or keep it as a decorative piece. A refire seldom cures crazing for good."
                ),
                "no": _("Keep it as a decorative piece."),
            },
        ),
    ),
    Rule(
        name=OVERFIRED,
        about="food",
        when="a functional piece that came out bloated, or overfired from a firing of its glaze, or was fired over the "
        "hottest cone that its clay stands: no test and no label covers it now",
        level=Level.NOTE,
        look=_overfired,
        for_food=True,
        message=Choice(
            "why",
            {
                "": _("It came out {flaws}: no test and no label shows what its clay and glaze are now."),
                "bisque": _("It came out {flaws}: no test and no label shows what its clay is now."),
                "coats": Plural(
                    "glazes",
                    "It came out {flaws}: no test and no label shows what {glazes} is now.",
                    "It came out {flaws}: no test and no label shows what {glazes} are now.",
                ),
                "clay": _(
                    "It was fired to {fired_to}, and {clay} only goes to {top}: no test and no label covers it now."
                ),
            },
        ),
        mend=_raw_or_kept,
        remedy=Choice(
            "why",
            {
                **dict.fromkeys(
                    ("", "coats"),
                    Choice(
                        "is",
                        {
                            "fired": ByRole(
                                _("Keep it as a decorative piece, or ask the instructor about a laboratory test."),
                                {"instructor": _("Keep it as a decorative piece, or have a laboratory test it.")},
                            ),
                            "raw": _MAKE_DECORATIVE_OR_TEST,
                        },
                    ),
                ),
                "bisque": _MAKE_DECORATIVE_OR_TEST,
                "clay": MAKE_DECORATIVE,
            },
        ),
    ),
)
