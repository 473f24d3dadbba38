"""Words and bars on any label: the largest type in which all that must be said stands whole, or the reason why not.

A label is its parts, one under another, and perhaps bars below or beside them. One part may grow into the room that
the others leave. Lengths are mm from the label's top left corner.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from printing import bars
from printing.faces import measure, shortened
from printing.graphemes import pieces_of
from printing.lettering import POINT, lettered, wrapped_freely
from printing.places import dots_per_mm
from printing.shapes import TRIANGLE, Face, Ink, Picture, Rule, Shape, Symbol, Text, Triangle, moved
from printing.sheets import sheets_pdf
from printing.stock import Stock, TooSmall

SIZES = tuple(half / 2 * POINT for half in range(36, 11, -1))
"""The label's type sizes that are tried, from 18 down to 6 points."""

COMFORTABLE = 8.0 * POINT
"""Type that is read at arm's length; for its sake bars may be narrower."""

LEADING = 1.22
"""From baseline to baseline, in type sizes: just more than the tallest letter above the deepest."""

GAP = 0.35
"""Between two parts, in the label's type sizes."""

HEAD_GAP = 0.45
"""As much more above a head."""

MODULES = (0.5, 0.38, 0.33, 0.25)
"""The bars' narrowest element in mm, where the printer's dots are not known."""

LEAST_BARS, BARS_SHARE = 12.0, 0.25
"""Bars are at least so high, and at least so much of their width."""

BARS_APART = 1.4
OVERHANG = 0.3
"""Kept free beside the bars' quiet zone, in mm: a letter may lean out of its width, and bars move to a whole dot."""

NARROWEST_TEXT = 22.0
THICK, HAIR = 0.5, 0.2
TO_WRITE = 1.9
"""The height of a line to write on, in type sizes."""

SHRINKS = (1.0, 0.75, 0.55)
"""How far what would grow gives way, when the rest has no room; at the last of these it may be cut."""

GROWTH_STEP = 1.06
_SLACK = 1e-6
_UNIT = re.compile(r"(?<=\d) (°C|mm|%)")
_TIED = "\N{NO-BREAK SPACE}"


class NoRoom(TooSmall):
    """A label too small for what must be on it; `reasons` names each thing that would not fit."""

    def __init__(self, stock: Stock, kind: str, reasons: tuple[str, ...]) -> None:
        """Say in one sentence what would not fit on a label of `stock`."""
        super().__init__(stock, reasons)
        self.args = (f"{stock.name} is too small for {kind}: {'; '.join(reasons)}.",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One thing a label says; its letters are `scale` of the label's type sizes.

    `instead` is said where the faces have none of the text's letters. A part that `grows` takes the room that is left.
    What is no `must` is left out where there is no room; `lines` is how many it may take before it is cut, 0 for all
    it needs. A `care` has its sign, one with a `rule` a thick line under it, one `to_write` a line to write on.
    `least` is the smallest type, in mm, that it may be said in. A `code` stands before the text, which never pushes it
    aside. One that stands `apart` has more room above it; so has a `head`, which goes when what it heads goes.
    One that is `centred` stands in the middle of its width.
    """

    text: str
    face: Face = Face.REGULAR
    scale: float = 1.0
    instead: str = ""
    grows: bool = False
    must: bool = True
    lines: int = 0
    care: bool = False
    rule: bool = False
    to_write: bool = False
    at_foot: bool = False
    least: float = SIZES[-1]
    code: str = ""
    head: bool = False
    apart: bool = False
    centred: bool = False
    ink: Ink = Ink.INK

    @property
    def said(self) -> str:
        """The text in the letters that its face has."""
        return lettered(self.text, self.face) or lettered(self.instead, self.face)


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """What one label says, from top to foot, with the text of its bars; `kind` is how a refusal calls it.

    Its type is at most `largest`, in mm, but for the part that grows.
    """

    kind: str
    parts: tuple[Part, ...]
    bar: str = ""
    most_growth: float = 9.0
    largest: float = 12.0 * POINT

    @property
    def optional(self) -> int:
        """How many of its parts may be left out."""
        return sum(not part.must for part in self.parts)

    def without(self, count: int) -> tuple[Part, ...]:
        """Its parts that say something, but for the last `count` of those that may be left out."""
        kept: list[Part] = []
        for part in reversed(self.parts):
            if not part.must and count:
                count -= 1
            elif part.head and (not kept or kept[-1].head or kept[-1].at_foot):
                continue
            elif part.said or part.to_write:
                kept.append(part)
        return tuple(reversed(kept))


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
        if 2 * edge + wide <= stock.label_width + _SLACK and below > 0:
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
    return blocks is not None and sum(block.height for _, block in blocks) <= fit.frame.height + _SLACK


# ---- the words -------------------------------------------------------------------------------------------------------


def _blocks(fit: _Fit) -> list[tuple[Part, Picture]] | None:
    """Each part as it is drawn; None when one would have to be broken where it may not."""
    blocks = []
    for place, part in enumerate(fit.parts):
        block = _block(part, fit.size, fit.growth, fit.frame.width)
        if block is None:
            return None
        gap = GAP * fit.size if place + 1 < len(fit.parts) else 0.0
        blocks.append((part, replace(block, height=block.height + gap)))
    return blocks


@lru_cache(maxsize=16384)
def _block(part: Part, label_size: float, growth: float, width: float) -> Picture | None:
    size = max(part.scale * label_size * (growth if part.grows else 1.0), part.least)
    led = (measure(part.code, Face.CODE) + 0.6) * size if part.code else 0.0
    indent = (TRIANGLE + 0.3) * size if part.care else led
    lines = _broken(part, (width - indent) / size, may_cut=not part.grows or growth <= SHRINKS[-1])
    if lines is None:
        return None
    pitch = (TO_WRITE if part.to_write else LEADING) * size
    above = HEAD_GAP * label_size if part.head or part.apart else 0.0
    first = above + pitch - (LEADING - 0.95) * size
    wide = [measure(line, part.face) * size for line in lines]
    starts = [(width - one) / 2 if part.centred else indent for one in wide]
    shapes: list[Shape] = [
        Text(start, first + number * pitch, long, size, part.face, line, part.ink)
        for number, (line, start, long) in enumerate(zip(lines, starts, wide, strict=True))
    ]
    if part.care:
        shapes.insert(0, Triangle(0.0, first, size))
    if part.code:
        shapes.insert(0, Text(0.0, first, measure(part.code, Face.CODE) * size, size, Face.CODE, part.code))
    height = above + max(1, len(lines)) * pitch
    if part.to_write:
        start = indent + (measure(lines[-1], part.face) + 0.4) * size if lines else 0.0
        shapes.append(Rule(start, height - (LEADING - 0.95) * size, width - start, HAIR))
    if part.rule:
        shapes.append(Rule(0.0, height + 0.2 * label_size, width, THICK))
        height += 0.4 * label_size + THICK
    return Picture(width, height, tuple(shapes))


def _broken(part: Part, room: float, *, may_cut: bool) -> tuple[str, ...] | None:
    """The part's lines; a word is broken, and a text too long for its lines cut, only where it may be."""
    if room <= 0:
        return None
    lines = _wrapped(part.said, part.face, room)
    is_whole = all(measure(piece, part.face) <= room + _SLACK for _, piece in pieces_of(part.said))
    if not is_whole and not may_cut:
        return None
    if any(measure(line, part.face) > room + _SLACK for line in lines):
        return None
    if part.lines and len(lines) > part.lines:
        if not may_cut:
            return None
        rest = " ".join(lines[part.lines - 1 :])
        lines = (*lines[: part.lines - 1], shortened(rest, part.face, room))
    return lines


def _wrapped(text: str, face: Face, room: float) -> tuple[str, ...]:
    """`text` in lines of at most `room` type sizes; a unit stays with its number, a word too long is broken within."""
    lines: list[str] = []
    for gap, piece in pieces_of(_UNIT.sub(rf"{_TIED}\1", text)):
        plain = piece.replace(_TIED, " ")
        joined = f"{lines[-1]}{gap}{plain}" if lines else plain
        if lines and measure(joined, face) <= room:
            lines[-1] = joined
        else:
            lines += [plain] if measure(plain, face) <= room else wrapped_freely(plain, face, room)
    return tuple(line for line in lines if line)


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
