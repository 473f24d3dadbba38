"""A piece that was lost turns up: it is back where it was, in its queue too where the rules still let it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import cast

from tracker.domain.message import Message, _, together
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.piece import Piece, Stage, StepName
from tracker.domain.refusals import Refusal
from tracker.store.pieces.queries import HistoryRow
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.lookup import named
from tracker.usecases.pieces.pieces import Back, plain_step, queue_within


@once(StepName.FIND)
def find(change: Change, ref: str, *, seen: int | None = None, place: str = "") -> Receipt:
    """Note that a lost piece turned up; it goes on where it was, in its queue too where the rules still let it."""
    found = plain_step(change, StepName.FIND, ref, seen, place)
    now = change.read.pieces.piece(number=found.piece_id)
    lost = [one for one in change.read.pieces.page(now.id).history if one.step is StepName.LOSE] if now else []
    return _back_where_it_was(change, found, lost[-1], undoes=None) if lost else found


def found_after_all(change: Change, piece: Piece, lost: HistoryRow) -> Receipt:
    """Undo the line with which a piece was `lost`."""
    back = Back(undoes=lost.id, place=place_before(piece, lost))
    found = plain_step(change, StepName.FIND, piece.ref, None, "", back=back)
    return _back_where_it_was(change, found, lost, undoes=found.line)


def _back_where_it_was(change: Change, found: Receipt, lost: HistoryRow, *, undoes: int | None) -> Receipt:
    """Once a piece is `found`: it is at its stage since when it was, and in the queue that it was lost from."""
    piece = change.read.pieces.piece(number=found.piece_id)
    if piece is None:
        return found
    done = found if lost.start is not Stage.QUEUED else _into_its_queue(change, piece, found, lost, undoes)
    since = _since(change.read.pieces.page(piece.id).history)
    if since is not None:
        change.stands_since(piece.id, since)
    return done


def _into_its_queue(change: Change, piece: Piece, found: Receipt, lost: HistoryRow, undoes: int | None) -> Receipt:
    """Put a piece that was found back in its queue, or say that it was there and why it can't be now."""
    name = lost.route or last_queued(change.read, piece).route or ""
    route = change.catalog.routes.get(name)
    firing = route.title if route else name
    try:
        done = queued_again(change, piece, name, undoes=undoes, place=piece.place, found=found.line)
    except Refusal as refusal:
        words = _("It was queued for {firing}. Ask for it again.")
        was = Message("was-queued", words, firing=firing)
        return replace(found, message=together([found.message, refusal.message, was]))
    words = _("{piece}: found, queued for {firing} again.")
    return replace(done, message=Message("found-in-its-queue", words, piece=named(piece), firing=firing))


def back_since(change: Change, piece_id: int, line: int) -> None:
    """Once this line of its history is undone: the piece is at its stage since when it was there before."""
    since = _since(change.read.pieces.page(piece_id).history, line)
    if since is not None:
        change.stands_since(piece_id, since)


def _since(history: Sequence[HistoryRow], number: int | None = None) -> datetime | None:
    """Since when a piece is at its stage, or was before a line of its history; what was undone doesn't count."""
    since: datetime | None = None
    before: dict[int, datetime | None] = {}
    lost = queued = None
    for one in history:
        before[one.id] = since
        if one.id == number:
            break
        if one.step is StepName.FIND and lost is not None:
            # Out of a queue it is found on the shelf, where it was before it came into that queue.
            was = queued if lost.start is Stage.QUEUED and queued is not None else lost
            since = before[was.id]
        elif lost is not None and _is_found_into_its_queue(one, history):
            since = before[lost.id]
        elif one.undoes is not None:
            since = before.get(one.undoes, since)
        elif one.step is StepName.CORRECT_RESULT and one.start is Stage.LOST:
            # What didn't break after all is there since it came out of that kiln.
            out = (line.at for line in history if line.firing_id == one.firing_id and line.outcome is not None)
            since = next(out, one.at)
        elif one.start is not one.to:
            since = one.at
        lost = one if one.step is StepName.LOSE else lost
        queued = one if one.step is StepName.QUEUE else queued
    return since


def _is_found_into_its_queue(line: HistoryRow, history: Sequence[HistoryRow]) -> bool:
    """Whether a piece came back into its queue with this line because it was found."""
    finds = {one.id for one in history if one.step is StepName.FIND}
    return line.step is StepName.QUEUE and (line.undoes in finds or "found" in line.facts)


def queued_again(
    change: Change, piece: Piece, route: str, *, undoes: int | None, place: str, found: int | None = None
) -> Receipt:
    """Put a piece that left its queue where it stood there, with the warnings accepted for it then."""
    then = last_queued(change.read, piece)
    since = cast("datetime", then.facts.get("waits_since", then.at))
    back = Back(undoes=undoes, place=place, waits_since=since, found=found)
    return queue_within(change, piece.ref, route or then.route or "", then.accepted, None, "", back)


def last_queued(reader: Queries, piece: Piece) -> HistoryRow:
    """The line with which a piece last came into a queue."""
    return cast("HistoryRow", reader.pieces.last_of_step(piece.id, StepName.QUEUE))


def place_before(piece: Piece, line: HistoryRow) -> str:
    """The shelf that a piece was on before the step of this line."""
    return str(line.facts.get("before", piece.place))
