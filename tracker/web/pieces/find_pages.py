"""Looking up anything: a code, a ticket or a scanned bar opens what it means; names give a list, by rights."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.labels.keyboards import readings
from tracker.domain.labels.studio_bars import Sort, read_bar
from tracker.domain.message import Message
from tracker.domain.pieces.codes import likely_slips, read
from tracker.domain.pieces.piece import Stage
from tracker.domain.refusals import Unknown
from tracker.domain.studio.people import Right
from tracker.domain.studio.spelling import holds, words_in
from tracker.store.pieces.queries import PieceRow
from tracker.store.pieces.shelf_queries import ShelfRow
from tracker.usecases.pieces.lookup import LARGEST_SLIP, find_row
from tracker.usecases.pieces.outlooks import outlooks_of
from tracker.usecases.pieces.ware_shelves import all_shelves, known_shelves
from tracker.usecases.pieces.ways_out import right_shelf
from tracker.usecases.studio.badges import maker_on, name_on
from tracker.web.auth import allows, house
from tracker.web.commands_here import ELSEWHERE, ELSEWHERE_REMEDY, command_scanned, way_of
from tracker.web.piece_presenters import address_of, row_for_list
from tracker.web.pieces.things_found import (
    clays_shown,
    firings_shown,
    glazes_found,
    glazes_shown,
    kilns_shown,
    queues_shown,
)
from tracker.web.plain_input import whole
from tracker.web.presenters import Plain, catalog, ref_in, ticket_in
from tracker.web.stations import scanned
from tracker.web.wording import ago, said

pages = Blueprint("finding", __name__)

LONGEST = 200
MOST_SHOWN = 10
_FURTHEST = 100_000
_MOST_OF_A_KIND = 12
MOST_WITH_A_GLAZE = 300
_MOST_LIKELY = 6


@pages.get("/find")
@allows(Right.SEE_OWN)
def find() -> ResponseReturnValue:
    """What was looked up: the page of the one thing that a code or a bar means, else everything of that name."""
    sought = scanned(request.args.get("q", "").strip()[:LONGEST])
    if g.person.may(Right.MOVE) and (command := command_scanned(sought)) is not None:
        if (there := way_of(command)) is not None:
            return redirect(there)
        raise Unknown(ELSEWHERE, ELSEWHERE_REMEDY)
    labelled = read_bar(sought)
    if labelled is not None and labelled.sort is Sort.SHELF and g.person.may(Right.SEE_ALL):
        return redirect(url_for("shelves.shelves", place=labelled.name))
    if g.person.may(Right.SEE_ALL) and (maker := maker_on(house().store, sought)) is not None:
        return redirect(url_for("makers.maker", number=maker.id))
    if ref_in(sought):
        try:
            row = find_row(house().store.read, sought, g.person)
        except Unknown:
            return _found(sought)
        if g.person.may(Right.MOVE) and (shelf := _shelf_for(row)) is not None:
            flash(said(shelf), "note")
        return redirect(address_of(row.ref))
    return _found(labelled.name if labelled else name_on(house().store, sought) or sought)


def _shelf_for(row: PieceRow) -> Message | None:
    """The shelf that a scanned glazed piece goes on; of all others its page says what to do, without a word before."""
    if row.piece.stage is not Stage.GLAZED or row.question_open:
        return None
    return right_shelf(row.piece, catalog())


def _found(sought: str) -> str:
    read_, words = house().store.read, words_in(sought)
    sees_all = g.person.may(Right.SEE_ALL)
    own = None if sees_all else g.person.id
    first = whole(request.args, "from", 0, most=_FURTHEST) // MOST_SHOWN * MOST_SHOWN
    rows, count = read_.finding.pieces(words, maker_id=own, first=first, limit=MOST_SHOWN) if words else ((), 0)
    if not first and (ticket := _of_ticket(sought)) and ticket.piece.id not in {row.piece.id for row in rows}:
        rows, count = (ticket, *rows), count + 1
    glazes, (firings, firings_count) = glazes_found(words), firings_shown(words)
    most = MOST_WITH_A_GLAZE if request.args.get("all") else _MOST_OF_A_KIND
    with_glaze, glaze_count = read_.finding.with_glaze(glazes[0].name, maker_id=own, limit=most) if glazes else ((), 0)
    shown = {row.piece.id for row in rows}
    return render_template(
        "pieces/find.html",
        sought=sought,
        is_asked=bool(words),
        pieces=_as_listed(rows),
        count=count,
        first=first,
        most=MOST_SHOWN,
        likely=_as_listed(row for row in _near_misses(sought) if row.piece.id not in shown),
        people=_people(sought) if sees_all and words else [],
        glazes=glazes_shown(glazes),
        clays=clays_shown(words),
        kilns=kilns_shown(words),
        queues=queues_shown(words),
        firings=firings,
        firings_count=firings_count,
        glaze=glazes[0].name if glazes else "",
        glaze_count=glaze_count and glaze_count - sum(row.piece.id in shown for row in with_glaze),
        is_all=most == MOST_WITH_A_GLAZE,
        with_glaze=_as_listed(row for row in with_glaze if row.piece.id not in shown),
        shelves=_shelves(sought) if sees_all and words else [],
    )


def _of_ticket(sought: str) -> PieceRow | None:
    """The piece whose ticket has this number, typed without its letter, if the reader may see it."""
    if not (ref := ticket_in(sought)):
        return None
    try:
        return find_row(house().store.read, ref, g.person)
    except Unknown:
        return None


def _people(sought: str) -> list[Plain]:
    found = house().store.read.people.named(sought, limit=_MOST_OF_A_KIND)
    return [{"name": one.name, "section": one.section, "href": url_for("makers.maker", number=one.id)} for one in found]


def _shelves(sought: str) -> list[ShelfRow]:
    """The shelves of that name, and those whose label a scanner on another keyboard may have sent."""
    labels = (read_bar(one) for one in readings(sought))
    names = {one.name.casefold() for one in labels if one is not None and one.sort is Sort.SHELF}
    words, there = words_in(sought), all_shelves(house().store.read)
    filled = {one.name.casefold() for one in there} | {one.title.casefold() for one in catalog().routes.values()}
    bare = (ShelfRow(name=one, count=0) for one in known_shelves(house().store.read) if one.casefold() not in filled)
    return [one for one in (*there, *bare) if one.name.casefold() in names or holds(one.name, words)]


def _near_misses(sought: str) -> tuple[PieceRow, ...]:
    """The pieces that a mistyped code was likely meant to be, among those that the reader may see."""
    read_ = house().store.read
    codes = [code for code, _what, _maker in read_.pieces.likely(read(sought).likely)[:_MOST_LIKELY]]
    slips = [slip for slip in likely_slips(sought) if slip <= LARGEST_SLIP]
    found = (*(read_.pieces.row(code=code) for code in codes), *(read_.pieces.row(number=slip) for slip in slips))
    sees_all = g.person.may(Right.SEE_ALL)
    return tuple(row for row in found if row is not None and (sees_all or row.piece.maker_id == g.person.id))


def _as_listed(rows: Iterable[PieceRow]) -> list[dict[str, Any]]:
    rows = tuple(rows)
    outlooks = outlooks_of(house().store.read, rows, house().clock())
    return [
        row_for_list(row, outlooks[row.piece.id], g.person, ago(row.since))
        | {"maker": "" if row.piece.maker_id == g.person.id else row.maker}
        for row in rows
    ]
