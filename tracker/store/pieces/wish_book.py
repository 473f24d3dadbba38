"""Where makers want their pieces fired, as it is written and read: one wish a piece, the last one counts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Row, delete, insert

from tracker.domain.pieces.wishes import Wish
from tracker.store.connected import Written
from tracker.store.tables import wishes


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptWish:
    """A wish as its row has it: the firing type by its name, the number of who wants it, and since when."""

    route: str
    by_id: int
    at: datetime


class WishBook(Written):
    """The wishes, from inside one request's transaction."""

    def note(self, piece_id: int, route: str) -> None:
        """Put on record that this request's person wants the piece fired so, in place of an earlier wish."""
        self.end(piece_id)
        facts = {"piece_id": piece_id, "route": route, "by_id": self._request.by.id, "at": self._request.at}
        self._connection.execute(insert(wishes), facts)

    def end(self, piece_id: int) -> KeptWish | None:
        """Take the wish for a piece off the record: it was fired, or nobody wants it anymore. Gives what it was."""
        gone = delete(wishes).where(wishes.c.piece_id == piece_id)
        row = self._connection.execute(gone.returning(wishes.c.route, wishes.c.by_id, wishes.c.at)).first()
        return None if row is None else KeptWish(route=row.route, by_id=row.by_id, at=row.at)

    def put_back(self, piece_id: int, wish: KeptWish) -> None:
        """Put a wish that was taken off the record back on it, as whoever made it made it."""
        facts = {"piece_id": piece_id, "route": wish.route, "by_id": wish.by_id, "at": wish.at}
        self._connection.execute(insert(wishes), facts)


def wish_of(row: Row[Any]) -> Wish | None:
    """The wish in a row that has `wish_route`, `wish_by` and `wish_at`; None where nobody said anything."""
    if row.wish_route is None:
        return None
    return Wish(route=row.wish_route, by=row.wish_by, at=row.wish_at)
