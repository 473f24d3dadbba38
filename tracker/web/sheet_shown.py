"""A sheet as it will come out of the printer, for the page: drawn from the very shapes that are printed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING

from markupsafe import Markup

from printing.shapes import Ground, Ink, Line, Oblong, Pen, Picture, Shape, moved
from printing.sheets import around
from printing.svg import svg

if TYPE_CHECKING:
    from collections.abc import Sequence

    from printing.stock import Stock
    from tracker.web.paper_kinds import Ready

_EDGE, _HATCH = Pen(0.25, Ink.LINE), Pen(0.35, Ink.LINE)
_HATCHES = 7.0
"""Millimetres between two strokes over a label that is gone."""


@dataclass(frozen=True, slots=True)
class SheetShown:
    """The first sheet as a picture, the places on it as (number, x, y) in mm, and how many sheets there are."""

    picture: Markup
    places: tuple[tuple[int, float, float], ...]
    sheets: int
    stock: Stock


def sheet_shown(ready: Ready, stock: Stock, start_at: int) -> SheetShown:
    """The first sheet of `ready`, printed from label `start_at` on; TooSmall where one of its labels cannot hold it."""
    on_first = tuple(islice(ready.shapes, stock.per_page - start_at + 1))
    shapes = tuple(_sheet(stock, start_at, on_first))
    sheets = -(-(start_at - 1 + ready.count) // stock.per_page)
    picture = svg(
        Picture(stock.page_width, stock.page_height, shapes),
        name="The sheet as it will come out",
        says=f"{len(on_first)} of {ready.count} labels, the first on label {start_at} of {stock.per_page}.",
    )
    places = tuple((place + 1, *stock.corner(place)) for place in range(stock.per_page))
    return SheetShown(Markup(picture), places, sheets, stock)  # noqa: S704 -- our own drawing, in which every word is escaped


def _sheet(stock: Stock, start_at: int, labels: Sequence[Sequence[Shape]]) -> Iterator[Shape]:
    yield Oblong(0.0, 0.0, stock.page_width, stock.page_height, None, Ground.LEAF)
    yield from around(stock)
    for place in range(stock.per_page):
        x, y = stock.corner(place)
        gone = place < start_at - 1
        ground = Ground.SUNK if gone else None
        if not stock.is_roll:
            yield Oblong(x, y, stock.label_width, stock.label_height, _EDGE, ground)
        if gone:
            yield from _hatched(x, y, stock.label_width, stock.label_height)
    for place, shapes in enumerate(labels, start=start_at - 1):
        yield from (moved(shape, *stock.corner(place)) for shape in shapes)


def _hatched(x: float, y: float, width: float, height: float) -> Iterator[Line]:
    """Strokes from the foot up to the right, as one crosses out what is gone."""
    steps = int((width + height) / _HATCHES)
    for step in range(1, steps + 1):
        at = step * _HATCHES
        foot = (x + max(0.0, at - height), y + min(height, at))
        top = (x + min(width, at), y + max(0.0, at - width))
        yield Line((foot, top), _HATCH)
