"""What is said while a kiln is unloaded is kept piece by piece and becomes the results with all the others."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from tests.staffed import ADA, TOM, asked_by, queued, started, the_piece
from tests.studio import NOON
from tracker.domain.cones import Cone
from tracker.domain.firing.unloading import TakenOut
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Stage
from tracker.domain.refusals import NotAStep
from tracker.usecases.firing import firings, logs, unloading
from tracker.usecases.firing.unloading import say_of

if TYPE_CHECKING:
    from tracker.store.unit_of_work import Store

CRACKED = Outcome.of(Flaw.CRACKED)


def _cooling(store: Store, *refs: str) -> int:
    number = started(store)
    for ref in refs:
        firings.put_in(store, asked_by(TOM), number, ref)
    firings.light(store, asked_by(TOM), number)
    firings.shut_off(store, asked_by(TOM), number)
    return number


def test_what_is_said_last_counts_whoever_says_it_and_the_same_request_counts_once(store: Store) -> None:
    ref = queued(store)
    number, piece_id, first = _cooling(store, ref), the_piece(store, ref).id, asked_by(TOM)

    say_of(store, first, number, ref, TakenOut(Outcome.GOOD))
    say_of(store, asked_by(ADA), number, ref, TakenOut(CRACKED, "Cart 2"))
    say_of(store, first, number, ref, TakenOut(Outcome.GOOD))

    assert store.read.firings.taken_out(number) == {piece_id: TakenOut(CRACKED, "Cart 2")}
    say_of(store, asked_by(ADA), number, ref, None)
    assert store.read.firings.taken_out(number) == {}


def test_what_only_a_scan_says_counts_where_nobody_has_said_anything(store: Store) -> None:
    said, unsaid = queued(store), queued(store)
    number = _cooling(store, said, unsaid)
    say_of(store, asked_by(ADA), number, said, TakenOut(CRACKED))

    for ref, shelf in ((said, "Cart 2"), (unsaid, ""), (unsaid, "Cart 2")):
        say_of(store, asked_by(TOM), number, ref, TakenOut(Outcome.GOOD, shelf), unless_said=True)

    on_record = store.read.firings.taken_out(number)
    assert on_record == {
        the_piece(store, said).id: TakenOut(CRACKED, "Cart 2"),
        the_piece(store, unsaid).id: TakenOut(Outcome.GOOD, "Cart 2"),
    }


def test_a_piece_that_was_not_in_the_kiln_stays_in_its_queue_and_the_others_stand_where_they_were_put(
    store: Store,
) -> None:
    absent, whole = queued(store), queued(store)
    number = _cooling(store, absent, whole)
    say_of(store, asked_by(TOM), number, absent, TakenOut(None))
    say_of(store, asked_by(TOM), number, whole, TakenOut(Outcome.GOOD, "Cart 2"))

    unloading.unload(store, asked_by(TOM), number, {whole: Outcome.GOOD}, was_fired=True, absent=[absent])

    left, out = the_piece(store, absent), the_piece(store, whole)
    assert (left.stage, left.route, left.in_firing) == (Stage.QUEUED, "mid-range", None)
    assert [row.ref for row in store.read.firings.absent(number)] == [absent]
    assert (out.stage, out.place) == (Stage.FIRED, "Cart 2")
    assert store.read.firings.taken_out(number) == {}


@pytest.mark.parametrize("flaw", [Flaw.SHIVERED, Flaw.STUCK, Flaw.RAN, Flaw.CRAZED])
def test_what_is_bagged_or_ground_first_is_on_no_shelf_whatever_shelf_was_set(store: Store, flaw: Flaw) -> None:
    ref = queued(store)
    number = _cooling(store, ref)
    came = Outcome.of(flaw)
    say_of(store, asked_by(TOM), number, ref, TakenOut(came, "Cart 2"))

    unloading.unload(store, asked_by(TOM), number, {ref: came}, was_fired=True)

    assert the_piece(store, ref).place == ("Cart 2" if flaw is Flaw.CRAZED else "")


def test_what_is_said_of_an_unloaded_firing_is_refused(store: Store) -> None:
    ref = queued(store)
    number = _cooling(store, ref)
    unloading.unload(store, asked_by(TOM), number, {ref: Outcome.GOOD}, was_fired=True)

    with pytest.raises(NotAStep) as refused:
        say_of(store, asked_by(TOM), number, ref, TakenOut(CRACKED))

    assert refused.value.code == "unloaded-already"
    assert say_of(store, asked_by(TOM), number, ref, TakenOut(Outcome.GOOD)).message.code == "came-out"


def test_readings_of_a_time_to_come_keep_no_kiln_shut_and_a_cool_one_of_now_opens_it(store: Store) -> None:
    """Older studios took logs whose hours were minutes, and kept them."""
    ref = queued(store)
    number, now = _cooling(store, ref), NOON + timedelta(hours=9)
    with store.writing() as connection:
        kept = [f"({number}, {hour * 3_600}, {heat})" for hour, heat in ((0, 20), (8, 900), (70, 1_220), (90, 400))]
        connection.exec_driver_sql(f"INSERT INTO readings (firing_id, second, temp_c) VALUES {', '.join(kept)}")

    with pytest.raises(NotAStep, match=r"kiln-was-hot.*heat=.*900"):
        unloading.unload(store, asked_by(TOM, now), number, {ref: Outcome.GOOD})
    logs.note_reading(store, asked_by(TOM, now), number, 60.0, sure=True)
    unloading.unload(store, asked_by(TOM, now), number, {ref: Outcome.GOOD}, counts=Cone.parse("6"))

    assert the_piece(store, ref).stage is Stage.FIRED
