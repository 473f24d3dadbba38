"""Pieces that are looked up by a name: what they are, whose, of which clay and set, on which shelf."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from sqlalchemy import Connection, Row, Select, case, func, select

from tracker.domain.pieces.codes import slip_text
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.spelling import holds
from tracker.store.connected import Connect
from tracker.store.labels.print_records import IN_A_KILN
from tracker.store.numbers import AT_ONCE
from tracker.store.pieces import newest
from tracker.store.pieces.queries import PieceQueries, PieceRow
from tracker.store.studio.known import Known
from tracker.store.tables import clays, layers, people, pieces

_HERE = tuple(stage for stage in Stage if stage not in {Stage.CLAIMED, Stage.LOST})
_PLACE = case((pieces.c.stage.in_(_HERE) & ~IN_A_KILN, pieces.c.place), else_="")
"""The shelf that a piece is on now: what left the studio, or is in a kiln, only was on one."""
_NAMES = select(
    pieces.c.id,
    pieces.c.code,
    pieces.c.what,
    pieces.c.set_name,
    _PLACE.label("place"),
    people.c.name,
    clays.c.name.label("clay"),
)
_NAMES = _NAMES.join(people, people.c.id == pieces.c.maker_id).join(clays, clays.c.id == pieces.c.clay_id)
_NEWEST_FIRST = (pieces.c.since.desc(), pieces.c.id.desc())
_MOST_HERE = 3_000
_MOST_FINISHED = 500
_MOST_COUNTED = 1_000


class FindQueries:
    """Looking up pieces by name: `store.read.finding`.

    Looked through are the pieces in the studio and the newest finished ones, so that a search costs the same however
    many there ever were. An older one is found by its code, or on its maker's page.
    """

    def __init__(self, connect: Connect, known: Callable[[], Known], pieces: PieceQueries) -> None:
        """Ask over connections that `connect` gives; `known` gives the catalog with its numbers."""
        self._connect = connect
        self._known = known
        self._pieces = pieces

    def pieces(
        self, words: tuple[str, ...], *, maker_id: int | None = None, first: int = 0, limit: int = 30
    ) -> tuple[tuple[PieceRow, ...], int]:
        """The pieces of which each of these plain words tells something, those in the studio first; and all of them.

        With `maker_id` only that maker's are looked through; the first `first` are left out. The second value counts
        all that were found.
        """
        with self._connect() as connection:
            found = [
                row.id
                for wanted in _looked_through(maker_id)
                for row in connection.execute(wanted)
                if holds(_told_of(row), words)
            ]
        shown = found[first : first + limit]
        rows = {row.piece.id: row for row in self._pieces.by_ids(shown)}
        return tuple(rows[number] for number in shown), len(found)

    def with_glaze(
        self, glaze: str, *, maker_id: int | None = None, limit: int = 30
    ) -> tuple[tuple[PieceRow, ...], int | None]:
        """The newest pieces with this glaze, of all makers or of one; and how many there are, None for over 1,000."""
        number = self._known().glaze_ids.get(glaze)
        worn = select(layers.c.piece_id).where(layers.c.glaze_id == number)
        with self._connect() as connection:
            if maker_id is not None:
                own = [*newest.under_way(connection, maker_id), *newest.finished(connection, maker_id, limit=200)]
                worn_by = _these(connection, worn, own)
                rows = {row.piece.id: row for row in self._pieces.by_ids(worn_by[:limit])}
                return tuple(rows[number] for number in worn_by[:limit]), len(worn_by)
            # A piece may have several layers of it.
            last = worn.order_by(layers.c.piece_id.desc()).limit(limit * 4)
            numbers = list(dict.fromkeys(connection.scalars(last)))[:limit]
            counted = select(func.count()).select_from(worn.distinct().limit(_MOST_COUNTED + 1).subquery())
            count = connection.scalar(counted) or 0
        rows_ = sorted(self._pieces.by_ids(numbers), key=lambda row: row.since, reverse=True)
        return tuple(rows_), count if count <= _MOST_COUNTED else None


def _these(connection: Connection, wanted: Select[tuple[int]], numbers: Sequence[int]) -> list[int]:
    """Which of these numbers of pieces a query of layers finds, in their order."""
    found: set[int] = set()
    for start in range(0, len(numbers), AT_ONCE):
        found.update(connection.scalars(wanted.where(layers.c.piece_id.in_(numbers[start : start + AT_ONCE]))))
    return [number for number in numbers if number in found]


def _told_of(row: Row[Any]) -> str:
    """All the names by which a piece is looked up, in one line."""
    return " ".join((row.code or slip_text(row.id), row.what, row.set_name or "", row.place, row.name, row.clay))


def _looked_through(maker_id: int | None) -> tuple[Select[Any], ...]:
    """The names that a search goes through: what is in the studio, then what left it last."""
    here = _NAMES.where(pieces.c.stage.in_(_HERE)).order_by(*_NEWEST_FIRST).limit(_MOST_HERE)
    gone = [
        _NAMES.where(pieces.c.stage == stage).order_by(*_NEWEST_FIRST).limit(_MOST_FINISHED)
        for stage in (Stage.CLAIMED, Stage.LOST)
    ]
    wanted = (here, *gone)
    return wanted if maker_id is None else tuple(one.where(pieces.c.maker_id == maker_id) for one in wanted)
