"""What pages, papers and use cases ask of the store: each answer one query or two, as frozen values."""

from __future__ import annotations

import json
from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from sqlalchemy import bindparam, false, func, or_, select
from sqlalchemy.sql import Select

from tracker.domain.cones import Cone
from tracker.domain.findings import Approval, Finding
from tracker.domain.firing.firings import Firing, FiringStage, Outcome
from tracker.domain.message import Fact, Message, _
from tracker.domain.pieces.codes import slip_text
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.refusals import Unknown
from tracker.domain.studio.catalog import Catalogue, Studio
from tracker.domain.studio.people import Person, short_name
from tracker.store.labels.print_records import PaperReader
from tracker.store.mappers import (
    clay_of,
    findings_of,
    glaze_of,
    kiln_of,
    labels_of,
    layer_of,
    line_facts_of,
    person_of,
    piece_of,
    plan_of,
    practice_of,
    question_of,
    receipt_of,
    route_of,
)
from tracker.store.outdoor.queries import OutdoorReader
from tracker.store.pieces.lookalikes import lookalikes
from tracker.store.pieces.photo_album import Album
from tracker.store.studio.known import Known
from tracker.store.tables import (
    clays,
    firings,
    glazes,
    history,
    house,
    kiln_routes,
    kilns,
    layers,
    loaded,
    people,
    pieces,
    planned,
    prints,
    questions,
    readings,
    requests,
    results,
    routes,
    waiting,
    witnesses,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence
    from contextlib import AbstractContextManager
    from datetime import datetime

    from sqlalchemy import Column, ColumnElement, Connection, Row

    from tracker.domain.cones import Kind
    from tracker.domain.pieces.nameless import Sighting
    from tracker.domain.pieces.piece import Piece
    from tracker.domain.studio.materials import Layer


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceRow:
    """A piece as lists show it. `since` is when it came to its stage; `outcome` what its last fire made of it."""

    piece: Piece
    maker_name: str
    section: str
    since: datetime
    outcome: Outcome | None = None
    question_open: bool = False
    firing_id: int | None = None
    waiting_since: datetime | None = None
    accepted: tuple[str, ...] = ()

    @property
    def ref(self) -> str:
        """What the piece is called by."""
        return self.piece.ref

    @property
    def maker(self) -> str:
        """Its maker's first name and initial."""
        return short_name(self.maker_name)


@dataclass(frozen=True, slots=True, kw_only=True)
class HistoryRow:
    """One line of a piece's history, with the name of who took the step."""

    id: int
    at: datetime
    by: str
    by_id: int
    step: StepName
    start: Stage | None
    to: Stage
    route: str | None
    kiln: str | None
    firing_id: int | None
    place: str
    findings: tuple[Finding, ...]
    accepted: tuple[str, ...]
    outcome: str | None
    reason: str
    facts: Mapping[str, Fact]
    undoes: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveRow:
    """A step somebody took lately, in the words of its receipt; `is_last` while its piece has had no other since."""

    line: int
    step: StepName
    ref: str
    message: Message
    undoes: int | None
    is_last: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionRow:
    """A question on a piece, and its answer once there is one."""

    id: int
    piece_id: int
    ref: str
    what: str
    maker_name: str
    route: str | None
    text: Message
    findings: tuple[Finding, ...]
    asked_by: str
    asked_at: datetime
    answered_by: str | None
    answered_at: datetime | None
    allows: bool | None
    answer: str | None
    pinned_clay: str | None = None
    pinned_glaze: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecePage:
    """All that the page of a piece shows; its `mates` are the other pieces of its set."""

    row: PieceRow
    maker: Person
    history: tuple[HistoryRow, ...]
    questions: tuple[QuestionRow, ...]
    leaves: frozenset[Approval]
    times_printed: int
    mates: tuple[PieceRow, ...] = ()

    @property
    def piece(self) -> Piece:
        """The piece itself."""
        return self.row.piece


@dataclass(frozen=True, slots=True, kw_only=True)
class FiringRow:
    """A firing as lists show it: `count` pieces are in it, or were; `planned` more are meant to go in."""

    id: int
    kiln: str
    route: str
    target: Cone
    stage: FiringStage
    began_at: datetime
    unloaded_at: datetime | None
    planned_for: datetime | None
    lit_at: datetime | None
    shut_at: datetime | None
    count: int
    planned: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WitnessRow:
    """A witness cone of a firing: on which level of the kiln it stood (from 1 at the bottom), and how it stands."""

    level: int | None
    cone: Cone
    kind: Kind
    stands: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FiringPage:
    """All that the page of a firing shows: what stands in it now or what came of it, and what is still to come.

    Fuel in kg, cost in cents; None is unknown.
    """

    firing: Firing
    began_at: datetime
    unloaded_at: datetime | None
    pieces: tuple[PieceRow, ...]
    coming: tuple[PieceRow, ...]
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


_LAST_OUTCOME = (
    select(results.c.outcome)
    .where(results.c.piece_id == pieces.c.id)
    .order_by(results.c.firing_id.desc())
    .limit(1)
    .scalar_subquery()
    .label("outcome")
)
_OPEN_QUESTIONS = (
    select(func.count())
    .where(questions.c.piece_id == pieces.c.id, questions.c.answered_at.is_(None))
    .scalar_subquery()
    .label("open_questions")
)
_ROW = (
    select(
        pieces,
        waiting.c.route.label("waits_for"),
        waiting.c.since.label("waiting_since"),
        waiting.c.accepted,
        loaded.c.firing_id,
        planned.c.firing_id.label("planned_in"),
        people.c.name.label("maker_name"),
        people.c.section,
        _LAST_OUTCOME,
        _OPEN_QUESTIONS,
    )
    .join(people, people.c.id == pieces.c.maker_id)
    .outerjoin(waiting, waiting.c.piece_id == pieces.c.id)
    .outerjoin(loaded, loaded.c.piece_id == pieces.c.id)
    .outerjoin(planned, planned.c.piece_id == pieces.c.id)
)
# Whatever waits is queued; only by the stage does an engine find the few of them among all that ever were.
_WAITING = _ROW.where(pieces.c.stage == Stage.QUEUED, waiting.c.route.is_not(None)).order_by(
    waiting.c.since, pieces.c.id
)
_PIECE = (
    select(
        pieces,
        waiting.c.route.label("waits_for"),
        loaded.c.firing_id,
        planned.c.firing_id.label("planned_in"),
        _OPEN_QUESTIONS,
        layers.c.glaze_id,
        layers.c.zone,
    )
    .outerjoin(waiting, waiting.c.piece_id == pieces.c.id)
    .outerjoin(loaded, loaded.c.piece_id == pieces.c.id)
    .outerjoin(planned, planned.c.piece_id == pieces.c.id)
    .outerjoin(layers, layers.c.piece_id == pieces.c.id)
    .order_by(layers.c.id)
)
"""A piece with its layers: one row for each layer, or a single row without."""
_PIECE_BY_CODE = _PIECE.where(pieces.c.code == bindparam("ref"))
_PIECE_BY_NUMBER = _PIECE.where(pieces.c.id == bindparam("ref"))
_LAYERS = (
    select(layers.c.piece_id, layers.c.glaze_id, layers.c.zone)
    .where(layers.c.piece_id.in_(bindparam("ids", expanding=True)))
    .order_by(layers.c.id)
)
_LEAVES = select(questions.c.route, questions.c.findings).where(
    questions.c.piece_id == bindparam("piece_id"),
    questions.c.allows,
)
_PLANNED = select(planned.c.piece_id).where(planned.c.firing_id == bindparam("firing_id")).order_by(planned.c.turn)
_CATALOGUE_VERSION = select(house.c.value).where(house.c.name == "catalogue")
_ACTIVE = (Stage.GREENWARE, Stage.BISQUED, Stage.WAXED, Stage.GLAZED, Stage.QUEUED, Stage.FIRED)
_ASKER = people.alias("asker")
_ANSWERER = people.alias("answerer")
_MAKER = people.alias("maker")
_QUESTION = (
    select(
        questions,
        pieces.c.code,
        pieces.c.what,
        _MAKER.c.name.label("maker_name"),
        _ASKER.c.name.label("asker_name"),
        _ANSWERER.c.name.label("answerer_name"),
        clays.c.name.label("about_clay"),
        glazes.c.name.label("about_glaze"),
    )
    .join(pieces, pieces.c.id == questions.c.piece_id)
    .join(_MAKER, _MAKER.c.id == pieces.c.maker_id)
    .join(_ASKER, _ASKER.c.id == questions.c.asked_by)
    .outerjoin(_ANSWERER, _ANSWERER.c.id == questions.c.answered_by)
    .outerjoin(clays, clays.c.id == questions.c.pinned_clay)
    .outerjoin(glazes, glazes.c.id == questions.c.pinned_glaze)
    .order_by(questions.c.asked_at, questions.c.id)
)


class Reader:
    """The reading side. `connect` gives the connection each answer is read over."""

    def __init__(
        self,
        connect: Callable[[], AbstractContextManager[Connection]],
        cache: dict[str, Known],
        *,
        version: str | None = None,
    ) -> None:
        """Keep how to connect; `cache` is shared by all readers of one store and holds the newest catalogue.

        Within a change the catalogue's `version` is given: it stays the same until the end of the transaction.
        """
        self._connect = connect
        self._cache = cache
        self._version = version
        self.outdoors = OutdoorReader(connect, self.catalogue, self._firing_of)
        self.album = Album(connect)
        self.papers = PaperReader(connect)

    # ---- the catalogue ---------------------------------------------------------------------------------------

    def known(self) -> Known:
        """The studio and its catalogue with their numbers; read anew only when somebody changed it."""
        if self._version is not None and (known := self._cache.get(self._version)):
            return known
        with self._connect() as connection:
            version = connection.scalar(_CATALOGUE_VERSION)
            if version is None:
                raise Unknown(
                    Message("no-studio-here", _("No studio has been set up in this database.")),
                    Message("init-a-studio", _("Run footring init --studio FILE.toml first.")),
                )
            known = self._cache.get(version)
            if known is None:
                known = _read_known(connection, version)
                # Another thread may do the same at this moment, so the answer is never looked up again.
                self._cache.clear()
                self._cache[version] = known
            return known

    def forget(self) -> None:
        """Within a change of the catalogue: read it anew, for this transaction alone as long as it may still fail."""
        self._cache, self._version = {}, None

    def version(self) -> str:
        """The version of the catalogue, which every change of it gives a new value."""
        return self.known().version

    def studio(self) -> Studio:
        """The studio with its catalogue."""
        return self.known().studio

    def catalogue(self) -> Catalogue:
        """The clays, glazes, routes and kilns by name, and the studio's own practice."""
        return self.studio().catalogue

    def secret(self) -> str:
        """The key with which this studio's cookies are signed."""
        with self._connect() as connection:
            return str(connection.scalar(select(house.c.value).where(house.c.name == "secret")))

    # ---- pieces ----------------------------------------------------------------------------------------------

    def piece(self, *, code: str | None = None, number: int | None = None, hold: bool = False) -> Piece | None:
        """The piece with this code or slip number, or None; `hold` keeps others from changing it until the end."""
        with self._connect() as connection:
            # SQLite lets one writer in at a time, so within a change nobody else can touch the piece anyway.
            if hold and connection.dialect.name != "sqlite":
                connection.execute(_by(select(pieces.c.id), code, number).with_for_update())
            wanted = _PIECE_BY_NUMBER if code is None else _PIECE_BY_CODE
            rows = connection.execute(wanted, {"ref": number if code is None else code}).all()
            return self._piece_of(rows) if rows else None

    def piece_row(self, *, code: str | None = None, number: int | None = None) -> PieceRow | None:
        """The piece with this code or slip number as lists show it, or None."""
        return next(iter(self._rows(_by(_ROW, code, number))), None)

    def piece_page(self, piece_id: int) -> PiecePage:
        """All that the page of the piece with this number shows."""
        with self._connect() as connection:
            (row,) = self._rows_over(connection, _ROW.where(pieces.c.id == piece_id))
            maker = person_of(connection.execute(select(people).where(people.c.id == row.piece.maker_id)).one())
            lines = connection.execute(
                select(history, people.c.name.label("by_name"))
                .join(people, people.c.id == history.c.by_id)
                .where(history.c.piece_id == piece_id)
                .order_by(history.c.id),
            )
            asked = connection.execute(_QUESTION.where(questions.c.piece_id == piece_id))
            return PiecePage(
                row=row,
                maker=maker,
                history=tuple(map(_history_of, lines)),
                questions=tuple(map(_question_of, asked)),
                leaves=self.leaves(piece_id),
                times_printed=connection.scalar(
                    select(func.count()).select_from(prints).where(prints.c.piece_id == piece_id),
                )
                or 0,
                mates=self._mates_over(connection, row.piece),
            )

    def mates(self, piece: Piece) -> tuple[PieceRow, ...]:
        """The other pieces of a piece's set, in the order in which they were registered; none for one of no set."""
        with self._connect() as connection:
            return self._mates_over(connection, piece)

    def set_named(self, maker_id: int, name: str) -> str | None:
        """A set of this maker as it is spelled, whatever case `name` is in; None where there is none."""
        kept = select(pieces.c.set_name).where(pieces.c.maker_id == maker_id, pieces.c.set_name.is_not(None)).distinct()
        with self._connect() as connection:
            return next((one for one in connection.scalars(kept) if one.casefold() == name.casefold()), None)

    def leaves(self, piece_id: int) -> frozenset[Approval]:
        """The instructor's leaves for this piece."""
        with self._connect() as connection:
            return frozenset(
                Approval(route, one.message)
                for route, findings in connection.execute(_LEAVES, {"piece_id": piece_id})
                for one in findings_of(findings)
            )

    def pieces_of(self, person_id: int, *, finished: bool = False) -> tuple[PieceRow, ...]:
        """A maker's pieces, those that changed last first: what is under way, or the last 200 claimed or lost."""
        stages = (Stage.CLAIMED, Stage.LOST) if finished else _ACTIVE
        return self._rows(
            _ROW.where(pieces.c.maker_id == person_id, pieces.c.stage.in_(stages))
            .order_by(pieces.c.since.desc(), pieces.c.id)
            .limit(200),
        )

    def broken_lately(self, person_id: int, *, since: datetime) -> tuple[PieceRow, ...]:
        """A maker's pieces that broke in the fire since then, the newest first."""
        lost = _ROW.where(pieces.c.maker_id == person_id, pieces.c.stage == Stage.LOST, pieces.c.since >= since)
        return tuple(row for row in self._rows(lost.order_by(pieces.c.since.desc())) if row.outcome is Outcome.BROKE)

    def standing(self, stage: Stage, *, limit: int = 500) -> tuple[PieceRow, ...]:
        """What stands at one stage, the longest first."""
        return self._rows(_ROW.where(pieces.c.stage == stage).order_by(pieces.c.since, pieces.c.id).limit(limit))

    def waiting(self, routes_: Collection[str] | None = None) -> tuple[PieceRow, ...]:
        """What waits for the named routes (all of them by default), oldest first."""
        return self._rows(_WAITING if routes_ is None else _WAITING.where(waiting.c.route.in_(routes_)))

    def ready_for_pickup(self, person_id: int) -> tuple[PieceRow, ...]:
        """A maker's fired pieces, the longest standing first."""
        return self._rows(
            _ROW.where(pieces.c.maker_id == person_id, pieces.c.stage == Stage.FIRED).order_by(pieces.c.since),
        )

    def places(self) -> tuple[str, ...]:
        """The shelves and boards at which pieces stand that are still in the studio, by name."""
        here = [stage for stage in Stage if stage not in {Stage.CLAIMED, Stage.LOST}]
        wanted = select(pieces.c.place).distinct().where(pieces.c.stage.in_(here), pieces.c.place != "")
        with self._connect() as connection:
            return tuple(sorted(connection.scalars(wanted), key=str.casefold))

    def by_ids(self, ids: Collection[int]) -> tuple[PieceRow, ...]:
        """The pieces with these numbers, in the order of the numbers."""
        return self._rows(_ROW.where(pieces.c.id.in_(ids)).order_by(pieces.c.id))

    def lookalikes(self, seen: Sighting, *, at: datetime) -> tuple[tuple[PieceRow, tuple[str, ...]], ...]:
        """Pieces that look like what somebody sees, the likeliest first, each with the traits it lacks."""
        with self._connect() as connection:
            known = self.known()
            found = lookalikes(connection, known.clays, known.glaze_ids, seen, at)
            rows = {row.piece.id: row for row in self._rows_over(connection, _ROW.where(pieces.c.id.in_(found)))}
        return tuple((rows[number], lacks) for number, lacks in found.items())

    def likely(self, codes: Sequence[str]) -> tuple[tuple[str, str, str], ...]:
        """Of these codes, likeliest first, those that a piece has: the code, what it is, its maker's short name."""
        wanted = select(pieces.c.code, pieces.c.what, people.c.name).join(people, people.c.id == pieces.c.maker_id)
        with self._connect() as connection:
            found = {row[0]: row for row in connection.execute(wanted.where(pieces.c.code.in_(codes)))}
        return tuple((code, found[code][1], short_name(found[code][2])) for code in codes if code in found)

    def history_line(self, line: int) -> tuple[HistoryRow, int] | None:
        """One line of history and the number of its piece, or None."""
        wanted = (
            select(history, people.c.name.label("by_name"))
            .join(people, people.c.id == history.c.by_id)
            .where(_is(history.c.id, line))
        )
        with self._connect() as connection:
            row = connection.execute(wanted).first()
            return None if row is None else (_history_of(row), row.piece_id)

    def last_line(self, piece_id: int) -> int:
        """The number of the newest line of a piece's history."""
        with self._connect() as connection:
            return connection.scalar(select(func.max(history.c.id)).where(history.c.piece_id == piece_id)) or 0

    def moves_by(self, person_id: int, *, since: datetime, limit: int) -> tuple[MoveRow, ...]:
        """The steps a person took with single pieces since then, the newest first."""
        with self._connect() as connection:
            return tuple(map(_move_of, connection.execute(_moves(person_id, since, limit))))

    # ---- questions -------------------------------------------------------------------------------------------

    def open_questions(self) -> tuple[QuestionRow, ...]:
        """Questions that nobody has answered, the oldest first."""
        return self._questions(_QUESTION.where(questions.c.answered_at.is_(None)))

    def question(self, number: int) -> QuestionRow | None:
        """One question, or None."""
        return next(iter(self._questions(_QUESTION.where(_is(questions.c.id, number)))), None)

    def pinned(
        self, *, clays_named: Collection[str] = (), glazes_named: Collection[str] = ()
    ) -> tuple[QuestionRow, ...]:
        """Answered questions that are pinned to one of these clays or glazes, the newest answer first."""
        about = or_(clays.c.name.in_(clays_named), glazes.c.name.in_(glazes_named))
        wanted = _QUESTION.where(about, questions.c.answered_at.is_not(None))
        return self._questions(wanted.order_by(None).order_by(questions.c.answered_at.desc(), questions.c.id.desc()))

    def _questions(self, wanted: Select[Any]) -> tuple[QuestionRow, ...]:
        with self._connect() as connection:
            return tuple(map(_question_of, connection.execute(wanted)))

    # ---- firings ---------------------------------------------------------------------------------------------

    def firings(self, *, open_only: bool = True, rounds: bool = True, limit: int = 50) -> tuple[FiringRow, ...]:
        """Firings, the newest first: unless `open_only` the unloaded too, and without `rounds` none outdoors."""
        inside = select(func.count()).where(loaded.c.firing_id == firings.c.id).scalar_subquery()
        came_out = select(func.count()).where(results.c.firing_id == firings.c.id).scalar_subquery()
        coming = select(func.count()).where(planned.c.firing_id == firings.c.id).scalar_subquery()
        counted = select(firings, (inside + came_out).label("how_many"), coming.label("how_many_more"))
        wanted = counted.order_by(firings.c.id.desc()).limit(limit)
        if open_only:
            wanted = wanted.where(firings.c.stage.in_(_OPEN))
        if not rounds:
            wanted = wanted.where(firings.c.session_id.is_(None))
        with self._connect() as connection:
            return tuple(map(_firing_row_of, connection.execute(wanted)))

    def firing(self, number: int) -> Firing | None:
        """One firing with the numbers of its pieces, in the order in which they went in; or None."""
        with self._connect() as connection:
            row = connection.execute(select(firings).where(_is(firings.c.id, number))).first()
            return None if row is None else self._firing_of(connection, row)

    def firing_page(self, number: int) -> FiringPage | None:
        """One firing with its pieces and what came of them, or None."""
        with self._connect() as connection:
            row = connection.execute(select(firings).where(_is(firings.c.id, number))).first()
            if row is None:
                return None
            firing = self._firing_of(connection, row)
            by_place = _ROW.where(pieces.c.id.in_(firing.piece_ids)).order_by(pieces.c.place, pieces.c.id)
            came_out = select(results.c.piece_id, results.c.outcome).where(results.c.firing_id == number)
            came_of = dict(connection.execute(came_out).all())
            by_turn = _ROW.where(planned.c.firing_id == number).order_by(planned.c.turn)
            seen = select(witnesses).where(witnesses.c.firing_id == number).order_by(witnesses.c.level, witnesses.c.id)
            return FiringPage(
                firing=firing,
                began_at=row.began_at,
                unloaded_at=row.unloaded_at,
                pieces=tuple(
                    _with_outcome(one, came_of.get(one.piece.id)) for one in self._rows_over(connection, by_place)
                ),
                coming=self._rows_over(connection, by_turn),
                witnesses=tuple(map(_witness_of, connection.execute(seen))),
                kwh=row.kwh,
                fuel_kg=row.fuel_kg,
                cost_cents=row.cost_cents,
            )

    def firing_log(self, number: int) -> tuple[tuple[int, float], ...]:
        """What a firing's log says: seconds after it was lit and °C, in their order."""
        wanted = (
            select(readings.c.second, readings.c.temp_c)
            .where(_is(readings.c.firing_id, number))
            .order_by(readings.c.second)
        )
        with self._connect() as connection:
            return tuple((row.second, row.temp_c) for row in connection.execute(wanted))

    def witnessed_firings(
        self, kiln: str, *, before: int | None = None, limit: int
    ) -> tuple[tuple[int, tuple[WitnessRow, ...]], ...]:
        """The last firings of a kiln in which witness cones were looked at, the oldest first, with their cones."""
        looked_at = select(witnesses.c.firing_id).where(witnesses.c.firing_id == firings.c.id).exists()
        wanted = select(firings.c.id).where(firings.c.kiln == kiln, looked_at).order_by(firings.c.id.desc())
        if before is not None:
            wanted = wanted.where(firings.c.id < before)
        with self._connect() as connection:
            numbers = sorted(connection.scalars(wanted.limit(limit)))
            seen = (
                select(witnesses).where(witnesses.c.firing_id.in_(numbers)).order_by(witnesses.c.level, witnesses.c.id)
            )
            rows = connection.execute(seen).all()
        return tuple((number, tuple(_witness_of(row) for row in rows if row.firing_id == number)) for number in numbers)

    def _firing_of(self, connection: Connection, row: Row[Any]) -> Firing:
        catalogue = self.catalogue()
        inside = (
            select(results.c.piece_id).where(results.c.firing_id == row.id).order_by(results.c.piece_id)
            if row.stage == FiringStage.UNLOADED
            else select(loaded.c.piece_id).where(loaded.c.firing_id == row.id).order_by(loaded.c.at, loaded.c.piece_id)
        )
        return Firing(
            id=row.id,
            kiln=catalogue.kiln(row.kiln),
            route=catalogue.route(row.route),
            target=Cone.of_rank(row.heat),
            stage=FiringStage(row.stage),
            piece_ids=tuple(connection.scalars(inside)),
            planned_ids=tuple(connection.scalars(_PLANNED, {"firing_id": row.id})),
            plan=plan_of(row.plan),
            planned_for=row.planned_for,
            lit_at=row.lit_at,
            shut_at=row.shut_at,
            session_id=row.session_id,
        )

    # ---- people ----------------------------------------------------------------------------------------------

    def people(self) -> tuple[Person, ...]:
        """Everybody in the studio, by section and name; not those whose data was removed."""
        wanted = select(people).where(people.c.removed_at.is_(None)).order_by(people.c.section, people.c.name)
        with self._connect() as connection:
            return tuple(map(person_of, connection.execute(wanted)))

    def people_named(self, text: str, *, limit: int = 30) -> tuple[Person, ...]:
        """Those whose name holds `text`, in whatever case, by name."""
        is_named = people.c.name.icontains(text, autoescape=True)
        wanted = select(people).where(is_named, people.c.removed_at.is_(None)).order_by(people.c.name)
        with self._connect() as connection:
            return tuple(person_of(row) for row in connection.execute(wanted.limit(limit)))

    def person(self, *, email: str | None = None, number: int | None = None) -> Person | None:
        """The person with this email or number, or None."""
        wanted = people.c.email == email.lower() if email is not None else _is(people.c.id, number)
        with self._connect() as connection:
            row = connection.execute(select(people).where(wanted)).first()
            return None if row is None else person_of(row)

    # ---- from rows to values ---------------------------------------------------------------------------------

    def _mates_over(self, connection: Connection, piece: Piece) -> tuple[PieceRow, ...]:
        if piece.set_name is None:
            return ()
        of_set = _ROW.where(pieces.c.maker_id == piece.maker_id, pieces.c.set_name == piece.set_name)
        return self._rows_over(connection, of_set.where(pieces.c.id != piece.id).order_by(pieces.c.id))

    def _rows(self, wanted: Select[Any]) -> tuple[PieceRow, ...]:
        with self._connect() as connection:
            return self._rows_over(connection, wanted)

    def _rows_over(self, connection: Connection, wanted: Select[Any]) -> tuple[PieceRow, ...]:
        rows = connection.execute(wanted).all()
        known = self.known()
        worn = _layers_of(connection, known, [row.id for row in rows if row.stage not in _BARE])
        return tuple(
            PieceRow(
                piece=piece_of(row, known.clays[row.clay_id], worn.get(row.id, ())),
                maker_name=row.maker_name,
                section=row.section,
                since=row.since,
                outcome=Outcome(row.outcome) if row.outcome else None,
                question_open=bool(row.open_questions),
                firing_id=row.firing_id,
                waiting_since=row.waiting_since,
                accepted=tuple(json.loads(row.accepted or "[]")),
            )
            for row in rows
        )

    def _piece_of(self, rows: Sequence[Row[Any]]) -> Piece:
        known, first = self.known(), rows[0]
        worn = [layer_of(known.glazes[row.glaze_id], row.zone) for row in rows if row.glaze_id is not None]
        return piece_of(first, known.clays[first.clay_id], worn)


def _moves(person_id: int, since: datetime, limit: int) -> Select[Any]:
    later = history.alias("later")
    newest = select(func.max(later.c.id)).where(later.c.piece_id == history.c.piece_id).scalar_subquery()
    return (
        select(history.c.id, history.c.step, history.c.undoes, history.c.piece_id, pieces.c.code, requests.c.receipt)
        .add_columns((newest == history.c.id).label("is_last"))
        .join(pieces, pieces.c.id == history.c.piece_id)
        .join(requests, requests.c.key == history.c.request_key)
        .where(history.c.at >= since, history.c.by_id == person_id, history.c.step.in_(_MOVES))
        .order_by(history.c.at.desc(), history.c.id.desc())
        .limit(limit)
    )


def _move_of(row: Row[Any]) -> MoveRow:
    return MoveRow(
        line=row.id,
        step=StepName(row.step),
        ref=row.code or slip_text(row.piece_id),
        message=receipt_of(row.receipt).message,
        undoes=row.undoes,
        is_last=bool(row.is_last),
    )


_MOVES = (
    StepName.WAX,
    StepName.WASH_OFF,
    StepName.QUEUE,
    StepName.PULL_BACK,
    StepName.SHELVE,
    StepName.LOSE,
    StepName.FIND,
)
_BARE = (Stage.GREENWARE, Stage.BISQUED, Stage.WAXED)
_OPEN = tuple(stage for stage in FiringStage if stage is not FiringStage.UNLOADED)
_CHUNK = 500
_LARGEST_NUMBER = 2**31 - 1


def _by(wanted: Select[Any], code: str | None, number: int | None) -> Select[Any]:
    return wanted.where(pieces.c.code == code if code is not None else _is(pieces.c.id, number))


def _is(column: Column[int], number: int | None) -> ColumnElement[bool]:
    """Whether a row has this number; no row has one that the column could not hold."""
    return column == number if number is not None and number <= _LARGEST_NUMBER else false()


def _layers_of(connection: Connection, known: Known, ids: Sequence[int]) -> Mapping[int, Sequence[Layer]]:
    worn: dict[int, list[Layer]] = defaultdict(list)
    for start in range(0, len(ids), _CHUNK):
        for piece_id, glaze_id, zone in connection.execute(_LAYERS, {"ids": ids[start : start + _CHUNK]}):
            worn[piece_id].append(layer_of(known.glazes[glaze_id], zone))
    return worn


def _read_known(connection: Connection, version: str) -> Known:
    facts = dict(connection.execute(select(house.c.name, house.c.value)).all())
    all_clays = {row.id: clay_of(row) for row in connection.execute(select(clays).order_by(clays.c.name))}
    all_glazes = {row.id: glaze_of(row) for row in connection.execute(select(glazes).order_by(glazes.c.name))}
    served: dict[str, set[str]] = defaultdict(set)
    fired_now = select(kiln_routes.c.kiln, kiln_routes.c.route).where(kiln_routes.c.retired.is_(False))
    for kiln, route in connection.execute(fired_now):
        served[kiln].add(route)
    catalogue = Catalogue(
        clays={clay.name: clay for clay in all_clays.values()},
        glazes={glaze.name: glaze for glaze in all_glazes.values()},
        routes={row.name: route_of(row) for row in connection.execute(select(routes).order_by(routes.c.heat))},
        kilns={
            row.name: kiln_of(row, served[row.name]) for row in connection.execute(select(kilns).order_by(kilns.c.name))
        },
        practice=practice_of(facts["practice"]),
    )
    return Known(
        version=version,
        studio=Studio(
            name=facts["name"],
            timezone=facts["timezone"],
            address=facts["address"],
            catalogue=catalogue,
            line=facts.get("line", ""),
            labels=labels_of(facts.get("labels", "[]")),
        ),
        clays=all_clays,
        glazes=all_glazes,
        clay_ids={clay.name: number for number, clay in all_clays.items()},
        glaze_ids={glaze.name: number for number, glaze in all_glazes.items()},
    )


def _history_of(row: Row[Any]) -> HistoryRow:
    return HistoryRow(
        id=row.id,
        at=row.at,
        by=row.by_name,
        by_id=row.by_id,
        step=StepName(row.step),
        start=Stage(row.start) if row.start else None,
        to=Stage(row.to),
        route=row.route,
        kiln=row.kiln,
        firing_id=row.firing_id,
        place=row.place,
        findings=findings_of(row.verdict),
        accepted=tuple(json.loads(row.accepted or "[]")),
        outcome=row.outcome,
        reason=row.reason,
        facts=line_facts_of(row),
        undoes=row.undoes,
    )


def _question_of(row: Row[Any]) -> QuestionRow:
    return QuestionRow(
        id=row.id,
        piece_id=row.piece_id,
        ref=row.code or slip_text(row.piece_id),
        what=row.what,
        maker_name=row.maker_name,
        route=row.route,
        text=question_of(row),
        findings=findings_of(row.findings),
        asked_by=row.asker_name,
        asked_at=row.asked_at,
        answered_by=row.answerer_name,
        answered_at=row.answered_at,
        allows=row.allows,
        answer=row.answer,
        pinned_clay=row.about_clay,
        pinned_glaze=row.about_glaze,
    )


def _firing_row_of(row: Row[Any]) -> FiringRow:
    return FiringRow(
        id=row.id,
        kiln=row.kiln,
        route=row.route,
        target=Cone.of_rank(row.heat),
        stage=FiringStage(row.stage),
        began_at=row.began_at,
        unloaded_at=row.unloaded_at,
        planned_for=row.planned_for,
        lit_at=row.lit_at,
        shut_at=row.shut_at,
        count=row.how_many,
        planned=row.how_many_more,
    )


def _witness_of(row: Row[Any]) -> WitnessRow:
    return WitnessRow(level=row.level, cone=Cone.of_rank(row.cone), kind=row.kind, stands=row.stands)


def _with_outcome(row: PieceRow, outcome: str | None) -> PieceRow:
    return replace(row, outcome=Outcome(outcome) if outcome else None)
