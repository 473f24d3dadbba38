"""When a kiln came on and went off is corrected, and what was noted of a fire before stays on record."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import create_engine
from sqlalchemy.exc import DBAPIError

from tests.staffed import MIRA, TOM, asked_by, off_and_out, queued, started
from tests.studio import NOON
from tests.yard import fire_round, planned_session
from tracker.domain.cones import Cone
from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.witness_cones import Stands, WitnessCone
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.refusals import NotAllowed, NotAStep, Unusable
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import corrections, firings, logs

HOUR = timedelta(hours=1)


def fired_at_noon(store: Store) -> int:
    """The number of a firing that was on from noon to ten, with readings at one and two."""
    ref, firing = queued(store), started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)
    firings.light(store, asked_by(TOM, NOON), firing)
    for hours in (1, 2):
        logs.note_reading(store, asked_by(TOM, NOON + hours * HOUR), firing, 40.0 * hours)
    firings.shut_off(store, asked_by(TOM, NOON + 10 * HOUR), firing)
    off_and_out(store, asked_by(TOM, NOON + 30 * HOUR), firing, {ref: Outcome.GOOD})
    return firing


def test_a_start_is_corrected_and_readings_stay_at_their_time_of_day(store: Store) -> None:
    firing = fired_at_noon(store)

    corrections.correct_times(
        store, asked_by(TOM, NOON + 40 * HOUR), firing, lit_at=NOON - HOUR, shut_at=NOON + 9 * HOUR
    )

    page = store.read.firings.page(firing)
    assert page is not None
    assert (page.firing.lit_at, page.firing.shut_at) == (NOON - HOUR, NOON + 9 * HOUR)
    assert store.read.firings.log(firing) == ((7_200, 40.0), (10_800, 80.0))
    told = store.read.firings.corrections(firing)
    assert [(one.what.code, one.by) for one in told[:2]] == [
        ("off-changed", "Tom Abara"),
        ("start-changed", "Tom Abara"),
    ]
    assert dict(told[1].what.facts) == {"was": NOON, "now": NOON - HOUR}


@pytest.mark.parametrize(
    ("on", "off", "other"),
    [
        pytest.param(-5, 5, "1", id="off after the next came on"),
        pytest.param(1, 2, "1", id="within"),
        pytest.param(-1, 11, "1", id="around"),
        pytest.param(9, 12, "1", id="on before it was off"),
        pytest.param(10, 12, None, id="on as it went off"),
        pytest.param(-9, 0, None, id="off as it came on"),
    ],
)
def test_no_kiln_is_on_for_two_firings_at_a_time(store: Store, on: int, off: int, other: str | None) -> None:
    # The first was on from noon to ten.
    fired_at_noon(store)
    ref, second, today = queued(store), started(store), NOON + 40 * HOUR
    firings.put_in(store, asked_by(TOM, today), second, ref)
    firings.light(store, asked_by(TOM, today), second)
    firings.shut_off(store, asked_by(TOM, today + HOUR), second)
    lit, shut, asks = NOON + on * HOUR, NOON + off * HOUR, asked_by(TOM, NOON + 50 * HOUR)

    if other is None:
        corrections.correct_times(store, asks, second, lit_at=lit, shut_at=shut)
    else:
        with pytest.raises(Unusable, match=rf"on-for-another\(.*other={other}") as refused:
            corrections.correct_times(store, asks, second, lit_at=lit, shut_at=shut)
        assert len(refused.value.problems) == 1

    firing = store.read.firings.firing(second)
    assert firing is not None
    assert (firing.lit_at == lit) is (other is None)


def test_a_kiln_that_is_on_did_not_come_on_before_its_last_firing_was_off(store: Store) -> None:
    fired_at_noon(store)
    ref, second, today = queued(store), started(store), NOON + 40 * HOUR
    firings.put_in(store, asked_by(TOM, today), second, ref)
    firings.light(store, asked_by(TOM, today), second)

    with pytest.raises(Unusable, match="on-for-another"):
        corrections.correct_times(store, asked_by(TOM, today + HOUR), second, lit_at=NOON + 9 * HOUR)
    corrections.correct_times(store, asked_by(TOM, today + HOUR), second, lit_at=NOON + 39 * HOUR)


def test_a_controllers_log_moves_with_the_start(store: Store) -> None:
    firing = fired_at_noon(store)

    corrections.correct_times(store, asked_by(TOM, NOON + 40 * HOUR), firing, lit_at=NOON + HOUR / 2, log_moves=True)

    assert store.read.firings.log(firing) == ((3_600, 40.0), (7_200, 80.0))
    with pytest.raises(Unusable, match="reading-before-start"):
        corrections.correct_times(store, asked_by(TOM, NOON + 40 * HOUR), firing, lit_at=NOON + 8 * HOUR)


def test_a_log_that_would_run_past_now_doesnt_move_with_the_start(store: Store) -> None:
    ref, firing = queued(store), started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)
    firings.light(store, asked_by(TOM, NOON), firing)
    logs.add_to_log(store, asked_by(TOM, NOON + 20 * HOUR), firing, [(0, 20.0), (36_000, 900.0), (72_000, 60.0)])

    with pytest.raises(Unusable, match="log-in-the-future"):
        corrections.correct_times(
            store, asked_by(TOM, NOON + 20 * HOUR), firing, lit_at=NOON + 9 * HOUR, log_moves=True
        )

    assert store.read.firings.log(firing)[-1] == (72_000, 60.0)


def test_a_kiln_marked_as_off_by_a_slip_is_on_again_until_it_is_unloaded(store: Store) -> None:
    ref, firing = queued(store), started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)
    firings.light(store, asked_by(TOM, NOON), firing)
    firings.shut_off(store, asked_by(TOM, NOON + HOUR), firing)

    with pytest.raises(NotAllowed):
        firings.still_on(store, asked_by(MIRA, NOON + HOUR), firing)
    firings.still_on(store, asked_by(TOM, NOON + HOUR), firing)

    page = store.read.firings.page(firing)
    assert page is not None
    assert (page.firing.stage, page.firing.lit_at, page.firing.shut_at) == (FiringStage.FIRING, NOON, None)
    (kept,) = store.read.firings.corrections(firing)
    assert (kept.what.code, dict(kept.what.facts)) == ("off-undone", {"was": NOON + HOUR})
    off_and_out(store, asked_by(TOM, NOON + 30 * HOUR), firing, {ref: Outcome.GOOD})
    with pytest.raises(NotAStep):
        firings.still_on(store, asked_by(TOM, NOON + 31 * HOUR), firing)


@pytest.mark.parametrize(
    ("lit", "shut", "says"),
    [
        pytest.param(11, 10, "off-before-on", id="off before on"),
        pytest.param(0, 35, "after-unloading", id="off after the unloading"),
        pytest.param(0, 41, "time-to-come", id="to come"),
        pytest.param(0, 10, "nothing-different", id="as they were"),
    ],
)
def test_times_that_cannot_be_are_refused(store: Store, lit: int, shut: int, says: str) -> None:
    firing = fired_at_noon(store)

    with pytest.raises(Unusable, match=says):
        corrections.correct_times(
            store, asked_by(TOM, NOON + 40 * HOUR), firing, lit_at=NOON + lit * HOUR, shut_at=NOON + shut * HOUR
        )


def test_only_staff_correct_times_and_only_of_a_kiln_that_was_on(store: Store) -> None:
    firing = fired_at_noon(store)
    queued(store, "Ember Luster", route="raku")
    fire_round(store, planned_session(store))

    with pytest.raises(NotAllowed):
        corrections.correct_times(store, asked_by(MIRA), firing, lit_at=NOON)
    with pytest.raises(NotAStep, match="not-lit"):
        corrections.correct_times(store, asked_by(TOM), started(store), lit_at=NOON)
    with pytest.raises(NotAStep, match="round-of-session"):
        corrections.correct_times(store, asked_by(TOM), firing + 1, lit_at=NOON)


def test_witness_cones_that_were_read_wrong_stay_on_record(store: Store, database_url: str) -> None:
    firing = fired_at_noon(store)
    half, down = (WitnessCone(Cone.parse("6"), one, "self-supporting") for one in (Stands.HALF, Stands.DOWN))
    logs.note_witnesses(store, asked_by(TOM), firing, [(1, half)])
    before = store.read.firings.corrections(firing)

    logs.note_witnesses(store, asked_by(TOM), firing, [(1, down)])

    (told, *others) = store.read.firings.corrections(firing)
    assert told.what.code == "cones-changed"
    assert tuple(others) == before
    engine = create_engine(database_url)
    with engine.connect() as hand, pytest.raises(DBAPIError, match="stays on record"):
        hand.exec_driver_sql("DELETE FROM firing_corrections")
    engine.dispose()
