"""A sheet as it will come out of the printer, for the page: drawn from the very shapes that are printed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from markupsafe import Markup

from printing.labels.sheets import around
from printing.shapes import Ground, Ink, Line, Oblong, Pen, Picture, Shape, moved
from printing.svg import svg
from tracker.domain.message import Message, Plural, _
from tracker.usecases.labels.documents import Layout
from tracker.web.wording import said

_EDGE, _HATCH = Pen(0.25, Ink.LINE), Pen(0.35, Ink.LINE)
_HATCHES = 7.0
"""Millimetres between two strokes over a label that is gone."""


@dataclass(frozen=True, slots=True)
class SheetShown:
    """One sheet as a picture, the places on it as (number, x, y) in mm, and which it is of how many, from 1."""

    picture: Markup
    places: tuple[tuple[int, float, float], ...]
    number: int
    sheets: int


def sheet_shown(layout: Layout, start_at: int, number: int = 1) -> SheetShown:
    """Sheet `number` of a layout, or the nearest there is; the first begins at label `start_at`.

    Unusable where a label up to there cannot hold what it must.
    """
    stock, count = layout.stock, layout.order.labels
    sheets = -(-(start_at - 1 + count) // stock.per_page)
    number = min(max(1, number), sheets)
    begins_at = start_at if number == 1 else 1
    before = max(0, (number - 1) * stock.per_page - (start_at - 1))
    labels = tuple(islice(layout.shapes, before, before + stock.per_page - begins_at + 1))
    picture = svg(
        Picture(stock.page_width, stock.page_height, tuple(_sheet(layout, begins_at, labels))),
        name=said(Message("sheet-picture", _("Preview of the sheet"))),
        says=said(_what_it_shows(len(labels), count, begins_at, stock.per_page)),
    )
    places = tuple((place + 1, *stock.corner(place)) for place in range(stock.per_page))
    return SheetShown(Markup(picture), places, number, sheets)  # noqa: S704 -- our own drawing, in which every word is escaped


def _what_it_shows(labels: int, count: int, first: int, places: int) -> Message:
    words = Plural(
        "count",
        "{labels} of {count} label, the first on label {first} of {places}.",
        "{labels} of {count} labels, the first on label {first} of {places}.",
    )
    return Message("sheet-shown", words, labels=labels, count=count, first=first, places=places)


def _sheet(layout: Layout, start_at: int, labels: Sequence[Sequence[Shape]]) -> Iterator[Shape]:
    stock = layout.stock
    yield Oblong(0.0, 0.0, stock.page_width, stock.page_height, None, Ground.LEAF)
    yield from (*around(stock), *layout.heading)
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
