"""The floor of an outdoor kiln: where pieces stand so that tongs get between them.

Pieces set apart go first, along the edge that the puller stands at; the rest fill the floor from its rim. Lengths are
mm, places those of `shelves`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, hypot, pi, sin, sqrt
from typing import TypeAlias

from tracker.domain.loading.packing import Ground
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind, Spot
from tracker.domain.outdoor.setting_up import Opening, OutdoorFloor
from tracker.domain.studio.settings import OutdoorPractice

AT_THE_EDGE_MM = 20.0
"""A piece no farther than this from the floor's edge stands at it (practice)."""

_STEP_MM, _FINE_STEPS = 8.0, 16
# A place along the front is sought in steps of 8 mm, and then of half a millimetre between the last two, so that whole
# millimetres meet exactly.

_ROUNDING = 1e-6

_RINGS = tuple(1 + 1 / sin(pi / count) for count in range(2, 7))
# How many times their own width the circle is that two to six equal circles go into.

_EXACT = 10**3
# Places are whole thousandths of a mm, as those of `packing` are.


@dataclass(frozen=True, slots=True, order=True)
class OnFloor:
    """What the floor asks of a piece: what it covers, and whether it is set apart. They sort as they are put down."""

    rank: tuple[float, ...]
    footprint: Footprint
    apart: bool

    @classmethod
    def of(cls, footprint: Footprint, *, apart: bool) -> OnFloor:
        """A piece by its footprint; those set apart are put down before others, large ones before small ones."""
        wide, deep = footprint.width_mm, footprint.depth_mm
        return cls((not apart, -footprint.area_mm2, -wide, -deep, footprint.is_round), footprint, apart)


Place: TypeAlias = tuple[Footprint, Spot]
"""A footprint and where its centre is."""


def _lying(footprint: Footprint, spot: Spot) -> Place:
    return footprint.turned if spot.turned else footprint, spot


def between_mm(one: Place, other: Place) -> float:
    """How much room is between two pieces on a floor; nothing where they touch, less where they overlap."""
    (this, at), (that, there) = (_lying(*one), _lying(*other))
    right, back = abs(at.x_mm - there.x_mm), abs(at.y_mm - there.y_mm)
    if this.is_round and that.is_round:
        return hypot(right, back) - (this.width_mm + that.width_mm) / 2
    # A round one is its centre with a radius all round it; what is left are two boxes or a box and a point.
    radius = sum(lies.width_mm / 2 for lies in (this, that) if lies.is_round)
    boxes = [lies for lies in (this, that) if not lies.is_round]
    right -= sum(lies.width_mm for lies in boxes) / 2
    back -= sum(lies.depth_mm for lies in boxes) / 2
    return (hypot(max(right, 0), max(back, 0)) if max(right, back) > 0 else max(right, back)) - radius


def inside_mm(shelf: Shelf, place: Place) -> float:
    """How far a piece is from the floor's edge; less than nothing where it sticks out, or stands on a seam."""
    lies, at = _lying(*place)
    across, along = lies.width_mm / 2, lies.depth_mm / 2
    right, back = shelf.width_mm / 2 - abs(at.x_mm) - across, shelf.depth_mm / 2 - abs(at.y_mm) - along
    if not shelf.is_round:
        return min(right, back)
    over_seam = abs(at.x_mm) - across if shelf.kind is ShelfKind.HALF else 0.0
    out = hypot(at.x_mm, at.y_mm) + across if lies.is_round else hypot(abs(at.x_mm) + across, abs(at.y_mm) + along)
    return over_seam if over_seam < 0 else shelf.width_mm / 2 - out


def is_in_sight(floor: OutdoorFloor, place: Place) -> bool:
    """Whether a piece stands at the edge that the puller stands at: the front one, or any where the kiln is open."""
    if floor.opening is not Opening.FRONT:
        return inside_mm(floor.shelf, place) <= AT_THE_EDGE_MM
    lies, at = _lying(*place)
    line = _front_line(floor.shelf, lies, at.x_mm)
    return line is not None and at.y_mm - line <= AT_THE_EDGE_MM


def reach_mm(floor: OutdoorFloor, spot: Spot) -> float:
    """How far in the puller reaches for a piece, as something to compare: past the front, or in from the rim."""
    return spot.y_mm if floor.opening is Opening.FRONT else -hypot(spot.x_mm, spot.y_mm)


def may_stand(shelf: Shelf, gap_mm: float, footprints: Sequence[Footprint]) -> bool:
    """Whether so much could stand there as far as sums tell, before any place is sought.

    Each piece takes half the gap all round itself, and all of that is no more than the shelf and as much around it. On
    a round shelf equal circles, up to six, need 1 + 1 / sin(180° / n) times their own width and more of them no less
    (geometry; the published packings are in tests/reference), and each piece holds a circle as wide as its narrow side.
    """
    needed = sum(taken_mm2(lies, gap_mm) for lies in footprints)
    if needed > taken_mm2(Footprint(shelf.width_mm, shelf.depth_mm, shelf.is_round), gap_mm) + _ROUNDING:
        return False
    if not shelf.is_round:
        return True
    narrow = sorted((min(lies.width_mm, lies.depth_mm) + gap_mm for lies in footprints), reverse=True)
    rings = zip(_RINGS, narrow[1:], strict=False)
    return all(ring * side <= shelf.width_mm + gap_mm + _ROUNDING for ring, side in rings)


def taken_mm2(lies: Footprint, gap_mm: float) -> float:
    """How much a piece takes of a floor with half the gap all round it."""
    around = pi * lies.width_mm if lies.is_round else 2 * (lies.width_mm + lies.depth_mm)
    return lies.area_mm2 + around * gap_mm / 2 + pi / 4 * gap_mm**2


def packed(shelf: Shelf, gap_mm: float, footprints: Sequence[Footprint]) -> tuple[Spot, ...] | None:
    """A place for each footprint, put down one after another from the rim, or nothing where one finds none."""
    if not may_stand(shelf, gap_mm, footprints):
        return None
    return _filled(Ground(shelf, gap_mm), footprints)


def _filled(ground: Ground, footprints: Sequence[Footprint]) -> tuple[Spot, ...] | None:
    spots = []
    for footprint in footprints:
        spot = ground.spot_for(footprint)
        if spot is None:
            return None
        ground.put(footprint, spot)
        spots.append(spot)
    return tuple(spots)


def stand(floor: OutdoorFloor, some: Sequence[OnFloor], practice: OutdoorPractice) -> tuple[Spot, ...] | None:
    """A place on the floor for each of `some`, or nothing where no way tried has room for all.

    They come sorted, so those set apart first. Two orders are tried for the rest: from large to small, and whatever is
    not round before what is.
    """
    if not may_stand(floor.shelf, practice.tong_room_mm, [one.footprint for one in some]):
        return None
    apart = [one.footprint for one in some if one.apart]
    rest = [one.footprint for one in some if not one.apart]
    seen = _seen(floor, apart, practice)
    if seen is None:
        return None
    ground = _with_apart(floor, apart, seen, practice)
    for order in _orders(rest):
        spots = _filled(ground.copy(), [rest[place] for place in order])
        if spots is not None:
            where = dict(zip(order, spots, strict=True))
            return (*seen, *(where[place] for place in range(len(rest))))
    return None


def _orders(rest: Sequence[Footprint]) -> Iterator[tuple[int, ...]]:
    by_size = tuple(range(len(rest)))
    yield by_size
    boxes_first = tuple(sorted(by_size, key=lambda place: rest[place].is_round))
    if boxes_first != by_size:
        yield boxes_first


def _with_apart(
    floor: OutdoorFloor, apart: Sequence[Footprint], seen: Sequence[Spot], practice: OutdoorPractice
) -> Ground:
    ground = Ground(floor.shelf, practice.tong_room_mm)
    for footprint, spot in zip(apart, seen, strict=True):
        _put_apart(ground, footprint, spot, practice)
    return ground


def _put_apart(ground: Ground, footprint: Footprint, spot: Spot, practice: OutdoorPractice) -> None:
    """Let a piece stand with its greater room around it, which may reach beyond the floor."""
    more = 2 * (practice.room_apart_mm - practice.tong_room_mm)
    grown = Footprint(footprint.width_mm + more, footprint.depth_mm + more, footprint.is_round)
    ground.put(grown, spot)
    ground.covered_mm2 += footprint.area_mm2 - grown.area_mm2


# ---- set apart, where the puller sees it -------------------------------------------------------------------------


def _seen(floor: OutdoorFloor, apart: Sequence[Footprint], practice: OutdoorPractice) -> tuple[Spot, ...] | None:
    """Places at the puller's edge for pieces set apart, or nothing where that edge is too short for them."""
    if floor.opening is Opening.FRONT:
        room = practice.room_apart_mm
        from_middle = _along_front(floor.shelf, apart, room, from_middle=True)
        return from_middle or _along_front(floor.shelf, apart, room, from_middle=False)
    ground = Ground(floor.shelf, practice.tong_room_mm)
    spots = []
    for footprint in apart:
        spot = ground.spot_for(footprint)
        if spot is None or not is_in_sight(floor, (footprint, spot)):
            return None
        _put_apart(ground, footprint, spot, practice)
        spots.append(spot)
    return tuple(spots)


def _along_front(
    shelf: Shelf, apart: Sequence[Footprint], room_mm: float, *, from_middle: bool
) -> tuple[Spot, ...] | None:
    """Places along the front, from its middle to both sides in turn or all from the left, if each finds one."""
    placed: list[Place] = []
    for number, footprint in enumerate(apart):
        side = (-1 if number % 2 else 1) if from_middle else 0
        ways = (
            _next_along(shelf, placed, (footprint, room_mm), side, turned=turned) for turned in _narrow_first(footprint)
        )
        spot = next(filter(None, ways), None)
        if spot is None:
            return None
        placed.append((footprint, spot))
    return tuple(spot for _, spot in placed)


def _narrow_first(footprint: Footprint) -> tuple[bool, ...]:
    """Whether it is turned, for each way worth trying: the narrow side along the front, and then the other."""
    if footprint.is_round or footprint.width_mm == footprint.depth_mm:
        return (False,)
    wide = footprint.width_mm > footprint.depth_mm
    return wide, not wide


def _next_along(
    shelf: Shelf, placed: Sequence[Place], piece: tuple[Footprint, float], side: int, *, turned: bool
) -> Spot | None:
    """The first free place along the front: from the left for a `side` of 0, else from the middle, 1 to the right."""
    lies = piece[0].turned if turned else piece[0]
    tried: float | None = None
    for x in _steps_along(shelf.width_mm / 2 - lies.width_mm / 2, side):
        if _free_spot(shelf, placed, piece, x, turned=turned):
            between = (
                [] if tried is None else [tried + (x - tried) * step / _FINE_STEPS for step in range(1, _FINE_STEPS)]
            )
            spots = (_free_spot(shelf, placed, piece, at, turned=turned) for at in (*between, x))
            return next(filter(None, spots))
        tried = x
    return None


def _free_spot(
    shelf: Shelf, placed: Sequence[Place], piece: tuple[Footprint, float], x: float, *, turned: bool
) -> Spot | None:
    """The place on the front line at that `x`, if the piece has its room there."""
    footprint, room_mm = piece
    y = _front_line(shelf, footprint.turned if turned else footprint, x)
    if y is None:
        return None
    spot = Spot(x, ceil(y * _EXACT - _ROUNDING) / _EXACT, turned)
    return spot if all(between_mm((footprint, spot), other) >= room_mm for other in placed) else None


def _steps_along(reach_mm: float, side: int) -> Iterator[float]:
    """Where along the front a place is sought, up to how far the piece's centre may go, both ends among them."""
    start, length = (-reach_mm, 2 * reach_mm) if side == 0 else (0.0, reach_mm)
    for step in range(int(length / _STEP_MM) + 1):
        yield (side or 1) * (start + step * _STEP_MM)
    yield (side or 1) * (start + length)


def _front_line(shelf: Shelf, lies: Footprint, x: float) -> float | None:
    """How near the front the centre of a piece may be at that `x`; None where it does not go there."""
    out, deep = abs(x) + lies.width_mm / 2, lies.depth_mm / 2
    if shelf.kind is ShelfKind.HALF and abs(x) < lies.width_mm / 2:
        return None
    if not shelf.is_round:
        line = deep - shelf.depth_mm / 2
    elif lies.is_round:
        rim = shelf.width_mm / 2 - deep
        line = -sqrt(rim**2 - x**2) if abs(x) <= rim else 1.0
    else:
        line = deep - sqrt(max((shelf.width_mm / 2) ** 2 - out**2, 0.0))
    if out > shelf.width_mm / 2 + _ROUNDING or line > _ROUNDING:
        return None
    return min(line, 0.0)
