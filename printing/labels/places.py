"""Where things stand on a label: bars, a code to copy and a QR where it has them, and the rooms for its words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache

from printing.bars import BAR_QUIET, QR_QUIET, bar_modules, bars
from printing.labels.stock import Lack, NoRoom, Stock
from printing.shapes import ASCENT, CAP_HEIGHT, DESCENT

SHORTEST_BAR = 12.0
TALLEST_BAR = 18.0
SMALLEST_QR_MODULE = 0.4999
CODE_ADVANCE = 0.632
"""The width of any letter of the code's face, in parts of its size (read from the face)."""

CODE_BEARING = 0.066
"""The blank before and after most letters of the code's face, in parts of its size."""

BAR_DOTS = {203: 3, 300: 4, 600: 8}
"""Printer dots to one module of bars: 0.375, 0.3387 and 0.3387 mm, so that every bar is whole dots."""

_DOTS_PER_MM = {203: 8.0, 300: 300 / 25.4, 600: 600 / 25.4}
"""A "203 dpi" head has 8 dots to the millimetre."""

FEWEST_LINES = 2
"""The maker, and what the ware must not be used for."""

TYPE_SIZES = (16.0, 15.0, 14.0, 13.0, 12.0, 11.0, 10.5, 10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0, 6.5)
"""Points: a generous label first, the least that is read at arm's length last."""

CODE_HEIGHTS = (22.0, 20.0, 18.0, 16.0, 14.0, 12.5, 11.0, 10.0, 9.0, 8.0, 7.5, 7.0, 6.5, 6.0, 5.5, 5.0)
"""Millimetres of the code's capitals; below the last a hand no longer copies them without a mistake."""

CODE_OVER_TEXT = 2.15
"""The code's capitals are at least this many type sizes high, so that it stays the first thing seen."""

RULE_DROP = 0.24
"""The baseline rule's distance under the code, in parts of the code's height."""

LEADING = 1.22
"""From baseline to baseline, in type sizes: just more than the tallest letter above the deepest."""

TOP = 0.95
BELOW = LEADING - TOP
"""From the top of a line to its baseline, and from there to the line's foot, in type sizes."""

SLACK = 1e-6
"""Lengths that differ by less, in mm, are equal."""

GAP = 0.35
"""Between two parts of a label whose type is its own, in type sizes."""

MODULES = (0.5, 0.38, 0.33, 0.25)
"""The narrowest element in mm of bars without a QR, where the printer's dots are not known."""

BARS_SHARE = 0.25
"""Bars are at least so much of their width high."""

BARS_APART = 1.4
OVERHANG = 0.3
"""Kept free beside the bars' quiet zone, in mm: a letter may lean out of its width, and bars move to a whole dot."""

NARROWEST_TEXT = 22.0

NARROWEST_COLUMN = 12.5
"""Type sizes: room for "decorative, not for food" on one line with its sign."""

FLAT = 36.0
"""Labels lower than this, in mm, may stand text in a column of its own between code and QR."""


class Arrangement(Enum):
    """The three ways a tag is set, each in the order it is tried."""

    COLUMN = "code over bars, the text beside both, the QR at the end"
    CORNER = "the QR in the top corner, the text below the code"
    FOOT = "the QR level with the bars, the first lines beside the code"


@dataclass(frozen=True, slots=True)
class Room:
    """A rectangle for lines of text, in mm: its corner, its width and its foot.

    Its lines stand `pitch` apart, where that is not their own leading. Those that come between the first two lengths of
    its `notch` from the label's top are only as wide as the third.
    """

    x: float
    top: float
    width: float
    foot: float
    pitch: float = 0.0
    notch: tuple[float, float, float] | None = None

    def lines(self, first: float, size: float, pitch: float = 0.0) -> int:
        """How many lines of type `size` have room from the baseline `first` on."""
        left = self.foot - BELOW * size - first + SLACK
        return 0 if left < 0 else int(left / (self.pitch or pitch or LEADING * size)) + 1

    def width_at(self, baseline: float, size: float) -> float:
        """How long a line may be on a baseline."""
        if self.notch is None:
            return self.width
        top, foot, narrow = self.notch
        return narrow if baseline - ASCENT * size < foot and baseline + DESCENT * size > top else self.width


@dataclass(frozen=True, slots=True)
class Code:
    """Where a code to copy stands: its left end, its baseline, its type size, and the top and thickness of its rule."""

    x: float
    y: float
    size: float
    rule_y: float
    rule_high: float


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """One arrangement of a label, in mm from its top left corner: rooms for its words, and where its marks stand.

    `bars` are their left end, top, module and height, `qr` the left end, top and module. `size` is the type size that
    it was made for, 0 for any; `gap` stands between two parts, in the label's type sizes.
    """

    rooms: tuple[Room, ...]
    size: float = 0.0
    gap: float = 0.0
    bars: tuple[float, float, float, float] | None = None
    code: Code | None = None
    qr: tuple[float, float, float] | None = None

    def lines(self, size: float) -> int:
        """How many lines of type `size` its rooms hold."""
        return sum(room.lines(room.top + TOP * size, size) for room in self.rooms)

    @property
    def words_room(self) -> float:
        """How much text of its own size its rooms hold, in type sizes."""
        return sum(room.width * room.lines(room.top + TOP * self.size, self.size) for room in self.rooms) / self.size


def dots_per_mm(dots_per_inch: int | None) -> float:
    """The printer's dots to a millimetre (300 dpi when nobody knows); a ValueError for a head we have no row for."""
    known = _DOTS_PER_MM.get(dots_per_inch or 300)
    if known is None:
        msg = f"Bars are made for printers of 203, 300 or 600 dots per inch, not {dots_per_inch}."
        raise ValueError(msg)
    return known


@dataclass(frozen=True, slots=True)
class Needs:
    """What must stand on a label: the code's length, the module widths in mm and the QR's size in modules."""

    letters: int
    bar_module: float
    qr_modules: int
    dot: float

    @property
    def bars_width(self) -> float:
        """Bars without their quiet zones, in mm."""
        return bar_modules(self.letters) * self.bar_module

    @property
    def bar_quiet(self) -> float:
        """The blank beside the bars, in mm."""
        return BAR_QUIET * self.bar_module

    @property
    def bars_height(self) -> float:
        """The least height of the bars: 12 mm or a quarter of their width (measured with hand scanners)."""
        return max(SHORTEST_BAR, BARS_SHARE * self.bars_width)

    def qr_module(self, room: float = 0.0) -> float:
        """A QR module in mm, in whole dots: at least 0.5 mm, and as large as leaves the symbol within `room`."""
        dots = 1
        while dots * self.dot < SMALLEST_QR_MODULE:
            dots += 1
        while (dots + 1) * self.dot * self.qr_modules <= room:
            dots += 1
        return dots * self.dot


def needs(letters: int, qr_modules: int, dots_per_inch: int | None) -> Needs:
    """What a tag needs on a printer of that many dots per inch."""
    dot = 1 / dots_per_mm(dots_per_inch)
    return Needs(letters, BAR_DOTS[dots_per_inch or 300] * dot, qr_modules, dot)


def too_large(stock: Stock, need: Needs) -> tuple[NoRoom, ...]:
    """What of code, bars and QR is wider or higher than a label of `stock` by itself, or beside and above the rest."""
    _, margin = stock.margins
    wide, high = stock.label_width, stock.label_height
    module = need.qr_module()
    quiet = QR_QUIET * module
    qr_high = need.qr_modules * module + quiet + max(margin, quiet)
    bars_wide = need.bars_width + 2 * need.bar_quiet
    bars_high = need.bars_height + 2 * margin
    reasons = []
    if bars_wide > wide or bars_high > high:
        reasons.append(NoRoom(Lack.TAG_BARS, width=bars_wide, height=bars_high))
    if qr_high > high or qr_high > wide:
        reasons.append(NoRoom(Lack.TAG_QR, width=qr_high, height=qr_high))
    code_high = CODE_HEIGHTS[-1] * (1 + RULE_DROP) + 1.1
    if bars_high + code_high > high:
        reasons.append(NoRoom(Lack.TAG_CODE, height=bars_high + code_high))
    return tuple(reasons)


@lru_cache(maxsize=512)
def tag_frames(stock: Stock, letters: int, qr_modules: int, dots_per_inch: int | None) -> tuple[Frame, ...]:
    """Every arrangement that keeps code, bars and QR apart: largest type first, and with it the largest code."""
    need = needs(letters, qr_modules, dots_per_inch)
    return tuple(_tag_frames(stock, need))


def _tag_frames(stock: Stock, need: Needs) -> Iterator[Frame]:
    for points in TYPE_SIZES:
        size = points * 25.4 / 72
        for cap in CODE_HEIGHTS:
            if cap < min(CODE_OVER_TEXT * size, 2 * CODE_HEIGHTS[-1]) or cap > 0.3 * stock.label_height:
                continue
            for arrangement in Arrangement:
                frame = _with_rooms(_marks(stock, need, cap, arrangement), size)
                if frame is not None:
                    yield frame


def label_frames(bar: str, stock: Stock, dots_per_inch: int | None) -> Iterator[Frame]:
    """Every arrangement of words and bars alone, the widest bars first; without a text for bars, the words alone."""
    across, down = stock.margins
    wide, high = stock.label_width, stock.label_height
    if not bar:
        yield Frame((Room(across, down, wide - 2 * across, high - down),), gap=GAP)
        return
    modules = bars(bar).modules
    for module in _modules(dots_per_inch):
        long, quiet = modules * module, BAR_QUIET * module
        tall = max(SHORTEST_BAR, BARS_SHARE * long)
        edge = max(across, quiet)
        top = high - down - tall
        if 2 * edge + long <= wide + SLACK and top - BARS_APART > down:
            room = Room(edge, down, wide - edge - across, top - BARS_APART)
            yield Frame((room,), gap=GAP, bars=(edge, top, module, tall))
        beside = wide - across - edge - quiet - long - OVERHANG
        if beside >= NARROWEST_TEXT and tall <= high - 2 * down:
            tall = max(tall, min(high - 2 * down, 1.4 * tall))
            room = Room(across, down, beside, high - down)
            yield Frame((room,), gap=GAP, bars=(wide - edge - long, (high - tall) / 2, module, tall))


def bars_need(bar: str) -> tuple[float, float]:
    """The least width and height of bars without a QR, with their quiet zones, in mm."""
    modules = bars(bar).modules
    return (modules + 2 * BAR_QUIET) * MODULES[-1], max(SHORTEST_BAR, BARS_SHARE * modules * MODULES[-1])


def _modules(dots_per_inch: int | None) -> tuple[float, ...]:
    """The widths that a narrow bar may have, widest first: whole dots where they are known."""
    if dots_per_inch is None:
        return MODULES
    dots = dots_per_mm(dots_per_inch)
    return tuple(
        count / dots for count in range(round(dots), 0, -1) if MODULES[-1] - 0.004 <= count / dots <= MODULES[0] + 0.004
    )


@dataclass(frozen=True, slots=True)
class _Marks:
    """Everything on a tag but its lines, in mm: the marks' boxes, their quiet zones and the area within them."""

    arrangement: Arrangement
    left: float
    top: float
    right: float
    foot: float
    cap: float
    code_wide: float
    bars_top: float
    bars_wide: float
    bars_high: float
    bar_module: float
    bar_quiet: float
    qr_x: float
    qr_y: float
    qr_side: float
    qr_module: float

    @property
    def code_y(self) -> float:
        return self.top + self.cap

    @property
    def rule_high(self) -> float:
        return max(0.3, 0.05 * self.cap)

    @property
    def rule_y(self) -> float:
        return self.code_y + RULE_DROP * self.cap

    @property
    def rule_foot(self) -> float:
        return self.rule_y + self.rule_high

    @property
    def qr_quiet(self) -> float:
        return QR_QUIET * self.qr_module

    @property
    def bars_end(self) -> float:
        """Where the bars' right quiet zone ends."""
        return self.left + self.bars_wide + self.bar_quiet

    @property
    def is_clear(self) -> bool:
        """Whether code, rule, bars and QR keep out of one another and of the quiet zones."""
        qr_under_bars = self.bars_end > self.qr_x and self.qr_y + self.qr_side + self.qr_quiet > self.bars_top + 1e-6
        code_beside_qr = self.qr_y - self.qr_quiet < self.rule_foot
        code_ends = self.qr_x - self.qr_quiet if code_beside_qr else self.right
        return not qr_under_bars and self.left + self.code_wide <= code_ends and self.rule_foot <= self.bars_top - 0.8


def _marks(stock: Stock, need: Needs, cap: float, arrangement: Arrangement) -> _Marks:
    """The marks in their places: bars at the foot on the left, QR on the right, code top left."""
    wide, high = stock.label_width, stock.label_height
    side_margin, end_margin = stock.margins
    module = need.qr_module(min(0.42 * high, 0.27 * wide))
    side, quiet = module * need.qr_modules, QR_QUIET * module
    left, right = max(side_margin, need.bar_quiet), wide - max(side_margin, quiet)
    top = end_margin if arrangement is Arrangement.FOOT else max(end_margin, quiet)
    foot = high - (max(end_margin, quiet) if arrangement is Arrangement.FOOT else end_margin)
    bars_high = max(need.bars_height, min(0.25 * high, TALLEST_BAR))
    if arrangement is Arrangement.COLUMN:
        bars_high = max(need.bars_height, foot - top - (1 + RULE_DROP) * cap - 2.2)
    return _Marks(
        arrangement=arrangement,
        left=left,
        top=top,
        right=right,
        foot=foot,
        cap=cap,
        code_wide=need.letters * CODE_ADVANCE * cap / CAP_HEIGHT,
        bars_top=foot - bars_high,
        bars_wide=need.bars_width,
        bars_high=bars_high,
        bar_module=need.bar_module,
        bar_quiet=need.bar_quiet,
        qr_x=right - side,
        qr_y=foot - side if arrangement is Arrangement.FOOT else top,
        qr_side=side,
        qr_module=module,
    )


def _with_rooms(marks: _Marks, size: float) -> Frame | None:
    """The marks with rooms for lines of `size`; None when they collide or too few lines have room."""
    if not marks.is_clear:
        return None
    if marks.arrangement is Arrangement.COLUMN:
        rooms = _column(marks, size)
    elif marks.arrangement is Arrangement.FOOT:
        rooms = (*_beside(marks, size), _below(marks, size))
    else:
        rooms = (_below(marks, size),)
    frame = Frame(
        rooms=rooms,
        size=size,
        bars=(marks.left, marks.bars_top, marks.bar_module, marks.bars_high),
        code=Code(marks.left, marks.code_y, marks.cap / CAP_HEIGHT, marks.rule_y, marks.rule_high),
        qr=(marks.qr_x, marks.qr_y, marks.qr_module),
    )
    return frame if frame.lines(size) >= FEWEST_LINES else None


def _beside(marks: _Marks, size: float) -> tuple[Room, ...]:
    """As many lines as stand beside the code, the last on its baseline."""
    left = marks.left + marks.code_wide + 0.9 * size
    if marks.right - left < 7 * size:
        return ()
    spare = marks.cap - CAP_HEIGHT * size
    count = int(spare / (1.2 * size)) + 1
    pitch = min(spare / (count - 1), 1.4 * size) if count > 1 else 1.4 * size
    first = marks.code_y - (count - 1) * pitch
    return (Room(left, first - TOP * size, marks.right - left, marks.code_y + BELOW * size, pitch),)


def _below(marks: _Marks, size: float) -> Room:
    """The room between the baseline rule and the bars, narrower beside the QR."""
    first = marks.rule_foot + (0.55 + CAP_HEIGHT) * size
    narrow = marks.qr_x - marks.qr_quiet - marks.left
    return Room(
        marks.left,
        first - TOP * size,
        marks.right - marks.left,
        marks.bars_top - max(0.7, 0.5 * size - 0.6) + (BELOW - DESCENT) * size,
        notch=(marks.qr_y - marks.qr_quiet, marks.qr_y + marks.qr_side + marks.qr_quiet, narrow),
    )


def _column(marks: _Marks, size: float) -> tuple[Room, ...]:
    """The room between the code and bars on the left and the QR on the right, from top to foot."""
    left = max(marks.left + marks.code_wide + size, marks.bars_end)
    width = marks.qr_x - max(marks.qr_quiet, size) - left
    if width < NARROWEST_COLUMN * size or marks.foot - marks.top > FLAT:
        return ()
    return (Room(left, marks.top + (CAP_HEIGHT - TOP) * size, width, marks.foot + (BELOW - DESCENT) * size),)
