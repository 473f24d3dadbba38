"""When each round begins and ends by the clock."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from tests.domain.outdoor.yard import PRACTICE, RAKU, stood
from tracker.domain.outdoor.rounds import RoundTime, timetable
from tracker.domain.outdoor.setting_up import Round, Rounds
from tracker.domain.studio.kilns import RouteKind

TWO = datetime(2026, 5, 16, 14, tzinfo=UTC)
THREE_ROUNDS = Rounds(tuple(Round(RAKU, (stood(n, apart=False), stood(n + 10))) for n in (1, 2, 3)))


def at(hour: int, minute: int) -> datetime:
    """A time of that afternoon."""
    return TWO.replace(hour=hour, minute=minute)


def test_the_first_round_heats_from_cold_and_later_ones_follow() -> None:
    assert timetable(THREE_ROUNDS, TWO, at(15, 10), PRACTICE) == (
        RoundTime(at(14, 0), at(14, 45), before_dark=True),
        RoundTime(at(14, 45), at(15, 10), before_dark=True),
        RoundTime(at(15, 10), at(15, 35), before_dark=False),
    )


def test_between_two_heats_the_kiln_takes_time_to_change() -> None:
    mixed = Rounds((Round(RouteKind.HORSEHAIR, ()), Round(RAKU, ()), Round(RAKU, ())))

    times = timetable(mixed, TWO, at(15, 40), PRACTICE)

    # 45 minutes from cold, 10 to change, 25 for each later round (practice).
    assert times == (
        RoundTime(at(14, 0), at(14, 45), before_dark=True),
        RoundTime(at(14, 55), at(15, 20), before_dark=True, change_min=10),
        RoundTime(at(15, 20), at(15, 45), before_dark=False),
    )
    slow = timetable(mixed, TWO, None, replace(PRACTICE, change_heat_min=30))
    assert slow[-1].ends_at == at(16, 5)
    begun = timetable(mixed, TWO, None, PRACTICE, done=[(TWO, at(14, 40))], running_since=at(14, 42))
    assert begun[1] == RoundTime(at(14, 42), at(15, 7), before_dark=True)


def test_rounds_that_are_done_keep_their_times_and_the_rest_follow() -> None:
    done = [(at(14, 5), at(15, 0))]

    times = timetable(THREE_ROUNDS, TWO, None, PRACTICE, done=done)

    assert times == (
        RoundTime(at(14, 5), at(15, 0), before_dark=True),
        RoundTime(at(15, 0), at(15, 25), before_dark=True),
        RoundTime(at(15, 25), at(15, 50), before_dark=True),
    )


def test_a_running_round_counts_from_when_it_was_begun() -> None:
    first = timetable(THREE_ROUNDS, TWO, None, PRACTICE, running_since=at(14, 20))
    second = timetable(THREE_ROUNDS, TWO, None, PRACTICE, done=[(TWO, at(14, 40))], running_since=at(15, 0))

    assert [time.ends_at for time in first] == [at(15, 5), at(15, 30), at(15, 55)]
    assert [time.ends_at for time in second] == [at(14, 40), at(15, 25), at(15, 50)]
