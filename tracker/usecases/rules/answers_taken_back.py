"""Taking back an answer that was given by mistake: its question is open again, and the piece is judged without it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import cast

from tracker.domain.message import Message, _, together
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.refusals import NotAStep
from tracker.domain.studio.people import Right
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.store.rules.queries import QuestionRow
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.lookup import find_piece
from tracker.usecases.pieces.revalidate import fit_again, found_open, moved_by, moves_of, send_out, stays_of
from tracker.usecases.rules.questions import find_question

_RECENTLY = timedelta(days=7)
_FIRED = frozenset({StepName.BISQUE, StepName.FIRE})


def can_be_taken_back(reader: Queries, question: QuestionRow) -> bool:
    """Whether the answer to a question still decides something: the piece has been in no fire since."""
    answered = question.answered_at
    if answered is None:
        return False
    row = reader.pieces.row(number=question.piece_id)
    firing = reader.firings.firing(row.firing_id) if row is not None and row.firing_id is not None else None
    if row is None or (firing is not None and firing.is_hot):
        return False
    history = reader.pieces.page(question.piece_id).history
    return not any(line.step in _FIRED and line.at >= answered for line in history)


def recently_answered(reader: Queries, now: datetime) -> tuple[QuestionRow, ...]:
    """The questions answered in the last days whose answers can be taken back, the newest answer first."""
    return tuple(one for one in reader.questions.answered_since(now - _RECENTLY) if can_be_taken_back(reader, one))


@once("take back an answer")
def take_back_answer(change: Change, question_id: int) -> Receipt:
    """Open an answered question again; the answer stays on record, with who took it back and when.

    A piece that an approval put into a queue or a kiln leaves it where the rules ask again. One that a no took out goes
    back where nothing else is against it. Refused once the piece is in a fire or was fired since the answer.
    """
    by = change.request.by
    by.must_be_allowed(Right.DECIDE)
    question = find_question(change.read, question_id)
    if question.answered_at is None:
        raise NotAStep(
            Message("answer-none-yet", _("This question has no answer.")),
            Message("answer-it", _("Answer it under Questions.")),
        )
    piece = find_piece(change.read, question.ref, by)
    if not can_be_taken_back(change.read, question):
        words = _("{piece} has been in a firing since this answer.")
        raise NotAStep(
            Message("answer-was-fired", words, piece=piece.ref),
            Message("answer-was-fired-remedy", _("Note a new question on the piece.")),
        )
    change.questions.open_again(question)
    row = change.read.pieces.row(number=piece.id)
    words = _("{piece}: the answer is taken back. The question is open again.")
    says: list[Message | None] = [Message("answer-taken-back", words, piece=piece.ref)]
    if row is not None and question.allows:
        says.append(_without_leave(change, row))
    elif row is not None:
        says += (_back_in_its_queue(change, row, question), stays_of(fit_again(change)))
    return Receipt(message=together(says), ref=piece.ref, piece_id=piece.id)


def _without_leave(change: Change, row: PieceRow) -> Message | None:
    """Take a piece out of the queue and the kiln that it is in by an approval alone; what became of it, or None."""
    firing = change.read.firings.firing(row.firing_id) if row.firing_id is not None else None
    found = found_open(change.catalog, row, firing, change.read.questions.leaves, change.request.at)
    if not found or (firing is None and not row.piece.route):
        return None
    moved = moved_by(row, found, change.catalog, firing)
    send_out(change, moved, None)
    return moves_of([moved])


def _back_in_its_queue(change: Change, row: PieceRow, question: QuestionRow) -> Message | None:
    """Put a piece that this no took out of its queue back into it, if nothing was done with it since; None if not."""
    *before, last = change.read.pieces.page(row.piece.id).history
    route = change.catalog.routes.get(last.route or "")
    if last.step is not StepName.PULL_BACK or last.at != question.answered_at or route is None or row.leaving_id:
        return None
    waits = replace(row.piece, route=route.name, stage=Stage.QUEUED)
    queued = next((line for line in reversed(before) if line.step is StepName.QUEUE), None)
    seen = replace(row, piece=waits, accepted=queued.accepted if queued else ())
    if found_open(change.catalog, seen, None, change.read.questions.leaves, change.request.at):
        return None
    after = replace(row.piece.take(StepName.QUEUE), route=route.name)
    since = cast("datetime", queued.facts.get("waits_since", queued.at)) if queued else change.request.at
    line = HistoryLine(
        step=StepName.QUEUE,
        route=route.name,
        accepted=seen.accepted,
        facts={"waits_since": since},
    )
    change.save(row.piece, after, line, waits_since=since)
    return Message("back-in-its-queue", _("It is back in the {firing} queue."), firing=route.title)
