"""The shelves and carts: what is on each, and what has been at its stage for too long."""

from __future__ import annotations

from operator import itemgetter
from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request

from tracker.domain.message import Message, _
from tracker.domain.studio.people import Right
from tracker.usecases.pieces.shelves import too_long_before
from tracker.web.auth import allows, house
from tracker.web.lists import Order, listed
from tracker.web.piece_presenters import address_of
from tracker.web.presenters import Plain
from tracker.web.wording import shown

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from tracker.store.pieces.queries import PieceRow

pages = Blueprint("shelves", __name__)

_MOST = 1_000
"""So many pieces of a list are searched, those that have been there longest."""
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
    rows: tuple[PieceRow, ...] = ()
    if place:
        rows = read.shelves.on(place, limit=_MOST)
    elif is_late:
        rows, _count = read.shelves.standing_since(too_long_before(house().clock()), limit=_MOST)
    return render_template(
        "pieces/shelves.html",
        shelves=read.shelves.listed(),
        place=place,
        is_late=is_late,
        list=listed(map(shelved_shown, rows), told=_told_of, orders=_ORDERS, kind_of=lambda row: shown(row["stage"])),
    )


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
