"""Levels for a kiln: which pieces share a shelf, on which posts, and which levels share a firing.

Levels are filled from the tallest piece down. Each is then improved by taking up a few neighbours and filling the hole
again, in another order.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field

from tracker.domain.loading.loads import HEAVY_G, LoadedShelf, LoadKiln, PieceToLoad, Placed
from tracker.domain.loading.packing import Ground
from tracker.domain.loading.shelf_shapes import Footprint

More = Callable[[], bool]
"""Whether there is time to search on; asked again before each step."""

_MOST_STIRRED = 9
# By so many tenths the area of a piece is stirred at the most for another order; how far is drawn each time anew.


class Draw:
    """Numbers that look drawn by lot and are the same each time: a linear congruence (Knuth's MMIX constants)."""

    def __init__(self, seed: int = 1) -> None:
        self._state = seed

    def __call__(self, below: int) -> int:
        """The next number from 0 to less than `below`."""
        self._state = (self._state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (self._state >> 33) % below

    def stirred(self, amount: float, part: float) -> float:
        """An amount made larger or smaller by up to such a part of it."""
        return amount * (1 + part * (self(2001) - 1000) / 1000)


@dataclass(slots=True)
class Level:
    """A shelf while it is filled, with the posts that it stands under the next one with.

    One that is `only_on_top` is higher than every post, so no shelf can lie over it.
    """

    post_mm: float
    ground: Ground
    only_on_top: bool = False
    placed: list[Placed] = field(default_factory=list)
    # Footprints that found no place; whatever holds one of them finds none either.
    _refused: list[Footprint] = field(default_factory=list)

    def take(self, piece: PieceToLoad) -> bool:
        """Give the piece a place, if there is one."""
        lies = piece.footprint
        if piece.height_mm > self.post_mm or any(_holds(lies, refused) for refused in self._refused):
            return False
        spot = self.ground.spot_for(lies)
        if spot is None:
            self._refused = [*(one for one in self._refused if not _holds(one, lies)), lies]
            return False
        self.keep(Placed(piece, spot))
        return True

    def keep(self, placed: Placed) -> None:
        """Put a piece where it is known to fit."""
        self.ground.put(placed.piece.footprint, placed.spot)
        self.placed.append(placed)

    def take_all(self, pieces: Iterable[PieceToLoad]) -> list[PieceToLoad]:
        """Give each its place, in this order, and tell which found none."""
        return [piece for piece in pieces if not self.take(piece)]

    def copy(self) -> Level:
        """The same level once more, to try something on."""
        return Level(self.post_mm, self.ground.copy(), self.only_on_top, self.placed.copy(), self._refused.copy())

    @property
    def pieces(self) -> list[PieceToLoad]:
        """What stands on it."""
        return [one.piece for one in self.placed]


def _holds(large: Footprint, small: Footprint) -> bool:
    """Whether one footprint covers the other when it is laid over it straight or turned."""
    if small.is_round:
        return min(large.width_mm, large.depth_mm) >= small.width_mm
    if large.is_round:
        return large.width_mm**2 >= small.width_mm**2 + small.depth_mm**2
    narrow, wide = sorted((large.width_mm, large.depth_mm))
    return narrow >= min(small.width_mm, small.depth_mm) and wide >= max(small.width_mm, small.depth_mm)


class Stacker:
    """One kiln and the gap between pieces in it; every piece that comes here is known to fit it alone."""

    def __init__(self, kiln: LoadKiln, gap_mm: float, draw: Draw | None = None) -> None:
        self.kiln = kiln
        self._bare = kiln.ground(gap_mm)
        self._draw = draw or Draw()
        self._posts: dict[float, float] = {}
        self._longest_mm = max(kiln.usable_posts_mm, default=0.0)

    # ---- what a level is worth ---------------------------------------------------------------------------------

    def post_of(self, piece: PieceToLoad) -> float:
        """The shortest post for a piece, or its own height where no post is as long."""
        if piece.height_mm not in self._posts:
            self._posts[piece.height_mm] = self.kiln.level_for(piece.height_mm) or 0.0
        return self._posts[piece.height_mm]

    def high(self, level: Level) -> float:
        """What a level takes of the kiln's height."""
        return level.post_mm + self.kiln.shelf_thickness_mm

    def height(self, levels: Iterable[Level]) -> float:
        """What levels take of the height together."""
        return sum(map(self.high, levels))

    def go_in(self, levels: Collection[Level]) -> bool:
        """Whether levels go into one firing together: under the roof, and no two of them only on top."""
        return self.height(levels) <= self.kiln.room_mm and sum(level.only_on_top for level in levels) <= 1

    def least_height(self, pieces: Iterable[PieceToLoad]) -> float:
        """The height that pieces would take if every level could be covered whole; no plan is lower."""
        return self._worth(pieces) / self.kiln.shelf.area_mm2

    def _worth(self, pieces: Iterable[PieceToLoad]) -> float:
        """The least that pieces take of shelves' area times height: each its footprint times its own shortest level."""
        thick = self.kiln.shelf_thickness_mm
        return sum(piece.footprint.area_mm2 * (self.post_of(piece) + thick) for piece in pieces)

    # ---- filling levels ----------------------------------------------------------------------------------------

    def empty(self, post_mm: float) -> Level:
        """A level on such posts with nothing on it."""
        return Level(post_mm, self._bare.copy(), only_on_top=post_mm > self._longest_mm)

    def raised(self, level: Level, piece: PieceToLoad) -> Level:
        """A level that is only on top, as high as this piece needs it."""
        higher = level.copy()
        higher.post_mm = max(level.post_mm, piece.height_mm)
        return higher

    def stack(
        self, pieces: Iterable[PieceToLoad], refills: int = 5, mixing: float = 0.0, more: More = lambda: True
    ) -> list[Level]:
        """Levels for all pieces, filled from the tallest piece down.

        Each is filled anew up to `refills` times, as long as there is `more` time, and stays so where it gains. With
        `mixing` over 0 pieces for shorter posts are mixed in among the taller ones rather than follow them.
        """
        rest, levels = self._in_order(pieces), list[Level]()
        while rest:
            level = self.empty(self.post_of(rest[0]))
            rest = level.take_all([rest[0], *self._stirred(rest[1:], mixing)] if mixing else rest)
            # A level on top is not filled anew: what is too high for every other must not lose its place there.
            for _ in range(refills if rest and not level.only_on_top else 0):
                if not more():
                    break
                other, others = self._filled_anew(level, rest, mixing)
                if self._worth(other.pieces) >= self._worth(level.pieces):
                    level, rest = other, others
            levels.append(level)
            rest = self._in_order(rest)
        return levels

    def _in_order(self, pieces: Iterable[PieceToLoad]) -> list[PieceToLoad]:
        """The tallest posts first, and among pieces of one post the largest."""
        return sorted(pieces, key=lambda piece: (-self.post_of(piece), -piece.footprint.area_mm2, piece.code))

    def _stirred(self, pieces: Iterable[PieceToLoad], mixing: float) -> list[PieceToLoad]:
        """About the same order, but for pieces of about the same size, and of about the same posts where these mix."""
        far = self._draw(_MOST_STIRRED + 1) / 10
        turns = {
            piece.code: (
                -self._draw.stirred(self.post_of(piece), mixing) if mixing else -self.post_of(piece),
                -self._draw.stirred(piece.footprint.area_mm2, far),
            )
            for piece in pieces
        }
        return sorted(pieces, key=lambda piece: (turns[piece.code], piece.code))

    def _filled_anew(
        self, level: Level, others: Sequence[PieceToLoad], mixing: float
    ) -> tuple[Level, list[PieceToLoad]]:
        """The level with a few neighbours taken up and the hole filled from them and `others`; and who is left."""
        middle = level.placed[self._draw(len(level.placed))].spot
        near = sorted(
            level.placed,
            key=lambda one: (one.spot.x_mm - middle.x_mm) ** 2 + (one.spot.y_mm - middle.y_mm) ** 2,
        )
        up = near[: 2 + self._draw(4)]
        anew = self.empty(level.post_mm)
        for one in level.placed:
            if one not in up:
                anew.keep(one)
        return anew, anew.take_all(self._stirred([*(one.piece for one in up), *others], mixing))


def loaded(levels: Iterable[Level]) -> tuple[LoadedShelf, ...]:
    """The levels of one firing from the bottom to the top: those with heavy pieces lowest, then on ever longer posts.

    A shelf on long posts stands least firmly, so the tallest level goes on top (common practice). What is higher than
    every post stands on the uppermost shelf.
    """

    def heaviest(level: Level) -> float:
        heavy = max((piece.weight_g or 0 for piece in level.pieces), default=0)
        return heavy if heavy >= HEAVY_G else 0

    ordered = sorted(levels, key=lambda level: (level.only_on_top, -heaviest(level), level.post_mm))
    return tuple(LoadedShelf(level.post_mm, tuple(level.placed), level.only_on_top) for level in ordered)
