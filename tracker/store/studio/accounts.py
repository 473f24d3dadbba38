"""Who may sign in and who is signed in: passwords, sessions, tries. No piece is touched, so there is no request key."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, Connection, bindparam, delete, func, insert, select, update

from tracker.domain.labels.stock import Paper
from tracker.domain.quantities import Units
from tracker.domain.studio.people import Person
from tracker.domain.studio.sign_in_waits import (
    REMEMBERED,
    Tries,
    address_tries_since,
    wait_at_address,
    wait_for_account,
)
from tracker.store.connected import Kept
from tracker.store.mappers import person_of
from tracker.store.prepared import Prepared
from tracker.store.studio.terms import SECTION
from tracker.store.tables import links, people, sessions, sign_ins

_LOCK_OF_TRIES = 1
"""The first half of the locks that tries to sign in take; requests take locks of one number."""

_SESSION = Prepared(
    select(
        *(
            people.c[one]
            for one in (
                "id",
                "name",
                "email",
                "role",
                "units",
                "paper",
                "left_at",
                "must_change_password",
                "supervised",
            )
        ),
        SECTION,
    )
    .join(sessions, people.c.id == sessions.c.person_id)
    .where(
        sessions.c.token_hash == bindparam("of_token"), sessions.c.ends_at > bindparam("at"), people.c.left_at.is_(None)
    )
)


class Accounts(Kept):
    """The people as those who sign in: `store.accounts`."""

    def password_hash(self, person_id: int) -> tuple[str | None, bool]:
        """A person's password hash, and whether the password must be changed first."""
        wanted = select(people.c.password_hash, people.c.must_change_password).where(people.c.id == person_id)
        with self._connect() as connection:
            row = connection.execute(wanted).one()
            return row.password_hash, row.must_change_password

    def set_password(self, person_id: int, password_hash: str, *, must_change: bool = False) -> None:
        """Give a person a new password, and end all their sessions and links."""
        with self._writing() as connection:
            connection.execute(
                update(people)
                .where(people.c.id == person_id)
                .values(password_hash=password_hash, must_change_password=must_change),
            )
            connection.execute(delete(sessions).where(sessions.c.person_id == person_id))
            connection.execute(delete(links).where(links.c.person_id == person_id))

    def set_own(self, person_id: int, units: Units | None, paper: Paper | None) -> None:
        """Keep the units and the paper that a person chose; None for the studio's."""
        with self._writing() as connection:
            connection.execute(update(people).where(people.c.id == person_id).values(units=units, paper=paper))

    def begin_session(
        self, token_hash: str, person_id: int, at: datetime, ends_at: datetime, *, by_badge: bool = False
    ) -> None:
        """Remember a session by the hash of its token, and forget those that have ended."""
        new = {"token_hash": token_hash, "person_id": person_id, "began_at": at, "ends_at": ends_at}
        with self._writing() as connection:
            connection.execute(delete(sessions).where(sessions.c.ends_at < at))
            connection.execute(insert(sessions), {**new, "by_badge": by_badge})

    def go_on(self, token_hash: str, ends_at: datetime) -> None:
        """Let a session that a badge began end at another time."""
        which = (sessions.c.token_hash == token_hash, sessions.c.by_badge)
        with self._writing() as connection:
            connection.execute(update(sessions).where(*which).values(ends_at=ends_at))

    def keep_form(self, token_hash: str, form: str) -> None:
        """Keep one form in a session, in place of any other."""
        with self._writing() as connection:
            connection.execute(update(sessions).where(sessions.c.token_hash == token_hash).values(kept_form=form))

    def kept_form(self, token_hash: str) -> str | None:
        """The form that a session keeps; None where it keeps none."""
        with self._connect() as connection:
            return connection.scalar(select(sessions.c.kept_form).where(sessions.c.token_hash == token_hash))

    def end_session(self, token_hash: str) -> None:
        """Forget a session."""
        with self._writing() as connection:
            connection.execute(delete(sessions).where(sessions.c.token_hash == token_hash))

    def session(self, token_hash: str, at: datetime) -> tuple[Person, bool] | None:
        """Whose running session this is, and whether their password must be changed first; None for no session."""
        with self._connect() as connection:
            row = _SESSION.first(connection, {"of_token": token_hash, "at": at})
            return None if row is None else (person_of(row), row.must_change_password)

    def note_try(self, email: str, place: str, at: datetime, *, is_address: bool) -> timedelta:
        """Note a try to sign in, unless it comes too soon after others; gives how long there is still to wait.

        `place` is an address, or else a device or session by a name of its own, which no stranger shares.
        """
        email, place = email[:254], place[:64]
        with self._writing() as connection:
            if connection.dialect.name != "sqlite":
                # Tries at once from one place come one after the other, so that each knows of those before it.
                connection.execute(select(func.pg_advisory_xact_lock(_LOCK_OF_TRIES, func.hashtext(place))))
            connection.execute(delete(sign_ins).where(sign_ins.c.at < at - REMEMBERED))
            here = sign_ins.c.address == place
            wait = wait_for_account(_tries(connection, here, sign_ins.c.email == email), at)
            if is_address:
                from_here = _tries(connection, here, sign_ins.c.at >= address_tries_since(at))
                wait = max(wait, wait_at_address(from_here, at))
            if not wait:
                connection.execute(insert(sign_ins), {"email": email, "address": place, "at": at})
            return wait

    def forget_tries(self, email: str | None = None, place: str | None = None) -> None:
        """Forget the tries for this email at this place, after one that worked; or all that there are."""
        gone = delete(sign_ins)
        if email is not None and place is not None:
            gone = gone.where(sign_ins.c.email == email[:254], sign_ins.c.address == place[:64])
        with self._writing() as connection:
            connection.execute(gone)


def _tries(connection: Connection, *which: ColumnElement[bool]) -> Tries:
    count, last = connection.execute(select(func.count(), func.max(sign_ins.c.at)).where(*which)).one()
    return Tries(count, last)
