"""Terms: the list of them, one more (like the one before, if so wanted), and what one is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import Refusal
from tracker.domain.studio.people import Right
from tracker.domain.studio.terms import NewTerm, Term
from tracker.forms.page_forms import BadForm
from tracker.forms.studio.term_form import read_term
from tracker.usecases.studio import terms
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.plain_input import whole
from tracker.web.presenters import today
from tracker.web.wording import said, said_refusal

pages = Blueprint("terms", __name__)


@pages.get("/terms")
@allows(Right.PEOPLE)
def all_terms() -> ResponseReturnValue:
    """Every term, the newest first, with its sections."""
    read, day = house().store.read, today()
    sections, known, left = read.terms.sections(), read.terms.listed(), read.term_pieces.counts_here()
    return render_template(
        "studio/terms.html",
        terms=[{"term": one, "runs": one.runs_on(day), "left": left.get(one.id, 0)} for one in known],
        sections={one.id: [its.name for its in sections if its.term_id == one.id] for one in known},
        loose=[one.name for one in sections if one.term_id is None],
    )


@pages.get("/terms/new")
@allows(Right.PEOPLE)
def new() -> ResponseReturnValue:
    """The form for one more term; ?from= takes the sections of another one, and days that follow it."""
    read = house().store.read
    known = read.terms.listed()
    like = next((one for one in known if one.id == whole(request.args, "from", 0)), None)
    sections = [one.name for one in read.terms.sections() if one.term_id == (like.id if like else None)]
    filled: dict[str, object] = {"sections": "\n".join(sections) if like or not known else ""}
    if like is not None:
        filled |= _days_after(like)
    return _form(filled, title_of=None)


def _days_after(term: Term) -> dict[str, object]:
    """The days of a term that is as long as this one and starts on the same weekday, in the week after its end."""
    moved = ((term.ends_on - term.starts_on).days // 7 + 1) * 7
    pickup_on = term.pickup_on if term.pickup_on is not None and term.runs_on(term.pickup_on) else None
    days = {"starts_on": term.starts_on, "ends_on": term.ends_on, "pickup_on": pickup_on}
    return {
        name: date.fromordinal(day.toordinal() + moved).isoformat() for name, day in days.items() if day is not None
    }


@pages.post("/terms/new")
@allows(Right.PEOPLE)
def add() -> ResponseReturnValue:
    """Add a term."""
    return _saved(lambda new_one: terms.add_term(house().store, asking(), new_one), None)


@pages.get("/terms/<int:number>")
@allows(Right.PEOPLE)
def term(number: int) -> ResponseReturnValue:
    """The form of one term."""
    known = terms.term_known(house().store.read, number)
    sections = [one.name for one in house().store.read.terms.sections() if one.term_id == known.id]
    filled = {
        "name": known.name,
        "starts_on": known.starts_on.isoformat(),
        "ends_on": known.ends_on.isoformat(),
        "pickup_on": known.pickup_on.isoformat() if known.pickup_on else "",
        "sections": "\n".join(sections),
    }
    return _form(filled, title_of=known)


@pages.post("/terms/<int:number>")
@allows(Right.PEOPLE)
def change(number: int) -> ResponseReturnValue:
    """Change one term."""
    known = terms.term_known(house().store.read, number)
    return _saved(lambda after: terms.change_term(house().store, asking(), number, after), known)


def _saved(do: Callable[[NewTerm], Receipt], known: Term | None) -> ResponseReturnValue:
    try:
        receipt = do(read_term(request.form))
    except BadForm as bad:
        errors = {name: said(message) for name, message in bad.fields.items()}
        return _form(request.form, title_of=known, errors=errors), 422
    except Refusal as refusal:
        return _form(request.form, title_of=known, errors={"name": said_refusal(refusal)}), status_of(refusal)
    flash(said(receipt.message), "good")
    return redirect(url_for("terms.all_terms"), 303)


def _form(filled: Mapping[str, object], *, title_of: Term | None, errors: Mapping[str, str] | None = None) -> str:
    return render_template("studio/term.html", filled=filled, term=title_of, errors=errors or {})
