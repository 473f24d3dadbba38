"""Handing a piece to its maker, or to the stand-in the maker has named."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tracker.domain.message import as_message
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.piece import StepName, Use
from tracker.domain.studio.people import Right
from tracker.usecases.pieces.lookup import find_piece, find_row

if TYPE_CHECKING:
    from tracker.domain.pieces.history import Request
    from tracker.store.unit_of_work import Change, Store


def hand_over(store: Store, request: Request, ref: str, *, to: str = "", seen: int | None = None) -> Receipt:
    """Note that a piece went to its maker; `to` names the stand-in who came instead."""
    return store.once(request, "claim", lambda change: _hand_over(change, ref, to.strip(), seen), (ref, to, seen))


def _hand_over(change: Change, ref: str, to: str, seen: int | None) -> Receipt:
    by = change.request.by
    by.must_be_allowed(Right.HAND_OVER)
    piece = find_piece(change.read, ref, by, hold=True)
    row = find_row(change.read, piece.ref, by)
    piece.must_be_as_seen(seen)
    after = piece.take(StepName.CLAIM)
    taken_by = f"{to}, for {row.maker_name}" if to else row.maker_name
    line = HistoryLine(step=StepName.CLAIM, start=piece.stage, to=after.stage, reason=f"taken by {taken_by}")
    number = change.save(piece, after, line)
    care = "" if piece.use is Use.FOOD else " Decorative: not for food or drink."
    return Receipt(
        message=as_message(f"{piece.ref}, {piece.what}: taken by {taken_by}.{care}"),
        ref=piece.ref,
        piece_id=piece.id,
        line=number,
    )
