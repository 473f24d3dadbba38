"""Any label laid out: the largest type in which all that must be said stands whole, or the reason why not.

A label is its parts, one under another, with bars below or beside them, and perhaps a code to copy and a QR. One part
may grow into the room that the others leave. Lengths are mm from the label's top left corner.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from printing import bars
from printing.faces import measure
from printing.labels.label_parts import SIZES, Label, Parts, Usual, versions
from printing.labels.places import CODE_BEARING, Frame, bars_need, label_frames, needs, tag_frames, too_large
from printing.labels.setting import SHRINKS, Fit, broken_lines, drawn, fits, words_in
from printing.labels.stock import Lack, NoRoom, Stock, TooSmall
from printing.lettering import POINT
from printing.pdf import left_bearing
from printing.shapes import Face, Rule, Shape, Symbol, Text

COMFORTABLE = 8.0 * POINT
"""Type that is read at arm's length; for its sake bars may be narrower."""

GROWTH_STEP = 1.06

SMALLER_BUT_UNBROKEN = 0.82
"""How much smaller the type of labels that look alike may be for the sake of unbroken sentences."""


def lay_out(label: Label, stock: Stock, dots_per_inch: int | None = None) -> tuple[Shape, ...]:
    """The label's shapes on `stock`; `TooSmall` names what it cannot hold."""
    if label.usual is not None:
        return _like_the_usual(label, label.usual, stock, dots_per_inch)
    return _by_itself(label, stock, dots_per_inch)


def refuses(label: Label, stock: Stock, dots_per_inch: int | None = None) -> tuple[NoRoom, ...]:
    """Why `stock` cannot hold the label; empty when it can."""
    try:
        lay_out(label, stock, dots_per_inch)
    except TooSmall as too_small:
        return too_small.reasons
    return ()


def laid_out(labels: Sequence[Label], stock: Stock, dpi: int | None = None) -> Iterator[tuple[Shape, ...]]:
    """Each label's shapes on `stock`; no labels are refused with a ValueError."""
    if not labels:
        raise ValueError("There is nothing to print.")
    return (lay_out(label, stock, dpi) for label in labels)


# ---- labels each in the largest type of its own ----------------------------------------------------------------------


def _by_itself(label: Label, stock: Stock, dots_per_inch: int | None) -> tuple[Shape, ...]:
    shapes, lacks = _tried(label, stock, dots_per_inch)
    if shapes is None:
        raise TooSmall(stock, lacks)
    return shapes


@lru_cache(maxsize=4096)
def _tried(
    label: Label, stock: Stock, dots_per_inch: int | None
) -> tuple[tuple[Shape, ...] | None, tuple[NoRoom, ...]]:
    """The label's shapes, or None and why it has no room: finding that none fits takes the longest of all."""
    frames = tuple(label_frames(label.bar, stock, dots_per_inch))
    for parts in versions(label.parts):
        fit = _best(parts, frames, label.largest)
        if fit is not None:
            shapes = drawn(parts, _grown(parts, fit, label.most_growth)) or ()
            return (*shapes, *_marks(label, fit.frame)), ()
    return None, _reasons(label, stock, frames)


def _best(parts: Parts, frames: tuple[Frame, ...], largest: float) -> Fit | None:
    """The first frame that holds the parts in comfortable type, else the one that holds them in the largest.

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


def _largest(parts: Parts, frame: Frame, largest: float) -> Fit | None:
    """The largest type in which the parts stand in the frame, the growing one shrunk if it must be."""
    if not fits(parts, Fit(frame, SIZES[-1], SHRINKS[-1])):
        return None
    for growth in SHRINKS:
        for size in (one for one in SIZES if one <= largest):
            fit = Fit(frame, size, growth)
            if fits(parts, fit):
                return fit
    return None


def _grown(parts: Parts, fit: Fit, most: float) -> Fit:
    """The same with its growing part as large as the room that is left allows."""
    while fit.growth >= 1.0 and fit.growth * GROWTH_STEP <= most:
        larger = replace(fit, growth=fit.growth * GROWTH_STEP)
        if not any(part.grows for part in parts) or not fits(parts, larger):
            break
        fit = larger
    return fit


def _reasons(label: Label, stock: Stock, frames: tuple[Frame, ...]) -> tuple[NoRoom, ...]:
    """What has no room, thing by thing."""
    if not frames:
        wide, tall = bars_need(label.bar)
        return (NoRoom(Lack.BARS, width=wide, height=tall),)
    *_, musts = versions(label.parts)
    least = max(frames, key=lambda frame: frame.rooms[0].width * (frame.rooms[0].foot - frame.rooms[0].top))
    for count in range(1, len(musts) + 1):
        if not fits(musts[:count], Fit(least, SIZES[-1], SHRINKS[-1])):
            return tuple(NoRoom(Lack.TEXT, part.said) for part in musts[count - 1 :])
    return (NoRoom(Lack.WORDS, width=stock.label_width, height=stock.label_height),)


# ---- labels that look alike ------------------------------------------------------------------------------------------


def _like_the_usual(label: Label, usual: Usual, stock: Stock, dots_per_inch: int | None) -> tuple[Shape, ...]:
    """The label in the type of the usual one, or in the smallest when it says more than most."""
    modules = label.qr.form.modules if label.qr else 0
    frame = _usual_frame(usual, stock, label.letters, modules, dots_per_inch)
    if frame is None:
        reasons = too_large(stock, needs(label.letters, modules, dots_per_inch))
        raise TooSmall(stock, reasons or (NoRoom(Lack.TAG_WORDS),))
    words = words_in(label.parts, frame)
    if words is None:
        for tighter in reversed(tag_frames(stock, label.letters, modules, dots_per_inch)):
            frame, words = tighter, words_in(label.parts, tighter)
            if words is not None:
                break
        else:
            raise TooSmall(stock, (NoRoom(Lack.TAG_WARNINGS),))
    return (*_marks(label, frame), *words)


@lru_cache(maxsize=512)
def _usual_frame(usual: Usual, stock: Stock, letters: int, qr_modules: int, dots_per_inch: int | None) -> Frame | None:
    """The frame with the largest type in which a usual label stands whole, or as much of it as can.

    Somewhat smaller type is preferred when it keeps every sentence on one line. None where no frame holds its musts.
    """
    frames = tag_frames(stock, letters, qr_modules, dots_per_inch)
    large = tuple(frame for frame in frames if frame.size >= COMFORTABLE)
    for parts, some in ((usual.at_length, large), *((parts, frames) for parts in usual.says)):
        if parts and (frame := _whole_in(parts, some)) is not None:
            return frame
    roomy = [frame for frame in frames if words_in(usual.says[0], frame)]
    return max(roomy, key=lambda frame: frame.words_room, default=None)


def _whole_in(parts: Parts, frames: tuple[Frame, ...]) -> Frame | None:
    """The first frame in which the parts stand whole, or a somewhat smaller one that breaks fewer lines; else None."""
    best: tuple[int, Frame] | None = None
    least = 0.0
    for frame in frames:
        if frame.size < least or (best and best[0] == 0):
            break
        broken = broken_lines(parts, Fit(frame, frame.size, whole=True))
        if broken is not None and (best is None or broken < best[0]):
            least = least or SMALLER_BUT_UNBROKEN * frame.size
            best = broken, frame
    return best[1] if best else None


def _marks(label: Label, frame: Frame) -> Iterator[Shape]:
    """The code with the rule under it, the bars and the QR; the code's ink begins where rule and bars do."""
    if frame.code:
        code = frame.code
        x = code.x - left_bearing(label.bar[0], Face.CODE) * code.size
        wide = measure(label.bar, Face.CODE) * code.size
        yield Text(x, code.y, wide, code.size, Face.CODE, label.bar)
        yield Rule(code.x, code.rule_y, x + wide - CODE_BEARING * code.size - code.x, code.rule_high)
    if frame.bars:
        x, y, module, high = frame.bars
        symbol = bars.bars(label.bar)
        yield Symbol(x, y, module, high, symbol.modules, (symbol.row,), bars.BAR_QUIET)
    if frame.qr and label.qr:
        x, y, module = frame.qr
        form = label.qr.form
        yield Symbol(x, y, module, module, form.modules, bars.qr(label.qr.address, form), bars.QR_QUIET)
