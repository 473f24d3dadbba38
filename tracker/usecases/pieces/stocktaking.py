"""Stocktaking: all of a shelf is scanned, then each difference between the shelf and its record is dealt with."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.domain.message import Message, _
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.piece import STEPS, Stage, StepName
from tracker.domain.refusals import NotAStep, Unknown
from tracker.store.pieces.queries import PieceRow
from tracker.store.pieces.shelf_book import Stocktake
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.lookup import find_row, named
from tracker.usecases.pieces.ware_shelves import put_there, shelf_meant

_MOST = 1_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """A stocktake against the record as it is now.

    What was dealt with is no difference anymore, nor is a piece with which somebody took a step since: that is newer.
    `here` was scanned and is on record here. `missing` is on record here, and nobody scanned it. `new` was scanned and
    is on record elsewhere. `lost` was scanned though it is recorded as lost. `away` was scanned though it is on record
    in a kiln or handed out.
    """

    stocktake: Stocktake
    here: tuple[PieceRow, ...]
    missing: tuple[PieceRow, ...]
    new: tuple[PieceRow, ...]
    lost: tuple[PieceRow, ...]
    away: tuple[PieceRow, ...]

    @property
    def is_even(self) -> bool:
        """Whether the shelf and its record agree."""
        return not (self.missing or self.new or self.lost or self.away)


def count_of(reader: Queries, number: int) -> Count:
    """Where a stocktake and the record differ now; `Unknown` where there is no such stocktake."""
    stocktake = _stocktake(reader, number)
    scanned = reader.stocktakes.scanned(number)
    on = reader.shelves.on(stocktake.place, limit=_MOST)
    off = scanned.keys() - {row.piece.id for row in on}
    steps = reader.pieces.last_steps([*off, *(row.piece.id for row in on)])
    elsewhere = [row for row in reader.pieces.by_ids(off) if steps[row.piece.id] <= scanned[row.piece.id]]
    lost = [row for row in elsewhere if row.piece.stage is Stage.LOST]
    away = [row for row in elsewhere if row.piece.stage is Stage.CLAIMED or row.firing_id is not None]
    return Count(
        stocktake=stocktake,
        here=tuple(row for row in on if row.piece.id in scanned),
        missing=tuple(row for row in on if row.piece.id not in scanned and steps[row.piece.id] <= stocktake.began_at),
        new=tuple(row for row in elsewhere if row not in lost and row not in away),
        lost=tuple(lost),
        away=tuple(away),
    )


@once("begin stocktake")
def begin_stocktake(change: Change, place: str) -> Receipt:
    """Begin to count a shelf, or go on where its stocktake was left."""
    _must_be_staff(change)
    shelf = shelf_meant(change.read, place)
    last = change.read.stocktakes.last_of(shelf)
    number = last.id if last is not None and last.ended_at is None else change.shelves.begin_stocktake(shelf)
    message = Message("stocktake-begun", _("Scan every piece on {place}."), place=shelf)
    return Receipt(message=message, extra={"stocktake": number})


@once("stocktake")
def scan_in_stocktake(change: Change, number: int, ref: str) -> Receipt:
    """Note that a piece was seen on the shelf that is counted; its record changes only when somebody says so."""
    _must_be_staff(change)
    stocktake = _stocktake(change.read, number, hold=True)
    row = find_row(change.read, ref, change.request.by)
    is_again = row.piece.id in change.read.stocktakes.scanned(number)
    if not is_again:
        change.shelves.note_scan(number, row.piece.id)
    return Receipt(
        message=_seen(row, stocktake.place, is_again=is_again),
        ref=row.ref,
        piece_id=row.piece.id,
        refs=(row.ref,),
        extra={"again": is_again, "is_away": _is_away(row)},
    )


def _is_away(row: PieceRow) -> bool:
    """Whether a piece is on record where it can't be on a shelf: lost, handed out or in a kiln."""
    return row.piece.stage in {Stage.LOST, Stage.CLAIMED} or row.firing_id is not None


def _seen(row: PieceRow, place: str, *, is_again: bool) -> Message:
    piece, what = row.piece, named(row.piece)
    if is_again:
        return Message("scanned-before", _("{piece}: already scanned."), piece=what)
    if piece.stage in {Stage.LOST, Stage.CLAIMED}:
        return Message("seen-though-gone", _("{piece}: here, but on record as {stage}."), piece=what, stage=piece.stage)
    if row.firing_id is not None:
        words = _("{piece}: here, but on record in the kiln of firing {firing}.")
        return Message("seen-though-in-a-kiln", words, piece=what, firing=str(row.firing_id))
    if piece.place == place:
        return Message("seen-here", _("{piece}: here."), piece=what)
    if piece.place:
        return Message("seen-elsewhere", _("{piece}: new here, on record at {place}."), piece=what, place=piece.place)
    return Message("seen-from-nowhere", _("{piece}: new here. It had no shelf on record."), piece=what)


@once("end stocktake")
def end_stocktake(change: Change, number: int) -> Receipt:
    """Note that all of a shelf was scanned."""
    _must_be_staff(change)
    stocktake = _stocktake(change.read, number, hold=True)
    if stocktake.ended_at is None:
        change.shelves.end_stocktake(number, is_over=True)
    return Receipt(message=Message("stocktake-ended", _("{place}: count finished."), place=stocktake.place))


@once("reopen stocktake")
def reopen_stocktake(change: Change, number: int) -> Receipt:
    """Go on with a stocktake that was ended too early; what was scanned in it still counts."""
    _must_be_staff(change)
    stocktake = _stocktake(change.read, number, hold=True)
    change.shelves.end_stocktake(number, is_over=False)
    return Receipt(message=Message("stocktake-goes-on", _("Scan the rest of {place}."), place=stocktake.place))


@once("put new here")
def put_new_here(change: Change, number: int) -> Receipt:
    """Put everything on the shelf's record that was scanned there and is on record elsewhere."""
    _must_be_staff(change)
    count = count_of(change.read, number)
    place = count.stocktake.place
    refs = tuple(put_there(change, row.piece.id, place) for row in count.new)
    message = Message("new-put-here", _("{count} now on {place}."), count=len(refs), place=place)
    return Receipt(message=message, refs=refs)


@once("lose missing")
def lose_missing(change: Change, number: int) -> Receipt:
    """Mark everything as missing that is on the shelf's record and nobody scanned; first the counting must end."""
    _must_be_staff(change)
    count = count_of(change.read, number)
    if count.stocktake.ended_at is None:
        raise NotAStep(
            Message("still-counting", _("{place} is still being counted."), place=count.stocktake.place),
            Message("finish-counting", _("Scan the rest, then finish.")),
        )
    refs = tuple(_lose(change, row) for row in count.missing)
    return Receipt(message=Message("marked-missing", _("{count} marked as missing."), count=len(refs)), refs=refs)


def _lose(change: Change, row: PieceRow) -> str:
    piece = change.read.pieces.piece(number=row.piece.id, hold=True)
    if piece is None:
        raise Unknown(Message("piece-gone", _("Piece {piece} is missing from the database."), piece=row.ref))
    piece.must_not_be_in_a_kiln()
    after = piece.take(StepName.LOSE)
    line = HistoryLine(step=StepName.LOSE, route=piece.route, place=piece.place, reason=Loss.MISSING)
    change.save(piece, after, line)
    return piece.ref


def _stocktake(reader: Queries, number: int, *, hold: bool = False) -> Stocktake:
    found = reader.stocktakes.stocktake(number, hold=hold)
    if found is None:
        raise Unknown(
            Message("no-such-stocktake", _("There is no such stocktake.")),
            Message("choose-its-shelf", _("Choose the shelf on the list of shelves.")),
        )
    return found


def _must_be_staff(change: Change) -> None:
    change.request.by.must_be_allowed(STEPS[StepName.SHELVE].right)
