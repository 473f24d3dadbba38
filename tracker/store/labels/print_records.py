"""The book of printings: written as they happen, read for the desk, and never changed."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, Select, Table, and_, func, insert, or_, select

from tracker.domain.labels.print_jobs import PrintJob, PrintOrder
from tracker.domain.pieces.codes import slip_text
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.people import short_name
from tracker.store.connected import Asked, Written
from tracker.store.numbers import AT_ONCE, LARGEST_NUMBER, new_number
from tracker.store.tables import (
    RUNS_STUDIO,
    caught,
    history,
    loaded,
    people,
    pieces,
    planned,
    print_jobs,
    prints,
    questions,
    routes,
    sections,
)

_HERE = tuple(stage for stage in Stage if stage not in {Stage.CLAIMED, Stage.LOST})
"""The stages of pieces that are still in the studio."""


def _of_it(table: Table) -> Select[tuple[int]]:
    """The rows of a table that are of the piece that is asked about."""
    return select(table.c.piece_id).where(table.c.piece_id == pieces.c.id).correlate(pieces)


IN_A_KILN = or_(*(_of_it(table).exists() for table in (loaded, caught)))
ON_A_SHELF = and_(pieces.c.stage.in_(_HERE), pieces.c.place != "", ~IN_A_KILN)
"""Whether a piece is on a shelf or cart of the studio; what is loaded into a kiln has left it."""


def late_for_its_maker(before: Mapping[Stage, datetime], carts: Collection[str]) -> ColumnElement[bool]:
    """Whether a piece came to its stage before the moment given for it and its maker can do something about it.

    Not where they have done their part: it's on one of these `carts`, planned for a firing, in a kiln, or has an open
    question.
    """
    is_late = or_(*(and_(pieces.c.stage == stage, pieces.c.since < moment) for stage, moment in before.items()))
    is_off_carts = or_(pieces.c.stage == Stage.FIRED, pieces.c.place.not_in(list(carts)))
    is_planned = _of_it(planned).exists()
    is_asked = _of_it(questions).where(questions.c.answered_at.is_(None)).exists()
    return and_(is_late, is_off_carts, ~IN_A_KILN, ~is_planned, ~is_asked)


_SEARCHED = 20_000
_LATELY = 50
"""So many printings of a kind are looked through."""

LIKE_NOW = prints.c.of_ticket == pieces.c.code.is_(None)
"""Whether a tag is like the one that its piece would get now: a ticket, or a tag with its code."""

_JOBS = select(print_jobs, people.c.name.label("by_name")).join(people, people.c.id == print_jobs.c.by_id)


class PaperBook(Written):
    """What a change writes into the book."""

    def note(self, order: PrintOrder, reprints: Collection[str]) -> int:
        """Put a printing on record; gives its number."""
        done = self._connection.execute(
            insert(print_jobs),
            {
                "kind": order.kind,
                "things": json.dumps(order.things, ensure_ascii=False),
                "stock": order.stock,
                "start_at": order.start_at,
                "nudge_x": order.nudge[0],
                "nudge_y": order.nudge[1],
                "dpi": order.dpi,
                "line": order.line,
                "labels": order.labels,
                "reprints": json.dumps(sorted(reprints), ensure_ascii=False),
                "by_id": self._request.by.id,
                "at": self._request.at,
            },
        )
        return new_number(done)

    def printed_before(self, piece_ids: Sequence[int]) -> frozenset[int]:
        """Which of these pieces had a tag printed like the one that they get now, a ticket or a tag with their code.

        Until this change is over nobody else prints one of them.
        """
        for start in range(0, len(piece_ids), AT_ONCE):
            some = sorted(piece_ids)[start : start + AT_ONCE]
            held = select(pieces.c.id).where(pieces.c.id.in_(some)).order_by(pieces.c.id).with_for_update()
            self._connection.execute(held).all()
        return _tagged(self._connection, piece_ids)

    def note_tags(self, tickets: Mapping[int, bool], job: int) -> None:
        """Note that these pieces' tags come out of printing `job`: by their number, whether each is a ticket."""
        row = {"by_id": self._request.by.id, "at": self._request.at, "job_id": job}
        rows = [{"piece_id": number, "of_ticket": is_ticket, **row} for number, is_ticket in tickets.items()]
        self._connection.execute(insert(prints), rows)


class PaperQueries(Asked):
    """What the print desk asks: `store.read.papers`."""

    def job(self, number: int) -> PrintJob | None:
        """The printing with this number, or None."""
        if number > LARGEST_NUMBER:
            return None
        with self._connect() as connection:
            row = connection.execute(_JOBS.where(print_jobs.c.id == number)).first()
            return None if row is None else _job_of(row)

    def once_fired(self, piece_ids: Sequence[int]) -> frozenset[int]:
        """Which of these pieces were fired raw with their glaze, without a bisque."""
        found: set[int] = set()
        with self._connect() as connection:
            for start in range(0, len(piece_ids), AT_ONCE):
                some = history.c.piece_id.in_(piece_ids[start : start + AT_ONCE])
                fired_once = select(history.c.piece_id).join(routes, routes.c.name == history.c.route)
                wanted = fired_once.where(some, history.c.step == StepName.FIRE, routes.c.kind == RouteKind.ONCE_FIRE)
                found.update(connection.scalars(wanted))
        return frozenset(found)

    def jobs(
        self,
        *,
        by_id: int | None = None,
        before: int | None = None,
        sought: Mapping[str, Collection[str]] | None = None,
        limit: int = 50,
    ) -> tuple[PrintJob, ...]:
        """Printings, the newest first: one person's, or everybody's; those numbered below `before`.

        `sought` holds words, each with the kinds of paper that it means: a printing that is wanted has every word in
        its things, its stock or its person's name, or is of such a kind. Looked through are the newest 20,000.
        """
        newest = LARGEST_NUMBER if before is None else min(before, LARGEST_NUMBER)
        wanted = _JOBS.where(print_jobs.c.id < newest).order_by(print_jobs.c.id.desc()).limit(limit)
        if by_id is not None:
            wanted = wanted.where(print_jobs.c.by_id == by_id)
        if sought:
            last = select(func.max(print_jobs.c.id)).scalar_subquery()
            wanted = wanted.where(print_jobs.c.id > last - _SEARCHED)
        for word, kinds in (sought or {}).items():
            told = (print_jobs.c.things, print_jobs.c.stock, people.c.name)
            named = [column.icontains(word, autoescape=True) for column in told]
            wanted = wanted.where(or_(*named, print_jobs.c.kind.in_(kinds)))
        with self._connect() as connection:
            return tuple(map(_job_of, connection.execute(wanted)))

    def stock_of_staff(self, kind: str) -> str:
        """The name of the stock on which staff printed this kind of paper last; empty where they haven't lately."""
        lately = (
            select(print_jobs.c.stock, print_jobs.c.by_id)
            .where(print_jobs.c.kind == kind)
            .order_by(print_jobs.c.id.desc())
            .limit(_LATELY)
            .subquery()
        )
        of_staff = select(lately.c.stock).join(people, people.c.id == lately.c.by_id).where(RUNS_STUDIO)
        with self._connect() as connection:
            return connection.scalar(of_staff.limit(1)) or ""

    def printed_since(self, piece_ids: Sequence[int], since: datetime | None = None) -> frozenset[int]:
        """Which of these pieces had a tag printed like the one that they get now, ever or at `since` or later."""
        with self._connect() as connection:
            return _tagged(connection, piece_ids, since)

    # ---- which pieces there are to choose from -------------------------------------------------------------------

    def at_place(self, place: str) -> tuple[int, ...]:
        """The numbers of the pieces that stand at a shelf or board."""
        return self._numbers(select(pieces.c.id).where(pieces.c.place == place, ON_A_SHELF))

    def in_section(self, section: str) -> tuple[int, ...]:
        """The numbers of the pieces of a section's students that are still in the studio."""
        theirs = select(pieces.c.id).join(people, people.c.id == pieces.c.maker_id)
        theirs = theirs.join(sections, sections.c.id == people.c.section_id)
        return self._numbers(theirs.where(sections.c.name == section, pieces.c.stage.in_(_HERE)))

    def that_took(self, step: StepName, since: datetime, maker_id: int | None = None) -> tuple[int, ...]:
        """The numbers of the pieces still here that took a step at `since` or later, perhaps of one maker."""
        taken = select(pieces.c.id).join(history, history.c.piece_id == pieces.c.id).distinct()
        taken = taken.where(history.c.step == step, history.c.at >= since, pieces.c.stage.in_(_HERE))
        return self._numbers(taken if maker_id is None else taken.where(pieces.c.maker_id == maker_id))

    def _numbers(self, wanted: Select[Any]) -> tuple[int, ...]:
        with self._connect() as connection:
            return tuple(connection.scalars(wanted.order_by(pieces.c.id)))

    def counted_by_place(self) -> dict[str, int]:
        """How many pieces stand at each shelf and board."""
        return self._counted(pieces.c.place, select(pieces.c.place, func.count()).where(ON_A_SHELF))

    def counted_by_section(self) -> dict[str, int]:
        """How many pieces each section has in the studio."""
        of_people = select(sections.c.name, func.count()).join(people, people.c.section_id == sections.c.id)
        return self._counted(sections.c.name, of_people.join(pieces, people.c.id == pieces.c.maker_id))

    def _counted(self, by: Any, wanted: Select[Any]) -> dict[str, int]:  # noqa: ANN401 -- a column of either table
        wanted = wanted.where(by != "", pieces.c.stage.in_(_HERE)).group_by(by)
        with self._connect() as connection:
            found: dict[str, int] = dict(connection.execute(wanted).all())
        return dict(sorted(found.items(), key=lambda one: one[0].casefold()))

    def numbers_of(self, refs: Collection[str]) -> dict[str, int]:
        """The number of each of these codes and slips that is a piece's."""
        codes = [ref for ref in refs if not ref.startswith("W")]
        found = {slip_text(number): number for number in (int(ref[1:]) for ref in refs if ref.startswith("W"))}
        with self._connect() as connection:
            for start in range(0, len(codes), AT_ONCE):
                some = select(pieces.c.code, pieces.c.id).where(pieces.c.code.in_(codes[start : start + AT_ONCE]))
                found |= dict(connection.execute(some).all())
        return found


def _tagged(connection: Connection, piece_ids: Sequence[int], since: datetime | None = None) -> frozenset[int]:
    found: set[int] = set()
    for start in range(0, len(piece_ids), AT_ONCE):
        some = prints.c.piece_id.in_(piece_ids[start : start + AT_ONCE])
        wanted = (
            select(prints.c.piece_id).join(pieces, pieces.c.id == prints.c.piece_id).where(some, LIKE_NOW).distinct()
        )
        found.update(connection.scalars(wanted if since is None else wanted.where(prints.c.at >= since)))
    return frozenset(found)


def _job_of(row: Row[Any]) -> PrintJob:
    return PrintJob(
        id=row.id,
        at=row.at,
        by_id=row.by_id,
        by=short_name(row.by_name),
        order=PrintOrder(
            kind=row.kind,
            things=tuple(json.loads(row.things)),
            stock=row.stock,
            start_at=row.start_at,
            nudge=(row.nudge_x, row.nudge_y),
            dpi=row.dpi,
            line=row.line,
            labels=row.labels,
        ),
        reprints=frozenset(json.loads(row.reprints)),
    )
