"""The scans that were refused: kept for whoever scanned, on every device, until they are dealt with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.message import Choice, Message, _
from tracker.domain.pieces.history import Request
from tracker.domain.refusals import Refusal
from tracker.domain.studio.people import Right
from tracker.store.pieces.refused_scans import RefusedScan
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces.lookup import find_firing

LONGEST_REF = 60
"""Letters kept of something scanned that is no piece."""
TOO_LATE: Final = "scanned-too-late"
"""The code of what is said of a piece that was scanned for a kiln after its start."""


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
    return tuple(_as_of_now(store, one) for one in store.refused_scans.open_of(request.by.id))


def list_late(store: Store, firing_id: int) -> tuple[RefusedScan, ...]:
    """Whoever's scans came after the start of this firing and are still to deal with, newest first."""
    return tuple(_as_of_now(store, one) for one in store.refused_scans.open_for({"firing": str(firing_id)}))


def late_remedy(firing: Firing, ref: str) -> Message:
    """What to do about a piece that was scanned for a kiln after its start, as long as its firing is where it is."""
    return Message("find-late-piece", Choice("stage", _FIND_LATE), piece=ref, stage=str(firing.stage))


_FIND_LATE: Final = {
    **dict.fromkeys(
        (FiringStage.PLANNED.value, FiringStage.LOADING.value), _("Find {piece}. Before it goes in, scan it again.")
    ),
    FiringStage.FIRING.value: _(
        "Find {piece}. If it's in the kiln, keep the kiln shut, switch it off and tell the instructor."
    ),
    FiringStage.COOLING.value: _("Find {piece}. If it's in the kiln, keep the kiln shut and tell the instructor."),
    FiringStage.UNLOADED.value: _("Find {piece}. If it was in the kiln, tell the instructor."),
}
"""What to do about a piece that came too late: no kiln that is off is switched off again."""


def _as_of_now(store: Store, scan: RefusedScan) -> RefusedScan:
    """A scan that came too late tells what to do now, not what there was to do when the kiln was hot."""
    if scan.says.code != TOO_LATE:
        return scan
    return replace(scan, remedy=late_remedy(find_firing(store.read, int(scan.job["firing"])), scan.ref))


def deal_with(store: Store, request: Request, key: str) -> None:
    """Take one's own refused scan off the list."""
    store.refused_scans.done(request.by.id, key, request.at)
