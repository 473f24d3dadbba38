"""What pages, papers and use cases ask about pieces, their history and their sets."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Literal

from sqlalchemy import Connection, Row, Select, bindparam, func, literal_column, select

from tracker.domain.cones import Cone
from tracker.domain.findings import Approval, Finding
from tracker.domain.message import Fact, Message
from tracker.domain.pieces.codes import slip_text
from tracker.domain.pieces.nameless import Sighting
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import WISHED_AT, Piece, Stage, StepName
from tracker.domain.pieces.wishes import Wish
from tracker.domain.studio.materials import Layer
from tracker.domain.studio.people import Person, short_name
from tracker.store.connected import Connect
from tracker.store.labels.print_records import LIKE_NOW
from tracker.store.mappers import findings_of, layer_of, line_facts_of, line_outcome_of, person_of, piece_of, receipt_of
from tracker.store.numbers import AT_ONCE, is_number, is_possible
from tracker.store.pieces import newest
from tracker.store.pieces.lookalikes import lookalikes
from tracker.store.pieces.wish_book import wish_of
from tracker.store.prepared import Prepared
from tracker.store.rules.queries import QuestionQueries, QuestionRow
from tracker.store.studio.known import Known
from tracker.store.studio.terms import SECTION, of_people
from tracker.store.tables import (
    UtcTime,
    caught,
    firings,
    history,
    layers,
    leaving,
    loaded,
    merged,
    people,
    pieces,
    planned,
    prints,
    questions,
    requests,
    results,
    waiting,
    wishes,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceRow:
    """A piece as lists show it. `since` is when it came to its stage.

    `outcome` is what its last fire made of it, here without the notes. `firing_id` is the firing in whose kiln it
    stands, `leaving_id` the one whose kiln it must leave, `kiln` that kiln's name. `wish` says where its maker wants it
    fired.
    """

    piece: Piece
    maker_name: str
    section: str
    since: datetime
    outcome: Outcome | None = None
    question_open: bool = False
    firing_id: int | None = None
    leaving_id: int | None = None
    kiln: str = ""
    waiting_since: datetime | None = None
    accepted: tuple[str, ...] = ()
    wish: Wish | None = None

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
    """One line of a piece's history, with the name of who took the step.

    `route` is the piece's own; `firing_route` is what its firing was for, and `firing_target` the cone that
    counts for that: the one it aimed at, unless staff said that it reached another.
    """

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
    outcome: Outcome | None
    reason: str
    facts: Mapping[str, Fact]
    undoes: int | None
    firing_route: str | None = None
    firing_target: Cone | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveRow:
    """A step somebody took lately, in the words of its receipt; `is_last` while its piece has had no other since."""

    line: int
    step: StepName
    ref: str
    message: Message
    undoes: int | None
    is_last: bool
    route: str | None = None


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
_KILN = (
    select(firings.c.kiln)
    .where(firings.c.id == func.coalesce(loaded.c.firing_id, caught.c.firing_id, leaving.c.firing_id))
    .correlate(loaded, caught, leaving)
    .scalar_subquery()
    .label("kiln")
)
# What is caught in a hot kiln waits in no queue and counts as loaded in none, but is there all the same.
_WAITS_FOR = func.coalesce(waiting.c.route, caught.c.queue_route).label("waits_for")
_IN_FIRING = func.coalesce(loaded.c.firing_id, caught.c.firing_id).label("firing_id")
_WISHER = people.alias("wisher")
PIECE_ROW = (
    select(
        pieces,
        _WAITS_FOR,
        func.coalesce(waiting.c.since, caught.c.waiting_since, type_=UtcTime()).label("waiting_since"),
        func.coalesce(waiting.c.accepted, caught.c.accepted).label("accepted"),
        _IN_FIRING,
        leaving.c.firing_id.label("leaving_id"),
        planned.c.firing_id.label("planned_in"),
        people.c.name.label("maker_name"),
        SECTION,
        people.c.supervised,
        _LAST_OUTCOME,
        _KILN,
        _OPEN_QUESTIONS,
        wishes.c.route.label("wish_route"),
        wishes.c.at.label("wish_at"),
        _WISHER.c.name.label("wish_by"),
    )
    .join(people, people.c.id == pieces.c.maker_id)
    .outerjoin(waiting, waiting.c.piece_id == pieces.c.id)
    .outerjoin(loaded, loaded.c.piece_id == pieces.c.id)
    .outerjoin(caught, caught.c.piece_id == pieces.c.id)
    .outerjoin(leaving, leaving.c.piece_id == pieces.c.id)
    .outerjoin(planned, planned.c.piece_id == pieces.c.id)
    .outerjoin(wishes, wishes.c.piece_id == pieces.c.id)
    .outerjoin(_WISHER, _WISHER.c.id == wishes.c.by_id)
)
# Whatever waits is queued; only by the stage does an engine find the few of them among all that ever were.
_WAITING = PIECE_ROW.where(pieces.c.stage == Stage.QUEUED, waiting.c.route.is_not(None)).order_by(
    waiting.c.since, pieces.c.id
)
_TIMES_OF_RECORD = frozenset({"registered_at", "since", "reminded_at"})
"""What a piece itself doesn't know of its row; reading a moment costs more than reading all its numbers."""
_PIECE = (
    select(
        *(column for column in pieces.c if column.name not in _TIMES_OF_RECORD),
        _WAITS_FOR,
        _IN_FIRING,
        planned.c.firing_id.label("planned_in"),
        _OPEN_QUESTIONS,
        people.c.supervised,
        layers.c.glaze_id,
        layers.c.zone,
        layers.c.fired_to.label("layer_fired_to"),
    )
    .join(people, people.c.id == pieces.c.maker_id)
    .outerjoin(waiting, waiting.c.piece_id == pieces.c.id)
    .outerjoin(loaded, loaded.c.piece_id == pieces.c.id)
    .outerjoin(caught, caught.c.piece_id == pieces.c.id)
    .outerjoin(planned, planned.c.piece_id == pieces.c.id)
    .outerjoin(layers, layers.c.piece_id == pieces.c.id)
    .order_by(layers.c.id)
)
"""A piece with its layers: one row for each layer, or a single row without."""
_PIECE_BY_CODE = Prepared(_PIECE.where(pieces.c.code == bindparam("ref")))
_PIECE_BY_NUMBER = Prepared(_PIECE.where(pieces.c.id == bindparam("ref")))
_ROW_BY_CODE = PIECE_ROW.where(pieces.c.code == bindparam("ref"))
_ROW_BY_NUMBER = PIECE_ROW.where(pieces.c.id == bindparam("ref"))
_LINE = (
    select(history, people.c.name.label("by_name"))
    .add_columns(firings.c.route.label("firing_route"))
    .add_columns(func.coalesce(firings.c.fired_to, firings.c.heat).label("firing_heat"))
    .join(people, people.c.id == history.c.by_id)
    .outerjoin(firings, firings.c.id == history.c.firing_id)
)
_ONE_LINE = Prepared(_LINE.where(history.c.id == bindparam("line")))
_LAST_LINE = Prepared(select(func.max(history.c.id).label("last")).where(history.c.piece_id == bindparam("of_piece")))
_WISH = Prepared(select(wishes.c.route).where(wishes.c.piece_id == bindparam("of_piece")))
_OF_PIECE = _LINE.where(history.c.piece_id == bindparam("of_piece")).order_by(history.c.id.desc()).limit(1)
# With the step written out: where an index is of some steps only, SQLite plans anew for each that is handed to it.
_LAST_OF_STEP = {
    step: Prepared(_OF_PIECE.where(history.c.step == literal_column(f"'{step}'")))
    for step in (StepName.QUEUE, StepName.PULL_BACK)
}
_LAYERS = (
    select(layers.c.piece_id, layers.c.glaze_id, layers.c.zone, layers.c.fired_to)
    .where(layers.c.piece_id.in_(bindparam("ids", expanding=True)))
    .order_by(layers.c.id)
)
_ACTIVE = (Stage.GREENWARE, Stage.BISQUED, Stage.WAXED, Stage.GLAZED, Stage.QUEUED, Stage.FIRED)
_MOST_UNDER_WAY = 500
_MOVES = (
    StepName.WAX,
    StepName.WASH_OFF,
    StepName.NOT_WAXED,
    StepName.QUEUE,
    StepName.PULL_BACK,
    StepName.SHELVE,
    StepName.LOSE,
    StepName.FIND,
)


class PieceQueries:
    """The pieces: `store.read.pieces`."""

    def __init__(self, connect: Connect, known: Callable[[], Known], questions: QuestionQueries) -> None:
        """Ask over connections that `connect` gives; `known` gives the catalog with its numbers."""
        self._connect = connect
        self._known = known
        self._questions = questions

    def piece(self, *, code: str | None = None, number: int | None = None, hold: bool = False) -> Piece | None:
        """The piece with this code or slip number, or None; `hold` keeps others from changing it until the end."""
        with self._connect() as connection:
            # SQLite lets one writer in at a time, so within a change nobody else can touch the piece anyway.
            if hold and connection.dialect.name != "sqlite":
                connection.execute(_by(select(pieces.c.id), code, number).with_for_update())
            wanted = _PIECE_BY_NUMBER if code is None else _PIECE_BY_CODE
            rows = wanted.all(connection, {"ref": number if code is None else code})
            return self._piece_of(rows) if rows else None

    def row(self, *, code: str | None = None, number: int | None = None) -> PieceRow | None:
        """The piece with this code or slip number as lists show it, or None."""
        if code is None and not is_possible(number):
            return None
        wanted = _ROW_BY_NUMBER if code is None else _ROW_BY_CODE
        with self._connect() as connection:
            found = self.rows_over(connection, wanted, {"ref": number if code is None else code})
        return next(iter(found), None)

    def page(self, piece_id: int) -> PiecePage:
        """All that the page of the piece with this number shows."""
        with self._connect() as connection:
            (row,) = self.rows_over(connection, PIECE_ROW.where(pieces.c.id == piece_id))
            maker = person_of(connection.execute(of_people().where(people.c.id == row.piece.maker_id)).one())
            lines = connection.execute(
                _LINE.where(history.c.piece_id == piece_id).order_by(history.c.id),
            )
            return PiecePage(
                row=row,
                maker=maker,
                history=_with_names(connection, tuple(map(_history_of, lines))),
                questions=self._questions.of_piece(piece_id),
                leaves=self._questions.leaves(piece_id),
                times_printed=connection.scalar(
                    select(func.count())
                    .select_from(prints)
                    .join(pieces, pieces.c.id == prints.c.piece_id)
                    .where(prints.c.piece_id == piece_id, LIKE_NOW),
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

    def of(self, person_id: int) -> tuple[PieceRow, ...]:
        """A maker's pieces that are under way, those that changed last first, at most 500."""
        own = PIECE_ROW.where(pieces.c.maker_id == person_id, pieces.c.stage.in_(_ACTIVE))
        return self._rows(own.order_by(pieces.c.since.desc(), pieces.c.id).limit(_MOST_UNDER_WAY))

    def finished_of(self, person_id: int, text: str = "", *, skip: int = 0, limit: int) -> tuple[PieceRow, ...]:
        """A maker's claimed and lost pieces, the newest first: those whose name or code has `text` in it.

        Where there is a `text`, the newest 500 of each are looked through.
        """
        with self._connect() as connection:
            found = newest.finished(connection, person_id, text, skip=skip, limit=limit)
            done = PIECE_ROW.where(pieces.c.id.in_(found)).order_by(pieces.c.since.desc(), pieces.c.id)
            return self.rows_over(connection, done)

    def last_steps(self, piece_ids: Collection[int]) -> dict[int, datetime]:
        """When the last step was taken with each of these pieces that nobody undid; at most a page of them."""
        if not piece_ids:
            return {}
        of_these = history.c.piece_id.in_(piece_ids)
        undone = select(history.c.undoes).where(of_these, history.c.undoes.is_not(None))
        wanted = (
            select(history.c.piece_id, func.max(history.c.at).label("last_at"))
            .where(of_these, history.c.undoes.is_(None), history.c.id.not_in(undone))
            .group_by(history.c.piece_id)
        )
        with self._connect() as connection:
            return {row.piece_id: row.last_at for row in connection.execute(wanted)}

    def waited_for(self, piece_ids: Collection[int]) -> dict[int, str | None]:
        """For which firing type each of these pieces was queued when it was last fired; at most a page of them."""
        if not piece_ids:
            return {}
        wanted = select(history.c.piece_id, history.c.route).where(
            history.c.piece_id.in_(piece_ids), history.c.step == StepName.FIRE
        )
        with self._connect() as connection:
            return {row.piece_id: row.route for row in connection.execute(wanted.order_by(history.c.id))}

    def last_registered(self, maker_id: int, *, most: int = 12) -> tuple[PieceRow, ...]:
        """The pieces that a maker registered last, the newest first, wherever they are by now."""
        last = pieces.c.registered_at.desc(), pieces.c.id.desc()
        return self._rows(PIECE_ROW.where(pieces.c.maker_id == maker_id).order_by(*last).limit(most))

    def lost_lately(self, person_id: int, *, since: datetime) -> tuple[PieceRow, ...]:
        """A maker's pieces that were lost since then, the newest first."""
        lost = PIECE_ROW.where(pieces.c.maker_id == person_id, pieces.c.stage == Stage.LOST, pieces.c.since >= since)
        return self._rows(lost.order_by(pieces.c.since.desc()))

    def standing(self, stage: Stage, *, limit: int = 500) -> tuple[PieceRow, ...]:
        """What stands at one stage, the longest first."""
        return self._rows(PIECE_ROW.where(pieces.c.stage == stage).order_by(pieces.c.since, pieces.c.id).limit(limit))

    def waiting(self, routes_: Collection[str] | None = None) -> tuple[PieceRow, ...]:
        """What waits for the named routes (all of them by default), oldest first."""
        return self._rows(_WAITING if routes_ is None else _WAITING.where(waiting.c.route.in_(routes_)))

    def wished(self) -> tuple[PieceRow, ...]:
        """What waits for staff to put it where its maker wants it fired, the oldest wish first."""
        open_ = PIECE_ROW.where(wishes.c.piece_id.is_not(None), pieces.c.stage.in_(WISHED_AT))
        return self._rows(open_.order_by(wishes.c.at, pieces.c.id))

    def wish(self, piece_id: int) -> str | None:
        """The firing type that somebody wants for a piece, by its name; None where nobody said."""
        with self._connect() as connection:
            row = _WISH.first(connection, {"of_piece": piece_id})
            return None if row is None else str(row.route)

    def leads_to(self, piece_id: int) -> int | None:
        """The number of the piece that this one is, which was registered twice; None for any other."""
        with self._connect() as connection:
            return connection.scalar(select(merged.c.into_id).where(merged.c.piece_id == piece_id))

    def registered_twice_as(self, piece_id: int) -> tuple[PieceRow, ...]:
        """The other registrations of a piece, whose tickets and codes lead to it."""
        with self._connect() as connection:
            return self.numbered(connection, select(merged.c.piece_id).where(merged.c.into_id == piece_id))

    def ready_for_pickup(self, person_id: int) -> tuple[PieceRow, ...]:
        """A maker's fired pieces, the longest standing first."""
        return self._rows(
            PIECE_ROW.where(pieces.c.maker_id == person_id, pieces.c.stage == Stage.FIRED).order_by(pieces.c.since),
        )

    def places(self) -> tuple[str, ...]:
        """The shelves and boards at which pieces stand that are still in the studio, by name."""
        here = [stage for stage in Stage if stage not in {Stage.CLAIMED, Stage.LOST}]
        wanted = select(pieces.c.place).distinct().where(pieces.c.stage.in_(here), pieces.c.place != "")
        with self._connect() as connection:
            return tuple(sorted(connection.scalars(wanted), key=str.casefold))

    def by_ids(self, ids: Collection[int]) -> tuple[PieceRow, ...]:
        """The pieces with these numbers, in the order of the numbers."""
        with self._connect() as connection:
            return self._numbered(connection, ids)

    def lookalikes(self, seen: Sighting, *, at: datetime) -> tuple[tuple[PieceRow, tuple[str, ...]], ...]:
        """Pieces that look like what somebody sees, the likeliest first, each with the traits it lacks."""
        with self._connect() as connection:
            known = self._known()
            found = lookalikes(connection, known.clays, known.glaze_ids, seen, at)
            rows = {row.piece.id: row for row in self.rows_over(connection, PIECE_ROW.where(pieces.c.id.in_(found)))}
        return tuple((rows[number], lacks) for number, lacks in found.items())

    def likely(self, codes: Sequence[str]) -> tuple[tuple[str, str, str], ...]:
        """Of these codes, likeliest first, those that a piece has: the code, what it is, its maker's short name."""
        wanted = select(pieces.c.code, pieces.c.what, people.c.name).join(people, people.c.id == pieces.c.maker_id)
        with self._connect() as connection:
            found = {row[0]: row for row in connection.execute(wanted.where(pieces.c.code.in_(codes)))}
        return tuple((code, found[code][1], short_name(found[code][2])) for code in codes if code in found)

    def history_line(self, line: int) -> tuple[HistoryRow, int] | None:
        """One line of history and the number of its piece, or None."""
        if not is_possible(line):
            return None
        with self._connect() as connection:
            row = _ONE_LINE.first(connection, {"line": line})
            return None if row is None else (_history_of(row), row.piece_id)

    def last_line(self, piece_id: int) -> int:
        """The number of the newest line of a piece's history."""
        with self._connect() as connection:
            return int(_LAST_LINE.first(connection, {"of_piece": piece_id}).last or 0)

    def last_of_step(self, piece_id: int, step: Literal[StepName.QUEUE, StepName.PULL_BACK]) -> HistoryRow | None:
        """The newest line of a piece's history with this step, or None."""
        with self._connect() as connection:
            row = _LAST_OF_STEP[step].first(connection, {"of_piece": piece_id})
            return None if row is None else _history_of(row)

    def moves_by(self, person_id: int, *, since: datetime, limit: int) -> tuple[MoveRow, ...]:
        """The steps a person took with single pieces since then, the newest first."""
        with self._connect() as connection:
            return tuple(map(_move_of, connection.execute(_moves(person_id, since, limit))))

    def _rows(self, wanted: Select[Any]) -> tuple[PieceRow, ...]:
        with self._connect() as connection:
            return self.rows_over(connection, wanted)

    def numbered(self, connection: Connection, wanted: Select[int]) -> tuple[PieceRow, ...]:
        """The pieces whose numbers a query gives, in the order of the numbers, over a connection that is open already.

        Within `PIECE_ROW` PostgreSQL would not begin with that query, for it joins more than eight tables: it would
        go through every piece there ever was.
        """
        return self._numbered(connection, connection.scalars(wanted).all())

    def _numbered(self, connection: Connection, ids: Collection[int]) -> tuple[PieceRow, ...]:
        each, found = sorted(set(ids)), list[PieceRow]()
        for start in range(0, len(each), AT_ONCE):
            some = pieces.c.id.in_(each[start : start + AT_ONCE])
            found += self.rows_over(connection, PIECE_ROW.where(some).order_by(pieces.c.id))
        return tuple(found)

    def rows_over(
        self, connection: Connection, wanted: Select[Any], values: Mapping[str, object] | None = None
    ) -> tuple[PieceRow, ...]:
        """The pieces that a query made of `PIECE_ROW` finds, over a connection that is open already."""
        rows = connection.execute(wanted, values).all()
        known = self._known()
        worn = _layers_of(connection, known, [row.id for row in rows])
        return tuple(
            PieceRow(
                piece=piece_of(row, known.clays[row.clay_id], worn.get(row.id, ())),
                maker_name=row.maker_name,
                section=row.section,
                since=row.since,
                outcome=Outcome.parse(row.outcome) if row.outcome else None,
                question_open=bool(row.open_questions),
                firing_id=row.firing_id,
                leaving_id=row.leaving_id,
                kiln=row.kiln or "",
                waiting_since=row.waiting_since,
                accepted=tuple(json.loads(row.accepted or "[]")),
                wish=wish_of(row),
            )
            for row in rows
        )

    def _mates_over(self, connection: Connection, piece: Piece) -> tuple[PieceRow, ...]:
        if piece.set_name is None:
            return ()
        of_set = PIECE_ROW.where(pieces.c.maker_id == piece.maker_id, pieces.c.set_name == piece.set_name)
        return self.rows_over(connection, of_set.where(pieces.c.id != piece.id).order_by(pieces.c.id))

    def _piece_of(self, rows: Sequence[Row[Any]]) -> Piece:
        known, first = self._known(), rows[0]
        worn = [
            layer_of(known.glazes[row.glaze_id], row.zone, row.layer_fired_to)
            for row in rows
            if row.glaze_id is not None
        ]
        return piece_of(first, known.clays[first.clay_id], worn)


def _moves(person_id: int, since: datetime, limit: int) -> Select[Any]:
    later = history.alias("later")
    newest = select(func.max(later.c.id)).where(later.c.piece_id == history.c.piece_id).scalar_subquery()
    return (
        select(history.c.id, history.c.step, history.c.undoes, history.c.piece_id, pieces.c.code, requests.c.receipt)
        .add_columns((newest == history.c.id).label("is_last"), history.c.route)
        .join(pieces, pieces.c.id == history.c.piece_id)
        .join(requests, requests.c.key == history.c.request_key)
        .where(history.c.at >= since, history.c.by_id == person_id, history.c.step.in_(_MOVES))
        .order_by(history.c.at.desc(), history.c.id.desc())
        .limit(limit)
    )


def _with_names(connection: Connection, lines: tuple[HistoryRow, ...]) -> tuple[HistoryRow, ...]:
    """The same lines, with what they who gave and got the piece are called now, where it was given away."""
    given = [line for line in lines if line.step is StepName.GIVE]
    if not given:
        return lines
    numbers = {line.facts[name] for line in given for name in ("from_id", "to_id")}
    asked = select(people.c.id, people.c.name).where(people.c.id.in_(numbers))
    names = {row.id: row.name for row in connection.execute(asked)}
    return tuple(
        replace(line, facts={**line.facts, "was": names[line.facts["from_id"]], "now": names[line.facts["to_id"]]})
        if line.step is StepName.GIVE
        else line
        for line in lines
    )


def _move_of(row: Row[Any]) -> MoveRow:
    return MoveRow(
        line=row.id,
        step=StepName(row.step),
        ref=row.code or slip_text(row.piece_id),
        message=receipt_of(row.receipt).message,
        undoes=row.undoes,
        is_last=bool(row.is_last),
        route=row.route,
    )


def _by(wanted: Select[Any], code: str | None, number: int | None) -> Select[Any]:
    return wanted.where(pieces.c.code == code if code is not None else is_number(pieces.c.id, number))


def _layers_of(connection: Connection, known: Known, ids: Sequence[int]) -> Mapping[int, Sequence[Layer]]:
    worn: dict[int, list[Layer]] = defaultdict(list)
    for start in range(0, len(ids), AT_ONCE):
        for piece_id, glaze_id, zone, fired in connection.execute(_LAYERS, {"ids": ids[start : start + AT_ONCE]}):
            worn[piece_id].append(layer_of(known.glazes[glaze_id], zone, fired))
    return worn


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
        outcome=line_outcome_of(row),
        reason=row.reason,
        facts=line_facts_of(row),
        undoes=row.undoes,
        firing_route=row.firing_route,
        firing_target=None if row.firing_heat is None else Cone.of_rank(row.firing_heat),
    )
