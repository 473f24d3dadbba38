"""Questions: what waits for the instructor's word, answered where it stands."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.piece import Piece
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.materials import ClayKind
from tracker.domain.studio.people import Right
from tracker.domain.studio.spelling import plain
from tracker.forms.page_forms import NewAnswerForm, read_form
from tracker.store.pieces.queries import PieceRow
from tracker.store.rules.queries import QuestionRow
from tracker.usecases.rules import questions as deciding
from tracker.usecases.rules.answers_taken_back import recently_answered, take_back_answer
from tracker.web.auth import allows, asking, house
from tracker.web.lists import Order, listed
from tracker.web.pieces.clay_choices import clays_to_pick
from tracker.web.presenters import catalog, question_shown, told
from tracker.web.wording import said

pages = Blueprint("questions", __name__)

_ON_A_PAGE = 3
_ORDERS: dict[str, Order[QuestionRow]] = {
    "oldest": Order(Message("oldest-first", _("oldest")), lambda one: one.asked_at),
    "newest": Order(Message("newest-first", _("newest")), lambda one: one.asked_at, falling=True),
    "maker": Order(Message("by-maker", _("maker")), lambda one: (plain(one.maker_name), one.asked_at)),
}


@pages.get("/questions")
@allows(Right.DECIDE)
def questions() -> ResponseReturnValue:
    """Every open question, the oldest first, with what the rules say."""
    known = catalog()
    shown = listed(
        house().store.read.questions.open(),
        told=lambda one: f"{one.ref} {one.what} {one.maker_name} {one.asked_by} {said(one.text)}",
        orders=_ORDERS,
        kind_of=lambda one: known.routes[one.route].title if one.route and one.route in known.routes else "",
        on_a_page=_ON_A_PAGE,
    )
    asked = shown.rows
    rows = {row.piece.id: row for row in house().store.read.pieces.by_ids([one.piece_id for one in asked])}
    questions_ = [
        {
            **question_shown(one, known),
            **_asked_now(one, rows[one.piece_id]),
            "pins": _pins(rows[one.piece_id].piece),
            "clays": _clays(rows[one.piece_id].piece, known),
        }
        for one in asked
    ]
    return render_template(
        "rules/questions.html",
        questions=questions_,
        shown=shown,
        answered=[
            {**question_shown(one, known), "answer": one.answer, "allows": one.allows, "at": one.answered_at}
            for one in recently_answered(house().store.read, house().clock())
        ],
    )


@pages.post("/questions/<int:number>")
@allows(Right.DECIDE)
def answer(number: int) -> ResponseReturnValue:
    """Allow or decline with a reason, which stays with the piece."""

    def do() -> Receipt:
        sent = read_form(NewAnswerForm(), request.form)
        return deciding.answer(
            house().store, asking(), number, sent.text, allows=sent.allows, pin=sent.pin, clay=sent.clay
        )

    return told(do, lambda _receipt: url_for("questions.questions"))


@pages.post("/questions/<int:number>/take-back")
@allows(Right.DECIDE)
def take_back(number: int) -> ResponseReturnValue:
    """Open a question again that was answered by mistake."""
    return told(
        lambda: take_back_answer(house().store, asking(), number),
        lambda _receipt: url_for("questions.questions", _anchor=f"question-{number}"),
    )


def _asked_now(question: QuestionRow, row: PieceRow) -> dict[str, Any]:
    """What is still found of what was asked about, whether the answer is a yes or a no, and the piece's kiln."""
    reader = house().store.read
    _route, firing = deciding.asked_in(reader, row)
    still, gone = deciding.as_found_now(reader, question, house().clock())
    words = _("No longer applies: {what}")
    now = {"findings": still, "gone": [Message("no-longer-so", words, what=one.message) for one in gone]}
    if firing is None:
        return {**now, "decides": question.route is not None, "kiln": ""}
    words = _("Already in {kiln}, firing {firing}. If you decline, it must come out.")
    return {
        **now,
        "decides": True,
        "kiln": Message("asked-in-kiln", words, kiln=firing.kiln.name, firing=str(firing.id)),
    }


def _clays(piece: Piece, known: Catalog) -> list[tuple[str, str | list[tuple[str, str]]]]:
    """The clays that a piece of an unknown one may be of; none to choose where its clay is known."""
    if piece.clay.kind is not ClayKind.UNKNOWN:
        return []
    return [("", said(Message("clay-still-unknown", _("still unknown")))), *clays_to_pick(known, ())]


def _pins(piece: Piece) -> list[tuple[str, str]]:
    """What an answer may be pinned to: nothing, the piece's clay, or one of the glazes on it."""
    worn = dict.fromkeys(piece.worn_names)
    glazes = [(f"glaze:{name}", said(Message("pin-to-glaze", _("To {glaze}"), glaze=name))) for name in worn]
    clay = said(Message("pin-to-clay", _("To {clay}"), clay=piece.clay.name))
    return [("", said(Message("not-pinned", _("Don't pin it")))), ("clay", clay), *glazes]
