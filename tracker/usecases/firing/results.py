"""A wrong result is corrected: the piece, its flaws and whether it is lost follow, and the history has both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tracker.domain.firing.firings import Firing
from tracker.domain.message import Message, _, together
from tracker.domain.pieces.corrected_results import with_result
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Piece, Stage, StepName
from tracker.domain.refusals import NotAStep, Unusable
from tracker.store.pieces.queries import HistoryRow
from tracker.store.unit_of_work import Change
from tracker.usecases.firing.firings import held_firing
from tracker.usecases.firing.unloading import BROKE_IN_THE_KILN
from tracker.usecases.once import once
from tracker.usecases.pieces.changed_piece import held_where_unfit
from tracker.usecases.pieces.flaws_on_record import events_of
from tracker.usecases.pieces.lookup import held_piece, named
from tracker.usecases.pieces.revalidate import moves_of

_IN_A_FIRE = frozenset({StepName.BISQUE, StepName.FIRE})


@once("correct result")
def correct_result(change: Change, firing_id: int, ref: str, came: Outcome, *, seen: int | None = None) -> Receipt:
    """Say what really came of a piece in a firing that was unloaded, indoors or outdoors.

    What broke becomes lost, what didn't break after all is where it would be; flaws are those of all its firings.
    """
    piece = held_piece(change, StepName.CORRECT_RESULT, ref, seen)
    firing = held_firing(change, firing_id)
    was = change.read.firings.result(firing_id, piece.id)
    if was is None:
        words = _("{piece} has no result in firing {firing}.")
        message = Message("no-result-there", words, piece=piece.ref, firing=str(firing_id))
        raise NotAStep(message, Message("say-result-first", _("Record its result first.")))
    if came == was:
        raise Unusable([Message("result-as-before", _("That's the result on record."))])
    history = change.read.pieces.page(piece.id).history
    stage = _stage_after(piece, history, firing_id, was, came)
    if stage is not piece.stage:
        piece.must_not_be_in_a_kiln()
    stays = stage is piece.stage
    moved = held_where_unfit(change, piece, _as_it_came(piece, history, firing, was, came)) if stays else ()
    held = change.read.pieces.piece(number=piece.id) if moved else piece
    after = _as_it_came(held or piece, history, firing, was, came)
    after = _at_stage(change, after, piece.stage, stage, firing)
    if piece.stage is Stage.LOST and stage is not Stage.LOST:
        after = replace(after, place=_place_before(history, after))
    own = _line_in(history, firing_id).route
    line = HistoryLine(
        step=StepName.CORRECT_RESULT,
        route=own,
        kiln=firing.kiln.name,
        firing_id=firing_id,
        outcome=came,
        facts={
            "was": was.message,
            "cracked_here": after.mended and (not piece.mended or _cracked_here(history, firing_id)),
        },
    )
    number = change.save(held or piece, after, line)
    change.book.change_result(firing_id, piece.id, came)
    if piece.stage is Stage.LOST and after.stage is not Stage.LOST:
        change.stands_since(piece.id, _line_in(history, firing_id).at)
    if stage is Stage.LOST and after.stage is not Stage.LOST:
        broken = replace(after.take(StepName.LOSE), place="")
        lost = replace(
            line,
            step=StepName.LOSE,
            reason=BROKE_IN_THE_KILN,
            facts={"before": after.place},
        )
        number, after = change.save(after, broken, lost), broken
    words = _("{piece}: result of firing {firing} corrected to {result}.")
    says = Message("result-corrected", words, piece=named(after), firing=str(firing_id), result=came.message)
    return Receipt(
        message=together([says, moves_of(moved)]),
        ref=after.ref,
        piece_id=after.id,
        line=number,
        refs=(after.ref,),
        extra={"firing": firing_id},
    )


def _as_it_came(piece: Piece, history: Sequence[HistoryRow], firing: Firing, was: Outcome, came: Outcome) -> Piece:
    """The piece with the flaws it has by the corrected result."""
    events = tuple(events_of(history, piece))
    line = _line_in(history, firing.id)
    if line.step is StepName.BISQUE:
        came = came.out_of_a_bisque
    after = with_result(piece, events, firing.id, was, came, cracked_here=_cracked_here(history, firing.id))
    return replace(after, version=piece.version + 1)


def _stage_after(piece: Piece, history: Sequence[HistoryRow], firing_id: int, was: Outcome, came: Outcome) -> Stage:
    """Where the piece is by the corrected result; refused where it can't have broken in that firing."""
    if was.survives is came.survives:
        return piece.stage
    line = _line_in(history, firing_id)
    if was.survives:
        if piece.stage is Stage.CLAIMED or any(one.step in _IN_A_FIRE for one in history if one.id > line.id):
            words = _("{piece} moved on after firing {firing}, so it can't have broken there.")
            message = Message("went-on-since", words, piece=piece.ref, firing=str(firing_id))
            raise NotAStep(message, Message("undo-what-came-after", _("Undo what was recorded after it first.")))
        return Stage.LOST
    lost_by = next((one.firing_id for one in reversed(history) if _was_lost_in(one)), None)
    if piece.stage is Stage.LOST and lost_by == firing_id:
        return Stage.BISQUED if piece.came_from is Stage.GREENWARE else Stage.FIRED
    return Stage.BISQUED if piece.stage is Stage.GREENWARE else piece.stage


def _at_stage(change: Change, piece: Piece, before: Stage, stage: Stage, firing: Firing) -> Piece:
    """The piece where the firing left it after all, with its code where that was a bisque; what broke is lost later."""
    if stage in {before, Stage.LOST}:
        return piece
    if stage is Stage.BISQUED:
        piece = replace(piece.fired(firing.counted), code=piece.code or change.new_code())
    return replace(piece, stage=stage, came_from=None)


def _was_lost_in(line: HistoryRow) -> bool:
    """Whether a piece was lost by the step of this line: a lost one whose result is corrected was lost before."""
    return line.to is Stage.LOST and line.start is not Stage.LOST


def _place_before(history: Sequence[HistoryRow], piece: Piece) -> str:
    """The shelf that a piece was on before it was lost to its firing by a corrected result; else where it is."""
    lost = next(one for one in reversed(history) if _was_lost_in(one))
    return str(lost.facts.get("before", piece.place))


def _line_in(history: Sequence[HistoryRow], firing_id: int) -> HistoryRow:
    """The line with which a piece came out of that firing: bisqued, fired or, out of a bisque, broken."""
    return next(
        one for one in history if one.firing_id == firing_id and (one.step in _IN_A_FIRE or one.outcome is not None)
    )


def _cracked_here(history: Sequence[HistoryRow], firing_id: int) -> bool:
    """Whether a piece counts as cracked by its result in that firing alone, as it was corrected last."""
    told = (one.facts for one in reversed(history) if one.firing_id == firing_id)
    return next((bool(facts["cracked_here"]) for facts in told if "cracked_here" in facts), False)
