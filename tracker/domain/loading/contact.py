"""Where a footprint touches two things at once: the places worth trying for it.

Everything on a shelf is grown by the footprint, which shrinks to its centre: it lies free where that point lies outside
everything grown and inside the edge drawn in. Around each thing the point then runs on a curve while the two touch:
a circle, as x, y and radius, or a straight line, as its axis (0 upright, 1 level) and where it stands on it.
Lengths are mm.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot, sqrt
from typing import TypeAlias

from tracker.domain.loading.shelf_shapes import Footprint, Shelf

Disc: TypeAlias = tuple[float, float, float]
"""x, y and how far others keep from there."""

Box: TypeAlias = tuple[float, float, float, float, float]
"""x, y, half a width, half a depth and how far others keep from it."""

Circle: TypeAlias = tuple[float, float, float]
Line: TypeAlias = tuple[int, float]
Curve: TypeAlias = Circle | Line
Place: TypeAlias = tuple[float, float]

LEEWAY = 0.004
"""A place between two round things is no round number: it is first sought so much too close, and then nudged off."""

_ROUNDING = 1e-7
# How far two equal squares of distances, in mm², come apart in floating point.


@dataclass(frozen=True, slots=True)
class Edge:
    """A shelf's edge drawn in by a footprint: half a width and depth, or the radius of a rim and the circles of it."""

    is_round: bool
    wide: float
    deep: float
    # By so much the corners of a rectangle reach out from its centre; nothing where the footprint is round.
    across: float = 0.0
    along: float = 0.0

    @classmethod
    def of(cls, shelf: Shelf, lies: Footprint) -> Edge:
        """The edge of a shelf for a footprint that lies so."""
        across, along = lies.width_mm / 2, lies.depth_mm / 2
        if shelf.is_round and not lies.is_round:
            return cls(shelf.is_round, shelf.width_mm / 2, shelf.depth_mm / 2, across, along)
        return cls(shelf.is_round, shelf.width_mm / 2 - across, shelf.depth_mm / 2 - along)

    def holds(self, x: float, y: float, leeway: float = 0.0) -> bool:
        """Whether the footprint with its centre there stays on the shelf, but for `leeway`."""
        wide, x, y = self.wide + leeway, abs(x) + self.across, abs(y) + self.along
        if self.is_round:
            return wide >= 0 and x * x + y * y <= wide * wide + _ROUNDING
        return x <= wide + _ROUNDING and y <= self.deep + leeway + _ROUNDING

    def curves_near(self, at: Place, near: float) -> Iterator[Curve]:
        """The curves on which the footprint touches the edge, where they pass within about `near`."""
        x, y = at
        if not self.is_round:
            for axis, edge in ((0, self.wide), (1, self.deep)):
                for side in (-1, 1):
                    if side * at[axis] >= edge - near:
                        yield axis, side * edge
        elif self.wide > 0:
            for side in (-1, 1) if self.across else (1,):
                for end in (-1, 1) if self.along else (1,):
                    if hypot(x + side * self.across, y + end * self.along) >= self.wide - near:
                        yield -side * self.across, -end * self.along, self.wide


def grown(discs: list[Disc], boxes: list[Box], lies: Footprint) -> tuple[list[Disc], list[Box]]:
    """Discs and boxes as a footprint's centre meets them."""
    across, deep = lies.width_mm / 2, lies.depth_mm / 2
    if lies.is_round:
        return (
            [(x, y, keep + across) for x, y, keep in discs],
            [(x, y, wide, long, keep + across) for x, y, wide, long, keep in boxes],
        )
    return [], [
        *((x, y, across, deep, keep) for x, y, keep in discs),
        *((x, y, wide + across, long + deep, keep) for x, y, wide, long, keep in boxes),
    ]


def is_clear(x: float, y: float, discs: list[Disc], boxes: list[Box], leeway: float = 0.0) -> bool:
    """Whether a point lies outside grown discs and boxes, but for `leeway`."""
    for disc_x, disc_y, keep in discs:
        if (disc_x - x) ** 2 + (disc_y - y) ** 2 < (keep - leeway) ** 2 - _ROUNDING:
            return False
    for box_x, box_y, across, deep, keep in boxes:
        right, back, reach = abs(box_x - x) - across, abs(box_y - y) - deep, keep - leeway - _ROUNDING
        if right < reach and back < reach and (right <= 0 or back <= 0 or right * right + back * back < reach * reach):
            return False
    return True


def curves_near(at: Place, near: float, discs: list[Disc], boxes: list[Box]) -> list[Curve]:
    """The curves around grown discs and boxes that pass within about `near`."""
    x, y = at
    curves: list[Curve] = [disc for disc in discs if (disc[0] - x) ** 2 + (disc[1] - y) ** 2 <= (disc[2] + near) ** 2]
    for box_x, box_y, across, deep, keep in boxes:
        right, back = abs(x - box_x) - across, abs(y - box_y) - deep
        if right > keep + near or back > keep + near:
            continue
        side, end = (1 if x >= box_x else -1), (1 if y >= box_y else -1)
        # The nearest side or corner; both where the point is about as near to either.
        if back <= near and right >= keep - near:
            curves.append((0, box_x + side * (across + keep)))
        if right <= near and back >= keep - near:
            curves.append((1, box_y + end * (deep + keep)))
        if keep > 0 and right > -near and back > -near:
            curves.append((box_x + side * across, box_y + end * deep, keep))
    return curves


def crossings(one: Curve, other: Curve) -> tuple[Place, ...]:
    """Where two curves cross: at two places, at one, or nowhere."""
    # A circle has three numbers and a line two; mypy tells them apart by that.
    if len(one) == 3:  # noqa: PLR2004 -- said above
        return _circles_cross(one, other) if len(other) == 3 else _circle_and_line_cross(one, other)  # noqa: PLR2004 -- as above
    if len(other) == 3:  # noqa: PLR2004 -- as above
        return _circle_and_line_cross(other, one)
    if one[0] == other[0]:
        return ()
    return ((one[1], other[1]) if one[0] == 0 else (other[1], one[1]),)


def _circles_cross(one: Circle, other: Circle) -> tuple[Place, ...]:
    right, back = other[0] - one[0], other[1] - one[1]
    apart = hypot(right, back)
    radius, reach = one[2], other[2]
    if not abs(radius - reach) - LEEWAY <= apart <= radius + reach + LEEWAY or apart <= LEEWAY:
        return ()
    right, back = right / apart, back / apart
    along = (apart + (radius - reach) * (radius + reach) / apart) / 2
    aside = sqrt(max(radius * radius - along * along, 0.0))
    x, y = one[0] + along * right, one[1] + along * back
    return (x - aside * back, y + aside * right), (x + aside * back, y - aside * right)


def _circle_and_line_cross(circle: Circle, line: Line) -> tuple[Place, ...]:
    x, y, radius = circle
    axis, at = line
    off = at - (x, y)[axis]
    if abs(off) > radius + LEEWAY:
        return ()
    aside = sqrt(max(radius * radius - off * off, 0.0))
    return ((at, y - aside), (at, y + aside)) if axis == 0 else ((x - aside, at), (x + aside, at))
