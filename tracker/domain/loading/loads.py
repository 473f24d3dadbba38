"""Load plans: what goes into the kiln, what the kiln takes, and which piece stands where on which shelf.

Lengths are mm and weights g. A plan is advice: people move pieces, and each is still checked at the kiln's door.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import ceil, hypot

from tracker.domain.loading.packing import Ground
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, Spot
from tracker.domain.message import Message, _
from tracker.domain.quantities import compared, mm

HEAVY_G = 3_000
"""A piece of this weight and more goes onto a low shelf, where nobody reaches over others with it (common practice)."""


def shrunk(size_mm: float, shrinkage_pct: float) -> int:
    """What is left of a dry size after so much shrinkage, in whole mm: rounded up, which is the careful side."""
    # Ten digits first, so that what is whole but for floating point does not become a millimetre more.
    return ceil(round(size_mm * (1 - shrinkage_pct / 100), 10))


class Rests(StrEnum):
    """How a piece rests on the one below it."""

    IN = "in"
    PILED = "on"
    RIM_TO_RIM = "rim to rim"
    FOOT_TO_FOOT = "foot to foot"


@dataclass(frozen=True, slots=True)
class PieceToLoad:
    """One piece, as large as it goes into the kiln; pieces of one `set_name` fire together or not at all.

    `promised` says its turn: the least goes first. A `weight_g` or `wall_mm` of None is unknown. `nests` is true for an
    open form that goes into another in a bisque, false for what goes in or on nothing, and None where nothing is said:
    then it is piled only if it is a tile (see `piles`).
    """

    code: str
    footprint: Footprint
    height_mm: float
    weight_g: float | None = None
    promised: float = 0
    set_name: str | None = None
    nests: bool | None = None
    wall_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadKiln:
    """The inside of a kiln as a load sees it; `cones` is the room kept for witness cones on every level, if any.

    A level is a shelf and three posts on it, the top one too, so each takes a post and a shelf's thickness of the
    height; over all of them `clearance_top_mm` stays free under the roof. Over every piece stays a gap of
    `gap_above_mm`, so that nothing touches the shelf above. Only what no post is long enough for, or what is too wide
    to stand between posts, is on a top level without posts, which takes that piece's height instead; the clearance or
    the gap, whichever is more, is over it.
    """

    shelf: Shelf
    height_mm: float
    shelf_thickness_mm: float
    posts_mm: tuple[float, ...]
    gap_above_mm: float
    clearance_top_mm: float = 0
    post_radius_mm: float = 0
    cones: Footprint | None = None

    @property
    def room_mm(self) -> float:
        """What all levels together may take of the height."""
        return self.height_mm - self.clearance_top_mm

    @property
    def usable_posts_mm(self) -> tuple[float, ...]:
        """The posts on which a level fits into the kiln at all, the shortest first."""
        return tuple(sorted(post for post in set(self.posts_mm) if post + self.shelf_thickness_mm <= self.room_mm))

    @property
    def room_without_posts_mm(self) -> float:
        """What all levels together may take of the height where the top one has no posts."""
        return self.height_mm - max(self.clearance_top_mm, self.gap_above_mm)

    def post_for(self, height_mm: float) -> float | None:
        """The shortest usable post that this stands under with its gap, or none."""
        return next((post for post in self.usable_posts_mm if post >= height_mm + self.gap_above_mm), None)

    def level_for(self, height_mm: float) -> float | None:
        """How high a level must be for this: the shortest usable post, or this very height where no post is as long.

        None where that does not go under the roof.
        """
        post = self.post_for(height_mm)
        if post is None and height_mm + self.shelf_thickness_mm <= self.room_without_posts_mm:
            return height_mm
        return post

    def ground(self, gap_mm: float, *, with_posts: bool = True) -> Ground:
        """A shelf of this kiln with its posts, if any, and its room for witness cones, and nothing else on it."""
        ground = Ground(self.shelf, gap_mm)
        for x, y in self.shelf.posts(self.post_radius_mm) if with_posts else ():
            ground.put(Footprint.round(2 * self.post_radius_mm), Spot(x, y))
        if self.cones:
            ground.put(self.cones, Spot(*self.shelf.cones_at(self.cones, self.post_radius_mm)))
        return ground

    def never_takes(self, piece: PieceToLoad, without_posts: Ground) -> Message | None:
        """Why a piece goes into no firing of this kiln, or None; `without_posts` is this kiln's `ground` on top."""
        if self.level_for(piece.height_mm) is None:
            room = max(self.room_without_posts_mm - self.shelf_thickness_mm, 0)
            words = _("too tall for the chamber: {height}, with room for {room}")
            height, free = compared(mm(piece.height_mm, 1), mm(room, 1))
            return Message("chamber-too-low", words, height=height, room=free)
        if Ground(self.shelf, 0).spot_for(piece.footprint) is None:
            return self._too_wide(piece.footprint)
        if without_posts.spot_for(piece.footprint) is None:
            return Message("no-place-by-cones", _("no space for it beside the witness cones"))
        return None

    def _too_wide(self, lies: Footprint) -> Message:
        across = lies.width_mm if lies.is_round else hypot(lies.width_mm, lies.depth_mm)
        if self.shelf.is_round and across > self.shelf.width_mm:
            words = _("wider than the kiln shelf: {across} across on a shelf of {shelf}")
            reaches, shelf = compared(mm(ceil(across)), mm(self.shelf.width_mm, 1))
            return Message("too-far-across", words, across=reaches, shelf=shelf)
        words = _("wider than the kiln shelf: {size} on a shelf of {shelf}")
        return Message("shelf-too-narrow", words, size=lies.size, shelf=self.shelf.size)


@dataclass(frozen=True, slots=True)
class Placed:
    """A piece and the place on its shelf that its centre gets.

    One that is nested or stacked begins `over_mm` over the shelf, and `rests` so on the piece of the code `below`.
    """

    piece: PieceToLoad
    spot: Spot
    over_mm: float = 0.0
    below: str | None = None
    rests: Rests | None = None


@dataclass(frozen=True, slots=True)
class LoadedShelf:
    """One level: the post that its pieces stand between, and the pieces on it.

    One `without_posts` is the uppermost and holds a piece that is too high or too wide for posts; `post_mm` is then the
    height of what is on it.
    """

    post_mm: float
    placed: tuple[Placed, ...]
    without_posts: bool = False


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A piece that the plan has no place for, and why not, in words that begin small."""

    piece: PieceToLoad
    reason: Message


@dataclass(frozen=True, slots=True)
class LoadPlan:
    """Firings one after another, each with its shelves from the bottom to the top, and what is left out of them."""

    firings: tuple[tuple[LoadedShelf, ...], ...]
    left_out: tuple[LeftOut, ...] = ()

    @property
    def shelves(self) -> tuple[LoadedShelf, ...]:
        """The shelves of the first firing, for a plan of one."""
        return self.firings[0] if self.firings else ()

    def stack_mm(self, kiln: LoadKiln) -> float:
        """How high the levels of all firings are together."""
        return sum(shelf.post_mm + kiln.shelf_thickness_mm for firing in self.firings for shelf in firing)
