"""What a kiln's load looks like, in plain texts and millimetres."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

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

    `label` is its code or slip; `is_in` tells that it was scanned in already. One in or on another piece begins
    `over_mm` over the shelf; `below` is that one's label, and `resting` says so ("in W11"). A kiln cookie reaches out
    from under it by `cookie_mm`, and is counted with its sides and its height.
    """

    label: str
    x_mm: float
    y_mm: float
    height_mm: float
    with_care: bool = False
    is_in: bool = False
    over_mm: float = 0.0
    cookie_mm: float = 0.0
    below: str = ""
    resting: str = ""

    @property
    def top_mm(self) -> float:
        """How high over the shelf it ends."""
        return self.over_mm + self.height_mm

    @property
    def said(self) -> str:
        """What a list says of it: its code, and what it is in or on."""
        return f"{self.code} {lettered(self.resting, Face.CODE)}".strip()

    @property
    def code(self) -> str:
        """The label in the letters a code can have."""
        return lettered(self.label, Face.CODE) or "no code"


@dataclass(frozen=True, slots=True)
class LevelSeen:
    """One shelf of a load: its pieces, and the posts on it that carry the next shelf (0 mm where there is none).

    `name` is its heading, `facts` how much stands on it, `length` that of its posts.
    """

    post_mm: float
    pieces: tuple[PieceSeen, ...]
    posts: tuple[Post, ...] = ()
    name: str = ""
    facts: str = ""
    length: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadWords:
    """What a load's pictures say by themselves; `free` and `too_high` may have a place for {height} in mm.

    `parts` are the names of a shelf's parts in their order.
    """

    front: str
    from_the_front: str
    is_in: str
    to_come: str
    with_care: str
    post: str
    nested: str
    on_cookie: str
    free: str
    too_high: str
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LoadSeen:
    """A loaded kiln: the levels from the lowest up, shelves `thickness_mm` thick, `height_mm` from floor to roof."""

    kiln: str
    shelf: ShelfSeen
    levels: tuple[LevelSeen, ...]
    thickness_mm: float
    height_mm: float
    said: LoadWords


class Part(Enum):
    """A part of a shelf as one names it, standing before the kiln."""

    FRONT_LEFT = "front left"
    FRONT = "front"
    FRONT_RIGHT = "front right"
    LEFT = "left"
    MIDDLE = "middle"
    RIGHT = "right"
    BACK_LEFT = "back left"
    BACK = "back"
    BACK_RIGHT = "back right"


def where(piece: PieceSeen, shelf: ShelfSeen) -> Part:
    """The part of the shelf a piece stands on: of nine alike."""
    third_x, third_y = piece.x_mm / (shelf.across / 6), piece.y_mm / (shelf.deep / 6)
    column = 0 if third_x < -1 else 2 if third_x > 1 else 1
    row = 0 if third_y < -1 else 2 if third_y > 1 else 1
    return tuple(Part)[3 * row + column]


def place_of(piece: PieceSeen, load: LoadSeen) -> str:
    """The part of its shelf a piece stands on, as the load's words call it."""
    return dict(zip(Part, load.said.parts, strict=True))[where(piece, load.shelf)]


def piles(level: LevelSeen) -> tuple[tuple[PieceSeen, ...], ...]:
    """The pieces of a shelf by the places that they share, each from the shelf up, in the order of their labels."""
    by_label = sorted(level.pieces, key=lambda piece: (piece.label, piece.x_mm, piece.y_mm))
    shared = {piece.below: piece for piece in by_label if piece.below}
    there = {piece.label for piece in by_label}
    return tuple(tuple(_upward(piece, shared)) for piece in by_label if not piece.below or piece.below not in there)


def _upward(piece: PieceSeen, shared: dict[str, PieceSeen]) -> Iterator[PieceSeen]:
    """A piece and all that is in or on it."""
    yield piece
    if (above := shared.get(piece.label)) is not None:
        yield from _upward(above, shared)


def in_order(level: LevelSeen) -> tuple[PieceSeen, ...]:
    """The pieces of a shelf by their labels, each followed by what is in or on it."""
    return tuple(piece for pile in piles(level) for piece in pile)
