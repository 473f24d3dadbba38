"""What the fire did: readings, whole logs, witness cones, and what a kiln is off by once its firings agree.

The heats are the published end points (tests/reference/cone_end_points.csv): self-supporting cone 6 falls at 1222 °C
when the last 100 °C rise by 60 °C an hour.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from tests.reading import said
from tests.staffed import ADA, MIRA, TOM, asked_by, off_and_out, queued, started
from tests.studio import NOON
from tracker.domain.cones import Cone
from tracker.domain.findings import NeedsAcceptance
from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.heat_work import heat_work, step_of
from tracker.domain.firing.witness_cones import Stands, WitnessCone
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.refusals import NotAllowed, NotAStep, Unusable
from tracker.forms.firing.curve_file import read_curve_file
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.firing import logs as firing_logs
from tracker.usecases.firing.stories import FireStory, kiln_correction, story_of
from tracker.usecases.studio import catalog

SIX, SEVEN = Cone.parse("6"), Cone.parse("7")
OVER = NOON + timedelta(days=2)


def lit(store: Store, kiln: str = "Back box") -> int:
    """The number of a firing to cone 6 that was lit at noon."""
    ref = queued(store)
    firing = started(store, kiln)
    firings.put_in(store, asked_by(TOM), firing, ref)
    firings.light(store, asked_by(TOM), firing)
    return firing


def steady(top: float, rate: float = 60.0) -> str:
    """A kiln's log in minutes and °C, from 22 °C to `top` at one rate, read every quarter of an hour."""
    lasts = (top - 22) / rate * 60
    minutes = [*range(0, int(lasts), 15), lasts]
    return "minutes,celsius\n" + "\n".join(f"{one:.4f},{22 + one / 60 * rate:.4f}" for one in minutes)


def story(store: Store, number: int, second: float | None = None) -> FireStory:
    """What is known of a fire."""
    page = store.read.firings.page(number)
    assert page is not None
    return story_of(store.read, page.firing, page.witnesses, second=second)


def test_readings_typed_in_are_the_curve_in_the_order_of_their_times(store: Store) -> None:
    firing = lit(store)
    times = [NOON + timedelta(minutes=one) for one in (0, 60, 120)]

    for at, heat in ((times[0], 20.0), (times[2], 190.0), (times[1], 100.0)):
        firing_logs.note_reading(store, asked_by(TOM, times[2]), firing, heat, at=at)

    assert store.read.firings.log(firing) == ((0, 20.0), (3600, 100.0), (7200, 190.0))
    assert story(store, firing).curve.last_c == 190.0  # type: ignore[union-attr]  # it has readings


def test_a_reading_of_the_same_second_takes_the_place_of_the_first(store: Store) -> None:
    firing = lit(store)

    for heat in (20.0, 25.0):
        firing_logs.note_reading(store, asked_by(TOM), firing, heat)

    assert store.read.firings.log(firing) == ((0, 25.0),)


@pytest.mark.parametrize(
    ("heat", "minutes", "code"),
    [
        (2_300.0, 60, "log-impossible"),
        (900.0, 5, "log-jump"),
        (100.0, -5, "reading-outside-fire"),
        (100.0, 600, "reading-outside-fire"),
    ],
    ids=["fahrenheit", "a digit too many", "before it was lit", "to come"],
)
def test_a_reading_that_cannot_be_is_refused(store: Store, heat: float, minutes: int, code: str) -> None:
    firing = lit(store)
    firing_logs.note_reading(store, asked_by(TOM), firing, 20.0)

    with pytest.raises(Unusable, match=code):
        firing_logs.note_reading(
            store, asked_by(TOM, NOON + timedelta(hours=2)), firing, heat, at=NOON + timedelta(minutes=minutes)
        )

    assert store.read.firings.log(firing) == ((0, 20.0),)


@pytest.mark.parametrize(
    ("heat", "seconds", "code"),
    [
        (900.0, 3, "log-jump"),
        (500.0, 0, "log-jump"),
        # 1.8 °F: what a thousands mark made of 1,828 °F once.
        (-16.8, 60, "colder-than-room"),
    ],
)
def test_a_first_reading_is_held_to_the_time_since_the_start(
    store: Store, heat: float, seconds: int, code: str
) -> None:
    firing = lit(store)
    at = NOON + timedelta(seconds=seconds)

    with pytest.raises(Unusable, match=code):
        firing_logs.note_reading(store, asked_by(TOM, at), firing, heat)

    firing_logs.note_reading(store, asked_by(TOM, at), firing, heat, sure=True)
    assert store.read.firings.log(firing) == ((seconds, heat),)


def test_a_hot_kiln_is_never_colder_than_its_room_unless_somebody_is_sure(store: Store) -> None:
    firing = lit(store)
    firing_logs.note_reading(store, asked_by(TOM, NOON + timedelta(hours=8)), firing, 1_000.0)

    with pytest.raises(Unusable, match="colder-than-room"):
        firing_logs.note_reading(store, asked_by(TOM, NOON + timedelta(hours=9)), firing, 10.0)


@pytest.mark.parametrize(("minutes", "heat", "asks"), [(56, 116.0, True), (600, 116.0, False), (56, 900.0, False)])
def test_a_reading_that_would_open_a_kiln_sooner_than_any_cools_is_asked_about(
    store: Store, minutes: int, heat: float, *, asks: bool
) -> None:
    firing = lit(store)
    firing_logs.note_reading(store, asked_by(TOM, NOON + timedelta(hours=8)), firing, 1_004.0)
    later = NOON + timedelta(hours=8, minutes=minutes)

    if asks:
        with pytest.raises(Unusable, match="cools-too-fast"):
            firing_logs.note_reading(store, asked_by(TOM, later), firing, heat)
    firing_logs.note_reading(store, asked_by(TOM, later), firing, heat, sure=asks)

    assert store.read.firings.log(firing)[-1][1] == heat


def test_a_reading_taken_back_stays_on_record_and_the_next_is_held_to_the_rest(store: Store) -> None:
    firing = lit(store)
    wrong, right = (asked_by(TOM, NOON + timedelta(seconds=one)) for one in (3, 60))
    firing_logs.note_reading(store, wrong, firing, 900.0, sure=True)

    firing_logs.take_back_reading(store, asked_by(TOM), firing, 3)

    firing_logs.note_reading(store, right, firing, 24.0)
    assert store.read.firings.log(firing) == ((60, 24.0),)
    assert [one.what.code for one in store.read.firings.corrections(firing)] == ["reading-taken-back"]
    with pytest.raises(NotAStep, match="no-such-reading"):
        firing_logs.take_back_reading(store, asked_by(TOM), firing, 3)


def test_a_jump_that_somebody_is_sure_of_is_kept(store: Store) -> None:
    firing = lit(store)
    firing_logs.note_reading(store, asked_by(TOM), firing, 20.0)
    later = NOON + timedelta(minutes=5)

    firing_logs.note_reading(store, asked_by(TOM, later), firing, 900.0, sure=True)

    assert store.read.firings.log(firing)[-1] == (300, 900.0)


def test_a_log_a_fire_and_a_correction_are_held_to_the_studios_own_numbers(store: Store) -> None:
    practice = store.read.catalog().practice
    own = replace(
        practice,
        logs=replace(practice.logs, jump_c_per_min=200.0),
        fires=replace(practice.fires, jump_c_per_min=300.0),
        corrections=replace(practice.corrections, firings=1),
    )
    catalog.set_practice(store, asked_by(ADA), own)
    firing = lit(store)
    five = NOON + timedelta(minutes=5)

    firing_logs.note_reading(store, asked_by(TOM), firing, 20.0)
    firing_logs.note_reading(store, asked_by(TOM, five), firing, 900.0)
    firing_logs.note_witnesses(store, asked_by(TOM), firing, [(None, WitnessCone(SIX, Stands.HALF))])

    assert [one.rule for one in story(store, firing).findings] == []
    assert kiln_correction(store.read, "Back box").agreed


def test_a_kilns_own_log_says_which_cone_it_reached_and_takes_the_place_of_what_was_typed(store: Store) -> None:
    firing = lit(store)
    firing_logs.note_reading(store, asked_by(TOM), firing, 20.0)

    receipt = firing_logs.take_log(store, asked_by(TOM, OVER), firing, read_curve_file(steady(1222.0)))

    told = story(store, firing)
    assert told.work is not None
    assert told.work.reached.cone == SIX
    assert told.work.reached.fraction == pytest.approx(0, abs=0.02)
    assert told.falls_in == 0
    assert said(receipt.message).endswith("readings imported, peak 1,222 °C.")


def test_a_log_that_looks_like_a_mistake_is_taken_only_when_somebody_says_so(store: Store) -> None:
    firing = lit(store)
    with_a_gap = "minutes,celsius\n" + "\n".join(f"{one},{20 + one}" for one in [*range(0, 300, 5), 500, 505])

    with pytest.raises(NeedsAcceptance):
        firing_logs.take_log(store, asked_by(TOM, OVER), firing, read_curve_file(with_a_gap))
    assert store.read.firings.log(firing) == ()
    firing_logs.take_log(store, asked_by(TOM, OVER), firing, read_curve_file(with_a_gap), accepts=True)

    assert len(store.read.firings.log(firing)) == 62


def test_a_log_of_a_reading_a_second_is_taken_whole(store: Store) -> None:
    # More readings than SQLite takes values in one statement (32,766 by its documentation).
    firing = lit(store)

    every_second = [(second, 20 + second / 100) for second in range(40_000)]
    firing_logs.add_to_log(store, asked_by(TOM, OVER), firing, every_second)

    assert len(store.read.firings.log(firing)) == 40_000


def test_a_log_reaches_no_further_than_now(store: Store) -> None:
    firing = lit(store)
    ahead, whole = [(0, 20.0), (7_200, 120.0)], read_curve_file(steady(1222.0))

    with pytest.raises(Unusable, match="log-in-the-future"):
        firing_logs.add_to_log(store, asked_by(TOM, NOON + timedelta(hours=1)), firing, ahead)
    with pytest.raises(Unusable, match="log-in-the-future"):
        firing_logs.take_log(store, asked_by(TOM, NOON + timedelta(hours=19)), firing, whole)
    assert store.read.firings.log(firing) == ()

    firing_logs.add_to_log(store, asked_by(TOM, NOON + timedelta(hours=2)), firing, ahead)
    assert len(store.read.firings.log(firing)) == 2


def test_a_kiln_that_was_not_lit_has_no_log(store: Store) -> None:
    firing = started(store)

    with pytest.raises(NotAStep, match="not-lit"):
        firing_logs.note_reading(store, asked_by(TOM), firing, 20.0)


def test_a_kiln_on_its_way_says_when_its_cone_falls_and_what_it_should_read(store: Store) -> None:
    firing = lit(store)
    firing_logs.take_log(store, asked_by(TOM, OVER), firing, read_curve_file(steady(1162.0)))

    told = story(store, firing, second=3600.0)

    # At 60 °C an hour the published end point, 1222 °C, is an hour away from 1162 °C.
    assert told.falls_in == pytest.approx(3600, rel=0.02)
    assert told.next_hour[-1][0] == 7200.0


def test_witness_cones_of_one_level_that_contradict_each_other_are_refused(store: Store) -> None:
    firing = lit(store)
    wrong = [(1, WitnessCone(SEVEN, Stands.DOWN)), (1, WitnessCone(Cone.parse("4"), Stands.STANDING))]

    with pytest.raises(Unusable, match="cones-contradict"):
        firing_logs.note_witnesses(store, asked_by(TOM), firing, wrong)

    assert story(store, firing).levels == ()


def fired_and_witnessed(store: Store, stands: Stands) -> int:
    """A firing whose curve just brings down cone 6, and whose witness cone 7 stood so."""
    firing = lit(store)
    firing_logs.take_log(store, asked_by(TOM, OVER), firing, read_curve_file(steady(1222.0)))
    firing_logs.add_to_log(store, asked_by(TOM, OVER), firing, [(100_000, 60.0)])
    firing_logs.note_witnesses(store, asked_by(TOM), firing, [(1, WitnessCone(SEVEN, stands))])
    (ref,) = (row.ref for row in store.read.firings.page(firing).pieces)  # type: ignore[union-attr]  # it was just lit
    off_and_out(store, asked_by(TOM), firing, {ref: Outcome.GOOD})
    return firing


def test_a_kilns_cones_become_its_correction_once_three_firings_agree(store: Store) -> None:
    numbers = [fired_and_witnessed(store, Stands.HALF) for _ in range(4)]

    told = [story(store, number) for number in numbers]

    assert [one.correction.agreed for one in told] == [False, False, False, True]
    assert told[0].off is not None
    assert told[0].off > 0
    assert told[3].correction.cones == pytest.approx(told[0].off)
    assert told[3].corrected is not None
    assert told[3].corrected.step == pytest.approx(told[3].work.reached.step + told[0].off)  # type: ignore[union-attr]  # its log was taken in


def test_a_kilns_correction_moves_the_time_at_which_its_target_falls(store: Store) -> None:
    for _ in range(3):
        fired_and_witnessed(store, Stands.HALF)
    firing = lit(store)
    firing_logs.take_log(store, asked_by(TOM, OVER), firing, read_curve_file(steady(1162.0)))

    told = story(store, firing)

    # By the chart the end point, 1222 °C, is an hour away; the cones of this kiln see more heat than its curve.
    assert told.falls_in is not None
    assert 0 < told.falls_in < 3600
    # When it is there the curve, gone on as it went, has the target's heat less the correction.
    there = read_curve_file(steady(1162.0 + told.falls_in / 60)).curve()
    assert heat_work(there).reached.step + told.correction.cones == pytest.approx(step_of(SIX), abs=0.005)
    assert told.hold_for is not None
    assert told.hold_for > told.falls_in


def test_firings_that_disagree_correct_nothing(store: Store) -> None:
    numbers = [fired_and_witnessed(store, one) for one in (Stands.HALF, Stands.DOWN, Stands.TIP)]
    last = lit(store)

    assert not story(store, last).correction.agreed
    assert store.read.firings.firing(numbers[0]).stage is FiringStage.UNLOADED  # type: ignore[union-attr]  # it was just made


@pytest.mark.parametrize(
    "step",
    [
        pytest.param(lambda s, n: firing_logs.note_reading(s, asked_by(MIRA), n, 20.0), id="reading"),
        pytest.param(lambda s, n: firing_logs.add_to_log(s, asked_by(MIRA), n, [(0, 20.0)]), id="log"),
        pytest.param(lambda s, n: firing_logs.note_witnesses(s, asked_by(MIRA), n, []), id="witnesses"),
        pytest.param(lambda s, n: firing_logs.note_cost(s, asked_by(MIRA), n, kwh=70.0), id="cost"),
    ],
)
def test_a_student_writes_nothing_into_the_kiln_book(store: Store, step: Callable[[Store, int], object]) -> None:
    firing = lit(store)

    with pytest.raises(NotAllowed):
        step(store, firing)


def test_what_a_firing_took_and_cost_is_kept(store: Store) -> None:
    firing = lit(store)

    firing_logs.note_cost(store, asked_by(TOM), firing, kwh=71.5, cost_cents=1430)

    page = store.read.firings.page(firing)
    assert page is not None
    assert (page.kwh, page.fuel_kg, page.cost_cents) == (71.5, None, 1430)
    with pytest.raises(Unusable, match="costs-too-much"):
        firing_logs.note_cost(store, asked_by(TOM), firing, cost_cents=-1)
