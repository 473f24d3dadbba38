"""Load plans: the values they are made of, and what can be loaded at all."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import ceil

from tracker.domain.packing import Ground
from tracker.domain.shelves import Footprint, Shelf, Spot


@dataclass(frozen=True, slots=True)
class PieceToLoad:
    """One piece to load, as large as it goes into the kiln; pieces of one `set_name` fire together or not at all."""

    code: str
    footprint: Footprint
    height_mm: float
    weight_g: int | None = None
    promised: float = 0
    set_name: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadKiln:
    """The inside of a kiln as a load sees it; `cones` is the room kept for witness cones on every level, if any."""

    shelf: Shelf
    height_mm: float
    shelf_thickness_mm: float
    posts_mm: tuple[float, ...]
    clearance_top_mm: float = 0
    post_radius_mm: float = 0
    cones: Footprint | None = None

    @property
    def room_mm(self) -> float:
        """What the levels, each a shelf and the posts on it, may take of the height together."""
        return self.height_mm - self.clearance_top_mm

    @property
    def usable_posts(self) -> tuple[float, ...]:
        return tuple(sorted(post for post in set(self.posts_mm) if post + self.shelf_thickness_mm <= self.room_mm))

    def post_for(self, height_mm: float) -> float | None:
        return next((post for post in self.usable_posts if post >= height_mm), None)

    def ground(self, gap_mm: float) -> Ground:
        """A shelf of this kiln with its posts and its room for witness cones."""
        ground = Ground(self.shelf, gap_mm)
        for x, y in self.shelf.posts(self.post_radius_mm):
            ground.put(Footprint.round(2 * self.post_radius_mm), Spot(x, y))
        if self.cones:
            ground.put(self.cones, Spot(*self.shelf.cones_at(self.cones, self.post_radius_mm)))
        return ground
