"""Where things stand on a label: code, text lines, bars and QR, settled once for a whole sheet."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from printing.bars import BAR_QUIET, QR_QUIET, bar_modules
from printing.shapes import ASCENT, CAP_HEIGHT, DESCENT

if TYPE_CHECKING:
    from collections.abc import Iterator

    from printing.labels.stock import Stock

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

LEADING = 1.24
"""From baseline to baseline, in parts of the type size."""

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
class Slot:
    """Room for one line of text: its left end, its baseline and how long it may be, in mm."""

    x: float
    y: float
    width: float


@dataclass(frozen=True, slots=True)
class Plan:
    """One arrangement of a label, all in mm from its top left corner; the first `beside` slots are beside the code."""

    text_size: float
    code_size: float
    code_x: float
    code_y: float
    rule: tuple[float, float, float, float]
    bars: tuple[float, float, float, float]
    qr: tuple[float, float, float]
    slots: tuple[Slot, ...]
    beside: int


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
        return max(SHORTEST_BAR, 0.25 * self.bars_width)

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


def too_large(stock: Stock, need: Needs) -> tuple[str, ...]:
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
        reasons.append(f"the bars need {bars_wide:.1f} x {bars_high:.1f} mm with their quiet zones")
    if qr_high > high or qr_high > wide:
        reasons.append(f"the QR needs {qr_high:.1f} x {qr_high:.1f} mm with its quiet zone")
    code_high = CODE_HEIGHTS[-1] * (1 + RULE_DROP) + 1.1
    if bars_high + code_high > high:
        reasons.append(f"the code above the bars needs {bars_high + code_high:.1f} mm of height")
    return tuple(reasons)


def plans(stock: Stock, need: Needs) -> Iterator[Plan]:
    """Every arrangement that keeps code, bars and QR apart: largest type first, and with it the largest code."""
    for points in TYPE_SIZES:
        size = points * 25.4 / 72
        for cap in CODE_HEIGHTS:
            if cap < min(CODE_OVER_TEXT * size, 2 * CODE_HEIGHTS[-1]) or cap > 0.3 * stock.label_height:
                continue
            for arrangement in Arrangement:
                plan = _plan(_frame(stock, need, cap, arrangement), size)
                if plan is not None:
                    yield plan


@dataclass(frozen=True, slots=True)
class _Frame:
    """Everything on a label but its lines, in mm: the marks' boxes, their quiet zones and the area within them."""

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


def _frame(stock: Stock, need: Needs, cap: float, arrangement: Arrangement) -> _Frame:
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
    return _Frame(
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


def _plan(frame: _Frame, size: float) -> Plan | None:
    """The frame with its lines; None when its marks collide or too few lines have room."""
    if not frame.is_clear:
        return None
    beside = _beside(frame, size) if frame.arrangement is Arrangement.FOOT else ()
    slots = _column(frame, size) if frame.arrangement is Arrangement.COLUMN else (*beside, *_below(frame, size))
    if len(slots) < FEWEST_LINES:
        return None
    return Plan(
        text_size=size,
        code_size=frame.cap / CAP_HEIGHT,
        code_x=frame.left,
        code_y=frame.code_y,
        rule=(frame.left, frame.rule_y, frame.code_wide, frame.rule_high),
        bars=(frame.left, frame.bars_top, frame.bar_module, frame.bars_high),
        qr=(frame.qr_x, frame.qr_y, frame.qr_module),
        slots=slots,
        beside=len(beside),
    )


def _beside(frame: _Frame, size: float) -> tuple[Slot, ...]:
    """As many lines as stand beside the code, the last on its baseline."""
    left = frame.left + frame.code_wide + 0.9 * size
    if frame.right - left < 7 * size:
        return ()
    spare = frame.cap - CAP_HEIGHT * size
    count = int(spare / (1.2 * size)) + 1
    pitch = min(spare / max(count - 1, 1), 1.4 * size)
    return tuple(Slot(left, frame.code_y - line * pitch, frame.right - left) for line in reversed(range(count)))


def _below(frame: _Frame, size: float) -> tuple[Slot, ...]:
    """The lines between the baseline rule and the bars, shorter where they would cross the QR."""
    slots = []
    y = frame.rule_foot + (0.55 + CAP_HEIGHT) * size
    qr_top, qr_foot = frame.qr_y - frame.qr_quiet, frame.qr_y + frame.qr_side + frame.qr_quiet
    while y + DESCENT * size <= frame.bars_top - max(0.7, 0.5 * size - 0.6):
        crosses = y - ASCENT * size < qr_foot and y + DESCENT * size > qr_top
        slots.append(Slot(frame.left, y, (frame.qr_x - frame.qr_quiet if crosses else frame.right) - frame.left))
        y += LEADING * size
    return tuple(slots)


def _column(frame: _Frame, size: float) -> tuple[Slot, ...]:
    """The lines between the code and bars on the left and the QR on the right, from top to foot."""
    left = max(frame.left + frame.code_wide + size, frame.bars_end)
    width = frame.qr_x - max(frame.qr_quiet, size) - left
    if width < NARROWEST_COLUMN * size or frame.foot - frame.top > FLAT:
        return ()
    slots = []
    y = frame.top + CAP_HEIGHT * size
    while y + DESCENT * size <= frame.foot:
        slots.append(Slot(left, y, width))
        y += LEADING * size
    return tuple(slots)
