"""What a change moves: a piece with its queue, its kiln and what is found against it."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.domain.findings import Finding, Level
from tracker.domain.firing.firings import Firing
from tracker.domain.message import Message
from tracker.store.pieces.queries import PieceRow


@dataclass(frozen=True, slots=True)
class Moved:
    """A piece that a change takes out of its queue or its kiln, and what is found against it.

    `queue` is the title of the firing type whose queue it leaves, empty for greenware; `kiln` is the kiln that it must
    be taken out of, empty where it is in none. In a hot kiln it stays: then `firing` is that kiln's, else None.
    """

    row: PieceRow
    findings: tuple[Finding, ...]
    queue: str = ""
    kiln: str = ""
    firing: Firing | None = None

    @property
    def why(self) -> Message:
        """What the worst finding says."""
        return self.findings[0].message

    @property
    def is_refused(self) -> bool:
        """Whether the rules refuse it where it is, so that nobody could allow it."""
        return self.findings[0].level is Level.REFUSE
