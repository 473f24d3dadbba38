"""Shelves and what stands on them, seen from above: footprints, shelf shapes, posts and the place of witness cones.

Lengths are mm. A shelf's centre is 0, 0; x runs to the right and y to the back, so that its front is at the least y.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import pi, sqrt

from tracker.domain.message import Message, _
from tracker.domain.quantities import mm


@dataclass(frozen=True, slots=True)
class Footprint:
    """What a piece covers of its shelf: `width_mm` along x and `depth_mm` along y, equal where it is round."""

    width_mm: float
    depth_mm: float
    is_round: bool = False

    @classmethod
    def round(cls, across_mm: float) -> Footprint:
        """A round footprint by its diameter."""
        return cls(across_mm, across_mm, is_round=True)

    @property
    def area_mm2(self) -> float:
        """How much of the shelf it covers."""
        return self.width_mm * self.depth_mm * (pi / 4 if self.is_round else 1)

    @property
    def size(self) -> Message:
        """Its measures."""
        if self.is_round:
            return Message("across", "{across}", across=mm(self.width_mm, 1))
        return Message("size", _("{width} by {depth}"), width=mm(self.width_mm, 1), depth=mm(self.depth_mm, 1))

    @property
    def turned(self) -> Footprint:
        """The same footprint a quarter turn round."""
        return Footprint(self.depth_mm, self.width_mm, self.is_round)

    @property
    def sides(self) -> tuple[float, float]:
        """Its shorter side and its longer one; twice its diameter where it is round."""
        return min(self.width_mm, self.depth_mm), max(self.width_mm, self.depth_mm)

    @property
    def is_long(self) -> bool:
        """Whether its longer side is along x."""
        return self.width_mm > self.depth_mm

    def covers(self, other: Footprint) -> bool:
        """Whether the other one lies wholly on this one, straight or turned."""
        if other.is_round:
            return min(self.sides) >= other.width_mm
        if self.is_round:
            return self.width_mm**2 >= other.width_mm**2 + other.depth_mm**2
        return self.sides[0] >= other.sides[0] and self.sides[1] >= other.sides[1]


class ShelfKind(StrEnum):
    """How a level is shelved."""

    ROUND = "round"
    HALF = "half"
    RECTANGULAR = "rectangular"


@dataclass(frozen=True, slots=True)
class Shelf:
    """The shelf of every level; two half-round ones side by side make a round level, with their seam along x = 0."""

    kind: ShelfKind
    width_mm: float
    depth_mm: float

    @property
    def is_round(self) -> bool:
        """Whether its edge is a circle."""
        return self.kind is not ShelfKind.RECTANGULAR

    @property
    def area_mm2(self) -> float:
        """How much there is to stand on, posts and all."""
        return self.width_mm * self.depth_mm * (pi / 4 if self.is_round else 1)

    @property
    def size(self) -> Message:
        """Its measures."""
        size = Footprint(self.width_mm, self.depth_mm, self.is_round).size
        if not self.is_round:
            return size
        return Message("round-shelf", _("{kind} and {size}"), kind=self.kind, size=size)

    def posts(self, radius_mm: float) -> tuple[tuple[float, float], ...]:
        """Where the posts stand: three to a shelf, touching its edge, over one another on all levels.

        Round: at the back and a third of the way round to either side. Half: at both ends of the seam and in the middle
        of the curved edge. Rectangular: in both front corners and in the middle of the back. None for a radius of 0.
        """
        if radius_mm <= 0:
            return ()
        if not self.is_round:
            right, back = self.width_mm / 2 - radius_mm, self.depth_mm / 2 - radius_mm
            return (-right, -back), (right, -back), (0.0, back)
        out = self.width_mm / 2 - radius_mm
        if self.kind is ShelfKind.ROUND:
            return (0.0, out), (-out * sqrt(3) / 2, -out / 2), (out * sqrt(3) / 2, -out / 2)
        end = sqrt(max(out**2 - radius_mm**2, 0.0))
        return tuple((side * x, y) for side in (-1, 1) for x, y in ((radius_mm, end), (radius_mm, -end), (out, 0.0)))

    def cones_at(self, cones: Footprint, post_radius_mm: float) -> tuple[float, float]:
        """Where the witness cones stand: in the middle of the front edge; on half shelves right of the seam's post."""
        x = 2 * post_radius_mm + cones.width_mm / 2 if self.kind is ShelfKind.HALF else 0.0
        edge = self.depth_mm / 2
        if self.is_round:
            edge = sqrt(max(edge**2 - (x + cones.width_mm / 2) ** 2, 0.0))
        return x, cones.depth_mm / 2 - edge


@dataclass(frozen=True, slots=True)
class Spot:
    """Where the centre of a footprint goes, and whether it is a quarter turn round."""

    x_mm: float
    y_mm: float
    turned: bool = False
