"""The floor of a round from above: every piece in its place with its number, what is set apart seen in gray too."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given

from printing.lettering import NARROW, SCREEN_SIZE, WIDE, is_free
from printing.loading.load_pictures import ShelfSeen
from printing.outdoor.floor_pictures import OPENINGS, SheetRound, floor_picture
from printing.pdf import Paper
from printing.shapes import Circle, Face, Ground, Ink, Line, Oblong, Triangle
from printing.svg import svg
from tests.drawn import examples
from tests.printing.firing.firings import edges_of, outside, overlapping, texts
from tests.printing.labels.tags import rendered
from tests.printing.outdoor.sessions import ROUND_WORDS, SQUARE_FLOOR, a_piece, a_round, any_rounds


def numbers_in(kiln_round: SheetRound, **more: bool) -> list[str]:
    """The numbers that stand on or beside the pieces."""
    return [text.text for text in texts(floor_picture(kiln_round, **more)) if text.face is Face.BOLD]


@pytest.mark.parametrize("opening", OPENINGS)
@pytest.mark.parametrize("floor", [ShelfSeen(round_mm=450), SQUARE_FLOOR], ids=["round", "square"])
def test_every_piece_has_its_number_and_the_opening_is_said(floor: ShelfSeen, opening: str) -> None:
    words = replace(ROUND_WORDS, front=f"front: {opening}")
    kiln_round = replace(a_round(5), floor=floor, opening=opening, said=words)

    picture = floor_picture(kiln_round)

    assert sorted(numbers_in(kiln_round)) == ["1", "2", "3", "4", "5"]
    assert words.front in " ".join(text.text for text in texts(picture))
    assert overlapping(picture) == []
    assert outside(picture) == []


def test_each_way_of_opening_looks_different_without_its_words() -> None:
    drawn = {
        opening: tuple(
            shape for shape in floor_picture(replace(a_round(2), opening=opening)).shapes if isinstance(shape, Line)
        )
        for opening in OPENINGS
    }

    walls = {opening: next(line for line in lines if len(line.points) > 50) for opening, lines in drawn.items()}
    assert walls["lift-off"].pen is not None
    assert walls["lift-off"].pen.dash
    assert [walls[opening].closed for opening in ("lift-off", "top", "front")] == [True, True, False]
    # In front, where the arrow points in, the wall has a gap.
    lowest = max(y for _, y in walls["top"].points)
    assert max(y for _, y in walls["front"].points) < lowest - SCREEN_SIZE


def test_an_opening_that_nobody_could_draw_is_refused() -> None:
    with pytest.raises(ValueError, match="opens by lift-off, front, top"):
        replace(a_round(1), opening="sideways")


def test_a_piece_stands_where_it_stands_right_is_right_and_back_is_up() -> None:
    piece = a_piece(1, 2, x_mm=100.0, y_mm=100.0, apart=False, warning="")
    picture = floor_picture(replace(a_round(0), pieces=(piece,)))

    pot = next(shape for shape in picture.shapes if isinstance(shape, Circle) and shape.ground is Ground.LEAF)
    floor = next(shape for shape in picture.shapes if isinstance(shape, Circle) and shape.ground is Ground.SUNK)
    scale = 2 * floor.radius / 450
    assert pot.x - floor.x == pytest.approx(100 * scale)
    assert floor.y - pot.y == pytest.approx(100 * scale)
    assert pot.pen is not None
    assert 2 * pot.radius + pot.pen.width == pytest.approx(140 * scale)


@pytest.mark.parametrize("turned", [False, True])
def test_a_turned_piece_shows_its_depth_across(turned: bool) -> None:  # noqa: FBT001 - a column of the table above
    piece = a_piece(1, 1, turned=turned, width_mm=200.0, depth_mm=100.0)
    picture = floor_picture(replace(a_round(0), pieces=(piece,)))

    box = next(shape for shape in picture.shapes if isinstance(shape, Oblong) and shape.pen and shape.width > 20)
    assert (box.width < box.height) is turned


def test_what_is_set_apart_is_hatched_edged_and_signed_and_no_other_is() -> None:
    plain, apart = (
        floor_picture(replace(a_round(0), pieces=(a_piece(1, 0, apart=is_apart),)), with_legend=False)
        for is_apart in (False, True)
    )

    assert not any(isinstance(shape, Triangle) for shape in plain.shapes)
    assert any(isinstance(shape, Triangle) and shape.ink is Ink.IRON for shape in apart.shapes)
    strokes = [sum(isinstance(shape, Line) for shape in picture.shapes) for picture in (plain, apart)]
    assert strokes[1] >= strokes[0] + 3
    legend = floor_picture(replace(a_round(0), pieces=(a_piece(1, 0, apart=True),)))
    assert ROUND_WORDS.apart in [text.text for text in texts(legend)]


def test_in_gray_what_is_set_apart_is_darker_than_what_is_not() -> None:
    def darkness(*, apart: bool) -> float:
        piece = a_piece(1, 2, apart=apart, width_mm=200.0)
        picture = floor_picture(replace(a_round(0), pieces=(piece,)), 45.0, 2.2, with_legend=False)
        paper = Paper(picture.width, picture.height, title="floor")
        paper.place(picture.shapes, 0.0, 0.0)
        gray = np.asarray(rendered(paper.finish(), 203.2)) / 255
        middle = gray[
            gray.shape[0] // 2 - 60 : gray.shape[0] // 2 + 60, gray.shape[1] // 2 - 60 : gray.shape[1] // 2 + 60
        ]
        return float(1 - middle.mean())

    assert darkness(apart=True) > 1.5 * darkness(apart=False)


def test_a_piece_too_small_for_its_number_has_it_at_the_end_of_a_line() -> None:
    pieces = (a_piece(1, 0, width_mm=8.0), a_piece(12, 3, width_mm=9.0, depth_mm=9.0, x_mm=60.0))
    kiln_round = replace(a_round(0), pieces=pieces)

    assert sorted(numbers_in(kiln_round)) == ["1", "12"]
    assert overlapping(floor_picture(kiln_round)) == []


def test_a_number_without_any_room_is_named_under_the_picture() -> None:
    pieces = tuple(a_piece(number, 0, width_mm=4.0, apart=False) for number in range(1, 50))
    picture = floor_picture(replace(a_round(0), pieces=pieces))

    assert any(text.text.startswith("no room: ") for text in texts(picture))
    assert outside(picture) == []


def test_on_a_page_the_code_stands_under_the_number_and_on_paper_the_number_alone() -> None:
    kiln_round = a_round(3)

    codes = [text.text for text in texts(floor_picture(kiln_round, WIDE)) if text.face is Face.CODE]

    assert sorted(codes) == sorted(piece.code for piece in kiln_round.pieces)
    assert not any(text.face is Face.CODE for text in texts(floor_picture(kiln_round, with_codes=False)))


def test_a_page_shows_it_with_a_name_and_a_description() -> None:
    drawn = svg(floor_picture(replace(a_round(3), opening="front")), name="Round 1", says="Three pieces.")

    assert drawn.count("<svg") == 1
    assert "Three pieces." in drawn


@examples(40)
@given(any_rounds)
def test_whatever_stands_on_the_floor_no_word_stands_on_another_nor_leaves_the_picture(kiln_round: SheetRound) -> None:
    for picture, smallest in (
        (floor_picture(kiln_round), SCREEN_SIZE),
        (floor_picture(kiln_round, 37.0, 2.2, with_codes=False, with_legend=False), 2.2),
    ):
        assert overlapping(picture) == []
        inside = (0.0, 0.0, picture.width, picture.height)
        assert all(is_free(edges_of(text), inside) for text in texts(picture) if text.text)
        assert all(text.size >= smallest - 1e-9 for text in texts(picture) if text.text)
        shown = {text.text for text in texts(picture)}
        told = " ".join(shown)
        assert all(str(piece.number) in told or "no room" in told for piece in kiln_round.pieces)
    assert floor_picture(kiln_round).width == NARROW
