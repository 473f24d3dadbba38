"""In a bisque open forms nest and stack and tiles lie in piles, by rules that can be worked out by hand."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.loading.asked_loads import asked_for, levels, loads, planned, read
from tests.domain.loading.load_check import faults
from tests.drawn import examples
from tests.reading import said
from tracker.domain.loading.loads import PieceToLoad
from tracker.domain.loading.piles import rise_in
from tracker.domain.loading.planner import plan_firing, plan_firings
from tracker.domain.loading.shelf_shapes import Footprint
from tracker.forms.loading.load_file import plan_as_json


def bowls(count: int, across: int = 150, high: int = 70, **more: object) -> list[dict[str, Any]]:
    """So many open bowls alike."""
    sizes = {"round_mm": across, "height_mm": high, "nests": True}
    return [{"code": f"B{number:03}", **sizes, **more} for number in range(count)]


def in_a_bisque(pieces: list[dict[str, Any]], **more: object) -> dict[str, Any]:
    """What a file asks for a bisque of these pieces."""
    return {**asked_for(pieces), "bisque": True, **more}


def resting(plan: dict[str, Any]) -> dict[str, tuple[str, str, float]]:
    """How each piece that is nested or stacked rests, on which, and how high over the shelf it begins."""
    return {
        one["code"]: (one["rests"], one["below"], one["over_mm"])
        for firing in plan["firings"]
        for shelf in firing["shelves"]
        for one in shelf["pieces"]
        if "below" in one
    }


# ---- the gap over every piece ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("high", "more", "post"),
    [
        # 10 mm stay free over a piece in a glaze firing, 5 mm in a bisque (common practice): 100 + 10 > 100.
        pytest.param(100, {}, 150, id="a pot as high as a post, glazed"),
        pytest.param(90, {}, 100, id="10 mm less, glazed"),
        pytest.param(91, {}, 150, id="9 mm less, glazed"),
        pytest.param(95, {"bisque": True}, 100, id="5 mm less, in a bisque"),
        pytest.param(96, {"bisque": True}, 150, id="4 mm less, in a bisque"),
        pytest.param(100, {"gap_above_mm": 0}, 100, id="without a gap"),
        pytest.param(100, {"gap_above_mm": 60}, 200, id="a wide gap"),
    ],
)
def test_nothing_touches_the_shelf_above(high: int, more: dict[str, Any], post: int) -> None:
    asked = {**asked_for([{"code": "POT", "round_mm": 120, "height_mm": high}]), **more}

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert levels(plan) == [post]


def test_the_check_refuses_a_plan_in_which_a_pot_touches_the_shelf_above() -> None:
    asked = asked_for([{"code": "POT", "round_mm": 120, "height_mm": 100}])
    plan = planned(asked)

    plan["firings"][0]["shelves"][0]["post_mm"] = 100

    assert faults(asked, plan) == ["POT is higher than its post, less the gap over it"]


def test_under_the_roof_stays_the_clearance_or_the_gap_whichever_is_more() -> None:
    # 690 - 16 of shelf - 10 of gap = 664, where no clearance is asked for; with a clearance of 30 mm 644.
    pots = [{"code": f"T{high}", "round_mm": 120, "height_mm": high} for high in (664, 665)]

    free, cleared = planned(asked_for(pots, clearance_top_mm=0)), planned(asked_for(pots))

    assert [one["code"] for one in free["left_out"]] == ["T665"]
    assert [one["code"] for one in cleared["left_out"]] == ["T664", "T665"]


def test_a_pot_under_which_no_post_leaves_a_gap_stands_on_top_without_posts() -> None:
    asked = asked_for([{"code": "TALL", "round_mm": 120, "height_mm": 350}, *bowls(2, across=400)])

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert [shelf.get("without_posts", False) for shelf in plan["firings"][0]["shelves"]] == [False, True]
    assert plan["firings"][0]["shelves"][-1]["post_mm"] == 350


# ---- what goes in what -------------------------------------------------------------------------------------------


def form(across: float, high: float, wall_mm: float | None = None) -> PieceToLoad:
    """An open form."""
    return PieceToLoad("B", Footprint.round(across), high, nests=True, wall_mm=wall_mm)


@pytest.mark.parametrize(
    ("lower", "upper", "rise"),
    [
        # The wall of the lower one (8 mm) and the clearance (3 mm) are 11 mm to a side. The cone of a bowl 150 wide and
        # 70 high widens by 150 / 2 / 3 = 25 mm to a side over its height, so 11 mm take 11 / 25 of 70 = 30.8 mm.
        pytest.param(form(150, 70), form(150, 70), 30.8, id="two alike"),
        # The same with a measured wall of 5 mm: 8 / 25 of 70 = 22.4 mm.
        pytest.param(form(150, 70, 5), form(150, 70), 22.4, id="a thin wall"),
        # A foot of 2/3 x 100 = 67 mm on a floor that is 2/3 x 180 - 2 x 8 = 104 mm wide: it stands on the floor, which
        # is 8 + 7 mm over the shelf. At its rim, 15 + 50 = 65 mm up, the large bowl is 180 (2/3 + 65/240) - 16 = 152.8
        # mm wide inside: the rim of 100 mm has room.
        pytest.param(form(180, 80), form(100, 50), 15, id="a small one on the floor of a large one"),
        # A flat one, 140 wide and 20 high, in one 150 wide and 70 high. Its rim touches first: the inside must be
        # 140 + 2 x 3 wide there, 150 (2/3 + z / 210) - 16 = 146, so z = 86.8: over the rim. It then rests on the rim
        # of the lower one, where it is 150 - 22 = 128 mm wide: 140 (2/3 + y / 60) = 128, y = 14.857; 70 - 14.857.
        pytest.param(form(150, 70), form(140, 20), 55.142857, id="a flat one caught by the rim"),
    ],
)
def test_a_bowl_comes_to_rest_where_the_walls_are_apart(lower: PieceToLoad, upper: PieceToLoad, rise: float) -> None:
    assert rise_in(lower, upper) == pytest.approx(rise)


def test_three_bowls_alike_nest_under_one_post() -> None:
    # 70 + 2 x 30.8 = 131.6 mm, and 5 mm over it: 136.6, under posts of 150.
    asked = in_a_bisque(bowls(3))

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert levels(plan) == [100]

    asked = in_a_bisque(bowls(3, across=300))
    plan = planned(asked)

    # So wide, 11 mm of the 50 that they widen by take 11 / 50 of 70 = 15.4 mm each: 70 + 30.8 + 5 = 105.8.
    assert faults(asked, plan) == []
    assert resting(plan) == {"B001": ("in", "B000", 15.4), "B002": ("in", "B001", 30.8)}
    assert levels(plan) == [150]


def test_thirty_bowls_take_four_levels_glazed_and_two_in_a_bisque() -> None:
    # On a shelf of 560 mm are 8 bowls of 150 mm, 9 without posts: 30 take four levels. In threes they are 10 piles.
    glazed, asked = asked_for(bowls(30)), in_a_bisque(bowls(30))

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert levels(planned(glazed)) == [100] * 4
    assert levels(plan) == [150] * 2


def test_tiles_lie_in_piles_of_three() -> None:
    # 12 tiles of 150 x 150 x 12 mm: a shelf of 320 x 320 mm takes 4 side by side, and 3 x 12 + 5 = 41 mm go under 50.
    tiles = [{"code": f"T{number}", "width_mm": 150, "depth_mm": 150, "height_mm": 12} for number in range(12)]
    asked = {**asked_for(tiles, shelf={"width_mm": 320, "depth_mm": 320}, post_radius_mm=0), "bisque": True}

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert levels(plan) == [50]
    assert sorted(over for _rests, _below, over in resting(plan).values()) == [12] * 4 + [24] * 4


def test_forms_too_thick_to_nest_go_rim_to_rim_and_foot_to_foot() -> None:
    # 20 + 3 mm of the 30 that each widens by would take 23 / 30 of 90 = 69 mm, less than its height: they nest. With a
    # wall of 40 mm 43 / 30 of 90 = 129 mm: rim to rim is lower, at 90, and the third stands on that one's foot, at 180.
    assert rise_in(form(180, 90, 20), form(180, 90, 20)) == pytest.approx(69)
    asked = in_a_bisque(bowls(6, across=180, high=90, wall_mm=40))
    # With these posts alone it gains to stack them: 3 x 90 + 5 = 275 mm.
    asked["kiln"] |= {"shelf": {"round_mm": 400}, "posts_mm": [280]}

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert [(rests, over) for rests, _below, over in resting(plan).values()] == [
        ("rim to rim", 90),
        ("foot to foot", 180),
    ] * 2


def test_a_long_tile_lies_along_a_long_tile() -> None:
    tiles = [
        {"code": "A", "width_mm": 300, "depth_mm": 100, "height_mm": 12},
        {"code": "B", "width_mm": 90, "depth_mm": 290, "height_mm": 12},
        {"code": "C", "width_mm": 295, "depth_mm": 95, "height_mm": 12},
    ]
    asked = {**asked_for(tiles, shelf={"width_mm": 310, "depth_mm": 110}, post_radius_mm=0), "bisque": True}

    plan = planned(asked)

    assert faults(asked, plan) == []
    turned = {one["code"]: one["turned"] for one in plan["firings"][0]["shelves"][0]["pieces"]}
    assert turned == {"A": False, "B": True, "C": False}


BIG, SMALL = {"code": "BIG", "round_mm": 300, "height_mm": 90}, {"code": "SMALL", "round_mm": 280, "height_mm": 60}


@pytest.mark.parametrize(
    ("big", "small", "nests"),
    [
        pytest.param({}, {}, True, id="nothing known of either weight"),
        pytest.param({"weight_g": 900}, {"weight_g": 900}, True, id="as heavy"),
        pytest.param({"weight_g": 900}, {"weight_g": 901}, False, id="heavier than what carries it"),
        pytest.param({"weight_g": 4000}, {"weight_g": 3000}, False, id="too heavy to go in anything"),
        pytest.param({}, {"weight_g": 3000}, False, id="too heavy, in one of unknown weight"),
        pytest.param({"height_mm": 40}, {"height_mm": 80}, False, id="larger than what carries it, weights unknown"),
        pytest.param({"wall_mm": 4}, {}, True, id="on ware that is not thin"),
        pytest.param({"wall_mm": 3.9}, {}, False, id="on thin ware"),
        pytest.param({"nests": False}, {}, False, id="the lower one stands alone"),
        pytest.param({}, {"nests": False}, False, id="the upper one stands alone"),
        pytest.param({"set": "A"}, {"set": "A"}, True, id="of one set"),
        pytest.param({"set": "A"}, {"set": "B"}, False, id="of two sets"),
        pytest.param({"set": "A"}, {}, False, id="of a set and of none"),
    ],
)
def test_nothing_heavy_goes_on_what_is_light_and_sets_stay_apart(
    big: dict[str, Any], small: dict[str, Any], nests: object
) -> None:
    # Two of them have no room side by side on 400 mm.
    asked = in_a_bisque([{**BIG, "nests": True, **big}, {**SMALL, "nests": True, **small}])
    asked["kiln"]["shelf"] = {"round_mm": 400}

    plan = planned(asked)

    assert faults(asked, plan) == []
    assert ("SMALL" in resting(plan)) is nests


def test_what_is_not_said_to_nest_stands_alone_and_glazed_ware_always_does() -> None:
    cups = [{"code": f"C{number}", "round_mm": 250, "height_mm": 90} for number in range(4)]

    assert resting(planned(in_a_bisque(cups))) == {}
    assert resting(planned(asked_for(bowls(9, across=250)))) == {}


# ---- laws --------------------------------------------------------------------------------------------------------


@given(loads())
@examples(40)
def test_nesting_never_makes_a_bisque_higher(asked: dict[str, Any]) -> None:
    values = read({**asked, "bisque": True})

    nested = plan_firings(values.kiln, values.gap_mm, values.pieces, may_nest=True)
    alone = plan_firings(values.kiln, values.gap_mm, values.pieces)

    assert len(nested.firings) <= len(alone.firings)
    assert len(nested.firings) < len(alone.firings) or nested.stack_mm(values.kiln) <= alone.stack_mm(values.kiln)


open_forms = st.fixed_dictionaries(
    {"round_mm": st.integers(80, 260), "height_mm": st.integers(30, 140), "nests": st.just(value=True)},
    optional={"weight_g": st.integers(100, 3500), "wall_mm": st.integers(2, 20), "set": st.sampled_from(["tea", "x"])},
)
tiles = st.fixed_dictionaries(
    {"width_mm": st.integers(60, 200), "depth_mm": st.integers(60, 200), "height_mm": st.integers(6, 15)}
)


@given(st.lists(st.one_of(open_forms, tiles), min_size=5, max_size=40), st.sampled_from([plan_firing, plan_firings]))
@examples(40)
def test_a_bisque_of_bowls_and_tiles_can_be_loaded(sizes: list[dict[str, Any]], make: Any) -> None:  # noqa: ANN401 -- either way to plan
    asked = in_a_bisque([{"code": f"P{number:02}", "promised": number, **size} for number, size in enumerate(sizes)])
    values = read(asked)

    plan = make(values.kiln, values.gap_mm, values.pieces, may_nest=True)

    assert faults(asked, plan_as_json(plan, said)) == []


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        pytest.param({"rests": "foot to foot"}, "can't rest foot to foot", id="another way"),
        pytest.param({"over_mm": 12}, "can't rest in", id="too deep"),
        pytest.param({"below": "B009"}, "rests on a piece that isn't on its shelf", id="on nothing"),
        pytest.param({"x_mm": 0.5}, "isn't over the piece that carries it", id="beside it"),
    ],
)
def test_the_check_finds_what_is_nested_wrongly(spoil: dict[str, Any], says: str) -> None:
    asked = in_a_bisque(bowls(2, across=300))
    plan = planned(asked)
    assert faults(asked, plan) == []

    plan["firings"][0]["shelves"][0]["pieces"][1].update(spoil)

    assert any(says in fault for fault in faults(asked, plan))


def test_the_check_finds_a_fourth_and_what_is_nested_in_a_glaze_firing() -> None:
    asked = in_a_bisque(bowls(3, across=300))
    plan = planned(asked)
    fourth = {**plan["firings"][0]["shelves"][0]["pieces"][-1], "code": "B003", "below": "B002", "over_mm": 46.2}

    plan["firings"][0]["shelves"][0]["pieces"].append(fourth)
    asked["pieces"] = bowls(4, across=300)

    assert "B003 is the fourth" in faults(asked, plan)
    assert "B001 is nested in a glaze firing" in faults({**asked, "bisque": False}, plan)
