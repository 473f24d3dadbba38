"""What pages and use cases ask about questions, their answers and what the answers allow."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Row, Select, bindparam, or_, select

from tracker.domain.findings import Approval, Finding
from tracker.domain.message import Message
from tracker.domain.pieces.codes import slip_text
from tracker.store.connected import Connect
from tracker.store.mappers import findings_of, question_of
from tracker.store.numbers import is_number
from tracker.store.prepared import Prepared
from tracker.store.studio.known import Known
from tracker.store.tables import (
    answers_taken_back,
    clays,
    glazes,
    people,
    pieces,
    questions,
    withdrawn_questions,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionRow:
    """A question on a piece, and its answer once there is one."""

    id: int
    piece_id: int
    ref: str
    what: str
    maker_name: str
    route: str | None
    text: Message
    findings: tuple[Finding, ...]
    asked_by_id: int
    asked_by: str
    asked_at: datetime
    answered_by: str | None
    answered_at: datetime | None
    allows: bool | None
    answer: str | None
    pinned_clay: str | None = None
    pinned_glaze: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WithdrawnQuestion:
    """A question that was taken back before anybody answered it."""

    route: str | None
    text: Message
    asked_by: str
    asked_at: datetime
    withdrawn_by: str
    withdrawn_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerTakenBack:
    """An answer that the instructor took back, to the question of this number."""

    question_id: int
    allowed: bool
    answer: str
    answered_by: str
    answered_at: datetime
    taken_back_by: str
    taken_back_at: datetime


_LEAVES = Prepared(
    select(questions.c.route, questions.c.findings).where(
        questions.c.piece_id == bindparam("of_piece"), questions.c.allows
    )
)
_ASKER = people.alias("asker")
_ANSWERER = people.alias("answerer")
_MAKER = people.alias("maker")
_QUESTION = (
    select(
        questions,
        pieces.c.code,
        pieces.c.what,
        _MAKER.c.name.label("maker_name"),
        _ASKER.c.name.label("asker_name"),
        _ANSWERER.c.name.label("answerer_name"),
        clays.c.name.label("about_clay"),
        glazes.c.name.label("about_glaze"),
    )
    .join(pieces, pieces.c.id == questions.c.piece_id)
    .join(_MAKER, _MAKER.c.id == pieces.c.maker_id)
    .join(_ASKER, _ASKER.c.id == questions.c.asked_by)
    .outerjoin(_ANSWERER, _ANSWERER.c.id == questions.c.answered_by)
    .outerjoin(clays, clays.c.id == questions.c.pinned_clay)
    .outerjoin(glazes, glazes.c.id == questions.c.pinned_glaze)
    .order_by(questions.c.asked_at, questions.c.id)
)
_OF_PIECE = Prepared(_QUESTION.where(questions.c.piece_id == bindparam("of_piece")))

_WITHDRAWER = people.alias("withdrawer")
_WITHDRAWN = (
    select(withdrawn_questions, _ASKER.c.name.label("asker_name"), _WITHDRAWER.c.name.label("withdrawer_name"))
    .join(_ASKER, _ASKER.c.id == withdrawn_questions.c.asked_by)
    .join(_WITHDRAWER, _WITHDRAWER.c.id == withdrawn_questions.c.withdrawn_by)
)

_TAKER = people.alias("taker")
_TAKEN_BACK = (
    select(answers_taken_back, _ANSWERER.c.name.label("answerer_name"), _TAKER.c.name.label("taker_name"))
    .join(questions, questions.c.id == answers_taken_back.c.question_id)
    .join(_ANSWERER, _ANSWERER.c.id == answers_taken_back.c.answered_by)
    .join(_TAKER, _TAKER.c.id == answers_taken_back.c.taken_back_by)
    .order_by(answers_taken_back.c.id)
)
_MOST_RECENT = 20


class QuestionQueries:
    """The questions on pieces: `store.read.questions`."""

    def __init__(self, connect: Connect, known: Callable[[], Known]) -> None:
        """Ask over connections that `connect` gives; `known` gives the catalog with its numbers."""
        self._connect = connect
        self._known = known

    def open(self) -> tuple[QuestionRow, ...]:
        """Questions that nobody has answered, the oldest first."""
        return self._questions(_QUESTION.where(questions.c.answered_at.is_(None)))

    def open_of(self, maker_id: int) -> tuple[QuestionRow, ...]:
        """Questions on a maker's pieces that nobody has answered, the oldest first."""
        return self._questions(_QUESTION.where(questions.c.answered_at.is_(None), pieces.c.maker_id == maker_id))

    def question(self, number: int) -> QuestionRow | None:
        """One question, or None."""
        return next(iter(self._questions(_QUESTION.where(is_number(questions.c.id, number)))), None)

    def pinned(
        self, *, clays_named: Collection[str] = (), glazes_named: Collection[str] = ()
    ) -> tuple[QuestionRow, ...]:
        """Answered questions that are pinned to one of these clays or glazes, the newest answer first."""
        known = self._known()
        of_clay = questions.c.pinned_clay.in_(
            [number for name, number in known.clay_ids.items() if name in clays_named]
        )
        of_glaze = questions.c.pinned_glaze.in_(
            [number for name, number in known.glaze_ids.items() if name in glazes_named]
        )
        about = or_(of_clay, of_glaze) if clays_named and glazes_named else of_clay if clays_named else of_glaze
        newest = _QUESTION.where(about).order_by(None).order_by(questions.c.answered_at.desc(), questions.c.id.desc())
        return self._questions(newest)

    def leaves(self, piece_id: int) -> frozenset[Approval]:
        """The instructor's approvals for this piece."""
        with self._connect() as connection:
            return frozenset(
                Approval(route, one.message)
                for route, findings in _LEAVES.all(connection, {"of_piece": piece_id})
                for one in findings_of(findings)
            )

    def of_piece(self, piece_id: int) -> tuple[QuestionRow, ...]:
        """Every question on a piece, the oldest first."""
        with self._connect() as connection:
            return tuple(map(_question_of, _OF_PIECE.all(connection, {"of_piece": piece_id})))

    def withdrawn(self, piece_id: int) -> tuple[WithdrawnQuestion, ...]:
        """The questions on a piece that were taken back, the oldest first."""
        wanted = _WITHDRAWN.where(withdrawn_questions.c.piece_id == piece_id).order_by(withdrawn_questions.c.id)
        with self._connect() as connection:
            return tuple(
                WithdrawnQuestion(
                    route=row.route,
                    text=question_of(row),
                    asked_by=row.asker_name,
                    asked_at=row.asked_at,
                    withdrawn_by=row.withdrawer_name,
                    withdrawn_at=row.withdrawn_at,
                )
                for row in connection.execute(wanted)
            )

    def taken_back(self, piece_id: int) -> tuple[AnswerTakenBack, ...]:
        """The answers on a piece that were taken back, the oldest first."""
        with self._connect() as connection:
            return tuple(
                AnswerTakenBack(
                    question_id=row.question_id,
                    allowed=row.allowed,
                    answer=row.answer,
                    answered_by=row.answerer_name,
                    answered_at=row.answered_at,
                    taken_back_by=row.taker_name,
                    taken_back_at=row.taken_back_at,
                )
                for row in connection.execute(_TAKEN_BACK.where(questions.c.piece_id == piece_id))
            )

    def answered_since(self, moment: datetime, *, limit: int = _MOST_RECENT) -> tuple[QuestionRow, ...]:
        """The questions answered since then, the newest answer first; not more than fit a page, or `limit`."""
        since = _QUESTION.where(questions.c.answered_at >= moment).order_by(None)
        newest = since.order_by(questions.c.answered_at.desc(), questions.c.id.desc())
        return self._questions(newest.limit(limit))

    def answered_on(self, piece_ids: Collection[int]) -> tuple[QuestionRow, ...]:
        """The answered questions on these pieces, in the order in which they were asked; at most a page of pieces."""
        if not piece_ids:
            return ()
        answered = _QUESTION.where(questions.c.piece_id.in_(piece_ids), questions.c.answered_at.is_not(None))
        return self._questions(answered)

    def _questions(self, wanted: Select[Any]) -> tuple[QuestionRow, ...]:
        with self._connect() as connection:
            return tuple(map(_question_of, connection.execute(wanted)))


def _question_of(row: Row[Any]) -> QuestionRow:
    return QuestionRow(
        id=row.id,
        piece_id=row.piece_id,
        ref=row.code or slip_text(row.piece_id),
        what=row.what,
        maker_name=row.maker_name,
        route=row.route,
        text=question_of(row),
        findings=findings_of(row.findings),
        asked_by_id=row.asked_by,
        asked_by=row.asker_name,
        asked_at=row.asked_at,
        answered_by=row.answerer_name,
        answered_at=row.answered_at,
        allows=row.allows,
        answer=row.answer,
        pinned_clay=row.about_clay,
        pinned_glaze=row.about_glaze,
    )
