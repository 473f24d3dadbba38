"""Whether any firing of the studio can make a piece fit for food, by its clay alone: told as soon as it is known."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum

from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Either, Message, Template, _
from tracker.domain.pieces.piece import Use, Ware
from tracker.domain.rules.engine import judge_in
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.materials import Clay, ClayKind

_MOST_NAMED = 3
"""So many other clays are named."""


class Never(StrEnum):
    """Why no firing makes ware for food fit for that: what its clay is, or absorbs, isn't known, or it stays porous."""

    NAMELESS = "nameless"
    UNMEASURED = "unmeasured"
    POROUS = "porous"


def why_never(catalog: Catalog, ware: Ware) -> Never | None:
    """Why no firing here makes ware for food fit for that; None where one may, or it is decorative."""
    if ware.use is not Use.FOOD or _may_hold_food(catalog, ware.clay):
        return None
    return _why(catalog, ware.clay)


def never_for_food(catalog: Catalog, ware: Ware) -> Message | None:
    """That no firing here makes ware for food fit for that, and what would; None where one may, or it is decorative.

    It is made, so no other clay is named.
    """
    if ware.use is not Use.FOOD or _may_hold_food(catalog, ware.clay):
        return None
    return _told(catalog, ware.clay, [])


def clays_never_for_food(catalog: Catalog) -> dict[str, Message]:
    """The same for each clay in use that no firing here makes fit for food, by its name, with others to use instead."""
    fit = [clay for clay in _in_use(catalog) if _may_hold_food(catalog, clay)]
    return {clay.name: _told(catalog, clay, fit) for clay in _in_use(catalog) if clay not in fit}


def _in_use(catalog: Catalog) -> list[Clay]:
    return [clay for clay in catalog.clays.values() if not clay.retired]


def _why(catalog: Catalog, clay: Clay) -> Never:
    """Why a clay holds no food: it counts as porous for want of an absorption alone where a low one would let it."""
    if clay.kind is ClayKind.UNKNOWN:
        return Never.NAMELESS
    is_known = clay.absorption_pct is not None or bool(clay.measured)
    may = not is_known and _may_hold_food(catalog, replace(clay, absorption_pct=0.0))
    return Never.UNMEASURED if may else Never.POROUS


def _told(catalog: Catalog, clay: Clay, fit: list[Clay]) -> Message:
    """That this clay never holds food, with a few of those that may, the ones of its kind first."""
    named = sorted(fit, key=lambda other: (other.kind is not clay.kind, other.name))[:_MOST_NAMED]
    why = _why(catalog, clay)
    which = str(why) if why is not Never.POROUS else "other" if named else "none"
    names = Either(tuple(one.name for one in named))
    return Message("never-for-food", Choice("which", _NEVER), which=which, clay=clay.name, clays=names)


_NEVER: dict[str, Template] = {
    "nameless": _("Its clay isn't known, so it can't be for food. Ask which clay it is, or make the piece decorative."),
    "unmeasured": ByRole(
        _("The absorption of {clay} isn't known. Ask the instructor, or make the piece decorative."),
        {
            "instructor": _(
                "The absorption of {clay} isn't known. Enter it from the data sheet, or make the piece decorative."
            )
        },
    ),
    "other": _("No firing here makes {clay} dense enough for food. Make the piece decorative, or use {clays} instead."),
    "none": _("No firing here makes {clay} dense enough for food. Make the piece decorative."),
}


def _may_hold_food(catalog: Catalog, clay: Clay) -> bool:
    """Whether some firing doesn't refuse this clay for food, before any glaze is on it."""
    bare = Ware(clay=clay, use=Use.FOOD)
    routes = (route for route in catalog.glazed_routes if bare.may_come_to(route))
    return any(judge_in(catalog, bare, route).level is not Level.REFUSE for route in routes)
