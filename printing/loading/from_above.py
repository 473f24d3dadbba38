"""A shelf or a floor seen from above while it is drawn: what stands on it, and where there is still room for words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from printing.lettering import ink_box, is_free
from printing.loading.load_pictures import Footprint, PieceSeen, ShelfSeen
from printing.shapes import Circle, Edges, Ground, Ink, Line, Oblong, Pen, Shape, Text, box, meet

Spot = TypeVar("Spot")
Point = tuple[float, float]

_STEPS = 16
"""Parts of a leader between which no letter has room."""


@dataclass(slots=True, kw_only=True)
class FromAbove:
    """What is drawn already, which boxes words have taken, and which pieces cover.

    The plane's outline stands `edge` from the picture's sides and from `top`; `size` is that of the smallest letters.
    """

    plane: ShelfSeen
    width: float
    size: float
    edge: float
    top: float = 0.0
    shapes: list[Shape] = field(default_factory=list)
    taken: list[Edges] = field(default_factory=list)
    covered: list[Edges] = field(default_factory=list)

    @property
    def scale(self) -> float:
        """The picture's units in a millimetre of the plane."""
        return (self.width - 2 * self.edge) / max(self.plane.across, self.plane.deep * 0.8)

    @property
    def foot(self) -> float:
        """Where the picture of the plane ends."""
        return self.top + self.plane.deep * self.scale + 2 * self.edge

    @property
    def bounds(self) -> Edges:
        """The room for words."""
        return 0.0, self.top, self.width, self.foot

    def at(self, x_mm: float, y_mm: float) -> Point:
        """A place on the plane as a place in the picture."""
        return self.width / 2 + x_mm * self.scale, (self.top + self.foot) / 2 - y_mm * self.scale

    def outline(
        self, what: Footprint, x: float, y: float, pen: Pen, ground: Ground, within: float = 0.0
    ) -> Circle | Oblong:
        """The outline of something around a point, its edge so far within its true sides."""
        across, deep = (max(side * self.scale - 2 * within, 0.0) for side in (what.across, what.deep))
        if what.round_mm:
            return Circle(x, y, max(across, 2 * within) / 2, pen, ground)
        return Oblong(x - across / 2, y - deep / 2, across, deep, pen, ground)

    def cover(self, piece: PieceSeen) -> None:
        """Note that a piece stands there."""
        x, y = self.at(piece.x_mm, piece.y_mm)
        across, deep = piece.across * self.scale / 2, piece.deep * self.scale / 2
        self.covered.append((x - across, y - deep, x + across, y + deep))

    def holds(self, piece: PieceSeen, edges: Edges, air: float) -> bool:
        """Whether a box lies on a piece and within the picture, so many type sizes clear of the piece's edge."""
        x, y = self.at(piece.x_mm, piece.y_mm)
        clear = air * self.size
        if not is_free(edges, self.bounds):
            return False
        if piece.round_mm:
            reach = max(math.hypot(edges[i] - x, edges[j] - y) for i in (0, 2) for j in (1, 3))
            return reach <= piece.round_mm * self.scale / 2 - clear
        across, deep = piece.across * self.scale / 2 - clear, piece.deep * self.scale / 2 - clear
        return is_free(edges, (x - across, y - deep, x + across, y + deep))

    def is_taken(self, edges: Edges) -> bool:
        """Whether words stand there."""
        return any(meet(edges, other) for other in self.taken)

    def point_at(self, piece: PieceSeen, spots: Sequence[tuple[Edges, Point, Spot]]) -> Spot | None:
        """The first spot beside a piece where no other word is and, if it can be, no other piece; its leader is drawn.

        A spot is the box of its words, the end of the leader to it, and what the answer is.
        """
        x, y = self.at(piece.x_mm, piece.y_mm)
        clear = [*self.taken, *(other for other in self.covered if not meet(other, (x, y, x, y)))]
        for blocked in (clear, self.taken):
            for edges, end, spot in spots:
                if not is_free(edges, self.bounds) or any(meet(edges, other) for other in blocked):
                    continue
                if not any(self.is_taken((*point, *point)) for point in _along((x, y), end)):
                    self.shapes.append(Line(((x, y), end), Pen(0.08 * self.size, Ink.SOFT)))
                    return spot
        return None

    def keep(self, shapes: Iterable[Shape], edges: Edges) -> None:
        """Draw words, and note their box."""
        self.shapes += shapes
        self.taken.append(edges)


def box_of(shapes: Sequence[Shape]) -> Edges:
    """The box around all shapes, of words around their capitals."""
    boxes = [ink_box(shape) if isinstance(shape, Text) else box(shape) for shape in shapes]
    lefts, tops, rights, feet = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(feet)


def _along(start: Point, end: Point) -> Iterable[Point]:
    (x, y), (to_x, to_y) = start, end
    return ((x + (to_x - x) * step / _STEPS, y + (to_y - y) * step / _STEPS) for step in range(_STEPS + 1))
