"""Questions: what waits for the instructor's word, answered where it stands."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request, url_for

from tracker.domain.people import Right
from tracker.forms.pages import NewAnswerForm, read_form
from tracker.usecases import questions as deciding
from tracker.web.doors import allows, asking, house
from tracker.web.shown import catalogue, question_shown, told

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from tracker.domain.history import Receipt

pages = Blueprint("questions", __name__)


@pages.get("/questions")
@allows(Right.DECIDE)
def questions() -> ResponseReturnValue:
    """Every open question, the oldest first, with what the rules say."""
    known = catalogue()
    asked = house().store.read.open_questions()
    return render_template("questions.html", questions=[question_shown(one, known) for one in asked])


@pages.post("/questions/<int:number>")
@allows(Right.DECIDE)
def answer(number: int) -> ResponseReturnValue:
    """Allow or decline with a reason, which stays with the piece."""

    def do() -> Receipt:
        said = read_form(NewAnswerForm(), request.form)
        return deciding.answer(house().store, asking(), number, said.text, allows=said.allows)

    return told(do, lambda _: url_for("questions.questions"))
