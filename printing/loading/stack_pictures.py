"""A loaded kiln from the side, seen from its front: shelves, posts, the pieces' heights and the room under the roof."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import accumulate

from printing.lettering import LEADING, NARROW, SCREEN_SIZE, At, in_lines, ink_box, is_free, words
from printing.loading.load_pictures import LevelSeen, LoadSeen, PieceSeen
from printing.shapes import (
    CAP_HEIGHT,
    Edges,
    Face,
    Ground,
    Ink,
    Line,
    Oblong,
    Pen,
    Picture,
    Shape,
    Text,
    meet,
)

WALL = 30.0
"""The room between shelf and wall in the picture, in mm of the kiln (for the eye, not measured)."""


@dataclass(frozen=True, slots=True)
class _View:
    """Where the kiln stands in the picture: its middle, from where to where down, and the picture's units in a mm."""

    middle: float
    top: float
    foot: float
    scale: float
    size: float

    def oblong(self, left_mm: float, foot_mm: float, width_mm: float, height_mm: float) -> Edges:
        """The box of something so far right of the middle and so high above the floor."""
        left, foot = self.middle + left_mm * self.scale, self.foot - foot_mm * self.scale
        return left, foot - height_mm * self.scale, left + width_mm * self.scale, foot


def tops(load: LoadSeen) -> tuple[float, ...]:
    """How high the upper face of each shelf lies above the floor, the lowest shelf lying on it, in mm."""
    steps = (level.post_mm + load.thickness_mm for level in load.levels[:-1])
    return tuple(accumulate(steps, initial=load.thickness_mm)) if load.levels else ()


def free_room(load: LoadSeen) -> float:
    """The room between the highest thing in the kiln and the roof, in mm; below nothing when the load is too high."""
    highest = [
        top + max((piece.top_mm for piece in level.pieces), default=0.0)
        for top, level in zip(tops(load), load.levels, strict=True)
    ]
    return load.height_mm - max(highest, default=0.0)


def _room_said(load: LoadSeen) -> str:
    free = free_room(load)
    return (load.said.free if free >= 0 else load.said.too_high).format(height=f"{abs(free):.0f}")


def stack_picture(
    load: LoadSeen, *, width: float = NARROW, size: float = SCREEN_SIZE, height: float | None = None
) -> Picture:
    """The load from the side, no letter smaller than `size`, and no higher than `height` where one is given.

    `width`, `size` and `height` are in pixels for a page and in mm for paper. A piece carries its code where the code
    stands whole on the part of it that nothing nearer hides; the shelves from above carry them all.
    """
    gutter = 1.6 * size, _longest(load, size) + 0.8 * size
    room_ink = Ink.SOFT if free_room(load) >= 0 else Ink.IRON
    room_lines = in_lines(0.0, 2.5 * size, size, _room_said(load), ink=room_ink, room=width)
    head = room_lines[-1].y + size
    across = load.shelf.across + 2 * WALL
    tall = max(load.height_mm, load.height_mm - free_room(load))
    scale = (width - sum(gutter) - 0.2 * size) / across
    if height is not None:
        scale = min(scale, (height - head - 2.4 * size) / tall)
    foot = head + tall * scale
    middle = gutter[0] + (width - sum(gutter)) / 2
    view = _View(middle, head, foot, scale, size)
    labels = [
        words(0.0, 1.15 * size, 1.15 * size, load.kiln, Face.BOLD, room=width),
        *room_lines,
        words(middle, foot + 1.4 * size, size, load.said.from_the_front, at=At.MIDDLE, ink=Ink.SOFT, room=width),
    ]
    shapes = [*_chamber(load, view), *_levels(load, view), *_shelf_names(load, view), *labels]
    return Picture(width, foot + 1.8 * size, tuple(shapes))


def _longest(load: LoadSeen, size: float) -> float:
    """How wide the lengths of the posts are written."""
    return max((words(0.0, 0.0, size, level.length).width for level in load.levels), default=0.0)


def _chamber(load: LoadSeen, view: _View) -> Iterator[Shape]:
    """Floor and walls, and the roof as a thick line; above it a load is too high."""
    half = load.shelf.across / 2 + WALL
    left, roof, right, floor = view.oblong(-half, 0.0, 2 * half, load.height_mm)
    yield Oblong(left, roof, right - left, floor - roof, ground=Ground.SUNK)
    yield Line(((left, roof), (left, floor), (right, floor), (right, roof)), Pen(0.1 * view.size))
    yield Line(((left, roof), (right, roof)), Pen(0.26 * view.size))


def _levels(load: LoadSeen, view: _View) -> Iterator[Shape]:
    """Shelves with what stands on them, the farthest first."""
    half = load.shelf.across / 2 + WALL
    chamber = view.oblong(-half, 0.0, 2 * half, (view.foot - view.top) / view.scale)
    taken: list[Edges] = []
    for top, level in zip(tops(load), load.levels, strict=True):
        slab = view.oblong(-load.shelf.across / 2, top - load.thickness_mm, load.shelf.across, load.thickness_mm)
        yield Oblong(slab[0], slab[1], slab[2] - slab[0], slab[3] - slab[1], ground=Ink.SOFT)
        for shape in _standing(level, top, view):
            if isinstance(shape, Text):
                if not is_free(ink_box(shape), chamber) or any(meet(ink_box(shape), other) for other in taken):
                    continue
                taken.append(ink_box(shape))
            yield shape


def _standing(level: LevelSeen, top: float, view: _View) -> Iterator[Shape]:
    """Posts and pieces of one shelf from the back to the front, and the codes that nothing hides."""
    far_first: list[tuple[float, Edges, PieceSeen | None]] = [
        (y, view.oblong(x - radius, top, 2 * radius, level.post_mm), None) for x, y, radius in level.posts
    ]
    for piece in level.pieces:
        edges = view.oblong(piece.x_mm - piece.across / 2, top + piece.over_mm, piece.across, piece.height_mm)
        far_first.append((piece.y_mm - piece.deep / 2, edges, piece))
    far_first.sort(key=lambda thing: (-thing[0], thing[1]))
    for place, (_, edges, thing) in enumerate(far_first):
        yield _side(edges, thing, view.size)
        nearer = [other for _, other, _ in far_first[place + 1 :]]
        if thing is not None and (label := _label(thing, edges, nearer, view.size)):
            yield label


def _side(edges: Edges, piece: PieceSeen | None, size: float) -> Oblong:
    """A piece or a post as it looks from the side."""
    left, top, right, foot = edges
    if piece is None:
        return Oblong(left, top, right - left, foot - top, Pen(0.08 * size, Ink.SOFT), Ground.SUNK)
    thick = (0.18 if piece.with_care or piece.is_in else 0.09) * size
    pen = Pen(thick, Ink.IRON if piece.with_care else Ink.INK)
    sides = max(right - left - thick, 0.0), max(foot - top - thick, 0.0)
    return Oblong(left + thick / 2, top + thick / 2, *sides, pen, Ground.CELADON if piece.is_in else Ground.LEAF)


def _label(piece: PieceSeen, edges: Edges, hidden: list[Edges], size: float) -> Text | None:
    """The code on the piece's side, in the middle or at the first height where nothing nearer hides it."""
    left, top, right, foot = edges
    air = 0.25 * size
    inside = left + air, top + air, right - air, foot - air
    middle = (top + foot) / 2 + CAP_HEIGHT * size / 2
    for base in (middle, top + air + 0.72 * size):
        text = words((left + right) / 2, base, size, piece.code, Face.CODE, at=At.MIDDLE)
        if is_free(ink_box(text), inside) and not any(meet(ink_box(text), other) for other in hidden):
            return text
    return None


def _shelf_names(load: LoadSeen, view: _View) -> Iterator[Shape]:
    """The shelves' numbers on the left and the lengths of their posts on the right, each in its shelf's room."""
    half = load.shelf.across / 2 + WALL
    lowest_number = lowest_post = view.foot + view.size
    for number, (top, level) in enumerate(zip(tops(load), load.levels, strict=True), start=1):
        left, roof, right, shelf = view.oblong(-half, top, 2 * half, level.post_mm)
        base = min((roof + shelf) / 2 + CAP_HEIGHT * view.size / 2, shelf, lowest_number - view.size)
        if base < view.top + 0.25 * view.size:
            # So many low shelves in so small a picture: what is above them belongs to the heading.
            return
        yield words(left - 0.6 * view.size, base, view.size, str(number), Face.BOLD, at=At.END)
        lowest_number = base
        if level.post_mm and base <= lowest_post - LEADING * view.size:
            yield words(right + 0.5 * view.size, base, view.size, level.length, ink=Ink.SOFT)
            lowest_post = base
