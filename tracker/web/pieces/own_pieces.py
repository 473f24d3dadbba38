"""One's own pieces as pages: those under way, one's turn first, and those that were taken home or lost."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

from flask import current_app, g, render_template, request, url_for

from tracker.domain.firing.outlooks import Behind, Hot, Planned
from tracker.domain.message import Message, _
from tracker.domain.pieces.piece import LINE
from tracker.usecases.pieces.outlooks import outlooks_of
from tracker.web import piece_presenters as telling
from tracker.web.auth import house
from tracker.web.piece_presenters import address_of
from tracker.web.pieces.photo_presenters import newest_shown

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from tracker.domain.firing.outlooks import Outlook
    from tracker.store.pieces.queries import PieceRow

ON_A_PAGE = 25
_MANY = 6
"""From so many pieces on there is a search and an order to choose."""
_LAST_FINISHED = 5
_TOLD_FOR = timedelta(days=30)
"""How long the page of one's own pieces tells of what broke."""
_LONGEST_SEARCH = 60


def own_pieces() -> str:
    """What is under way: one's turn first, or searched and in the order that was asked for."""
    read, now = house().store.read, house().clock()
    everything = read.pieces.of(g.person.id)
    text, order = _searched(), _order()
    found = [row for row in everything if _has(row, text)]
    outlooks = outlooks_of(read, found, now)
    in_order = sorted(found, key=lambda row: _ORDERS[order][1](row, outlooks[row.piece.id]))
    at, shown = _page_of(in_order)
    rows = _rows(shown, outlooks)
    return render_template(
        "pieces/mine.html",
        # Under their own heading they need no word for it.
        yours=[row | {"turn": False} for row in rows if row["turn"]] if order == _FIRST else [],
        others=[row for row in rows if not row["turn"] or order != _FIRST],
        turns=sum(outlooks[row.piece.id].waits_for(g.person, g.person.id) for row in everything if _has(row, text)),
        many=len(everything),
        found=len(found),
        is_searchable=len(everything) > _MANY,
        text=text,
        order=order,
        orders=[(name, title) for name, (title, _key) in _ORDERS.items()],
        pager=_pager(
            at, len(in_order) > (at + 1) * ON_A_PAGE, q=text or None, order=order if order != _FIRST else None
        ),
        broke=() if text else _broken_lately(),
        finished=_rows_of(read.pieces.finished_of(g.person.id, limit=_LAST_FINISHED)),
    )


def finished_pieces() -> str:
    """What was taken home or lost, the newest first, or what of it was searched for."""
    text, at = _searched(), _page()
    rows = house().store.read.pieces.finished_of(g.person.id, text, skip=at * ON_A_PAGE, limit=ON_A_PAGE + 1)
    pager = _pager(at, len(rows) > ON_A_PAGE, finished=1, q=text or None)
    return render_template("pieces/finished.html", rows=_rows_of(rows[:ON_A_PAGE]), text=text, pager=pager)


# ---- the order, the search and the pages -----------------------------------------------------------------------------


def _turn_first(row: PieceRow, outlook: Outlook) -> tuple[Any, ...]:
    """One's turn first, then what is nearest to its end: in a kiln, planned, in a queue, then back along the line."""
    ranks = [isinstance(outlook.when, kind) for kind in (Hot, Planned, Behind)]
    near = ranks.index(True) if True in ranks else len(ranks)
    return (not outlook.waits_for(g.person, g.person.id), near, -LINE.index(row.piece.stage), -row.since.timestamp())


_FIRST = "turn"
_ORDERS: Mapping[str, tuple[Message, Callable[[PieceRow, Outlook], tuple[Any, ...]]]] = {
    _FIRST: (Message("order-by-turn", _("Your turn first")), _turn_first),
    "newest": (Message("order-newest", _("Last changed first")), lambda row, _outlook: (-row.since.timestamp(),)),
    "oldest": (Message("order-oldest", _("Longest there first")), lambda row, _outlook: (row.since.timestamp(),)),
    "name": (Message("order-by-name", _("By name")), lambda row, _outlook: (row.piece.what.casefold(), row.piece.id)),
}


def _searched() -> str:
    return request.args.get("q", "").strip()[:_LONGEST_SEARCH]


def _order() -> str:
    asked = request.args.get("order", _FIRST)
    return asked if asked in _ORDERS else _FIRST


def _page() -> int:
    asked = request.args.get("page", "0")
    return min(int(asked), 1_000_000) if asked.isdecimal() and len(asked) < len("10000000") else 0


def _page_of(rows: Sequence[PieceRow]) -> tuple[int, Sequence[PieceRow]]:
    """The number of the page that was asked for, or of the last one, from 0; and its rows."""
    at = min(_page(), max(0, (len(rows) - 1) // ON_A_PAGE))
    return at, rows[at * ON_A_PAGE : (at + 1) * ON_A_PAGE]


def _pager(at: int, has_more: bool, **asked: Any) -> dict[str, Any]:  # noqa: ANN401, FBT001 -- parts of an address
    """Where the pages before and after this one are; empty where there is none."""
    return {
        "says": Message("page-number", _("page {page}"), page=at + 1),
        "back_href": url_for("pieces.mine", page=at - 1 or None, **asked) if at else "",
        "on_href": url_for("pieces.mine", page=at + 1, **asked) if has_more else "",
    }


def _has(row: PieceRow, text: str) -> bool:
    """Whether a piece has the text that was searched for in its name, its code or ticket, its set, clay or glazes."""
    piece = row.piece
    named = (piece.what, piece.ref, piece.set_name or "", piece.clay.name, piece.place, *piece.worn_names)
    return any(text.casefold() in one.casefold() for one in named)


# ---- rows ------------------------------------------------------------------------------------------------------------


def _rows_of(rows: Iterable[PieceRow]) -> list[dict[str, Any]]:
    rows = tuple(rows)
    return _rows(rows, outlooks_of(house().store.read, rows, house().clock()))


def _rows(rows: Iterable[PieceRow], outlooks: Mapping[int, Outlook]) -> list[dict[str, Any]]:
    """These pieces as the macro `piece_row` shows them, each with its newest photo."""
    rows = tuple(rows)
    ago, pictures = current_app.jinja_env.filters["ago"], newest_shown(rows)
    return [
        telling.row_for_list(row, outlooks[row.piece.id], g.person, ago(row.since))
        | {"photo": pictures.get(row.piece.id), "build": row.piece.build}
        for row in rows
    ]


def _broken_lately() -> list[dict[str, Any]]:
    """What of one's own broke in the fire in the last weeks: whoever comes in hears it here, and kindly."""
    rows = house().store.read.pieces.broken_lately(g.person.id, since=house().clock() - _TOLD_FOR)
    return [{"ref": row.ref, "href": address_of(row.ref), "what": row.piece.what, "since": row.since} for row in rows]
