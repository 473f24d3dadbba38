"""What a schedule or a curve does that is not good for the ware is warned of."""

from __future__ import annotations

import pytest

from tests.domain.firing.test_schedules import a_schedule
from tests.reading import said
from tracker.domain.cones import Cone
from tracker.domain.findings import Finding, Level
from tracker.domain.firing.curve_warnings import look_at_curve, look_at_schedule, quartz_rate
from tracker.domain.firing.curves import Curve
from tracker.domain.firing.schedules import bisque
from tracker.domain.message import Fact
from tracker.domain.quantities import Quantity, celsius
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.segments import Segment
from tracker.domain.studio.settings import FiringPractice

HOUR = 3_600.0
BISQUE = bisque(Cone.parse("06"))
SHIVER = [0.6, -0.4, 1.0, -0.9, 0.0, 0.3, -0.7]


def hours(*corners: tuple[float, float]) -> Curve:
    """The log of a kiln that went through those corners of (hours, °C): a reading a minute, with some noise."""
    straight = Curve.of((hour * HOUR, celsius) for hour, celsius in corners)
    return Curve.of(
        (60.0 * at, straight.at(60.0 * at) + SHIVER[at % 7]) for at in range(int(straight.lasts_s // 60) + 1)
    )


def amount(fact: Fact) -> float:
    """How much a quantity in a message is."""
    assert isinstance(fact, Quantity)
    return fact.value


def told(findings: tuple[Finding, ...]) -> list[str]:
    return [one.rule for one in findings]


@pytest.mark.parametrize(
    ("segments", "low", "high", "rate"),
    [
        pytest.param([Segment(101, 500)], 20, 500, 101, id="cool and too fast"),
        pytest.param([Segment(100, 600), Segment(151, 1_000)], 600, 1_000, 151, id="hot"),
        pytest.param([Segment(150, 1_000)], 20, 600, 150, id="fast across the border"),
    ],
)
def test_a_bisque_schedule_faster_than_practice_is_warned_of(
    segments: list[Segment], low: float, high: float, rate: float
) -> None:
    (found,) = look_at_schedule(a_schedule(*segments, kind=RouteKind.BISQUE))

    assert (found.rule, found.level) == ("bisque-too-fast", Level.WARN)
    assert (found.message["low"], found.message["high"]) == (celsius(low), celsius(high))
    assert amount(found.message["rate"]) == pytest.approx(rate)


def test_a_bisque_exactly_as_fast_as_practice_allows_is_fine_and_so_is_a_fast_glaze_firing() -> None:
    exact = [Segment(100, 600), Segment(150, 1_013), Segment(100, 400)]

    assert look_at_schedule(a_schedule(*exact, kind=RouteKind.BISQUE)) == ()
    assert look_at_schedule(a_schedule(Segment(300, 1_000))) == ()


def test_a_schedule_that_cools_too_fast_through_quartz_is_warned_of() -> None:
    (found,) = look_at_schedule(a_schedule(Segment(150, 1_000), Segment(180, 300)))

    assert found.rule == "quartz-too-fast"
    assert amount(found.message["rate"]) == pytest.approx(180)


def test_a_studio_may_fire_faster() -> None:
    relaxed = FiringPractice(bisque_slow_c_per_h=200, bisque_c_per_h=200)

    assert look_at_schedule(a_schedule(Segment(200, 1_000), kind=RouteKind.BISQUE), relaxed) == ()


# ---- real curves -----------------------------------------------------------------------------------------------


def test_a_bisque_that_follows_its_schedule_raises_nothing() -> None:
    corners = zip(BISQUE.curve.seconds, BISQUE.curve.celsius, strict=True)
    log = hours(*((second / HOUR, celsius) for second, celsius in corners), (30, 100))

    assert look_at_curve(log, RouteKind.BISQUE, BISQUE) == ()


def test_a_bisque_that_ran_away_is_warned_of_with_its_stretch() -> None:
    log = hours((0, 20), (3, 300), (4, 510), (5, 600), (8, 1_000))

    (found,) = look_at_curve(log, RouteKind.BISQUE)

    assert found.rule == "bisque-too-fast"
    assert (found.message["low"], found.message["high"]) == (celsius(300), celsius(525))
    assert 200 <= amount(found.message["rate"]) < 300
    assert look_at_curve(log, RouteKind.SHELF) == ()


def test_a_kiln_that_stands_where_the_schedule_rises_has_stalled() -> None:
    schedule = a_schedule(Segment(150, 1_200))
    log = hours((0, 20), (5, 770), (6, 772), (9, 1_200))

    (found,) = look_at_curve(log, RouteKind.SHELF, schedule)

    assert (found.rule, found.level) == ("curve-stalled", Level.WARN)
    assert found.message["against"] == "schedule"
    assert "for 1 hour" in said(found.message)


def test_a_kiln_that_cannot_reach_its_top_has_stalled() -> None:
    schedule = a_schedule(Segment(150, 1_200))

    assert told(look_at_curve(hours((0, 20), (7, 1_070), (10, 1_075)), RouteKind.SHELF, schedule)) == ["curve-stalled"]


def test_a_hold_of_the_schedule_is_no_stall_unless_it_lasts_far_longer() -> None:
    schedule = a_schedule(Segment(150, 770, 60), Segment(150, 1_200))

    assert look_at_curve(hours((0, 20), (5, 770), (6, 770), (9, 1_200)), RouteKind.SHELF, schedule) == ()
    long = look_at_curve(hours((0, 20), (5, 770), (7, 770), (10, 1_200)), RouteKind.SHELF, schedule)
    assert told(long) == ["curve-stalled"]


def test_without_a_schedule_a_stall_is_only_noted_and_a_hold_at_the_top_is_not() -> None:
    (found,) = look_at_curve(hours((0, 20), (5, 770), (6, 770), (9, 1_200), (10, 1_200)), RouteKind.SHELF)

    assert (found.rule, found.level) == ("curve-stalled", Level.NOTE)


def test_a_kiln_that_waits_at_room_heat_has_not_stalled() -> None:
    schedule = a_schedule(Segment(150, 1_200))

    assert look_at_curve(hours((0, 20), (1, 20), (9, 1_200)), RouteKind.SHELF, schedule) == ()


def test_a_jump_is_warned_of_with_its_time() -> None:
    log = Curve.of([(0, 20), (HOUR, 200), (HOUR + 60, 300), (HOUR + 120, 205), (2 * HOUR, 400)])

    found = look_at_curve(log, RouteKind.SHELF)

    assert told(found) == ["curve-jumped", "curve-jumped"]
    assert said(found[0].message) == "At 1 hour 0 minutes the temperature jumps from 200 °C to 300 °C."


def test_cooling_too_fast_through_quartz_is_warned_of_indoors_only() -> None:
    log = hours((0, 20), (8, 1_000), (10, 600), (10.25, 540), (12, 400))

    assert told(look_at_curve(log, RouteKind.SHELF)) == ["quartz-too-fast"]
    assert look_at_curve(log, RouteKind.RAKU) == ()


def test_the_rate_through_quartz_is_known_from_573_degrees_on() -> None:
    def cooled_to(celsius: float) -> Curve:
        return Curve.of([(0, 20), (8 * HOUR, 1_000), (12 * HOUR, 600), (12 * HOUR + (600 - celsius) * 36, celsius)])

    assert quartz_rate(cooled_to(580)) is None
    assert quartz_rate(cooled_to(570)) == pytest.approx(100)
    assert quartz_rate(cooled_to(100)) == pytest.approx(100)
    assert quartz_rate(Curve.of([(0, 20), (HOUR, 500), (2 * HOUR, 100)])) is None
