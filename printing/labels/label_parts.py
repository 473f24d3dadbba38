"""What a label says, part by part, and each part as a block of lines at a size in a width. Lengths are mm."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from printing.faces import measure, shortened
from printing.graphemes import pieces_of
from printing.lettering import POINT, lettered, wrapped_freely
from printing.shapes import TRIANGLE, Face, Ink, Picture, Rule, Shape, Text, Triangle

SIZES = tuple(half / 2 * POINT for half in range(36, 11, -1))
"""The label's type sizes that are tried, from 18 down to 6 points."""

LEADING = 1.22
"""From baseline to baseline, in type sizes: just more than the tallest letter above the deepest."""

HEAD_GAP = 0.45
"""As much more above a head."""

THICK, HAIR = 0.5, 0.2
TO_WRITE = 1.9
"""The height of a line to write on, in type sizes."""

SHRINKS = (1.0, 0.75, 0.55)
"""How far what would grow gives way, when the rest has no room; at the last of these it may be cut."""

SLACK = 1e-6
"""Lengths that differ by less, in mm, are equal."""

_UNIT = re.compile(r"(?<=\d) (°C|mm|%)")
_TIED = "\N{NO-BREAK SPACE}"


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


@lru_cache(maxsize=16384)
def block_of(part: Part, label_size: float, growth: float, width: float) -> Picture | None:
    """The part in a width, in the label's type of `label_size`; None when it would have to be broken where it may not.

    `growth` is how far what grows has grown; less than 1 is how far it gave way.
    """
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
    is_whole = all(measure(piece, part.face) <= room + SLACK for _, piece in pieces_of(part.said))
    if not is_whole and not may_cut:
        return None
    if any(measure(line, part.face) > room + SLACK for line in lines):
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
