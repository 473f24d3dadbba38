"""The floor of an outdoor kiln seen from above: every piece with the number in which it is pulled.

The front is below. What is set apart is hatched, thickly edged and carries the triangle, so that it is seen in gray and
by those who see no red. Round the floor runs the kiln's wall, drawn as the kiln opens.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

from printing.lettering import NARROW, SAMPLE, SCREEN_SIZE, At, in_lines, legend, lettered, words
from printing.loading.from_above import FromAbove, box_of
from printing.loading.load_pictures import PieceSeen, ShelfSeen
from printing.shapes import (
    CAP_HEIGHT,
    TRIANGLE,
    Circle,
    Edges,
    Face,
    Ground,
    Ink,
    Line,
    Oblong,
    Pen,
    Picture,
    Shape,
    Triangle,
    moved,
)

OPENINGS = ("lift-off", "front", "top")
"""How a kiln opens."""

WALL = 0.5
"""From the floor's edge to the line of the kiln's wall, in type sizes."""

AIR = 0.32
"""What stands on a piece keeps so far from its edge, in type sizes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundWords:
    """What a round's picture, its rows and its boxes say by themselves.

    `front` is said at the floor's edge below. `no_room` has a place for {numbers}, `continued` for {round}. What cannot
    be lettered or has too many words is said to be on the page: `no_code`, `warning`, `container`, `see_page`.
    """

    front: str
    apart: str
    no_room: str
    started: str
    at_heat: str
    all_out: str
    pulled: str
    closed: str
    out: str
    result: str
    continued: str
    no_code: str
    warning: str
    container: str
    see_page: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPiece:
    """A piece of a round in plain texts: its `number` in the order of pulling, its row's words, where it stands.

    `x_mm` to the right and `y_mm` to the back of the floor's centre. `width_mm` and `depth_mm` are its own; `turned`,
    it stands a quarter turn round; a round one is `width_mm` across. `apart` is set apart, for it wants care.
    """

    number: int
    code: str
    bar_text: str
    maker: str
    what: str
    glaze: str
    container: str
    warning: str
    x_mm: float
    y_mm: float
    width_mm: float
    depth_mm: float
    is_round: bool = False
    turned: bool = False
    apart: bool = False

    def label(self, said: RoundWords) -> str:
        """The code in the letters a code can have."""
        return lettered(self.code, Face.CODE) or said.no_code

    @property
    def seen(self) -> PieceSeen:
        """The piece as it stands, from above."""
        across, deep = (self.depth_mm, self.width_mm) if self.turned else (self.width_mm, self.depth_mm)
        return PieceSeen(
            label=self.code,
            x_mm=self.x_mm,
            y_mm=self.y_mm,
            height_mm=1.0,
            with_care=self.apart,
            round_mm=self.width_mm if self.is_round else None,
            width_mm=None if self.is_round else across,
            depth_mm=None if self.is_round else deep,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRound:
    """A round in plain texts: its title, when it is planned ("14:00 to 14:45"), what to mind and what to warm up next.

    `floor` is the kiln's, `opening` "lift-off", "front" or "top" (else a ValueError), `pieces` in their order.
    """

    title: str
    times: str
    note: str
    warm_up: str
    floor: ShelfSeen
    opening: str
    pieces: tuple[SheetPiece, ...]
    said: RoundWords

    def __post_init__(self) -> None:
        """Refuse a kiln that opens in a way nobody could draw."""
        if self.opening not in OPENINGS:
            raise ValueError(f"A kiln opens by {', '.join(OPENINGS)}, not {self.opening!r}.")


def floor_picture(
    kiln_round: SheetRound,
    width: float = NARROW,
    size: float = SCREEN_SIZE,
    *,
    with_codes: bool = True,
    with_legend: bool = True,
) -> Picture:
    """The kiln's floor in one round from above, its front below, no letter smaller than `size`.

    `width` and `size` are in pixels for a page and in mm for paper. A number stands on its piece, with the code under
    it where that has room, else beside it at the end of a line; what finds no room at all is named below.
    """
    floor = _floor(kiln_round, width, size, "codes" if with_codes else "numbers")
    if not with_legend or not any(piece.apart for piece in kiln_round.pieces):
        return floor
    explained, high = legend([(_sample(size), kiln_round.said.apart)], size, width)
    return Picture(width, floor.height + high, (*floor.shapes, *(moved(one, 0.0, floor.height) for one in explained)))


@lru_cache(maxsize=512)
def _floor(kiln_round: SheetRound, width: float, size: float, said: str) -> Picture:
    """The floor without its legend; kept, for a sheet asks for it again with every size of type it tries."""
    view = _View(
        plane=kiln_round.floor,
        width=width,
        size=size,
        edge=(WALL + 0.2) * size,
        opening=kiln_round.opening,
        with_codes=said == "codes",
        said=kiln_round.said,
    )
    for piece in kiln_round.pieces:
        view.place(piece)
    lost = [str(piece.number) for piece in kiln_round.pieces if not view.name(piece)]
    y = view.foot + 1.2 * size
    front = in_lines(width / 2, y, size, kiln_round.said.front, at=At.MIDDLE, ink=Ink.SOFT, room=width - 3 * size)
    shapes: list[Shape] = [*view.shapes, *front]
    if kiln_round.opening == "front":
        shapes.append(Triangle(front[0].x - 1.2 * size, y, size))
    y = front[-1].y + 0.45 * size
    if lost:
        shapes.append(
            words(
                0.0, y + size, size, kiln_round.said.no_room.format(numbers=", ".join(lost)), ink=Ink.SOFT, room=width
            )
        )
        y += 1.4 * size
    return Picture(width, y, tuple(shapes))


def badge(x: float, y: float, radius: float, piece: SheetPiece) -> list[Shape]:
    """A piece's number as a disc around `x`, `y`, its rim thick where the piece is set apart, as on the floor."""
    size = 1.35 * radius
    number = words(x, y + CAP_HEIGHT * size / 2, size, str(piece.number), Face.BOLD, at=At.MIDDLE, room=1.6 * radius)
    rim = (0.26 if piece.apart else 0.13) * radius
    return [Circle(x, y, radius - rim / 2, Pen(rim), Ground.LEAF), number]


# ---- the floor while it is drawn -------------------------------------------------------------------------------------


@dataclass(slots=True, kw_only=True)
class _View(FromAbove):
    """A kiln's floor from above while it is drawn, within the line of its wall."""

    opening: str
    said: RoundWords
    with_codes: bool

    def __post_init__(self) -> None:
        x, y = self.at(0.0, 0.0)
        across, deep = self.plane.across * self.scale / 2, self.plane.deep * self.scale / 2
        self.shapes.append(self.outline(self.plane, x, y, Pen(0.08 * self.size, Ink.SOFT), Ground.SUNK))
        dash = (0.7 * self.size, 0.45 * self.size) if self.opening == "lift-off" else None
        pen, wall = Pen(0.2 * self.size, Ink.INK, dash), WALL * self.size
        corners = self._wall_round if self.plane.round_mm else self._wall_square
        self.shapes.append(Line(corners(x, y, across + wall, deep + wall), pen, self.opening != "front"))

    def _wall_round(self, x: float, y: float, across: float, _: float) -> tuple[tuple[float, float], ...]:
        """The line of a round wall; from one jamb round the back to the other where it opens in front."""
        gap = math.radians(32) if self.opening == "front" else 0.0
        start, turn, steps = math.pi / 2 + gap, 2 * (math.pi - gap), 96
        angles = [start + turn * step / steps for step in range(steps + (1 if gap else 0))]
        return tuple((x + across * math.cos(angle), y + across * math.sin(angle)) for angle in angles)

    def _wall_square(self, x: float, y: float, across: float, deep: float) -> tuple[tuple[float, float], ...]:
        """The line of a square wall, as of a round one."""
        corners = ((x - across, y + deep), (x - across, y - deep), (x + across, y - deep), (x + across, y + deep))
        if self.opening != "front":
            return corners
        jamb = 0.3 * across
        return ((x - across + jamb, y + deep), *corners, (x + across - jamb, y + deep))

    def place(self, piece: SheetPiece) -> None:
        """Draw the outline of a piece, hatched where it is set apart."""
        x, y = self.at(piece.x_mm, piece.y_mm)
        pen = Pen((0.26 if piece.apart else 0.13) * self.size)
        outline = self.outline(piece.seen, x, y, pen, Ground.LEAF, pen.width / 2)
        self.shapes.append(outline)
        if piece.apart:
            apart, stroke = 0.55 * self.size, 0.07 * self.size
            self.shapes += (
                _hatched_circle(x, y, outline.radius, apart, stroke)
                if isinstance(outline, Circle)
                else _hatched_oblong(x, y, outline.width, outline.height, apart, stroke)
            )
        self.cover(piece.seen)

    def name(self, piece: SheetPiece) -> bool:
        """Write a piece's number on it or beside it; False where it finds no room."""
        return self._write(piece) or self._point_at(piece)

    def _write(self, piece: SheetPiece) -> bool:
        """Write on the piece as large as it holds, the code under the number where both have room."""
        for coded in (True, False) if self.with_codes else (False,):
            for large, stacked in product((2.2, 1.9, 1.6, 1.3, 1.0), (False, True) if piece.apart else (False,)):
                written = self._written(piece, large, coded=coded, stacked=stacked)
                edges = box_of(written)
                if self.holds(piece.seen, edges, AIR) and not self.is_taken(edges):
                    self._write_on(piece, written, edges)
                    return True
        return False

    def _written(self, piece: SheetPiece, large: float, *, coded: bool = False, stacked: bool = False) -> list[Shape]:
        """The number in the middle of the piece, its triangle before it or, `stacked`, above it, its code under it."""
        x, y = self.at(piece.x_mm, piece.y_mm)
        number = words(0.0, 0.0, large * self.size, str(piece.number), Face.BOLD)
        code = words(0.0, 0.0, self.size, piece.label(self.said), Face.CODE)
        cap, air = CAP_HEIGHT * number.size, 0.25 * self.size
        sign = 0.8 * number.size if piece.apart else 0.0
        below = (0.45 + CAP_HEIGHT) * self.size if coded else 0.0
        above = CAP_HEIGHT * sign + air if stacked else 0.0
        base = y + (cap + above - below) / 2
        lead = TRIANGLE * sign + air if sign and not stacked else 0.0
        left = x - (number.width + lead) / 2
        shapes: list[Shape] = [moved(number, left + lead, base)]
        if sign:
            corner = (x - TRIANGLE * sign / 2, base - cap - air) if stacked else (left, base)
            shapes.append(Triangle(*corner, sign, Ink.IRON))
        if coded:
            shapes.append(moved(code, x - code.width / 2, base + below))
        return shapes

    def _point_at(self, piece: SheetPiece) -> bool:
        """Write beside the piece, with a line to it."""
        x, y = self.at(piece.x_mm, piece.y_mm)
        written = self._written(piece, 1.0)
        left, top, right, foot = box_of(written)
        away = [(across * self.size, down * self.size) for across, down in _AWAY]
        spots = [
            ((left + off, top + low, right + off, foot + low), (x + off, y + low), (off, low)) for off, low in away
        ]
        spot = self.point_at(piece.seen, spots)
        if spot is None:
            return False
        moved_there = [moved(shape, *spot) for shape in written]
        self._write_on(piece, moved_there, box_of(moved_there))
        return True

    def _write_on(self, piece: SheetPiece, written: list[Shape], edges: Edges) -> None:
        """Draw what is written, on white where it would stand on the hatching or on its line."""
        if piece.apart or not self.holds(piece.seen, edges, AIR):
            out = 0.16 * self.size
            left, top, right, foot = edges
            patch = Oblong(left - out, top - out, right - left + 2 * out, foot - top + 2 * out, None, Ground.LEAF)
            self.shapes.append(patch)
        self.keep(written, edges)


_AWAY = tuple(
    ((0.84 + 0.7 * step) * math.cos(turn * math.pi / 8), (0.6 + 0.5 * step) * math.sin(turn * math.pi / 8))
    for step in range(1, 10)
    for turn in range(16)
)
"""How far right and down of its piece a number may stand, in type sizes: the nearest all around first."""


def _hatched_circle(x: float, y: float, radius: float, apart: float, stroke: float) -> list[Shape]:
    """Slanting lines across a circle, `apart` from each other."""
    count = int(radius / apart)
    lines: list[Shape] = []
    slant = math.sqrt(0.5)
    for place in range(-count, count + 1):
        off = place * apart
        half = math.sqrt(max(radius**2 - off**2, 0.0))
        middle = x + off * slant, y + off * slant
        ends = (
            (middle[0] - half * slant, middle[1] + half * slant),
            (middle[0] + half * slant, middle[1] - half * slant),
        )
        lines.append(Line(ends, Pen(stroke)))
    return lines


def _hatched_oblong(x: float, y: float, wide: float, high: float, apart: float, stroke: float) -> list[Shape]:
    """Slanting lines across a rectangle around its middle, `apart` from each other."""
    lines: list[Shape] = []
    reach, step = (wide + high) / 2, apart * math.sqrt(2)
    for place in range(-int(reach / step), int(reach / step) + 1):
        along = place * step
        # On the line right + down = along, within the sides.
        start, end = max(-wide / 2, along - high / 2), min(wide / 2, along + high / 2)
        if start < end:
            lines.append(Line(((x + start, y + along - start), (x + end, y + along - end)), Pen(stroke)))
    return lines


def _sample(size: float) -> list[Shape]:
    """The legend's sample of what is set apart."""
    middle, radius = SAMPLE * size / 2, 0.45 * size
    triangle = Triangle(middle - TRIANGLE * size / 2, (0.5 + CAP_HEIGHT / 2) * size, size, Ink.IRON)
    return [
        Circle(middle, 0.5 * size, radius, Pen(0.1 * size), Ground.LEAF),
        *_hatched_circle(middle, 0.5 * size, radius, 0.25 * size, 0.05 * size),
        triangle,
    ]
