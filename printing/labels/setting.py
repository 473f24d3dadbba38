"""Parts set into the rooms of a frame, one under another, and drawn. Lengths are mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from printing.faces import ELLIPSIS, measure, shortened
from printing.labels.label_parts import Gives, Part, Parts, versions
from printing.labels.places import BELOW, LEADING, SLACK, TOP, Frame, Room
from printing.line_breaks import Line, broken, long, overflows, room_of, side_by_side, stands_whole, words_of
from printing.shapes import TRIANGLE, Face, Rule, Shape, Text, Triangle, moved

HEAD_GAP = 0.45
"""As much more above a head, in the label's type sizes."""

THICK, HAIR = 0.5, 0.2
TO_WRITE = 1.9
"""The height of a line to write on, in type sizes."""

INDENT = TRIANGLE + 0.3
"""Where the words of a care begin after its sign, in type sizes."""

SHRINKS = (1.0, 0.75, 0.55)
"""How far what would grow gives way, when the rest has no room; at the last of these it may be cut."""


@dataclass(frozen=True, slots=True)
class Fit:
    """How parts are set: in the label's type of `size`, what grows `growth` times larger, or smaller below 1.

    Set `whole`, nothing is cut, shortened or left out.
    """

    frame: Frame
    size: float
    growth: float = 1.0
    whole: bool = False


@dataclass(frozen=True, slots=True)
class _Block:
    """A part as it is set: its room, its type size, its lines with the left end and the baseline of each, and its foot.

    A thick line under it begins at `rule_at`.
    """

    part: Part
    room: Room
    size: float
    lines: tuple[Line, ...]
    at: tuple[tuple[float, float], ...]
    foot: float
    rule_at: float = 0.0

    @property
    def run_on(self) -> int:
        """How many of its lines are the rest of a sentence begun above."""
        return 0 if self.part.gives is Gives.SHRINKS else len(self.lines) - 1


Blocks = tuple[_Block, ...]


def fits(parts: Parts, fit: Fit) -> bool:
    """Whether all parts stand in the frame."""
    return _set(parts, fit) is not None


def broken_lines(parts: Parts, fit: Fit) -> int | None:
    """How many lines are the rest of a sentence begun above; None when the parts do not stand there."""
    blocks = _set(parts, fit)
    return None if blocks is None else sum(block.run_on for block in blocks)


def drawn(parts: Parts, fit: Fit) -> tuple[Shape, ...] | None:
    """The parts from the top down, those for the foot at the foot; None when they do not stand there.

    Where there are neither bars nor a foot, they stand in the middle.
    """
    blocks = _set(parts, fit)
    if blocks is None:
        return None
    left_over = fit.frame.rooms[-1].foot - (blocks[-1].foot if blocks else fit.frame.rooms[0].top)
    has_foot = any(part.at_foot for part in parts)
    down = 0.0 if has_foot or fit.frame.bars else left_over / 2
    shapes: list[Shape] = []
    for block in blocks:
        if block.part.at_foot:
            down = left_over
        shapes += (moved(shape, 0.0, down) for shape in _shapes(block)) if down else _shapes(block)
    return tuple(shapes)


@lru_cache(maxsize=8192)
def words_in(parts: Parts, frame: Frame) -> tuple[Shape, ...] | None:
    """As much of the parts as has room in a frame that was made for a type size, given way in their order."""
    fit = Fit(frame, frame.size)
    return next((shapes for some in versions(parts) if (shapes := drawn(some, fit)) is not None), None)


def _set(parts: Parts, fit: Fit) -> Blocks | None:
    """The parts set; facts that shrink take as many lines as leave room for the rest."""
    if not parts or parts[0].gives is not Gives.SHRINKS:
        return _one_under_another(parts, fit, 0, apart=False)
    most = len(_side_by_side(parts[0], fit, fit.frame.lines(fit.size)))
    if fit.whole:
        return _one_under_another(parts, fit, most, apart=False)
    for count in range(most, 0, -1):
        for apart in (True, False) if len(fit.frame.rooms) > 1 else (False,):
            blocks = _one_under_another(parts, fit, count, apart=apart)
            if blocks is not None:
                return blocks
    return None


def _one_under_another(parts: Parts, fit: Fit, facts: int, *, apart: bool) -> Blocks | None:
    """Each part below the one before, or at the top of the next room; None where one has no room.

    The first takes `facts` lines where it shrinks; set `apart`, what follows begins in another room than it did.
    """
    rooms = fit.frame.rooms
    number, y = 0, rooms[0].top
    blocks: list[_Block] = []
    for part in parts:
        if part.gives is Gives.SHRINKS:
            block, number, y = _facts(part, fit, facts)
            if fit.whole and not stands_whole(part.facts, block.lines):
                return None
            if apart and number == 0:
                number, y = 1, rooms[1].top
        else:
            y += fit.frame.gap * fit.size if blocks else 0.0
            found = _in_a_room(part, fit, number, y)
            if found is None:
                return None
            block, number = found
            y = block.foot
        blocks.append(block)
    return tuple(blocks)


def _in_a_room(part: Part, fit: Fit, number: int, y: float) -> tuple[_Block, int] | None:
    """A part in the first room that holds all of it, from room `number` at `y` on; else cut, where it may be."""
    rooms = fit.frame.rooms
    for may_cut in (False, True) if part.cut_at and not fit.whole else (not part.cut_at,):
        for place in range(number, len(rooms)):
            block = _block(part, fit, rooms[place], y if place == number else rooms[place].top, may_cut=may_cut)
            if block is not None:
                return block, place
    return None


def _facts(part: Part, fit: Fit, count: int) -> tuple[_Block, int, float]:
    """Facts side by side in the first `count` lines of all rooms; the room and the height at which they end."""
    spots = _spots(fit, count)
    lines = _side_by_side(part, fit, count)
    number, _, baseline = spots[len(lines) - 1]
    room = fit.frame.rooms[number]
    foot = baseline - TOP * fit.size + (room.pitch or LEADING * fit.size)
    at = tuple((fit.frame.rooms[place].x, y) for place, _, y in spots[: len(lines)])
    return _Block(part, room, fit.size, lines, at, foot), number, foot


def _side_by_side(part: Part, fit: Fit, count: int) -> tuple[Line, ...]:
    rooms = tuple(width / fit.size for _, width, _ in _spots(fit, count))
    kept = measure(f" · {part.also[0]}", Face.REGULAR) if part.keeps_next else 0.0
    return side_by_side(part.facts, rooms, kept)


def _spots(fit: Fit, count: int) -> list[tuple[int, float, float]]:
    """The first lines of the label's type in all rooms: the room's number, the line's width and its baseline."""
    spots: list[tuple[int, float, float]] = []
    for number, room in enumerate(fit.frame.rooms):
        first = room.top + TOP * fit.size
        for line in range(min(room.lines(first, fit.size), count - len(spots))):
            y = first + line * (room.pitch or LEADING * fit.size)
            spots.append((number, room.width_at(y, fit.size), y))
    return spots


def _block(part: Part, fit: Fit, room: Room, top: float, *, may_cut: bool) -> _Block | None:
    """A part in a room from `top` on; None when it would have to be broken where it may not, or has no room."""
    size = max(part.scale * fit.size * (fit.growth if part.grows else 1.0), part.least)
    led = (measure(part.code, Face.CODE) + 0.6) * size if part.code else 0.0
    indent = INDENT * size if part.care else led
    own_pitch = (TO_WRITE if part.to_write else LEADING) * size
    pitch = room.pitch or own_pitch
    above = HEAD_GAP * fit.size if part.head or part.apart else 0.0
    first = top + above + own_pitch - BELOW * size
    most = room.lines(first, size, pitch)
    if not most:
        return None
    widths = tuple(room.width_at(first + line * pitch, size) for line in range(most if room.notch else 1))
    rooms = tuple((width - indent) / size for width in widths)
    may_break = not part.grows or fit.growth <= SHRINKS[-1]
    lines = _cut(part, rooms[0]) if may_cut and part.cut_at else _lines(part, rooms, may_break=may_break)
    if lines is None or len(lines) > most:
        return None
    starts = tuple(
        room.x + ((room.width - long(line) * size) / 2 if part.centred else indent) for line in lines or ((),)
    )
    at = tuple((x, first + number * pitch) for number, x in enumerate(starts))
    foot = top + above + max(1, len(lines)) * pitch
    rule_at = foot + 0.2 * fit.size if part.rule else 0.0
    if part.rule:
        foot += 0.4 * fit.size + THICK
        if foot > room.foot + SLACK:
            return None
    return _Block(part, room, size, lines, at, foot, rule_at)


@lru_cache(maxsize=16384)
def _lines(part: Part, rooms: tuple[float, ...], *, may_break: bool) -> tuple[Line, ...] | None:
    """The part's lines; a word is broken, and a text too long for its lines cut, only where it may be."""
    if min(rooms) <= 0:
        return None
    lines = broken(words_of(part.said, part.face, part.strong), rooms, may_break=may_break)
    if overflows(lines, rooms):
        return None
    if part.lines and len(lines) > part.lines:
        if not may_break:
            return None
        rest = " ".join(text for line in lines[part.lines - 1 :] for *_, text in line)
        last = shortened(rest, part.face, room_of(rooms, part.lines - 1))
        lines = (*lines[: part.lines - 1], ((0.0, measure(last, part.face), part.face, last),))
    return lines


def _cut(part: Part, room: float) -> tuple[Line, ...] | None:
    """As much of the part as one line holds, cut where it may be; None when not even that."""
    pieces = part.said.split(part.cut_at)
    for kept in range(len(pieces) - 1, 0, -1):
        text = f"{part.cut_at.join(pieces[:kept])}{ELLIPSIS}"
        width = measure(text, part.face)
        if width <= room:
            return (((0.0, width, part.face, text),),)
    return None


def _shapes(block: _Block) -> Iterator[Shape]:
    part, size, room = block.part, block.size, block.room
    first = block.at[0][1]
    if part.care:
        yield Triangle(room.x, first, size)
    if part.code:
        yield Text(room.x, first, measure(part.code, Face.CODE) * size, size, Face.CODE, part.code)
    for line, (left, y) in zip(block.lines, block.at, strict=False):
        for start, width, face, text in line:
            yield Text(left + start * size, y, width * size, size, face, text, part.ink)
    if part.to_write:
        start = block.at[-1][0] + (long(block.lines[-1]) + 0.4) * size if block.lines else room.x
        yield Rule(start, block.foot - BELOW * size, room.x + room.width - start, HAIR)
    if part.rule:
        yield Rule(room.x, block.rule_at, room.width, THICK)
