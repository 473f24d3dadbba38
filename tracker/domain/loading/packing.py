"""One shelf of a kiln: which place on it a piece gets, hugging the rim and what stands there already.

Places are those where a piece touches two things (`touching`), the outermost first. A map of points all over the shelf
keeps note of the room around each of them; it says beforehand near which points such a place may be, and so keeps the
search to the few things around them.
"""

from __future__ import annotations

from collections.abc import Iterable
from copy import copy
from functools import lru_cache
from itertools import combinations
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from tracker.domain.loading.contact import LEEWAY, Box, Disc, Edge, Place, crossings, curves_near, grown, is_clear
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind, Spot

Numbers: TypeAlias = NDArray[np.float64]
Answers: TypeAlias = NDArray[np.bool_]

DIGITS = 3
"""Places are whole thousandths of a mm, so that what is written down is what was checked."""

_STEPS = sorted(
    ((right / 10**DIGITS, back / 10**DIGITS) for right in range(-5, 6) for back in range(-5, 6)),
    key=lambda step: (abs(step[0]) + abs(step[1]), step),
)
# The ways off what a place overlaps by less than the leeway, the shortest first.

_POINTS_ACROSS = 44
# Points of the map to the longer side of the shelf: 13 mm apart on a shelf of 560 mm. With more of them keeping the map
# takes longer than it saves.

_AT_A_TIME = 64


class Ground:
    """A shelf with what stands on it: posts and witness cones first, then each piece that is put down."""

    def __init__(self, shelf: Shelf, gap_mm: float) -> None:
        """An empty shelf, on which pieces keep `gap_mm` from one another and from posts; its edge they may reach."""
        self.shelf = shelf
        self.gap_mm = gap_mm
        self.covered_mm2 = 0.0
        self._map = _Map.of(shelf)
        self._room, self._second = self._map.nearest.copy(), self._map.second.copy()
        self._discs: list[Disc] = []
        self._boxes: list[Box] = []
        if shelf.kind is ShelfKind.HALF:
            self._add_box((0.0, 0.0, 0.0, shelf.depth_mm / 2, 0.0))

    def copy(self) -> Ground:
        """The same shelf once more, to try something on."""
        other = copy(self)
        other.stand_alone()
        return other

    def stand_alone(self) -> None:
        """Share nothing anymore with the shelf that this one was copied from."""
        self._discs, self._boxes = self._discs.copy(), self._boxes.copy()
        self._room, self._second = self._room.copy(), self._second.copy()

    def put(self, footprint: Footprint, spot: Spot) -> None:
        """Let something stand there from now on."""
        lies = footprint.turned if spot.turned else footprint
        self.covered_mm2 += lies.area_mm2
        if lies.is_round:
            disc = (spot.x_mm, spot.y_mm, lies.width_mm / 2 + self.gap_mm)
            self._discs.append(disc)
            self._note(self._map.room_to_disc(*disc))
        else:
            self._add_box((spot.x_mm, spot.y_mm, lies.width_mm / 2, lies.depth_mm / 2, self.gap_mm))

    def _add_box(self, box: Box) -> None:
        self._boxes.append(box)
        self._note(self._map.room_to_box(*box))

    def _note(self, room: Numbers) -> None:
        """Keep, for each point of the map, the room to the nearest and to the second nearest thing."""
        np.minimum(self._second, np.maximum(self._room, room), out=self._second)
        np.minimum(self._room, room, out=self._room)

    def spot_for(self, footprint: Footprint) -> Spot | None:
        """The place nearest the edge where it may stand, or nothing when every place is taken."""
        if self.covered_mm2 + footprint.area_mm2 > self.shelf.area_mm2 + 1e-6:
            return None
        if footprint.is_round:
            points = self._map.where_it_may_touch_two(self._room, self._second, footprint.width_mm / 2)
            return self._outermost(footprint, points)
        straight = self._outermost(footprint, self._points_for(footprint))
        if footprint.width_mm == footprint.depth_mm:
            return straight
        across = self._outermost(footprint.turned, self._points_for(footprint.turned))
        return self._further_out(footprint, straight, across and Spot(across.x_mm, across.y_mm, turned=True))

    def _further_out(self, footprint: Footprint, one: Spot | None, other: Spot | None) -> Spot | None:
        if one is None or other is None:
            return one or other
        return max(one, other, key=lambda spot: self._map.how_far_out(footprint, spot))

    def _outermost(self, lies: Footprint, points: Iterable[Place]) -> Spot | None:
        """The first place, near one of the points, where a footprint that lies so touches two things."""
        discs, boxes = grown(self._discs, self._boxes, lies)
        edge = Edge.of(self.shelf, lies)
        near = self._map.between * 1.01
        tried: set[Place] = set()
        for at in points:
            curves = [*curves_near(at, near, discs, boxes), *edge.curves_near(at, near)]
            for one, other in combinations(curves, 2):
                for place in crossings(one, other):
                    if abs(place[0] - at[0]) > near or abs(place[1] - at[1]) > near or place in tried:
                        continue
                    tried.add(place)
                    if spot := _settled(place, edge, discs, boxes):
                        return spot
        starts = self._map.starts_for(lies)
        return next(filter(None, (_settled(place, edge, discs, boxes) for place in starts)), None)

    def _points_for(self, lies: Footprint) -> Iterable[Place]:
        """The points near which a rectangle may touch two things and overlap none, outermost first."""
        points = self._map.where_it_may_be(self._room, lies)
        _, boxes = grown(self._discs, self._boxes, lies)
        table = np.array(boxes).reshape(-1, 5)
        for start in range(0, len(points), _AT_A_TIME):
            some = points[start : start + _AT_A_TIME]
            yield from some[self._map.touch_two(some, table, lies)].tolist()


def _settled(place: Place, edge: Edge, discs: list[Disc], boxes: list[Box]) -> Spot | None:
    """The place in whole steps, moved by a few of them off what it overlaps by less than the leeway, if it is free."""
    if not (edge.holds(*place, LEEWAY) and is_clear(*place, discs, boxes, LEEWAY)):
        return None
    for right, back in _STEPS:
        x, y = round(place[0] + right, DIGITS), round(place[1] + back, DIGITS)
        if edge.holds(x, y) and is_clear(x, y, discs, boxes):
            return Spot(x, y)
    return None


class _Map:
    """Points all over a shelf, to keep note of the room around each of them: how large a circle may stand there."""

    def __init__(self, shelf: Shelf) -> None:
        step = max(shelf.width_mm, shelf.depth_mm) / _POINTS_ACROSS
        xs = np.arange(-shelf.width_mm / 2, shelf.width_mm / 2 + step, step)
        ys = np.arange(-shelf.depth_mm / 2, shelf.depth_mm / 2 + step, step)
        self.shelf = shelf
        self.step = step
        self.between = step * 0.71
        self.x, self.y = xs[None, :], ys[:, None]
        right, back = shelf.width_mm / 2 - np.abs(self.x), shelf.depth_mm / 2 - np.abs(self.y)
        if shelf.is_round:
            out = np.hypot(self.x, self.y)
            self.nearest: Numbers = shelf.width_mm / 2 - out
            self.second: Numbers = np.full(out.shape, np.inf)
        else:
            self.nearest, self.second = np.minimum(right, back), np.maximum(right, back)
            out = -self.nearest - self.second * 0.01
        self.out = out.ravel()
        self.points = np.column_stack([np.broadcast_to(at, out.shape).ravel() for at in (self.x, self.y)])

    @staticmethod
    @lru_cache(maxsize=8)
    def of(shelf: Shelf) -> _Map:
        """The map of a shelf, the same for every level."""
        return _Map(shelf)

    def room_to_disc(self, x: float, y: float, keep: float) -> Numbers:
        """At each point the distance to a disc."""
        room: Numbers = np.sqrt((self.x - x) ** 2 + (self.y - y) ** 2) - keep
        return room

    def room_to_box(self, x: float, y: float, across: float, deep: float, keep: float) -> Numbers:
        """At each point the distance to a box."""
        right, back = np.maximum(np.abs(self.x - x) - across, 0), np.maximum(np.abs(self.y - y) - deep, 0)
        room: Numbers = np.sqrt(right * right + back * back) - keep
        return room

    def where_it_may_touch_two(self, room: Numbers, second: Numbers, radius: float) -> list[Place]:
        """The points near which a circle's centre may be when it touches two things and overlaps none."""
        may = (room >= radius - self.between) & (second <= radius + self.between)
        return [(x, y) for x, y in self._outermost_first(may).tolist()]

    def where_it_may_be(self, room: Numbers, lies: Footprint) -> Numbers:
        """The points near which a rectangle's centre may be, for all that can be seen along its middle."""
        half, reach = min(lies.width_mm, lies.depth_mm) / 2, abs(lies.width_mm - lies.depth_mm) / 2
        may = room >= half - self.between
        if reach >= self.step:
            may = _all_along(may, int(reach / self.step), axis=1 if lies.width_mm > lies.depth_mm else 0)
        return self._outermost_first(may)

    def _outermost_first(self, may: Answers) -> Numbers:
        found = np.nonzero(may.ravel())[0]
        return self.points[found[np.argsort(-self.out[found], kind="stable")]]

    def touch_two(self, points: Numbers, boxes: Numbers, lies: Footprint) -> Answers:
        """For each point whether a rectangle near it may touch two of the grown boxes and overlap none."""
        x, y = points[:, 0, None], points[:, 1, None]
        right, back = np.abs(x - boxes[:, 0]) - boxes[:, 2], np.abs(y - boxes[:, 1]) - boxes[:, 3]
        inside = np.minimum(np.maximum(right, back), 0)
        right, back = np.maximum(right, 0), np.maximum(back, 0)
        room = np.sqrt(right * right + back * back) + inside - boxes[:, 4]
        touched = np.count_nonzero(room <= self.between, axis=1)
        wide, deep = np.abs(points[:, 0]) + lies.width_mm / 2, np.abs(points[:, 1]) + lies.depth_mm / 2
        if self.shelf.is_round:
            edge = self.shelf.width_mm / 2 - np.hypot(wide, deep)
            # Near an axis of the shelf two corners meet the rim at once.
            touched += np.where(np.minimum(np.abs(points[:, 0]), np.abs(points[:, 1])) <= self.step, 2, 1) * (
                edge <= self.between
            )
        else:
            right, back = self.shelf.width_mm / 2 - wide, self.shelf.depth_mm / 2 - deep
            edge = np.minimum(right, back)
            touched += (right <= self.between).astype(np.int64) + (back <= self.between)
        may: Answers = (touched > 1) & (edge >= -self.between) & np.all(room >= -self.between, axis=1)
        return may

    def how_far_out(self, footprint: Footprint, spot: Spot) -> float:
        """How near the shelf's edge a rectangle stands, as something to compare."""
        lies = footprint.turned if spot.turned else footprint
        x, y = abs(spot.x_mm) + lies.width_mm / 2, abs(spot.y_mm) + lies.depth_mm / 2
        if self.shelf.is_round:
            return x * x + y * y
        right, back = self.shelf.width_mm / 2 - x, self.shelf.depth_mm / 2 - y
        return -min(right, back) - max(right, back) * 0.01

    def starts_for(self, lies: Footprint) -> list[Place]:
        """Places that touch one thing at most: the four ends of a round shelf's rim, and its middle."""
        edge = (self.shelf.width_mm - lies.width_mm) / 2
        if not (self.shelf.is_round and lies.is_round):
            return [(0.0, 0.0)]
        return [(-edge, 0.0), (0.0, -edge), (edge, 0.0), (0.0, edge), (0.0, 0.0)]


def _all_along(may: Answers, steps: int, axis: int) -> Answers:
    """Where a point may be and so may the points up to `steps` to both sides of it."""
    along = may if axis == 0 else may.T
    all_along = np.zeros_like(along)
    if len(along) > 2 * steps:
        inside = along[steps : len(along) - steps].copy()
        for off in sorted({steps, steps // 2, 1}):
            inside &= along[steps - off : len(along) - steps - off]
            inside &= along[steps + off : len(along) - steps + off]
        all_along[steps : len(along) - steps] = inside
    return all_along if axis == 0 else all_along.T
