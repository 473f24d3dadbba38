"""Stock as rows of measurements: sheets of labels, single-label rolls, and plain paper to cut or to tie on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from printing.pages import PAPERS

UNPRINTABLE_EDGE = 4.2
"""Millimetres along a sheet's edge that office printers leave blank (common practice)."""

FARTHEST_NUDGE = 10.0
"""Millimetres a print may be pushed; more than that is another stock, not a misfeed (common practice)."""


class Lack(Enum):
    """What may have no room on a label."""

    BARS = "its bars with a line above them"
    TAG_BARS = "a tag's bars with their quiet zones"
    TAG_QR = "a tag's QR with its quiet zone"
    TAG_CODE = "the code to copy above a tag's bars"
    TAG_WORDS = "the maker and the warnings beside bars and QR"
    TAG_WARNINGS = "the warnings beside bars and QR"
    TEXT = "one of its texts"
    WORDS = "all its texts together"


@dataclass(frozen=True, slots=True)
class NoRoom:
    """One thing that would not fit: what it is, the text where it is one, and the mm that it needs or has."""

    what: Lack
    text: str = ""
    width: float = 0.0
    height: float = 0.0


class TooSmall(ValueError):
    """A label too small for what must be on it; `reasons` are all that would not fit."""

    def __init__(self, stock: Stock, reasons: tuple[NoRoom, ...]) -> None:
        """Keep what would not fit on a label of `stock`."""
        super().__init__(f"{stock.name} is too small: {reasons}")
        self.stock = stock
        self.reasons = reasons


@dataclass(frozen=True, slots=True)
class Stock:
    """A sheet or roll of equal labels: every length in millimetres, `left` and `top` to the first label's corner.

    Plain paper `is_cut` along lines between its labels, and has a `strip` for a string's hole before each of them.
    """

    name: str
    page_width: float
    page_height: float
    columns: int
    rows: int
    label_width: float
    label_height: float
    left: float = 0.0
    top: float = 0.0
    pitch_x: float = 0.0
    pitch_y: float = 0.0
    is_cut: bool = False
    strip: float = 0.0

    @property
    def per_page(self) -> int:
        """How many labels one page holds."""
        return self.columns * self.rows

    @property
    def is_roll(self) -> bool:
        """Whether each page is one label from edge to edge, as on a roll."""
        is_whole = (self.label_width, self.label_height) == (self.page_width, self.page_height)
        return self.per_page == 1 and is_whole

    def corner(self, place: int) -> tuple[float, float]:
        """The top left corner of label `place` (0 is the first, row by row), in mm from the page's top left."""
        row, column = divmod(place, self.columns)
        return self.left + column * self.pitch_x, self.top + row * self.pitch_y

    @property
    def margins(self) -> tuple[float, float]:
        """How far ink keeps from a label's sides and from its top and foot, in mm; wider where the sheet ends there."""
        least = min(3.0, max(1.5, 0.045 * min(self.label_width, self.label_height)))
        if self.is_roll:
            return least, least
        last_x, last_y = self.corner(self.per_page - 1)
        spare_x = min(self.left, self.page_width - last_x - self.label_width)
        spare_y = min(self.top, self.page_height - last_y - self.label_height)
        return max(least, UNPRINTABLE_EDGE - spare_x), max(least, UNPRINTABLE_EDGE - spare_y)


PAGES = {"A4": PAPERS["a4"], "letter": PAPERS["letter"]}
"""Width and height in mm by the name that a stock's name begins with."""


def _sheet(
    page: str,
    grid: tuple[int, int],
    label: tuple[float, float],
    left: float,
    top: float,
    pitch_x: float,
    pitch_y: float,
) -> Stock:
    columns, rows = grid
    name = f"{page[0].upper()}{page[1:]}, {columns} x {rows}, {label[0]:g} x {label[1]:g} mm"
    return Stock(name, *PAGES[page], columns, rows, *label, left, top, pitch_x, pitch_y)


def _roll(width: float, height: float) -> Stock:
    return Stock(f"Roll, {width:g} x {height:g} mm", width, height, 1, 1, width, height)


STOCKS: tuple[Stock, ...] = (
    # page, columns and rows, label width and height, left, top, pitch across, pitch down; read from published
    # templates, but for the last sheet, which is from memory.
    _sheet("A4", (3, 7), (63.5, 38.1), 7.2, 15.15, 66.04, 38.1),
    _sheet("A4", (2, 7), (99.06, 38.1), 4.67, 15.15, 101.6, 38.1),
    _sheet("A4", (2, 4), (99.06, 67.73), 4.67, 13.04, 101.6, 67.73),
    _sheet("A4", (3, 8), (70.0, 37.0), 0.0, 0.0, 70.0, 37.0),
    _sheet("A4", (5, 13), (38.1, 21.17), 4.67, 10.9, 40.64, 21.17),
    _sheet("A4", (5, 9), (38.5, 29.9), 5.0, 14.5, 40.5, 29.9),
    _sheet("A4", (4, 11), (48.3, 25.4), 8.4, 8.8, 48.3, 25.4),
    _sheet("letter", (2, 5), (101.6, 50.8), 3.96, 12.7, 106.36, 50.8),
    _sheet("letter", (2, 7), (101.6, 33.87), 3.96, 21.17, 106.36, 33.87),
    _sheet("letter", (2, 3), (101.6, 84.67), 3.96, 12.7, 106.36, 84.67),
    _sheet("letter", (2, 10), (101.6, 25.4), 3.96, 12.7, 106.36, 25.4),
    _sheet("letter", (3, 10), (66.68, 25.4), 4.78, 12.7, 69.85, 25.4),
    _sheet("letter", (4, 20), (44.45, 12.7), 7.14, 12.7, 52.4, 12.7),
    _sheet("letter", (2, 15), (87.33, 16.92), 13.49, 12.7, 101.6, 16.92),
    _roll(57.0, 32.0),
    _roll(62.0, 29.0),
    _roll(100.0, 50.0),
    _sheet("A4", (3, 8), (63.5, 33.9), 7.2, 12.9, 66.0, 33.9),
)


CUT = 1.0
"""Between two labels of plain paper, in mm: the line to cut along runs there, and touches neither."""

HOLE_STRIP = 14.0
"""Beside a label to tie on, in mm: room for a hole of 5 mm that a string does not tear out (common practice)."""


_SHEET_EDGE = 13.0
"""Around a list on a whole sheet, in mm."""


@dataclass(frozen=True, slots=True)
class Edges:
    """How much of a page of plain paper stays free at each of its edges, in mm."""

    side: float = 0.0
    top: float = 0.0
    foot: float = 0.0


def _plain(page: str, grid: tuple[int, int], what: str, strip: float = 0.0, edges: Edges | None = None) -> Stock:
    """A page of plain paper, but for its `edges`, divided into equal parts."""
    free = edges or Edges()
    width, height = PAGES[page]
    columns, rows = grid
    across, down = (width - 2 * free.side) / columns, (height - free.top - free.foot) / rows
    return Stock(
        f"{page[0].upper()}{page[1:]} paper, {what}",
        width,
        height,
        columns,
        rows,
        across - strip - CUT,
        down - CUT,
        free.side + strip + CUT / 2,
        free.top + CUT / 2,
        across,
        down,
        is_cut=True,
        strip=strip,
    )


def _card(name: str, width: float, height: float) -> Stock:
    return Stock(f"{name} paper, {width:g} x {height:g} mm", width, height, 1, 1, width, height)


def _whole(page: str) -> Stock:
    """A whole page of plain paper, but for edges that any office printer leaves blank."""
    width, height = PAGES[page]
    name = f"{page[0].upper()}{page[1:]} paper, 1 list"
    return Stock(name, width, height, 1, 1, width - 2 * _SHEET_EDGE, height - 2 * _SHEET_EDGE, _SHEET_EDGE, _SHEET_EDGE)


PLAIN_PAPERS: tuple[Stock, ...] = (
    _plain("A4", (2, 6), "12 tags to cut"),
    _plain("A4", (2, 6), "12 tags to tie on", HOLE_STRIP),
    _plain("letter", (2, 6), "12 tags to cut"),
    _plain("letter", (2, 6), "12 tags to tie on", HOLE_STRIP),
)
"""Plain paper for tags that are laid into a pot, or tied to it."""

CARD_PAPERS: tuple[Stock, ...] = (
    _card("A6", 105.0, 148.0),
    _card("A5", 148.0, 210.0),
    _plain("A4", (2, 2), "4 cards to cut"),
    _plain("letter", (2, 2), "4 cards to cut"),
)
"""Plain paper for cards, upright: ISO 216, and quarters of the large sheets."""

_BAR_EDGES = Edges(side=7.0, top=23.0, foot=13.0)
"""Wider than what any office printer leaves blank: most of all at the foot (common practice), with a heading on top."""

BAR_PAPERS: tuple[Stock, ...] = (
    _plain("A4", (3, 12), "36 bars", edges=_BAR_EDGES),
    _plain("letter", (3, 11), "33 bars", edges=_BAR_EDGES),
)
"""Plain paper for many small bars on one sheet."""

LIST_PAPERS: tuple[Stock, ...] = tuple(_whole(page) for page in ("A4", "letter"))
"""Plain paper for lists, a whole sheet each."""

EVERY_STOCK = (*STOCKS, *PLAIN_PAPERS, *CARD_PAPERS, *BAR_PAPERS, *LIST_PAPERS)
"""All stock that comes with the tool."""


def stock_named(name: str, stocks: Sequence[Stock] = EVERY_STOCK) -> Stock:
    """The stock of that name among `stocks`, case aside; a ValueError that lists the names when there is none."""
    wanted = " ".join(name.split()).casefold()
    for stock in stocks:
        if " ".join(stock.name.split()).casefold() == wanted:
            return stock
    known = "; ".join(stock.name for stock in stocks)
    msg = f"No label stock is called {name!r}. Known: {known}."
    raise ValueError(msg)


def check_nudge(nudge: tuple[float, float]) -> None:
    """Refuse a nudge that is not in half millimetres, or is farther than FARTHEST_NUDGE, with a ValueError."""
    for step in nudge:
        if not (2 * step).is_integer() or abs(step) > FARTHEST_NUDGE:
            msg = f"A nudge goes by half millimetres, at most {FARTHEST_NUDGE:g} mm either way; {step:g} does not."
            raise ValueError(msg)
