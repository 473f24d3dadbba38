"""The shelves and carts: what is on each, and what has been at its stage for too long."""

from __future__ import annotations

from datetime import timedelta
from operator import itemgetter

from flask import Blueprint, g, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, Plural, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.studio.people import Right
from tracker.store.pieces.queries import PieceRow
from tracker.store.pieces.shelf_queries import SearchedFor
from tracker.usecases.pieces import found_again, undoing, ware_shelves
from tracker.usecases.pieces.shelves import too_long_before
from tracker.web.auth import allows, asking, house
from tracker.web.lists import Order, listed
from tracker.web.piece_presenters import address_of
from tracker.web.plain_input import whole
from tracker.web.presenters import Plain, told
from tracker.web.wording import said, shown

pages = Blueprint("shelves", __name__)

_LONGEST = 200
_LONGEST_NAME = 60
_MOST = 1_000
"""So many pieces of a list are searched, those that have been there longest."""
SEARCHED_FOR = timedelta(days=365)
"""What has been missing for longer is no longer listed; it can still be found."""
_TOLD_FOR = timedelta(days=14)
"""How long the list tells of what turned up."""
_ORDERS: dict[str, Order[Plain]] = {
    "longest": Order(Message("longest-wait-first", _("longest wait")), itemgetter("since")),
    "newest": Order(Message("newest-first", _("newest")), itemgetter("since"), falling=True),
    "name": Order(Message("by-name", _("name")), lambda row: str(row["what"]).casefold()),
}


@pages.get("/shelves")
@allows(Right.SEE_ALL)
def shelves() -> ResponseReturnValue:
    """Every shelf with what is on it; with ?place= one of them, with ?late=1 what has been anywhere for too long."""
    read, place, is_late = house().store.read, request.args.get("place", "").strip()[:60], "late" in request.args
    known = ware_shelves.known_shelves(read)
    place = next((one for one in known if one.casefold() == place.casefold()), place)
    rows: tuple[PieceRow, ...] = ()
    if place:
        rows = read.shelves.on(place, limit=_MOST)
    elif is_late:
        rows, _count = read.shelves.standing_since(too_long_before(house().clock()), limit=_MOST)
    return render_template(
        "pieces/shelves.html",
        shelves=ware_shelves.all_shelves(read),
        place=place,
        is_known=place in known,
        may_move=g.person.may(Right.MOVE),
        others=[one for one in known if one != place],
        to=request.args.get("to", "")[:_LONGEST_NAME],
        may_remove=place in read.stocktakes.shelves() and not rows,
        counted=_last_count(place) if place else None,
        whole=whole_undo(place) if place else None,
        is_late=is_late,
        missing=0 if place or is_late else read.shelves.count_missing(house().clock() - SEARCHED_FOR),
        list=listed(map(shelved_shown, rows), told=_told_of, orders=_ORDERS, kind_of=lambda row: shown(row["stage"])),
    )


@pages.get("/shelves/missing")
@allows(Right.SEE_ALL)
def missing() -> ResponseReturnValue:
    """The pieces that nobody can find, the longest missing first, and those that turned up lately."""
    read, now = house().store.read.shelves, house().clock()
    return render_template(
        "pieces/missing.html",
        missing=[_searched_shown(one) for one in read.missing(now - SEARCHED_FOR)],
        found=[_searched_shown(one) for one in read.turned_up(now - _TOLD_FOR)],
    )


@pages.post("/shelves/missing/found")
@allows(Right.MOVE)
def found() -> ResponseReturnValue:
    """Note from the list that a missing piece turned up."""
    ref = request.form.get("ref", "")[:60]
    return told(lambda: found_again.find(house().store, asking(), ref), lambda _receipt: url_for("shelves.missing"))


@pages.post("/shelves/add")
@allows(Right.MOVE)
def add() -> ResponseReturnValue:
    """Put a shelf on the list before anything is on it."""
    name = request.form.get("name", "")[:_LONGEST]
    return told(
        lambda: ware_shelves.add_shelf(house().store, asking(), name),
        lambda receipt: url_for("shelves.shelves", place=" ".join(name.split()) if receipt else None),
    )


@pages.post("/shelves/remove")
@allows(Right.MOVE)
def remove() -> ResponseReturnValue:
    """Take an empty shelf off the list."""
    name = request.form.get("name", "")[:_LONGEST]
    return told(
        lambda: ware_shelves.remove_shelf(house().store, asking(), name),
        lambda receipt: url_for("shelves.shelves", place=None if receipt else name),
    )


@pages.post("/shelves/move")
@allows(Right.MOVE)
def move() -> ResponseReturnValue:
    """Note that everything on one shelf is on another."""
    place, to = request.form.get("place", "")[:_LONGEST], request.form.get("to", "")[:_LONGEST]
    is_new = bool(request.form.get("new_shelf"))
    return told(
        lambda: ware_shelves.move_shelf(house().store, asking(), place, to, may_be_new=is_new),
        lambda receipt: (
            url_for("shelves.shelves", place=receipt.extra["place"])
            if receipt
            else url_for("shelves.shelves", place=place, to=to[:_LONGEST_NAME], _anchor="move")
        ),
    )


@pages.post("/shelves/undo/<int:line>")
@allows(Right.MOVE)
def undo(line: int) -> ResponseReturnValue:
    """Take back in one go what one did in one go with everything on a shelf."""
    place, count = request.form.get("place", "")[:_LONGEST], whole(request.form, "stocktake", 0)

    def there(receipt: Receipt | None) -> str:
        if count:
            return url_for("stocktakes.stocktake", number=count)
        return url_for("shelves.shelves", place=(receipt and receipt.extra["place"]) or place)

    return told(lambda: undoing.undo_together(house().store, asking(), line), there)


def whole_undo(place: str) -> Plain | None:
    """The button that undoes what this person did last with everything on a shelf at once; None where there is none."""
    done = undoing.done_together(house().store.read, place, g.person, house().clock())
    if done is None:
        return None
    words = _UNDO_MISSING if done.is_lost else _UNDO_MOVE
    says = said(Message("undo-whole-shelf", words, count=len(done.lines)))
    return {"href": url_for("shelves.undo", line=done.lines[0]), "says": says}


_UNDO_MOVE = Plural("count", "Undo the move of {count} piece", "Undo the move of {count} pieces")
_UNDO_MISSING = Plural("count", "Undo “missing” for {count} piece", "Undo “missing” for {count} pieces")


def _last_count(place: str) -> Plain | None:
    """The last stocktake of a shelf: its number, and when it ended; None where there was none."""
    last = house().store.read.stocktakes.last_of(place)
    return None if last is None else {"id": last.id, "ended_at": last.ended_at}


def _searched_shown(one: SearchedFor) -> Plain:
    """A piece that is missing or turned up, with who said so and when."""
    is_maker = one.by_id == one.row.piece.maker_id
    return shelved_shown(one.row) | {"place": one.row.piece.place, "by": one.by, "is_maker": is_maker, "at": one.at}


def _told_of(row: Plain) -> str:
    return f"{row['ref']} {row['what']} {row['maker']} {row['place']}"


def shelved_shown(row: PieceRow) -> Plain:
    """A piece on a shelf as one line: what it is, whose, its stage, where, and since when."""
    return {
        "ref": row.ref,
        "href": address_of(row.ref),
        "what": row.piece.what,
        "maker": row.maker,
        "stage": row.piece.stage,
        "place": row.piece.shelf,
        "since": row.since,
    }
