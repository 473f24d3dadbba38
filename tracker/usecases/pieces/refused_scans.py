"""The scans that were refused: kept for whoever scanned, on every device, until they are dealt with."""

from __future__ import annotations

from collections.abc import Mapping

from tracker.domain.message import Message
from tracker.domain.pieces.history import Request
from tracker.domain.refusals import Refusal
from tracker.domain.studio.people import Right
from tracker.store.pieces.refused_scans import RefusedScan
from tracker.store.unit_of_work import Store

LONGEST_REF = 60
"""Letters kept of something scanned that is no piece."""


def keep_refused(
    store: Store,
    request: Request,
    ref: str,
    job: Mapping[str, str],
    title: Message,
    refusal: Refusal,
    remedy: Message | None,
) -> None:
    """Put a scan for `job` (the fields it was sent with) that was refused on its person's list, with why."""
    request.by.must_be_allowed(Right.MOVE)
    store.refused_scans.keep(request, ref[:LONGEST_REF], job, title, refusal.message, remedy)


def list_refused(store: Store, request: Request) -> tuple[RefusedScan, ...]:
    """What this person has still to deal with, newest first."""
    return store.refused_scans.open_of(request.by.id)


def list_late(store: Store, firing_id: int) -> tuple[RefusedScan, ...]:
    """Whoever's scans came after the start of this firing and are still to deal with, newest first."""
    return store.refused_scans.open_for({"firing": str(firing_id)})


def deal_with(store: Store, request: Request, key: str) -> None:
    """Take one's own refused scan off the list."""
    store.refused_scans.done(request.by.id, key, request.at)
