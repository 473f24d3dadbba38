"""Who may sign in and who is signed in: passwords, sessions, tries. No piece is touched, so there is no request key."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import bindparam, delete, func, insert, select, update

from tracker.domain.studio.people import FORMER_MAKER
from tracker.store.mappers import person_of
from tracker.store.numbers import new_number
from tracker.store.prepared import Prepared
from tracker.store.tables import people, sessions, sign_ins

if TYPE_CHECKING:
    from collections.abc import Callable
    from contextlib import AbstractContextManager
    from datetime import datetime

    from sqlalchemy import Connection

    from tracker.domain.labels.stock import Paper
    from tracker.domain.quantities import Units
    from tracker.domain.studio.people import NewPerson, Person

_SESSION = Prepared(
    select(
        *(people.c[one] for one in ("id", "name", "email", "role", "section", "units", "paper", "must_change_password"))
    )
    .join(sessions, people.c.id == sessions.c.person_id)
    .where(sessions.c.token_hash == bindparam("of_token"), sessions.c.ends_at > bindparam("at"))
)


class Accounts:
    """The people as those who sign in: `store.accounts`."""

    def __init__(
        self,
        connect: Callable[[], AbstractContextManager[Connection]],
        writing: Callable[[], AbstractContextManager[Connection]],
    ) -> None:
        """Read over connections that `connect` gives, and write in transactions that `writing` gives."""
        self._connect = connect
        self._writing = writing

    def enrol(self, someone: NewPerson, password_hash: str, at: datetime) -> int:
        """Enter a person, who must change the password at the first sign-in; gives the person's number."""
        with self._writing() as connection:
            return enter_person(connection, someone, password_hash, at)

    def password_hash(self, person_id: int) -> tuple[str | None, bool]:
        """A person's password hash, and whether the password must be changed first."""
        wanted = select(people.c.password_hash, people.c.must_change_password).where(people.c.id == person_id)
        with self._connect() as connection:
            row = connection.execute(wanted).one()
            return row.password_hash, row.must_change_password

    def set_password(self, person_id: int, password_hash: str, *, must_change: bool = False) -> None:
        """Give a person a new password, and end all their sessions."""
        with self._writing() as connection:
            connection.execute(
                update(people)
                .where(people.c.id == person_id)
                .values(password_hash=password_hash, must_change_password=must_change),
            )
            connection.execute(delete(sessions).where(sessions.c.person_id == person_id))

    def set_own(self, person_id: int, units: Units | None, paper: Paper | None) -> None:
        """Keep the units and the paper that a person chose; None for the studio's."""
        with self._writing() as connection:
            connection.execute(update(people).where(people.c.id == person_id).values(units=units, paper=paper))

    def begin_session(self, token_hash: str, person_id: int, at: datetime, ends_at: datetime) -> None:
        """Remember a session by the hash of its token, and forget those that have ended."""
        with self._writing() as connection:
            connection.execute(delete(sessions).where(sessions.c.ends_at < at))
            connection.execute(
                insert(sessions),
                {"token_hash": token_hash, "person_id": person_id, "began_at": at, "ends_at": ends_at},
            )

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

    def count_sign_in(self, email: str, address: str, at: datetime, *, since: datetime) -> tuple[int, int]:
        """Note an attempt to sign in; give how many there were since then for this email and from this address.

        Older attempts are forgotten. The count includes this one.
        """
        with self._writing() as connection:
            connection.execute(delete(sign_ins).where(sign_ins.c.at < since))
            connection.execute(insert(sign_ins), {"email": email[:254], "address": address[:64], "at": at})
            for_email = select(func.count()).where(sign_ins.c.email == email[:254])
            from_address = select(func.count()).where(sign_ins.c.address == address[:64])
            return connection.scalar(for_email) or 0, connection.scalar(from_address) or 0

    def forget_sign_ins(self, email: str) -> None:
        """Forget the attempts for this email, after one that worked."""
        with self._writing() as connection:
            connection.execute(delete(sign_ins).where(sign_ins.c.email == email[:254]))


def enter_person(connection: Connection, someone: NewPerson, password_hash: str, at: datetime) -> int:
    """Enter a person over `connection`; gives the person's number."""
    done = connection.execute(
        insert(people),
        {
            "name": someone.name,
            "email": someone.email.lower(),
            "role": someone.role,
            "section": someone.section,
            "password_hash": password_hash,
            "must_change_password": True,
            "joined_at": at,
        },
    )
    return new_number(done)


def strike_out(connection: Connection, person: Person, at: datetime) -> None:
    """Strike out who a person is: name, email, section and password, and every session and try to sign in."""
    connection.execute(delete(sessions).where(sessions.c.person_id == person.id))
    connection.execute(delete(sign_ins).where(sign_ins.c.email == person.email))
    connection.execute(
        update(people)
        .where(people.c.id == person.id)
        .values(
            name=FORMER_MAKER,
            email=f"former-maker-{person.id}@removed.invalid",
            section="",
            units=None,
            paper=None,
            password_hash=None,
            must_change_password=True,
            removed_at=at,
        ),
    )
