"""What became of a piece so far: the stages it has gone through, the last answer about it, why it is lost."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from tracker.domain.firing.outlooks import STILL_TO_FIRE
from tracker.domain.pieces.losses import Loss, cause_of
from tracker.domain.pieces.piece import LINE, Foot, Piece, Stage, StepName
from tracker.store.pieces.queries import PiecePage
from tracker.store.rules.queries import QuestionRow

_TOLD_FOR = timedelta(days=10)
"""How long an answer is shown first of all: until after the next weekly class."""


def passed_stages(page: PiecePage) -> frozenset[str]:
    """The stages a piece has gone through since it last went back to an earlier one, as by a wash-off.

    What was glazed raw is glazed, though it stayed greenware until its one firing.
    """
    raw = frozenset({Stage.GLAZED} if page.piece.has_glaze else ())
    passed: list[Stage] = [*raw]
    for line in page.history:
        if line.to in LINE:
            here = LINE.index(line.to)
            passed = [stage for stage in passed if LINE.index(stage) < here or stage in raw] + [line.to]
    # A foot that was waxed in the same step as its first glaze was waxed all the same.
    is_waxed = page.piece.foot is Foot.WAXED and Stage.GLAZED in passed
    return frozenset(map(str, [*passed, *([Stage.WAXED] if is_waxed else [])]))


def declined_by(page: PiecePage) -> QuestionRow | None:
    """The last answer to a question for a firing, while it is a no and nothing was done with the piece since."""
    last = last_answer(page)
    return None if last is None or last.allows else last


def allowed_by(page: PiecePage) -> QuestionRow | None:
    """The last answer to a question for a firing, while it is a yes and nothing was done with the piece since."""
    last = last_answer(page)
    return last if last is not None and last.allows else None


def last_answer(page: PiecePage) -> QuestionRow | None:
    """The last answer to a question for a firing, while nothing was done with the piece since."""
    if page.row.question_open:
        return None
    return standing_answer(page.piece, page.questions, max(line.at for line in page.history))


def standing_answer(piece: Piece, questions: Iterable[QuestionRow], last_step: datetime) -> QuestionRow | None:
    """The last answer about a firing among the questions on a piece, while its `last_step` was no later.

    None once it waits in a queue or was fired.
    """
    answered = [one for one in questions if one.route is not None and one.answered_at is not None]
    last = max(answered, key=lambda one: (one.answered_at, one.id), default=None)
    if last is None or last.answered_at is None or piece.route is not None or piece.stage not in STILL_TO_FIRE:
        return None
    return last if last_step <= last.answered_at else None


def told_lately(questions: Iterable[QuestionRow], at: datetime) -> tuple[QuestionRow, ...]:
    """The questions about no firing that were answered in the days before `at`, the newest answer first."""
    lately = [
        (one.answered_at, one) for one in questions if one.route is None and one.answered_at and one.answer is not None
    ]
    fresh = [(when, one) for when, one in lately if when >= at - _TOLD_FOR]
    return tuple(one for _when, one in sorted(fresh, key=lambda pair: (pair[0], pair[1].id), reverse=True))


def loss_of(page: PiecePage) -> Loss | Stage | str:
    """Why a lost piece is lost, as far as that is known; empty for a piece that is not."""
    if page.piece.stage is not Stage.LOST:
        return ""
    causes = [line.reason for line in page.history if line.step is StepName.LOSE and line.reason]
    return cause_of(causes[-1]) if causes else Stage.LOST
