"""Words set into pictures: where they stand, how they break, and a legend's samples with their words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import Enum
from functools import lru_cache

from printing.faces import measure, printable, shortened
from printing.graphemes import is_mark
from printing.line_breaks import broken, words_of
from printing.pdf import glyph_widths
from printing.scripts import script_of
from printing.shapes import CAP_HEIGHT, CODE_ASCENT, CODE_DESCENT, Edges, Face, Ink, Shape, Text, moved

SCREEN_SIZE = 12.0
"""The smallest letters of a picture for a page, in its units: pixels while it stands at its own width or wider."""

NARROW = 246.0
"""The width of a picture that stands whole in a leaf of a page 320 px wide, between the edges of page and leaf."""

WIDE = 640.0
"""The width of a picture for a laptop's column."""

POINT = 25.4 / 72
SMALLEST_PRINT = 6.0 * POINT
"""The smallest letters on paper, in mm."""

NAMELESS = "maker: see page"
"""Said where the faces have none of the letters of a maker's name."""

LEADING = 1.28
"""From baseline to baseline in a picture's list or legend, in type sizes."""


class At(Enum):
    """Which part of a run of text stands on its point."""

    START = 0.0
    MIDDLE = 0.5
    END = 1.0


def words(
    x: float,
    y: float,
    size: float,
    text: str,
    face: Face = Face.REGULAR,
    *,
    at: At = At.START,
    ink: Ink = Ink.INK,
    room: float | None = None,
) -> Text:
    """A run of text on the baseline `y`, shortened to `room`; every letter is one that the face has."""
    said = lettered(text, face)
    if room is not None:
        said = shortened(said, face, room / size)
    wide = measure(said, face) * size
    return Text(x - at.value * wide, y, wide, size, face, said, ink)


@lru_cache(maxsize=16384)
def lettered(text: str, face: Face) -> str:
    """`text` in the letters that `face`, or the face of another script, has; empty when there is none of them."""
    known = glyph_widths(face)
    return "".join(
        letter for letter in printable(text) if ord(letter) in known or _is_of_another_script(letter)
    ).strip()


def _is_of_another_script(letter: str) -> bool:
    return is_mark(letter) or bool(script_of(letter))


@lru_cache(maxsize=16384)
def wrapped_freely(text: str, face: Face, room: float) -> tuple[str, ...]:
    """`text` in lines of at most `room` type sizes, a word too long for a line broken within; nothing is lost.

    Only a single letter that is longer than `room` leaves it.
    """
    lines = broken(words_of(" ".join(lettered(text, face).split()), face), (room,))
    return tuple(said for line in lines for *_, said in line)


def in_lines(
    x: float,
    y: float,
    size: float,
    text: str,
    face: Face = Face.REGULAR,
    *,
    at: At = At.START,
    ink: Ink = Ink.INK,
    room: float,
) -> tuple[Text, ...]:
    """A run of text in as many lines as `room` asks for, the first on the baseline `y`; nothing is shortened."""
    lines = wrapped_freely(text, face, room / size)
    return tuple(
        words(x, y + number * LEADING * size, size, line, face, at=at, ink=ink) for number, line in enumerate(lines)
    )


SAMPLE = 1.2
"""The width of a legend's sample, in type sizes."""


def legend(signs: Sequence[tuple[Iterable[Shape], str]], size: float, width: float) -> tuple[tuple[Shape, ...], float]:
    """Samples with their words in as many lines as `width` asks for, from 0, 0 down, and how high they are.

    A sample is drawn in its place from 0, 0 on, `SAMPLE` type sizes wide and one high.
    """
    placed: list[Shape] = []
    x = y = 0.0
    for sample, said in signs:
        word = words(0.0, 0.0, size, said, ink=Ink.SOFT, room=width - (SAMPLE + 0.25) * size)
        wide = (SAMPLE + 0.25) * size + word.width
        if x and x + wide > width:
            x, y = 0.0, y + LEADING * size
        placed += [moved(shape, x, y) for shape in sample]
        placed.append(moved(word, x + (SAMPLE + 0.25) * size, y + (0.5 + CAP_HEIGHT / 2) * size))
        x += wide + 0.85 * size
    return tuple(placed), y + LEADING * size if signs else 0.0


def ink_box(text: Text) -> Edges:
    """The box of a run of capitals and digits alone, which reach neither above a capital nor below the line."""
    up, down = CODE_ASCENT * text.size, CODE_DESCENT * text.size
    return text.x, text.y - up, text.x + text.width, text.y + down


def is_free(edges: Edges, bounds: Edges) -> bool:
    """Whether a box lies inside `bounds`."""
    return edges[0] >= bounds[0] and edges[1] >= bounds[1] and edges[2] <= bounds[2] and edges[3] <= bounds[3]
