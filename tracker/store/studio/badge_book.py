"""The badges that sign in on a shared tablet: `store.badges`. No piece is touched, so there is no request key."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, delete, insert, select, update

from tracker.domain.studio.badges import MOST_WRONG, Badge
from tracker.store.connected import Kept
from tracker.store.tables import badges, sessions


class BadgeBook(Kept):
    """Whose badge is whose, with the hash of its PIN."""

    def issue(self, person_id: int, number: str, pin_hash: str, *, by_id: int, at: datetime) -> None:
        """Give a person this badge in place of any other, and end what the other began."""
        new = {"person_id": person_id, "number": number, "pin_hash": pin_hash, "issued_at": at, "by_id": by_id}
        with self._writing() as connection:
            _take_away(connection, person_id)
            connection.execute(insert(badges), {**new, "wrong": 0})

    def revoke(self, person_id: int) -> None:
        """Take a person's badge away, and end what it began."""
        with self._writing() as connection:
            _take_away(connection, person_id)

    def of(self, person_id: int) -> Badge | None:
        """A person's badge."""
        wanted = select(badges.c.number, badges.c.issued_at, badges.c.wrong).where(badges.c.person_id == person_id)
        with self._connect() as connection:
            row = connection.execute(wanted).first()
            return None if row is None else Badge(*row)

    def whose(self, number: str) -> int | None:
        """Whose badge it is, by the person's number."""
        with self._connect() as connection:
            return connection.scalar(select(badges.c.person_id).where(badges.c.number == number))

    def count_a_try(self, number: str) -> str | None:
        """Count a PIN as wrong before it is looked at; gives the hash to compare, None for a locked badge.

        Counted first, so that tries at the same time are no more than tries one after the other.
        """
        counted = update(badges).where(badges.c.number == number, badges.c.wrong < MOST_WRONG)
        with self._writing() as connection:
            if not connection.execute(counted.values(wrong=badges.c.wrong + 1)).rowcount:
                return None
            return connection.scalar(select(badges.c.pin_hash).where(badges.c.number == number))

    def was_right(self, number: str) -> None:
        """Forget the wrong PINs."""
        with self._writing() as connection:
            connection.execute(update(badges).where(badges.c.number == number).values(wrong=0))


def _take_away(connection: Connection, person_id: int) -> None:
    connection.execute(delete(badges).where(badges.c.person_id == person_id))
    connection.execute(delete(sessions).where(sessions.c.person_id == person_id, sessions.c.by_badge))
