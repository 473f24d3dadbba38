"""Stocktaking of a shelf: scan all that is on it, see what differs from the record, and deal with each."""

from __future__ import annotations

from flask import Blueprint, abort, jsonify, redirect, render_template, request, session, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.losses import Loss
from tracker.domain.refusals import Refusal
from tracker.domain.studio.people import Right
from tracker.forms.page_forms import StocktakeScanForm, read_form
from tracker.usecases.pieces import found_again, pieces, stocktaking
from tracker.web.auth import allows, asking, house
from tracker.web.camera import offered_camera
from tracker.web.error_handlers import receipt_json, refusal_json, status_of, wants_json
from tracker.web.piece_presenters import address_of
from tracker.web.pieces.shelf_pages import shelved_shown, whole_undo
from tracker.web.presenters import Plain, told
from tracker.web.wording import said

pages = Blueprint("stocktakes", __name__)

_LAST = "last counted"
_LONGEST = 200
_COUNTED = Message("counted", _("Counted"))
_ALREADY = Message("already", _("Already"))
_LOOK = Message("look", _("Look"))


@pages.post("/shelves/stocktake")
@allows(Right.MOVE)
def begin() -> ResponseReturnValue:
    """Begin to count a shelf, or go on where that was left."""
    place = request.form.get("place", "")[:_LONGEST]

    def there(receipt: Receipt | None) -> str:
        if receipt is None:
            return url_for("shelves.shelves", place=place)
        return url_for("stocktakes.stocktake", number=receipt.extra["stocktake"])

    return told(lambda: stocktaking.begin_stocktake(house().store, asking(), place), there)


@pages.get("/shelves/stocktake/<int:number>")
@allows(Right.MOVE)
def stocktake(number: int) -> ResponseReturnValue:
    """The shelf that is counted, with what was scanned; once all was, what differs and what to do about it."""
    count = stocktaking.count_of(house().store.read, number)
    last = session.pop(_LAST, None)
    return render_template(
        "pieces/stocktake.html",
        number=number,
        place=count.stocktake.place,
        ended_at=count.stocktake.ended_at,
        how_far=said(_how_far(count)),
        is_even=count.is_even,
        here=[shelved_shown(row) for row in count.here],
        missing=[shelved_shown(row) for row in count.missing],
        new=[shelved_shown(row) for row in count.new],
        lost=[shelved_shown(row) for row in count.lost],
        away=[shelved_shown(row) | {"kiln": row.kiln} for row in count.away],
        whole=whole_undo(count.stocktake.place),
        answers=[last] if last else [],
        camera=offered_camera(),
    )


@pages.post("/shelves/stocktake/<int:number>")
@allows(Right.MOVE)
def scan(number: int) -> ResponseReturnValue:
    """One piece that is on the shelf, kept as it is scanned."""
    answer, status = _scanned(number)
    if wants_json():
        return jsonify(answer), status
    kind = "again" if answer.get("again") else "needs" if answer.get("looks") else "good" if answer["ok"] else "stop"
    session[_LAST] = {**answer, "kind": kind, "code": answer["code"] or request.form.get("ref", "")[:24]}
    return redirect(url_for("stocktakes.stocktake", number=number), 303)


def _scanned(number: int) -> tuple[Plain, int]:
    try:
        sent = read_form(StocktakeScanForm(), request.form)
        receipt = stocktaking.scan_in_stocktake(house().store, asking(), number, sent.ref)
    except Refusal as refusal:
        return refusal_json(refusal), status_of(refusal)
    is_again, looks = bool(receipt.extra["again"]), bool(receipt.extra.get("is_away"))
    word = said(_ALREADY if is_again else _LOOK if looks else _COUNTED)
    answer = receipt_json(receipt, word=word, piece_url=address_of(receipt.ref), undo_url=None)
    counted = said(_how_far(stocktaking.count_of(house().store.read, number)))
    return {**answer, "again": is_again, "looks": looks, "counted": counted}, 200


def _how_far(count: stocktaking.Count) -> Message:
    """How many of the pieces on record here are scanned, and how many others."""
    here, others = len(count.here), len(count.new) + len(count.lost) + len(count.away)
    words = _HERE_AND_OTHERS if others else _("{here} of {of} scanned")
    return Message("how-far-counted", words, here=here, of=here + len(count.missing), others=others)


_HERE_AND_OTHERS = _("{here} of {of} scanned · {others} more that aren't on record here")


@pages.post("/shelves/stocktake/<int:number>/<deed>")
@allows(Right.MOVE)
def deal(number: int, deed: str) -> ResponseReturnValue:
    """End the count, or deal with what differs: all of it at once, or one piece."""
    store, asked, ref = house().store, asking(), request.form.get("ref", "")[:_LONGEST]
    deeds = {
        "end": lambda: stocktaking.end_stocktake(store, asked, number),
        "go-on": lambda: stocktaking.reopen_stocktake(store, asked, number),
        "put-here": lambda: stocktaking.put_new_here(store, asked, number),
        "all-missing": lambda: stocktaking.lose_missing(store, asked, number),
        "missing": lambda: pieces.lose(store, asked, ref, Loss.MISSING),
        "here": lambda: pieces.shelve(store, asked, ref, _place(number)),
        "found": lambda: found_again.find(store, asked, ref, place=_place(number)),
    }
    if deed not in deeds:
        abort(404)
    return told(deeds[deed], lambda _receipt: url_for("stocktakes.stocktake", number=number))


def _place(number: int) -> str:
    """The shelf that this stocktake counts."""
    return stocktaking.count_of(house().store.read, number).stocktake.place
