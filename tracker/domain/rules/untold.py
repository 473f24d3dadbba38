"""What a rule needs to know of a piece and nobody has told yet: the step that depends on it asks first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from tracker.domain.message import Message, _, together
from tracker.domain.pieces.piece import Piece, Ware
from tracker.domain.quantities import mm
from tracker.domain.refusals import Refusal
from tracker.domain.rules.engine import RULES
from tracker.domain.rules.rule import Signs, signs_of
from tracker.domain.studio.kilns import RAW, Route, RouteKind
from tracker.domain.studio.settings import Practice

DRY = "dry"
WALL = "wall_mm"
_NEEDY = tuple(rule for rule in RULES if rule.needs)


@dataclass(frozen=True, slots=True)
class Untold:
    """One fact that a rule needs: its name as the piece has it, what is missing, and how to tell it."""

    fact: str
    message: Message
    remedy: Message


class NotTold(Refusal):
    """A rule of this firing needs to know more of the piece; `facts` are those that nobody has told."""

    word = Message("not-yet", _("Not yet"))

    def __init__(self, facts: Sequence[Untold]) -> None:
        """Keep what is missing; each says how to tell it."""
        super().__init__(together(one.message for one in facts), together(one.remedy for one in facts))
        self.facts = tuple(facts)


def untold(ware: Ware, route: Route, practice: Practice, *, is_thin: bool = False) -> tuple[Untold, ...]:
    """What the rules of this firing need to know of the ware and nobody has told, each fact once.

    `is_thin` says that whoever holds the piece has looked: no wall of it is over the studio's thick wall.
    """
    known = {WALL} if is_thin else set()
    facts = _needed(route.kind, signs_of(ware))
    return tuple(_as_untold(fact, practice) for fact in facts if fact not in known and getattr(ware, fact) is None)


@cache
def _needed(kind: RouteKind, signs: Signs) -> tuple[str, ...]:
    """The facts without which a rule of this firing can't tell; what is still raw is bisqued before most firings."""
    asked = (rule for rule in _NEEDY if rule.is_asked(kind, signs))
    return tuple(dict.fromkeys(rule.needs for rule in asked if kind in RAW or not rule.of_greenware))


def must_be_told(
    piece: Piece, route: Route, practice: Practice, *, is_thin: bool = False, dry: bool | None = None
) -> None:
    """Refuse with `NotTold` while a rule of this firing needs a fact that nobody has told of the piece.

    `dry` is False where whoever holds greenware was asked whether it is bone dry and has not said so.
    """
    missing = untold(piece, route, practice, is_thin=is_thin)
    if dry is False and route.kind in RAW and piece.fired_to is None:
        missing = (_as_untold(DRY, practice), *missing)
    if missing:
        raise NotTold(missing)


def _as_untold(fact: str, practice: Practice) -> Untold:
    message, remedy = _WORDS[fact]
    thick = mm(practice.thick_wall_mm)
    code = fact.split("_", maxsplit=1)[0]
    return Untold(fact, Message(f"{code}-untold", message, thick=thick), Message(f"tell-{code}", remedy, thick=thick))


_WORDS = {
    DRY: (
        _("This piece isn't marked as bone dry. Damp clay bursts in the kiln."),
        _("Check every piece of the load, then mark the load as bone dry."),
    ),
    "weight_g": (
        _("This piece hasn't been weighed, and tongs lift only so much."),
        _("Weigh it and enter its weight."),
    ),
    "vented": (
        _("It isn't recorded whether this piece is open or closed. A closed form without a hole bursts."),
        _("Look at the piece. Say whether it is open or closed."),
    ),
    WALL: (
        _("The wall of this piece hasn't been measured. Over {thick} it needs a slower firing."),
        _("Check that no wall is over {thick} and tick the box, or enter its thickest wall."),
    ),
}
