"""A kiln from the side: shelves at their heights, pieces on them, the roof, and what is free below it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given

from printing.lettering import NARROW, SCREEN_SIZE, SMALLEST_PRINT
from printing.loading.load_pictures import LevelSeen, LoadSeen, PieceSeen
from printing.loading.stack_pictures import free_room, stack_picture, tops
from printing.shapes import Face, Ink, Oblong
from tests.drawn import examples
from tests.printing.firing.firings import (
    ROUND,
    THREE_POSTS,
    a_load,
    any_loads,
    edges_of,
    outside,
    overlapping,
    said,
    texts,
)
from tests.printing.firing.words import LOAD_WORDS

TALL = PieceSeen(label="K7R43", x_mm=0, y_mm=0, height_mm=140, round_mm=200)
LOW = PieceSeen(label="HX5NA", x_mm=0, y_mm=-120, height_mm=60, round_mm=120)
TWO_SHELVES = LoadSeen(
    "Big gas kiln",
    ROUND,
    (LevelSeen(150, (TALL,), THREE_POSTS, length="150 mm"), LevelSeen(0, (TALL, LOW))),
    20,
    500,
    LOAD_WORDS,
)


@examples(25)
@given(any_loads)
def test_whatever_the_load_no_word_stands_on_another_and_none_leaves_the_picture(load: LoadSeen) -> None:
    for width, size, height in ((NARROW, SCREEN_SIZE, None), (40.0, SMALLEST_PRINT, 50.0)):
        picture = stack_picture(load, width=width, size=size, height=height)

        assert overlapping(picture) == []
        assert [shape for shape in outside(picture) if shape in texts(picture)] == []
        assert all(text.size >= size for text in texts(picture))
        assert height is None or picture.height <= height + 1e-6


def test_shelves_lie_on_their_posts() -> None:
    # The lowest lies on the floor with its upper face at 20; 150 of posts and 20 of shelf above it is 190.
    assert tops(TWO_SHELVES) == (20, 190)


def test_what_is_free_is_what_the_highest_piece_leaves_under_the_roof() -> None:
    assert free_room(TWO_SHELVES) == 500 - 190 - 140
    assert "170 mm free below the top of the kiln" in said(stack_picture(TWO_SHELVES))


def test_a_load_too_high_for_its_kiln_is_said_in_words_and_stays_in_the_picture() -> None:
    picture = stack_picture(replace(TWO_SHELVES, height_mm=300))

    (warning,) = (text for text in texts(picture) if "too high" in text.text)
    assert warning.text == "30 mm too high for the kiln"
    assert warning.ink is Ink.IRON
    assert outside(picture) == []


def test_pieces_are_drawn_to_scale_above_their_shelves() -> None:
    picture = stack_picture(TWO_SHELVES)
    outlines = [
        shape for shape in picture.shapes if isinstance(shape, Oblong) and shape.pen and shape.pen.ink is Ink.INK
    ]
    shelf = next(shape for shape in picture.shapes if isinstance(shape, Oblong) and shape.ground is Ink.SOFT)

    scale = shelf.width / 560
    first = outlines[0]
    assert first.pen is not None
    assert first.height + first.pen.width == pytest.approx(140 * scale)
    assert first.y + first.height + first.pen.width / 2 == pytest.approx(shelf.y)


def test_a_code_stands_on_its_piece_only_where_nothing_nearer_hides_it() -> None:
    picture = stack_picture(TWO_SHELVES, width=400)

    codes = [text.text for text in texts(picture) if text.face is Face.CODE]
    # On the lower shelf a post stands before the piece; on the upper one each shows above or before the other.
    assert codes.count("HX5NA") == 1
    for text in texts(picture):
        if text.text == "K7R43":
            low = next(edges_of(other) for other in texts(picture) if other.text == "HX5NA")
            assert edges_of(text)[3] <= low[1] or edges_of(text)[1] >= low[3]


def test_every_shelf_is_numbered_and_every_post_has_its_length() -> None:
    load = a_load([8, 8, 8, 8, 8])
    picture = stack_picture(load)

    numbers = [text.text for text in texts(picture) if text.face is Face.BOLD and text.text.isdigit()]
    assert numbers == ["1", "2", "3", "4", "5"]
    assert said(picture).count("150 mm") == 4
