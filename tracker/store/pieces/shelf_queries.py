"""What is asked about the shelves and carts of the studio: what is on each, and what has been there for long."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import and_, func, or_, select

from tracker.store.labels.print_records import IN_A_KILN, ON_A_SHELF
from tracker.store.pieces.queries import PIECE_ROW, PieceQueries, PieceRow
from tracker.store.tables import loaded, pieces

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from contextlib import AbstractContextManager
    from datetime import datetime

    from sqlalchemy import Connection

    from tracker.domain.pieces.piece import Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfRow:
    """A shelf or cart: how many pieces are on it, and since when the one that has been at its stage longest is."""

    name: str
    count: int
    since: datetime


class ShelfQueries:
    """The shelves and carts: `store.read.shelves`. Only pieces in the studio are looked at, so they stay few."""

    def __init__(self, connect: Callable[[], AbstractContextManager[Connection]], pieces: PieceQueries) -> None:
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

    def standing_since(
        self, before: Mapping[Stage, datetime], *, limit: int, offset: int = 0
    ) -> tuple[tuple[PieceRow, ...], int]:
        """The pieces that came to a stage before the moment given for it, and are in no kiln: longest first, and all.

        The second value counts them all, however few are given.
        """
        for_long = or_(*(and_(pieces.c.stage == stage, pieces.c.since < moment) for stage, moment in before.items()))
        counted = select(func.count()).select_from(pieces).where(for_long, ~IN_A_KILN)
        wanted = PIECE_ROW.where(for_long, loaded.c.piece_id.is_(None)).order_by(pieces.c.since, pieces.c.id)
        with self._connect() as connection:
            rows = self._pieces.rows_over(connection, wanted.limit(limit).offset(offset))
            return rows, connection.scalar(counted) or 0
