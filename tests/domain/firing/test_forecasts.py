"""Forecasts against examples worked by hand: when a kiln may be opened, and how many loads come before a piece."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from tracker.domain.firing.forecasts import Basis, Heating, InLine, cool_enough_at, in_line, opening_of, with_room

LIT = datetime(2026, 3, 2, 18, 0, tzinfo=UTC)
OFF = LIT + timedelta(hours=10)
H = 3600.0

HALVES = ((10 * H, 620.0), (11 * H, 20 + 600 / 2**0.5), (12 * H, 320.0))
"""From 600 to 300 over the room in two hours: half every two hours, by Newton's law."""


def test_a_kiln_that_halves_every_two_hours_comes_to_its_opening_when_the_law_says() -> None:
    # From 320 °C, 300 over a room of 20, to 120 °C, 100 over it: a third is log2(3) = 1.585 halvings, 3.170 hours.
    assert cool_enough_at(HALVES, 120, 20) == pytest.approx((12 + 3.16993) * H, rel=1e-5)


def test_a_log_that_fell_below_the_opening_says_when_it_did() -> None:
    # From 180 to 80 °C in an hour: 120 °C is 60 of 100 degrees down, after 36 minutes.
    points = ((0.0, 20.0), (8 * H, 1000.0), (30 * H, 180.0), (31 * H, 80.0))

    assert cool_enough_at(points, 120) == pytest.approx(30.6 * H)


@pytest.mark.parametrize(
    "points",
    [
        pytest.param((), id="no log"),
        pytest.param(((0.0, 20.0), (3 * H, 400.0), (6 * H, 900.0)), id="still rising"),
        pytest.param(((0.0, 20.0), (9 * H, 1222.0), (9.5 * H, 1150.0)), id="cooling for half an hour"),
        pytest.param(((0.0, 20.0), (9 * H, 1222.0), (11 * H, 1215.0)), id="held at the top"),
        pytest.param(((0.0, 20.0), (1 * H, 90.0), (3 * H, 60.0)), id="never as hot"),
    ],
)
def test_a_log_that_does_not_tell_is_not_asked(points: tuple[tuple[float, float], ...]) -> None:
    assert cool_enough_at(points, 120) is None


def test_the_log_of_this_very_firing_comes_first() -> None:
    earlier = (Heating(lit_at=LIT, shut_at=OFF, unloaded_at=OFF + timedelta(hours=40)),)

    opening = opening_of(Heating(lit_at=LIT, shut_at=OFF), below_c=120, log_points=HALVES, earlier=earlier)

    assert opening.basis is Basis.LOG
    assert opening.at == pytest.approx(LIT + timedelta(hours=15.16993), abs=timedelta(seconds=1))


def test_without_a_log_the_middle_of_the_earlier_firings_counts_from_when_the_kiln_came_off() -> None:
    earlier = tuple(
        Heating(lit_at=LIT, shut_at=OFF, unloaded_at=OFF + timedelta(hours=hours)) for hours in (30, 60, 36)
    )

    opening = opening_of(Heating(lit_at=LIT, shut_at=OFF), below_c=120, earlier=earlier, schedule_s=11 * H)

    assert (opening.basis, opening.at, opening.count) == (Basis.EARLIER, OFF + timedelta(hours=36), 3)


def test_a_kiln_that_is_still_on_counts_from_when_it_came_on() -> None:
    earlier = (Heating(lit_at=LIT, unloaded_at=LIT + timedelta(hours=48)),)

    opening = opening_of(Heating(lit_at=LIT), below_c=120, earlier=earlier)

    assert (opening.basis, opening.at) == (Basis.EARLIER, LIT + timedelta(hours=48))


def test_a_kiln_noted_as_off_when_it_came_on_counts_from_when_it_came_on() -> None:
    earlier = (Heating(lit_at=LIT, shut_at=LIT, unloaded_at=LIT + timedelta(hours=48)),)

    opening = opening_of(Heating(lit_at=LIT, shut_at=OFF), below_c=120, earlier=earlier)

    assert opening.at == LIT + timedelta(hours=48)


def test_the_first_firing_of_a_kiln_says_when_its_schedule_ends_and_no_more() -> None:
    opening = opening_of(Heating(lit_at=LIT), below_c=120, schedule_s=11.5 * H)

    assert (opening.basis, opening.at) == (Basis.SCHEDULE, LIT + timedelta(hours=11.5))


def test_a_kiln_of_which_nothing_is_known_has_no_time() -> None:
    opening = opening_of(Heating(lit_at=LIT, shut_at=OFF), below_c=120, schedule_s=11.5 * H)

    assert (opening.basis, opening.at) == (Basis.NOTHING, None)


# ---- the line --------------------------------------------------------------------------------------------------------


def test_a_piece_comes_after_the_full_loads_of_those_before_it() -> None:
    # 37 before it and 18, the middle of 12, 18 and 30, in a load: two are full (36), and it is second in the third.
    waiting = list(range(100, 140))

    turn = in_line(137, waiting, counts=(18, 30, 12))

    assert turn == InLine(ahead=37, load=18, counted=3)
    assert turn.loads == 2


def test_firings_that_are_planned_without_it_come_first_as_well() -> None:
    turn = in_line(9, [7, 8, 9], planned=(12,), counts=(18,))

    assert turn is not None
    assert turn.loads == 1


def test_how_many_loads_is_not_said_where_no_load_was_ever_fired() -> None:
    behind, first = in_line(9, [7, 9]), in_line(7, [7, 9])

    assert behind is not None
    assert behind.loads is None
    assert first is not None
    assert first.loads == 0


def test_a_firing_that_was_called_off_is_no_load() -> None:
    turn = in_line(9, [7, 9], counts=(0, 0, 20))

    assert turn is not None
    assert (turn.load, turn.counted) == (20, 1)


def test_what_is_not_waiting_has_no_turn() -> None:
    assert in_line(9, [7, 8]) is None


@pytest.mark.parametrize(
    ("ahead", "meant", "counts", "place"),
    [
        pytest.param(0, [], [10], None, id="none is planned"),
        pytest.param(0, [10, 4], [10], 1, id="the first is full"),
        pytest.param(7, [4, 0], [10], 1, id="those ahead fill the first"),
        pytest.param(17, [4, 0], [10], None, id="those ahead fill all"),
        pytest.param(5, [9], [], 0, id="nobody knows what a load holds"),
    ],
)
def test_a_piece_comes_into_the_first_firing_with_room_after_those_ahead(
    ahead: int, meant: list[int], counts: list[int], place: int | None
) -> None:
    assert with_room(ahead, meant, counts) == place
