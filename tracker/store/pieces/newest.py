"""A maker's pieces by number, the newest first, found without looking at all that they ever made."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Select, select, union_all

from tracker.domain.pieces.piece import Stage
from tracker.store.tables import pieces

_FINISHED = (Stage.CLAIMED, Stage.LOST)
_UNDER_WAY = tuple(stage for stage in Stage if stage not in _FINISHED)
_MOST_UNDER_WAY = 500
_MOST_SEARCHED = 500
"""So many claimed pieces are searched by name, and so many lost ones; an older one is found by its code."""


def under_way(connection: Connection, maker_id: int) -> Sequence[int]:
    """The numbers of a maker's pieces that are still in the studio, those that changed last first."""
    own = select(pieces.c.id).where(pieces.c.maker_id == maker_id, pieces.c.stage.in_(_UNDER_WAY))
    return connection.scalars(own.order_by(pieces.c.since.desc(), pieces.c.id).limit(_MOST_UNDER_WAY)).all()


def finished(connection: Connection, maker_id: int, text: str = "", *, skip: int = 0, limit: int) -> Sequence[int]:
    """The numbers of a maker's claimed and lost pieces whose name or code has `text` in it; `skip` are left out."""
    of_each = _MOST_SEARCHED if text else skip + limit
    newest = union_all(*(_newest(maker_id, stage, of_each) for stage in _FINISHED)).subquery("newest")
    wanted = select(newest.c.id).order_by(newest.c.since.desc(), newest.c.id).offset(skip).limit(limit)
    if text:
        named = [newest.c[name].icontains(text, autoescape=True) for name in ("what", "code")]
        wanted = wanted.where(named[0] | named[1])
    return connection.scalars(wanted).all()


def _newest(maker_id: int, stage: Stage, most: int) -> Select[Any]:
    """The pieces that came last to a stage, which an index of maker, stage and moment gives one after the other."""
    own = select(pieces.c.id, pieces.c.since, pieces.c.what, pieces.c.code)
    own = own.where(pieces.c.maker_id == maker_id, pieces.c.stage == stage)
    return select(own.order_by(pieces.c.since.desc(), pieces.c.id).limit(most).subquery())
