"""Waiting: what stands in the queue of each way of firing, cool to hot, and what needs a decision."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime

from flask import Blueprint, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.message import Message, _
from tracker.domain.outdoor.pull_heats import fired_to
from tracker.domain.pieces.piece import Piece
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Route
from tracker.domain.studio.people import Right
from tracker.domain.studio.spelling import plain
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.firing.load_choice import joins_of
from tracker.usecases.pieces.revalidate import EVERY_FIRING
from tracker.web.auth import allows, house
from tracker.web.lists import Order, listed
from tracker.web.piece_presenters import address_of
from tracker.web.presenters import Plain, all_waiting_shown, catalog
from tracker.web.wording import said

pages = Blueprint("waiting", __name__)

_ON_A_PAGE = 7


@pages.get("/waiting")
@allows(Right.MOVE)
def waiting() -> ResponseReturnValue:
    """Every queue in a card; with ?route= one of them with its pieces, the longest wait first."""
    known = catalog()
    only = request.args.get("route", "")
    queues: dict[str, list[PieceRow]] = defaultdict(list)
    for row in house().store.read.pieces.waiting():
        queues[row.piece.route or ""].append(row)
    asked: dict[str, int] = defaultdict(int)
    for question in house().store.read.questions.open():
        asked[question.route or ""] += 1
    joins, wished = joins_of(house().store.read, _firings_to_load(), house().clock()), _wished()
    chosen = [
        {"wished": wished.get(route.name, []), "joins": [_join_shown(*one) for one in joins.get(route.name, ())]}
        | _queue(route, queues[route.name], asked[route.name], known, whole=only == route.name)
        for route in known.queues
        if only in {"", route.name}
    ]
    return render_template(
        "firing/waiting.html",
        queues=chosen,
        whole=only if only in known.routes else "",
        many=sum(map(len, queues.values())),
        asked=sum(asked.values()),
    )


def _wished() -> Mapping[str, list[Plain]]:
    """What makers asked for and staff has not queued yet, by the firing type, the oldest wish first."""
    wished: dict[str, list[Plain]] = defaultdict(list)
    for row in house().store.read.pieces.wished():
        if row.wish is not None:
            told = {"ref": row.ref, "href": address_of(row.ref), "what": row.piece.what, "maker": row.maker}
            wished[row.wish.route].append(told | {"at": row.wish.at})
    return wished


def _firings_to_load() -> list[Firing]:
    """The firings indoors that can still take pieces."""
    read = house().store.read.firings
    listed = [one.id for one in read.listed(rounds=False, limit=EVERY_FIRING) if one.stage in _STILL_TAKES]
    return [firing for number in listed if (firing := read.firing(number)) is not None]


_STILL_TAKES = frozenset({FiringStage.PLANNED, FiringStage.LOADING})


def _join_shown(firing: Firing, count: int) -> Plain:
    """A firing of another type that so many pieces of a queue may join."""
    href = url_for("firings.firing", number=firing.id)
    return {"href": href, "id": firing.id, "kiln": firing.kiln.name, "title": firing.route.title, "count": count}


def _queue(
    route: Route,
    rows: Sequence[PieceRow],
    asked: int,
    known: Catalog,
    *,
    whole: bool,
) -> Plain:
    """One queue: its head, and of a `whole` one its pieces."""
    page = (
        listed(rows, told=_told_of, orders=_ORDERS, kind_of=lambda row: row.section, on_a_page=_ON_A_PAGE)
        if whole
        else None
    )
    in_kiln = sum(row.firing_id is not None for row in rows)
    return {
        "id": route.name,
        "name": route.title,
        "cone": said(fired_to(route, known.practice.outdoors)),
        "href": url_for("waiting.waiting", route=route.name),
        "many": len(rows),
        "since": rows[0].waiting_since if rows else None,
        "asked": asked,
        "warned": sum(bool(row.accepted) for row in rows),
        "in_kiln": in_kiln,
        "kilns": [kiln.name for kiln in known.kilns.values() if kiln.serves(route)],
        "list": page,
        "rows": all_waiting_shown(page.rows, known) if page else [],
    }


def _since(row: PieceRow) -> datetime:
    """Since when a piece waits."""
    return row.waiting_since or row.since


def _told_of(row: PieceRow) -> str:
    """What a waiting piece is looked up by."""
    piece = row.piece
    return " ".join((row.ref, piece.what, row.maker_name, piece.place, piece.clay.name, *piece.worn_names))


def _volume(piece: Piece) -> int:
    """How much room a piece takes, in cubic millimeters; 0 where its size isn't known."""
    return (piece.height_mm or 0) * (piece.width_mm or 0) * (piece.depth_mm or 0)


_ORDERS: dict[str, Order[PieceRow]] = {
    "longest": Order(Message("longest-wait-first", _("longest wait")), _since),
    "largest": Order(Message("largest-first", _("largest")), lambda row: _volume(row.piece), falling=True),
    "maker": Order(Message("by-maker", _("maker")), lambda row: plain(row.maker_name)),
    "clay": Order(Message("by-clay", _("clay")), lambda row: row.piece.clay.name),
}
