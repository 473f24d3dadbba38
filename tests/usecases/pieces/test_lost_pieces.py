"""Lost is not vanished: what became of a piece is known, what is missing is listed, and so is what turned up."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.staffed import INES, TOM, asked_by, bisqued, fired, started, the_piece, unload
from tests.studio import NOON, a_new_piece
from tracker.domain.firing.outlooks import Next
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Stage
from tracker.domain.refusals import NotAStep
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings, results
from tracker.usecases.pieces import pieces, undoing
from tracker.usecases.pieces.lookup import find_row
from tracker.usecases.pieces.outlooks import outlook_of

LONG_AGO = NOON - timedelta(days=30)


def _next(store: Store, ref: str) -> Next:
    return outlook_of(store.read, find_row(store.read, ref, TOM), NOON).next


def test_what_became_of_a_lost_piece_follows_from_its_cause_and_its_last_fire(store: Store) -> None:
    in_kiln = fired(store, outcome=Outcome.BROKE)
    by_cause = {cause: bisqued(store) for cause in Loss}
    for cause, ref in by_cause.items():
        pieces.lose(store, asked_by(TOM), ref, cause)

    assert _next(store, in_kiln) is Next.SHARDS
    assert {cause: _next(store, ref) for cause, ref in by_cause.items()} == {
        Loss.BROKEN: Next.BROKE,
        Loss.MISSING: Next.FIND,
        Loss.DISCARDED: Next.DISCARDED,
        Loss.CANCELED: Next.CANCELED,
        Loss.TWICE: Next.TWICE,
    }


def test_what_a_fire_broke_is_found_only_by_its_corrected_result(store: Store) -> None:
    # It went through the fire: found as greenware it could be bisqued twice while its firing says that it broke.
    slip = pieces.register(store, asked_by(TOM), a_new_piece()).ref
    firing = started(store, "Front box", "bisque", "06")
    firings.put_in(store, asked_by(TOM), firing, slip, dry=True)
    unload(store, firing, {slip: Outcome.BROKE})

    with pytest.raises(NotAStep, match="broke-by-its-result"):
        pieces.find(store, asked_by(TOM), slip)
    results.correct_result(store, asked_by(TOM), firing, slip, Outcome.GOOD)

    assert the_piece(store, slip).stage is Stage.BISQUED
    assert store.read.firings.result(firing, the_piece(store, slip).id) == Outcome.GOOD


def test_only_what_is_missing_is_on_the_list_with_who_missed_it(store: Store) -> None:
    gone, broken = bisqued(store, maker=INES), bisqued(store)
    pieces.lose(store, asked_by(TOM), broken, Loss.BROKEN)
    pieces.lose(store, asked_by(INES), gone, Loss.MISSING)

    [missing] = store.read.shelves.missing(LONG_AGO)

    assert (missing.row.ref, missing.by_id, missing.at) == (gone, INES.id, NOON)
    assert store.read.shelves.missing(NOON + timedelta(days=1)) == ()


def test_what_turned_up_leaves_the_list_and_a_find_that_was_a_slip_is_no_find(store: Store) -> None:
    gone, slip = bisqued(store, maker=INES), bisqued(store)
    pieces.lose(store, asked_by(TOM), gone, Loss.MISSING)
    pieces.find(store, asked_by(INES), gone)
    lost = pieces.lose(store, asked_by(TOM), slip, Loss.MISSING)
    undoing.undo(store, asked_by(TOM), lost.line or 0)

    [found] = store.read.shelves.turned_up(LONG_AGO)

    assert (found.row.ref, found.by_id) == (gone, INES.id)
    assert store.read.shelves.missing(LONG_AGO) == ()


@pytest.mark.parametrize("cause", Loss, ids=str)
def test_nothing_is_done_with_a_lost_piece_until_it_is_found(store: Store, cause: Loss) -> None:
    ref = bisqued(store)
    pieces.lose(store, asked_by(TOM), ref, cause)

    with pytest.raises(NotAStep) as refused:
        pieces.shelve(store, asked_by(TOM), ref, "rack 3")
    pieces.find(store, asked_by(TOM), ref, place="rack 3")

    assert refused.value.remedy is not None
    assert refused.value.remedy.code == "found-it"
    assert the_piece(store, ref).place == "rack 3"
