"""What may share one place on a shelf: in a bisque, open forms in or on one another and tiles in a pile.

The rules of nesting, all common practice:

- At most three high, and nothing heavier than what carries it. Where a weight isn't known, the larger one counts as the
  heavier. What weighs `HEAVY_G` or more goes in or on nothing, and a wall known to be under `THIN_MM` carries nothing.
- A tile is no higher than `TILE_MM`. It lies on a tile that covers it.
- An open form (`nests`) goes into one of the same outline, round or rectangular, that is at least as wide. It is taken
  for a cone whose foot is two thirds as wide as its rim. It comes to rest where its side is `NEST_CLEARANCE_MM` from
  the inside of the wall around it, no lower than that one's floor. A narrower foot goes deeper: the plan is careful.
- Where open forms would nest higher than they stack, the second stands upside down on the first, rim to rim, and the
  third on it, foot to foot. Rims that differ by more than `RIM_LEEWAY_MM` don't carry each other.

Lengths are mm and weights g.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from tracker.domain.loading.loads import HEAVY_G, LoadKiln, PieceToLoad, Placed, Rests
from tracker.domain.loading.shelf_shapes import Footprint, Spot

MOST_HIGH = 3
TILE_MM = 15
THIN_MM = 4
WALL_MM = 8
"""What a wall that hasn't been measured is taken for: on the thick side for ware of a class (common practice)."""

FOOT_RING_MM = 7
"""How high a bowl's floor is over the shelf, beside its own thickness."""

NEST_CLEARANCE_MM = 3
RIM_LEEWAY_MM = 4


@dataclass(frozen=True, slots=True)
class Tier:
    """A piece of a pile: how high over the shelf it begins, and how it rests on the one below, if there is one."""

    piece: PieceToLoad
    over_mm: float = 0.0
    rests: Rests | None = None

    @property
    def top_mm(self) -> float:
        """How high over the shelf it ends."""
        return self.over_mm + self.piece.height_mm


@dataclass(frozen=True, slots=True)
class Pile:
    """Pieces that share one place, from the shelf up: one alone, or up to `MOST_HIGH` in or on one another.

    All are of one set, or of none. The lowest covers the others. To whoever looks for a place it is like one piece.
    """

    tiers: tuple[Tier, ...]
    height_mm: float

    @classmethod
    def of(cls, piece: PieceToLoad) -> Pile:
        """A piece alone."""
        return cls((Tier(piece),), piece.height_mm)

    @property
    def footprint(self) -> Footprint:
        """What it covers of the shelf."""
        return self.tiers[0].piece.footprint

    @property
    def code(self) -> str:
        """The code of its lowest piece, which tells it from every other pile."""
        return self.tiers[0].piece.code

    @property
    def weight_g(self) -> float:
        """What its pieces weigh together, as far as it is known."""
        return sum(tier.piece.weight_g or 0 for tier in self.tiers)

    @property
    def promised(self) -> float:
        """The turn of the piece in it that goes first."""
        return min(tier.piece.promised for tier in self.tiers)

    @property
    def set_name(self) -> str | None:
        """The set that its pieces are of."""
        return self.tiers[0].piece.set_name

    def with_on_top(self, piece: PieceToLoad) -> Pile | None:
        """The pile with one more piece in or on its uppermost, the lowest way there is; None where it has no place."""
        if len(self.tiers) == MOST_HIGH or piece.set_name != self.set_name:
            return None
        top = self.tiers[-1]
        ways = [Tier(piece, over, rests) for rests, over in _ways(top, piece, is_lowest=len(self.tiers) == 1)]
        if not ways or not _carries(top.piece, piece):
            return None
        tier = min(ways, key=lambda way: way.over_mm)
        return Pile((*self.tiers, tier), max(self.height_mm, tier.top_mm))

    def placed(self, spot: Spot) -> Iterable[Placed]:
        """Its pieces at a place on the shelf, each turned as the lowest is."""
        lowest, below = self.tiers[0].piece.footprint, None
        for tier in self.tiers:
            turned = spot.turned != (tier.piece.footprint.is_long != lowest.is_long)
            yield Placed(tier.piece, replace(spot, turned=turned), tier.over_mm, below, tier.rests)
            below = tier.piece.code


def piled(pieces: Iterable[PieceToLoad], kiln: LoadKiln) -> list[Pile]:
    """The pieces in as few piles as the rules allow, none too high for this kiln's posts unless it is one piece alone.

    The widest come first, so that pieces of about a size share a place.
    """
    closed: list[Pile] = []
    started: list[Pile] = []
    for piece in sorted(pieces, key=lambda piece: (-piece.footprint.area_mm2, -_heft(piece), piece.code)):
        if not may_share(piece):
            closed.append(Pile.of(piece))
            continue
        higher = [(pile, pile.with_on_top(piece)) for pile in started]
        fits = [(pile, more) for pile, more in higher if more is not None and kiln.post_for(more.height_mm)]
        if not fits:
            started.append(Pile.of(piece))
            continue
        pile, more = min(fits, key=lambda fit: fit[1].height_mm - fit[0].height_mm)
        started.remove(pile)
        (closed if len(more.tiers) == MOST_HIGH else started).append(more)
    return [*closed, *started]


# ---- what goes in or on what ---------------------------------------------------------------------------------------


def _ways(below: Tier, piece: PieceToLoad, *, is_lowest: bool) -> Iterable[tuple[Rests, float]]:
    """Each way in which a piece may rest on the uppermost of a pile, and how high over the shelf it then begins."""
    lower = below.piece
    if not (may_share(lower) and may_share(piece) and lower.footprint.covers(piece.footprint)):
        return
    if _is_tile(lower) and _is_tile(piece):
        yield Rests.PILED, below.top_mm
        return
    if not (lower.nests and piece.nests) or lower.footprint.is_round != piece.footprint.is_round:
        return
    if below.rests is Rests.RIM_TO_RIM:
        yield Rests.FOOT_TO_FOOT, below.top_mm
        return
    if below.rests is Rests.FOOT_TO_FOOT:
        return
    rise = rise_in(lower, piece)
    if rise <= lower.height_mm:
        yield Rests.IN, below.over_mm + rise
    sides = zip(lower.footprint.sides, piece.footprint.sides, strict=True)
    if is_lowest and all(wide - narrow <= RIM_LEEWAY_MM for wide, narrow in sides):
        yield Rests.RIM_TO_RIM, below.top_mm


def rise_in(lower: PieceToLoad, upper: PieceToLoad) -> float:
    """How high over the foot of an open form the foot of another comes to rest in it.

    Each is a cone: at height z a form of width D and height h is D (2/3 + z / 3h) wide. Where one is inside the other,
    their sides are at least the lower one's wall and the clearance apart. As both are cones it is enough to look at
    the upper one's foot, and at whichever rim is the lower of the two.
    """
    wall = WALL_MM if lower.wall_mm is None else lower.wall_mm
    return max(
        wall + FOOT_RING_MM,
        *(
            _rise(wide, lower.height_mm, narrow, upper.height_mm, wall + NEST_CLEARANCE_MM)
            for wide, narrow in zip(lower.footprint.sides, upper.footprint.sides, strict=True)
        ),
    )


def _rise(wide: float, high: float, narrow: float, upper_high: float, apart: float) -> float:
    """The same for one side of both, a width and a height each, whose sides are to be so far `apart`."""
    at_foot = high * (2 * (narrow - wide) + 6 * apart) / wide
    at_upper_rim = high * (3 * narrow - 2 * wide + 6 * apart) / wide - upper_high
    if at_upper_rim + upper_high <= high:
        return max(at_foot, at_upper_rim)
    return max(at_foot, high - upper_high * (3 * wide - 2 * narrow - 6 * apart) / narrow)


def _carries(lower: PieceToLoad, piece: PieceToLoad) -> bool:
    """Whether a piece is no heavier than what is to carry it, and that one no thin ware."""
    if lower.wall_mm is not None and lower.wall_mm < THIN_MM:
        return False
    if lower.weight_g is None or piece.weight_g is None:
        return _heft(piece) <= _heft(lower) and (piece.weight_g or 0) < HEAVY_G
    return piece.weight_g <= lower.weight_g and piece.weight_g < HEAVY_G


def _heft(piece: PieceToLoad) -> float:
    """What stands for a weight that isn't known: its footprint times its height."""
    return piece.footprint.area_mm2 * piece.height_mm


def may_share(piece: PieceToLoad) -> bool:
    """Whether a piece may share a place with any other at all."""
    return piece.nests or (piece.nests is None and _is_tile(piece))


def _is_tile(piece: PieceToLoad) -> bool:
    return piece.height_mm <= TILE_MM
