"""Taking back one's own last step on a piece: who may, whether it still goes, and the step that undoes it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from tracker.domain.message import Message, Plural, _
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.piece import STEPS, Piece, Stage, StepName
from tracker.domain.refusals import NotAllowed, NotAStep, Refusal, Unknown
from tracker.domain.rules.engine import judge_layers_in
from tracker.domain.studio.people import Person, Right
from tracker.store.pieces.queries import HistoryRow
from tracker.store.pieces.shelf_queries import Together
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.found_again import back_since, found_after_all, last_queued, place_before, queued_again
from tracker.usecases.pieces.layers import as_told_before, ask_again, take_back_questions, worn_before
from tracker.usecases.pieces.lookup import held_piece, receipt_of
from tracker.usecases.pieces.pickup import take_back_within
from tracker.usecases.pieces.pieces import Back, must_be_let_in, plain_step, stand_at
from tracker.usecases.pieces.registrations import part
from tracker.usecases.pieces.ways_out import possible_now
from tracker.usecases.pieces.wishes import wish_again

_FOR_A_DAY = timedelta(days=1)
"""How long a page offers to undo what was done to a whole shelf at once, or that layers came off."""


def can_undo(reader: Queries, line: int, by: Person, at: datetime) -> bool:
    """Whether this person can take back that line of history now."""
    try:
        _to_undo(reader, line, by, at)
    except Refusal:
        return False
    return True


def can_undo_done(reader: Queries, receipt: Receipt, by: Person, at: datetime) -> bool:
    """Whether whoever got this receipt can take the step back; one just taken is known, and isn't asked for again."""
    if receipt.line is None or receipt.taken is None:
        return receipt.line is not None and can_undo(reader, receipt.line, by, at)
    piece, line = receipt.taken.piece, receipt.taken.line
    try:
        _must_go_back(reader.by_catalog(receipt.taken.catalog), piece, _find_that_brought(reader, line) or line, by, at)
    except Refusal:
        return False
    return True


def to_put_back(reader: Queries, piece_id: int, by: Person, at: datetime) -> int | None:
    """The number of one's own last line, where that took layers or wax off today and can be undone; else None."""
    last = reader.pieces.last_line(piece_id)
    found = reader.pieces.history_line(last)
    if found is None or found[0].step not in {StepName.WASH_OFF, StepName.NOT_WAXED} or found[0].at < at - _FOR_A_DAY:
        return None
    return last if can_undo(reader, last, by, at) else None


@once("undo each")
def undo_each(change: Change, lines: Sequence[int]) -> Receipt:
    """Take back one's own last steps on several pieces at once; what moved on since stays as it is."""
    by, at = change.request.by, change.request.at
    receipts = [undo.within(change, one) for one in lines if can_undo(change.read, one, by, at)]
    if not receipts:
        raise _nothing_to_undo()
    return _together_again(receipts)


def done_together(reader: Queries, place: str, by: Person, at: datetime) -> Together | None:
    """What this person did last in one go with everything on a shelf, while it can be taken back; else None."""
    if not by.may(Right.MOVE):
        return None
    found = reader.shelves.done_together(by.id, since=at - _FOR_A_DAY)
    return next((one for one in found if one.place == place), None)


@once("undo")
def undo(change: Change, line: int) -> Receipt:
    """Take back one's own last step on a piece by the step that undoes it, if nothing has happened since."""
    piece, row = _to_undo(change.read, line, change.request.by, change.request.at)
    done = _OWN_WAY.get(row.step, _inversely)(change, piece, row)
    if row.start is not row.to and row.step is not StepName.LOSE:
        back_since(change, piece.id, row.id)
    return done


def _inversely(change: Change, piece: Piece, row: HistoryRow) -> Receipt:
    inverse = STEPS[row.step].undone_by or row.step
    back = Back(undoes=row.id, place=place_before(piece, row))
    return plain_step(change, inverse, piece.ref, None, _shelf_of(piece, back), back=back)


@once("undo together")
def undo_together(change: Change, line: int) -> Receipt:
    """Take back all that one's own request did in one go with everything on a shelf; `line` is one of its lines.

    What moved on since stays as it is.
    """
    by, at = change.request.by, change.request.at
    found = change.read.shelves.done_together(by.id, since=at - _FOR_A_DAY)
    whole = next((one for one in found if line in one.lines), None)
    if whole is None:
        raise _nothing_to_undo()
    receipts = [undo.within(change, one) for one in whole.lines if can_undo(change.read, one, by, at)]
    return replace(_together_again(receipts), extra={"place": whole.before})


def _nothing_to_undo() -> NotAStep:
    return NotAStep(
        Message("nothing-to-undo", _("Nothing is left to undo here.")),
        Message("look-at-the-pieces", _("Check the pieces themselves.")),
    )


def _together_again(receipts: Sequence[Receipt]) -> Receipt:
    refs = tuple(receipt.ref for receipt in receipts)
    words = Plural("count", "{count} piece is back where it was.", "{count} pieces are back where they were.")
    return Receipt(message=Message("undone-together", words, count=len(refs)), refs=refs)


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
        message = Message("moved-on", words, piece=piece.ref, stage=piece.stage)
        raise NotAStep(message, possible_now(reader, piece, at))
    row = _find_that_brought(reader, row) or row
    _must_go_back(reader, piece, row, by, at)
    return piece, row


def _must_go_back(reader: Queries, piece: Piece, row: HistoryRow | HistoryLine, by: Person, at: datetime) -> None:
    """Refuse where this is no step that this person can take back, as the last one of a piece."""
    _must_have_a_way_back(piece, row)
    by.must_be_allowed(STEPS[STEPS[row.step].undone_by or row.step].right)
    piece.must_not_be_in_a_kiln()
    _must_part_from(reader, piece, by)
    if row.step is StepName.PULL_BACK:
        with reader.together() as read:
            route = read.catalog().route(row.route or "")
            must_be_let_in(read, piece, route, lambda: last_queued(read, piece).accepted, at)


def _find_that_brought(reader: Queries, row: HistoryRow | HistoryLine) -> HistoryRow | None:
    """The line with which a piece was found, where that brought it into its queue with this one; undone as one."""
    found = reader.pieces.history_line(int(str(row.facts["found"]))) if "found" in row.facts else None
    return None if found is None or row.undoes is not None else found[0]


def _must_part_from(reader: Queries, piece: Piece, by: Person) -> None:
    """Refuse where a piece was lost as registered twice and can't be parted now from the one that it leads to."""
    into = reader.pieces.leads_to(piece.id) if piece.stage is Stage.LOST else None
    stays = reader.pieces.piece(number=into) if into is not None else None
    if stays is not None:
        by.must_be_allowed(stays.must_start(StepName.MERGE).right)


def _must_have_a_way_back(piece: Piece, row: HistoryRow | HistoryLine) -> None:
    """Refuse what no step undoes: the undo of an undo, what a fire did, and layers that an old line doesn't name."""
    is_kept = row.step not in {StepName.WASH_OFF, StepName.NOT_WAXED} or "wore" in row.facts
    if STEPS[row.step].undone_by is None or row.undoes is not None or row.firing_id is not None or not is_kept:
        words = _("You can't undo “{step}”.")
        raise NotAStep(Message("not-taken-back", words, step=row.step), piece.possible)


def _shelf_of(piece: Piece, back: Back) -> str:
    """The shelf that a line of history tells, where an undo takes a piece back to another than it is on."""
    return "" if back.place == piece.place else back.place


def _back_on_its_shelf(change: Change, piece: Piece, moved: HistoryRow) -> Receipt:
    return stand_at(change, piece, str(moved.facts.get("before", "")), undoes=moved.id)


def _not_handed_out(change: Change, piece: Piece, claimed: HistoryRow) -> Receipt:
    return take_back_within(change, piece, claimed, undoes=claimed.id)


def _queue_again(change: Change, piece: Piece, left: HistoryRow) -> Receipt:
    return queued_again(change, piece, left.route or "", undoes=left.id, place=place_before(piece, left))


def _find_again(change: Change, piece: Piece, lost: HistoryRow) -> Receipt:
    """What was lost as registered twice is another piece after all."""
    into = change.read.pieces.leads_to(piece.id)
    stays = change.read.pieces.piece(number=into) if into is not None else None
    return found_after_all(change, piece, lost) if stays is None else part.within(change, stays.ref, piece.id)


def _lift_layer(change: Change, piece: Piece, put_on: HistoryRow) -> Receipt:
    """Take off the layer that went on last, and no other: the piece is again as it was before."""
    held = held_piece(change, StepName.WASH_OFF, piece.ref, None)
    before = put_on.start or Stage.BISQUED
    bare = replace(held, stage=before, layers=held.layers[:-1], version=held.version + 1)
    after = as_told_before(bare, put_on.facts)
    line = HistoryLine(step=StepName.WASH_OFF, undoes=put_on.id)
    number = change.save(held, after, line)
    wish_again(change, after, put_on.facts)
    ask_again(change, after, put_on.at)
    take_back_questions(change, after)
    return receipt_of(
        after, "layer-off", _("{piece}: last layer taken off. It's back to {stage}."), line=number, stage=after.stage
    )


def _put_on_again(change: Change, piece: Piece, off: HistoryRow) -> Receipt:
    """Put the layers back on that never came off, or the wax that was there after all."""
    held = held_piece(change, off.step, piece.ref, None)
    before = off.start or held.stage
    after = replace(worn_before(change.catalog, held, off.facts), stage=before, place=place_before(piece, off))
    step = StepName.WAX if off.step is StepName.NOT_WAXED else StepName.GLAZE
    line = HistoryLine(
        step=StepName.DECORATE if before is Stage.GREENWARE else step,
        verdict=judge_layers_in(change.catalog, after) if after.has_glaze else None,
        undoes=off.id,
    )
    number = change.save(held, after, line)
    wish_again(change, after, off.facts)
    ask_again(change, after, off.at)
    return receipt_of(
        after,
        "layers-on-again",
        _("{piece}: layers back on the record. It's back to {stage}."),
        line=number,
        stage=after.stage,
    )


_OWN_WAY: Mapping[StepName, Callable[[Change, Piece, HistoryRow], Receipt]] = {
    StepName.PULL_BACK: _queue_again,
    StepName.SHELVE: _back_on_its_shelf,
    StepName.GLAZE: _lift_layer,
    StepName.DECORATE: _lift_layer,
    StepName.WASH_OFF: _put_on_again,
    StepName.NOT_WAXED: _put_on_again,
    StepName.CLAIM: _not_handed_out,
    StepName.LOSE: _find_again,
}
"""The steps that are undone by more than the step that leads back."""
