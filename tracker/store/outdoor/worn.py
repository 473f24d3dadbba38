"""Which glazes pieces wore in a fire: what went on later, for another firing, isn't what that fire fired."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Row, and_, or_, select

from tracker.domain.pieces.layers_then import OF_LAYERS, worn_before
from tracker.domain.pieces.piece import StepName
from tracker.store.mappers import line_facts_of
from tracker.store.numbers import AT_ONCE
from tracker.store.tables import glazes, history, layers

_GO_BACK = (StepName.FIRE_AGAIN, StepName.CORRECT)
"""The steps after which layers may go on what has been fired."""

FiringAndPiece = tuple[int, int]


Worn = tuple[tuple[str, str], ...]
"""The names of glazes with their zones, in the order in which they went on."""


def worn_in(connection: Connection, fired: Sequence[FiringAndPiece]) -> Mapping[FiringAndPiece, Worn]:
    """What each piece wore in its firing."""
    ids = sorted({piece_id for _firing, piece_id in fired})
    worn: dict[int, list[tuple[str, str]]] = {}
    lines: dict[int, list[Row[Any]]] = {}
    for start in range(0, len(ids), AT_ONCE):
        some = ids[start : start + AT_ONCE]
        on = (
            select(layers.c.piece_id, glazes.c.name, layers.c.zone)
            .join(glazes, glazes.c.id == layers.c.glaze_id)
            .where(layers.c.piece_id.in_(some))
            .order_by(layers.c.id)
        )
        for piece_id, name, zone in connection.execute(on):
            worn.setdefault(piece_id, []).append((name, zone))
        for line in connection.execute(_of_those_fired_again(some)):
            lines.setdefault(line.piece_id, []).append(line)
    return {
        (firing_id, piece_id): _then(worn.get(piece_id, []), lines.get(piece_id, ()), firing_id)
        for firing_id, piece_id in fired
    }


def _of_those_fired_again(ids: Sequence[int]) -> Any:  # noqa: ANN401 -- a statement
    """What was done with the layers of those pieces that got another firing, and the fires that they came out of."""
    again = select(history.c.piece_id).where(history.c.piece_id.in_(ids), history.c.step.in_(_GO_BACK))
    steps = or_(
        history.c.step.in_(sorted(OF_LAYERS)), and_(history.c.step == StepName.FIRE, history.c.firing_id.is_not(None))
    )
    return select(history).where(history.c.piece_id.in_(again), steps).order_by(history.c.id)


def _then(worn: Sequence[tuple[str, str]], lines: Sequence[Row[Any]], firing_id: int) -> Worn:
    since: list[Row[Any]] | None = None
    for line in lines:
        if line.step == StepName.FIRE and line.firing_id == firing_id:
            since = []
        elif since is not None and line.step in OF_LAYERS:
            since.append(line)
    return tuple(worn_before(worn, [(StepName(line.step), line_facts_of(line)) for line in since or ()]))
