"""A curve is what was read, in straight lines between the readings."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.domain.firing.curves import BadCurve, Curve, lasting
from tracker.wording.render import read

HOUR = 3_600.0


@st.composite
def curves(draw: st.DrawFn) -> Curve:
    """Any curve of 2 to 8 readings that a kiln could have made."""
    pauses = draw(st.lists(st.floats(1, 20_000), min_size=1, max_size=7))
    times = [0.0]
    for pause in pauses:
        times.append(times[-1] + pause)
    heats = draw(st.lists(st.floats(0, 1_400), min_size=len(times), max_size=len(times)))
    return Curve(tuple(times), tuple(heats))


@pytest.mark.parametrize(
    ("seconds", "celsius", "says"),
    [
        pytest.param((0, 60), (20,), "2 times and 1 temperatures", id="unequal"),
        pytest.param((0,), (20,), "two readings", id="one reading"),
        pytest.param((), (), "two readings", id="nothing"),
        pytest.param((0, 60, 60), (20, 30, 40), "Reading 3 is not later", id="at once"),
        pytest.param((0, 60, 30), (20, 30, 40), "Reading 3 is not later", id="backwards"),
        pytest.param((0, 60), (20, math.nan), "finite", id="no number"),
        pytest.param((0, math.inf), (20, 30), "finite", id="endless"),
        pytest.param((0, 60), (20, -273.15), "absolute zero", id="too cold"),
    ],
)
def test_what_is_no_curve_is_refused(seconds: tuple[float, ...], celsius: tuple[float, ...], says: str) -> None:
    with pytest.raises(BadCurve, match=says):
        Curve(seconds, celsius)


def test_between_two_readings_the_temperature_moves_in_a_straight_line() -> None:
    curve = Curve.of([(0, 20), (600, 120), (1_200, 100)])

    assert [curve.at(second) for second in (0, 300, 600, 900, 1_200)] == [20, 70, 120, 110, 100]
    assert (curve.peak_c, curve.peak_s, curve.last_c, curve.lasts_s) == (120, 600, 100, 1_200)


@pytest.mark.parametrize("second", [-1, 1_201])
def test_nobody_says_what_was_never_read(second: float) -> None:
    with pytest.raises(BadCurve, match="Nothing was read"):
        Curve.of([(0, 20), (1_200, 100)]).at(second)


@given(curve=curves(), part=st.floats(0.01, 0.99))
def test_the_two_parts_of_a_curve_are_the_curve(curve: Curve, part: float) -> None:
    second = curve.lasts_s * part
    before, after = curve.until(second), curve.since(second)

    assert before.seconds[-1] == after.seconds[0] == second
    assert before.last_c == after.celsius[0] == curve.at(second)
    kept = dict(zip((*before.seconds, *after.seconds), (*before.celsius, *after.celsius), strict=True))
    assert kept.items() >= dict(zip(curve.seconds, curve.celsius, strict=True)).items()


def test_the_rate_before_the_peak_is_of_the_last_climb_only() -> None:
    curve = Curve.of(
        [(0, 20), (HOUR, 1_000), (2 * HOUR, 800), (4 * HOUR, 1_200), (9 * HOUR, 1_210), (9.5 * HOUR, 1_200)]
    )

    # 90 of the last 100 degrees go at 200 an hour, which takes 27 min, and 10 in 5 h.
    assert curve.rate_before_peak(100) == pytest.approx(100 / (5 + 90 / 200))


def test_a_hold_at_the_peak_does_not_count_into_the_rate_before_it() -> None:
    curve = Curve.of([(0, 20), (10 * HOUR, 1_220), (11 * HOUR, 1_220), (12 * HOUR, 900)])

    assert curve.rate_before_peak() == pytest.approx(120)


def test_a_curve_that_never_rose_so_far_has_no_such_rate() -> None:
    assert Curve.of([(0, 1_150), (HOUR, 1_200)]).rate_before_peak() is None


def test_the_present_rate_is_that_of_the_last_quarter_of_an_hour() -> None:
    curve = Curve.of([(0, 20), (10 * HOUR, 1_000), (10.1 * HOUR, 1_006), (10.25 * HOUR, 1_015)])

    assert curve.present_rate() == pytest.approx(60)


@given(rate=st.floats(-300, 300), minutes=st.integers(16, 300))
def test_the_present_rate_of_a_straight_line_is_its_own(rate: float, minutes: int) -> None:
    curve = Curve.of((60.0 * minute, 700 + rate * minute / 60 / 6) for minute in range(minutes))

    assert curve.present_rate() == pytest.approx(rate / 6, abs=1e-6)


def test_ramps_and_holds_are_found_in_a_log_that_shivers() -> None:
    shiver = [0.4, -0.7, 0.9, -0.2, 0.0, -1.0, 0.6]
    schedule = Curve.of(
        [(0, 20), (2 * HOUR, 140), (3 * HOUR, 140), (8 * HOUR, 890), (8.5 * HOUR, 890), (10 * HOUR, 500)]
    )
    log = Curve.of((60.0 * at, schedule.at(60.0 * at) + shiver[at % 7]) for at in range(601))

    legs = log.legs()

    assert [leg.is_hold for leg in legs] == [False, True, False, True, False]
    assert [leg.rate_c_per_h for leg in legs] == pytest.approx([60, 0, 150, 0, -260], abs=6)
    assert [leg.minutes for leg in legs] == pytest.approx([120, 60, 300, 30, 90], abs=6)


@given(curve=curves())
def test_legs_lead_from_one_end_of_the_curve_to_the_other_and_stay_near_it(curve: Curve) -> None:
    legs = curve.legs(within_c=5)

    assert (legs[0].start_s, legs[-1].end_s) == (curve.seconds[0], curve.seconds[-1])
    for before, after in pairwise(legs):
        assert (before.end_s, before.end_c) == (after.start_s, after.start_c)
    for leg in legs:
        for second, celsius in zip(curve.seconds, curve.celsius, strict=True):
            if leg.start_s <= second <= leg.end_s and not leg.is_hold:
                on_it = leg.start_c + leg.rate_c_per_h / HOUR * (second - leg.start_s)
                assert abs(on_it - celsius) <= 5.001


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0, "0 minutes"), (2_400, "40 minutes"), (3_600, "1 hour 0 minutes"), (7_529, "2 hours 5 minutes")],
)
def test_a_span_of_time_is_said_in_hours_and_minutes(seconds: float, words: str) -> None:
    assert read(lasting(seconds)) == words
