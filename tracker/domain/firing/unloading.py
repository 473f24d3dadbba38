"""What is said of one piece while its kiln is being unloaded."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.domain.pieces.outcomes import Outcome


@dataclass(frozen=True, slots=True)
class TakenOut:
    """What came of a piece and the shelf it was put on; no outcome says that it wasn't in the kiln."""

    outcome: Outcome | None
    place: str = ""
