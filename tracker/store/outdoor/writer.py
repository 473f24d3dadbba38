"""The outdoor book: what one request writes about outdoor sessions, their rounds, their taps and what the fire did."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import insert, select, update

from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Message
from tracker.domain.outdoor.event_log import Tap
from tracker.domain.outdoor.results import Mark
from tracker.domain.outdoor.sessions import SessionFacts, SessionStage
from tracker.store.connected import Written
from tracker.store.mappers import left_out_text, session_row
from tracker.store.numbers import new_number
from tracker.store.tables import firings, marks, outdoor_sessions, taps


class OutdoorBook(Written):
    """The outdoor sessions, from inside one request's transaction, which happens `at` one moment."""

    def begin(self, facts: SessionFacts, stage: SessionStage) -> int:
        """Enter a session; gives its number."""
        done = self._connection.execute(
            insert(outdoor_sessions),
            {**session_row(facts), "stage": stage, "planned_at": self._request.at, "left_out": "[]"},
        )
        return new_number(done)

    def hold(self, session_id: int) -> None:
        """Keep others from changing this session until the end."""
        if self._connection.dialect.name != "sqlite":
            held = select(outdoor_sessions.c.id).where(outdoor_sessions.c.id == session_id)
            self._connection.execute(held.with_for_update())

    def tell(self, session_id: int, facts: SessionFacts) -> None:
        """Make these the facts of a session."""
        self._change(session_id, **session_row(facts))

    def move(self, session_id: int, stage: SessionStage, *, ended: bool = False) -> None:
        """Note where a session stands now."""
        self._change(session_id, stage=stage, **({"ended_at": self._request.at} if ended else {}))

    def weigh(self, session_id: int, fuel_after_kg: float | None) -> None:
        """Note what its fuel weighed afterwards; None is unknown."""
        self._change(session_id, fuel_after_kg=fuel_after_kg)

    def leave_out(self, session_id: int, left_out: Sequence[tuple[int, Message]]) -> None:
        """Make these the pieces that are in no round, each with the reason."""
        self._change(session_id, left_out=left_out_text(left_out))

    def add_round(self, session_id: int, kiln: str, route: str, heat: int, planned_for: datetime) -> int:
        """Enter a round that is planned, as a firing of its session; gives its number as a firing."""
        done = self._connection.execute(
            insert(firings),
            {
                "kiln": kiln,
                "route": route,
                "heat": heat,
                "is_bisque": False,
                "stage": FiringStage.PLANNED,
                "began_at": self._request.at,
                "planned_for": planned_for,
                "session_id": session_id,
            },
        )
        return new_number(done)

    def hear(self, session_id: int, tap: Tap) -> None:
        """Keep a tap as it came."""
        self._connection.execute(
            insert(taps),
            {
                "key": tap.key,
                "session_id": session_id,
                "firing_id": tap.firing_id,
                "piece_id": tap.piece_id,
                "did": tap.did,
                "value": tap.value,
                "at": tap.at,
                "came_at": self._request.at,
                "by_id": tap.by_id,
            },
        )

    def mark(self, firing_id: int, piece_id: int, mark: Mark) -> None:
        """Make this what the fire did to a piece."""
        values: dict[str, Any] = {
            "air": mark.air,
            "smoke": mark.smoke,
            "open_s": mark.open_s,
            "color": mark.color,
        }
        there = (marks.c.firing_id == firing_id) & (marks.c.piece_id == piece_id)
        if not self._connection.execute(update(marks).where(there).values(**values)).rowcount:
            self._connection.execute(insert(marks), {"firing_id": firing_id, "piece_id": piece_id, **values})

    def _change(self, session_id: int, **values: Any) -> None:  # noqa: ANN401 -- the columns are of many kinds
        self._connection.execute(update(outdoor_sessions).where(outdoor_sessions.c.id == session_id).values(**values))
