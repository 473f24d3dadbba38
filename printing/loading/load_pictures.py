"""What a kiln's load looks like, in plain texts and millimetres, and how it is said to those who cannot see it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from printing.lettering import lettered
from printing.shapes import Face

Post = tuple[float, float, float]
"""Where a post stands, from the shelf's centre, and its radius, in mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Footprint:
    """Round or rectangular, in mm; anything but one of the two is a ValueError."""

    round_mm: float | None = None
    width_mm: float | None = None
    depth_mm: float | None = None

    def __post_init__(self) -> None:
        """Refuse what has no outline, two, or one that nobody could draw."""
        sides = (self.width_mm, self.depth_mm)
        given = [side for side in (self.round_mm, *sides) if side is not None]
        is_one = (None not in sides) if self.round_mm is None else sides == (None, None)
        if not is_one or not all(math.isfinite(side) and side > 0 for side in given):
            raise ValueError("A footprint has either one diameter or a width and a depth, in mm above nothing.")

    @property
    def across(self) -> float:
        """From left to right."""
        return self.round_mm or self.width_mm or 0.0

    @property
    def deep(self) -> float:
        """From front to back."""
        return self.round_mm or self.depth_mm or 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfSeen(Footprint):
    """A kiln's shelf; of `halves`, it is parted from front to back."""

    halves: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceSeen(Footprint):
    """A piece in its place: `x_mm` to the right and `y_mm` to the back of the shelf's centre, its sides as it stands.

    `label` is its code or slip; `is_in` tells that it was scanned in already.
    """

    label: str
    x_mm: float
    y_mm: float
    height_mm: float
    with_care: bool = False
    is_in: bool = False

    @property
    def code(self) -> str:
        """The label in the letters a code can have."""
        return lettered(self.label, Face.CODE) or "no code"


@dataclass(frozen=True, slots=True)
class LevelSeen:
    """One shelf of a load: its pieces, and the posts on it that carry the next shelf (0 mm where there is none)."""

    post_mm: float
    pieces: tuple[PieceSeen, ...]
    posts: tuple[Post, ...] = ()


@dataclass(frozen=True, slots=True)
class LoadSeen:
    """A loaded kiln: the levels from the lowest up, shelves `thickness_mm` thick, `height_mm` from floor to roof."""

    kiln: str
    shelf: ShelfSeen
    levels: tuple[LevelSeen, ...]
    thickness_mm: float
    height_mm: float


def shelf_words(load: LoadSeen, number: int) -> str:
    """What the picture of shelf `number` (1 is the lowest) says, for those who cannot see it."""
    level = load.levels[number - 1]
    there = ", ".join(f"{piece.label} {where(piece, load.shelf)}{_aside(piece)}" for piece in in_order(level))
    return f"{heading(load, number)}. {facts(level)}. {there}." if there else f"{heading(load, number)}. Empty."


def _aside(piece: PieceSeen) -> str:
    said = [said for is_so, said in ((piece.with_care, "with care"), (piece.is_in, "in")) if is_so]
    return f" ({', '.join(said)})" if said else ""


def heading(load: LoadSeen, number: int) -> str:
    """The name of shelf `number`."""
    last = len(load.levels)
    place = ", lowest" if number == 1 < last else ", top" if number == last > 1 else ""
    return f"Shelf {number} of {last}{place}"


def facts(level: LevelSeen) -> str:
    """How many pieces stand on a shelf and how high its posts are."""
    count = len(level.pieces)
    posts = f", posts {level.post_mm:g} mm" if level.post_mm else ""
    return f"{count} {'piece' if count == 1 else 'pieces'}{posts}"


def where(piece: PieceSeen, shelf: ShelfSeen) -> str:
    """The part of the shelf a piece stands on, in words."""
    third_x, third_y = piece.x_mm / (shelf.across / 6), piece.y_mm / (shelf.deep / 6)
    side = "left" if third_x < -1 else "right" if third_x > 1 else ""
    row = "front" if third_y < -1 else "back" if third_y > 1 else ""
    return f"{row} {side}".strip() or "middle"


def in_order(level: LevelSeen) -> tuple[PieceSeen, ...]:
    """The pieces of a shelf by their labels."""
    return tuple(sorted(level.pieces, key=lambda piece: (piece.label, piece.x_mm, piece.y_mm)))
