"""Which pieces need somebody to look at them: on a shelf for too long, or refused by every firing."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from tracker.domain.findings import Level, Verdict
from tracker.domain.pieces.piece import Stage
from tracker.usecases.pieces.pieces import prospects

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from tracker.domain.findings import Finding
    from tracker.store.pieces.queries import PieceRow
    from tracker.store.queries import Queries

TOO_LONG: Mapping[Stage, timedelta] = {
    Stage.GREENWARE: timedelta(days=28),
    Stage.BISQUED: timedelta(days=42),
    Stage.WAXED: timedelta(days=14),
    Stage.GLAZED: timedelta(days=10),
    Stage.QUEUED: timedelta(days=28),
    Stage.FIRED: timedelta(days=28),
}
"""How long a piece may be at each stage before somebody looks after it (common practice of a weekly class)."""

_MOST_JUDGED = 60
"""How many glazed pieces are judged at once for Today, the longest waiting first."""


def too_long_before(now: datetime) -> dict[Stage, datetime]:
    """For each stage the moment before which a piece came there too long ago."""
    return {stage: now - longest for stage, longest in TOO_LONG.items()}


def refused_everywhere(reader: Queries, now: datetime) -> tuple[tuple[PieceRow, Finding], ...]:
    """Glazed pieces that every firing of the studio refuses, each with what stands against it in the kindest one."""
    catalog = reader.catalog()
    found = []
    for row in reader.pieces.standing(Stage.GLAZED, limit=_MOST_JUDGED):
        verdicts = [verdict for _route, verdict in prospects(catalog, row.piece.at(now))]
        kindest = min(verdicts, key=Verdict.hardness, default=None)
        if kindest is not None and kindest.level is Level.REFUSE:
            found.append((row, kindest.of(Level.REFUSE)[0]))
    return tuple(found)
