"""A piece that was lost by a slip: found, and back in the queue that it was lost from where the rules still let it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, cast

from tracker.domain.message import together
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.refusals import Refusal
from tracker.usecases.pieces.pieces import Back, plain_step, queue_within

if TYPE_CHECKING:
    from collections.abc import Sequence
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
    if lost.start is Stage.QUEUED and now is not None and found.line is not None:
        try:
            found = queued_again(change, now, lost.route or "", undoes=found.line, place=now.place)
        except Refusal as refusal:
            return replace(found, message=together([found.message, refusal.message]))
    back_since(change, piece.id, lost.id)
    return found


def back_since(change: Change, piece_id: int, line: int) -> None:
    """Once this line of its history is undone: the piece is at its stage since when it was there before."""
    since = _since_before(change.read.pieces.page(piece_id).history, line)
    if since is not None:
        change.stands_since(piece_id, since)


def _since_before(history: Sequence[HistoryRow], number: int) -> datetime | None:
    """Since when a piece was at its stage before a line of its history; what was undone before that doesn't count."""
    since: datetime | None = None
    before: dict[int, datetime | None] = {}
    undoes = {one.id: one.undoes for one in history if one.undoes is not None}
    for one in history:
        before[one.id] = since
        if one.id == number:
            break
        if one.id in undoes:
            undone = undoes[one.id]
            while undone in undoes:
                undone = undoes[undone]
            since = before.get(undone, since)
        elif one.step is StepName.CORRECT_RESULT and one.start is Stage.LOST:
            # What didn't break after all is there since it came out of that kiln.
            out = (line.at for line in history if line.firing_id == one.firing_id and line.outcome is not None)
            since = next(out, one.at)
        elif one.start is not one.to:
            since = one.at
    return before.get(number)


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
