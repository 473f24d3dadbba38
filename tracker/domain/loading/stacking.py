"""Levels for a kiln: which pieces share a shelf, on which posts, and which levels share a firing.

Levels are filled from the tallest piece down. Each is then improved by taking up a few neighbours and filling the hole
again, in another order.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain

from tracker.domain.loading.loads import HEAVY_G, LoadedShelf, LoadKiln, PieceToLoad
from tracker.domain.loading.packing import Ground
from tracker.domain.loading.piles import Pile, piled
from tracker.domain.loading.shelf_shapes import Footprint, Spot

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


@dataclass(frozen=True, slots=True)
class Laid:
    """A pile, mostly of one piece, and the place on its shelf that its center gets."""

    pile: Pile
    spot: Spot


@dataclass(slots=True)
class Level:
    """A shelf while it is filled, with the posts that it stands under the next one with.

    Over each piece stays the gap. One that is `only_on_top` holds what is too high or too wide for posts, so no shelf
    can be over it.
    """

    post_mm: float
    gap_above_mm: float
    ground: Ground
    only_on_top: bool = False
    laid: list[Laid] = field(default_factory=list)
    # Footprints that found no place; whatever holds one of them finds none either.
    _refused: list[Footprint] = field(default_factory=list)

    def is_high_enough(self, pile: Pile) -> bool:
        """Whether a pile stays under the next shelf, with the gap over it."""
        return pile.height_mm + (0 if self.only_on_top else self.gap_above_mm) <= self.post_mm

    def take(self, pile: Pile) -> bool:
        """Give the pile a place, if there is one."""
        lies = pile.footprint
        if not self.is_high_enough(pile) or any(lies.covers(refused) for refused in self._refused):
            return False
        spot = self.ground.spot_for(lies)
        if spot is None:
            self._refused = [*(one for one in self._refused if not one.covers(lies)), lies]
            return False
        self.keep(Laid(pile, spot))
        return True

    def nest(self, piece: PieceToLoad) -> bool:
        """Put the piece in or on a pile here, if one takes it."""
        for at, one in enumerate(self.laid):
            pile = one.pile.with_on_top(piece)
            if pile is not None and self.is_high_enough(pile):
                self.laid[at] = Laid(pile, one.spot)
                return True
        return False

    def keep(self, laid: Laid) -> None:
        """Put a pile where it is known to fit."""
        self.ground.put(laid.pile.footprint, laid.spot)
        self.laid.append(laid)

    def take_all(self, piles: Iterable[Pile]) -> list[Pile]:
        """Give each its place, in this order, and tell which found none."""
        return [pile for pile in piles if not self.take(pile)]

    def copy(self) -> Level:
        """The same level once more, to try something on."""
        return replace(self, ground=self.ground.copy(), laid=self.laid.copy(), _refused=self._refused.copy())

    @property
    def piles(self) -> list[Pile]:
        """What stands on it."""
        return [one.pile for one in self.laid]


class Stacker:
    """One kiln and the gap between pieces in it; every piece that comes here is known to fit it alone.

    In a bisque pieces `may_nest`.
    """

    def __init__(self, kiln: LoadKiln, gap_mm: float, *, may_nest: bool) -> None:
        self.kiln = kiln
        self.may_nest = may_nest
        self.bare, self.without_posts = kiln.ground(gap_mm), kiln.ground(gap_mm, with_posts=False)
        self._draw = Draw()
        self._posts: dict[float, float] = {}
        self._wide: dict[Footprint, bool] = {}

    # ---- what shares a place -----------------------------------------------------------------------------------

    def pilings(self, pieces: Iterable[PieceToLoad]) -> list[list[Pile]]:
        """The ways to share places that are worth trying: each alone, and in as few piles as may be where any nest."""
        alone = [Pile.of(piece) for piece in pieces]
        if not self.may_nest:
            return [alone]
        piles = piled((pile.tiers[0].piece for pile in alone), self.kiln)
        return [alone, piles] if len(piles) < len(alone) else [alone]

    # ---- what a level is worth ---------------------------------------------------------------------------------

    def post_of(self, pile: Pile) -> float:
        """The shortest post for a pile, or its own height where no post is as long or it is too wide for posts."""
        if self.is_too_wide(pile):
            return pile.height_mm
        if pile.height_mm not in self._posts:
            self._posts[pile.height_mm] = self.kiln.level_for(pile.height_mm) or 0.0
        return self._posts[pile.height_mm]

    def is_too_wide(self, pile: Pile) -> bool:
        """Whether a pile has no place between the posts, so that it goes on top alone, on a shelf without any."""
        lies = pile.footprint
        if lies not in self._wide:
            self._wide[lies] = self.bare.spot_for(lies) is None
        return self._wide[lies]

    def high(self, level: Level) -> float:
        """What a level takes of the kiln's height."""
        return level.post_mm + self.kiln.shelf_thickness_mm

    def height(self, levels: Iterable[Level]) -> float:
        """What levels take of the height together."""
        return sum(map(self.high, levels))

    def go_in(self, levels: Collection[Level]) -> bool:
        """Whether levels go into one firing together: under the roof, and no two of them only on top."""
        on_top = sum(level.only_on_top for level in levels)
        room = self.kiln.room_without_posts_mm if on_top else self.kiln.room_mm
        return self.height(levels) <= room and on_top <= 1

    def least_height(self, piles: Iterable[Pile]) -> float:
        """The height that piles would take if every level could be covered whole; no plan of them is lower."""
        return self._worth(piles) / self.kiln.shelf.area_mm2

    def _worth(self, piles: Iterable[Pile]) -> float:
        """The least that piles take of shelves' area times height: each its footprint times its own shortest level."""
        thick = self.kiln.shelf_thickness_mm
        return sum(pile.footprint.area_mm2 * (self.post_of(pile) + thick) for pile in piles)

    # ---- filling levels ----------------------------------------------------------------------------------------

    def empty_for(self, pile: Pile) -> Level:
        """A level with nothing on it, as high as this pile needs it."""
        if self.is_too_wide(pile):
            return Level(pile.height_mm, self.kiln.gap_above_mm, self.without_posts.copy(), only_on_top=True)
        only_on_top = self.kiln.post_for(pile.height_mm) is None
        return Level(self.post_of(pile), self.kiln.gap_above_mm, self.bare.copy(), only_on_top)

    def raised(self, level: Level, pile: Pile) -> Level:
        """A level that is only on top, as high as this pile needs it."""
        return replace(level.copy(), post_mm=max(level.post_mm, pile.height_mm))

    def stack(
        self, piles: Iterable[Pile], refills: int = 5, mixing: float = 0.0, more: More = lambda: True
    ) -> list[Level]:
        """Levels for all piles, filled from the tallest down.

        Each is filled anew up to `refills` times, as long as there is `more` time, and stays so where it gains. With
        `mixing` over 0 those for shorter posts are mixed in among the taller ones rather than follow them.
        """
        rest, levels = self._in_order(piles), list[Level]()
        while rest:
            level = self.empty_for(rest[0])
            rest = level.take_all([rest[0], *self._stirred(rest[1:], mixing)] if mixing else rest)
            # A level on top is not filled anew: what is too high for every other must not lose its place there.
            for _ in range(refills if rest and not level.only_on_top else 0):
                if not more():
                    break
                other, others = self._filled_anew(level, rest, mixing)
                if self._worth(other.piles) >= self._worth(level.piles):
                    level, rest = other, others
            levels.append(level)
            rest = self._in_order(rest)
        return levels

    def _in_order(self, piles: Iterable[Pile]) -> list[Pile]:
        """The tallest posts first, and among piles of one post the largest."""
        return sorted(piles, key=lambda pile: (-self.post_of(pile), -pile.footprint.area_mm2, pile.code))

    def _stirred(self, piles: Iterable[Pile], mixing: float) -> list[Pile]:
        """About the same order, but for piles of about the same size, and of about the same posts where these mix."""
        far = self._draw(_MOST_STIRRED + 1) / 10
        turns = {
            pile.code: (
                -self._draw.stirred(self.post_of(pile), mixing) if mixing else -self.post_of(pile),
                -self._draw.stirred(pile.footprint.area_mm2, far),
            )
            for pile in piles
        }
        return sorted(piles, key=lambda pile: (turns[pile.code], pile.code))

    def _filled_anew(self, level: Level, others: Sequence[Pile], mixing: float) -> tuple[Level, list[Pile]]:
        """The level with a few neighbours taken up and the hole filled from them and `others`; and who is left."""
        middle = level.laid[self._draw(len(level.laid))].spot
        near = sorted(
            level.laid,
            key=lambda one: (one.spot.x_mm - middle.x_mm) ** 2 + (one.spot.y_mm - middle.y_mm) ** 2,
        )
        up = near[: 2 + self._draw(4)]
        anew = Level(level.post_mm, level.gap_above_mm, self.bare.copy(), level.only_on_top)
        for one in level.laid:
            if one not in up:
                anew.keep(one)
        return anew, anew.take_all(self._stirred([*(one.pile for one in up), *others], mixing))


def loaded(levels: Iterable[Level]) -> tuple[LoadedShelf, ...]:
    """The levels of one firing from the bottom to the top: those with heavy pieces lowest, then on ever longer posts.

    A shelf on long posts stands least firmly, so the tallest level goes on top (common practice). What is too high
    or too wide for posts stands on the uppermost shelf.
    """

    def heaviest(level: Level) -> float:
        heavy = max((pile.weight_g for pile in level.piles), default=0)
        return heavy if heavy >= HEAVY_G else 0

    ordered = sorted(levels, key=lambda level: (level.only_on_top, -heaviest(level), level.post_mm))
    return tuple(
        LoadedShelf(
            level.post_mm,
            tuple(chain.from_iterable(one.pile.placed(one.spot) for one in level.laid)),
            level.only_on_top,
        )
        for level in ordered
    )
