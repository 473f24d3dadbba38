"""What pages, papers and use cases ask about firings, their logs and their witness cones."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, and_, bindparam, case, func, or_, select, union_all

from tracker.domain.cones import Cone, Kind
from tracker.domain.findings import Finding
from tracker.domain.firing.firings import Caught, Firing, FiringStage, Leaving
from tracker.domain.firing.unloading import TakenOut
from tracker.domain.message import Fact, Message
from tracker.domain.pieces.layers_then import OF_LAYERS, layers_before
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.people import short_name
from tracker.store.connected import Connect
from tracker.store.mappers import findings_of, findings_text, line_facts_of, outcome_of, plan_of
from tracker.store.messages import message_of
from tracker.store.numbers import is_number
from tracker.store.pieces.queries import PIECE_ROW, PieceQueries, PieceRow
from tracker.store.tables import (
    IS_OPEN,
    caught,
    firing_corrections,
    firings,
    history,
    leaving,
    loaded,
    people,
    pieces,
    planned,
    readings,
    results,
    unloading,
    witnesses,
)

_MOST_IN_A_YEAR = 5_000
"""More firings and outdoor rounds than any studio has in a year."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spent:
    """What the firings of some time cost: of `firings` the cost of so many is `noted`, which is `cost_cents` in all."""

    firings: int
    noted: int
    cost_cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FiringRow:
    """A firing as lists show it.

    `count` pieces are in it, or were; `leaving` of these must come out, and of `caught` its hot kiln is wrong.
    `planned` are to go in. `counted` is the cone that counts for what was in it: its target unless staff said another.
    """

    id: int
    kiln: str
    route: str
    target: Cone
    counted: Cone
    stage: FiringStage
    began_at: datetime
    unloaded_at: datetime | None
    planned_for: datetime | None
    lit_at: datetime | None
    shut_at: datetime | None
    count: int
    planned: int
    leaving: int
    caught: int

    @property
    def last_at(self) -> datetime:
        """When something last happened to it, or is to happen."""
        return self.unloaded_at or self.shut_at or self.lit_at or self.planned_for or self.began_at


@dataclass(frozen=True, slots=True, kw_only=True)
class WitnessRow:
    """A witness cone of a firing: on which level of the kiln it stood (from 1 at the bottom), and how it stands."""

    level: int | None
    cone: Cone
    kind: Kind
    stands: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionRow:
    """What was corrected of a firing, by whom and when."""

    what: Message
    by: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class FiringPage:
    """All that the page of a firing shows: what stands in it now or what came of it, what is to come, what must leave.

    `caught` says of each piece in its hot kiln that is wrong for it what to expect, worst first.

    `raw_ids` are those of all these that are greenware, or were when they went in.
    Fuel in kg, cost in cents; None is unknown.
    """

    firing: Firing
    began_at: datetime
    unloaded_at: datetime | None
    pieces: tuple[PieceRow, ...]
    coming: tuple[PieceRow, ...]
    leaving: tuple[tuple[PieceRow, Leaving], ...]
    caught: tuple[tuple[PieceRow, tuple[Finding, ...]], ...]
    raw_ids: frozenset[int]
    witnesses: tuple[WitnessRow, ...]
    kwh: float | None
    fuel_kg: float | None
    cost_cents: int | None

    @property
    def in_shelf_order(self) -> tuple[PieceRow, ...]:
        """Its pieces as they are taken out: by the plan's shelves from the top down, then what has no place in it."""
        plan = self.firing.plan
        if plan is None:
            return self.pieces
        return tuple(sorted(self.pieces, key=lambda row: -(plan.level_of(row.piece.id) or 0)))


_PLANNED = select(planned.c.piece_id).where(planned.c.firing_id == bindparam("firing_id")).order_by(planned.c.turn)
_RAW = select(pieces.c.id).where(
    pieces.c.id.in_(bindparam("ids", expanding=True)),
    or_(
        pieces.c.stage == Stage.GREENWARE,
        select(history.c.id)
        .where(
            history.c.piece_id == pieces.c.id,
            history.c.firing_id == bindparam("firing_id"),
            history.c.start == Stage.GREENWARE,
        )
        .exists(),
    ),
)
"""Of these pieces, those that are greenware, or were when this firing took them."""
_LEAVING_IDS = (
    select(leaving.c.piece_id).where(leaving.c.firing_id == bindparam("firing_id")).order_by(leaving.c.piece_id)
)
_NOTHING_FOUND = findings_text(())
_LAST_OF_KILN = 200
_OF_ROW = tuple(
    firings.c[name]
    for name in (
        *("id", "kiln", "route", "heat", "fired_to", "stage"),
        *("began_at", "unloaded_at", "planned_for", "lit_at", "shut_at"),
    )
)
"""What is read of each firing in a list: not its plan and schedule."""
_INSIDE = union_all(
    select(loaded.c.piece_id, loaded.c.at).where(loaded.c.firing_id == bindparam("firing_id")),
    select(caught.c.piece_id, caught.c.loaded_at).where(caught.c.firing_id == bindparam("firing_id")),
).order_by("at", "piece_id")
"""What is in a kiln, in the order in which it went in."""


def _as_fired(connection: Connection, rows: Sequence[PieceRow], number: int) -> tuple[PieceRow, ...]:
    """The pieces of a firing with the layers that they had in it: what went on later is left out."""
    since: dict[int, list[tuple[StepName, Mapping[str, Fact]]]] = {}
    asked = {"ids": [row.piece.id for row in rows], "firing_id": number}
    for line in connection.execute(_OF_LAYERS_AND_FIRE, asked) if rows else ():
        step = StepName(line.step)
        if line.firing_id == number and step not in OF_LAYERS:
            since[line.piece_id] = []
        elif line.piece_id in since:
            since[line.piece_id].append((step, line_facts_of(line)))
    return tuple(
        replace(row, piece=replace(row.piece, layers=layers_before(row.piece.layers, since.get(row.piece.id, ()))))
        for row in rows
    )


_OUT_OF_IT = (StepName.FIRE, StepName.BISQUE)
_OF_LAYERS_AND_FIRE = (
    select(history)
    .where(
        history.c.piece_id.in_(bindparam("ids", expanding=True)),
        or_(
            history.c.step.in_(sorted(OF_LAYERS)),
            and_(history.c.firing_id == bindparam("firing_id"), history.c.step.in_(_OUT_OF_IT)),
        ),
    )
    .order_by(history.c.id)
)


class FiringQueries:
    """The firings: `store.read.firings`."""

    def __init__(self, connect: Connect, catalog: Callable[[], Catalog], pieces: PieceQueries) -> None:
        """Ask over connections that `connect` gives."""
        self._connect = connect
        self._catalog = catalog
        self._pieces = pieces

    def listed(self, *, open_only: bool = True, rounds: bool = True, limit: int = 50) -> tuple[FiringRow, ...]:
        """Firings, the newest first: unless `open_only` the unloaded too, and without `rounds` none outdoors."""
        inside = select(func.count()).where(loaded.c.firing_id == firings.c.id).scalar_subquery()
        came_out = select(func.count()).where(results.c.firing_id == firings.c.id).scalar_subquery()
        coming = select(func.count()).where(planned.c.firing_id == firings.c.id).scalar_subquery()
        unfit = select(func.count()).where(leaving.c.firing_id == firings.c.id).scalar_subquery()
        wrong = select(func.count()).where(caught.c.firing_id == firings.c.id).scalar_subquery()
        told = select(func.count()).where(caught.c.firing_id == firings.c.id, caught.c.findings != _NOTHING_FOUND)
        # What was unloaded has results and nothing else, and a list holds hundreds of those.
        counted = select(*_OF_ROW).add_columns(
            (came_out + case((IS_OPEN, inside + unfit + wrong), else_=0)).label("how_many"),
            case((IS_OPEN, coming), else_=0).label("how_many_more"),
            case((IS_OPEN, unfit), else_=0).label("how_many_leave"),
            case((IS_OPEN, told.scalar_subquery()), else_=0).label("how_many_wrong"),
        )
        wanted = counted.order_by(firings.c.id.desc()).limit(limit)
        if open_only:
            wanted = wanted.where(IS_OPEN)
        if not rounds:
            # Of the open ones not by an index of sessions: indoors there are as many as the studio ever had.
            of_few = func.coalesce(firings.c.session_id, 0) == 0
            wanted = wanted.where(of_few if open_only else firings.c.session_id.is_(None))
        with self._connect() as connection:
            return tuple(_firing_row_of(row) for row in connection.execute(wanted))

    def spent_since(self, moment: datetime) -> Spent:
        """How many firings were unloaded since then, and what those cost whose cost is on record."""
        newest = select(firings).order_by(firings.c.id.desc()).limit(_MOST_IN_A_YEAR).subquery()
        counted = select(func.count(), func.count(newest.c.cost_cents), func.sum(newest.c.cost_cents))
        with self._connect() as connection:
            many, noted, cents = connection.execute(counted.where(newest.c.unloaded_at >= moment)).one()
        return Spent(firings=many, noted=noted, cost_cents=int(cents or 0))

    def firing(self, number: int) -> Firing | None:
        """One firing with the numbers of its pieces, in the order in which they went in; or None."""
        with self._connect() as connection:
            row = connection.execute(select(firings).where(is_number(firings.c.id, number))).first()
            return None if row is None else self.firing_of(connection, row)

    def on_between(self, kiln: str, start: datetime, end: datetime, *, but: int) -> Firing | None:
        """The first firing, `but` for that one, in which a kiln was on at some time between these; None for none.

        One of which nobody said when it went off was on until it was unloaded.
        """
        not_off_before = or_(
            firings.c.shut_at > start,
            and_(firings.c.shut_at.is_(None), or_(firings.c.unloaded_at.is_(None), firings.c.unloaded_at > start)),
        )
        wanted = select(firings).where(
            firings.c.kiln == kiln, firings.c.id != but, firings.c.lit_at < end, not_off_before
        )
        with self._connect() as connection:
            row = connection.execute(wanted.order_by(firings.c.lit_at).limit(1)).first()
            return None if row is None else self.firing_of(connection, row)

    def page(self, number: int) -> FiringPage | None:
        """One firing with its pieces and what came of them, or None."""
        with self._connect() as connection:
            row = connection.execute(select(firings).where(is_number(firings.c.id, number))).first()
            if row is None:
                return None
            firing = self.firing_of(connection, row)
            by_place = PIECE_ROW.where(pieces.c.id.in_(firing.piece_ids)).order_by(pieces.c.place, pieces.c.id)
            came_out = connection.execute(select(results).where(results.c.firing_id == number))
            came_of = {one.piece_id: outcome_of(one) for one in came_out}
            rows = self._pieces.rows_over(connection, by_place)
            if row.unloaded_at is not None:
                rows = _as_fired(connection, rows, number)
            by_turn = PIECE_ROW.where(planned.c.firing_id == number).order_by(planned.c.turn)
            seen = select(witnesses).where(witnesses.c.firing_id == number).order_by(witnesses.c.level, witnesses.c.id)
            return FiringPage(
                firing=firing,
                began_at=row.began_at,
                unloaded_at=row.unloaded_at,
                pieces=tuple(replace(one, outcome=came_of.get(one.piece.id)) for one in rows),
                coming=self._pieces.rows_over(connection, by_turn),
                leaving=self._leaving_over(connection, firing),
                caught=self._caught_over(connection, firing),
                raw_ids=_raw_over(connection, firing),
                witnesses=tuple(map(_witness_of, connection.execute(seen))),
                kwh=row.kwh,
                fuel_kg=row.fuel_kg,
                cost_cents=row.cost_cents,
            )

    def absent(self, number: int) -> tuple[PieceRow, ...]:
        """The pieces that weren't in the kiln, as whoever unloaded it said; they left it then."""
        out = (
            select(history.c.piece_id)
            .join(firings, and_(firings.c.id == history.c.firing_id, firings.c.unloaded_at == history.c.at))
            .where(is_number(firings.c.id, number), history.c.step == StepName.TAKE_OUT)
        )
        with self._connect() as connection:
            return self._pieces.numbered(connection, out)

    def has_raw(self, firing: Firing) -> bool:
        """Whether a firing has greenware in it or to come, or had when it was fired."""
        with self._connect() as connection:
            return bool(_raw_over(connection, firing))

    def leaving(self, *, piece_id: int | None = None) -> tuple[Leaving, ...]:
        """The pieces that must leave a kiln and are not confirmed to be out, or only this one, by number."""
        wanted = select(leaving).order_by(leaving.c.firing_id, leaving.c.piece_id)
        if piece_id is not None:
            wanted = wanted.where(leaving.c.piece_id == piece_id)
        with self._connect() as connection:
            return tuple(map(_leaving_of, connection.execute(wanted)))

    def caught(self, *, firing_id: int | None = None, piece_id: int | None = None) -> tuple[Caught, ...]:
        """The pieces in hot kilns that are wrong for them; of one firing, or only this piece, by number."""
        wanted = select(caught).order_by(caught.c.firing_id, caught.c.piece_id)
        if firing_id is not None:
            wanted = wanted.where(caught.c.firing_id == firing_id)
        if piece_id is not None:
            wanted = wanted.where(caught.c.piece_id == piece_id)
        with self._connect() as connection:
            return tuple(map(_caught_of, connection.execute(wanted)))

    def _caught_over(self, connection: Connection, firing: Firing) -> tuple[tuple[PieceRow, tuple[Finding, ...]], ...]:
        wanted = select(caught.c.piece_id, caught.c.findings).where(
            caught.c.firing_id == firing.id, caught.c.findings != _NOTHING_FOUND
        )
        why = {row.piece_id: findings_of(row.findings) for row in connection.execute(wanted)} if firing.is_hot else {}
        if not why:
            return ()
        rows = self._pieces.rows_over(connection, PIECE_ROW.where(pieces.c.id.in_(why)).order_by(pieces.c.id))
        return tuple((row, why[row.piece.id]) for row in rows)

    def _leaving_over(self, connection: Connection, firing: Firing) -> tuple[tuple[PieceRow, Leaving], ...]:
        if not firing.leaving_ids:
            return ()
        wanted = select(leaving).where(leaving.c.firing_id == firing.id)
        why = {row.piece_id: _leaving_of(row) for row in connection.execute(wanted)}
        rows = self._pieces.rows_over(connection, PIECE_ROW.where(pieces.c.id.in_(why)).order_by(pieces.c.id))
        return tuple((row, why[row.piece.id]) for row in rows)

    def result(self, number: int, piece_id: int) -> Outcome | None:
        """What came of a piece in a firing, or None where it has no result there."""
        wanted = select(results).where(is_number(results.c.firing_id, number), results.c.piece_id == piece_id)
        with self._connect() as connection:
            row = connection.execute(wanted).first()
            return None if row is None else outcome_of(row)

    def last_result(self, piece_id: int) -> int | None:
        """The number of the last firing in which a piece has a result, or None."""
        with self._connect() as connection:
            last: int | None = connection.scalar(
                select(func.max(results.c.firing_id)).where(results.c.piece_id == piece_id)
            )
            return last

    def corrections(self, number: int) -> tuple[CorrectionRow, ...]:
        """What was corrected of a firing's times and witness cones, the newest first."""
        told = (
            select(firing_corrections.c.message, firing_corrections.c.at, people.c.name)
            .join(people, people.c.id == firing_corrections.c.by_id)
            .where(is_number(firing_corrections.c.firing_id, number))
            .order_by(firing_corrections.c.id.desc())
        )
        with self._connect() as connection:
            return tuple(
                CorrectionRow(what=message_of(json.loads(row.message)), by=row.name, at=row.at)
                for row in connection.execute(told)
            )

    def taken_out(self, number: int) -> dict[int, TakenOut]:
        """What was said so far, by each piece's number, while a firing is being unloaded."""
        wanted = select(unloading).where(is_number(unloading.c.firing_id, number))
        with self._connect() as connection:
            rows = connection.execute(wanted).all()
        return {row.piece_id: TakenOut(None if row.was_absent else outcome_of(row), row.place) for row in rows}

    def said_by(self, number: int) -> dict[int, str]:
        """Who said it, by each piece's number: the names shown beside `taken_out`."""
        wanted = (
            select(unloading.c.piece_id, people.c.name)
            .join(people, people.c.id == unloading.c.by_id)
            .where(is_number(unloading.c.firing_id, number))
        )
        with self._connect() as connection:
            return {row.piece_id: short_name(row.name) for row in connection.execute(wanted)}

    def log(self, number: int) -> tuple[tuple[int, float], ...]:
        """What a firing's log says: seconds after it was lit and °C, in their order."""
        wanted = (
            select(readings.c.second, readings.c.temp_c)
            .where(is_number(readings.c.firing_id, number))
            .order_by(readings.c.second)
        )
        with self._connect() as connection:
            return tuple((row.second, row.temp_c) for row in connection.execute(wanted))

    def witnessed(
        self, kiln: str, *, before: int | None = None, limit: int
    ) -> tuple[tuple[int, tuple[WitnessRow, ...]], ...]:
        """The last firings of a kiln in which witness cones were looked at, the oldest first, with their cones.

        Looked through are its last 200: in many a kiln nobody ever looks at any.
        """
        newest = select(firings.c.id).where(firings.c.kiln == kiln).order_by(firings.c.id.desc()).limit(_LAST_OF_KILN)
        if before is not None:
            newest = newest.where(firings.c.id < before)
        last = newest.subquery("last")
        looked_at = select(witnesses.c.firing_id).where(witnesses.c.firing_id == last.c.id).exists()
        wanted = select(last.c.id).where(looked_at).order_by(last.c.id.desc())
        with self._connect() as connection:
            numbers = sorted(connection.scalars(wanted.limit(limit)))
            seen = (
                select(witnesses).where(witnesses.c.firing_id.in_(numbers)).order_by(witnesses.c.level, witnesses.c.id)
            )
            rows = connection.execute(seen).all()
        return tuple((number, tuple(_witness_of(row) for row in rows if row.firing_id == number)) for number in numbers)

    def firing_of(self, connection: Connection, row: Row[Any]) -> Firing:
        """The firing in a row, with the numbers of its pieces, over a connection that is open already."""
        catalog = self._catalog()
        came_out = select(results.c.piece_id).where(results.c.firing_id == bindparam("firing_id"))
        inside = came_out.order_by(results.c.piece_id) if row.stage == FiringStage.UNLOADED else _INSIDE
        return Firing(
            id=row.id,
            kiln=catalog.kiln(row.kiln),
            route=catalog.route(row.route),
            target=Cone.of_rank(row.heat),
            stage=FiringStage(row.stage),
            piece_ids=tuple(connection.scalars(inside, {"firing_id": row.id})),
            planned_ids=tuple(connection.scalars(_PLANNED, {"firing_id": row.id})),
            leaving_ids=tuple(connection.scalars(_LEAVING_IDS, {"firing_id": row.id})),
            plan=plan_of(row.plan),
            planned_for=row.planned_for,
            lit_at=row.lit_at,
            shut_at=row.shut_at,
            session_id=row.session_id,
            fired_to=None if row.fired_to is None else Cone.of_rank(row.fired_to),
        )


def _raw_over(connection: Connection, firing: Firing) -> frozenset[int]:
    """The numbers of what is or was greenware in a firing, to come or to be taken out."""
    ids = (*firing.piece_ids, *firing.planned_ids, *firing.leaving_ids)
    return frozenset(connection.scalars(_RAW, {"firing_id": firing.id, "ids": ids}))


def _firing_row_of(row: Row[Any]) -> FiringRow:
    return FiringRow(
        id=row.id,
        kiln=row.kiln,
        route=row.route,
        target=Cone.of_rank(row.heat),
        counted=Cone.of_rank(row.heat if row.fired_to is None else row.fired_to),
        stage=FiringStage(row.stage),
        began_at=row.began_at,
        unloaded_at=row.unloaded_at,
        planned_for=row.planned_for,
        lit_at=row.lit_at,
        shut_at=row.shut_at,
        count=row.how_many,
        planned=row.how_many_more,
        leaving=row.how_many_leave,
        caught=row.how_many_wrong,
    )


def _leaving_of(row: Row[Any]) -> Leaving:
    return Leaving(
        piece_id=row.piece_id,
        firing_id=row.firing_id,
        findings=findings_of(row.findings),
        version=row.version,
        queue_route=row.queue_route,
        waiting_since=row.waiting_since,
        accepted=tuple(json.loads(row.accepted)),
        question_id=row.question_id,
    )


def _caught_of(row: Row[Any]) -> Caught:
    return Caught(
        piece_id=row.piece_id,
        firing_id=row.firing_id,
        findings=findings_of(row.findings),
        loaded_at=row.loaded_at,
        queue_route=row.queue_route,
        waiting_since=row.waiting_since,
        accepted=tuple(json.loads(row.accepted)),
    )


def _witness_of(row: Row[Any]) -> WitnessRow:
    return WitnessRow(level=row.level, cone=Cone.of_rank(row.cone), kind=row.kind, stands=row.stands)
