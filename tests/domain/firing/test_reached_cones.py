"""Which cone a firing reached instead of its target, against the published end points of cones."""

from __future__ import annotations

import pytest

from tests.domain.firing.test_cone_model import steady
from tests.domain.firing.test_witness_cones import seen
from tracker.domain.cones import Cone, end_point
from tracker.domain.firing.heat_work import heat_work
from tracker.domain.firing.reached_cones import Missed, missed_by_cones, missed_by_log
from tracker.domain.firing.witness_cones import Stands, witnessed

UPRIGHT, TIP, HALF, DOWN, FLAT = Stands


def told(missed: Missed | None) -> str | None:
    """The cone that was reached with the way it misses the target, or None."""
    return f"{missed.cone} {'over' if missed.is_over else 'short'}" if missed else None


def log_to(name: str, target: str, *, is_whole: bool = True) -> Missed | None:
    """What a log of 60 °C an hour says that ends at the published end point of cone `name`, give a degree."""
    work = heat_work(steady(60, end_point(Cone.parse(name), "self-supporting", 60) + 1))
    return missed_by_log(Cone.parse(target), work.reached, is_whole=is_whole)


@pytest.mark.parametrize(
    ("target", "ends_at", "says"),
    [
        ("6", "6", None),
        ("6", "5.5", None),
        ("6", "4", "4 short"),
        ("6", "05", "05 short"),
        ("6", "8", "8 over"),
        ("04", "04", None),
        ("04", "06", "06 short"),
        ("04", "02", "02 over"),
        ("04", "5.5", "5.5 over"),
        ("06", "6", "6 over"),
        ("10", "10", None),
        ("10", "8", "8 short"),
        ("018", "016", "016 over"),
    ],
)
def test_a_log_that_ends_a_whole_cone_from_its_target_says_which_it_reached(
    target: str, ends_at: str, says: str | None
) -> None:
    """Self-supporting cones, 60 °C an hour: tests/reference/cone_end_points.csv."""
    assert told(log_to(ends_at, target)) == says


def test_a_log_that_ends_before_the_peak_tells_of_no_shortfall_but_of_too_much() -> None:
    assert log_to("4", "6", is_whole=False) is None
    assert told(log_to("8", "6", is_whole=False)) == "8 over"


@pytest.mark.parametrize(
    ("target", "cones", "says"),
    [
        pytest.param("6", [("5", FLAT), ("6", DOWN), ("7", UPRIGHT)], None, id="right"),
        pytest.param("6", [("6", TIP)], None, id="the target cone bends"),
        pytest.param("6", [("6", FLAT), ("7", HALF)], None, id="the guard cone bends"),
        pytest.param("6", [("4", DOWN), ("5", UPRIGHT), ("6", UPRIGHT)], "4 short", id="two cones short"),
        pytest.param("6", [("5", DOWN), ("6", UPRIGHT)], "5 short", id="a cone short"),
        pytest.param("04", [("06", TIP), ("05", UPRIGHT)], "07 short", id="not even the one below"),
        pytest.param("06", [("06", UPRIGHT)], "07 short", id="the target cone alone"),
        pytest.param("6", [("6", FLAT), ("7", DOWN), ("9", UPRIGHT)], "7 over", id="the guard cone is down"),
        pytest.param("04", [("04", FLAT), ("03", DOWN), ("02", UPRIGHT)], "03 over", id="low-fire"),
        pytest.param("04", [("4", FLAT)], "4 over", id="4 for 04"),
    ],
)
def test_witness_cones_say_what_was_reached_by_the_target_cone_and_the_guard_cone(
    target: str, cones: list[tuple[str, Stands]], says: str | None
) -> None:
    """Common practice: on target the firing cone bends and the guard cone stands."""
    span = witnessed([seen(name, stands) for name, stands in cones])

    assert told(missed_by_cones(Cone.parse(target), [span])) == says


def test_of_several_shelves_the_one_furthest_from_the_target_counts() -> None:
    right, short = (witnessed([seen("5", stands), seen("6", more)]) for stands, more in ((FLAT, DOWN), (DOWN, UPRIGHT)))

    assert told(missed_by_cones(Cone.parse("6"), [right, short])) == "5 short"
    assert missed_by_cones(Cone.parse("6"), []) is None
