"""The book of questions: what one request writes about questions and their answers."""

from __future__ import annotations

from collections.abc import Callable, Collection
from datetime import datetime

from sqlalchemy import Connection, delete, insert, select, update

from tracker.domain.findings import Finding
from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Request
from tracker.domain.refusals import ChangedMeanwhile
from tracker.store.mappers import findings_text, message_text
from tracker.store.numbers import new_number
from tracker.store.rules.queries import QuestionRow
from tracker.store.studio.known import Known
from tracker.store.tables import answers_taken_back, questions, withdrawn_questions


class QuestionBook:
    """The questions, from inside one request's transaction."""

    def __init__(self, connection: Connection, request: Request, known: Callable[[], Known]) -> None:
        """Write over `connection`, on behalf of `request`; `known` gives the catalog with its numbers."""
        self._connection = connection
        self._request = request
        self._known = known

    def ask(self, piece_id: int, route: str | None, text: Message | str, findings: Collection[Finding]) -> int:
        """Put a question on a piece, as somebody typed it or as a message; gives its number."""
        done = self._connection.execute(
            insert(questions),
            {
                "piece_id": piece_id,
                "route": route,
                "text": text if isinstance(text, str) else "",
                "message": None if isinstance(text, str) else message_text(text),
                "findings": findings_text(findings),
                "asked_by": self._request.by.id,
                "asked_at": self._request.at,
            },
        )
        return new_number(done)

    def take_back(self, question_id: int) -> bool:
        """Take back a question that nobody has answered; it stays on record as withdrawn, with who and when.

        One that was answered once stays, though that answer was taken back: its record needs the question. Gives
        whether it was taken back.
        """
        answered_once = select(answers_taken_back.c.id).where(answers_taken_back.c.question_id == questions.c.id)
        here = (questions.c.id == question_id, questions.c.answered_at.is_(None), ~answered_once.exists())
        kept = ("piece_id", "route", "text", "message", "asked_by", "asked_at")
        row = self._connection.execute(select(*(questions.c[one] for one in kept)).where(*here)).mappings().first()
        if row is not None:
            gone = {**row, "withdrawn_by": self._request.by.id, "withdrawn_at": self._request.at}
            self._connection.execute(insert(withdrawn_questions), gone)
            self._connection.execute(delete(questions).where(*here))
        return row is not None

    def put_back(self, piece_id: int, at: datetime, findings_for: Callable[[str | None], Collection[Finding]]) -> None:
        """Ask again what was taken back on a piece at that moment; that it was withdrawn stays on record.

        `findings_for` gives what is asked about a firing type, by its name or None.
        """
        kept = ("piece_id", "route", "text", "message", "asked_by", "asked_at")
        gone = withdrawn_questions.c
        withdrawn = select(*(gone[one] for one in kept)).where(gone.piece_id == piece_id, gone.withdrawn_at == at)
        for row in self._connection.execute(withdrawn.order_by(gone.id)).mappings().all():
            findings = findings_text(findings_for(row["route"]))
            self._connection.execute(insert(questions), {**row, "findings": findings})

    def answer(
        self,
        question_id: int,
        text: str,
        *,
        allows: bool,
        findings: Collection[Finding],
        route: str | None = None,
        clay: str | None = None,
        glaze: str | None = None,
    ) -> None:
        """Answer a question nobody has answered; `findings` are what an allowing answer gives leave for.

        `route` is the firing type that the answer is about, where the question named none.
        The answer is pinned to the clay or the glaze of that name, where one is given.
        """
        known = self._known()
        done = self._connection.execute(
            update(questions)
            .where(questions.c.id == question_id, questions.c.answered_at.is_(None))
            .values(
                answered_by=self._request.by.id,
                answered_at=self._request.at,
                allows=allows,
                answer=text,
                findings=findings_text(findings),
                pinned_clay=known.clay_ids[clay] if clay else None,
                pinned_glaze=known.glaze_ids[glaze] if glaze else None,
                **({"route": route} if route else {}),
            ),
        )
        if not done.rowcount:
            raise ChangedMeanwhile(
                Message("answered-already", _("Someone has already answered this question.")),
                Message("read-the-answer", _("Read the answer first.")),
            )

    def open_again(self, question: QuestionRow) -> None:
        """Open an answered question again; its answer stays on record, with who took it back and when."""
        here = questions.c.id == question.id
        kept = select(questions.c.answered_by, questions.c.answered_at, questions.c.allows, questions.c.answer)
        row = self._connection.execute(kept.where(here)).one()
        self._connection.execute(
            insert(answers_taken_back),
            {
                "question_id": question.id,
                "allowed": row.allows,
                "answer": row.answer or "",
                "answered_by": row.answered_by,
                "answered_at": row.answered_at,
                "taken_back_by": self._request.by.id,
                "taken_back_at": self._request.at,
            },
        )
        nothing = ("answered_by", "answered_at", "allows", "answer", "pinned_clay", "pinned_glaze")
        self._connection.execute(update(questions).where(here).values(dict.fromkeys(nothing)))
