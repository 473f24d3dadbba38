"""What is asked about the shelves and carts of the studio: what is on each, and what has been there for long."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, and_, func, or_, select

from tracker.domain.pieces.disposal import Disposal
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.studio.people import short_name
from tracker.store.connected import Connect
from tracker.store.labels.print_records import IN_A_KILN, ON_A_SHELF, late_for_its_maker
from tracker.store.mappers import line_facts_of
from tracker.store.pieces.queries import PIECE_ROW, PieceQueries, PieceRow
from tracker.store.tables import WAS_FOUND, WAS_MISSED, history, people, pieces, requests

_MOST_SEARCHED_FOR = 1_000
_TOGETHER = ("move shelf", "put new here", "lose missing")
"""What requests are called that do the same with everything on a shelf."""
_DONE_TOGETHER = (StepName.SHELVE, StepName.LOSE)
"""The steps that they take."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfRow:
    """A shelf or cart: how many pieces are on it, and since when the one longest at its stage is, if there is one."""

    name: str
    count: int
    since: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LostAs:
    """How a lost piece was lost: the cause as it was sent, empty where nobody said one; by whom; if a kiln broke it."""

    cause: str = ""
    by_id: int = 0
    in_kiln: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchedFor:
    """A piece that is missing or that turned up: who said so, and when."""

    row: PieceRow
    by: str
    by_id: int
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """What one request did with everything on a shelf: the lines of its pieces that are where it left them.

    `before` is the shelf that they were on, empty where that was more than one; `is_lost` where they were marked as
    missing.
    """

    place: str
    before: str
    lines: tuple[int, ...]
    is_lost: bool


class ShelfQueries:
    """The shelves and carts: `store.read.shelves`. Only pieces in the studio are looked at, so they stay few."""

    def __init__(self, connect: Connect, pieces: PieceQueries) -> None:
        """Ask over connections that `connect` gives."""
        self._connect = connect
        self._pieces = pieces

    def listed(self) -> tuple[ShelfRow, ...]:
        """Every shelf and cart with a piece on it, by name."""
        wanted = (
            select(pieces.c.place, func.count().label("many"), func.min(pieces.c.since).label("oldest"))
            .where(ON_A_SHELF)
            .group_by(pieces.c.place)
        )
        with self._connect() as connection:
            rows = [ShelfRow(name=row.place, count=row.many, since=row.oldest) for row in connection.execute(wanted)]
        return tuple(sorted(rows, key=lambda row: row.name.casefold()))

    def on(self, place: str, *, limit: int, offset: int = 0) -> tuple[PieceRow, ...]:
        """What is on one shelf or cart, the longest there first."""
        wanted = PIECE_ROW.where(ON_A_SHELF, pieces.c.place == place).order_by(pieces.c.since, pieces.c.id)
        with self._connect() as connection:
            return self._pieces.rows_over(connection, wanted.limit(limit).offset(offset))

    def stages_on(self, place: str) -> dict[Stage, int]:
        """How many pieces of each stage are on one shelf or cart."""
        wanted = select(pieces.c.stage, func.count()).where(ON_A_SHELF, pieces.c.place == place)
        with self._connect() as connection:
            return {Stage(stage): many for stage, many in connection.execute(wanted.group_by(pieces.c.stage))}

    def causes(self, piece_ids: Collection[int]) -> dict[int, LostAs]:
        """How each of these lost pieces was lost, by its number; what was lost again keeps its cause."""
        if not piece_ids:
            return {}
        wanted = (
            select(history.c.piece_id, history.c.reason, history.c.by_id, history.c.firing_id)
            .where(history.c.piece_id.in_(piece_ids), history.c.step == StepName.LOSE, history.c.reason != "")
            .order_by(history.c.id)
        )
        with self._connect() as connection:
            rows = connection.execute(wanted).all()
        told = {
            row.piece_id: LostAs(cause=row.reason, by_id=row.by_id, in_kiln=row.firing_id is not None) for row in rows
        }
        return {number: told.get(number, LostAs()) for number in piece_ids}

    def parted_with(self, piece_ids: Collection[int]) -> dict[int, tuple[Disposal, str]]:
        """Which of these claimed pieces were donated or kept instead of handed out, and to whom where that was said."""
        if not piece_ids:
            return {}
        wanted = select(history).where(history.c.piece_id.in_(piece_ids), history.c.step == StepName.CLAIM)
        with self._connect() as connection:
            rows = connection.execute(wanted.order_by(history.c.id)).all()
        last = {row.piece_id: line_facts_of(row) for row in rows}
        parted = {number: facts for number, facts in last.items() if "goes" in facts}
        return {number: (Disposal(str(facts["goes"])), str(facts.get("to") or "")) for number, facts in parted.items()}

    def missing(self, since: datetime) -> tuple[SearchedFor, ...]:
        """The pieces that somebody missed at `since` or later and nobody has found, the longest missing first."""
        missing = {row.piece.id: row for row in self._pieces.by_ids(self._missing(since))}
        told = and_(history.c.piece_id.in_(missing), history.c.step == StepName.LOSE)
        return tuple(sorted(self._searched(told, missing), key=lambda one: one.row.since))

    def count_missing(self, since: datetime) -> int:
        """How many pieces `missing` would give."""
        return len(self._missing(since))

    def _missing(self, since: datetime) -> list[int]:
        """Their numbers: of those that were once missed, the ones that weren't lost in another way since then."""
        missed = select(history.c.id).where(history.c.piece_id == pieces.c.id, WAS_MISSED).exists()
        lost = select(pieces.c.id).where(pieces.c.stage == Stage.LOST, pieces.c.since >= since, missed)
        with self._connect() as connection:
            found = connection.scalars(lost.order_by(pieces.c.since).limit(_MOST_SEARCHED_FOR)).all()
        return [number for number, last in self.causes(found).items() if last.cause == Loss.MISSING]

    def lost_since(self, since: datetime) -> tuple[PieceRow, ...]:
        """The pieces that are lost since then or later, the first lost first."""
        lost = PIECE_ROW.where(pieces.c.stage == Stage.LOST, pieces.c.since >= since).order_by(pieces.c.since)
        with self._connect() as connection:
            return self._pieces.rows_over(connection, lost.limit(_MOST_SEARCHED_FOR))

    def late_for_makers(self, before: Mapping[Stage, datetime], carts: Collection[str]) -> tuple[PieceRow, ...]:
        """The pieces that are `late_for_its_maker`, the longest at their stage first."""
        wanted = PIECE_ROW.where(late_for_its_maker(before, carts)).order_by(pieces.c.since, pieces.c.id)
        with self._connect() as connection:
            return self._pieces.rows_over(connection, wanted.limit(_MOST_SEARCHED_FOR))

    def turned_up(self, since: datetime) -> tuple[SearchedFor, ...]:
        """The pieces that were found at `since` or later and aren't lost again, the newest first."""
        found = and_(WAS_FOUND, history.c.at >= since, history.c.undoes.is_(None))
        here = select(pieces.c.id).join(history, history.c.piece_id == pieces.c.id).where(found).distinct()
        with self._connect() as connection:
            wanted = here.where(pieces.c.stage != Stage.LOST).limit(_MOST_SEARCHED_FOR)
            rows = {row.piece.id: row for row in self._pieces.numbered(connection, wanted)}
        searched = self._searched(and_(found, history.c.piece_id.in_(rows)), rows)
        return tuple(sorted(searched, key=lambda one: one.at, reverse=True))

    def done_together(self, person_id: int, *, since: datetime) -> tuple[Together, ...]:
        """What a person did since then with everything on a shelf in one go and has left undone, the newest first."""
        later = history.alias("later")
        newest = select(func.max(later.c.id)).where(later.c.piece_id == history.c.piece_id).scalar_subquery()
        here = history.c
        wanted = (
            select(here.id, here.request_key, here.step, here.place, here.facts, here.reason)
            .join(requests, requests.c.key == here.request_key)
            .join(pieces, pieces.c.id == here.piece_id)
            # By its step first: of a busy day's lines few are of such a request, and each other one would be looked up.
            .where(here.at >= since, here.by_id == person_id, here.step.in_(_DONE_TOGETHER))
            .where(~IN_A_KILN, newest == here.id)
            .where(or_(*(requests.c.doing.startswith(one) for one in _TOGETHER)))
            .order_by(here.at.desc(), here.id.desc())
        )
        found: dict[str, list[Any]] = defaultdict(list)
        with self._connect() as connection:
            for row in connection.execute(wanted):
                found[row.request_key].append(row)
        return tuple(map(_together_of, found.values()))

    def _searched(self, told: ColumnElement[bool], rows: Mapping[int, PieceRow]) -> list[SearchedFor]:
        """These pieces with who wrote the last of the lines of history that are meant, and when."""
        if not rows:
            return []
        lines = select(history.c.piece_id, history.c.at, history.c.by_id, people.c.name)
        wanted = lines.join(people, people.c.id == history.c.by_id).where(told).order_by(history.c.id)
        with self._connect() as connection:
            last = {row.piece_id: row for row in connection.execute(wanted)}
        return [
            SearchedFor(row=rows[number], by=short_name(line.name), by_id=line.by_id, at=line.at)
            for number, line in last.items()
        ]

    def standing_since(
        self, before: Mapping[Stage, datetime], *, limit: int, offset: int = 0
    ) -> tuple[tuple[PieceRow, ...], int]:
        """The pieces that came to a stage before the moment given for it, and are in no kiln: longest first, and all.

        The second value counts them all, however few are given.
        """
        for_long = or_(*(and_(pieces.c.stage == stage, pieces.c.since < moment) for stage, moment in before.items()))
        counted = select(func.count()).select_from(pieces).where(for_long, ~IN_A_KILN)
        wanted = PIECE_ROW.where(for_long, ~IN_A_KILN).order_by(pieces.c.since, pieces.c.id)
        with self._connect() as connection:
            rows = self._pieces.rows_over(connection, wanted.limit(limit).offset(offset))
            return rows, connection.scalar(counted) or 0


def _together_of(rows: Sequence[Any]) -> Together:
    before = {str(line_facts_of(row).get("before", row.place)) for row in rows}
    return Together(
        place=rows[0].place,
        before=before.pop() if len(before) == 1 else "",
        lines=tuple(row.id for row in rows),
        is_lost=rows[0].step == StepName.LOSE,
    )
