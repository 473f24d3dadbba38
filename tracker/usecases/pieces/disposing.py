"""Work that nobody picks up: a person donates it, keeps it for the studio or discards it, one piece or many at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracker.domain.message import Choice, Fact, Message, Plural, _, together
from tracker.domain.pieces.disposal import Disposal
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.piece import Piece, StepName
from tracker.domain.refusals import NotAStep, Refusal
from tracker.domain.rules.food_standing import food_of
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.people import Right
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.lookup import held_piece
from tracker.usecases.pieces.pieces import plain_step

Ticked = tuple[str, int]
"""A piece by its code or ticket number, and the version of it that the person saw."""


@dataclass(frozen=True, slots=True)
class _Done:
    line: int
    ref: str
    warned_of: bool = False


@once("dispose")
def dispose(change: Change, how: Disposal, ticked: Sequence[Ticked], *, to: str = "") -> Receipt:
    """Donate, keep or discard every ticked piece that can be; `to` says who gets what is donated.

    A piece that changed since it was seen, is in a kiln, or isn't fired far enough to leave stays, and is told. Refused
    where all of them stay. The receipt's `lines` are the lines of history, for taking it all back.
    """
    change.request.by.must_be_allowed(Right.HAND_OVER)
    done: list[_Done] = []
    stayed: list[Message] = []
    # In one order, so that two people who tick the same pieces never wait for each other.
    for ref, seen in sorted(set(ticked)):
        try:
            done.append(
                _discard(change, ref, seen) if how is Disposal.DISCARD else _part_with(change, how, ref, seen, to)
            )
        except Refusal as refusal:
            stayed.append(refusal.message)
    if not done:
        raise NotAStep(
            together(stayed) if stayed else Message("nothing-ticked", _("Nothing was ticked.")),
            Message("tick-first", _("Tick the pieces first.")) if not stayed else None,
        )
    warned_of = tuple(one.ref for one in done if one.warned_of)
    said = [Message("disposed", Choice("how", _DONE), how=how.value, count=len(done))]
    said += [Message("disposed-not-for-food", _NOT_FOR_FOOD, pieces=warned_of)] if warned_of else []
    lines = " ".join(str(one.line) for one in done)
    return Receipt(message=together([*said, *stayed]), refs=tuple(one.ref for one in done), extra={"lines": lines})


def _discard(change: Change, ref: str, seen: int) -> _Done:
    receipt = plain_step(change, StepName.LOSE, ref, seen, "", Loss.DISCARDED)
    return _Done(receipt.line or 0, receipt.ref)


def _part_with(change: Change, how: Disposal, ref: str, seen: int, to: str) -> _Done:
    piece = held_piece(change, StepName.CLAIM, ref, seen)
    piece.must_not_be_in_a_kiln()
    piece.must_not_shed()
    after = piece.take(StepName.CLAIM)
    facts: dict[str, Fact] = {"goes": how.value, "to": to if how is Disposal.DONATE and to else None}
    line = HistoryLine(step=StepName.CLAIM, facts=facts)
    return _Done(change.save(piece, after, line), piece.ref, is_warned_of(piece, change.catalog))


def is_warned_of(piece: Piece, known: Catalog) -> bool:
    """Whether whoever gets it must be told that it's not for food."""
    return not piece.holds_food or food_of(piece, known).word.is_warned_of


_DONE = {
    Disposal.DONATE.value: Plural("count", "{count} piece donated.", "{count} pieces donated."),
    Disposal.KEEP.value: Plural("count", "{count} piece kept for the studio.", "{count} pieces kept for the studio."),
    Disposal.DISCARD.value: Plural("count", "{count} piece discarded.", "{count} pieces discarded."),
}
_NOT_FOR_FOOD = Plural(
    "pieces",
    "Not for food or drink: {pieces}. Put a not-for-food label on it.",
    "Not for food or drink: {pieces}. Put a not-for-food label on each.",
)
