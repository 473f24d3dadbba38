"""A firing on one page for the kiln's clipboard: schedule, shelves, boxes to write in, cautions.

What is largest is taken as long as everything stands on one page; then pictures give way to a list of the codes by
shelf, and where even that has no room a second page begins, and each page says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

from printing.firing.blocks import (
    READINGS_ACROSS,
    SMALL_SIZE,
    SegmentSaid,
    SheetWords,
    WitnessSaid,
    cautions,
    codes_by_shelf,
    head,
    note,
    readings,
    ruled,
    schedule,
    section,
    witness,
)
from printing.firing.curve_pictures import curve_picture
from printing.firing.curves import CurveSeen
from printing.lettering import POINT, SMALLEST_PRINT
from printing.loading.load_pictures import LoadSeen
from printing.loading.shelf_pictures import shelf_picture, shelves_legend
from printing.loading.stack_pictures import stack_picture
from printing.pages import MARGIN, PAPERS, air, beside, pages_pdf, stacked, with_margins
from printing.shapes import Picture

TABLE_SIZES = tuple(points * POINT for points in (10.0, 9.0, 8.0, 7.0))
"""The type of the schedule, from generous to the least that is read at arm's length."""


@dataclass(frozen=True, slots=True)
class _Tile:
    """How large pictures are: the shelf's width, the smallest letters, and whether the list stands beside the shelf."""

    shelf: float
    size: float
    is_listed_beside: bool = False

    @property
    def beside(self) -> float:
        """The room for the list at the shelf's right."""
        return LIST_BESIDE * self.size if self.is_listed_beside else 0.0

    @property
    def width(self) -> float:
        """The picture's width."""
        return self.shelf + self.beside


LIST_BESIDE = 7.9
"""The width of a list beside a shelf, in type sizes: a number, a code and two signs."""

TILES = tuple(
    _Tile(shelf, points * POINT, is_listed_beside)
    for shelf, points in (
        *((88.0, 8.5), (80.0, 8.5), (72.0, 8.0), (66.0, 8.0), (60.0, 7.5), (55.0, 7.0)),
        *((51.0, 6.5), (47.0, 6.5), (43.0, 6.0), (40.0, 6.0), (37.0, 6.0)),
    )
    for is_listed_beside in (False, True)
)
"""The largest first."""

SMALLEST_TILE = _Tile(33.0, 6.0 * POINT)
"""Beside a list that holds every code anyway."""

FLOWING_TILE = _Tile(60.0, 7.5 * POINT)
"""Where there is a second page."""

TYPE_FOR_TILE = 7.0
"""Millimetres of a picture's width that one step smaller type in the schedule must win to be worth it."""

CURVE_FOR_TILE = 24.0
"""The same for leaving out the curve, whose numbers the schedule has too."""

TALLEST_STACK = 1.25
"""A picture from the side is at most so many times as high as it is wide."""

GAP = 5.0
LIST_SIZES = tuple(points * POINT for points in (9.0, 8.0, 7.0, 6.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class FiringSheet:
    """What stands on a firing's sheet, in words: its title, what kiln, route and target it has, and its parts.

    `hours` is how many hourly readings there are boxes for; what room remains is ruled for notes.
    """

    title: str
    facts: tuple[str, ...]
    said: SheetWords
    schedule: tuple[SegmentSaid, ...] = ()
    load: LoadSeen | None = None
    curve: CurveSeen | None = None
    witness: tuple[WitnessSaid, ...] = ()
    witness_key: str = ""
    cautions: tuple[str, ...] = ()
    hours: int = 20


def firing_pages(sheet: FiringSheet, paper: str = "a4") -> tuple[Picture, ...]:
    """The pages of the sheet on `paper` ("a4" or "letter"), in mm: one while everything stands on one."""
    width, height = PAPERS[paper]
    inner, room = width - 2 * MARGIN, height - 2 * MARGIN
    for blocks in _single(sheet, inner, room):
        return (with_margins(blocks, (width, height)),)
    flow = _flow(_all_blocks(sheet, inner, room), room - _head_height(sheet, inner))
    names = [sheet.said.page.format(number=number, count=len(flow)) for number in range(1, len(flow) + 1)]
    return tuple(
        with_margins([*head(sheet.title, sheet.facts, inner, name), *blocks], (width, height))
        for name, blocks in zip(names, flow, strict=True)
    )


def firing_pdf(sheet: FiringSheet, paper: str = "a4") -> bytes:
    """The sheet as a PDF; equal sheets give equal bytes."""
    return pages_pdf(firing_pages(sheet, paper), sheet.title)


def _head_height(sheet: FiringSheet, width: float) -> float:
    return stacked(head(sheet.title, sheet.facts, width, sheet.said.page.format(number=10, count=10))).height


# ---- everything on one page ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Frame:
    """What stands above the shelves and at the foot, the room it leaves, and its cost in mm of the pictures' width."""

    top: tuple[Picture, ...]
    foot: Picture
    room: float
    cost: float


def _single(sheet: FiringSheet, width: float, height: float) -> Iterator[list[Picture]]:
    """The ways in which everything stands on one page, the most legible first."""
    boxes = readings(width, math.ceil(sheet.hours / READINGS_ACROSS), sheet.said)
    for frame, shelves in _ways(sheet, width, list(_frames(sheet, width, height - stacked(boxes).height - GAP))):
        spare = frame.room - shelves.height
        if spare >= 0:
            yield [*frame.top, shelves, *boxes, air(GAP), ruled(width, spare, sheet.said.notes), frame.foot]


def _frames(sheet: FiringSheet, width: float, height: float) -> Iterator[_Frame]:
    """The sizes of the schedule's type, with the curve and without."""
    for curve in (sheet.curve, None) if sheet.curve else (None,):
        for rank, size in enumerate(TABLE_SIZES):
            top = (*head(sheet.title, sheet.facts, width, ""), _upper(replace(sheet, curve=curve), width, size))
            foot = stacked(cautions(sheet.cautions, width, max(0.85 * size, SMALL_SIZE)))
            cost = TYPE_FOR_TILE * rank + (CURVE_FOR_TILE if curve is not sheet.curve else 0.0)
            yield _Frame(top, foot, height - stacked([*top, foot]).height, cost)


def _ways(sheet: FiringSheet, width: float, frames: Sequence[_Frame]) -> Iterator[tuple[_Frame, Picture]]:
    """Frames with the shelves in them: as pictures, else as a list of codes, the most legible first."""
    if sheet.load is None:
        yield from ((frame, air(0.0)) for frame in frames)
        return
    yield from _pictured(sheet.load, width, frames)
    listed = [(_listed(sheet.load, width, frame.room, sheet.said), frame) for frame in frames]
    fitting = [(shown, frame) for shown, frame in listed if shown is not None]
    for shown, frame in sorted(fitting, key=lambda way: (-way[0].pictures, way[1].cost)):
        yield frame, shown.shelves


def _upper(sheet: FiringSheet, width: float, size: float) -> Picture:
    """The schedule with the curve and the boxes for cones beside it."""
    if not sheet.schedule:
        return stacked([*_curve(sheet, width, 45.0), *_cones(sheet, width, size), air(GAP)])
    if not sheet.curve and not sheet.witness:
        return stacked([*schedule(sheet.schedule, width, size, sheet.said), air(GAP)])
    across = 0.62 * width
    table = stacked(schedule(sheet.schedule, across, size, sheet.said))
    side = width - across - GAP
    right = stacked([*_curve(sheet, side, 34.0), *_cones(sheet, side, size)])
    return stacked([beside([(0.0, table), (across + GAP, right)], width), air(GAP)])


def _cones(sheet: FiringSheet, width: float, size: float) -> list[Picture]:
    return witness(sheet.witness, width, size, sheet.said.witness, sheet.witness_key)


def _curve(sheet: FiringSheet, width: float, height: float) -> list[Picture]:
    if sheet.curve is None:
        return []
    chart = curve_picture(sheet.curve, width=width, size=7.0 * POINT, height=height)
    return [section(sheet.said.curve, width), chart, air(2.0)]


def _pictured(load: LoadSeen, width: float, frames: Sequence[_Frame]) -> Iterator[tuple[_Frame, Picture]]:
    """All shelves as pictures, in the order of how well pictures and schedule can be read together."""
    count = len(load.levels) + 1
    laid: dict[_Tile, Picture] = {}
    for frame, tile in sorted(product(frames, TILES), key=lambda way: way[0].cost - way[1].shelf):
        rows = math.ceil(count / _across(width, tile.width, count))
        if rows * (tile.shelf * min(load.shelf.deep / load.shelf.across, 1.0) + 4 * tile.size) > frame.room:
            continue
        if tile not in laid:
            legend = shelves_legend(load, width=width, size=tile.size)
            laid[tile] = stacked([*_rows(_tiles(load, tile), width, tile.width), legend, air(3.0)])
        if laid[tile].height <= frame.room:
            yield frame, laid[tile]


def _across(width: float, wide: float, count: int) -> int:
    """How many of `count` pictures stand side by side, so that the rows are about equally long."""
    most = max(int((width + GAP) / (wide + GAP)), 1)
    return math.ceil(count / math.ceil(count / most))


def _tiles(load: LoadSeen, tile: _Tile) -> list[Picture]:
    """The stack from the side, then its shelves from above, from the lowest up."""
    stack = stack_picture(load, width=tile.width, size=tile.size, height=TALLEST_STACK * tile.shelf)
    shelves = range(1, len(load.levels) + 1)
    return [
        stack,
        *(
            shelf_picture(load, shelf, width=tile.width, size=tile.size, list_beside=tile.beside, with_legend=False)
            for shelf in shelves
        ),
    ]


def _rows(tiles: Sequence[Picture], width: float, wide: float) -> list[Picture]:
    """Pictures in rows, spread over the width."""
    across = _across(width, wide, len(tiles))
    step = (width - wide) / (across - 1) if across > 1 else 0.0
    rows = [tiles[start : start + across] for start in range(0, len(tiles), across)]
    laid = [beside([(place * step, tile) for place, tile in enumerate(row)], width) for row in rows]
    return [part for row in laid for part in (row, air(3.5))]


@dataclass(frozen=True, slots=True)
class _Listed:
    """The codes by shelf with as many pictures above them as there was room for."""

    pictures: int
    shelves: Picture


def _listed(load: LoadSeen, width: float, room: float, said: SheetWords) -> _Listed | None:
    """The codes by shelf, in the largest type that leaves them whole; None when even the smallest does not."""
    for size in LIST_SIZES:
        codes = [section(said.codes, width), *codes_by_shelf(load, width, size, said.empty), air(GAP)]
        plain = stacked([*note(said.no_pictures, width), *codes])
        if plain.height <= room:
            return _with_pictures(load, codes, width, room, said) or _Listed(0, plain)
    return None


def _with_pictures(load: LoadSeen, codes: list[Picture], width: float, room: float, said: SheetWords) -> _Listed | None:
    """The stack and the lowest shelves above the list of all codes; None where not even two pictures have room."""
    tiles = _tiles(load, SMALLEST_TILE)
    legend = shelves_legend(load, width=width, size=SMALLEST_TILE.size)
    for count in range(len(tiles) - 1, 1, -1):
        left_out = note(said.no_pictures_from.format(shelf=count), width)
        shown = stacked([*_rows(tiles[:count], width, SMALLEST_TILE.width), legend, *left_out, *codes])
        if shown.height <= room:
            return _Listed(count, shown)
    return None


# ---- more than one page ----------------------------------------------------------------------------------------------


def _all_blocks(sheet: FiringSheet, width: float, room: float) -> list[Picture]:
    """Everything in blocks that may go on to the next page, in the order of the work."""
    size = TABLE_SIZES[1]
    blocks = [
        *cautions(sheet.cautions, width, SMALL_SIZE),
        air(GAP),
        *schedule(sheet.schedule, width, size, sheet.said),
        air(GAP),
    ]
    blocks += [*_curve(sheet, width, 60.0), *_cones(sheet, width, size), air(GAP)]
    if sheet.load is not None:
        tiles = _tiles(sheet.load, FLOWING_TILE)
        if all(tile.height < room - _head_height(sheet, width) for tile in tiles):
            legend = shelves_legend(sheet.load, width=width, size=FLOWING_TILE.size)
            blocks += [*_rows(tiles, width, FLOWING_TILE.width), legend, air(GAP)]
        else:
            codes = codes_by_shelf(sheet.load, width, SMALLEST_PRINT * 1.2, sheet.said.empty)
            blocks += [section(sheet.said.codes, width), *codes]
    return [*blocks, *readings(width, math.ceil(sheet.hours / READINGS_ACROSS), sheet.said)]


def _flow(blocks: Sequence[Picture], room: float) -> list[list[Picture]]:
    """The blocks page by page."""
    flow: list[list[Picture]] = [[]]
    used = 0.0
    for block in blocks:
        if used + block.height > room and flow[-1]:
            flow.append([])
            used = 0.0
        flow[-1].append(block)
        used += block.height
    return flow
