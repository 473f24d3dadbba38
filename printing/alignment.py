"""The page that finds out how far off a printer prints: crosses on the labels' own corners, and a line to measure."""

from __future__ import annotations

from collections.abc import Iterator

from printing.lettering import SMALLEST_PRINT, At, words
from printing.pdf import Paper
from printing.shapes import Ink, Line, Oblong, Pen, Shape
from printing.sheets import TRUE_SIZE
from printing.stock import UNPRINTABLE_EDGE, Stock

ARM = 5.0
"""How far a cross reaches each way, in mm, with a tick at every millimetre."""

TRUE_LENGTHS = (100.0, 50.0, 20.0)
"""A line of the first of these lengths that has room, in mm, shows whether the page came out in its true size."""

_HAIR, _EDGE = Pen(0.12), Pen(0.12, Ink.SOFT)
_TICK, _LONG_TICK, _EVERY = 0.8, 1.4, 5


def crosses(stock: Stock) -> tuple[tuple[float, float], ...]:
    """Where the crosses stand, in mm from the page's top left: on the outermost corners that a printer reaches whole.

    On a roll, whose corners are the page's, the one cross stands in the label's middle.
    """
    width, height = stock.label_width, stock.label_height
    if stock.is_roll:
        x, y = stock.corner(0)
        return ((x + width / 2, y + height / 2),)
    xs = sorted({stock.corner(column)[0] + side for column in range(stock.columns) for side in (0.0, width)})
    ys = sorted({stock.corner(row * stock.columns)[1] + side for row in range(stock.rows) for side in (0.0, height)})
    reach = ARM + UNPRINTABLE_EDGE
    within_x = [x for x in xs if reach <= x <= stock.page_width - reach]
    within_y = [y for y in ys if reach <= y <= stock.page_height - reach]
    ends_x, ends_y = dict.fromkeys((within_x[0], within_x[-1])), dict.fromkeys((within_y[0], within_y[-1]))
    return tuple((x, y) for y in ends_y for x in ends_x)


def true_length(stock: Stock) -> float:
    """How long the line to measure is on this stock, in mm; 0 where not even the shortest has room."""
    room = stock.page_width - 2 * (UNPRINTABLE_EDGE + 2) if not stock.is_roll else stock.label_width - 6
    return next((length for length in TRUE_LENGTHS if length <= room), 0.0)


def alignment_pdf(stock: Stock) -> bytes:
    """One page of `stock` with its labels' edges, the crosses, and the line to measure; nothing is nudged."""
    paper = Paper(stock.page_width, stock.page_height, title=f"Alignment, {stock.name}")
    paper.place(tuple(_shapes(stock)), 0.0, 0.0)
    return paper.finish()


def _shapes(stock: Stock) -> Iterator[Shape]:
    if not stock.is_roll:
        for place in range(stock.per_page):
            x, y = stock.corner(place)
            yield Oblong(x, y, stock.label_width, stock.label_height, _EDGE)
    for x, y in crosses(stock):
        yield from _cross(x, y)
    yield from _measure(stock)


def _cross(x: float, y: float) -> Iterator[Line]:
    yield Line(((x - ARM, y), (x + ARM, y)), _HAIR)
    yield Line(((x, y - ARM), (x, y + ARM)), _HAIR)
    for step in range(-int(ARM), int(ARM) + 1):
        long = _LONG_TICK if step % _EVERY == 0 else _TICK
        yield Line(((x + step, y - long), (x + step, y + long)), _HAIR)
        yield Line(((x - long, y + step), (x + long, y + step)), _HAIR)


def _measure(stock: Stock) -> Iterator[Shape]:
    """The line with its length in words, in the label nearest the page's middle, or across the page above its foot."""
    length = true_length(stock)
    if not length:
        return
    middle = stock.page_width / 2
    _, top = stock.corner((stock.rows // 2) * stock.columns)
    y = top + 0.72 * stock.label_height
    yield Line(((middle - length / 2, y), (middle + length / 2, y)), _HAIR)
    for end in (-length / 2, length / 2):
        yield Line(((middle + end, y - 1.5), (middle + end, y + 1.5)), _HAIR)
    says = f"This line is {length:g} mm long. {TRUE_SIZE}"
    yield words(
        middle,
        y - 1.8,
        SMALLEST_PRINT,
        says,
        at=At.MIDDLE,
        room=max(length, stock.page_width - 2 * UNPRINTABLE_EDGE - 2),
    )
