"""Which pieces a firing takes, on which kiln shelf they go, and why one stays out."""

from __future__ import annotations

from math import pi
from typing import Any

import pytest

from tests.domain.loading.asked_loads import asked_for, cups, planned, read
from tests.domain.loading.load_check import faults
from tests.domain.loading.load_mixes import studio_mix
from tests.reading import said
from tracker.domain.loading.loads import HEAVY_G, LoadKiln, LoadPlan, PieceToLoad, shrunk
from tracker.domain.loading.packing import Ground
from tracker.domain.loading.planner import plan_firing
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind
from tracker.domain.message import Message
from tracker.domain.quantities import mm
from tracker.forms.loading.load_file import plan_as_json


def one_firing(pieces: list[dict[str, Any]], **kiln: float) -> tuple[LoadPlan, set[str]]:
    """The plan of one firing and the codes that are in it."""
    asked = asked_for(pieces, gap_mm=0, **kiln)
    values = read(asked)
    plan = plan_firing(values.kiln, values.gap_mm, values.pieces)
    assert faults(asked, plan_as_json(plan, said)) == []
    return plan, {one.piece.code for shelf in plan.shelves for one in shelf.placed}


def test_one_firing_takes_the_pieces_promised_first() -> None:
    pieces = [{**piece, "promised": 300 - number} for number, piece in enumerate(cups(300))]

    plan, inside = one_firing(pieces)

    first = sorted(pieces, key=lambda piece: piece["promised"])[: len(inside)]
    assert inside == {piece["code"] for piece in first}
    assert {left.reason.code for left in plan.left_out} == {"no-room"}
    assert sum(pi * 45**2 for _ in inside) > 0.5 * 5 * pi * 280**2


def test_what_is_left_of_a_firing_is_filled_with_later_pieces_that_fit() -> None:
    tall = [{"code": f"V{number}", "round_mm": 400, "height_mm": 280, "promised": number} for number in range(4)]

    _, inside = one_firing([*tall, *cups(4, promised=9)])

    assert inside == {"V0", "V1", "C000", "C001", "C002", "C003"}


def test_a_set_stays_together_or_is_left_out_whole() -> None:
    service = [{"code": f"S{number}", "round_mm": 250, "height_mm": 140, "set": "dinner"} for number in range(9)]
    vases = [{"code": f"V{number}", "round_mm": 400, "height_mm": 240, "promised": -1} for number in range(2)]

    plan, inside = one_firing([*vases, *service])

    assert inside == {"V0", "V1"}
    assert {left.reason.code for left in plan.left_out} == {"no-room-for-set"}


def test_a_set_with_a_piece_that_never_fits_stays_out_with_it() -> None:
    asked = asked_for([*cups(2, set="tea"), {"code": "POT", "round_mm": 700, "height_mm": 90, "set": "tea"}])

    plan = planned(asked)

    assert plan["firings"] == []
    assert {one["code"]: "POT doesn't fit" in one["why"] for one in plan["left_out"]} == {
        "C000": True,
        "C001": True,
        "POT": False,
    }


def test_a_set_too_large_for_one_firing_is_left_out() -> None:
    plan = planned(asked_for([{**piece, "round_mm": 300, "set": "dinner"} for piece in cups(9)]))

    assert {one["why"] for one in plan["left_out"]} == {"its set of 9 pieces is too large for one firing"}


def test_sets_over_several_firings_stay_together() -> None:
    pieces = [{**piece, "set": f"set {number % 30}"} for number, piece in enumerate(studio_mix(120, seed=4))]
    asked = asked_for(pieces)

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert plan["left_out"] == []
    assert len(plan["firings"]) > 1


@pytest.mark.parametrize(
    ("sizes", "why"),
    [
        pytest.param(
            {"round_mm": 90, "height_mm": 700},
            "too tall for the chamber: 700 mm, with room for 644 mm",
            id="too tall for the chamber",
        ),
        pytest.param(
            {"round_mm": 561, "height_mm": 90},
            "wider than the kiln shelf: 561 mm across on a shelf of 560 mm",
            id="wider than the kiln shelf",
        ),
        pytest.param(
            {"width_mm": 500, "depth_mm": 300, "height_mm": 90},
            "wider than the kiln shelf: 584 mm across on a shelf of 560 mm",
            id="longer from corner to corner",
        ),
    ],
)
def test_what_never_fits_is_left_out_with_its_reason(sizes: dict[str, Any], why: str) -> None:
    asked = asked_for([{"code": "BIG", **sizes}, *cups(1)])

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert plan["left_out"] == [{"code": "BIG", "why": why}]


TALLER = {"round_mm": 150, "height_mm": 400, "weight_g": 2 * HEAVY_G}
"""Higher than every post of the round kiln, and heavy."""


def test_what_is_higher_than_every_post_stands_on_the_top_shelf_heavy_or_not() -> None:
    low = [{"code": f"B{number}", "round_mm": 400, "height_mm": 90} for number in range(2)]

    plan, inside = one_firing([{"code": "TALL", **TALLER}, *low])

    assert inside == {"TALL", "B0", "B1"}
    *below, top = plan.shelves
    assert top.without_posts
    assert top.post_mm == 400
    assert "TALL" in {one.piece.code for one in top.placed}
    assert not any(shelf.without_posts for shelf in below)


@pytest.mark.parametrize(
    ("shelf", "wide"),
    [
        pytest.param({"width_mm": 510, "depth_mm": 510}, {"width_mm": 500, "depth_mm": 500, "height_mm": 40}, id="low"),
        pytest.param({"round_mm": 530}, {"round_mm": 520, "height_mm": 300}, id="high"),
        pytest.param({"half_mm": 560}, {"round_mm": 279, "height_mm": 60}, id="as wide as a half shelf"),
    ],
)
def test_what_is_too_wide_for_posts_is_on_the_top_shelf_over_shelves_with_posts(
    shelf: dict[str, Any], wide: dict[str, Any]
) -> None:
    asked = asked_for([{"code": "WIDE", "weight_g": 2 * HEAVY_G, **wide}, *cups(4)], shelf=shelf, gap_mm=6)

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert plan["left_out"] == []
    (firing,) = plan["firings"]
    *below, top = firing["shelves"]
    assert (top["without_posts"], top["post_mm"]) == (True, wide["height_mm"])
    assert "WIDE" in {one["code"] for one in top["pieces"]}
    assert below
    assert not any("without_posts" in one for one in below)


def test_two_that_are_too_wide_for_posts_fire_one_after_the_other() -> None:
    asked = asked_for([{"code": f"P{number}", "round_mm": 556, "height_mm": 40} for number in range(2)])

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert len(plan["firings"]) == 2


def test_two_that_are_higher_than_every_post_share_the_top_shelf_or_fire_one_after_the_other() -> None:
    slim = [{"code": f"T{number}", **TALLER} for number in range(2)]
    wide = [{"code": f"W{number}", "round_mm": 400, "height_mm": 360 + number} for number in range(2)]

    together, apart = planned(asked_for(slim, posts_mm=[100])), planned(asked_for(wide, posts_mm=[100]))

    assert (len(together["firings"]), len(apart["firings"])) == (1, 2)
    assert faults(asked_for(slim, posts_mm=[100]), together) == faults(asked_for(wide, posts_mm=[100]), apart) == []


def test_the_top_shelf_is_raised_for_a_later_and_higher_piece_while_there_is_room() -> None:
    first = {"code": "FIRST", "round_mm": 120, "height_mm": 360}
    filled = [{"code": f"B{number}", "round_mm": 460, "height_mm": 60, "promised": 1} for number in range(3)]
    later = {"code": "LATER", "round_mm": 120, "height_mm": 400, "promised": 2}

    plan, inside = one_firing([first, *filled, later])

    assert inside == {"FIRST", "B0", "B1", "LATER"}
    assert plan.shelves[-1].post_mm == 400


def test_a_kiln_whose_posts_are_all_too_long_for_it_takes_one_shelf() -> None:
    shelf = Shelf(ShelfKind.ROUND, 300, 300)
    kiln = LoadKiln(shelf=shelf, height_mm=300, shelf_thickness_mm=10, posts_mm=(350.0,), gap_above_mm=10)

    plan = plan_firing(
        kiln, 0, [PieceToLoad("A", Footprint.round(90), 280), PieceToLoad("B", Footprint.round(90), 281)]
    )

    # 300 - 10 of shelf - 10 under the roof = 280
    assert [(one.post_mm, one.without_posts) for one in plan.shelves] == [(280, True)]
    assert [left.reason for left in plan.left_out] == [
        Message("chamber-too-low", "", height=mm(281, 1), room=mm(280, 1))
    ]


def test_heavy_pieces_stand_lowest_and_the_tallest_level_on_top() -> None:
    pieces = [
        {"code": "TALL", "round_mm": 500, "height_mm": 220, "weight_g": 900},
        {"code": "FLAT", "round_mm": 500, "height_mm": 40, "weight_g": 900},
        {"code": "HEAVY", "round_mm": 500, "height_mm": 120, "weight_g": HEAVY_G},
    ]

    plan, _ = one_firing(pieces, post_radius_mm=10)

    assert [shelf.placed[0].piece.code for shelf in plan.shelves] == ["HEAVY", "FLAT", "TALL"]


def test_nothing_to_load_needs_no_firing() -> None:
    assert planned(asked_for([])) == {"firings": [], "left_out": []}


@pytest.mark.parametrize(
    ("size", "percent", "left"),
    [(100, 0, 100), (100, 6, 94), (101, 6, 95), (100, 5.5, 95), (90, 10, 81), (50, 8, 46)],
)
def test_a_size_after_shrinkage_is_rounded_up(size: float, percent: float, left: int) -> None:
    assert shrunk(size, percent) == left


def test_a_copy_of_a_shelf_is_filled_on_its_own() -> None:
    ground = Ground(Shelf(ShelfKind.ROUND, 300, 300), 0)
    other = ground.copy()
    large = Footprint.round(250)
    spot = ground.spot_for(large)
    assert spot is not None

    other.put(large, spot)

    assert other.spot_for(large) is None
    assert ground.spot_for(large) == spot


def test_pieces_need_no_promise_and_a_kiln_no_posts_of_any_width() -> None:
    shelf = Shelf(ShelfKind.ROUND, 300, 300)
    kiln = LoadKiln(shelf=shelf, height_mm=300, shelf_thickness_mm=10, posts_mm=(100.0, 100.0), gap_above_mm=5)

    plan = plan_firing(
        kiln, 0, [PieceToLoad("A", Footprint.round(290), 95), PieceToLoad("B", Footprint.round(290), 90)]
    )

    assert [shelf.post_mm for shelf in plan.shelves] == [100, 100]
