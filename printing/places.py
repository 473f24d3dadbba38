"""Where things stand on a label: code, text lines, bars and QR, settled once for a whole sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from printing.bars import BAR_QUIET, QR_QUIET, bar_modules
from printing.shapes import ASCENT, CAP_HEIGHT, DESCENT

if TYPE_CHECKING:
    from collections.abc import Iterator

    from printing.stock import Stock

SHORTEST_BAR = 12.0
TALLEST_BAR = 18.0
SMALLEST_QR_MODULE = 0.4999
CODE_ADVANCE = 0.632
"""The width of any letter of the code's face, in parts of its size (read from the face)."""

CODE_BEARING = 0.066
"""The blank before a K in the code's face; the code is moved left by it so that ink stands over bar and rule."""

BAR_DOTS = {203: 3, 300: 4, 600: 8}
"""Printer dots to one module of bars: 0.375, 0.3387 and 0.3387 mm, so that every bar is whole dots."""

_DOTS_PER_MM = {203: 8.0, 300: 300 / 25.4, 600: 600 / 25.4}
"""A "203 dpi" head has 8 dots to the millimetre."""

FEWEST_LINES = 2
"""The maker, and what the ware must not be used for."""

SIZES = (
    # type size and height of the code's capitals in points and mm, from a generous label down to the least legible.
    (13.0, 17.0),
    (12.0, 14.0),
    (11.0, 12.0),
    (10.5, 10.5),
    (10.0, 9.5),
    (9.5, 8.5),
    (9.0, 8.0),
    (8.5, 7.5),
    (8.0, 7.0),
    (7.5, 6.5),
    (7.0, 6.0),
    (6.5, 5.5),
)


@dataclass(frozen=True, slots=True)
class Slot:
    """Room for one line of text: its left end, its baseline and how long it may be, in mm."""

    x: float
    y: float
    width: float


@dataclass(frozen=True, slots=True)
class Plan:
    """One arrangement of a label, all in mm from its top left corner."""

    text_size: float
    code_size: float
    code_x: float
    code_y: float
    rule: tuple[float, float, float, float]
    bars: tuple[float, float, float, float]
    qr: tuple[float, float, float]
    slots: tuple[Slot, ...]


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
    code_high = SIZES[-1][1] * 1.4
    if bars_high + code_high > high:
        reasons.append(f"the code above the bars needs {bars_high + code_high:.1f} mm of height")
    return tuple(reasons)


def plans(stock: Stock, need: Needs) -> Iterator[Plan]:
    """Every arrangement that keeps code, bars and QR apart, largest type first."""
    for points, cap in SIZES:
        for beside_code in (False, True):
            plan = _plan(stock, need, points * 25.4 / 72, cap, beside_code=beside_code)
            if plan is not None:
                yield plan


def _plan(stock: Stock, need: Needs, size: float, cap: float, *, beside_code: bool) -> Plan | None:
    """The QR in the top right corner, or at the foot with the first lines beside the code; None when they collide."""
    wide, high = stock.label_width, stock.label_height
    side_margin, end_margin = stock.margins
    module = need.qr_module(min(0.42 * high, 0.27 * wide))
    side, quiet = module * need.qr_modules, QR_QUIET * module
    left = max(side_margin, need.bar_quiet)
    right = wide - max(side_margin, quiet)
    top, foot = max(end_margin, quiet), high - max(end_margin, quiet)
    bars_high = min(max(need.bars_height, 0.26 * high), max(TALLEST_BAR, need.bars_height))
    bars_top = foot - bars_high
    qr_x, qr_y = right - side, (foot - side if beside_code else top)

    under = left + need.bars_width + need.bar_quiet > qr_x
    if under and (beside_code or qr_y + side + quiet > bars_top):
        return None
    code_size = cap / CAP_HEIGHT
    code_wide = need.letters * CODE_ADVANCE * code_size - 2 * CODE_BEARING * code_size
    code_y = top + cap
    rule_high = max(0.3, 0.055 * cap)
    rule_y = code_y + 0.24 * cap
    code_right = right if beside_code else qr_x - quiet
    if left + code_wide > code_right or rule_y + rule_high > min(bars_top, qr_y - quiet if beside_code else high) - 1:
        return None
    slots = [] if not beside_code else _beside(left + code_wide + 1.1 * size, right, top, code_y, size)
    y = rule_y + rule_high + 0.62 * size + CAP_HEIGHT * size
    while y + DESCENT * size <= bars_top - 1.0:
        crosses = y - ASCENT * size < qr_y + side + quiet and y + DESCENT * size > qr_y - quiet
        slots.append(Slot(left, y, (qr_x - quiet if crosses else right) - left))
        y += 1.27 * size
    if len(slots) < FEWEST_LINES:
        return None
    return Plan(
        size,
        code_size,
        left - CODE_BEARING * code_size,
        code_y,
        (left, rule_y, code_wide, rule_high),
        (left, bars_top, need.bar_module, bars_high),
        (qr_x, qr_y, module),
        tuple(slots),
    )


def _beside(left: float, right: float, top: float, baseline: float, size: float) -> list[Slot]:
    """As many lines as stand beside the code, the first level with its top and the last on its baseline."""
    if right - left < 7 * size:
        return []
    cap = CAP_HEIGHT * size
    count = int((baseline - top - cap) / (1.2 * size)) + 1
    if count == 1:
        return [Slot(left, baseline, right - left)]
    pitch = (baseline - top - cap) / (count - 1)
    return [Slot(left, top + cap + line * pitch, right - left) for line in range(count)]
