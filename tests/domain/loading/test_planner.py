"""Whatever is asked, the load plan can be loaded as it is."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given

from tests.domain.loading.asked_loads import asked_for, cups, loads, planned, read
from tests.domain.loading.load_check import faults
from tests.domain.loading.load_mixes import KILNS, studio_mix
from tests.drawn import examples
from tests.reading import said
from tracker.domain.loading.planner import plan_firing, plan_firings
from tracker.forms.loading.load_file import plan_as_json


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
