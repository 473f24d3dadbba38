"""The question "04 or 4?" as a page asks it, and what was answered to it before."""

from __future__ import annotations

from typing import Any

from tracker.domain.cones import Cone
from tracker.domain.firing.heat_work import with_band
from tracker.domain.message import Message, _, together
from tracker.domain.studio.cone_bands import AsksCone, ConeQuestion
from tracker.domain.studio.kilns import Route
from tracker.store.studio.cone_answers import ConeAnswered
from tracker.usecases.pieces.revalidate import EVERY_FIRING
from tracker.web.auth import house

MEANT = "cone_meant"
"""The field with the answer: the fact, the cone that was asked about and the one that was meant."""


_CHANGE = Message("change-or-confirm", _("Change it in the form, or confirm it here."))


def cone_question_shown(
    question: ConeQuestion | None, meant: str = "", uses: Message | None = None
) -> dict[str, Any] | None:
    """A question with its choices: each cone that may be meant, and the one that was written; and what `uses` it."""
    if question is None:
        return None
    fixes = [{"value": f"{one.fact} {one.was} {one.cone}", "label": _meant(one.cone)} for one in question.fixes]
    right = f"{question.fact} {question.cone} {question.cone}"
    return {
        "key": question.key,
        "title": question.title,
        "says": together([AsksCone(question).message, uses, None if question.fixes else _CHANGE]),
        "choices": [*fixes, {"value": right, "label": _right(question)}],
        "meant": meant,
    }


def in_use_by(route: Route) -> Message | None:
    """Which open firings go by a firing type's cone and schedule now; None where none does."""
    rows = house().store.read.firings.listed(rounds=False, limit=EVERY_FIRING)
    named = [
        Message("firing-in", _("firing {number} in {kiln}"), number=str(row.id), kiln=row.kiln)
        for row in rows
        if row.route == route.name and row.target == route.cone
    ]
    return Message("firings-use-it", _("It's in use now: {firings}."), firings=tuple(named)) if named else None


def _meant(cone: Cone) -> Message:
    return Message("cone-meant", "{cone:capital}", cone=with_band(cone))


def _right(question: ConeQuestion) -> Message:
    words = _("{cone:capital}: it's right as it is")
    return Message("cone-is-right", words, cone=with_band(question.cone))


def cone_answers_shown(kind: str, name: str) -> list[Message]:
    """What was answered about the cones of a thing, the newest first: who, when, and which cone."""
    return [_answer(one) for one in house().store.read.cone_answers.of(kind, name)]


def _answer(one: ConeAnswered) -> Message:
    if one.is_right:
        words = _("{cone:capital} is right. Confirmed by {by}, {at}.")
        return Message("cone-confirmed", words, cone=one.cone, by=one.by, at=one.at)
    words = _("{meant:capital} was meant, not {cone}. Corrected by {by}, {at}.")
    return Message("cone-corrected", words, meant=one.meant, cone=one.cone, by=one.by, at=one.at)
