"""Labels laid out become sheets: each in its place, what stands around them, and how far the making is."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Iterator, Sequence

from printing.faces import measure
from printing.labels.places import dots_per_mm
from printing.labels.stock import CUT, UNPRINTABLE_EDGE, Stock, check_nudge
from printing.lettering import SMALLEST_PRINT, At, words
from printing.pdf import Paper
from printing.shapes import Circle, Face, Ink, Line, Pen, Shape, moved

HOLE = 2.5
"""The radius of a string's hole, in mm: an office punch makes holes of 5 to 6 mm across."""

_CUT_LINE = Pen(0.15, Ink.SOFT, (2.0, 1.5))
_RING = Pen(0.2, Ink.SOFT)
_NOTE_ROOM = 2.6
"""How high a margin must be for the note about true size, in mm."""
_HEADING_ROOM = 20.0
"""How high the margin on top must be for a heading, in mm."""
_INDENT = 1.5
"""Where the ink of the labels begins, in mm from their left edge."""


def finished(work: Generator[int, None, bytes], progress: Callable[[int], object] | None = None) -> bytes:
    """The PDF of a `making`; `progress(1)` is called after each label."""
    while True:
        try:
            next(work)
        except StopIteration as done:
            pdf: bytes = done.value
            return pdf
        if progress is not None:
            progress(1)


def making(
    labels: Iterable[Sequence[Shape]],
    stock: Stock,
    *,
    title: str,
    true_size: str,
    start_at: int = 1,
    nudge_mm: tuple[float, float] = (0.0, 0.0),
    dpi: int | None = None,
    beside: str = "",
) -> Generator[int, None, bytes]:
    """Make the PDF label by label: yields how many are done and returns the PDF; equal input gives equal bytes.

    `true_size` asks for that and stands in a margin, under `title` and what stands `beside` it where there is room.
    The first label comes on place `start_at` (from 1), `nudge_mm` moves all print right and down. `dpi` is 203, 300,
    600 or None when unknown. A place that the sheet does not have and a nudge not in half millimetres are refused with
    a ValueError.
    """
    check_start(stock, start_at)
    check_nudge(nudge_mm)
    dots = None if dpi is None else dots_per_mm(dpi)
    paper = Paper(stock.page_width, stock.page_height, title=title, dots_per_mm=dots)
    furniture = tuple(moved(shape, *nudge_mm) for shape in around(stock))
    told = tuple(heading(stock, title, beside, true_size)) or tuple(note(stock, true_size))
    place = start_at - 1
    for done, shapes in enumerate(labels, start=1):
        if done == 1 or place % stock.per_page == 0:
            if done > 1:
                paper.turn_page()
            paper.place((*furniture, *told), 0.0, 0.0)
        x, y = stock.corner(place % stock.per_page)
        paper.place(shapes, x + nudge_mm[0], y + nudge_mm[1])
        place += 1
        yield done
    return paper.finish()


def check_start(stock: Stock, start_at: int) -> None:
    """Refuse a first place that no page of `stock` has, with a ValueError."""
    if not 1 <= start_at <= stock.per_page:
        raise ValueError(f"A page of {stock.name} has labels 1 to {stock.per_page}, not {start_at}.")


def around(stock: Stock) -> Iterator[Shape]:
    """What is printed between the labels of plain paper: lines to cut along, and rings where a string's hole goes."""
    if not stock.is_cut:
        return
    left, top = stock.left - stock.strip - CUT / 2, stock.top - CUT / 2
    right, foot = left + stock.columns * stock.pitch_x, top + stock.rows * stock.pitch_y
    for column in range(1, stock.columns):
        x = left + column * stock.pitch_x
        yield Line(((x, top), (x, foot)), _CUT_LINE)
    for row in range(1, stock.rows):
        y = top + row * stock.pitch_y
        yield Line(((left, y), (right, y)), _CUT_LINE)
    for place in range(stock.per_page) if stock.strip else ():
        x, y = stock.corner(place)
        # The printer's blank edge is as wide as it is on every page, so the ring stands near the label.
        yield Circle(x - HOLE - 1.5, y + stock.label_height / 2, HOLE, _RING)


def heading(stock: Stock, title: str, beside: str, true_size: str) -> Iterator[Shape]:
    """What a sheet of plain paper is, of whom and when, and that it wants its true size; nothing without room."""
    if not stock.is_cut or stock.top < _HEADING_ROOM:
        return
    left, width = stock.left + _INDENT, stock.page_width - 2 * (stock.left + _INDENT)
    yield words(left, stock.top - 8.5, 6.0, title, Face.BOLD, room=width / 2)
    yield words(left + width, stock.top - 8.5, 3.2, beside, at=At.END, room=width / 2)
    yield words(left, stock.top - 3.5, 3.2, true_size, room=width)


def note(stock: Stock, true_size: str) -> Iterator[Shape]:
    """That the page wants its true size, in the margin above or below the labels; nothing where there is no margin."""
    foot = stock.corner(stock.per_page - 1)[1] + stock.label_height
    baselines = {
        stock.top - UNPRINTABLE_EDGE: stock.top - 0.9,
        stock.page_height - UNPRINTABLE_EDGE - foot: stock.page_height - UNPRINTABLE_EDGE - 0.6,
    }
    room = max(baselines)
    if stock.is_roll or room < _NOTE_ROOM:
        return
    width = stock.page_width - 2 * UNPRINTABLE_EDGE
    if measure(true_size, Face.REGULAR) * SMALLEST_PRINT > width:
        return  # Half a sentence would say nothing; the viewer is told in any case.
    says = f"{true_size} {stock.name}"
    yield words(stock.page_width / 2, baselines[room], SMALLEST_PRINT, says, at=At.MIDDLE, ink=Ink.SOFT, room=width)
