"""Shelves are places: named before anything is on them, never confused with a piece, moved whole."""

from __future__ import annotations

import pytest

from tests.staffed import ADA, INES, TOM, asked_by, bisqued, fired, glazed, queued, started, the_piece
from tests.studio import NOON
from tracker.domain.pieces.piece import StepName
from tracker.domain.refusals import NotAllowed, NotAStep, UnknownShelf, Unusable
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pieces
from tracker.usecases.pieces.undoing import done_together, undo_together
from tracker.usecases.pieces.ware_shelves import add_shelf, all_shelves, move_shelf, remove_shelf, shelf_meant


def _counts(store: Store) -> dict[str, int]:
    return {row.name: row.count for row in all_shelves(store.read)}


def test_a_shelf_is_there_before_anything_is_on_it_and_is_removed_while_it_is_empty(store: Store) -> None:
    add_shelf(store, asked_by(TOM), "Rack 3")
    named = shelf_meant(store.read, "S.RACK 3")
    before = _counts(store)
    remove_shelf(store, asked_by(TOM), "rack 3")

    assert (named, before, _counts(store)) == ("Rack 3", {"Rack 3": 0}, {})


def test_a_name_that_no_shelf_has_is_asked_about_and_the_shelf_of_a_firing_is_known(store: Store) -> None:
    firing = next(iter(store.read.catalog().routes.values()))

    with pytest.raises(UnknownShelf):
        shelf_meant(store.read, "rack 3")

    assert shelf_meant(store.read, "rack 3", may_be_new=True) == "rack 3"
    assert shelf_meant(store.read, firing.title.upper()) == firing.title


def test_a_piece_is_no_shelf_by_its_code_or_its_ticket(store: Store) -> None:
    ref = bisqued(store)

    for text in (ref, ref.lower(), f"W{the_piece(store, ref).id}"):
        with pytest.raises(Unusable, match="a-piece-is-no-shelf"):
            shelf_meant(store.read, text, may_be_new=True)


def test_everything_on_a_shelf_moves_at_once_and_what_is_in_a_kiln_stays_where_it_is(store: Store) -> None:
    refs, loaded = [bisqued(store), bisqued(store)], queued(store)
    for ref in (*refs, loaded):
        pieces.shelve(store, asked_by(TOM), ref, "rack 3")
    firings.put_in(store, asked_by(TOM), started(store), loaded)

    receipt = move_shelf(store, asked_by(TOM), "rack 3", "board 12", may_be_new=True)

    assert set(receipt.refs) == set(refs)
    assert {the_piece(store, ref).place for ref in refs} == {"board 12"}
    line = store.read.pieces.page(the_piece(store, refs[0]).id).history[-1]
    assert (line.step, line.facts["before"]) == (StepName.SHELVE, "rack 3")
    assert _counts(store) == {"board 12": 2, "rack 3": 0}


def test_a_whole_shelf_that_was_moved_goes_back_in_one_go_but_for_what_moved_on(store: Store) -> None:
    refs = [bisqued(store), bisqued(store), queued(store), bisqued(store)]
    for ref in refs:
        pieces.shelve(store, asked_by(TOM), ref, "rack 3")
    move_shelf(store, asked_by(TOM), "rack 3", "board 12", may_be_new=True)
    *back, loaded, moved_on = refs
    firings.put_in(store, asked_by(TOM), started(store), loaded)
    pieces.wax(store, asked_by(TOM), moved_on)

    done = done_together(store.read, "board 12", TOM, NOON)
    assert done is not None
    assert done_together(store.read, "board 12", ADA, NOON) is None
    receipt = undo_together(store, asked_by(TOM), done.lines[0])

    assert (set(receipt.refs), receipt.extra["place"]) == (set(back), "rack 3")
    assert _counts(store) == {"board 12": 1, "rack 3": 2}
    assert done_together(store.read, "board 12", TOM, NOON) is None
    with pytest.raises(NotAStep, match="nothing-to-undo"):
        undo_together(store, asked_by(TOM), done.lines[0])


def test_a_shelf_with_pieces_is_not_removed_and_students_change_no_shelf(store: Store) -> None:
    pieces.shelve(store, asked_by(TOM), bisqued(store), "rack 3")

    with pytest.raises(Unusable, match="shelf-is-in-use"):
        remove_shelf(store, asked_by(TOM), "rack 3")
    with pytest.raises(NotAllowed):
        add_shelf(store, asked_by(INES), "rack 4")
    with pytest.raises(NotAllowed):
        move_shelf(store, asked_by(INES), "rack 3", "rack 4", may_be_new=True)


def test_what_is_not_fired_yet_is_looked_at_where_most_pieces_are_fired(store: Store) -> None:
    done, bare, raw, other = fired(store), bisqued(store), glazed(store), bisqued(store)
    first = pieces.shelve(store, asked_by(TOM), other, "Cart 2")
    pieces.shelve(store, asked_by(TOM), done, "rack 3")

    answers = [pieces.shelve(store, asked_by(TOM), raw, "rack 3"), pieces.shelve(store, asked_by(TOM), bare, "Cart 2")]
    pieces.shelve(store, asked_by(TOM), raw, "Cart 2")
    more = [fired(store), bare, other, bisqued(store), fired(store)]
    answers += [pieces.shelve(store, asked_by(TOM), ref, "rack 3") for ref in more]

    told = ["not-fired-yet" in str(one.message) for one in (first, *answers)]
    # Half of what is on rack 3 isn't fired when the last two come: that is no shelf for pickup.
    assert told == [False, True, False, False, True, True, False, False]
    assert [bool(one.extra.get("looks")) for one in (first, *answers)] == told
