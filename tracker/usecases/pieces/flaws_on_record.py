"""What the history of a piece tells of its flaws: the events that count, and what shows only outside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from tracker.domain.pieces.corrected_results import Event, Fired, FoundLater, NeverFired, flaws_after, flaws_outside
from tracker.domain.pieces.outcomes import COUNT_BY_PLACE, LASTING, Flaw
from tracker.domain.pieces.piece import Piece, Stage, StepName
from tracker.store.pieces.queries import HistoryRow


@dataclass(frozen=True, slots=True)
class OnRecord:
    """The flaws of a piece that are on record: those that count, and those that show only outside or on the foot."""

    counting: frozenset[Flaw]
    outside: frozenset[Flaw]

    @property
    def all(self) -> frozenset[Flaw]:
        """Both."""
        return self.counting | self.outside

    @property
    def is_outside(self) -> bool:
        """Whether of those that count by where they show, each shows only outside, so that one tick tells it of all."""
        return bool(self.outside) and self.counting.isdisjoint(COUNT_BY_PLACE)


def flaws_of(history: Sequence[HistoryRow], piece: Piece) -> OnRecord:
    """The flaws of a piece that are on record."""
    return OnRecord(frozenset(piece.flaws), frozenset(seen_outside(history, piece)))


def seen_outside(history: Sequence[HistoryRow], piece: Piece) -> tuple[Flaw, ...]:
    """The flaws of a piece that show only on its outside or its foot."""
    return tuple(one for one in flaws_outside(events_of(history, piece)) if one not in piece.flaws)


def flaws_out_of(history: Sequence[HistoryRow], piece: Piece, fire: Fired) -> tuple[Flaw, ...]:
    """The flaws that a piece has once it came out of this fire, the next after what is on record of it.

    Where the record doesn't tell its flaws, as in what older studios brought along, those that it has count.
    """
    told = tuple(events_of(history, piece))
    if flaws_after(told) != piece.flaws:
        return fire.outcome.left_on(piece.flaws, fire.beyond)
    return flaws_after((*told, fire))


def events_of(history: Sequence[HistoryRow], piece: Piece) -> Iterator[Event]:
    """What the history tells of the piece's flaws, each firing with its result as it was corrected last."""
    corrected = {one.firing_id: one.outcome for one in history if one.step is StepName.CORRECT_RESULT}
    for line in history:
        outcome = corrected.get(line.firing_id) or line.outcome
        if line.step is StepName.BISQUE and line.firing_id is not None and outcome is not None:
            yield Fired(line.firing_id, outcome.out_of_a_bisque, is_bisque=True)
        elif line.step is StepName.FIRE and line.firing_id is not None and outcome is not None:
            beyond = LASTING if line.firing_target is None else piece.beyond(line.firing_target)
            yield Fired(line.firing_id, outcome, beyond)
        elif line.step is StepName.NOTE_FLAWS:
            facts: Any = line.facts
            more, fewer = (tuple(map(Flaw, facts.get(name, ()))) for name in ("more", "fewer"))
            yield FoundLater(more, fewer, outside_only=bool(facts.get("outside_only")))
        elif line.step is StepName.CORRECT and line.to is not Stage.FIRED:
            yield NeverFired()
