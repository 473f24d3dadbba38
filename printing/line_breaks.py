"""The one line breaker: words into lines as long as their rooms, whatever the faces and the writing.

Lengths are parts of the type size.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from printing.faces import measure, shortened
from printing.graphemes import letters_of, pieces_of
from printing.shapes import Face

Run = tuple[float, float, Face, str]
"""Text in one face: where it begins and how long it is, its face and its letters."""

Line = tuple[Run, ...]

DOT = " · "
"""Between two facts on one line."""

FEWEST_LETTERS = 8
"""A fact cut shorter than this says nothing and is left out."""

_UNIT = re.compile(r"(?<=\d) (°C|mm|%)")
_TIE = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True, slots=True)
class Word:
    """What a line should not part, its face, and what stands before it on the same line.

    One that `holds` is not broken even where it is longer than its line.
    """

    text: str
    face: Face
    gap: str = ""
    holds: bool = False


@lru_cache(maxsize=16384)
def words_of(text: str, face: Face, strong: str = "") -> tuple[Word, ...]:
    """The words of `text`: a unit stays with its number, and `strong`, in bold, is one word that holds.

    Writing without spaces is parted between its letters.
    """
    tied = _UNIT.sub(rf"{_TIE}\1", text)
    if strong:
        tied = tied.replace(strong, strong.replace(" ", _TIE))
    return tuple(_words(tied, face, strong))


def _words(tied: str, face: Face, strong: str) -> Iterator[Word]:
    for gap, piece in pieces_of(tied):
        plain = piece.replace(_TIE, " ")
        holds = bool(strong) and strong in plain
        yield Word(plain, Face.BOLD if holds else face, gap, holds)


def broken(words: Sequence[Word], rooms: tuple[float, ...], *, may_break: bool = True) -> tuple[Line, ...]:
    """The words in as many lines as they take; line `n` has room n, and those after the last room have the last.

    A word longer than its line is broken between its letters where that may be. What may not, and a single letter that
    is longer, leaves its room: see `overflows`.
    """
    lines: list[list[tuple[Face, str]]] = []
    for word in words:
        if lines and _long(joined := _joined(lines[-1], word)) <= room_of(rooms, len(lines) - 1):
            lines[-1] = joined
        elif may_break and not word.holds and measure(word.text, word.face) > room_of(rooms, len(lines)):
            lines += _in_pieces(word, rooms, len(lines))
        else:
            lines.append([(word.face, word.text)])
    return tuple(_placed(line) for line in lines if line[0][1])


def room_of(rooms: tuple[float, ...], number: int) -> float:
    """The room of a line, from 0."""
    return rooms[min(number, len(rooms) - 1)]


def long(line: Line) -> float:
    """How long a line is."""
    x, width, *_ = line[-1]
    return x + width


def overflows(lines: Sequence[Line], rooms: tuple[float, ...], slack: float = 1e-6) -> bool:
    """Whether a line is longer than its room."""
    return any(long(line) > room_of(rooms, number) + slack for number, line in enumerate(lines))


def _joined(line: list[tuple[Face, str]], word: Word) -> list[tuple[Face, str]]:
    """Neighbors of one face are one run; between two faces the gap belongs to neither."""
    *before, (face, text) = line
    if face is word.face:
        return [*before, (face, f"{text}{word.gap}{word.text}")]
    return [*line, (word.face, word.text)]


def _long(line: list[tuple[Face, str]]) -> float:
    return sum(measure(text, face) for face, text in line) + (len(line) - 1) * measure(" ", Face.REGULAR)


def _placed(line: list[tuple[Face, str]]) -> Line:
    runs: list[Run] = []
    at = 0.0
    for face, text in line:
        width = measure(text, face)
        runs.append((at, width, face, text))
        at += width + measure(" ", Face.REGULAR)
    return tuple(runs)


def _in_pieces(word: Word, rooms: tuple[float, ...], number: int) -> list[list[tuple[Face, str]]]:
    """A word over as many lines as it takes, from line `number` on."""
    parts = [""]
    for letter in letters_of(word.text):
        if parts[-1] and measure(parts[-1] + letter, word.face) > room_of(rooms, number + len(parts) - 1):
            parts.append("")
        parts[-1] += letter
    return [[(word.face, part)] for part in parts]


def side_by_side(facts: Sequence[tuple[str, Face]], rooms: Sequence[float], kept: float = 0.0) -> tuple[Line, ...]:
    """Facts in the lines there are, the next line begun where one does not fit whole; the last give way.

    One too long for a line is shortened, the first so that `kept` stays free beside it. A number among the last is left
    out rather than cut, for a part of it is another number.
    """
    lines: list[Line] = []
    for fact, face in facts:
        joined = DOT + fact
        at, width = long(lines[-1]) if lines and lines[-1] else 0.0, measure(joined, face)
        if lines and at + width <= rooms[len(lines) - 1]:
            lines[-1] += ((at, width, face, joined),)
        elif len(lines) < len(rooms):
            text = shortened(fact, face, rooms[len(lines)] - (0.0 if lines else kept))
            lines.append(((0.0, measure(text, face), face, text),))
        else:
            text = "" if any(map(str.isdigit, fact)) else shortened(joined, face, rooms[-1] - at)
            if len(text) >= FEWEST_LETTERS:
                lines[-1] += ((at, measure(text, face), face, text),)
            break
    return tuple(lines)


def stands_whole(facts: Sequence[tuple[str, Face]], lines: Sequence[Line]) -> bool:
    """Whether each fact is there, none of them shortened."""
    said = [text.removeprefix(DOT) for line in lines for *_, text in line]
    return said == [fact for fact, _ in facts]
