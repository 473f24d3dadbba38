"""The shelves and carts: what is on each, and what has been at its stage for too long."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request

from tracker.domain.studio.people import Right
from tracker.usecases.pieces.shelves import too_long_before
from tracker.web.auth import allows, house
from tracker.web.piece_presenters import address_of

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from tracker.store.pieces.queries import PieceRow
    from tracker.web.presenters import Plain

pages = Blueprint("shelves", __name__)

ON_A_PAGE = 24


@pages.get("/shelves")
@allows(Right.SEE_ALL)
def shelves() -> ResponseReturnValue:
    """Every shelf with what is on it; with ?place= one of them, with ?late=1 what has been anywhere for too long."""
    read, place, is_late = house().store.read, request.args.get("place", "").strip()[:60], "late" in request.args
    first = max(0, request.args.get("from", 0, type=int))
    listed, count = read.shelves.listed(), 0
    rows: tuple[PieceRow, ...] = ()
    if place:
        rows = read.shelves.on(place, limit=ON_A_PAGE, offset=first)
        count = sum(one.count for one in listed if one.name == place)
    elif is_late:
        before = too_long_before(house().clock())
        rows, count = read.shelves.standing_since(before, limit=ON_A_PAGE, offset=first)
    return render_template(
        "pieces/shelves.html",
        shelves=listed,
        place=place,
        is_late=is_late,
        rows=[shelved_shown(row) for row in rows],
        count=count,
        first=first,
        on_a_page=ON_A_PAGE,
    )


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
