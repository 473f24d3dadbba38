"""A registration put right: a piece is given to the maker whose it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, g, redirect, render_template, request, url_for

from tracker.domain.refusals import NotAllowed, Refusal, Unknown
from tracker.domain.studio.people import Right
from tracker.forms.page_forms import AsSeenForm, read_form
from tracker.usecases.pieces import registrations
from tracker.usecases.pieces.lookup import find_row
from tracker.usecases.studio.people import person_called
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.piece_presenters import address_of
from tracker.web.wording import said

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from tracker.store.pieces.queries import PieceRow

pages = Blueprint("registered", __name__)

_LONGEST_NAME = 300


@pages.get("/p/<code>/registered")
@allows(Right.EDIT)
def registered(code: str) -> ResponseReturnValue:
    """Ask whose piece it is."""
    return _page(find_row(house().store.read, code, g.person))


@pages.post("/p/<code>/registered")
@allows(Right.EDIT)
def give(code: str) -> ResponseReturnValue:
    """Give a piece to another maker, or say why not and change nothing."""
    row = find_row(house().store.read, code, g.person)
    try:
        seen = read_form(AsSeenForm(), request.form).seen
        maker = person_called(house().store.read, request.form.get("maker", "").strip()[:_LONGEST_NAME])
        receipt = registrations.give(house().store, asking(), row.ref, maker.id, seen=seen)
    except NotAllowed:
        raise
    except Refusal as refusal:
        status = 422 if isinstance(refusal, Unknown) else status_of(refusal)
        return _page(find_row(house().store.read, row.ref, g.person), refusal), status
    flash(said(receipt.message), "good")
    return redirect(address_of(receipt.ref), 303)


def _page(row: PieceRow, refusal: Refusal | None = None) -> str:
    return render_template(
        "pieces/whose_registered.html",
        row=row,
        here=url_for("registered.give", code=row.ref),
        back=address_of(row.ref),
        people=house().store.read.people.listed(),
        typed=request.form.get("maker", "")[:_LONGEST_NAME],
        refusal=refusal,
    )
