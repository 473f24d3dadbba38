"""The page that finds out how far off a printer prints: crosses on the labels' own corners, and a line to measure."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum, auto

from printing.faces import measure
from printing.labels.stock import UNPRINTABLE_EDGE, Stock
from printing.lettering import SMALLEST_PRINT, At, words
from printing.pdf import Paper
from printing.shapes import Face, Ink, Line, Oblong, Pen, Shape

ARM = 5.0
"""How far a cross reaches each way at most, in mm."""


@dataclass(frozen=True, slots=True)
class Scale:
    """By which ruler a page is measured: how far its ticks are apart, and which of them are long. All in mm.

    A roll's crosses stand the first of `insets` that has room from its edges; the ticks lead to the edge. A line of
    the first of `lengths` that has room shows whether the page came out in its true size.
    """

    tick: float
    every: int
    insets: tuple[float, ...]
    lengths: tuple[float, ...]


_IN = 25.4
MILLIMETERS = Scale(1.0, 5, (10.0, 5.0), (100.0, 50.0, 20.0))
SIXTEENTHS = Scale(_IN / 16, 4, (_IN * 3 / 8, _IN * 3 / 16), (4 * _IN, 2 * _IN, 0.75 * _IN))

_HAIR, _EDGE = Pen(0.12), Pen(0.12, Ink.SOFT)
_TICK, _LONG_TICK = 0.8, 1.4
_INNER_ARM = 2.0
"""How far a roll's cross reaches away from its edge, in mm."""
_WORDS_ROOM = 9.0
"""What a roll needs between its crosses for the line and its words, and for the crosses' inner arms, in mm."""


def crosses(stock: Stock, scale: Scale = MILLIMETERS) -> tuple[tuple[float, float], ...]:
    """Where the crosses stand, in mm from the page's top left: on the outermost corners that a printer reaches whole.

    One more stands on a corner near the page's middle where it has room. Where labels reach from one end of the page
    to the other, crosses stand half way between those ends. On a roll, whose corners are the page's, they stand
    `inset` from its edges, and one in the middle of a label too small for that.
    """
    xs, ys = _stands(stock, scale)
    outer = tuple((x, y) for y in dict.fromkeys((ys[0], ys[-1])) for x in dict.fromkeys((xs[0], xs[-1])))
    return outer if stock.is_roll else (*outer, *_middle(stock, xs, ys))


class Spot(Enum):
    """Where a cross belongs on its label."""

    INSET = auto()
    CORNER = auto()
    TOP_OR_FOOT = auto()
    SIDE = auto()
    MIDDLE = auto()


def belongs(stock: Stock) -> Spot:
    """Where each cross belongs on its label: `inset` from two edges, on a corner, half way along an edge, or amidst."""
    if stock.is_roll:
        return Spot.INSET if inset(stock) else Spot.MIDDLE
    xs, ys = _edges(stock)
    if xs and ys:
        return Spot.CORNER
    return Spot.TOP_OR_FOOT if ys else Spot.SIDE if xs else Spot.MIDDLE


def inset(stock: Stock, scale: Scale = MILLIMETERS) -> float:
    """How far a roll's crosses stand from its edges, in mm; 0 where a single one stands in the label's middle."""
    least = min(stock.label_width, stock.label_height)
    return next((mm for mm in scale.insets if least >= 2 * mm + _WORDS_ROOM), 0.0)


def arm(stock: Stock) -> float:
    """How far a cross reaches each way, in whole mm, so that small labels hold it."""
    return max(1.0, min(ARM, float(int(min(stock.label_width, stock.label_height) / 2))))


def _edges(stock: Stock) -> tuple[list[float], list[float]]:
    """The labels' sides, and their tops and feet, on which a printer reaches a whole cross; from left and from top."""
    width, height = stock.label_width, stock.label_height
    xs = sorted({stock.corner(column)[0] + side for column in range(stock.columns) for side in (0.0, width)})
    ys = sorted({stock.corner(row * stock.columns)[1] + side for row in range(stock.rows) for side in (0.0, height)})
    reach = arm(stock) + UNPRINTABLE_EDGE
    return (
        [x for x in xs if reach <= x <= stock.page_width - reach],
        [y for y in ys if reach <= y <= stock.page_height - reach],
    )


def _stands(stock: Stock, scale: Scale) -> tuple[list[float], list[float]]:
    """How far from the left and from the top crosses may stand, in mm; never empty."""
    width, height = stock.label_width, stock.label_height
    if stock.is_roll and (mm := inset(stock, scale)):
        return [mm, width - mm], [mm, height - mm]
    xs, ys = ([], []) if stock.is_roll else _edges(stock)
    left, top = stock.corner((stock.rows // 2) * stock.columns + stock.columns // 2)
    return xs or [left + width / 2], ys or [top + height / 2]


def _middle(stock: Stock, xs: list[float], ys: list[float]) -> Iterator[tuple[float, float]]:
    """The corner nearest the page's middle that is clear of the other crosses and of the line to measure."""
    apart, line = 2 * arm(stock) + 1, _line_at(stock)
    outer = [(x, y) for x in (xs[0], xs[-1]) for y in (ys[0], ys[-1])]
    clear = [
        (x, y)
        for y in ys
        if abs(y - line) >= apart
        for x in xs
        if all(abs(x - there) >= apart or abs(y - height) >= apart for there, height in outer)
    ]
    if clear:
        yield min(clear, key=lambda one: math.dist(one, (stock.page_width / 2, stock.page_height / 2)))


def true_length(stock: Stock, scale: Scale = MILLIMETERS) -> float:
    """How long the line to measure is on this stock, in mm; 0 where not even the shortest has room."""
    room = stock.page_width - 2 * (UNPRINTABLE_EDGE + 2) if not stock.is_roll else stock.label_width - 6
    return next((length for length in scale.lengths if length <= room), 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """What the page says: its title, how long the line to measure is, and that the page wants its true size."""

    title: str
    length: str
    true_size: str


def alignment_pdf(stock: Stock, said: Words, scale: Scale = MILLIMETERS) -> bytes:
    """One page of `stock` with its labels' edges, the crosses, and the line to measure; nothing is nudged."""
    paper = Paper(stock.page_width, stock.page_height, title=said.title)
    paper.place(tuple(_shapes(stock, said, scale)), 0.0, 0.0)
    return paper.finish()


def _shapes(stock: Stock, said: Words, scale: Scale) -> Iterator[Shape]:
    if not stock.is_roll:
        for place in range(stock.per_page):
            x, y = stock.corner(place)
            yield Oblong(x, y, stock.label_width, stock.label_height, _EDGE)
    for x, y in crosses(stock, scale):
        yield from _cross(x, y, _arms(stock, x, y, scale), scale)
    yield from _measure(stock, said, scale)


def _arms(stock: Stock, x: float, y: float, scale: Scale) -> tuple[float, float, float, float]:
    """How far the cross at `x`, `y` reaches to the left, right, up and down, in mm."""
    if not (stock.is_roll and inset(stock, scale)):
        return (arm(stock),) * 4
    out, back = inset(stock, scale), _INNER_ARM
    left = (out, back) if x < stock.label_width / 2 else (back, out)
    up = (out, back) if y < stock.label_height / 2 else (back, out)
    return *left, *up


def _cross(x: float, y: float, arms: tuple[float, float, float, float], scale: Scale) -> Iterator[Line]:
    left, right, up, down = arms
    yield Line(((x - left, y), (x + right, y)), _HAIR)
    yield Line(((x, y - up), (x, y + down)), _HAIR)
    for off, long in _ticks(left, right, scale):
        yield Line(((x + off, y - long), (x + off, y + long)), _HAIR)
    for off, long in _ticks(up, down, scale):
        yield Line(((x - long, y + off), (x + long, y + off)), _HAIR)


def _ticks(back: float, out: float, scale: Scale) -> Iterator[tuple[float, float]]:
    """Where ticks stand on an arm from `back` before its middle to `out` after it, and how long each is, in mm."""
    for step in range(-int(back / scale.tick + _ROUNDED), int(out / scale.tick + _ROUNDED) + 1):
        yield step * scale.tick, _LONG_TICK if step % scale.every == 0 else _TICK


_ROUNDED = 1e-6


def _line_at(stock: Stock) -> float:
    """How far from the top the line to measure stands, in mm: in a label half way down, on a roll in its middle."""
    _, top = stock.corner((stock.rows // 2) * stock.columns)
    share = 0.5 if stock.is_roll and inset(stock) else 0.72
    return top + share * stock.label_height


def _measure(stock: Stock, said: Words, scale: Scale) -> Iterator[Shape]:
    """The line with its length in words; the words about true size beside them, or under the line on a narrow page."""
    length = true_length(stock, scale)
    if not length:
        return
    middle, y = stock.page_width / 2, _line_at(stock)
    yield Line(((middle - length / 2, y), (middle + length / 2, y)), _HAIR)
    for end in (-length / 2, length / 2):
        yield Line(((middle + end, y - 1.5), (middle + end, y + 1.5)), _HAIR)
    room = stock.page_width - 2 * UNPRINTABLE_EDGE - 2
    both = f"{said.length} {said.true_size}"
    is_narrow = stock.is_roll or measure(both, Face.REGULAR) * SMALLEST_PRINT > room
    lines = ((y - 0.9, said.length), (y + 2.4, said.true_size)) if is_narrow else ((y - 1.8, both),)
    for baseline, line in lines:
        if measure(line, Face.REGULAR) * SMALLEST_PRINT <= stock.page_width - 2 and baseline < stock.page_height - 0.5:
            yield words(middle, baseline, SMALLEST_PRINT, line, at=At.MIDDLE)
