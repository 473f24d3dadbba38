"""People entered, changed, shut out and forgotten, and what staff keep in mind about them."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import Connection, delete, insert, update

from tracker.domain.labels.badge_bars import draw_card
from tracker.domain.pieces.history import Request
from tracker.domain.studio.people import FORMER_MAKER, NewPerson, Person, Role
from tracker.store.connected import Written
from tracker.store.numbers import AT_ONCE, new_number
from tracker.store.studio.outbox import OutboxPen, send_no_links_to
from tracker.store.studio.terms import section_number, section_to_be, today
from tracker.store.tables import badges, joiners, links, mails, people, sessions, sign_ins


def enter_person(
    connection: Connection, someone: NewPerson, password_hash: str | None, at: datetime, *, must_change: bool = True
) -> int:
    """Enter a person over `connection`, who must change a password that was drawn; gives the person's number.

    Whoever has no email has no password.
    """
    done = connection.execute(
        insert(people),
        {
            "name": someone.name,
            "email": someone.email.lower() or None,
            "card": draw_card(secrets.choice),
            "role": someone.role,
            "section_id": section_number(connection, someone, today(connection, at)),
            "supervised": bool(someone.supervised),
            "password_hash": password_hash,
            "must_change_password": must_change,
            "joined_at": at,
        },
    )
    return new_number(done)


class PeopleBook(Written):
    """Who belongs to the studio, from inside a change: `change.people`."""

    def __init__(self, connection: Connection, request: Request, outbox: OutboxPen) -> None:
        """Write in the transaction of `connection`, on behalf of `request`; a new email gets a link from `outbox`."""
        super().__init__(connection, request)
        self._outbox = outbox

    def enrol(self, someone: NewPerson, password_hash: str | None) -> int:
        """Enter a person, who must change the password at the first sign-in; gives the person's number."""
        return enter_person(self._connection, someone, password_hash, self._request.at)

    def change(self, person_id: int, someone: NewPerson) -> None:
        """Give a person another name, email, section, role and supervision; whoever had left is let in again.

        Where no term is told, whoever is in a section of that name stays in it, of whichever term it is. A badge
        signs in shelf staff alone, so it ends with that role.
        """
        needs_a_link = self._outbox.follow(person_id, someone.email)
        facts = {
            "name": someone.name,
            "email": someone.email.lower() or None,
            "section_id": section_to_be(
                self._connection, person_id, someone, today(self._connection, self._request.at)
            ),
            "role": someone.role,
            "left_at": None,
            **({} if someone.supervised is None else {"supervised": someone.supervised}),
        }
        self._connection.execute(update(people).where(people.c.id == person_id).values(facts))
        if not someone.email:
            self._connection.execute(delete(sessions).where(sessions.c.person_id == person_id))
        if someone.role is not Role.STAFF:
            self._connection.execute(delete(badges).where(badges.c.person_id == person_id))
            self._connection.execute(delete(sessions).where(sessions.c.person_id == person_id, sessions.c.by_badge))
        if needs_a_link:
            self._outbox.invite(person_id)

    def replace_card(self, person_id: int) -> None:
        """Let a person's maker card say something else, so that the one before is nobody's."""
        self._connection.execute(update(people).where(people.c.id == person_id).values(card=draw_card(secrets.choice)))

    def note(self, person_id: int, note: str) -> None:
        """Keep a note for staff about a person, in place of the one before."""
        self._connection.execute(update(people).where(people.c.id == person_id).values(note=note))

    def shut_out(self, person_ids: Sequence[int]) -> None:
        """Note that these people left: their sessions and links end, they may not sign in, and no mail goes to them."""
        send_no_links_to(self._connection, person_ids)
        for start in range(0, len(person_ids), AT_ONCE):
            some = person_ids[start : start + AT_ONCE]
            self._connection.execute(delete(sessions).where(sessions.c.person_id.in_(some)))
            self._connection.execute(delete(badges).where(badges.c.person_id.in_(some)))
            self._connection.execute(update(people).where(people.c.id.in_(some)).values(left_at=self._request.at))

    def forget(self, person: Person) -> None:
        """Strike out who a person is: name, email, section, password, every session, try to sign in, link and mail."""
        self._connection.execute(delete(links).where(links.c.person_id == person.id))
        self._connection.execute(delete(mails).where(mails.c.person_id == person.id))
        self._connection.execute(delete(sessions).where(sessions.c.person_id == person.id))
        self._connection.execute(delete(badges).where(badges.c.person_id == person.id))
        self._connection.execute(delete(joiners).where(joiners.c.person_id == person.id))
        self._connection.execute(delete(sign_ins).where(sign_ins.c.email == person.email))
        self._connection.execute(
            update(people)
            .where(people.c.id == person.id)
            .values(
                name=FORMER_MAKER,
                email=None,
                card=None,
                section_id=None,
                units=None,
                paper=None,
                news=None,
                note="",
                supervised=False,
                password_hash=None,
                must_change_password=True,
                removed_at=self._request.at,
            ),
        )
