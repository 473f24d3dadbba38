"""Schedules say what the kiln should do, and reach the cone they aim at."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import said
from tracker.domain.cones import CONES, END_POINTS, Cone, Kind, NoEndPoint
from tracker.domain.firing.cone_model import DOWN, fits
from tracker.domain.firing.curve_warnings import look_at_schedule
from tracker.domain.firing.greenware import slowed
from tracker.domain.firing.schedules import NoSchedule, Schedule, bisque, glaze_firing, schedule_for
from tracker.domain.message import Message
from tracker.domain.studio.kilns import COMMON_ROUTES, KNOWN_ROUTES, Atmosphere, RouteKind
from tracker.domain.studio.segments import BadSchedule, Segment
from tracker.domain.studio.settings import FIRING_PRACTICE
from tracker.forms.studio.kiln_schemas import MOST_SEGMENTS

HOUR = 3_600.0


def a_schedule(*segments: Segment, kind: RouteKind = RouteKind.SHELF, start_c: float = 20) -> Schedule:
    return Schedule("Tuesday's", kind, Cone.parse("6"), segments, start_c)


def code_of(segment: Segment) -> str:
    """What a common segment's note is about; an empty text without one."""
    return segment.note.code if isinstance(segment.note, Message) else segment.note


TUESDAY = a_schedule(Segment(100, 120, 30), Segment(200, 1_120), Segment(60, 1_180, 10), Segment(100, 980))


@pytest.mark.parametrize(
    ("rate", "target", "hold", "code"),
    [
        pytest.param(math.inf, 600, 0, "rate-outside", id="as fast as it goes"),
        pytest.param(0, 600, 0, "rate-outside", id="no rate"),
        pytest.param(-100, 600, 0, "rate-outside", id="below 0"),
        pytest.param(9_999, 600, 0, "rate-outside", id="far too fast"),
        pytest.param(math.nan, 600, 0, "rate-outside", id="no number"),
        pytest.param(100, 2_232, 0, "target-outside", id="°F"),
        pytest.param(100, math.nan, 0, "target-outside", id="no target"),
        pytest.param(100, 0, 0, "target-outside", id="frost"),
        pytest.param(100, 600, -1, "hold-outside", id="hold below 0"),
        pytest.param(100, 600, math.inf, "hold-outside", id="for ever"),
    ],
)
def test_what_no_kiln_can_be_told_is_refused(rate: float, target: float, hold: float, code: str) -> None:
    with pytest.raises(BadSchedule) as refused:
        Segment(rate, target, hold)

    assert refused.value.message.code == code
    assert said(refused.value.message).endswith(".")


@pytest.mark.parametrize(
    ("segments", "code"),
    [
        pytest.param((), "schedule-length", id="none"),
        pytest.param((Segment(100, 600, 1),) * 49, "schedule-length", id="too many"),
        pytest.param((Segment(100, 600), Segment(100, 600)), "segment-without-effect", id="idle"),
    ],
)
def test_what_is_no_schedule_is_refused(segments: tuple[Segment, ...], code: str) -> None:
    with pytest.raises(BadSchedule, match=code):
        a_schedule(*segments)


def test_the_time_of_a_schedule_is_that_of_its_ramps_and_holds() -> None:
    # 1 h + 30 min, 5 h, 1 h + 10 min, 2 h.
    assert TUESDAY.lasts_s == pytest.approx(9 * HOUR + 40 * 60)
    assert len(TUESDAY.curve.seconds) == 7


@pytest.mark.parametrize(
    ("hours", "celsius"),
    [
        (0, 20),
        (0.5, 70),
        (1.25, 120),
        (1.5, 120),
        (4, 620),
        (7.5, 1_180),
        (8.666_667, 1_080),
        (9.666_667, 980),
        (99, 980),
    ],
)
def test_at_any_time_it_says_what_the_kiln_should_read(hours: float, celsius: float) -> None:
    assert TUESDAY.reading_at(hours * HOUR) == pytest.approx(celsius, abs=0.01)


def test_the_next_hour_goes_by_quarters_and_ends_with_the_schedule() -> None:
    assert [celsius for _, celsius in TUESDAY.next_hour(HOUR)] == pytest.approx([120, 120, 170, 220])
    assert TUESDAY.next_hour(9.5 * HOUR)[-1] == pytest.approx((TUESDAY.lasts_s, 980))
    assert TUESDAY.next_hour(TUESDAY.lasts_s) == ()
    assert TUESDAY.next_hour(99 * HOUR) == ()


def test_a_schedule_may_only_hold_where_the_kiln_stands() -> None:
    held = a_schedule(Segment(100, 300, 60), Segment(100, 300, 60), start_c=300)

    assert held.lasts_s == 2 * HOUR
    assert set(held.curve.celsius) == {300}


@given(second=st.floats(-HOUR, 12 * HOUR))
def test_what_it_should_read_is_always_between_its_ends(second: float) -> None:
    assert 20 <= TUESDAY.reading_at(second) <= 1_180


# ---- what is commonly fired ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["bisque", "low-fire", "mid-range", "high-fire"])
@pytest.mark.parametrize("kind", ["self-supporting", "large"])
def test_the_common_schedule_of_a_route_reaches_its_cone_and_not_the_next(name: str, kind: Kind) -> None:
    route = COMMON_ROUTES[name]
    schedule = schedule_for(route, kind)

    answer = schedule.will_do(kind).reached

    assert answer.cone == route.cone == schedule.cone
    assert answer.fraction < 0.2
    assert look_at_schedule(schedule) == ()


@pytest.mark.parametrize("cone", CONES, ids=str)
def test_every_cone_has_a_bisque_and_a_glaze_firing_that_just_bring_it_down(cone: Cone) -> None:
    fit = fits("self-supporting")[cone]

    for schedule in (bisque(cone), glaze_firing(cone)):
        *before, last = schedule.segments
        heats = [segment.target_c for segment in schedule.segments]
        assert heats == sorted(heats)
        assert fit.work(schedule.curve) >= DOWN
        cooler = Schedule("x", schedule.kind, cone, (*before, Segment(last.rate_c_per_h, last.target_c - 2)))
        assert fit.work(cooler.curve) < DOWN


def test_the_top_of_a_schedule_is_the_published_end_point_at_its_rate_give_or_take_a_degree() -> None:
    low, mid, high = (glaze_firing(Cone.parse(name)).segments[-1] for name in ("04", "6", "10"))

    ends = [END_POINTS["self-supporting", 60][Cone.parse(name)] for name in ("04", "6", "10")]
    assert [one.rate_c_per_h for one in (low, mid, high)] == [60, 60, 60]
    assert [one.target_c for one in (low, mid, high)] == pytest.approx(ends, abs=1)
    assert bisque(Cone.parse("06")).segments[-1].target_c == END_POINTS["self-supporting", 150][Cone.parse("06")]


def test_a_bisque_candles_below_the_boil_and_goes_slowly_through_quartz() -> None:
    # Class notes and common practice; 573 °C and free water gone by 100 °C from the textbook.
    candling, climb, quartz, last = bisque(Cone.parse("06")).segments

    assert candling.target_c < 100
    assert candling.hold_min >= 60
    assert isinstance(candling.note, Message)
    assert candling.note.code == "candling"
    assert climb.rate_c_per_h <= 100
    assert climb.target_c < 573 < quartz.target_c
    assert quartz.rate_c_per_h < climb.rate_c_per_h
    assert last.rate_c_per_h <= 150


def reductions(schedule: Schedule) -> list[str]:
    """The codes of the segments in which a schedule reduces."""
    return [code for one in schedule.segments if "reduction" in (code := code_of(one))]


@pytest.mark.parametrize(
    ("cone", "ends", "least_min", "most_min"),
    [
        # Common practice: begun about cone 012, over by cone 08, three quarters of an hour to an hour and a bit.
        pytest.param("10", "08", 45, 75, id="high-fire"),
        # Common practice: a mid-range glaze seals sooner.
        pytest.param("6", "010", 30, 60, id="mid-range"),
    ],
)
def test_a_reducing_kiln_reduces_the_body_between_cones_012_and_08_and_then_lightly_to_the_end(
    cone: str, ends: str, least_min: float, most_min: float
) -> None:
    schedule = glaze_firing(Cone.parse(cone), atmosphere=Atmosphere.REDUCTION)

    codes = [code_of(one) for one in schedule.segments]
    at = codes.index("body-reduction")
    before, reduces = schedule.segments[at - 1 : at + 1]
    published = END_POINTS["self-supporting", 60]
    assert codes[at:] == ["body-reduction", "light-reduction", "look-at-witnesses"]
    assert (before.target_c, reduces.target_c) == (published[Cone.parse("012")], published[Cone.parse(ends)])
    took_min = (reduces.target_c - before.target_c) / reduces.rate_c_per_h * 60 + reduces.hold_min
    assert least_min <= took_min <= most_min
    assert schedule.will_do().reached.cone == Cone.parse(cone)


def test_a_body_reduction_says_what_keeps_people_from_carbon_monoxide() -> None:
    schedule = glaze_firing(Cone.parse("10"), atmosphere=Atmosphere.REDUCTION)

    (reduces,) = [one for one in schedule.segments if code_of(one) == "body-reduction"]
    assert isinstance(reduces.note, Message)
    assert all(word in said(reduces.note) for word in ("carbon monoxide", "upwind", "ventilate", "alarm"))


@pytest.mark.parametrize("atmosphere", [one for one in (*Atmosphere, None) if one is not Atmosphere.REDUCTION], ids=str)
@pytest.mark.parametrize("cone", ["6", "10"])
def test_no_kiln_but_one_that_reduces_has_a_reduction_in_its_schedule(cone: str, atmosphere: Atmosphere | None) -> None:
    assert reductions(glaze_firing(Cone.parse(cone), atmosphere=atmosphere)) == []


@pytest.mark.parametrize("cone", ["018", "06", "04", "01"])
def test_a_low_firing_has_no_body_reduction_even_in_a_kiln_that_reduces(cone: str) -> None:
    assert reductions(glaze_firing(Cone.parse(cone), atmosphere=Atmosphere.REDUCTION)) == []


def test_a_bisque_is_never_reduced() -> None:
    assert reductions(schedule_for(COMMON_ROUTES["bisque"], atmosphere=Atmosphere.REDUCTION)) == []


@pytest.mark.parametrize("cone", ["022", "018", "014"])
def test_an_overglaze_goes_slowly_from_300_to_450_degrees_while_its_oils_burn_off(cone: str) -> None:
    # Common practice: the oils of lusters and china paints are gone by about 450 °C; the vents stay open until then.
    schedule = schedule_for(KNOWN_ROUTES["overglaze"].at(Cone.parse(cone)))

    before, oils = schedule.segments[:2]
    assert (before.target_c, oils.target_c, code_of(oils)) == (300, 450, "oils-burn-off")
    assert code_of(before) == "vents-open-at-start"
    assert code_of(schedule.segments[2]) == "vents-close-above"
    assert oils.rate_c_per_h < before.rate_c_per_h
    assert schedule.will_do().reached.cone == Cone.parse(cone)
    assert reductions(schedule) == []


def test_a_once_firing_begins_as_a_bisque_does_and_ends_as_a_glaze_firing_does() -> None:
    once = schedule_for(KNOWN_ROUTES["once-fire"])

    assert once.segments[:3] == bisque(Cone.parse("06")).segments[:3]
    assert once.segments[-1] == glaze_firing(Cone.parse("6")).segments[-1]
    assert look_at_schedule(once) == ()


def test_raw_ware_that_is_fired_as_fast_as_a_glaze_firing_is_warned_of() -> None:
    hurried = glaze_firing(Cone.parse("6"))

    found = look_at_schedule(replace(hurried, kind=RouteKind.ONCE_FIRE))

    assert {one.message.code for one in found} == {"bisque-too-fast"}


OWN_GLAZE = a_schedule(Segment(300, 60, 10), Segment(250, 1_000, 5), Segment(150, 1_220, 15), Segment(80, 900))
LONG_CANDLE = a_schedule(Segment(30, 85, 600), Segment(300, 1_000), Segment(60, 1_220))


@pytest.mark.parametrize("schedule", [glaze_firing(Cone.parse("04")), TUESDAY, OWN_GLAZE, LONG_CANDLE])
def test_a_glaze_firing_with_greenware_in_it_candles_smokes_and_passes_quartz_as_a_bisque_does(
    schedule: Schedule,
) -> None:
    # Class notes and common practice, as of the common bisque above.
    slow = slowed(schedule, FIRING_PRACTICE)

    assert look_at_schedule(schedule, has_raw=True) != ()
    assert look_at_schedule(slow, has_raw=True) == look_at_schedule(schedule)
    below_the_boil = [one for one in slow.segments if one.target_c < 100]
    assert sum(one.hold_min for one in below_the_boil) >= 120
    (quartz,) = [one for one in slow.segments if code_of(one) == "slow-through-quartz"]
    assert (quartz.rate_c_per_h, quartz.target_c) == (60, 600)
    assert slow.curve.peak_c == schedule.curve.peak_c
    kept = [(one.target_c, one.hold_min) for one in schedule.segments if one.target_c > 100]
    assert [(one.target_c, one.hold_min) for one in slow.segments if (one.target_c, one.hold_min) in kept] == kept


def test_greenware_leaves_the_end_of_a_common_glaze_firing_at_its_cone() -> None:
    slow = slowed(glaze_firing(Cone.parse("04")), FIRING_PRACTICE)

    reached = slow.will_do().reached
    assert (reached.cone, reached.fraction < 0.2) == (Cone.parse("04"), True)


def test_a_long_candling_of_the_studios_own_stays_when_greenware_is_in_the_load() -> None:
    first, second, *_ = slowed(LONG_CANDLE, FIRING_PRACTICE).segments

    assert (first.rate_c_per_h, first.target_c, first.hold_min) == (30, 85, 600)
    assert second.rate_c_per_h <= 100


def test_a_studio_that_bisques_more_slowly_heats_greenware_no_faster_in_a_glaze_firing() -> None:
    careful = replace(FIRING_PRACTICE, bisque_slow_c_per_h=50, bisque_slow_below_c=700, bisque_c_per_h=80)

    assert look_at_schedule(slowed(TUESDAY, careful), careful, has_raw=True) == look_at_schedule(TUESDAY)


def test_the_longest_schedule_that_a_studio_may_write_down_has_one_for_greenware() -> None:
    longest = a_schedule(*(Segment(300 + number % 2, 110 + 25 * number) for number in range(MOST_SEGMENTS)))

    assert look_at_schedule(slowed(longest, FIRING_PRACTICE), has_raw=True) == ()


@pytest.mark.parametrize(("name", "note"), [("soda", "soda-goes-in"), ("wood", "stoke-by-the-draw")])
@pytest.mark.parametrize("atmosphere", [*Atmosphere, None], ids=str)
def test_soda_and_wood_have_their_notes_and_are_reduced_only_in_a_kiln_that_reduces(
    name: str, note: str, atmosphere: Atmosphere | None
) -> None:
    schedule = schedule_for(KNOWN_ROUTES[name], atmosphere=atmosphere)

    assert code_of(schedule.segments[-1]) == note
    assert ("body-reduction" in reductions(schedule)) is (atmosphere is Atmosphere.REDUCTION)
    assert schedule.will_do().reached.cone == Cone.parse("10")


@pytest.mark.parametrize("name", ["raku", "horsehair", "pit"])
def test_what_goes_by_eye_has_no_schedule(name: str) -> None:
    with pytest.raises(NoSchedule, match="fired by eye"):
        schedule_for(KNOWN_ROUTES[name])


def test_a_cone_that_the_kind_lacks_has_no_schedule() -> None:
    with pytest.raises(NoEndPoint, match="large cone 022"):
        bisque(Cone.parse("022"), "large")
