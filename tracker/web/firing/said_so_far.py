"""What was said of the pieces of a firing that is being unloaded, as the fields of the page for unloading."""

from __future__ import annotations

from collections.abc import Mapping

from werkzeug.datastructures import MultiDict

from tracker.domain.firing.unloading import TakenOut
from tracker.forms.firing.said_forms import ABSENT
from tracker.store.firing.queries import FiringPage

_FIELDS = ("outcome", "flaw", "outside", "clay_note", "glaze_note", "place")


def with_said(sent: MultiDict[str, str], page: FiringPage, so_far: Mapping[int, TakenOut]) -> MultiDict[str, str]:
    """Fill in `sent` what was saved of each piece of which it says nothing itself; gives it back."""
    for row in page.pieces:
        said = so_far.get(row.piece.id)
        if said is None or sent.get(f"outcome-{row.ref}") or f"flaw-{row.ref}" in sent:
            continue
        for name, value in _fields(said):
            sent.add(f"{name}-{row.ref}", value)
    return sent


def fields_of(sent: MultiDict[str, str], ref: str) -> dict[str, list[str]]:
    """The fields of one piece, by their names without the piece's."""
    return {name: sent.getlist(f"{name}-{ref}") for name in _FIELDS if f"{name}-{ref}" in sent}


def _fields(said: TakenOut) -> list[tuple[str, str]]:
    came = said.outcome
    if came is None:
        return [("outcome", ABSENT)]
    picked = "broke" if came.broke else "" if came.flaws else "good"
    texts = (("outcome", picked), ("clay_note", came.clay_note), ("glaze_note", came.glaze_note), ("place", said.place))
    flaws = [("flaw", str(flaw)) for flaw in came.flaws]
    outside = [("outside", "yes")] if came.outside_only else []
    return [*((name, text) for name, text in texts if text), *flaws, *outside]
