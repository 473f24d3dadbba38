"""The ware shelves and carts as places: which there are, what a name means, and everything on one moved at once."""

from __future__ import annotations

from dataclasses import replace

from tracker.domain.labels.studio_bars import Sort, read_bar
from tracker.domain.message import Fact, Message, _
from tracker.domain.pieces.codes import read, read_slip
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.piece import STEPS, StepName
from tracker.domain.refusals import Unknown, UnknownShelf, Unusable
from tracker.store.pieces.shelf_queries import ShelfRow
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.lookup import LARGEST_SLIP
from tracker.usecases.pieces.wishes import place_for

_LONGEST_NAME = 60
_MOST_MOVED = 1_000


def known_shelves(reader: Queries) -> tuple[str, ...]:
    """Every shelf and cart there is: those that were named, those with pieces on them, and those of the firings."""
    of_firings = (place_for(route) for route in reader.catalog().routes.values() if not route.retired)
    names = {name.casefold(): name for name in (*of_firings, *reader.pieces.places(), *reader.stocktakes.shelves())}
    return tuple(sorted(names.values(), key=str.casefold))


def all_shelves(reader: Queries) -> tuple[ShelfRow, ...]:
    """Every shelf and cart with how many pieces are on it, by name; those of firings only once something is on them."""
    filled = reader.shelves.listed()
    there = {row.name.casefold() for row in filled}
    bare = (ShelfRow(name=name, count=0) for name in reader.stocktakes.shelves() if name.casefold() not in there)
    return tuple(sorted((*filled, *bare), key=lambda row: row.name.casefold()))


def shelf_meant(reader: Queries, text: str, *, may_be_new: bool = False) -> str:
    """The shelf that a name or a shelf's label means, as it is spelled here; empty for no text.

    A piece is refused, and so is a name that no shelf has (`UnknownShelf`), unless it `may_be_new`.
    """
    labelled = read_bar(text)
    name = " ".join((labelled.name if labelled is not None and labelled.sort is Sort.SHELF else text).split())
    if not name:
        return ""
    if _is_a_piece(reader, name):
        raise Unusable(
            [Message("a-piece-is-no-shelf", _("{text} is a piece, not a shelf."), text=name[:_LONGEST_NAME])],
            Message("scan-the-shelf", _("Scan the shelf's label, or type its name.")),
        )
    if len(name) > _LONGEST_NAME:
        words = _("A shelf's name has at most {most} characters.")
        raise Unusable([Message("shelf-name-too-long", words, most=_LONGEST_NAME)])
    known = next((one for one in known_shelves(reader) if one.casefold() == name.casefold()), None)
    if known is None and not may_be_new:
        raise UnknownShelf(name)
    return known or name


def _is_a_piece(reader: Queries, text: str) -> bool:
    """Whether a piece goes by this code or ticket number."""
    slip = read_slip(text)
    if slip is not None:
        return slip <= LARGEST_SLIP and reader.pieces.piece(number=slip) is not None
    code = read(text).code
    return code is not None and reader.pieces.piece(code=code) is not None


@once("add shelf")
def add_shelf(change: Change, name: str) -> Receipt:
    """Put a shelf on record before anything is on it; one that is known stays as it is."""
    change.request.by.must_be_allowed(STEPS[StepName.SHELVE].right)
    shelf = shelf_meant(change.read, name, may_be_new=True)
    if not shelf:
        raise Unusable([Message("shelf-needs-a-name", _("Give the shelf a name."))])
    if shelf in change.read.stocktakes.shelves():
        return Receipt(message=Message("shelf-is-there", _("{place} is already on the list."), place=shelf))
    change.shelves.add(shelf)
    return Receipt(message=Message("shelf-added", _("{place} added."), place=shelf))


@once("remove shelf")
def remove_shelf(change: Change, name: str) -> Receipt:
    """Take an empty shelf off the record."""
    change.request.by.must_be_allowed(STEPS[StepName.SHELVE].right)
    shelf = shelf_meant(change.read, name)
    if change.read.shelves.on(shelf, limit=1):
        raise Unusable(
            [Message("shelf-is-in-use", _("There are pieces on {place}."), place=shelf)],
            Message("move-them-first", _("Move them to another shelf first.")),
        )
    change.shelves.remove(shelf)
    return Receipt(message=Message("shelf-removed", _("{place} removed."), place=shelf))


@once("move shelf")
def move_shelf(change: Change, place: str, to: str, *, may_be_new: bool = False) -> Receipt:
    """Note that everything on one shelf is on another from now on, each piece with its own line of history."""
    change.request.by.must_be_allowed(STEPS[StepName.SHELVE].right)
    there = shelf_meant(change.read, to, may_be_new=may_be_new)
    rows = change.read.shelves.on(place, limit=_MOST_MOVED)
    if not there or there == place:
        raise Unusable([Message("another-shelf-needed", _("Choose another shelf."))])
    if not rows:
        raise Unknown(Message("nothing-to-move", _("There's nothing on {place}."), place=place))
    if there not in known_shelves(change.read):
        change.shelves.add(there)
    refs = tuple(put_there(change, row.piece.id, there) for row in rows)
    words = _("{count} moved from {place} to {there}.")
    message = Message("shelf-moved", words, count=len(refs), place=place, there=there)
    return Receipt(message=message, refs=refs, extra={"place": there})


def put_there(change: Change, piece_id: int, place: str) -> str:
    """Note that a piece is on a shelf; gives its code or ticket. One that left for a kiln meanwhile is refused."""
    piece = change.read.pieces.piece(number=piece_id, hold=True)
    if piece is None:
        raise Unknown(Message("piece-gone", _("Piece {piece} is missing from the database."), piece=str(piece_id)))
    piece.must_not_be_in_a_kiln()
    after = replace(piece.take(StepName.SHELVE), place=place)
    before: dict[str, Fact] = {"before": piece.place}
    line = HistoryLine(step=StepName.SHELVE, place=place, facts=before)
    change.save(piece, after, line)
    return piece.ref
