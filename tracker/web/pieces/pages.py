"""The pages of pieces: one's own, and one piece with all that may be done with it."""

from __future__ import annotations

from flask import Blueprint, flash, g, redirect, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.piece import StepName
from tracker.domain.refusals import NotAllowed, NotAStep, Refusal, Unknown
from tracker.domain.studio.people import Right
from tracker.forms.fields import LONGEST_LINE
from tracker.forms.page_forms import (
    AsSeenForm,
    CorrectionForm,
    MoveForm,
    NewQuestionForm,
    ReasonForm,
    read_form,
)
from tracker.usecases.pieces import pickup, pieces, undoing
from tracker.usecases.pieces.lookup import find_row
from tracker.usecases.rules import questions
from tracker.web import piece_presenters as telling
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.pieces.moves import take
from tracker.web.pieces.own_pieces import finished_pieces, own_pieces
from tracker.web.pieces.piece_page import piece_page
from tracker.web.presenters import told
from tracker.web.wording import said

pages = Blueprint("pieces", __name__)

_SEE_OTHER = 303


# ---- my pieces and a new one -----------------------------------------------------------------------------------


@pages.get("/pieces")
@allows(Right.REGISTER)
def mine() -> ResponseReturnValue:
    """One's own pieces: what to do with each or when its firing is; with ?finished= what was taken home or lost."""
    return finished_pieces() if "finished" in request.args else own_pieces()


# ---- one piece -------------------------------------------------------------------------------------------------


@pages.get("/p/<code>")
@allows(Right.SEE_OWN)
def piece(code: str) -> ResponseReturnValue:
    """The page of the piece with this code, however it was written."""
    row = find_row(house().store.read, code, g.person)
    return piece_page(row) if row.ref == code else redirect(telling.address_of(row.ref))


@pages.get("/slip/<int:number>")
@allows(Right.SEE_OWN)
def slip(number: int) -> ResponseReturnValue:
    """The page of the piece with this ticket number; once it has a code it is known by that."""
    row = find_row(house().store.read, f"W{number}", g.person)
    return piece_page(row) if row.ref == f"W{number}" else redirect(telling.address_of(row.ref))


@pages.post("/p/<code>/step")
@allows(Right.SEE_OWN)
def step(code: str) -> ResponseReturnValue:
    """Take a step with a piece from its page; what stands against it is said on that page as it is now."""
    row = find_row(house().store.read, code, g.person)
    try:
        receipt = _take_step(row.ref)
    except (NotAllowed, Unknown):
        raise
    except Refusal as refusal:
        return piece_page(find_row(house().store.read, row.ref, g.person), refusal), status_of(refusal)
    flash(said(receipt.message), "good")
    if "glazing" not in request.form:
        return redirect(telling.address_of(receipt.ref), _SEE_OTHER)
    then = request.form["glazing"][:LONGEST_LINE] or None
    return redirect(url_for("pieces.glazing", code=receipt.ref, glaze=then), _SEE_OTHER)


@pages.post("/p/<code>/put-back/<int:line>")
@allows(Right.WORK_ON)
def put_back(code: str, line: int) -> ResponseReturnValue:
    """Undo the step that took layers or wax off a piece, and lead back to the page that asked."""
    row = find_row(house().store.read, code, g.person)
    there = url_for("pieces.glazing", code=row.ref) if "glazing" in request.form else telling.address_of(row.ref)
    return told(lambda: undoing.undo(house().store, asking(), line), lambda _receipt: there)


@pages.post("/p/<code>/ask")
@allows(Right.ASK)
def ask(code: str) -> ResponseReturnValue:
    """Put a question on a piece for the instructor."""
    row = find_row(house().store.read, code, g.person)
    try:
        sent = read_form(NewQuestionForm(), request.form)
        receipt = questions.ask(house().store, asking(), row.ref, sent.text, route=sent.route, seen=sent.seen)
    except (NotAllowed, Unknown):
        raise
    except Refusal as refusal:
        return piece_page(row, refusal), status_of(refusal)
    flash(said(receipt.message), "good")
    return redirect(telling.address_of(row.ref), _SEE_OTHER)


@pages.post("/p/<code>/questions/<int:number>/withdraw")
@allows(Right.ASK)
def withdraw_question(code: str, number: int) -> ResponseReturnValue:
    """Take back a question that this person asked and nobody has answered."""
    row = find_row(house().store.read, code, g.person)
    try:
        receipt = questions.withdraw(house().store, asking(), row.ref, number)
    except NotAStep as refusal:
        return piece_page(row, refusal), status_of(refusal)
    flash(said(receipt.message), "good")
    return redirect(telling.address_of(row.ref), _SEE_OTHER)


def _take_step(ref: str) -> Receipt:
    """Read which step the page asks for, and take it."""
    store, asked, name = house().store, asking(), request.form.get("step", "")
    if name == StepName.CORRECT:
        to = read_form(CorrectionForm(), request.form)
        return pieces.correct(store, asked, ref, to.to, to.reason, seen=to.seen)
    if name == StepName.FIRE_AGAIN:
        because = read_form(ReasonForm(), request.form)
        return pieces.fire_again(store, asked, ref, because.reason, seen=because.seen)
    if name == StepName.TAKE_BACK:
        return pickup.take_back(store, asked, ref, seen=read_form(AsSeenForm(), request.form).seen)
    return take(read_form(MoveForm(), request.form), ref)
