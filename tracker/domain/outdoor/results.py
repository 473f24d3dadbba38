"""What the fire did to a piece: the air and the smoke it had, how soon it was shut in, and the color that came."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Air(StrEnum):
    """How the flame was kept while the piece was in it."""

    MORE_FUEL = "more fuel"
    EVEN = "even"
    MORE_AIR = "more air"


class Smoke(StrEnum):
    """How much the piece had of it afterwards."""

    NONE = "none"
    LIGHT = "light"
    HEAVY = "heavy"


LONGEST_COLOR = 120
"""Letters in which a color is told."""


@dataclass(frozen=True, slots=True)
class Mark:
    """What is known of one piece in one fire; None is unknown. `open_s` are seconds from the kiln to the closed lid."""

    air: Air | None = None
    smoke: Smoke | None = None
    open_s: int | None = None
    color: str = ""

    @property
    def says_something(self) -> bool:
        """Whether anybody has told anything of it."""
        return bool(self.air or self.smoke or self.color)
