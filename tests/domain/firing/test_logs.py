"""What is wrong with a log is told with its line, and nothing of it is mended."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import said
from tracker.domain.findings import Level, NeedsAcceptance
from tracker.domain.firing.logs import KilnLog, LogFinding, Reading, look_over
from tracker.domain.message import Message
from tracker.domain.refusals import Unusable
from tracker.domain.studio.settings import LogPractice


def log_of(*minutes_and_celsius: tuple[float, float], practice: LogPractice | None = None) -> KilnLog:
    """A log whose header is line 1, with readings of (minutes, °C)."""
    readings = tuple(
        Reading(line, minutes * 60, celsius) for line, (minutes, celsius) in enumerate(minutes_and_celsius, start=2)
    )
    return KilnLog(readings, look_over(readings, practice or LogPractice()))


def climb(count: int = 60, every: float = 10, start: float = 20, rate: float = 120) -> list[tuple[float, float]]:
    """A climb in a straight line, as (minutes, °C)."""
    return [(at * every, start + at * every / 60 * rate) for at in range(count)]


def told(findings: tuple[LogFinding, ...]) -> list[tuple[int, str]]:
    return [(one.line, one.rule) for one in findings]


def test_a_log_as_a_kiln_writes_it_raises_nothing_and_is_its_curve() -> None:
    log = log_of(*climb())

    assert log.findings == ()
    curve = log.curve()
    assert (len(curve.seconds), curve.celsius[0], curve.peak_c) == (60, 20, 1_200)


@pytest.mark.parametrize(
    ("lines", "line", "rule"),
    [
        pytest.param([(0, 20), (10, 40), (5, 60), (20, 80)], 4, "log-backwards", id="back"),
        pytest.param([(0, 20), (10, 40), (10, 41)], 4, "log-two-at-once", id="two at once"),
        pytest.param([(0, 20), (10, math.nan), (20, 60)], 3, "log-no-number", id="nan"),
        pytest.param([(0, 20), (10, math.inf), (20, 60)], 3, "log-no-number", id="infinity"),
        pytest.param([(0, 20), (10, -300), (20, 60)], 3, "log-impossible", id="below zero"),
        pytest.param([(0, 20), (10, -60), (20, 60)], 3, "log-impossible", id="arctic"),
        pytest.param([(0, 70), (600, 2232)], 3, "log-impossible", id="°F of a mid-range firing"),
        pytest.param([(0, 20)], 2, "log-too-short", id="one reading"),
        pytest.param([(0, 20), (0, 20)], 3, "log-too-short", id="one reading twice"),
        pytest.param([], 1, "log-too-short", id="nothing"),
    ],
)
def test_what_cannot_be_is_refused_with_its_line(lines: list[tuple[float, float]], line: int, rule: str) -> None:
    log = log_of(*lines)

    assert (line, rule) in told(log.refusals)
    with pytest.raises(Unusable) as refusal:
        log.curve(accepts=True)
    (problem,) = [one for one in refusal.value.problems if one.code == rule]
    assert problem["line"] == line


@pytest.mark.parametrize(
    ("lines", "line", "rule"),
    [
        pytest.param([(0, 20), (800, 1_500)], 3, "log-looks-like-f", id="hotter than cone 14"),
        pytest.param([(0, 70), (600, 1_319)], 2, "log-looks-like-f", id="room in °F"),
        pytest.param([(0, 20), (9_000, 1_200)], 3, "log-too-long", id="seconds read as minutes"),
        pytest.param([(0, -7), (600, 661)], 2, "log-looks-like-c", id="°C read as °F"),
        pytest.param(
            [*climb(20), *((minutes + 90, celsius) for minutes, celsius in climb()[20:])],
            22,
            "log-gap",
            id="gap",
        ),
        pytest.param([(0, 20), (5, 30), (10, 40), (120, 300)], 5, "log-gap", id="gap in a short log"),
        pytest.param([*climb(20), (200, 900), *climb(60)[21:]], 22, "log-jump", id="spike"),
        pytest.param([(0, 20), (0.5, 90), (10, 100)], 3, "log-jump", id="jump in half a minute"),
    ],
)
def test_what_looks_like_a_mistake_is_questioned_and_usable_once_somebody_says_yes(
    lines: list[tuple[float, float]], line: int, rule: str
) -> None:
    log = log_of(*lines)

    assert (line, rule) in told(log.questions)
    with pytest.raises(NeedsAcceptance) as asked:
        log.curve()
    assert rule in {one.rule for one in asked.value.findings}
    curve = log.curve(accepts=True)
    assert list(zip(curve.seconds, curve.celsius, strict=True)) == [
        (minutes * 60, celsius) for minutes, celsius in lines
    ]


def test_a_spike_is_questioned_on_both_its_sides() -> None:
    spiked = climb(60)
    spiked[30] = (300, 20)

    assert told(log_of(*spiked).questions) == [(32, "log-jump"), (33, "log-jump")]


@pytest.mark.parametrize(
    "lines",
    [
        pytest.param([(0, 20), (1_202, 1_222)], id="one ramp"),
        pytest.param([(0, 20), (420, 90), (1_000, 1_100), (1_100, 1_200), (1_115, 1_200)], id="ramps and a hold"),
        pytest.param(climb(25, every=60, rate=50), id="by hand, every hour"),
        pytest.param([one for one in climb(25, every=60, rate=50) if one[0] != 600], id="one hour forgotten"),
        pytest.param([*climb(60), (600, 850), (610, 600)], id="opened while cooling"),
        pytest.param([(0, 62), (100, 400)], id="a warm kiln that is not hot yet"),
    ],
)
def test_corners_that_somebody_typed_in_raise_no_question(lines: list[tuple[float, float]]) -> None:
    assert log_of(*lines).questions == ()


def test_a_log_every_second_that_shivers_by_some_degrees_does_not_jump() -> None:
    assert log_of(*((at / 60, 800 + at % 3 * 4) for at in range(600))).findings == ()


def test_the_same_reading_twice_counts_once_and_is_noted() -> None:
    log = log_of((0, 20), (10, 40), (10, 40), (20, 60))

    assert told(log.notes) == [(4, "log-twice")]
    assert log.curve().seconds == (0, 600, 1_200)


def test_readings_far_apart_are_noted() -> None:
    notes = log_of(*climb(8, every=180, rate=50)).notes

    assert told(notes) == [(2, "log-sparse")]
    assert said(notes[0].message).startswith("line 2: readings are 3 hours 0 minutes apart")


def test_standing_still_on_the_way_up_is_noted_and_at_the_top_it_is_not() -> None:
    up = climb(30)
    stands = [(290 + at * 10, 600.0) for at in range(1, 6)]
    on = [(340 + at * 10, 600.0 + at * 20) for at in range(1, 20)]
    top = [(530 + at * 10, 980.0) for at in range(1, 6)]

    notes = log_of(*up, *stands, *on, *top).notes

    assert told(notes) == [(31, "log-stall")]
    assert "holds at 600 °C for 50 minutes: a hold, or a stall?" in said(notes[0].message)


def test_a_studio_may_set_its_own_limits() -> None:
    practice = LogPractice(jump_c_per_min=5, gap_min=9, gap_times=1)
    lines = [*climb(20), (196, 410), *climb(60)[21:]]

    assert told(log_of(*lines, practice=practice).questions) == [(23, "log-gap")]
    assert log_of(*lines).findings == ()


def test_a_scrambled_log_names_a_dozen_lines_and_how_many_more() -> None:
    lines = climb(60)
    log = log_of(*(one for pair in zip(lines[30:], lines[:30], strict=True) for one in pair))

    with pytest.raises(Unusable) as refusal:
        log.curve(accepts=True)

    assert len(refusal.value.problems) == 13
    assert refusal.value.problems[-1] == Message("more-lines", "", count=len(log.refusals) - 12)
    assert {one.level for one in log.refusals} == {Level.REFUSE}


@given(
    lines=st.lists(
        st.tuples(st.floats(0, 2_000), st.floats(-60, 2_000) | st.sampled_from([math.nan, math.inf])), max_size=14
    ),
    accepts=st.booleans(),
)
def test_any_log_is_its_own_readings_or_refused_or_questioned(
    lines: list[tuple[float, float]], *, accepts: bool
) -> None:
    log = log_of(*lines)
    try:
        curve = log.curve(accepts=accepts)
    except Unusable:
        assert log.refusals
        return
    except NeedsAcceptance:
        assert log.questions
        assert not accepts
        return

    assert {(one.seconds, one.celsius) for one in log.readings} == set(zip(curve.seconds, curve.celsius, strict=True))
    assert accepts or not log.questions
