"""Which pieces need somebody to look at them: on a shelf for too long, or refused by every firing."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta

from tracker.domain.findings import Finding, Level, Verdict
from tracker.domain.pieces.news import REMINDED_AT
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.studio.catalog import Catalog
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.usecases.pieces.pieces import prospects

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


def late_by(catalog: Catalog, now: datetime) -> tuple[dict[Stage, datetime], set[str]]:
    """By what a piece is late for its maker: the moments of the stages at which they can do something, and the carts.

    What is on a cart waits for staff.
    """
    before = {stage: then for stage, then in too_long_before(now).items() if stage in REMINDED_AT}
    return before, {route.shelf for route in catalog.routes.values() if route.shelf}


def refused_everywhere(reader: Queries, now: datetime) -> tuple[tuple[PieceRow, Finding], ...]:
    """Glazed pieces that every firing of the studio refuses, each with what stands against it where it is to be fired.

    That is in the kiln that it must leave, the firing its maker wished for, or the queue that it left last. Where there
    is none of them, it is the kindest firing.
    """
    catalog = reader.catalog()
    found = []
    for row in reader.pieces.standing(Stage.GLAZED, limit=_MOST_JUDGED):
        verdicts = {route.name: verdict for route, verdict in prospects(catalog, row.piece.at(now))}
        kindest = min(verdicts.values(), key=Verdict.hardness, default=None)
        if kindest is not None and kindest.level is Level.REFUSE:
            meant = verdicts.get(_meant_for(reader, row), kindest)
            against = _why_it_must_leave(reader, row) or meant.of(Level.REFUSE)
            found.append((row, against[0]))
    return tuple(found)


def _why_it_must_leave(reader: Queries, row: PieceRow) -> tuple[Finding, ...]:
    """What stands against a piece in the kiln that it must leave, the worst first; nothing where it is in none."""
    leaving = reader.firings.leaving(piece_id=row.piece.id) if row.leaving_id is not None else ()
    return leaving[0].findings if leaving else ()


def _meant_for(reader: Queries, row: PieceRow) -> str:
    """The firing type that a piece is wished for, or whose queue it left last; empty for none."""
    if row.wish is not None:
        return row.wish.route
    last = reader.pieces.page(row.piece.id).history[-1]
    return last.route or "" if last.step is StepName.PULL_BACK else ""
