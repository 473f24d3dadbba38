"""Lost is not vanished: what became of a piece is known, what is missing is listed, and so is what turned up."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from tests.staffed import INES, MIRA, TOM, asked_by, bisqued, fired, glazed, started, the_piece, unload
from tests.studio import NOON, a_new_piece
from tracker.domain.firing.outlooks import Next
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Stage
from tracker.domain.refusals import NotAStep
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings, results
from tracker.usecases.pieces import found_again, pieces, undoing, wishes
from tracker.usecases.pieces.lookup import find_row
from tracker.usecases.pieces.outlooks import outlook_of
from tracker.usecases.pieces.ways_out import open_queues, possible_now, with_open_ways
from tracker.usecases.rules import questions

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
        found_again.find(store, asked_by(TOM), slip)
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
    found_again.find(store, asked_by(INES), gone)
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
    found_again.find(store, asked_by(TOM), ref, place="rack 3")

    assert refused.value.remedy is not None
    assert refused.value.remedy.code == "found-it"
    assert the_piece(store, ref).place == "rack 3"


def test_what_is_found_waits_where_it_waited_and_its_maker_needs_no_more_for_it_than_to_have_it(store: Store) -> None:
    ref = glazed(store, "Ember Luster", new=a_new_piece(fragile=True))
    wishes.wish(store, asked_by(MIRA), ref, "raku")
    pieces.queue(store, asked_by(TOM), ref, "raku", accepts={"fragile-outdoors"})
    number = the_piece(store, ref).id
    before = store.read.pieces.row(number=number)
    pieces.lose(store, asked_by(MIRA, NOON + timedelta(days=1)), ref, Loss.MISSING)
    found = found_again.find(store, asked_by(MIRA, NOON + timedelta(days=2)), ref)

    now = store.read.pieces.row(number=number)
    assert before is not None
    assert now is not None
    assert before.accepted == ("fragile-outdoors",)
    assert now == replace(before, piece=now.piece)
    assert now.piece == replace(before.piece, version=now.piece.version)
    undoing.undo(store, asked_by(MIRA, NOON + timedelta(days=3)), found.line or 0)
    assert the_piece(store, ref).stage is Stage.LOST


def test_what_its_queue_no_longer_takes_is_found_on_the_shelf_since_when_it_was_there(store: Store) -> None:
    ref, slip = glazed(store), pieces.register(store, asked_by(TOM), a_new_piece()).ref
    since = _since(store, ref), _since(store, slip)
    pieces.queue(store, asked_by(TOM, NOON + timedelta(hours=1)), ref, "mid-range")
    questions.ask(store, asked_by(MIRA), ref, "Is the handle loose?")
    later = NOON + timedelta(days=2)
    found = {}
    for one in (ref, slip):
        pieces.lose(store, asked_by(TOM, NOON + timedelta(days=1)), one, Loss.MISSING)
        found[one] = found_again.find(store, asked_by(TOM, later), one).message

    assert (_since(store, ref), _since(store, slip)) == since
    assert the_piece(store, ref).stage is Stage.GLAZED
    assert "was-queued" in str(found[ref])
    assert "was-queued" not in str(found[slip])


def _since(store: Store, ref: str) -> datetime:
    return find_row(store.read, ref, TOM).since


def test_what_broke_is_called_broken_and_what_is_finished_is_offered_no_queue(store: Store) -> None:
    broke, missing, finished = (fired(store) for _ in range(3))
    pieces.lose(store, asked_by(TOM), broke, "broken")
    pieces.lose(store, asked_by(TOM), missing, "missing")

    told = [possible_now(store.read, the_piece(store, ref), NOON).code for ref in (broke, missing)]
    refusals = [
        with_open_ways(store.read, refused(store, ref), the_piece(store, ref), NOON).code for ref in (broke, missing)
    ]

    assert told == ["broke-to-shards", "found-it"]
    assert refusals == ["piece-broke", "not-a-step-now"]
    assert open_queues(the_piece(store, finished), store.read.catalog()) == ()


def refused(store: Store, ref: str) -> NotAStep:
    """Why a piece isn't put in a queue."""
    with pytest.raises(NotAStep) as no:
        pieces.queue(store, asked_by(TOM), ref, "mid-range")
    return no.value
