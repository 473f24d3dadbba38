"""A registration put right: a piece is given to the maker whose it is, or merged with its other registration."""

from __future__ import annotations

from collections.abc import Callable

from flask import Blueprint, current_app, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import NotAllowed, Refusal, Unknown, Unusable
from tracker.domain.studio.people import Right
from tracker.forms.page_forms import AsSeenForm, read_form
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.pieces import registrations
from tracker.usecases.pieces.lookup import find_row
from tracker.usecases.studio.people import person_called
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.piece_presenters import address_of, history_for_page
from tracker.web.pieces.glazing_presenters import layers_shown
from tracker.web.pieces.photo_presenters import newest_shown
from tracker.web.presenters import waiting_shown
from tracker.web.wording import said

pages = Blueprint("registered", __name__)

_LONGEST = 300


@pages.get("/p/<code>/registered")
@allows(Right.EDIT)
def registered(code: str) -> ResponseReturnValue:
    """Ask whose piece it is."""
    return _page(find_row(house().store.read, code, g.person))


@pages.post("/p/<code>/registered")
@allows(Right.EDIT)
def give(code: str) -> ResponseReturnValue:
    """Give a piece to another maker, or say why not and change nothing."""
    maker = request.form.get("maker", "").strip()[:_LONGEST]

    def do(ref: str, seen: int | None) -> Receipt:
        number = person_called(house().store.read, maker).id
        return registrations.give(house().store, asking(), ref, number, seen=seen)

    return _done(code, do)


@pages.get("/p/<code>/registered/twice")
@allows(Right.EDIT)
def compare(code: str) -> ResponseReturnValue:
    """Show two registrations side by side before they are merged, with what contradicts that they are one piece.

    Whichever was opened, the one that is further along is the one to stay.
    """
    row = find_row(house().store.read, code, g.person)
    try:
        return _both(row, find_row(house().store.read, request.args.get("other", "").strip()[:_LONGEST], g.person))
    except Refusal as refusal:
        return _page(row, refusal), 422


@pages.post("/p/<code>/registered/twice")
@allows(Right.EDIT)
def merge(code: str) -> ResponseReturnValue:
    """Merge a piece with its other registration as both were shown, or say why not and change nothing."""
    other, sure = request.form.get("other", "").strip()[:_LONGEST], request.form.get("sure") == "yes"
    shown = request.form.get("other_seen", "")[:9]
    if not shown.isdecimal():
        return redirect(url_for("registered.compare", code=code, other=other), 303)

    def do(ref: str, seen: int | None) -> Receipt:
        return registrations.merge(house().store, asking(), ref, other, seen=seen, other_seen=int(shown), sure=sure)

    return _done(code, do)


def _both(row: PieceRow, other: PieceRow) -> str:
    read = house().store.read
    if row.piece.id == other.piece.id:
        message = Message("merged-with-itself", _("{other} is {piece} itself."), other=other.ref, piece=row.ref)
        raise Unusable([message], Message("the-other-one", _("Scan the other registration.")))
    if registrations.further_of(row.piece, other.piece) is other.piece:
        row, other = other, row
    photos = newest_shown([row, other])
    return render_template(
        "pieces/merge.html",
        row=row,
        other=other,
        both=[
            waiting_shown(one, read.catalog())
            | {
                "photo": photos.get(one.piece.id),
                "stage": one.piece.stage,
                "layers": layers_shown(one.piece),
                "history": _history(one.piece.id),
            }
            for one in (row, other)
        ],
        never=registrations.cannot_be_one(row.piece, other.piece),
        against=registrations.against_merging(read, row.piece, other.piece),
        back=url_for("registered.registered", code=row.ref),
    )


@pages.post("/p/<code>/registered/<int:number>")
@allows(Right.EDIT)
def part(code: str, number: int) -> ResponseReturnValue:
    """Undo a merge."""
    return _done(code, lambda ref, seen: registrations.part(house().store, asking(), ref, number, seen=seen))


def _done(code: str, do: Callable[[str, int | None], Receipt]) -> ResponseReturnValue:
    """Do one thing with a piece and go back to its page, or say on this page why not."""
    row = find_row(house().store.read, code, g.person)
    try:
        receipt = do(row.ref, read_form(AsSeenForm(), request.form).seen)
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
        typed=request.form.get("maker", "")[:_LONGEST],
        other=request.values.get("other", "")[:_LONGEST],
        twice=[
            {"ref": one.ref, "what": one.piece.what, "id": one.piece.id, "history": _history(one.piece.id)}
            for one in house().store.read.pieces.registered_twice_as(row.piece.id)
        ],
        refusal=refusal,
    )


def _history(number: int) -> list[dict[str, str]]:
    """What was recorded of the other registration."""
    read = house().store.read
    return history_for_page(read.pieces.page(number), read.catalog(), current_app.jinja_env.filters["moment"])
