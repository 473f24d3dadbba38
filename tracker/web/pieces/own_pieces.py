"""One's own pieces as pages: those under way, one's turn first, and those that were taken home or lost."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import timedelta
from typing import Any

from flask import current_app, g, render_template, request, url_for

from tracker.domain.firing.outlooks import Behind, Hot, Next, Outlook, Planned
from tracker.domain.message import Message, _
from tracker.domain.pieces.piece import LINE, Piece, Stage
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.terms import is_near_its_end, notice_of_end
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.pieces.outlooks import outlooks_of
from tracker.usecases.pieces.turns import told_lately
from tracker.web import piece_presenters as telling
from tracker.web.auth import house
from tracker.web.lists import ON_A_PAGE, Order, listed
from tracker.web.piece_presenters import address_of
from tracker.web.pieces.photo_presenters import newest_shown
from tracker.web.plain_input import whole
from tracker.web.presenters import catalog, today
from tracker.web.wording import said

_LAST_FINISHED = 5
_TOLD_FOR = timedelta(days=30)
"""How long the page of one's own pieces tells of what was lost."""
_LONGEST_SEARCH = 60
_FURTHEST = 1_000_000


def own_pieces() -> str:
    """What is under way: one's turn first, or searched and in the order that was asked for."""
    read = house().store.read
    everything = read.pieces.of(g.person.id)
    outlooks = outlooks_of(read, everything, house().clock())
    shown = listed(everything, told=_told, orders=_orders(outlooks))
    rows, by_turn = _rows(shown.rows, outlooks), shown.sort == _FIRST
    return render_template(
        "pieces/mine.html",
        shown=shown,
        by_turn=by_turn,
        # Under their own heading they need no word for it.
        yours=[row | {"turn": False} for row in rows if row["turn"]] if by_turn else [],
        others=[row for row in rows if not row["turn"] or not by_turn],
        turns=sum(one.waits_for(g.person, g.person.id) for one in outlooks.values()),
        lost=() if shown.is_asked else _lost_lately(),
        answers=() if shown.is_asked else _answered_lately(everything),
        end_of_term=None if shown.is_asked else _end_of_term(everything),
        finished=_rows_of(read.pieces.finished_of(g.person.id, limit=_LAST_FINISHED)),
    )


def _end_of_term(rows: Iterable[PieceRow]) -> Message | None:
    """That one's term ends, from the day of the first notice on; None for no such end or nothing left in the studio."""
    read, day = house().store.read, today()
    term = read.terms.of_person(g.person.id)
    if term is None or not is_near_its_end(term, read.catalog().practice.terms.notices, day):
        return None
    ready = sum(row.piece.stage is Stage.FIRED for row in rows)
    in_work = sum(row.piece.stage is not Stage.FIRED for row in rows)
    return notice_of_end(term, ready, in_work) if ready or in_work else None


def finished_pieces() -> str:
    """What was taken home or lost, the newest first, or what of it was searched for."""
    text = request.args.get("find", "").strip()[:_LONGEST_SEARCH]
    first = whole(request.args, "from", 0, most=_FURTHEST)
    rows = house().store.read.pieces.finished_of(g.person.id, text, skip=first, limit=ON_A_PAGE + 1)
    return render_template(
        "pieces/finished.html",
        rows=_rows_of(rows[:ON_A_PAGE]),
        text=text,
        first=first,
        back_href=_finished_from(max(0, first - ON_A_PAGE), text) if first else "",
        on_href=_finished_from(first + ON_A_PAGE, text) if len(rows) > ON_A_PAGE else "",
    )


def _finished_from(first: int, text: str) -> str:
    there: dict[str, Any] = {"finished": 1, "find": text or None, "from": first or None}
    return url_for("pieces.mine", **there)


# ---- the order and the search ----------------------------------------------------------------------------------------

_FIRST = "turn"


def _orders(outlooks: Mapping[int, Outlook]) -> Mapping[str, Order[PieceRow]]:
    """The orders to choose from; the first brings one's turn, then what is nearest to its end."""

    def by_turn(row: PieceRow) -> tuple[Any, ...]:
        outlook = outlooks[row.piece.id]
        ranks = [isinstance(outlook.when, kind) for kind in (Hot, Planned, Behind)]
        near = ranks.index(True) if True in ranks else len(ranks)
        is_turn = outlook.waits_for(g.person, g.person.id)
        return (not is_turn, near, -LINE.index(row.piece.stage), -row.since.timestamp())

    return {
        _FIRST: Order(Message("order-by-turn", _("Your turn first")), by_turn),
        "newest": Order(Message("order-newest", _("Last changed first")), lambda row: row.since, falling=True),
        "oldest": Order(Message("order-oldest", _("Longest there first")), lambda row: row.since),
        "name": Order(Message("order-by-name", _("Name")), lambda row: (row.piece.what.casefold(), row.piece.id)),
    }


def _told(row: PieceRow) -> str:
    """What of a piece is searched: its name, code or ticket, set, clay, shelf, glazes and the firing it waits for."""
    piece = row.piece
    told = (piece.what, piece.ref, piece.set_name or "", piece.clay.name, piece.place, *piece.worn_names)
    return " ".join((*told, *_firings_of(piece)))


def _firings_of(piece: Piece) -> Iterable[str]:
    """The firing types that a piece waits for; greenware waits for any bisque."""
    if piece.stage is Stage.GREENWARE:
        return [route.title for route in catalog().routes_by_heat if route.kind is RouteKind.BISQUE]
    return [route.title for route in catalog().queues if route.name == piece.route]


# ---- rows ------------------------------------------------------------------------------------------------------------


def _rows_of(rows: Iterable[PieceRow]) -> list[dict[str, Any]]:
    rows = tuple(rows)
    return _rows(rows, outlooks_of(house().store.read, rows, house().clock()))


def _rows(rows: Iterable[PieceRow], outlooks: Mapping[int, Outlook]) -> list[dict[str, Any]]:
    """These pieces as the macro `piece_row` shows them, each with its newest photo."""
    rows = tuple(rows)
    ago, pictures = current_app.jinja_env.filters["ago"], newest_shown(rows)
    return [
        telling.row_for_list(row, outlooks[row.piece.id], g.person, _age(ago(row.since)))
        | {"photo": pictures.get(row.piece.id), "build": row.piece.build}
        for row in rows
    ]


def _age(ago: str) -> str:
    return said(Message("age-at-stage", _("{ago} at this stage"), ago=ago))


def _lost_lately() -> list[dict[str, Any]]:
    """What became of one's own pieces that were lost in the last weeks, but for what one threw out or broke oneself.

    Whoever comes in hears it here, and kindly.
    """
    read, now = house().store.read, house().clock()
    rows = read.pieces.lost_lately(g.person.id, since=now - _TOLD_FOR)
    causes, outlooks = read.shelves.causes([row.piece.id for row in rows]), outlooks_of(read, rows, now)
    return [
        {
            "ref": row.ref,
            "href": address_of(row.ref),
            "what": row.piece.what,
            "since": row.since,
            "next": outlooks[row.piece.id].next,
            "seen": row.piece.version,
        }
        for row in rows
        if outlooks[row.piece.id].next is Next.FIND or causes[row.piece.id].by_id != g.person.id
    ]


def _answered_lately(mine: Iterable[PieceRow]) -> list[dict[str, Any]]:
    """What the instructor answered in the last days about one's own pieces."""
    read, now = house().store.read, house().clock()
    answers = told_lately(read.questions.answered_on([row.piece.id for row in mine]), now)
    return [
        {"ref": one.ref, "href": address_of(one.ref), "what": one.what, "answer": one.answer, "by": one.answered_by}
        for one in answers
    ]
