"""Where pieces stand: put on a shelf, moved, taken back, and never out of a kiln by the shelf's label."""

from __future__ import annotations

import pytest

from tests.reading import said
from tests.staffed import INES, TOM, asked_by, bisqued, fired, glazed, off_and_out, queued, started, the_piece
from tests.studio import a_new_piece
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.refusals import NotAllowed, NotAStep, Unusable
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pickup, pieces, undoing


def test_a_piece_stands_where_it_was_put_and_the_history_says_so(store: Store) -> None:
    ref = bisqued(store)

    receipt = pieces.shelve(store, asked_by(TOM), ref, "rack 3")
    again = pieces.shelve(store, asked_by(TOM), ref, "board 12")

    piece = the_piece(store, ref)
    assert said(receipt.message) == f"{ref}, tall cup: now on rack 3."
    assert (piece.place, piece.stage) == ("board 12", Stage.BISQUED)
    line = store.read.pieces.page(piece.id).history[-1]
    assert (line.id, line.step, line.place, line.facts["before"]) == (again.line, StepName.SHELVE, "board 12", "rack 3")


def test_greenware_and_every_later_stage_can_be_put_on_a_shelf(store: Store) -> None:
    slip = pieces.register(store, asked_by(INES), a_new_piece()).ref

    for ref in (slip, bisqued(store), glazed(store), queued(store), fired(store)):
        stage = the_piece(store, ref).stage
        pieces.shelve(store, asked_by(TOM), ref, "rack 3")
        assert (the_piece(store, ref).place, the_piece(store, ref).stage) == ("rack 3", stage)


def test_a_piece_that_waits_keeps_its_place_in_the_queue(store: Store) -> None:
    first, second = queued(store), queued(store)
    route = the_piece(store, first).route or ""

    pieces.shelve(store, asked_by(TOM), first, "rack 3")

    assert [row.ref for row in store.read.pieces.waiting([route])] == [first, second]


def test_a_piece_leaves_its_shelf_for_a_kiln_and_comes_out_with_no_shelf_on_record(store: Store) -> None:
    ref, stays = queued(store), queued(store)
    for one in (ref, stays):
        pieces.shelve(store, asked_by(TOM), one, "rack 3")
    number = started(store)

    firings.put_in(store, asked_by(TOM), number, ref)
    on = [row.ref for row in store.read.shelves.on("rack 3", limit=9)]
    [listed] = store.read.shelves.listed()
    firings.take_out(store, asked_by(TOM), number, ref)
    back = [row.ref for row in store.read.shelves.on("rack 3", limit=9)]
    firings.put_in(store, asked_by(TOM), number, ref)
    firings.light(store, asked_by(TOM), number)
    off_and_out(store, asked_by(TOM), number, {ref: Outcome.GOOD})

    assert (on, listed.count, store.read.papers.counted_by_place()) == ([stays], 1, {"rack 3": 1})
    assert set(back) == {ref, stays}
    assert (the_piece(store, ref).place, the_piece(store, stays).place) == ("", "rack 3")


def test_the_last_scan_is_taken_back_to_where_the_piece_stood(store: Store) -> None:
    ref = bisqued(store)
    first = pieces.shelve(store, asked_by(TOM), ref, "rack 3")
    second = pieces.shelve(store, asked_by(TOM), ref, "board 12")

    undoing.undo(store, asked_by(TOM), second.line or 0)
    stood = the_piece(store, ref).place

    assert stood == "rack 3"
    with pytest.raises(NotAStep, match="moved-on"):
        undoing.undo(store, asked_by(TOM), first.line or 0)


def test_the_first_scan_taken_back_leaves_no_shelf_noted(store: Store) -> None:
    ref = bisqued(store)
    first = pieces.shelve(store, asked_by(TOM), ref, "rack 3")

    receipt = undoing.undo(store, asked_by(TOM), first.line or 0)

    assert the_piece(store, ref).place == ""
    assert "removed from its shelf" in said(receipt.message)


def test_a_shelf_scanned_in_capitals_is_the_shelf_there_is(store: Store) -> None:
    one, other = bisqued(store), bisqued(store)

    pieces.shelve(store, asked_by(TOM), one, "Rack 3")
    pieces.shelve(store, asked_by(TOM), other, "RACK 3")

    assert the_piece(store, other).place == "Rack 3"
    assert store.read.pieces.places() == ("Rack 3",)


def test_the_same_shelf_again_changes_nothing_and_says_so(store: Store) -> None:
    ref = bisqued(store)
    pieces.shelve(store, asked_by(TOM), ref, "rack 3")
    before = the_piece(store, ref)

    receipt = pieces.shelve(store, asked_by(TOM), ref, "rack 3")

    assert "already on rack 3" in said(receipt.message)
    assert receipt.line is None
    assert the_piece(store, ref) == before


def test_the_same_request_sent_twice_is_one_line(store: Store) -> None:
    ref, asked = bisqued(store), asked_by(TOM)

    assert pieces.shelve(store, asked, ref, "rack 3") == pieces.shelve(store, asked, ref, "rack 3")
    steps = [line.step for line in store.read.pieces.page(the_piece(store, ref).id).history]
    assert steps.count(StepName.SHELVE) == 1


def test_no_piece_is_put_on_no_shelf_nor_out_of_a_kiln_nor_by_a_student(store: Store) -> None:
    ref, inside, gone = bisqued(store, maker=INES), queued(store), fired(store)
    firing = started(store)
    firings.put_in(store, asked_by(TOM), firing, inside)
    pickup.hand_over(store, asked_by(TOM), gone)

    with pytest.raises(Unusable, match="no-shelf"):
        pieces.shelve(store, asked_by(TOM), ref, "")
    with pytest.raises(NotAStep, match="piece-in-a-kiln"):
        pieces.shelve(store, asked_by(TOM), inside, "rack 3")
    with pytest.raises(NotAStep, match="claimed"):
        pieces.shelve(store, asked_by(TOM), gone, "rack 3")
    with pytest.raises(NotAllowed):
        pieces.shelve(store, asked_by(INES), ref, "rack 3")
