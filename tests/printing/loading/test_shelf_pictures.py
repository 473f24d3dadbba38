"""A shelf from above: every piece can be found, nothing stands on anything, nothing leaves the picture."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given

from printing.lettering import NARROW, POINT, SCREEN_SIZE, SMALLEST_PRINT
from printing.loading.load_pictures import LevelSeen, LoadSeen, Part, PieceSeen, ShelfSeen, where
from printing.loading.shelf_pictures import shelf_picture, shelves_legend
from printing.shapes import Circle, Face, Ink, Line, Oblong, Triangle
from tests.drawn import examples
from tests.printing.firing.firings import (
    HALVES,
    OBLONG,
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

SIZES = [(NARROW, SCREEN_SIZE), (380.0, SCREEN_SIZE), (40.0, SMALLEST_PRINT), (88.0, 8.5 * POINT)]


def a_shelf(*pieces: PieceSeen, shelf: ShelfSeen = ROUND) -> LoadSeen:
    """A kiln with these pieces on its only shelf."""
    return LoadSeen("Test kiln", shelf, (LevelSeen(0, pieces, name="Shelf 1 of 1"),), 15, 600, LOAD_WORDS)


def a_piece(label: str = "K7R43", *, x: float = 0, y: float = 0, size: float = 200, **more: Any) -> PieceSeen:  # noqa: ANN401 -- any of its facts
    """A round piece."""
    return PieceSeen(label=label, x_mm=x, y_mm=y, height_mm=90, round_mm=size, **more)


@examples(25)
@given(any_loads)
def test_whatever_the_load_no_word_stands_on_another_and_nothing_leaves_the_picture(load: LoadSeen) -> None:
    for width, size in SIZES:
        picture = shelf_picture(load, 1, width=width, size=size)

        assert overlapping(picture) == []
        # People may drag a piece over its shelf's edge, so outlines may leave the picture; words may not.
        assert [shape for shape in outside(picture) if shape in texts(picture)] == []
        assert all(text.size >= size for text in texts(picture))


@examples(25)
@given(any_loads)
def test_whatever_the_load_every_code_can_be_read_on_its_piece_or_in_the_list(load: LoadSeen) -> None:
    picture = shelf_picture(load, 1)

    codes = sorted(piece.code.replace(" ", "") for piece in load.levels[0].pieces)
    written = [text.text for text in texts(picture) if text.face is Face.CODE]
    # Shortened labels end in an ellipsis, and one that has no number is followed by where it stands.
    starts = sorted(text.replace(" ", "").rstrip("…") for text in written)
    assert len(starts) == len(codes)
    for code in codes:
        assert any(start.startswith(code) or code.startswith(start) for start in starts)


@pytest.mark.parametrize("shelf", [ROUND, HALVES, OBLONG], ids=["round", "halves", "oblong"])
@pytest.mark.parametrize("count", [1, 8, 14, 29])
@pytest.mark.parametrize(("width", "size"), SIZES)
def test_on_a_real_shelf_a_piece_carries_its_code_or_a_number_of_the_list(
    shelf: ShelfSeen, count: int, width: float, size: float
) -> None:
    load = a_load([count], shelf)
    picture = shelf_picture(load, 1, width=width, size=size)

    numbers = [text.text for text in texts(picture) if text.face is Face.BOLD and text.text.isdigit()]
    codes = [text.text for text in texts(picture) if text.face is Face.CODE]
    assert sorted(codes) == sorted(piece.label for piece in load.levels[0].pieces)
    # Each number stands once on the shelf and once in the list.
    assert sorted(numbers, key=int) == [str(n) for n in range(1, len(numbers) // 2 + 1) for _ in "ab"]
    assert outside(picture) == []
    assert overlapping(picture) == []


def test_bowls_in_bowls_share_a_number_and_the_list_says_which_is_in_which() -> None:
    large = a_piece("W11", size=200)
    middle = a_piece("W13", size=200, below="W11", resting="in W11", over_mm=30)
    small = a_piece("W12", size=120, below="W13", resting="in W13", over_mm=60)
    other = a_piece("W14", x=180)
    load = a_shelf(small, other, large, middle)

    picture = shelf_picture(load, 1)

    assert [text.text for text in texts(picture) if text.face is Face.CODE] == [
        "W14",
        "W11",
        "W13 in W11",
        "W12 in W13",
    ]
    assert [text.text for text in texts(picture) if text.face is Face.BOLD and text.text.isdigit()] == ["1"] * 4
    assert LOAD_WORDS.nested in said(picture)
    # The outlines of the three are one in another, also where two are as wide.
    outlines = [shape for shape in picture.shapes if isinstance(shape, Circle) and shape.pen is not None][1:]
    rings = sorted((shape.radius for shape in outlines if shape.x == outlines[0].x), reverse=True)[:3]
    assert rings == sorted(set(rings), reverse=True)


def test_a_piece_on_a_kiln_cookie_is_drawn_within_the_outline_of_its_cookie() -> None:
    picture = shelf_picture(a_shelf(a_piece("K7R43", size=220, cookie_mm=10)), 1)

    _shelf, cookie, piece, *_legend = [shape for shape in picture.shapes if isinstance(shape, Circle) and shape.pen]
    assert piece.radius == pytest.approx(cookie.radius * 200 / 220, rel=0.02)
    assert LOAD_WORDS.on_cookie in said(picture)


def test_a_code_on_a_piece_stands_inside_its_outline() -> None:
    load = a_load([9])
    picture = shelf_picture(load, 1)
    outlines = [shape for shape in picture.shapes if isinstance(shape, Circle) and shape.pen is not None][1:]

    inside = 0
    for text in texts(picture):
        left, top, right, foot = edges_of(text)
        for circle in outlines:
            corners = [math.hypot(x - circle.x, y - circle.y) for x in (left, right) for y in (top, foot)]
            if text.face is Face.CODE and min(corners) < circle.radius:
                assert max(corners) < circle.radius
                inside += 1
    assert inside >= 2


def test_a_piece_is_drawn_to_scale_where_it_stands() -> None:
    picture = shelf_picture(a_shelf(a_piece(x=100, y=-50, size=140)), 1, width=562.4, size=12)

    shelf, piece = (shape for shape in picture.shapes if isinstance(shape, Circle))
    assert shelf.radius == pytest.approx(280)
    assert piece.x - shelf.x == pytest.approx(100)
    # The front is below, so what stands nearer to it stands lower.
    assert piece.y - shelf.y == pytest.approx(50)
    assert piece.pen is not None
    assert piece.radius + piece.pen.width / 2 == pytest.approx(70)


def test_the_signs_of_a_piece_are_shapes_and_explained_in_words() -> None:
    picture = shelf_picture(a_shelf(a_piece(with_care=True), a_piece("HX5NA", x=200, size=150, is_in=True)), 1)

    care = [shape for shape in picture.shapes if isinstance(shape, Triangle)]
    ticks = [
        shape for shape in picture.shapes if isinstance(shape, Line) and shape.pen and shape.pen.ink is Ink.CELADON
    ]
    assert len(care) == len(ticks) == 2  # once on the piece, once in the legend
    assert {"caution", "in", "to come"} <= {text.text for text in texts(picture)}


def test_a_small_piece_keeps_its_sign_of_care_in_the_list() -> None:
    picture = shelf_picture(a_shelf(a_piece(size=30, with_care=True)), 1)

    assert sum(isinstance(shape, Triangle) for shape in picture.shapes) == 2
    assert [text.text for text in texts(picture)].count("1") == 2


def test_the_legend_names_only_what_is_there_and_can_be_shared() -> None:
    load = a_load([3, 4])

    alone = said(shelf_picture(load, 2, with_legend=False))

    assert "post" not in alone.split()
    assert "post" in said(shelves_legend(load, width=NARROW, size=SCREEN_SIZE))
    assert "post" not in said(shelf_picture(a_shelf(a_piece()), 1))


def test_posts_and_the_seam_of_two_halves_are_drawn() -> None:
    load = LoadSeen("Kiln", HALVES, (LevelSeen(150, (), THREE_POSTS), LevelSeen(0, ())), 15, 600, LOAD_WORDS)

    shapes = shelf_picture(load, 1, with_legend=False).shapes

    assert sum(isinstance(shape, Circle) and shape.ground is Ink.SOFT for shape in shapes) == 3
    assert sum(isinstance(shape, Line) for shape in shapes) == 1


def test_the_list_stands_beside_the_shelf_where_it_has_room() -> None:
    load = a_load([12])

    beside = shelf_picture(load, 1, width=60, size=SMALLEST_PRINT, list_beside=17, with_legend=False)
    below = shelf_picture(load, 1, width=43, size=SMALLEST_PRINT, with_legend=False)

    assert beside.height < below.height
    assert overlapping(beside) == outside(beside) == []


def test_equal_loads_are_equal_pictures_whatever_the_order_of_their_codes() -> None:
    assert shelf_picture(a_load([14]), 1) == shelf_picture(a_load([14]), 1)


@pytest.mark.parametrize(
    ("x", "y", "place"),
    [(0, 0, "middle"), (-200, 0, "left"), (0, -200, "front"), (150, 200, "back right")],
)
def test_a_place_has_a_name(x: float, y: float, place: str) -> None:
    assert where(a_piece(x=x, y=y), ROUND) is Part(place)


@pytest.mark.parametrize(
    "sides", [{}, {"round_mm": 10, "width_mm": 10}, {"width_mm": 10}, {"round_mm": -1}, {"round_mm": math.nan}]
)
def test_a_footprint_that_nobody_could_draw_is_refused(sides: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="either one diameter or a width and a depth"):
        ShelfSeen(**sides)  # type: ignore[arg-type]  # every key names a side


def test_an_oblong_shelf_is_an_oblong() -> None:
    (shelf,) = (shape for shape in shelf_picture(a_shelf(shelf=OBLONG), 1).shapes if isinstance(shape, Oblong))

    assert shelf.width / shelf.height == pytest.approx(610 / 360)
