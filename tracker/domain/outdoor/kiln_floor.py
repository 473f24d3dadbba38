"""The floor of an outdoor kiln: where pieces stand so that tongs get between them.

Pieces set apart go first, along the edge that the puller stands at; the rest fill the floor from its rim. Lengths are
mm, places those of `shelves`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, hypot, pi, sqrt
from typing import TypeAlias

from tracker.domain.loading.packing import Ground
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind, Spot
from tracker.domain.outdoor.setting_up import Opening, OutdoorFloor
from tracker.domain.studio.settings import OutdoorPractice

AT_THE_EDGE_MM = 20.0
"""A piece no farther than this from the floor's edge stands at it (practice)."""

_TOUCHES_MM = 1.0
# What is put down by a plan touches the edge, but for what corners and rounding leave.

_ROUNDING = 1e-6

_EXACT = 10**3
# Places are whole thousandths of a mm, as those of `packing` are.


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


def large_first(footprint: Footprint) -> tuple[float, float, float, bool]:
    """In which order footprints are put down, as something to sort by."""
    return -footprint.area_mm2, -footprint.width_mm, -footprint.depth_mm, footprint.is_round


def packed(shelf: Shelf, gap_mm: float, footprints: Sequence[Footprint]) -> tuple[Spot, ...] | None:
    """A place for each footprint, put down one after another from the rim, or nothing where one finds none."""
    return _filled(Ground(shelf, gap_mm), footprints) if _may_stand(shelf, gap_mm, footprints) else None


def stand(
    floor: OutdoorFloor, apart: Sequence[Footprint], rest: Sequence[Footprint], practice: OutdoorPractice
) -> tuple[Spot, ...] | None:
    """A place for each piece set apart and then for each of the rest, put down in the order given.

    Nothing where one finds none, or where one set apart finds none at the puller's edge.
    """
    if not _may_stand(floor.shelf, practice.tong_room_mm, (*apart, *rest)):
        return None
    ground = Ground(floor.shelf, practice.tong_room_mm)
    seen: list[Place] = []
    for footprint in apart:
        if floor.opening is Opening.FRONT:
            spot = _in_front(floor.shelf, seen, footprint, practice.room_apart_mm)
        else:
            spot = _at_the_rim(ground, footprint)
        if spot is None:
            return None
        _put_apart(ground, footprint, spot, practice)
        seen.append((footprint, spot))
    spots = _filled(ground, rest)
    return None if spots is None else (*(spot for _, spot in seen), *spots)


def _may_stand(shelf: Shelf, gap_mm: float, footprints: Sequence[Footprint]) -> bool:
    """Whether the shelf with half the gap all round has as much room as the footprints take with theirs."""
    whole = Footprint(shelf.width_mm, shelf.depth_mm, shelf.is_round)
    return sum(_taken_mm2(lies, gap_mm) for lies in footprints) <= _taken_mm2(whole, gap_mm) + _ROUNDING


def _taken_mm2(lies: Footprint, gap_mm: float) -> float:
    around = pi * lies.width_mm if lies.is_round else 2 * (lies.width_mm + lies.depth_mm)
    return lies.area_mm2 + around * gap_mm / 2 + pi / 4 * gap_mm**2


def _filled(ground: Ground, footprints: Sequence[Footprint]) -> tuple[Spot, ...] | None:
    spots = []
    for footprint in footprints:
        spot = ground.spot_for(footprint)
        if spot is None:
            return None
        ground.put(footprint, spot)
        spots.append(spot)
    return tuple(spots)


def _put_apart(ground: Ground, footprint: Footprint, spot: Spot, practice: OutdoorPractice) -> None:
    """Let a piece stand with its greater room around it, which may reach beyond the floor."""
    more = 2 * (practice.room_apart_mm - practice.tong_room_mm)
    grown = Footprint(footprint.width_mm + more, footprint.depth_mm + more, footprint.is_round)
    ground.put(grown, spot)
    ground.covered_mm2 += footprint.area_mm2 - grown.area_mm2


def _at_the_rim(ground: Ground, footprint: Footprint) -> Spot | None:
    spot = ground.spot_for(footprint)
    return None if spot is None or inside_mm(ground.shelf, (footprint, spot)) > _TOUCHES_MM else spot


def _in_front(shelf: Shelf, seen: Sequence[Place], footprint: Footprint, room_mm: float) -> Spot | None:
    """The first place along the front right of those seen with so much room to them, its narrow side in front first."""
    last = seen[-1][1].x_mm if seen else -shelf.width_mm
    for lies in sorted({footprint, footprint.turned}, key=lambda lies: lies.width_mm):
        for x in _along(shelf.width_mm / 2 - lies.width_mm / 2):
            if x <= last or (y := _front_line(shelf, lies, x)) is None:
                continue
            spot = Spot(x, ceil(y * _EXACT - _ROUNDING) / _EXACT, turned=lies != footprint)
            if all(between_mm((footprint, spot), other) >= room_mm for other in seen):
                return spot
    return None


def _along(reach_mm: float) -> Iterator[float]:
    """Places from the left end to the right one, so near one another that whole millimetres meet exactly."""
    yield from (step / 2 - reach_mm for step in range(int(4 * reach_mm) + 1))
    yield reach_mm


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
