"""A load plan is about as low as it can be, and takes about as few firings."""

from __future__ import annotations

import csv
from itertools import permutations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.loading.asked_loads import asked_for, levels, planned
from tests.domain.loading.load_check import faults
from tests.domain.loading.load_mixes import POSTS_MM
from tests.drawn import examples

# Published best-known packings of equal circles in a circle: the container's radius over theirs.
CIRCLES = Path(__file__).parents[2] / "reference" / "circles_in_a_circle.csv"
BEST_KNOWN = [
    (int(row["n"]), float(row["best_known_R_over_r"]))
    for row in csv.DictReader(CIRCLES.read_text(encoding="utf-8").splitlines())
]
WITHIN = 1.12


@pytest.mark.parametrize(("count", "ratio"), BEST_KNOWN, ids=[str(count) for count, _ in BEST_KNOWN])
def test_equal_circles_go_on_a_shelf_little_larger_than_the_best_known(count: int, ratio: float) -> None:
    shelf = {"round_mm": 100 * ratio * WITHIN}
    pieces = [{"code": f"C{number}", "round_mm": 100, "height_mm": 40} for number in range(count)]
    asked = asked_for(pieces, shelf=shelf, post_radius_mm=0)

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert levels(plan) == [50]


def _fewest_levels(sides: list[int], width: int) -> int:
    """The fewest rows of a width that hold pieces side by side, by trying every order."""

    def rows(order: tuple[int, ...]) -> int:
        count, left = 1, width
        for side in order:
            if side > left:
                count, left = count + 1, width
            left -= side
        return count

    return min(map(rows, permutations(sides)))


@given(st.lists(st.integers(40, 200), min_size=1, max_size=6))
@examples(60)
def test_pieces_as_deep_as_their_shelf_take_the_fewest_levels(sides: list[int]) -> None:
    # On so narrow a shelf pieces stand side by side in one row, so the least number of levels can be counted.
    pieces = [
        {"code": f"P{number}", "width_mm": side, "depth_mm": 210, "height_mm": 40} for number, side in enumerate(sides)
    ]
    asked = asked_for(pieces, shelf={"width_mm": 300, "depth_mm": 210}, post_radius_mm=0, height_mm=4000)

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert len(levels(plan)) == _fewest_levels(sides, 300)


def _lowest_stack(heights: list[int], posts: list[int], thickness: int) -> int:
    """The lowest stack of levels of two pieces each, by trying every order."""

    def stack(order: tuple[int, ...]) -> int:
        pairs = [order[start : start + 2] for start in range(0, len(order), 2)]
        # 10 mm stay free over each piece.
        return sum(min(post for post in posts if post >= max(pair) + 10) + thickness for pair in pairs)

    return min(map(stack, permutations(heights)))


@given(st.lists(st.integers(10, 150), min_size=1, max_size=7))
@examples(40)
def test_pieces_of_which_two_fill_a_shelf_make_the_lowest_stack(heights: list[int]) -> None:
    pieces = [{"code": f"P{number}", "round_mm": 280, "height_mm": high} for number, high in enumerate(heights)]
    asked = asked_for(pieces, post_radius_mm=0, height_mm=4000)

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert sum(levels(plan)) + 16 * len(levels(plan)) == _lowest_stack(heights, POSTS_MM, 16)


def _fewest_firings(heights: list[int], room: int) -> int:
    """The fewest firings for levels of these heights, by trying every order."""

    def firings(order: tuple[int, ...]) -> int:
        count, left = 1, room
        for high in order:
            if high > left:
                count, left = count + 1, room
            left -= high
        return count

    return min(map(firings, permutations(heights)))


@given(st.lists(st.sampled_from([40, 90, 140, 190, 240]), min_size=1, max_size=6))
@examples(40)
def test_pieces_that_fill_a_shelf_alone_take_the_fewest_firings(heights: list[int]) -> None:
    pieces = [{"code": f"P{number}", "round_mm": 500, "height_mm": high} for number, high in enumerate(heights)]
    asked = asked_for(pieces, post_radius_mm=0)

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert len(plan["firings"]) == _fewest_firings([high + 10 + 16 for high in heights], 660)


def test_tiles_that_just_fill_a_shelf_lie_on_one() -> None:
    pieces = [{"code": f"T{number}", "width_mm": 100, "depth_mm": 150, "height_mm": 10} for number in range(12)]
    asked = asked_for(pieces, shelf={"width_mm": 400, "depth_mm": 450}, post_radius_mm=0)

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert levels(plan) == [50]
