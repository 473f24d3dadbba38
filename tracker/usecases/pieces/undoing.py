"""Taking back one's own last step on a piece: who may, whether it still goes, and the step that undoes it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tracker.domain.message import Message, _, together
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.piece import STEPS, Stage, StepName
from tracker.domain.refusals import NotAllowed, NotAStep, Refusal, Unknown
from tracker.domain.rules.engine import judge_layers_in
from tracker.usecases.pieces.layers import worn_before
from tracker.usecases.pieces.lookup import held_piece, named
from tracker.usecases.pieces.pickup import take_back_within
from tracker.usecases.pieces.pieces import must_be_let_in, plain_step, queue_within, stand_at
from tracker.usecases.pieces.wishes import ended_wish, wish_ended_by

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime

    from tracker.domain.pieces.history import Request
    from tracker.domain.pieces.piece import Piece
    from tracker.domain.studio.people import Person
    from tracker.store.pieces.queries import HistoryRow
    from tracker.store.queries import Queries
    from tracker.store.unit_of_work import Change, Store


def undo(store: Store, request: Request, line: int) -> Receipt:
    """Take back one's own last step on a piece by the step that undoes it, if nothing has happened since."""
    return store.once(request, "undo", lambda change: _undo(change, line), about=line)


def can_undo(reader: Queries, line: int, by: Person, at: datetime) -> bool:
    """Whether this person can take back that line of history now."""
    try:
        _to_undo(reader, line, by, at)
    except Refusal:
        return False
    return True


def _undo(change: Change, line: int) -> Receipt:
    piece, row = _to_undo(change.read, line, change.request.by, change.request.at)
    if row.step in _OWN_WAY:
        return _OWN_WAY[row.step](change, piece, row)
    inverse = STEPS[row.step].undone_by
    done = plain_step(change, inverse or row.step, piece.ref, None, row.place, undoes=line)
    if row.step is StepName.LOSE and row.start is Stage.QUEUED:
        return _to_its_queue(change, done)
    return done


def _to_undo(reader: Queries, line: int, by: Person, at: datetime) -> tuple[Piece, HistoryRow]:
    """The piece and the line of a step that this person can take back; else why not."""
    found = reader.pieces.history_line(line)
    if found is None:
        raise Unknown(
            Message("no-such-line", _("This step isn't there.")),
            Message("look-at-its-page", _("Check the piece's page.")),
        )
    row, piece_id = found
    piece = reader.pieces.piece(number=piece_id)
    if piece is None or row.by_id != by.id:
        raise NotAllowed(
            Message("somebody-elses-step", _("Someone else took that step.")),
            Message("a-step-of-your-own", _("Move the piece yourself, with a new step.")),
        )
    if reader.pieces.last_line(piece_id) != line:
        words = _("{piece} has moved on: it's {stage} now.")
        raise NotAStep(Message("moved-on", words, piece=piece.ref, stage=piece.stage), piece.possible)
    _must_have_a_way_back(piece, row)
    by.must_be_allowed(STEPS[STEPS[row.step].undone_by or row.step].right)
    piece.must_not_be_in_a_kiln()
    if row.step is StepName.PULL_BACK:
        route = reader.catalog().route(row.route or "")
        must_be_let_in(reader, piece, route, _then(reader, piece).accepted, at)
    if row.step in {StepName.WASH_OFF, StepName.NOT_WAXED}:
        judge_layers_in(reader.catalog(), worn_before(reader.catalog(), piece, row.facts)).must_not_be_refused()
    return piece, row


def _must_have_a_way_back(piece: Piece, row: HistoryRow) -> None:
    """Refuse what no step undoes: the undo of an undo, what a fire did, and layers that an old line doesn't name."""
    is_kept = row.step not in {StepName.WASH_OFF, StepName.NOT_WAXED} or "wore" in row.facts
    if STEPS[row.step].undone_by is None or row.undoes is not None or row.firing_id is not None or not is_kept:
        words = _("You can't undo “{step}”.")
        raise NotAStep(Message("not-taken-back", words, step=row.step), piece.possible)


def _then(reader: Queries, piece: Piece) -> HistoryRow:
    """The line with which a piece last came into a queue."""
    rows = reader.pieces.page(piece.id).history
    return next(row for row in reversed(rows) if row.step is StepName.QUEUE)


def _back_on_its_shelf(change: Change, piece: Piece, moved: HistoryRow) -> Receipt:
    return stand_at(change, piece, str(moved.facts.get("before", "")), undoes=moved.id)


def _not_handed_out(change: Change, piece: Piece, claimed: HistoryRow) -> Receipt:
    return take_back_within(change, piece, claimed, undoes=claimed.id)


def _queue_again(change: Change, piece: Piece, left: HistoryRow) -> Receipt:
    """Put a piece that left its queue where it stood there, with the warnings accepted for it then."""
    then, place = _then(change.read, piece), left.place
    route = left.route or then.route or ""
    return queue_within(change, piece.ref, route, then.accepted, None, place, undoes=left.id, waits_since=then.at)


def _to_its_queue(change: Change, found: Receipt) -> Receipt:
    """Put a piece back in the queue that it was lost from, where the rules still let it; else it stays on its shelf."""
    piece = change.read.pieces.piece(number=found.piece_id)
    row = change.read.pieces.history_line(found.line or 0)
    if piece is None or row is None:
        return found
    try:
        return _queue_again(change, piece, row[0])
    except Refusal as refusal:
        return replace(found, message=together([found.message, refusal.message]))


def _lift_layer(change: Change, piece: Piece, put_on: HistoryRow) -> Receipt:
    """Take off the layer that went on last, and no other: the piece is again as it was before."""
    held = held_piece(change, StepName.WASH_OFF, piece.ref, None)
    before = put_on.start or Stage.BISQUED
    after = replace(held, stage=before, layers=held.layers[:-1], version=held.version + 1)
    facts = ended_wish(wish_ended_by(change, held, after))
    line = HistoryLine(step=StepName.WASH_OFF, start=held.stage, to=before, facts=facts, undoes=put_on.id)
    number = change.save(held, after, line)
    return _receipt(after, "layer-off", _("{piece}: last layer washed off, {stage} again."), number)


def _put_on_again(change: Change, piece: Piece, off: HistoryRow) -> Receipt:
    """Put the layers back on that never came off, or the wax that was there after all."""
    held = held_piece(change, off.step, piece.ref, None)
    before = off.start or held.stage
    after = replace(worn_before(change.catalog, held, off.facts), stage=before)
    step = StepName.WAX if off.step is StepName.NOT_WAXED else StepName.GLAZE
    line = HistoryLine(
        step=StepName.DECORATE if before is Stage.GREENWARE else step,
        start=held.stage,
        to=before,
        verdict=judge_layers_in(change.catalog, after) if after.has_glaze else None,
        undoes=off.id,
    )
    number = change.save(held, after, line)
    return _receipt(after, "layers-on-again", _("{piece}: nothing was taken off, {stage} again."), number)


_OWN_WAY: Mapping[StepName, Callable[[Change, Piece, HistoryRow], Receipt]] = {
    StepName.PULL_BACK: _queue_again,
    StepName.SHELVE: _back_on_its_shelf,
    StepName.GLAZE: _lift_layer,
    StepName.DECORATE: _lift_layer,
    StepName.WASH_OFF: _put_on_again,
    StepName.NOT_WAXED: _put_on_again,
    StepName.CLAIM: _not_handed_out,
}
"""The steps that are undone by more than the step that leads back."""


def _receipt(piece: Piece, code: str, words: str, line: int) -> Receipt:
    message = Message(code, words, piece=named(piece), stage=piece.stage)
    return Receipt(message=message, ref=piece.ref, piece_id=piece.id, line=line, refs=(piece.ref,))
