"""A load plan can be loaded as it stands, and is about as low as it can be."""

from __future__ import annotations

import csv
import json
from itertools import permutations
from math import pi
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.loading.load_check import faults
from tests.domain.loading.load_mixes import KILNS, POSTS_MM, ROUND_KILN, studio_mix
from tests.drawn import examples
from tests.reading import said
from tracker.domain.loading.loads import HEAVY_G, LoadKiln, LoadPlan, PieceToLoad, shrunk
from tracker.domain.loading.packing import Ground
from tracker.domain.loading.planner import plan_firing, plan_firings
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind
from tracker.domain.message import Message
from tracker.domain.quantities import mm
from tracker.forms.loading.load_file import LoadAsked, plan_as_json, read_load

# Published best-known packings of equal circles in a circle: the container's radius over theirs.
CIRCLES = Path(__file__).parents[2] / "reference" / "circles_in_a_circle.csv"
BEST_KNOWN = [
    (int(row["n"]), float(row["best_known_R_over_r"]))
    for row in csv.DictReader(CIRCLES.read_text(encoding="utf-8").splitlines())
]
WITHIN = 1.12


def asked_for(pieces: list[dict[str, Any]], gap_mm: float = 0, **kiln: object) -> dict[str, Any]:
    """What a file asks: the round kiln with some of it changed, and these pieces."""
    return {"kiln": {**ROUND_KILN, **kiln}, "gap_mm": gap_mm, "pieces": pieces}


def read(asked: dict[str, Any]) -> LoadAsked:
    """The same as the values that plans are made of."""
    return read_load(json.dumps(asked))


def planned(asked: dict[str, Any]) -> dict[str, Any]:
    """The plan of as many firings as it takes, as a file says it."""
    values = read(asked)
    return plan_as_json(plan_firings(values.kiln, values.gap_mm, values.pieces, may_nest=values.bisque), said)


def cups(count: int, **more: object) -> list[dict[str, Any]]:
    """So many cups of 90 mm."""
    return [{"code": f"C{number:03}", "round_mm": 90, "height_mm": 90, **more} for number in range(count)]


def levels(plan: dict[str, Any]) -> list[float]:
    """The posts of all levels of all firings."""
    return [shelf["post_mm"] for firing in plan["firings"] for shelf in firing["shelves"]]


# ---- whatever is asked, the plan can be loaded -------------------------------------------------------------------

lengths = st.one_of(st.integers(20, 260), st.floats(20, 260, allow_nan=False))
rounds = st.fixed_dictionaries({"round_mm": lengths, "height_mm": st.integers(5, 420)})
boxes = st.fixed_dictionaries({"width_mm": lengths, "depth_mm": lengths, "height_mm": st.integers(5, 420)})
extras = st.fixed_dictionaries(
    {},
    optional={
        "weight_g": st.integers(50, 9000),
        "promised": st.integers(0, 9),
        "set": st.sampled_from(["tea", "dinner", "chess"]),
        "nests": st.booleans(),
        "wall_mm": st.integers(3, 40),
    },
)
shelves = st.one_of(
    st.fixed_dictionaries({"round_mm": st.integers(260, 560)}),
    st.fixed_dictionaries({"half_mm": st.integers(300, 560)}),
    st.fixed_dictionaries({"width_mm": st.integers(200, 600), "depth_mm": st.integers(200, 600)}),
)
kilns = st.fixed_dictionaries(
    {
        "shelf": shelves,
        "height_mm": st.integers(400, 900),
        "shelf_thickness_mm": st.integers(0, 25),
        "posts_mm": st.lists(st.integers(40, 360), min_size=1, max_size=6),
        "clearance_top_mm": st.integers(0, 30),
        "post_radius_mm": st.sampled_from([0, 15, 20.5]),
    },
    optional={"cones": st.just({"width_mm": 60, "depth_mm": 25})},
)


@st.composite
def loads(draw: st.DrawFn) -> dict[str, Any]:
    """A kiln and some pieces, a few of them too large for it, for a glaze firing or a bisque."""
    sizes = draw(st.lists(st.tuples(st.one_of(rounds, boxes), extras), min_size=1, max_size=24))
    pieces = [{"code": f"P{number}", **size, **extra} for number, (size, extra) in enumerate(sizes)]
    gaps = st.fixed_dictionaries(
        {"gap_mm": st.sampled_from([0, 3.5, 6])},
        optional={"gap_above_mm": st.sampled_from([0, 7.3, 25]), "bisque": st.booleans()},
    )
    return {"kiln": draw(kilns), **draw(gaps), "pieces": pieces}


@given(loads())
@examples(60)
def test_whatever_is_asked_the_plan_can_be_loaded(asked: dict[str, Any]) -> None:
    assert faults(asked, planned(asked)) == []


@given(loads())
@examples(40)
def test_one_firing_of_whatever_is_asked_can_be_loaded(asked: dict[str, Any]) -> None:
    values = read(asked)

    plan = plan_firing(values.kiln, values.gap_mm, values.pieces, may_nest=values.bisque)

    assert len(plan.firings) <= 1
    assert faults(asked, plan_as_json(plan, said)) == []


@pytest.mark.parametrize("kiln", KILNS)
@pytest.mark.parametrize("gap_mm", [0, 6])
@pytest.mark.parametrize("count", [20, 50, 100, 200])
def test_a_studio_mix_can_be_loaded(kiln: str, gap_mm: float, count: int) -> None:
    asked = {"kiln": KILNS[kiln], "gap_mm": gap_mm, "pieces": studio_mix(count, seed=1)}

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert plan["left_out"] == []


def test_searching_on_gives_a_plan_that_can_be_loaded_and_is_no_higher() -> None:
    asked = {"kiln": KILNS["round"], "gap_mm": 6, "pieces": studio_mix(60, seed=2)}
    values = read(asked)
    steps = iter(range(6))

    first = plan_firings(values.kiln, values.gap_mm, values.pieces)
    later = plan_firings(values.kiln, values.gap_mm, values.pieces, lambda: next(steps, None) is not None)

    assert faults(asked, plan_as_json(later, said)) == []
    assert later.stack_mm(values.kiln) <= first.stack_mm(values.kiln)
    assert len(later.firings) <= len(first.firings)


def test_the_same_pieces_get_the_same_plan() -> None:
    asked = {"kiln": KILNS["round"], "gap_mm": 6, "pieces": studio_mix(50, seed=3)}

    assert planned(asked) == planned(asked)


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        pytest.param(lambda shelf: shelf["pieces"][0].update(x_mm=500), "leaves its shelf", id="off the shelf"),
        pytest.param(lambda shelf: shelf["pieces"][0].update(x_mm=0, y_mm=258), "and a post", id="on a post"),
        pytest.param(lambda shelf: shelf["pieces"].pop(), "told 0 times", id="forgotten"),
        pytest.param(lambda shelf: shelf["pieces"].append(dict(shelf["pieces"][0])), "told 2 times", id="twice"),
        pytest.param(lambda shelf: shelf.update(post_mm=75), "higher than its post", id="post too short"),
        pytest.param(lambda shelf: shelf.update(post_mm=700), "mm high", id="stack too high"),
        pytest.param(
            lambda shelf: shelf["pieces"][0].update(x_mm=shelf["pieces"][1]["x_mm"], y_mm=shelf["pieces"][1]["y_mm"]),
            "mm apart",
            id="one in another",
        ),
    ],
)
def test_the_check_finds_what_is_wrong_with_a_plan(spoil: Any, says: str) -> None:  # noqa: ANN401 -- any way to spoil it
    asked = asked_for(cups(9), gap_mm=3)
    plan = planned(asked)
    assert faults(asked, plan) == []

    spoil(plan["firings"][0]["shelves"][0])

    assert any(says in fault for fault in faults(asked, plan))


# ---- about as good as can be -------------------------------------------------------------------------------------


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


# ---- who goes first, who goes where, who stays out ---------------------------------------------------------------


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
