"""The list for a pickup day: what waits for each maker, and on which shelf."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from printing.labels.home_papers import SlipLine
from printing.labels.label_parts import Label, Part
from printing.labels.labels import lay_out, refuses
from printing.labels.stock import Stock
from printing.lettering import POINT
from printing.shapes import Face, Ink

_MOST_ON_A_PAGE = 64
_READABLE = 10 * POINT
"""The smallest type, in mm, that is read at arm's length on a shelf."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedPiece:
    """A piece on the list: whose it is, and its line, which names its shelf."""

    maker: str
    line: SlipLine


@dataclass(frozen=True, slots=True, kw_only=True)
class PickupList:
    """All that waits, maker by maker; `numbered` has places for {number} and {count}, the number of pages.

    `day` is the day that it is for, with its term, empty where none is known; `when` is when it was printed. `signs`
    stands before the line on which each maker, or whoever comes for them, signs. `nameless` and `unreadable`
    are said of a name that cannot be printed.
    """

    numbered: str
    day: str
    when: str
    signs: str
    pieces: tuple[ListedPiece, ...]
    nameless: str
    unreadable: str


def pickup_lists(what: PickupList, stock: Stock, dots_per_inch: int | None = None) -> tuple[Label, ...]:
    """The list on as few pages of `stock` as hold it; TooSmall when not one piece fits on one."""
    starts = [0]
    while starts[-1] < len(what.pieces):
        starts.append(starts[-1] + _fitting(what, starts[-1], stock, dots_per_inch))
    spans = list(pairwise(starts))
    return tuple(_page(what, a, b, number, len(spans)) for number, (a, b) in enumerate(spans, 1))


def _fitting(what: PickupList, start: int, stock: Stock, dots_per_inch: int | None) -> int:
    """How many pieces from `start` on fit on one page."""
    least, most = 1, min(_MOST_ON_A_PAGE, len(what.pieces) - start)
    lay_out(_page(what, start, start + 1, _MOST_ON_A_PAGE, _MOST_ON_A_PAGE), stock, dots_per_inch)
    while least < most:
        half = (least + most + 1) // 2
        if refuses(_page(what, start, start + half, _MOST_ON_A_PAGE, _MOST_ON_A_PAGE), stock, dots_per_inch):
            most = half - 1
        else:
            least = half
    return _without_a_part(what.pieces, start, start + least) - start


def _without_a_part(pieces: Sequence[ListedPiece], start: int, end: int) -> int:
    """Where a page from `start` ends that held the pieces up to `end`: before a maker whose last go over the page.

    Their name, pieces and line to sign stay together, unless they alone are more than a page.
    """
    if end == len(pieces):
        return end
    begins = end
    while begins > start and pieces[begins - 1].maker == pieces[end].maker:
        begins -= 1
    return begins if begins > start else end


def _page(what: PickupList, start: int, end: int, number: int, of: int) -> Label:
    title = what.numbered.format(number=number, count=of)
    parts = [Part(text=title, face=Face.BOLD, scale=1.4, rule=True, least=1.4 * _READABLE)]
    if what.day:
        parts.append(Part(text=what.day, face=Face.BOLD, lines=2, least=_READABLE))
    maker = None
    for at, piece in enumerate(what.pieces[start:end], start):
        if piece.maker != maker:
            maker = piece.maker
            parts.append(Part(text=maker, instead=what.nameless, face=Face.BOLD, lines=2, apart=True, least=_READABLE))
        parts.append(
            Part(text=piece.line.what, instead=what.unreadable, lines=2, code=piece.line.code, least=_READABLE)
        )
        if piece.line.warning:
            parts.append(Part(text=piece.line.warning, face=Face.BOLD, care=True, least=_READABLE))
        if at + 1 == len(what.pieces) or what.pieces[at + 1].maker != maker:
            parts.append(Part(text=what.signs, to_write=True, least=_READABLE))
    parts.append(Part(text=what.when, ink=Ink.SOFT, lines=2, least=_READABLE, at_foot=True))
    return Label(parts=tuple(parts))
