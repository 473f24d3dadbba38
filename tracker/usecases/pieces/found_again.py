"""A piece that was lost by a slip: found, and back in the queue that it was lost from where the rules still let it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, cast

from tracker.domain.message import together
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.refusals import Refusal
from tracker.usecases.pieces.pieces import Back, plain_step, queue_within

if TYPE_CHECKING:
    from datetime import datetime

    from tracker.domain.pieces.history import Receipt
    from tracker.domain.pieces.piece import Piece
    from tracker.store.pieces.queries import HistoryRow
    from tracker.store.queries import Queries
    from tracker.store.unit_of_work import Change


def found_after_all(change: Change, piece: Piece, lost: HistoryRow) -> Receipt:
    """Undo the line with which a piece was `lost`."""
    back = Back(undoes=lost.id, place=place_before(piece, lost))
    found = plain_step(change, StepName.FIND, piece.ref, None, "", back=back)
    now = change.read.pieces.piece(number=piece.id)
    if lost.start is not Stage.QUEUED or now is None or found.line is None:
        return found
    try:
        return queued_again(change, now, lost.route or "", undoes=found.line, place=now.place)
    except Refusal as refusal:
        return replace(found, message=together([found.message, refusal.message]))


def queued_again(change: Change, piece: Piece, route: str, *, undoes: int, place: str) -> Receipt:
    """Put a piece that left its queue where it stood there, with the warnings accepted for it then."""
    then = last_queued(change.read, piece)
    since = cast("datetime", then.facts.get("waits_since", then.at))
    back = Back(undoes=undoes, place=place, waits_since=since)
    return queue_within(change, piece.ref, route or then.route or "", then.accepted, None, "", back)


def last_queued(reader: Queries, piece: Piece) -> HistoryRow:
    """The line with which a piece last came into a queue."""
    rows = reader.pieces.page(piece.id).history
    return next(row for row in reversed(rows) if row.step is StepName.QUEUE)


def place_before(piece: Piece, line: HistoryRow) -> str:
    """The shelf that a piece was on before the step of this line."""
    return str(line.facts.get("before", piece.place))
