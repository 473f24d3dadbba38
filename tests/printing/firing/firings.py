"""Loads and curves to draw in tests, plain and hard, and what a picture says and where."""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Sequence
from itertools import islice, pairwise

from hypothesis import strategies as st

from printing.firing.curves import CurveSeen, Point
from printing.lettering import ink_box
from printing.loading.load_pictures import LevelSeen, LoadSeen, PieceSeen, Post, ShelfSeen
from printing.shapes import Edges, Face, Picture, Text, box, meet
from tests.printing.firing.words import CURVE_WORDS, LOAD_WORDS
from tests.printing.labels.tags import odd_text

ROUND = ShelfSeen(round_mm=560)
HALVES = ShelfSeen(round_mm=560, halves=True)
OBLONG = ShelfSeen(width_mm=610, depth_mm=360)
THREE_POSTS: tuple[Post, ...] = tuple(
    (250 * math.cos(turn), 250 * math.sin(turn), 16) for turn in (math.pi / 2, math.pi * 7 / 6, math.pi * 11 / 6)
)
SYMBOLS = "23457ACEHKNPRTVXY"

SCHEDULE: tuple[Point, ...] = (
    (0, 20),
    (2, 100),
    (3, 100),
    (7.5, 600),
    (12.5, 1180),
    (13.7, 1222),
    (14, 1222),
    (26, 100),
)


def a_code(number: int) -> str:
    """The code with that number, in the form of codes."""
    letters = ""
    for _ in range(5):
        number, place = divmod(number, len(SYMBOLS))
        letters += SYMBOLS[place]
    return letters


def a_load(counts: Iterable[int], shelf: ShelfSeen = ROUND, *, seed: int = 1, height_mm: float = 900) -> LoadSeen:
    """A load with so many pieces on each shelf, as far as they find room there: cups, bowls, boxes and test tiles."""
    chance = random.Random(seed)  # noqa: S311 - a seeded mix, not a secret
    counts = tuple(counts)
    first, levels = 0, []
    for place, count in enumerate(counts):
        posts = THREE_POSTS if shelf.round_mm and place < len(counts) - 1 else ()
        high = 150 if posts else 0
        length = f"{high} mm" if high else ""
        where = ", lowest" if place == 0 < len(counts) - 1 else ", top" if 0 < place == len(counts) - 1 else ""
        name = f"Shelf {place + 1} of {len(counts)}{where}"
        facts = f"{count} pieces{f', posts {length}' if length else ''}"
        there = _on_a_shelf(count, shelf, posts, first, chance)
        levels.append(LevelSeen(high, there, posts, name=name, facts=facts, length=length))
        first += count
    return LoadSeen("Big gas kiln", shelf, tuple(levels), 18, height_mm, LOAD_WORDS)


def _on_a_shelf(
    count: int, shelf: ShelfSeen, posts: tuple[Post, ...], first: int, chance: random.Random
) -> tuple[PieceSeen, ...]:
    placed: list[tuple[float, float, float]] = list(posts)
    pieces = []
    for number in range(count):
        size = chance.choice((180, 150, 120, 110, 100, 90, 80, 60, 30)) if count < 30 else 20
        for _ in range(2000):
            x = chance.uniform(-shelf.across / 2, shelf.across / 2)
            y = chance.uniform(-shelf.deep / 2, shelf.deep / 2)
            inside = (
                math.hypot(x, y) + size / 2 <= shelf.across / 2
                if shelf.round_mm
                else (abs(x) + size / 2 <= shelf.across / 2 and abs(y) + size / 2 <= shelf.deep / 2)
            )
            if inside and _is_clear(x, y, size / 2 + 4, placed):
                placed.append((x, y, size / 2))
                pieces.append(
                    PieceSeen(
                        label=a_code(7919 * (first + number) + 1),
                        x_mm=x,
                        y_mm=y,
                        height_mm=chance.randint(40, 140),
                        with_care=chance.random() < 0.2,
                        is_in=chance.random() < 0.4,
                        **(
                            {"round_mm": size}
                            if chance.random() < 0.7
                            else {"width_mm": size * 0.7, "depth_mm": size * 0.6}
                        ),
                    )
                )
                break
    return tuple(pieces)


def _is_clear(x: float, y: float, radius: float, placed: Sequence[tuple[float, float, float]]) -> bool:
    """Whether a circle meets none of the others; thousands of places are tried, so it looks at little."""
    for a, b, other in placed:
        reach = radius + other
        if abs(x - a) < reach and abs(y - b) < reach and (x - a) ** 2 + (y - b) ** 2 < reach**2:
            return False
    return True


def codes_of(load: LoadSeen) -> list[str]:
    """Every code of a load."""
    return [piece.label for level in load.levels for piece in level.pieces]


def texts(picture: Picture) -> list[Text]:
    """The runs of text of a picture."""
    return [shape for shape in picture.shapes if isinstance(shape, Text)]


def said(picture: Picture) -> str:
    """All text of a picture."""
    return " ".join(text.text for text in texts(picture))


def edges_of(text: Text) -> Edges:
    """The box of a text: as far as its letters reach, or as far as capitals and digits do where it has no others."""
    plain = text.text.isascii() and text.text.isalnum() and text.text == text.text.upper()
    return ink_box(text) if plain or text.face is Face.CODE else box(text)


def overlapping(picture: Picture) -> list[tuple[str, str]]:
    """The pairs of texts that stand on each other."""
    # From left to right, so that each is held only against those that begin before it ends.
    placed = sorted((edges_of(text), text.text) for text in texts(picture) if text.text)
    found = []
    for number, (edges, text) in enumerate(placed, start=1):
        for others, other in islice(placed, number, None):
            if others[0] >= edges[2]:
                break
            if meet(edges, others, -1e-6):
                found.append((text, other))
    return found


def outside(picture: Picture) -> list[object]:
    """The shapes that reach beyond the picture's edges."""
    air = 1e-6
    return [
        shape
        for shape in picture.shapes
        for left, top, right, foot in (box(shape),)
        if left < -air or top < -air or right > picture.width + air or foot > picture.height + air
    ]


def a_log(count: int, hours: float = 26.0, *, seed: int = 1) -> tuple[Point, ...]:
    """So many readings that follow the schedule, a little late and a little unsteady."""
    chance = random.Random(seed)  # noqa: S311 - a seeded wobble, not a secret
    points = []
    for place in range(count):
        at = hours * place / (count - 1)
        (start, low), (end, high) = next(pair for pair in pairwise(SCHEDULE) if at <= pair[1][0])
        points.append((at, 0.97 * (low + (high - low) * (at - start) / (end - start)) + chance.uniform(-4, 4)))
    return tuple(points)


sides = st.floats(5, 400)
footprints = st.one_of(
    st.fixed_dictionaries({"round_mm": sides}), st.fixed_dictionaries({"width_mm": sides, "depth_mm": sides})
)


@st.composite
def any_pieces(draw: st.DrawFn) -> PieceSeen:
    """Any piece, on the shelf or not quite, with any label."""
    return PieceSeen(
        label=draw(st.one_of(st.integers(0, 9999).map(a_code), odd_text)),
        x_mm=draw(st.floats(-200, 200)),
        y_mm=draw(st.floats(-150, 150)),
        height_mm=draw(st.floats(1, 400)),
        with_care=draw(st.booleans()),
        is_in=draw(st.booleans()),
        over_mm=draw(st.sampled_from((0.0, 30.0))),
        **draw(footprints),  # type: ignore[arg-type]  # sides alone
    )


any_levels = st.builds(
    LevelSeen,
    st.sampled_from((0.0, 50.0, 150.0)),
    st.lists(any_pieces(), max_size=25).map(tuple),
    st.sampled_from(((), THREE_POSTS)),
    st.sampled_from(("Shelf 1 of 6, lowest", "Shelf 2 of 6")),
    st.just("25 pieces, posts 150 mm"),
    st.just("150 mm"),
)
any_loads = st.builds(
    LoadSeen,
    odd_text,
    st.sampled_from((ROUND, HALVES, OBLONG)),
    st.lists(any_levels, min_size=1, max_size=6).map(tuple),
    st.sampled_from((12.0, 20.0)),
    st.sampled_from((300.0, 900.0)),
    st.just(LOAD_WORDS),
)


@st.composite
def any_curves(draw: st.DrawFn) -> CurveSeen:
    """Any curve with any marks."""
    hours = st.floats(0, 200)
    degrees = st.floats(-30, 1400)
    lines = st.lists(st.tuples(hours, degrees), max_size=40).map(lambda points: tuple(sorted(points)))
    return CurveSeen(
        said=CURVE_WORDS,
        points=draw(lines),
        schedule=draw(lines),
        marks=tuple(draw(st.lists(st.tuples(hours, degrees, odd_text), max_size=12))),
        target=draw(st.none() | st.tuples(degrees, odd_text)),
        now=draw(st.none() | st.tuples(hours, st.just("now"))),
    )
