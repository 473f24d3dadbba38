"""Sets that come apart: pieces that no firing takes together, and those left in a clay that was wrong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tracker.domain.findings import Level
from tracker.domain.firing.outlooks import STILL_TO_FIRE
from tracker.domain.message import Message, Plural
from tracker.domain.pieces.piece import Piece, Stage, StepName
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.people import Person, Right
from tracker.store.pieces.queries import PiecePage, PieceRow
from tracker.usecases.pieces.pieces import prospects
from tracker.usecases.pieces.sets import mates_named


def fires_apart(page: PiecePage, catalog: Catalog) -> Message | None:
    """Which pieces of its set, still to be fired, no firing suits together with it; None where there are none."""
    if page.piece.stage not in STILL_TO_FIRE:
        return None
    own = _levels(page.piece, catalog)
    to_fire = [row for row in page.mates if row.piece.stage in STILL_TO_FIRE]
    if not (apart := [row for row in to_fire if _need_different_heat(own, _levels(row.piece, catalog))]):
        return None
    words = Plural(
        "mates",
        "No firing suits both this piece and its {mates}. Check their clay and glaze.",
        "No firing suits both this piece and any of its {mates}. Check their clay and glaze.",
    )
    return Message("set-fires-apart", words, mates=mates_named(apart))


def _levels(piece: Piece, catalog: Catalog) -> Mapping[str, Level]:
    """The worst that stands against each firing of a piece; a question about it is no matter of its firing."""
    return {route.name: verdict.level for route, verdict in prospects(catalog, replace(piece, has_question=False))}


def _need_different_heat(own: Mapping[str, Level], other: Mapping[str, Level]) -> bool:
    """Whether more stands against each firing of both than against the best of each, or none of its own is left."""
    both = min((max(level, other[name]) for name, level in own.items() if name in other), default=Level.REFUSE)
    alone, theirs = (min(levels.values(), default=Level.REFUSE) for levels in (own, other))
    return both > max(alone, theirs) or (both is Level.REFUSE and alone < both)


def left_in_the_old_clay(page: PiecePage, by: Person) -> tuple[PieceRow, ...]:
    """The pieces of its set of the clay that was on record for this one until just now, that `by` may correct too."""
    last = page.history[-1]
    changed = last.facts.get("changes", ()) if last.step is StepName.SET_RIGHT else ()
    many = changed if isinstance(changed, tuple) else ()
    was = {one[1] for one in many if isinstance(one, tuple) and one[0] == "clay"}
    return tuple(row for row in page.mates if row.piece.clay.name in was and _may_correct(row, by))


def _may_correct(row: PieceRow, by: Person) -> bool:
    if row.piece.stage not in STILL_TO_FIRE:
        return False
    is_own = by.id == row.piece.maker_id and row.piece.stage is Stage.GREENWARE and row.firing_id is None
    return is_own or by.may(Right.EDIT)
