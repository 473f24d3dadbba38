"""What a piece is when the result of one of its firings was told wrong: its flaws as all its firings left them."""

from __future__ import annotations

from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace

from tracker.domain.pieces.outcomes import CRACKS, LASTING, OF_BISQUE_HEAT, Flaw, Outcome, in_order
from tracker.domain.pieces.piece import Piece


@dataclass(frozen=True, slots=True)
class Fired:
    """One firing: its number, what came of the piece, and the flaws that are `beyond` that fire to mend."""

    firing_id: int
    outcome: Outcome
    beyond: AbstractSet[Flaw] = LASTING
    is_bisque: bool = False


@dataclass(frozen=True, slots=True)
class FoundLater:
    """Flaws that were found after unloading, those taken off the record, and whether they show only outside."""

    more: tuple[Flaw, ...]
    fewer: tuple[Flaw, ...]
    outside_only: bool = False


@dataclass(frozen=True, slots=True)
class NeverFired:
    """A correction of the stage, by which the firings before it never were."""


Event = Fired | FoundLater | NeverFired


def flaws_after(events: Iterable[Event]) -> tuple[Flaw, ...]:
    """The flaws that count after all these, in their order."""
    flaws: tuple[Flaw, ...] = ()
    is_bisque = False
    for event in events:
        match event:
            case Fired():
                if is_bisque and not event.is_bisque:
                    flaws = tuple(one for one in flaws if one not in OF_BISQUE_HEAT)
                flaws, is_bisque = event.outcome.left_on(flaws, event.beyond), event.is_bisque
            case FoundLater():
                kept = tuple(one for one in flaws if one not in event.fewer)
                found = Outcome(event.more, outside_only=event.outside_only)
                flaws = found.left_on(kept) if event.more else kept
            case NeverFired():
                flaws = ()
    return flaws


def flaws_outside(events: Iterable[Event]) -> tuple[Flaw, ...]:
    """The flaws that were told of the outside or the foot alone, after all these."""
    outside = set[Flaw]()
    for event in events:
        match event:
            case Fired():
                found = event.outcome
                outside = {one for one in outside if not found.is_good or one in event.beyond}
                outside |= set(found.flaws) if found.outside_only else set()
            case FoundLater():
                outside -= set(event.fewer)
                outside |= set(event.more) if event.outside_only else set()
            case NeverFired():
                outside = set()
    return in_order(outside)


def with_result(
    piece: Piece, events: Iterable[Event], firing_id: int, was: Outcome, came: Outcome, *, cracked_here: bool
) -> Piece:
    """The piece with the flaws that it has if that firing's result `was` wrong and this is what `came` of it.

    `cracked_here` says that it counts as cracked by that result alone. Where the record of a piece doesn't tell its
    flaws, as in what older studios brought along, only what the result itself said is exchanged.
    """
    told = tuple(events)
    flaws = flaws_after(
        replace(one, outcome=came) if isinstance(one, Fired) and one.firing_id == firing_id else one for one in told
    )
    if flaws_after(told) != piece.flaws:
        flaws = in_order({*(one for one in piece.flaws if one not in was.flaws), *came.left_on(())})
    cracks = not CRACKS.isdisjoint({*flaws, *came.flaws})
    return replace(piece, flaws=flaws, mended=cracks or (piece.mended and not cracked_here))
