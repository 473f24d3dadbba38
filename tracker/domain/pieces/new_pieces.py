"""What a maker registers: one piece, several alike, and a lid with each."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tracker.domain.pieces.piece import Build, Piece, Use, Ware
from tracker.domain.studio.materials import Clay

MOST_AT_ONCE = 60
"""Pieces alike that are registered in one go: a board of test tiles, but no typing error fills the shelves."""

LONGEST_WHAT = 60
"""Characters in what a piece is called."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPiece:
    """A pot that its maker registers: what it is, the clay by its name in the catalog, lengths in mm.

    Ware that `arrives_bisqued` gets its code at once. `maker_id` is None for whoever registers it. It fires together
    with the pieces of the set `set_name`, and with the piece `belongs_with` (a code or slip number); empty is none.
    """

    what: str
    clay: str
    build: Build
    use: Use
    height_mm: int
    width_mm: int
    depth_mm: int
    fragile: bool = False
    burnished: bool = False
    mended: bool = False
    nests: bool = False
    weight_g: int | None = None
    wall_mm: int | None = None
    vented: bool | None = None
    arrives_bisqued: bool = False
    maker_id: int | None = None
    set_name: str = ""
    belongs_with: str = ""

    def as_ware(self, clay: Clay) -> Ware:
        """The ware that the rules judge; its `clay` is the one of that name."""
        facts = ("build", "use", "height_mm", "width_mm", "depth_mm", "fragile", "burnished", "mended")
        told = {name: getattr(self, name) for name in (*facts, "weight_g", "wall_mm", "vented")}
        return Ware(clay=clay, **told)


@dataclass(frozen=True, slots=True)
class Lid:
    """A lid as high and as wide, in mm: a piece of its own, called `what`, that fires together with its pot."""

    what: str
    height_mm: int
    width_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Some pieces alike that are registered in one go, each with its `lid` where there is one."""

    one: NewPiece
    count: int = 1
    lid: Lid | None = None

    @property
    def pots(self) -> tuple[tuple[NewPiece, NewPiece | None], ...]:
        """Each piece with its lid; where there are several, each has its number behind its name."""
        numbers = [f" {number}" for number in range(1, self.count + 1)] if self.count > 1 else [""]
        return tuple((_called(self.one, self.one.what, number), self._lid(number)) for number in numbers)

    def _lid(self, number: str) -> NewPiece | None:
        """The lid is of its pot's clay, built like it and for the same use; its weight and its wall aren't known."""
        if self.lid is None:
            return None
        high, wide = self.lid.height_mm, self.lid.width_mm
        unlike = replace(self.one, weight_g=None, wall_mm=None, nests=False, belongs_with="")
        sized = replace(unlike, height_mm=high, width_mm=wide, depth_mm=wide)
        return _called(sized, self.lid.what, number)


def may_be_its_lid(pot: Piece, other: Piece) -> bool:
    """Whether a piece of its set is made as a lid is: next after its pot, of the same clay, of another size."""
    is_alike = (pot.height_mm, pot.width_mm, pot.depth_mm) == (other.height_mm, other.width_mm, other.depth_mm)
    return other.id == pot.id + 1 and other.clay == pot.clay and not is_alike


def _called(one: NewPiece, what: str, number: str) -> NewPiece:
    return replace(one, what=f"{what[: LONGEST_WHAT - len(number)].strip()}{number}")
