"""A piece that nobody can name: what can be seen of it, and how well a known piece would answer to that."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import timedelta

from tracker.domain.pieces.piece import Build, Stage
from tracker.domain.studio.materials import ClayKind

TOLERANCE_PCT = 15
"""How far a measure may be off: clay shrinks by an eighth from wet to fired (common practice), and rulers slip."""

MOST_SHOWN = 60
"""How many pieces are laid side by side."""

LATELY = timedelta(days=90)
"""How far back what is missing, and on request what was taken home, is looked through."""

_ENOUGH_TO_FORGIVE_ONE = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """What somebody sees of a piece, as far as they can tell; None and empty texts are what they cannot.

    Lengths in mm: `height_mm`, and `width_mm` across its widest. `clay` is a name; where only the color shows, it is
    `clay_kind`. `glaze` is a name, or `BARE`. `place` is a part of what its shelf is called.
    """

    height_mm: int | None = None
    width_mm: int | None = None
    clay: str = ""
    clay_kind: ClayKind | None = None
    glaze: str = ""
    stage: Stage | None = None
    build: Build | None = None
    place: str = ""
    taken_home: bool = False

    @property
    def says_anything(self) -> bool:
        """Whether there is anything to look for."""
        return any(getattr(self, one.name) for one in fields(self) if one.name != "taken_home")

    @property
    def may_miss(self) -> int:
        """How many traits a piece may lack and still be shown: one of three and more, because eyes err.

        Its measures are not among them: they have their tolerance.
        """
        return 1 if self.traits >= _ENOUGH_TO_FORGIVE_ONE else 0

    @property
    def traits(self) -> int:
        """How many things are told of it beside its measures."""
        told = (self.clay or self.clay_kind, self.glaze, self.stage, self.build, self.place)
        return sum(one is not None and one != "" for one in told)


BARE = "-"
"""Stands for a glaze where a piece wears none; no glaze is called that."""


def bounds(length_mm: int) -> tuple[int, int]:
    """The least and the most that a piece may be known to measure when it is seen to measure `length_mm`."""
    spread = length_mm * TOLERANCE_PCT
    return -(-(length_mm * 100 - spread) // 100), (length_mm * 100 + spread) // 100
