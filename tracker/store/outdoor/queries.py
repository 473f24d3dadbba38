"""What pages, papers and use cases ask of the outdoor book."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Row, func, select

from tracker.domain.firing.firings import FiringStage
from tracker.domain.outdoor.breakage import Fired, Record
from tracker.domain.outdoor.event_log import Did, Tap
from tracker.domain.outdoor.results import Air, Mark, Smoke
from tracker.domain.outdoor.sessions import Session, SessionStage
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Build
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.people import short_name
from tracker.store.connected import Connect
from tracker.store.firing.queries import FiringQueries
from tracker.store.firing.writer import CORRECTED
from tracker.store.mappers import left_out_of, outcome_of, session_of
from tracker.store.outdoor.worn import Worn, worn_in
from tracker.store.tables import (
    caught,
    clays,
    firings,
    glazes,
    house,
    layers,
    loaded,
    marks,
    outdoor_sessions,
    people,
    pieces,
    planned,
    results,
    taps,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionRow:
    """A session as lists show it: `rounds` that were lit or are planned, and how many `pieces` they have in all."""

    id: int
    kiln: str
    stage: SessionStage
    starts_at: datetime
    ended_at: datetime | None
    rounds: int
    pieces: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelRow:
    """What one ended session burned: kg, in so many rounds."""

    session_id: int
    rounds: int
    burned_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FireRow:
    """One piece that came out of one outdoor fire: what came of it, what the fire did, and what it wore then."""

    firing_id: int
    piece_id: int
    route: str
    unloaded_at: datetime | None
    outcome: Outcome
    mark: Mark
    worn: Worn = ()


_LAST_OF_KILN = 200
_OPEN = tuple(stage for stage in SessionStage if stage is not SessionStage.ENDED)
_NUMBERS = select(firings).where(firings.c.session_id.is_not(None)).order_by(firings.c.id)
_TAPS = select(taps, people.c.name).join(people, people.c.id == taps.c.by_id).order_by(taps.c.id)

_IS_TOLD = (marks.c.color != "") | marks.c.air.is_not(None) | marks.c.smoke.is_not(None)
_NEWEST = (
    select(marks)
    .where(_IS_TOLD)
    .order_by(marks.c.firing_id.desc(), marks.c.piece_id.desc())
    .limit(1_000)
    .subquery("newest")
)
_OUTDOORS = select(firings.c.id).where(firings.c.session_id.is_not(None)).order_by(firings.c.id.desc())
_LAST_RESULTS = select(
    func.count(),
    func.max(results.c.firing_id),
    select(house.c.value).where(house.c.name == CORRECTED).scalar_subquery(),
).where(results.c.firing_id.in_(select(_OUTDOORS.limit(50).subquery().c.id)))
"""What changes whenever a piece has come out of an outdoor fire, or a result was corrected: nobody tells the first
result of a fire that is 50 rounds old."""


class OutdoorQueries:
    """The outdoor sessions: `store.read.outdoors`."""

    def __init__(self, connect: Connect, catalog: Callable[[], Catalog], firings: FiringQueries) -> None:
        """Ask over connections that `connect` gives."""
        self._connect = connect
        self._catalog = catalog
        self._firings = firings
        self._fired: tuple[object, Record] = (None, Record())

    def session(self, number: int) -> Session | None:
        """One session with its rounds in their order, those left out that came to nothing; or None."""
        with self._connect() as connection:
            row = connection.execute(select(outdoor_sessions).where(outdoor_sessions.c.id == number)).first()
            if row is None:
                return None
            rounds = (
                self._firings.firing_of(connection, one)
                for one in connection.execute(_NUMBERS.where(firings.c.session_id == number)).all()
            )
            came = (
                select(results)
                .join(firings, firings.c.id == results.c.firing_id)
                .where(firings.c.session_id == number)
                .order_by(results.c.firing_id, results.c.piece_id)
            )
            outcomes: dict[int, dict[int, Outcome]] = {}
            for one in connection.execute(came):
                outcomes.setdefault(one.firing_id, {})[one.piece_id] = outcome_of(one)
            return Session(
                id=row.id,
                stage=SessionStage(row.stage),
                facts=session_of(row),
                kiln=self._catalog().kiln(row.kiln),
                rounds=tuple(one for one in rounds if one.piece_ids or one.is_open),
                outcomes=outcomes,
                left_out=left_out_of(row.left_out),
                fuel_after_kg=row.fuel_after_kg,
                ended_at=row.ended_at,
            )

    def sessions(self, *, open_only: bool = False, limit: int = 20) -> tuple[SessionRow, ...]:
        """Sessions, the newest first."""
        rounds = select(func.count()).where(firings.c.session_id == outdoor_sessions.c.id)
        rounds = rounds.where((firings.c.lit_at.is_not(None)) | (firings.c.stage == FiringStage.PLANNED))
        held = [
            select(func.count())
            .select_from(table.join(firings, firings.c.id == table.c.firing_id))
            .where(firings.c.session_id == outdoor_sessions.c.id)
            .scalar_subquery()
            for table in (planned, loaded, caught, results)
        ]
        counted = select(outdoor_sessions, rounds.scalar_subquery().label("rounds"), sum(held[1:], held[0]).label("n"))
        if open_only:
            counted = counted.where(outdoor_sessions.c.stage.in_(_OPEN))
        with self._connect() as connection:
            rows = connection.execute(counted.order_by(outdoor_sessions.c.id.desc()).limit(limit))
            return tuple(
                SessionRow(
                    id=row.id,
                    kiln=row.kiln,
                    stage=SessionStage(row.stage),
                    starts_at=row.starts_at,
                    ended_at=row.ended_at,
                    rounds=row.rounds,
                    pieces=row.n,
                )
                for row in rows
            )

    def taps(self, session_id: int) -> tuple[Tap, ...]:
        """Everything that was tapped in a session, as it arrived."""
        with self._connect() as connection:
            rows = connection.execute(_TAPS.where(taps.c.session_id == session_id))
            return tuple(
                Tap(
                    key=row.key,
                    did=Did(row.did),
                    firing_id=row.firing_id,
                    piece_id=row.piece_id,
                    value=row.value,
                    at=row.at,
                    by=short_name(row.name),
                    by_id=row.by_id,
                )
                for row in rows
            )

    def fuel(self, kiln: str, *, limit: int = 24) -> tuple[FuelRow, ...]:
        """What the last sessions of a kiln burned, the newest first: those that were weighed before and after.

        Looked through are its last 200: many a studio never weighs its tanks.
        """
        of_kiln = select(outdoor_sessions).where(outdoor_sessions.c.kiln == kiln)
        last = of_kiln.order_by(outdoor_sessions.c.id.desc()).limit(_LAST_OF_KILN).subquery("last")
        lit = select(func.count()).where(firings.c.session_id == last.c.id, firings.c.lit_at.is_not(None))
        burned = last.c.fuel_before_kg - last.c.fuel_after_kg
        wanted = (
            select(last.c.id, lit.scalar_subquery().label("rounds"), burned.label("burned"))
            .where(last.c.stage == SessionStage.ENDED, burned.is_not(None))
            .order_by(last.c.id.desc())
            .limit(limit)
        )
        with self._connect() as connection:
            return tuple(
                FuelRow(session_id=row.id, rounds=row.rounds, burned_kg=row.burned)
                for row in connection.execute(wanted)
                if row.rounds
            )

    def last_facts(self, kiln: str) -> Session | None:
        """The newest session of a kiln, to begin the next one with what was said then; or None."""
        wanted = select(func.max(outdoor_sessions.c.id)).where(outdoor_sessions.c.kiln == kiln)
        with self._connect() as connection:
            number = connection.scalar(wanted)
        return None if number is None else self.session(number)

    def marks(self, session_id: int) -> dict[tuple[int, int], Mark]:
        """What the fire did to the pieces of a session, by firing and piece."""
        wanted = (
            select(marks).join(firings, firings.c.id == marks.c.firing_id).where(firings.c.session_id == session_id)
        )
        with self._connect() as connection:
            return {(row.firing_id, row.piece_id): mark_of(row) for row in connection.execute(wanted)}

    def fired(self) -> Record:
        """The last 3,000 pieces that went through an outdoor fire, each with what it was and what came of it.

        They are read anew once another has come out, or the catalog has changed.
        """
        catalog = self._catalog()
        with self._connect() as connection:
            as_of = (catalog, *connection.execute(_LAST_RESULTS).one())
        kept_as_of, found = self._fired
        if kept_as_of != as_of:
            found = self._read_fired()
            self._fired = (as_of, found)
        return found

    def _read_fired(self, *, limit: int = 3_000) -> Record:
        catalog = self._catalog()
        wanted = (
            select(
                results.c.outcome,
                results.c.firing_id,
                *(pieces.c[name] for name in ("id", "build", "height_mm", "width_mm", "depth_mm")),
                clays.c.name.label("clay"),
            )
            .join(pieces, pieces.c.id == results.c.piece_id)
            .join(clays, clays.c.id == pieces.c.clay_id)
            .where(results.c.firing_id.in_(select(_OUTDOORS.limit(400).subquery().c.id)))
            .order_by(results.c.firing_id.desc(), results.c.piece_id)
            .limit(limit)
        )
        with self._connect() as connection:
            rows = connection.execute(wanted).all()
            worn = worn_in(connection, [(row.firing_id, row.id) for row in rows])
        return Record(
            Fired(
                clay=row.clay,
                kind=catalog.clays[row.clay].kind,
                build=Build(row.build),
                largest_mm=max(row.height_mm, row.width_mm, row.depth_mm),
                glazes=tuple(dict.fromkeys(name for name, _zone in worn[row.firing_id, row.id])),
                outcome=Outcome.parse(row.outcome),
            )
            for row in rows
        )

    def is_example(self, piece_id: int) -> bool:
        """Whether somebody has told what an outdoor fire did to this piece."""
        with self._connect() as connection:
            told = select(marks.c.firing_id).where(marks.c.piece_id == piece_id, _IS_TOLD).limit(1)
            return connection.scalar(told) is not None

    def examples(
        self, *, glaze: str = "", air: Air | None = None, smoke: Smoke | None = None, limit: int = 60
    ) -> tuple[FireRow, ...]:
        """Pieces of which somebody has told what the fire did, the newest first; of one glaze, air or smoke, or all.

        Looked through are the newest 1,000 that were told of, so that what is rare costs no more than what is common.
        """
        told = select(_NEWEST).order_by(_NEWEST.c.firing_id.desc(), _NEWEST.c.piece_id.desc()).limit(limit)
        # What a piece wears now tells which may have worn it then; what went on since is left out below.
        if glaze:
            number = select(glazes.c.id).where(glazes.c.name == glaze).scalar_subquery()
            wears = select(layers.c.id).where(layers.c.piece_id == _NEWEST.c.piece_id, layers.c.glaze_id == number)
            told = told.where(wears.exists())
        for column, value in ((_NEWEST.c.air, air), (_NEWEST.c.smoke, smoke)):
            if value is not None:
                told = told.where(column == value)
        # Only what is shown is looked up in its firing: there are far more of those than of examples.
        shown = told.subquery("shown")
        wanted = (
            select(shown, firings.c.route, firings.c.unloaded_at, results.c.outcome)
            .join(firings, firings.c.id == shown.c.firing_id)
            .join(results, (results.c.firing_id == shown.c.firing_id) & (results.c.piece_id == shown.c.piece_id))
            .order_by(shown.c.firing_id.desc(), shown.c.piece_id.desc())
        )
        with self._connect() as connection:
            rows = connection.execute(wanted).all()
            worn = worn_in(connection, [(row.firing_id, row.piece_id) for row in rows])
        found = (
            FireRow(
                firing_id=row.firing_id,
                piece_id=row.piece_id,
                route=row.route,
                unloaded_at=row.unloaded_at,
                outcome=Outcome.parse(row.outcome),
                mark=mark_of(row),
                worn=worn[row.firing_id, row.piece_id],
            )
            for row in rows
        )
        return tuple(one for one in found if not glaze or any(name == glaze for name, _zone in one.worn))


def mark_of(row: Row[Any]) -> Mark:
    """The mark in a row."""
    return Mark(
        air=Air(row.air) if row.air else None,
        smoke=Smoke(row.smoke) if row.smoke else None,
        open_s=row.open_s,
        color=row.color,
    )
