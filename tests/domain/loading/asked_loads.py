"""Loads as a file asks for them, and their plans."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import strategies as st

from tests.domain.loading.load_mixes import ROUND_KILN
from tests.reading import said
from tracker.domain.loading.planner import plan_firings
from tracker.forms.loading.load_file import LoadAsked, plan_as_json, read_load


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
