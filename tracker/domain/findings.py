"""What a rule has to say about a piece, and how much it weighs."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum


class Level(IntEnum):
    """How much a finding weighs; a verdict is its worst."""

    NOTE = 0
    WARN = 1
    ASK = 2
    REFUSE = 3

    @property
    def word(self) -> str:
        """The level in small letters, as files and pages say it."""
        return self.name.lower()


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a rule has to say about a piece: what is wrong, what would put it right, on what it rests."""

    rule: str
    level: Level
    says: str
    mend: str
    rests_on: str


@dataclass(frozen=True, slots=True)
class Leave:
    """The instructor's leave for one finding: it holds for that rule on that route while the sentence is the same."""

    route: str
    rule: str
    says: str
