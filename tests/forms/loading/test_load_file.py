"""A file with a load to plan becomes values, or every problem in it is named."""

from __future__ import annotations

import json
from contextlib import suppress
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import is_told, said
from tracker.domain.loading.loads import LoadKiln, PieceToLoad
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind
from tracker.domain.message import Fact, Message
from tracker.domain.refusals import Unusable
from tracker.forms.loading.load_file import MOST_PIECES, read_load

A_SHELF = 'give exactly one of these: "round_mm" or "half_mm" or "width_mm" and "depth_mm".'
PIECE_KEYS = (
    *("code", "round_mm", "width_mm", "depth_mm", "height_mm"),
    *("weight_g", "promised", "set", "nests", "wall_mm"),
)

KILN = {
    "shelf": {"round_mm": 560},
    "height_mm": 690,
    "shelf_thickness_mm": 16,
    "posts_mm": [100, 150],
    "clearance_top_mm": 30,
    "post_radius_mm": 20,
}
CUP = {"code": "K7R43", "round_mm": 90, "height_mm": 95}
BOX = {"code": "BOX", "width_mm": 120, "depth_mm": 80.5, "height_mm": 60}
WHOLE: dict[str, Any] = {"kiln": KILN, "gap_mm": 6, "pieces": [CUP, BOX]}


def file_with(path: str, value: object) -> str:
    """The whole file with the value at `path` ("kiln.shelf.round_mm", "pieces.0.code") put in or replaced."""
    whole = json.loads(json.dumps(WHOLE))
    *way, last = path.split(".")
    place: Any = whole
    for step in way:
        place = place[int(step) if step.isdigit() else step]
    place[int(last) if last.isdigit() else last] = value
    return json.dumps(whole)


def problems(text: str) -> list[Message]:
    """What is wrong with a file, one sentence for each thing."""
    with pytest.raises(Unusable) as refusal:
        read_load(text)
    return list(refusal.value.problems)


def test_a_whole_file_becomes_a_kiln_a_gap_and_pieces() -> None:
    asked = read_load(json.dumps(WHOLE))

    assert asked.kiln == LoadKiln(
        shelf=Shelf(ShelfKind.ROUND, 560, 560),
        height_mm=690,
        shelf_thickness_mm=16,
        posts_mm=(100, 150),
        clearance_top_mm=30,
        post_radius_mm=20,
        gap_above_mm=10,
    )
    assert (asked.gap_mm, asked.bisque) == (6, False)
    assert asked.pieces == (
        PieceToLoad("K7R43", Footprint.round(90), 95),
        PieceToLoad("BOX", Footprint(120, 80.5), 60),
    )


def test_what_may_be_left_out_may_also_be_told() -> None:
    piece = {**CUP, "weight_g": 450, "set": "tea", "promised": 3}
    kiln = {**KILN, "shelf": {"half_mm": 500}, "cones": {"width_mm": 60, "depth_mm": 25}}

    asked = read_load(json.dumps({"kiln": kiln, "pieces": [piece]}))

    assert asked.kiln.shelf == Shelf(ShelfKind.HALF, 500, 500)
    assert asked.kiln.cones == Footprint(60, 25)
    assert asked.gap_mm == 0
    assert asked.pieces == (PieceToLoad("K7R43", Footprint.round(90), 95, weight_g=450, promised=3, set_name="tea"),)


@pytest.mark.parametrize(
    ("told", "gap_above_mm"),
    [
        pytest.param({}, 10, id="a glaze firing"),
        pytest.param({"bisque": True}, 5, id="a bisque"),
        pytest.param({"bisque": True, "gap_above_mm": 0}, 0, id="told"),
    ],
)
def test_over_each_piece_stays_a_gap_the_usual_one_where_none_is_told(told: dict[str, Any], gap_above_mm: int) -> None:
    assert read_load(json.dumps({**WHOLE, **told})).kiln.gap_above_mm == gap_above_mm


def test_a_bisque_is_told_what_nests_and_how_thick_its_wall_is() -> None:
    bowl = {**CUP, "nests": True, "wall_mm": 6}

    asked = read_load(json.dumps({**WHOLE, "bisque": True, "pieces": [bowl]}))

    assert asked.bisque
    assert asked.pieces == (PieceToLoad("K7R43", Footprint.round(90), 95, nests=True, wall_mm=6),)


@pytest.mark.parametrize(
    ("text", "code", "facts"),
    [
        pytest.param("", "empty", {}, id="empty"),
        pytest.param(file_with("bisque", 1), "not-a-flag", {"path": "bisque"}, id="1 for true"),
        pytest.param(file_with("pieces.0.nests", "yes"), "not-a-flag", {"path": "pieces[0].nests"}, id="yes for true"),
        pytest.param("[", "not-json", {}, id="isn't JSON"),
        pytest.param("[]", "not-an-object", {}, id="a list"),
        pytest.param("[" * 100_000, "too-deep", {}, id="nested"),
        pytest.param('{"gap_mm": 1, "gap_mm": 2}', "key-twice", {"key": "gap_mm"}, id="a key twice"),
        pytest.param('{"gap_mm": NaN}', "not-finite", {"word": "NaN"}, id="no number"),
        pytest.param(file_with("color", 1), "key-unknown", {"key": "color"}, id="key"),
        pytest.param(
            file_with("gap_mm", -1), "number-outside", {"path": "gap_mm", "least": 0, "most": 5_000}, id="negative"
        ),
        pytest.param(
            file_with("gap_mm", value=True),
            "not-a-number",
            {"path": "gap_mm"},
            id="true for a number",
        ),
        pytest.param(
            file_with("kiln.height_mm", "690"),
            "not-a-number",
            {"path": "kiln.height_mm"},
            id="text for a number",
        ),
        pytest.param(file_with("kiln.height_mm", 0), "no-length", {"path": "kiln.height_mm"}, id="nothing"),
        pytest.param(
            file_with("kiln.height_mm", 10**400),
            "number-outside",
            {"path": "kiln.height_mm", "least": 0, "most": 5_000},
            id="huge",
        ),
        pytest.param(
            file_with("kiln.heigth_mm", 690),
            "key-misspelt",
            {"path": "kiln", "key": "heigth_mm", "near": "height_mm"},
            id="typo",
        ),
        pytest.param(file_with("kiln.posts_mm", []), "no-posts", {"path": "kiln.posts_mm"}, id="posts"),
        pytest.param(
            file_with("kiln.posts_mm", [100, -50]),
            "number-outside",
            {"path": "kiln.posts_mm[1]", "least": 0, "most": 5_000},
            id="a post",
        ),
        pytest.param(
            file_with("kiln.posts_mm", [650]),
            "posts-too-long",
            {"path": "kiln.posts_mm"},
            id="posts too long",
        ),
        pytest.param(
            file_with("kiln.post_radius_mm", 140),
            "posts-too-thick",
            {"path": "kiln.post_radius_mm"},
            id="posts too thick",
        ),
        pytest.param(
            file_with("kiln.shelf", {"round_mm": 560, "width_mm": 400}),
            "one-way-only",
            {"path": "kiln.shelf"},
            id="a shelf of two shapes",
        ),
        pytest.param(
            file_with("kiln.shelf", {"width_mm": 400}),
            "key-missing",
            {"path": "kiln.shelf", "key": "depth_mm"},
            id="half a shelf's measures",
        ),
        pytest.param(
            file_with("pieces.0.width_mm", 90),
            "one-way-only",
            {"path": "pieces[0]"},
            id="a piece of two shapes",
        ),
        pytest.param(
            file_with("pieces.0", {"code": "A", "height_mm": 9}),
            "one-way-only",
            {"path": "pieces[0]"},
            id="a piece of no shape",
        ),
        pytest.param(
            file_with("pieces.0", {"code": "A", "round_mm": 9}),
            "key-missing",
            {"path": "pieces[0]", "key": "height_mm"},
            id="no height",
        ),
        pytest.param(file_with("pieces.0.code", ""), "name-missing", {"path": "pieces[0].code"}, id="code"),
        pytest.param(
            file_with("pieces.0.code", "\ud800"),
            "stray-character",
            {"path": "pieces[0].code", "character": "U+D800"},
            id="a lone surrogate",
        ),
        pytest.param(
            file_with("pieces.1.code", "K7R43"), "code-repeated", {"path": "pieces", "count": 2}, id="a code twice"
        ),
        pytest.param(
            file_with("pieces.0.weight_g", 0), "no-weight", {"path": "pieces[0].weight_g"}, id="isn't a weight"
        ),
        pytest.param(file_with("pieces.0", 7), "not-an-object", {"path": "pieces[0]"}, id="7"),
        pytest.param(
            file_with("pieces", [CUP] * (MOST_PIECES + 1)),
            "list-too-long",
            {"path": "pieces", "most": 1_000, "count": 1_001},
            id="too many",
        ),
    ],
)
def test_what_makes_no_sense_is_refused_with_one_sentence(text: str, code: str, facts: dict[str, Fact]) -> None:
    (problem,) = problems(text)

    assert is_told(problem, code, facts)
    assert said(problem).endswith((".", "?"))


def test_all_problems_are_told_at_once() -> None:
    text = json.dumps(
        {
            "kiln": {"shelf": {"round_mm": -1}, "height_mm": None, "shelf_thickness_mm": 16},
            "pieces": [{**CUP, "round_mm": "wide"}, {"code": "B", "lid": True}],
        }
    )

    assert [(one.code, one["path"]) for one in problems(text)] == [
        ("number-outside", "kiln.shelf.round_mm"),
        ("not-a-number", "kiln.height_mm"),
        ("key-missing", "kiln"),
        ("not-a-number", "pieces[0].round_mm"),
        ("key-unknown", "pieces[1]"),
        ("key-missing", "pieces[1]"),
        ("one-way-only", "pieces[1]"),
    ]


def test_where_and_what_are_one_sentence() -> None:
    (problem,) = problems(file_with("pieces.0.width_mm", 90))

    ways = '"round_mm" or "width_mm" and "depth_mm"'
    assert said(problem) == f"pieces[0]: give exactly one of these: {ways}."


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from([*KILN, *CUP, *WHOLE]), inner),
    max_leaves=8,
)


@given(
    st.sampled_from(["kiln", "kiln.shelf", "kiln.posts_mm", "gap_mm", "pieces", "pieces.0", "pieces.1.code"]), anything
)
def test_whatever_stands_in_a_file_it_is_read_or_refused(path: str, value: object) -> None:
    with suppress(Unusable):
        asked = read_load(file_with(path, value))
        assert asked.kiln.usable_posts_mm
        assert all(piece.height_mm > 0 for piece in asked.pieces)
