"""A file with a load to plan becomes values, or every problem in it is named."""

from __future__ import annotations

import json
from contextlib import suppress
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import said
from tracker.domain.loading.loads import LoadKiln, PieceToLoad
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind
from tracker.domain.refusals import Unusable
from tracker.forms.loading.load_file import MOST_PIECES, read_load

A_SHELF = 'it is told by "round_mm" or "half_mm" or "width_mm" and "depth_mm", and by one of these ways only.'
PIECE_KEYS = ("code", "round_mm", "width_mm", "depth_mm", "height_mm", "weight_g", "promised", "set")

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


def problems(text: str) -> list[str]:
    """What is wrong with a file, one sentence for each thing."""
    with pytest.raises(Unusable) as refusal:
        read_load(text)
    return list(map(said, refusal.value.problems))


def test_a_whole_file_becomes_a_kiln_a_gap_and_pieces() -> None:
    asked = read_load(json.dumps(WHOLE))

    assert asked.kiln == LoadKiln(
        shelf=Shelf(ShelfKind.ROUND, 560, 560),
        height_mm=690,
        shelf_thickness_mm=16,
        posts_mm=(100, 150),
        clearance_top_mm=30,
        post_radius_mm=20,
    )
    assert asked.gap_mm == 6
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
    ("text", "says"),
    [
        pytest.param("", "This file is empty.", id="empty"),
        pytest.param("[", "This file is not JSON: Expecting value at character 2.", id="not JSON"),
        pytest.param("[]", "An object with keys is needed here, not a list.", id="a list"),
        pytest.param("[" * 100_000, "This file is nested too deeply.", id="nested"),
        pytest.param('{"gap_mm": 1, "gap_mm": 2}', 'The key "gap_mm" stands twice in one object.', id="a key twice"),
        pytest.param('{"gap_mm": NaN}', "NaN is not a number that anything can be measured by.", id="no number"),
        pytest.param(file_with("colour", 1), '"colour" is not a key here; known are kiln, gap_mm, pieces.', id="key"),
        pytest.param(file_with("gap_mm", -1), "gap_mm: a number from 0 to 5000 is needed.", id="negative"),
        pytest.param(
            file_with("gap_mm", value=True),
            "gap_mm: a number is needed, without quotes, not true or false.",
            id="true for a number",
        ),
        pytest.param(
            file_with("kiln.height_mm", "690"),
            "kiln.height_mm: a number is needed, without quotes, not a text.",
            id="text for a number",
        ),
        pytest.param(file_with("kiln.height_mm", 0), "kiln.height_mm: a length over 0 mm is needed.", id="nothing"),
        pytest.param(
            file_with("kiln.height_mm", 10**400), "kiln.height_mm: a number from 0 to 5000 is needed.", id="huge"
        ),
        pytest.param(
            file_with("kiln.heigth_mm", 690),
            'kiln: "heigth_mm" is not a key here; did you mean "height_mm"?',
            id="typo",
        ),
        pytest.param(
            file_with("kiln.posts_mm", []), "kiln.posts_mm: a list of at least one post is needed.", id="posts"
        ),
        pytest.param(
            file_with("kiln.posts_mm", [100, -50]), "kiln.posts_mm[1]: a number from 0 to 5000 is needed.", id="a post"
        ),
        pytest.param(
            file_with("kiln.posts_mm", [650]),
            "kiln.posts_mm: no level on any of these posts fits into 660 mm of height.",
            id="posts too long",
        ),
        pytest.param(
            file_with("kiln.post_radius_mm", 140),
            "kiln.post_radius_mm: posts of 280 mm leave no room on this shelf.",
            id="posts too thick",
        ),
        pytest.param(
            file_with("kiln.shelf", {"round_mm": 560, "width_mm": 400}),
            f"kiln.shelf: {A_SHELF}",
            id="a shelf of two shapes",
        ),
        pytest.param(
            file_with("kiln.shelf", {"width_mm": 400}),
            'kiln.shelf: "depth_mm" is missing.',
            id="half a shelf's measures",
        ),
        pytest.param(
            file_with("pieces.0.width_mm", 90),
            'pieces[0]: it is told by "round_mm" or "width_mm" and "depth_mm", and by one of these ways only.',
            id="a piece of two shapes",
        ),
        pytest.param(
            file_with("pieces.0", {"code": "A", "height_mm": 9}),
            'pieces[0]: it is told by "round_mm" or "width_mm" and "depth_mm", and by one of these ways only.',
            id="a piece of no shape",
        ),
        pytest.param(
            file_with("pieces.0", {"code": "A", "round_mm": 9}), 'pieces[0]: "height_mm" is missing.', id="no height"
        ),
        pytest.param(file_with("pieces.0.code", ""), "pieces[0].code: a name is needed, not an empty text.", id="code"),
        pytest.param(
            file_with("pieces.0.code", "\ud800"),
            "pieces[0].code: the text holds the character U+D800, which cannot be printed.",
            id="a lone surrogate",
        ),
        pytest.param(
            file_with("pieces.1.code", "K7R43"), 'pieces: the code "K7R43" stands there 2 times.', id="a code twice"
        ),
        pytest.param(
            file_with("pieces.0.weight_g", 0), "pieces[0].weight_g: a weight over 0 g is needed.", id="no weight"
        ),
        pytest.param(file_with("pieces.0", 7), "pieces[0]: an object with keys is needed here, not a number.", id="7"),
        pytest.param(
            file_with("pieces", [CUP] * (MOST_PIECES + 1)),
            "pieces: a list of at most 1000 is needed; this has 1001.",
            id="too many",
        ),
    ],
)
def test_what_makes_no_sense_is_refused_with_one_sentence(text: str, says: str) -> None:
    assert problems(text) == [says]


def test_all_problems_are_told_at_once() -> None:
    text = json.dumps(
        {
            "kiln": {"shelf": {"round_mm": -1}, "height_mm": None, "shelf_thickness_mm": 16},
            "pieces": [{**CUP, "round_mm": "wide"}, {"code": "B", "lid": True}],
        }
    )

    assert problems(text) == [
        "kiln.shelf.round_mm: a number from 0 to 5000 is needed.",
        "kiln.height_mm: a number is needed, without quotes, not nothing (null).",
        'kiln: "posts_mm" is missing.',
        "pieces[0].round_mm: a number is needed, without quotes, not a text.",
        f'pieces[1]: "lid" is not a key here; known are {", ".join(PIECE_KEYS)}.',
        'pieces[1]: "height_mm" is missing.',
        'pieces[1]: it is told by "round_mm" or "width_mm" and "depth_mm", and by one of these ways only.',
    ]


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
