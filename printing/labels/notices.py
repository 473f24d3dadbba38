"""A notice for one maker: what is ready, what waits for them, and what happened, where no mail tells them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from printing.labels.label_parts import Gives, Label, Part
from printing.labels.several import on_several
from printing.labels.stock import Stock
from printing.lettering import POINT
from printing.shapes import Face, Ink

_MOST_ON_ONE = 12
_READABLE = 9 * POINT
"""The smallest letters of a notice, in mm: it's read on a wall or a table, so a long one takes more paper."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoticeLine:
    """One piece on a notice, or one thing that happened, under its `heading`; a `warning` is bold, empty for none."""

    heading: str
    text: str
    code: str = ""
    warning: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """What one maker is told. `when` is the day with the studio's name; `numbered` has places for {number} and {count}.

    `nameless` and `unreadable` are said of what can't be printed.
    """

    maker: str
    when: str
    lines: tuple[NoticeLine, ...]
    numbered: str
    nameless: str
    unreadable: str
    caution: str = ""


def notices(told: Notice, stock: Stock, dots_per_inch: int | None = None) -> tuple[Label, ...]:
    """The notice on as few pieces of `stock` as hold it in letters that are easy to read."""

    def one(lines: Sequence[NoticeLine], number: int, of: int) -> Label:
        return Label(parts=tuple(_parts(told, lines, told.numbered.format(number=number, count=of) if of > 1 else "")))

    return on_several(told.lines, one, stock, dots_per_inch, most=_MOST_ON_ONE)


def _parts(told: Notice, lines: Sequence[NoticeLine], numbered: str) -> Iterator[Part]:
    yield Part(text=told.maker, instead=told.nameless, face=Face.BOLD, scale=1.5, rule=True, lines=2)
    yield Part(text=told.when, ink=Ink.SOFT, gives=Gives.LEAVES, lines=2)
    yield Part(text=numbered, ink=Ink.SOFT)
    heading = ""
    for line in lines:
        if line.heading != heading:
            heading = line.heading
            yield Part(text=heading, face=Face.BOLD, head=True, least=_READABLE)
        yield Part(text=line.text, instead=told.unreadable, code=line.code, apart=True, least=_READABLE)
        if line.warning:
            yield Part(text=line.warning, face=Face.BOLD, care=True, least=_READABLE)
    yield Part(text=told.caution, scale=0.85, at_foot=True, gives=Gives.LEAVES)
