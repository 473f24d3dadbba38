"""The kiln book: what one request writes about firings, their plans, their logs and what they cost."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import bindparam, delete, insert, select, text, update

from tracker.domain.cones import Cone
from tracker.domain.findings import Finding
from tracker.domain.firing.firings import Caught, Firing, FiringStage, FiringStep, KeptPlan, Leaving
from tracker.domain.firing.unloading import TakenOut
from tracker.domain.message import Message
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Piece
from tracker.domain.studio.kilns import RouteKind
from tracker.store.connected import Written
from tracker.store.mappers import findings_text, outcome_row, plan_text
from tracker.store.messages import plain_of
from tracker.store.numbers import new_number
from tracker.store.tables import (
    caught,
    firing_corrections,
    firings,
    leaving,
    loaded,
    planned,
    readings,
    results,
    unloading,
    waiting,
    witnesses,
)

_WHEN = {
    FiringStep.LOAD: "began_at",
    FiringStep.LIGHT: "lit_at",
    FiringStep.SHUT_OFF: "shut_at",
    FiringStep.UNLOAD: "unloaded_at",
    FiringStep.CALL_OFF: "unloaded_at",
}
"""The column in which the moment of a step is kept."""
_UNDONE = {
    FiringStep.OPEN_AGAIN: ("lit_at", "shut_at"),
    FiringStep.STILL_ON: ("shut_at",),
    FiringStep.TAKE_UP: ("unloaded_at",),
}
"""The columns in which the moments of steps were kept that turn out never to have been."""


CORRECTED = "corrected"
"""Where the house keeps how often something of a fire that is over was corrected."""
_CORRECTED = text(
    "INSERT INTO house (name, value) VALUES (:name, '1') "
    "ON CONFLICT (name) DO UPDATE SET value = CAST(CAST(house.value AS INTEGER) + 1 AS TEXT)"
)


class KilnBook(Written):
    """The firings, from inside one request's transaction, which happens `at` one moment."""

    # ---- a firing's life -----------------------------------------------------------------------------------------

    def begin(
        self,
        kiln: str,
        route: str,
        heat: int,
        *,
        is_bisque: bool,
        stage: FiringStage,
        planned_for: datetime | None = None,
    ) -> int:
        """Enter a firing that is planned or being loaded; gives its number. `heat` is the rank of its target cone."""
        done = self._connection.execute(
            insert(firings),
            {
                "kiln": kiln,
                "route": route,
                "heat": heat,
                "is_bisque": is_bisque,
                "stage": stage,
                "began_at": self._request.at,
                "planned_for": planned_for,
            },
        )
        return new_number(done)

    def hold(self, firing_id: int) -> None:
        """Keep others from changing this firing until the end."""
        if self._connection.dialect.name != "sqlite":
            self._connection.execute(select(firings.c.id).where(firings.c.id == firing_id).with_for_update())

    def move(self, firing_id: int, step: FiringStep, stage: FiringStage, *, at: datetime | None = None) -> None:
        """Note that a firing took a step, now or `at` another time, and where it stands now."""
        times: dict[str, Any] = dict.fromkeys(_UNDONE.get(step, ()))
        if step in _WHEN:
            times[_WHEN[step]] = at or self._request.at
        self._change(firing_id, stage=stage, **times)

    def _change(self, firing_id: int, **values: Any) -> None:  # noqa: ANN401 -- the columns are of many kinds
        self._connection.execute(update(firings).where(firings.c.id == firing_id).values(**values))

    # ---- what is to go in, and what is in --------------------------------------------------------------------------

    def plan(self, firing_id: int, piece_ids: Sequence[int], plan: KeptPlan | None) -> None:
        """Make these the pieces meant for a firing and not in it yet, in this order, with a load plan or without."""
        self._connection.execute(delete(planned).where(planned.c.firing_id == firing_id))
        if piece_ids:
            rows = [{"piece_id": one, "firing_id": firing_id, "turn": turn} for turn, one in enumerate(piece_ids)]
            self._connection.execute(insert(planned), rows)
        self._change(firing_id, plan=plan_text(plan))

    def leave_plan(self, piece_ids: Collection[int]) -> None:
        """Take pieces out of whatever plan they are in."""
        self._connection.execute(delete(planned).where(planned.c.piece_id.in_(piece_ids)))

    def forget_plan(self, firing_id: int) -> None:
        """Let go of every piece that was only planned for a firing."""
        self._connection.execute(delete(planned).where(planned.c.firing_id == firing_id))

    def put_in(self, firing: Firing, piece: Piece, *, since: datetime | None = None) -> None:
        """Note that a piece is in a firing's kiln, from its queue or as greenware, now or `since` before."""
        self._connection.execute(
            insert(loaded),
            {
                "piece_id": piece.id,
                "ceiling": piece.ceiling.rank,
                "outdoor_only": piece.is_outdoor_only,
                "firing_id": firing.id,
                "route": firing.route.name,
                "heat": firing.target.rank,
                "is_bisque": firing.route.kind is RouteKind.BISQUE,
                "takes_outdoor": firing.route.takes_outdoor_glaze,
                "queue_route": piece.route,
                "at": since or self._request.at,
            },
        )

    def take_out(self, firing_id: int, piece_ids: Collection[int]) -> None:
        """Note that pieces no longer stand in a firing's kiln."""
        self._connection.execute(
            delete(loaded).where(loaded.c.firing_id == firing_id, loaded.c.piece_id.in_(piece_ids)),
        )

    def must_leave(self, one: Leaving) -> None:
        """Note that a piece no longer counts as loaded, but is in that kiln until a person confirms that it is out."""
        self.take_out(one.firing_id, [one.piece_id])
        self._connection.execute(
            insert(leaving),
            {
                "piece_id": one.piece_id,
                "firing_id": one.firing_id,
                "since": self._request.at,
                "findings": findings_text(one.findings),
                "version": one.version,
                "queue_route": one.queue_route,
                "waiting_since": one.waiting_since,
                "accepted": json.dumps(one.accepted),
                "question_id": one.question_id,
            },
        )

    def must_leave_no_more(self, piece_id: int) -> None:
        """Note that a piece is out of the kiln that it had to leave, or may stay in it after all.

        The one is in its history by then, the other in that kiln's load; else the database refuses.
        """
        self._connection.execute(delete(leaving).where(leaving.c.piece_id == piece_id))

    def loaded_at(self, piece_id: int) -> datetime:
        """When a piece that counts as loaded went into its kiln."""
        at: datetime = self._connection.execute(select(loaded.c.at).where(loaded.c.piece_id == piece_id)).scalar_one()
        return at

    def catch(self, one: Caught) -> None:
        """Note that a piece is in a hot kiln that is wrong for it: it waits nowhere and counts as loaded nowhere."""
        self.take_out(one.firing_id, [one.piece_id])
        self._connection.execute(delete(waiting).where(waiting.c.piece_id == one.piece_id))
        self._connection.execute(
            insert(caught),
            {
                "piece_id": one.piece_id,
                "firing_id": one.firing_id,
                "since": self._request.at,
                "findings": findings_text(one.findings),
                "loaded_at": one.loaded_at,
                "queue_route": one.queue_route,
                "waiting_since": one.waiting_since,
                "accepted": json.dumps(one.accepted),
            },
        )

    def expect(self, piece_id: int, findings: Sequence[Finding]) -> None:
        """Note what is to be expected now of a piece in a hot kiln that is wrong for it."""
        what = {"findings": findings_text(findings)}
        self._connection.execute(update(caught).where(caught.c.piece_id == piece_id).values(**what))

    def caught_no_more(self, piece_id: int) -> None:
        """Note that a piece came out of the hot kiln that was wrong for it, never was in it, or is right there."""
        self._connection.execute(delete(caught).where(caught.c.piece_id == piece_id))

    def keep_taken_out(self, firing_id: int, piece_id: int, said: TakenOut | None, by_id: int) -> None:
        """Note what is said of a piece while its kiln is being unloaded; None takes back what was said."""
        of_piece = (unloading.c.firing_id == firing_id, unloading.c.piece_id == piece_id)
        self._connection.execute(delete(unloading).where(*of_piece))
        if said is None:
            return
        row = {
            **outcome_row(said.outcome or Outcome.GOOD),
            "place": said.place,
            "was_absent": said.outcome is None,
            "by_id": by_id,
            "at": self._request.at,
        }
        if said.outcome is None:
            row["outcome"] = None
        self._connection.execute(insert(unloading), {"firing_id": firing_id, "piece_id": piece_id, **row})

    def end_unloading(self, firing_id: int) -> None:
        """Let go of what was kept while this firing was being unloaded: its results are on record."""
        self._connection.execute(delete(unloading).where(unloading.c.firing_id == firing_id))

    def note_results(self, firing_id: int, outcomes: Mapping[int, Outcome]) -> None:
        """Note what came of each piece."""
        if outcomes:
            self._connection.execute(
                insert(results),
                [{"firing_id": firing_id, "piece_id": one, **outcome_row(came)} for one, came in outcomes.items()],
            )

    def change_result(self, firing_id: int, piece_id: int, came: Outcome) -> None:
        """Note what really came of a piece, in place of what was noted before."""
        of_piece = (results.c.firing_id == firing_id, results.c.piece_id == piece_id)
        self._connection.execute(update(results).where(*of_piece).values(**outcome_row(came)))
        self.past_changed()

    def past_changed(self) -> None:
        """Note that something of a fire that is over was corrected: what was counted of it is counted again."""
        self._connection.execute(_CORRECTED, {"name": CORRECTED})

    # ---- what the fire did ---------------------------------------------------------------------------------------

    def log(self, firing_id: int, points: Mapping[int, float]) -> None:
        """Add readings, °C at so many seconds after the fire was lit; of a second read twice the newer one stays."""
        if points:
            # One after the other: a log of a reading a second has more of them than a statement may have values.
            self._connection.execute(
                delete(readings).where(readings.c.firing_id == firing_id, readings.c.second == bindparam("at_second")),
                [{"at_second": second} for second in points],
            )
            self._connection.execute(
                insert(readings),
                [{"firing_id": firing_id, "second": second, "temp_c": temp} for second, temp in points.items()],
            )

    def clear_log(self, firing_id: int) -> None:
        """Take every reading of a firing away, because a whole log takes their place."""
        self._connection.execute(delete(readings).where(readings.c.firing_id == firing_id))

    def take_back_reading(self, firing_id: int, second: int) -> None:
        """Take one reading of a firing away, by its second."""
        self._connection.execute(delete(readings).where(readings.c.firing_id == firing_id, readings.c.second == second))

    def note_witnesses(self, firing_id: int, seen: Sequence[tuple[int | None, int, str, str]]) -> None:
        """Make these the witness cones of a firing: the level, the rank of the cone, its kind, and how it stands."""
        self._connection.execute(delete(witnesses).where(witnesses.c.firing_id == firing_id))
        if seen:
            self._connection.execute(
                insert(witnesses),
                [
                    {"firing_id": firing_id, "level": level, "cone": cone, "kind": kind, "stands": stands}
                    for level, cone, kind, stands in seen
                ],
            )

    def correct_times(self, firing_id: int, *, lit_at: datetime, shut_at: datetime | None) -> None:
        """Note when a kiln really came on and went off."""
        self._change(firing_id, lit_at=lit_at, shut_at=shut_at)

    def note_correction(self, firing_id: int, by_id: int, what: Message) -> None:
        """Put on record what was corrected of a firing."""
        told = {"firing_id": firing_id, "by_id": by_id, "at": self._request.at, "message": json.dumps(plain_of(what))}
        self._connection.execute(insert(firing_corrections), told)

    def note_fired_to(self, firing_id: int, cone: Cone) -> None:
        """Note which cone counts for the pieces of a firing that missed its target."""
        self._change(firing_id, fired_to=cone.rank)

    def note_cost(self, firing_id: int, *, kwh: float | None, fuel_kg: float | None, cost_cents: int | None) -> None:
        """Note what a firing took and what it cost; None is unknown."""
        self._change(firing_id, kwh=kwh, fuel_kg=fuel_kg, cost_cents=cost_cents)
