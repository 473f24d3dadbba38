"""Stocktaking: what was scanned is kept, what differs is told, and nothing changes by scanning alone."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.staffed import TOM, asked_by, bisqued, queued, started, the_piece
from tests.studio import NOON
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.piece import Stage
from tracker.domain.refusals import NotAStep
from tracker.store.pieces.queries import PieceRow
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pieces, stocktaking, undoing

LATER = NOON + timedelta(hours=1)


def _begun(store: Store, place: str = "rack 3") -> int:
    return int(stocktaking.begin_stocktake(store, asked_by(TOM, LATER), place).extra["stocktake"])


def _scanned(store: Store, number: int, *refs: str) -> None:
    for ref in refs:
        stocktaking.scan_in_stocktake(store, asked_by(TOM, LATER), number, ref)


def _refs(rows: tuple[PieceRow, ...]) -> set[str]:
    return {row.ref for row in rows}


def test_a_count_says_what_is_missing_new_lost_and_away_and_moves_nothing(store: Store) -> None:
    here, gone, new, lost, away = bisqued(store), bisqued(store), bisqued(store), bisqued(store), queued(store)
    for ref in (here, gone):
        pieces.shelve(store, asked_by(TOM), ref, "rack 3")
    pieces.lose(store, asked_by(TOM), lost, Loss.MISSING)
    firings.put_in(store, asked_by(TOM), started(store), away)
    number = _begun(store)
    _scanned(store, number, here, here, new, lost, away)

    count = stocktaking.count_of(store.read, number)

    told = [_refs(rows) for rows in (count.here, count.missing, count.new, count.lost, count.away)]
    assert told == [{here}, {gone}, {new}, {lost}, {away}]
    assert not count.is_even
    assert (the_piece(store, new).place, the_piece(store, lost).stage) == ("", Stage.LOST)


def test_a_count_is_left_and_gone_on_with_by_anybody_and_ends_even_once_all_is_dealt_with(store: Store) -> None:
    gone, new = bisqued(store), [bisqued(store), bisqued(store)]
    pieces.shelve(store, asked_by(TOM), gone, "rack 3")
    number = _begun(store)
    _scanned(store, number, *new)

    assert _begun(store) == number
    with pytest.raises(NotAStep, match="still-counting"):
        stocktaking.lose_missing(store, asked_by(TOM, LATER), number)
    stocktaking.end_stocktake(store, asked_by(TOM, LATER), number)
    stocktaking.reopen_stocktake(store, asked_by(TOM, LATER), number)
    assert _begun(store) == number
    stocktaking.end_stocktake(store, asked_by(TOM, LATER), number)
    stocktaking.put_new_here(store, asked_by(TOM, LATER), number)
    stocktaking.lose_missing(store, asked_by(TOM, LATER), number)

    assert {the_piece(store, ref).place for ref in new} == {"rack 3"}
    assert the_piece(store, gone).stage is Stage.LOST
    assert _refs(tuple(one.row for one in store.read.shelves.missing(NOON))) == {gone}
    assert stocktaking.count_of(store.read, number).is_even
    assert _begun(store) != number


def test_what_was_put_here_and_what_was_missed_is_taken_back_in_one_go(store: Store) -> None:
    gone, new = [queued(store), queued(store)], [bisqued(store), bisqued(store)]
    for ref in gone:
        pieces.shelve(store, asked_by(TOM), ref, "rack 3")
    pieces.shelve(store, asked_by(TOM), new[0], "board 12")
    number = _begun(store)
    _scanned(store, number, *new)
    stocktaking.end_stocktake(store, asked_by(TOM, LATER), number)
    stocktaking.put_new_here(store, asked_by(TOM, LATER), number)
    stocktaking.lose_missing(store, asked_by(TOM, LATER), number)

    for _ in range(2):
        done = undoing.done_together(store.read, "rack 3", TOM, LATER)
        undoing.undo_together(store, asked_by(TOM, LATER), done.lines[0] if done else 0)

    assert [the_piece(store, ref).place for ref in new] == ["board 12", ""]
    assert [(the_piece(store, ref).route, the_piece(store, ref).place) for ref in gone] == [("mid-range", "rack 3")] * 2
    assert undoing.done_together(store.read, "rack 3", TOM, LATER) is None
    count = stocktaking.count_of(store.read, number)
    assert (_refs(count.missing), _refs(count.new)) == (set(gone), set(new))


def test_what_somebody_did_with_a_piece_since_it_was_counted_is_newer_than_the_count(store: Store) -> None:
    put_later, moved = bisqued(store), bisqued(store)
    pieces.shelve(store, asked_by(TOM), moved, "rack 3")
    number = _begun(store)
    _scanned(store, number, moved)
    afterwards = LATER + timedelta(hours=1)
    pieces.shelve(store, asked_by(TOM, afterwards), put_later, "rack 3")
    pieces.shelve(store, asked_by(TOM, afterwards), moved, "board 12")

    count = stocktaking.count_of(store.read, number)

    assert count.is_even
