"""What a forecast for a piece asks: the firings ahead, who waits in front of it, and how earlier firings went.

Each question costs the same with a million finished pieces: what is open is few, and of what is past only the last rows
are looked at.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from sqlalchemy import Row, case, func, select

from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.forecasts import Heating
from tracker.domain.firing.outlooks import FiringAhead
from tracker.domain.message import Message
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.kilns import PULLED_HOT
from tracker.store.connected import Asked
from tracker.store.mappers import reasons_in_plan
from tracker.store.tables import (
    IS_OPEN,
    caught,
    firings,
    leaving,
    loaded,
    outdoor_sessions,
    pieces,
    planned,
    results,
    routes,
    waiting,
)

_LAST_OF_KILN, _LAST_OF_ALL = 60, 200
"""How many of the last firings are looked through for those of one type, in one kiln or in all."""
_HEATINGS, _LOADS = 8, 5
"""How many of them a forecast rests on."""

_AHEAD = (
    select(
        firings,
        case((firings.c.session_id.is_(None), firings.c.planned_for), else_=outdoor_sessions.c.starts_at).label("day"),
        routes.c.kind,
    )
    .join(routes, routes.c.name == firings.c.route)
    .outerjoin(outdoor_sessions, outdoor_sessions.c.id == firings.c.session_id)
    .where(IS_OPEN)
    .order_by(firings.c.id)
)
_FREE = (
    select(pieces.c.id)
    .outerjoin(loaded, loaded.c.piece_id == pieces.c.id)
    .outerjoin(caught, caught.c.piece_id == pieces.c.id)
    .outerjoin(leaving, leaving.c.piece_id == pieces.c.id)
    .outerjoin(planned, planned.c.piece_id == pieces.c.id)
    .where(*(table.c.piece_id.is_(None) for table in (loaded, caught, leaving, planned)))
)
"""Pieces that are in no kiln and planned for no firing."""


class ForecastQueries(Asked):
    """What forecasts ask: `store.read.forecasts`."""

    def ahead(self) -> tuple[FiringAhead, ...]:
        """Every firing that has not been unloaded, in the order in which they were planned."""
        with self._connect() as connection:
            return tuple(map(_ahead_of, connection.execute(_AHEAD)))

    def line(self, route: str | None) -> Sequence[int]:
        """The numbers of the pieces that wait for a firing type and for no planned firing, the longest wait first.

        None is for the bisque, which greenware waits for in no queue.
        """
        if route is None:
            wanted = _FREE.where(pieces.c.stage == Stage.GREENWARE).order_by(pieces.c.since, pieces.c.id)
        else:
            of_route = _FREE.join(waiting, waiting.c.piece_id == pieces.c.id).where(
                pieces.c.stage == Stage.QUEUED, waiting.c.route == route
            )
            wanted = of_route.order_by(waiting.c.since, pieces.c.id)
        with self._connect() as connection:
            return tuple(connection.scalars(wanted))

    def planned_counts(self) -> dict[int, int]:
        """How many pieces are planned for each firing, by its number."""
        counted = select(planned.c.firing_id, func.count()).group_by(planned.c.firing_id)
        with self._connect() as connection:
            return {row[0]: row[1] for row in connection.execute(counted)}

    def heatings(self, kiln: str, route: str) -> tuple[Heating, ...]:
        """When the last firings of one type in a kiln came on, came off and were out, the newest first."""
        last = (
            select(firings)
            .where(firings.c.kiln == kiln)
            .order_by(firings.c.id.desc())
            .limit(_LAST_OF_KILN)
            .subquery("last")
        )
        done = select(last.c.lit_at, last.c.shut_at, last.c.unloaded_at).where(
            last.c.route == route, last.c.lit_at.is_not(None), last.c.unloaded_at.is_not(None)
        )
        with self._connect() as connection:
            rows = connection.execute(done.order_by(last.c.id.desc()).limit(_HEATINGS))
            return tuple(Heating(lit_at=lit, shut_at=shut, unloaded_at=out) for lit, shut, out in rows)

    def load_counts(self, names: Collection[str]) -> tuple[int, ...]:
        """How many pieces each of the last firings of these types held, the newest first."""
        last = select(firings).order_by(firings.c.id.desc()).limit(_LAST_OF_ALL).subquery("last")
        held = select(func.count()).where(results.c.firing_id == last.c.id).scalar_subquery()
        done = select(held).where(last.c.route.in_(names), last.c.lit_at.is_not(None), last.c.unloaded_at.is_not(None))
        with self._connect() as connection:
            return tuple(connection.scalars(done.order_by(last.c.id.desc()).limit(_LOADS)))

    def why_left_out(self, piece_id: int, firing_id: int) -> tuple[bool, Message | None]:
        """Whether a firing has a load plan, and why that left a piece out; None where it doesn't name the piece."""
        with self._connect() as connection:
            plan = connection.scalar(select(firings.c.plan).where(firings.c.id == firing_id))
        return plan is not None, dict(reasons_in_plan(plan)).get(piece_id)


def _ahead_of(row: Row[tuple[object, ...]]) -> FiringAhead:
    return FiringAhead(
        id=row.id,
        kiln=row.kiln,
        route=row.route,
        stage=FiringStage(row.stage),
        day=row.day,
        session_id=row.session_id,
        pulled_hot=row.kind in PULLED_HOT,
        lit_at=row.lit_at,
        shut_at=row.shut_at,
    )
