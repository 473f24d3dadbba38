"""Words and bars on any label: the largest type in which all that must be said stands whole, or the reason why not.

A label is its parts, one under another, and perhaps bars below or beside them. One part may grow into the room that
the others leave. Lengths are mm from the label's top left corner.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from printing import bars
from printing.labels.label_parts import SHRINKS, SIZES, SLACK, Label, Part, block_of
from printing.labels.places import dots_per_mm
from printing.labels.sheets import sheets_pdf
from printing.labels.stock import Stock, TooSmall
from printing.lettering import POINT
from printing.shapes import Picture, Shape, Symbol, moved

COMFORTABLE = 8.0 * POINT
"""Type that is read at arm's length; for its sake bars may be narrower."""

GAP = 0.35
"""Between two parts, in the label's type sizes."""

MODULES = (0.5, 0.38, 0.33, 0.25)
"""The bars' narrowest element in mm, where the printer's dots are not known."""

LEAST_BARS, BARS_SHARE = 12.0, 0.25
"""Bars are at least so high, and at least so much of their width."""

BARS_APART = 1.4
OVERHANG = 0.3
"""Kept free beside the bars' quiet zone, in mm: a letter may lean out of its width, and bars move to a whole dot."""

NARROWEST_TEXT = 22.0
GROWTH_STEP = 1.06


class NoRoom(TooSmall):
    """A label too small for what must be on it; `reasons` names each thing that would not fit."""

    def __init__(self, stock: Stock, kind: str, reasons: tuple[str, ...]) -> None:
        """Say in one sentence what would not fit on a label of `stock`."""
        super().__init__(stock, reasons)
        self.args = (f"{stock.name} is too small for {kind}: {'; '.join(reasons)}.",)


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where the words stand (left, top, width, height), and the bars if there are any."""

    left: float
    top: float
    width: float
    height: float
    bars: Symbol | None = None


@dataclass(frozen=True, slots=True)
class _Fit:
    """A label in a frame: the type size, how far the growing part grew, and what is said."""

    frame: _Frame
    size: float
    growth: float
    parts: tuple[Part, ...]


@lru_cache(maxsize=4096)
def lay_out(label: Label, stock: Stock, dots_per_inch: int | None = None) -> tuple[Shape, ...]:
    """The label's shapes on `stock`; `NoRoom` names what it cannot hold."""
    frames = tuple(_frames(label, stock, dots_per_inch))
    for count in range(label.optional + 1):
        fit = _best(label.without(count), frames, label.largest)
        if fit is not None:
            return tuple(_drawn(_grown(fit, label.most_growth)))
    raise NoRoom(stock, label.kind, _reasons(label, stock, frames))


def refuses(label: Label, stock: Stock, dots_per_inch: int | None = None) -> tuple[str, ...]:
    """Why `stock` cannot hold the label; empty when it can."""
    try:
        lay_out(label, stock, dots_per_inch)
    except TooSmall as too_small:
        return too_small.reasons
    return ()


def labels_pdf(
    labels: Sequence[Label],
    stock: Stock,
    *,
    title: str = "Labels",
    start_at: int = 1,
    nudge_mm: tuple[float, float] = (0.0, 0.0),
    dpi: int | None = None,
    progress: Callable[[int], object] | None = None,
) -> bytes:
    """The labels as one PDF on `stock`, the first on label `start_at` (from 1); equal input gives equal bytes.

    `dpi` is 203, 300, 600 or None when unknown. Refused with a ValueError: no labels, a label that the sheet does not
    have, a nudge that is not in half millimetres, and (`NoRoom`) a stock too small for one of them.
    """
    return sheets_pdf(
        laid_out(labels, stock, dpi),
        stock,
        title=title,
        start_at=start_at,
        nudge_mm=nudge_mm,
        dpi=dpi,
        progress=progress,
    )


def laid_out(labels: Sequence[Label], stock: Stock, dpi: int | None = None) -> Iterator[tuple[Shape, ...]]:
    """Each label's shapes on `stock`; no labels are refused with a ValueError."""
    if not labels:
        raise ValueError("There is nothing to print.")
    return (lay_out(label, stock, dpi) for label in labels)


# ---- where words and bars stand --------------------------------------------------------------------------------------


def _frames(label: Label, stock: Stock, dots_per_inch: int | None) -> Iterator[_Frame]:
    """Every arrangement that has room for the bars, the widest bars first."""
    across, down = stock.margins
    high = stock.label_height - 2 * down
    if not label.bar:
        yield _Frame(across, down, stock.label_width - 2 * across, high)
        return
    symbol = bars.bars(label.bar)
    for module in _modules(dots_per_inch):
        wide, quiet = symbol.modules * module, bars.BAR_QUIET * module
        tall = max(LEAST_BARS, BARS_SHARE * wide)
        edge = max(across, quiet)
        below = high - tall - BARS_APART
        if 2 * edge + wide <= stock.label_width + SLACK and below > 0:
            ink = Symbol(
                edge, stock.label_height - down - tall, module, tall, symbol.modules, (symbol.row,), bars.BAR_QUIET
            )
            yield _Frame(edge, down, stock.label_width - edge - across, below, ink)
        beside = stock.label_width - across - edge - quiet - wide - OVERHANG
        if beside >= NARROWEST_TEXT and tall <= high:
            tall = max(tall, min(high, 1.4 * tall))
            ink = Symbol(
                stock.label_width - edge - wide,
                down + (high - tall) / 2,
                module,
                tall,
                symbol.modules,
                (symbol.row,),
                bars.BAR_QUIET,
            )
            yield _Frame(across, down, beside, high, ink)


def _modules(dots_per_inch: int | None) -> tuple[float, ...]:
    """The widths that a narrow bar may have, widest first: whole dots where they are known."""
    if dots_per_inch is None:
        return MODULES
    dots = dots_per_mm(dots_per_inch)
    return tuple(
        count / dots for count in range(round(dots), 0, -1) if MODULES[-1] - 0.004 <= count / dots <= MODULES[0] + 0.004
    )


def _best(parts: tuple[Part, ...], frames: tuple[_Frame, ...], largest: float) -> _Fit | None:
    """The parts in the first frame that holds them in comfortable type, else in the one that holds them in the largest.

    None when no frame holds them.
    """
    best = None
    for frame in frames:
        fit = _largest(parts, frame, largest)
        if fit is None:
            continue
        if fit.size >= COMFORTABLE:
            return fit
        if best is None or fit.size > best.size:
            best = fit
    return best


def _largest(parts: tuple[Part, ...], frame: _Frame, largest: float) -> _Fit | None:
    """The parts in the largest type in which they stand in the frame, the growing one shrunk if it must be."""
    if not _fits(_Fit(frame, SIZES[-1], SHRINKS[-1], parts)):
        return None
    for growth in SHRINKS:
        for size in (one for one in SIZES if one <= largest):
            fit = _Fit(frame, size, growth, parts)
            if _fits(fit):
                return fit
    return None


def _grown(fit: _Fit, most: float) -> _Fit:
    """The same with its growing part as large as the room that is left allows."""
    while fit.growth >= 1.0 and fit.growth * GROWTH_STEP <= most:
        larger = replace(fit, growth=fit.growth * GROWTH_STEP)
        if not any(part.grows for part in fit.parts) or not _fits(larger):
            break
        fit = larger
    return fit


def _fits(fit: _Fit) -> bool:
    blocks = _blocks(fit)
    return blocks is not None and sum(block.height for _, block in blocks) <= fit.frame.height + SLACK


# ---- the parts one under another -------------------------------------------------------------------------------------


def _blocks(fit: _Fit) -> list[tuple[Part, Picture]] | None:
    """Each part as it is drawn; None when one would have to be broken where it may not."""
    blocks = []
    for place, part in enumerate(fit.parts):
        block = block_of(part, fit.size, fit.growth, fit.frame.width)
        if block is None:
            return None
        gap = GAP * fit.size if place + 1 < len(fit.parts) else 0.0
        blocks.append((part, replace(block, height=block.height + gap)))
    return blocks


def _drawn(fit: _Fit) -> Iterator[Shape]:
    """The parts from the top down, those for the foot at the foot, and the bars."""
    blocks = _blocks(fit) or []
    frame = fit.frame
    left_over = frame.height - sum(block.height for _, block in blocks)
    has_foot = any(part.at_foot for part, _ in blocks)
    y = frame.top + (0.0 if has_foot or frame.bars else left_over / 2)
    for part, block in blocks:
        if part.at_foot and left_over:
            y, left_over = y + left_over, 0.0
        yield from (moved(shape, frame.left, y) for shape in block.shapes)
        y += block.height
    if frame.bars:
        yield frame.bars


def _reasons(label: Label, stock: Stock, frames: tuple[_Frame, ...]) -> tuple[str, ...]:
    """What has no room, each thing by name."""
    if not frames:
        symbol = bars.bars(label.bar)
        wide = (symbol.modules + 2 * bars.BAR_QUIET) * MODULES[-1]
        tall = max(LEAST_BARS, BARS_SHARE * symbol.modules * MODULES[-1])
        return (f"its bars need {wide:.0f} x {tall:.0f} mm and a line above them",)
    musts = label.without(label.optional)
    least = max(frames, key=lambda frame: frame.width * frame.height)
    for count in range(1, len(musts) + 1):
        if not _fits(_Fit(least, SIZES[-1], SHRINKS[-1], musts[:count])):
            return tuple(f"“{_short(part.said)}” has no room" for part in musts[count - 1 :])
    return (f"its words have no room on {stock.label_width:g} x {stock.label_height:g} mm",)


def _short(text: str) -> str:
    return text if len(text) <= 48 else f"{text[:47]}…"  # noqa: PLR2004 -- as much as a sentence quotes
