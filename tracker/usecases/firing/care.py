"""What goes into a kiln with care: a warning of the rules that somebody took on, or a clay that stays soft there."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from tracker.domain.findings import Finding, Level
from tracker.domain.firing.firings import Firing
from tracker.domain.firing.mixed_loads import matures_in, own_route
from tracker.domain.message import Fact, Message, _, together
from tracker.domain.pieces.piece import Piece
from tracker.domain.rules.engine import judge
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Route
from tracker.store.pieces.queries import PieceRow


def with_care(firing: Firing, own: Route, piece: Piece, warned: Iterable[Finding]) -> Message | None:
    """What the rules warn of, and that the clay of a piece of type `own` stays soft; None where it is neither."""
    whys = [one.message for one in warned]
    if not matures_in(firing, own, piece):
        words = _("{clay} matures at {low}. At {cone}, it stays soft.")
        facts: dict[str, Fact] = {"clay": piece.clay.name, "low": piece.clay.cone_low, "cone": firing.target}
        whys.append(Message("stays-soft-here", words, **facts))
    return Message("in-with-care", _("With care: {why}"), why=together(whys)) if whys else None


def cared_for(firing: Firing, rows: Iterable[PieceRow], catalog: Catalog, at: datetime) -> dict[str, Message]:
    """Which of these pieces are in a firing's kiln with care and why, by code or ticket number."""
    found = ((row.ref, _care(firing, row.piece.at(at), catalog)) for row in rows)
    return {ref: care for ref, care in found if care is not None}


def _care(firing: Firing, piece: Piece, catalog: Catalog) -> Message | None:
    own = own_route(firing, piece, catalog)
    if own is None:
        return None
    verdict = judge(piece, own.at(firing.target), catalog.practice, firing.kiln)
    return with_care(firing, own, piece, verdict.of(Level.WARN))
