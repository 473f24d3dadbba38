"""Which cone a curve has reached, as people would read it off the cones."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.firing.test_cone_model import published, steady
from tests.domain.firing.test_curves import curves
from tests.reading import said
from tracker.domain.cones import END_POINTS, Cone, Kind
from tracker.domain.firing.cone_model import DOWN, fits
from tracker.domain.firing.curves import Curve
from tracker.domain.firing.heat_work import Reached, heat_work, hold_times, label_of, reached, step_of

HOUR = 3_600.0
FIVE, SIX, SEVEN = map(Cone.parse, ("5", "6", "7"))

kinds = st.sampled_from(get_args(Kind))


@pytest.mark.parametrize("row", published(), ids=lambda row: " ".join(map(str, row)))
def test_heated_to_an_end_point_a_kiln_has_reached_that_cone(row: tuple[Kind, Cone, int, int]) -> None:
    kind, cone, rate, celsius = row

    there = heat_work(steady(rate, celsius), kind).reached
    just_short = heat_work(steady(rate, celsius - 0.5), kind).reached

    assert there.cone == cone
    assert there.fraction == pytest.approx(0, abs=1e-4)
    assert just_short.cone != cone
    # Half a degree is most where the next end point is near: cones 2 and 3 lie 6 °C apart at 150 °C an hour.
    assert just_short.fraction > 0.85


@pytest.mark.parametrize("kind", get_args(Kind))
def test_at_a_steady_rate_the_fraction_is_the_way_between_the_end_points(kind: Kind) -> None:
    ends = END_POINTS[kind, 60]
    low, high = ends[SIX], ends[SEVEN]

    fractions = [heat_work(steady(60, low + (high - low) * part), kind).reached for part in (0.25, 0.5, 0.75)]

    assert [one.cone for one in fractions] == [SIX] * 3
    assert [one.fraction for one in fractions] == pytest.approx([0.25, 0.5, 0.75], abs=0.05)


def test_before_the_coolest_cone_there_is_none_and_past_the_hottest_nothing_is_known() -> None:
    cool, hot = heat_work(steady(60, 580)).reached, heat_work(steady(60, 1_390)).reached

    assert cool.cone is None
    assert 0 < cool.fraction < 1
    assert cool.message.code == "no-cone-yet"
    assert cool.message["cone"] == label_of(Cone.parse("022"), "self-supporting")
    assert (hot.cone, hot.fraction) == (Cone.parse("14"), 0)


def test_what_is_reached_is_said_with_its_temperature() -> None:
    answer = heat_work(steady(60, 1_230)).reached

    assert said(answer.message) == "cone 6, 1,222 °C, and 43% of the way to cone 7"


@pytest.mark.parametrize(
    ("fraction", "code"), [(0.05, "just-past-cone"), (0.5, "cone-reached"), (0.99, "almost-next-cone")]
)
def test_nearer_to_a_cone_than_the_model_can_tell_no_percents_are_told(fraction: float, code: str) -> None:
    assert Reached("self-supporting", Cone.parse("5.5"), fraction).message.code == code


@given(curve=curves(), hotter=st.floats(0, 60), more=st.floats(1, 20_000), at=st.floats(0, 1_400), kind=kinds)
def test_more_heat_or_longer_never_reaches_less(
    curve: Curve, hotter: float, more: float, at: float, kind: Kind
) -> None:
    more_of_it = Curve(
        (*curve.seconds, curve.seconds[-1] + more), (*(celsius + hotter for celsius in curve.celsius), at)
    )

    assert heat_work(more_of_it, kind).reached.step >= heat_work(curve, kind).reached.step - 1e-5


@given(curve=curves(), kind=kinds)
def test_a_log_in_fahrenheit_is_the_same_firing(curve: Curve, kind: Kind) -> None:
    fahrenheit = [celsius * 1.8 + 32 for celsius in curve.celsius]
    back = Curve(curve.seconds, tuple((one - 32) / 1.8 for one in fahrenheit))

    assert heat_work(back, kind).reached.step == pytest.approx(heat_work(curve, kind).reached.step, abs=1e-5)


@given(curve=curves(), kind=kinds)
def test_the_cone_reached_is_the_hottest_that_is_down_and_the_next_is_not(curve: Curve, kind: Kind) -> None:
    work = heat_work(curve, kind)
    answer = work.reached

    assert 0 <= answer.fraction < 1
    assert (work.works[answer.cone] if answer.cone else 1) >= DOWN
    assert all(done < DOWN for cone, done in work.works.items() if answer.cone is None or cone > answer.cone)


@given(step=st.floats(-22.99, 13), kind=kinds)
def test_a_place_in_whole_cones_is_a_cone_and_a_fraction_and_back(step: float, kind: Kind) -> None:
    bottom = step_of(next(iter(fits(kind)))) - 1
    top = step_of([*fits(kind)][-1])

    assert Reached.at_step(kind, step).step == pytest.approx(min(max(step, bottom), top), abs=1e-9)


def test_cones_are_one_apart_also_where_04_and_1_meet_and_halves_are_halves() -> None:
    names = ("022", "06", "05.5", "05", "01", "1", "5", "5.5", "6", "10")

    assert [step_of(Cone.parse(name)) for name in names] == [-22, -6, -5.5, -5, -1, 0, 4, 4.5, 5, 9]


def test_a_correction_moves_what_was_reached_by_whole_cones() -> None:
    moved = Reached("self-supporting", SIX, 0.25).moved(-0.5)

    # 0.25 under cone 6 is halfway from 5.5, half a cone below it.
    assert str(moved.cone) == "5.5"
    assert moved.fraction == pytest.approx(0.5)


def test_a_next_cone_that_has_done_nothing_leaves_the_fraction_at_0() -> None:
    works = dict.fromkeys(fits("large"), 0.0) | {FIVE: 1.5}

    assert reached("large", works) == Reached("large", FIVE, 0.0)


# ---- what comes next -------------------------------------------------------------------------------------------


def test_the_target_falls_when_the_kiln_goes_on_as_it_does() -> None:
    work = heat_work(steady(60, 1_202))

    # 20 degrees are left to the published end point of cone 6 at 60 °C an hour, which take 20 minutes.
    assert work.falls_in(SIX) == pytest.approx(20 * 60, abs=1)


def test_a_cooling_kiln_brings_no_cone_down() -> None:
    curve = Curve.of([(0, 20), (20 * HOUR, 1_190), (21 * HOUR, 1_000)])

    assert heat_work(curve).falls_in(SIX) is None
    assert heat_work(curve).falls_in(FIVE) == 0


def test_a_hold_as_long_as_said_brings_the_cone_down() -> None:
    curve = steady(60, 1_210)
    minutes = heat_work(curve).hold_for(SIX)
    assert minutes is not None

    held = Curve((*curve.seconds, curve.seconds[-1] + minutes), (*curve.celsius, curve.last_c))

    assert heat_work(held).works[SIX] == pytest.approx(1, abs=1e-6)


@pytest.mark.parametrize("rate", [60.0, 12.0, 0.0, -5.0])
def test_a_step_that_is_a_cones_own_is_reached_when_that_cone_falls(rate: float) -> None:
    work = heat_work(steady(60, 1_202))

    # `falls_in` solves the integral of one cone for the time; `reaches_in` tries times and looks which step is there.
    for cone in (FIVE, Cone.parse("5.5"), SIX):
        falls = work.falls_in(cone, rate)
        assert work.reaches_in(step_of(cone), rate) == (None if falls is None else pytest.approx(falls, abs=1))


def test_a_step_between_two_cones_is_there_when_the_kiln_has_gone_on_for_so_long() -> None:
    seconds = heat_work(steady(60, 1_202)).reaches_in(4.75)

    assert seconds is not None
    assert heat_work(steady(60, 1_202 + seconds / 60)).reached.step == pytest.approx(4.75, abs=0.001)


def test_a_step_beyond_the_hottest_cone_is_never_reached() -> None:
    work = heat_work(steady(60, 1_380))

    assert work.reaches_in(50.0) is None
    assert work.reaches_in(50.0, -60.0) is None


# ---- hold times ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", get_args(Kind))
def test_holding_at_cone_5_brings_cone_6_down_in_one_to_two_hours(kind: Kind) -> None:
    # A rule of thumb from memory, in guidance on the Orton cones; published nowhere that could be read for this.
    (minutes,) = [one.minutes for one in hold_times(kind) if (one.cone, one.then) == (FIVE, SIX)]

    assert 60 <= minutes <= 120


@pytest.mark.parametrize("kind", get_args(Kind))
def test_every_hold_time_is_what_the_curve_of_that_hold_needs(kind: Kind) -> None:
    times = hold_times(kind)

    assert [one.cone for one in times] == sorted(one.cone for one in times)
    assert {one.cone for one in times} == {*fits(kind)} - {max(fits(kind))}
    for one in times:
        ramp = steady(60, END_POINTS[kind, 60][one.cone])
        held = Curve((*ramp.seconds, ramp.seconds[-1] + one.minutes * 60), (*ramp.celsius, ramp.last_c))
        assert fits(kind)[one.then].work(held) == pytest.approx(1, abs=1e-6)


def test_a_cone_before_a_half_has_two_hold_times() -> None:
    after_five = [str(one.then) for one in hold_times("self-supporting") if one.cone == FIVE]

    assert after_five == ["5.5", "6"]


def test_a_cone_fell_at_the_reading_by_which_its_work_was_done() -> None:
    # Published: at 60 °C an hour self-supporting cone 6 is down at 1222 °C; from 22 °C that takes 20 hours.
    quarters = [(quarter * 900.0, 22 + quarter * 15.0) for quarter in range(84)]

    told = heat_work(Curve.of(quarters))

    fell = told.fell_at(Cone.parse("6"))
    assert fell is not None
    assert fell == pytest.approx(20 * 3600, abs=900)
    assert told.fell_at(Cone.parse("10")) is None
