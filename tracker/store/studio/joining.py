"""Links by which students join a section, and who asked to join by one."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, and_, delete, func, insert, or_, select, update

from tracker.domain.studio.joining import Joiner, JoinLink, draw_token
from tracker.domain.studio.mails import LINK_LASTS, MailKind
from tracker.domain.studio.people import NewPerson, Role
from tracker.domain.studio.terms import Section, Term
from tracker.store.connected import Asked, Connect, Written
from tracker.store.mappers import person_of
from tracker.store.studio.outbox import mail_link
from tracker.store.studio.people_book import enter_person
from tracker.store.studio.terms import of_people
from tracker.store.tables import join_links, joiners, people, sections, terms

_LOCK_OF_JOINING = 2
"""The first half of the lock under which two who join at once come one after the other."""

_LINKS = (
    select(
        join_links,
        sections.c.name.label("section"),
        sections.c.term_id,
        terms.c.name.label("term"),
        terms.c.starts_on,
        terms.c.ends_on.label("term_ends_on"),
        terms.c.ended_at,
    )
    .join(sections, sections.c.id == join_links.c.section_id)
    .outerjoin(terms, terms.c.id == sections.c.term_id)
)
_WAITS = and_(
    joiners.c.proven_at.is_not(None),
    joiners.c.let_in_at.is_(None),
    or_(people.c.left_at.is_not(None), joiners.c.is_new.is_(False)),
)


class JoinQueries(Asked):
    """The links and who waits: `store.read.joining`."""

    def link(self, token: str) -> JoinLink | None:
        """The link that says this, whether it works or not."""
        return self._first(join_links.c.token == token)

    def link_of(self, section_id: int) -> JoinLink | None:
        """The link of a section that wasn't withdrawn."""
        return self._first(join_links.c.section_id == section_id, join_links.c.withdrawn_at.is_(None))

    def links(self) -> dict[int, JoinLink]:
        """The links that weren't withdrawn, by the number of their section."""
        with self._connect() as connection:
            found = map(_link_of, connection.execute(_LINKS.where(join_links.c.withdrawn_at.is_(None))))
            return {one.section.id: one for one in found}

    def _first(self, *which: ColumnElement[bool]) -> JoinLink | None:
        with self._connect() as connection:
            row = connection.execute(_LINKS.where(*which)).first()
            return None if row is None else _link_of(row)

    def waiting(self) -> tuple[Joiner, ...]:
        """Whoever waits for the instructor, the longest first."""
        wanted = (
            of_people()
            .add_columns(joiners.c.asked_at, joiners.c.is_new, sections.c.name.label("joins"))
            .join(joiners, joiners.c.person_id == people.c.id)
            .join(join_links, join_links.c.id == joiners.c.link_id)
            .join(sections, sections.c.id == join_links.c.section_id)
            .where(_WAITS)
            .order_by(joiners.c.asked_at, people.c.id)
        )
        with self._connect() as connection:
            return tuple(_joiner_of(row) for row in connection.execute(wanted))

    def section_asked(self, person_id: int) -> str | None:
        """The section that somebody who isn't in yet asks to join; None where they ask for none."""
        wanted = select(sections.c.name).join(join_links, join_links.c.section_id == sections.c.id).join(joiners)
        with self._connect() as connection:
            asks = wanted.where(joiners.c.person_id == person_id, joiners.c.let_in_at.is_(None))
            name = connection.scalar(asks)
            return None if name is None else str(name)

    def joined_since(self, since: datetime) -> frozenset[int]:
        """The numbers of those who joined by a link at that moment or later."""
        with self._connect() as connection:
            return frozenset(connection.scalars(select(joiners.c.person_id).where(joiners.c.let_in_at >= since)))


class JoinBook(Written):
    """The links and who is let in, from inside one request's transaction: `change.joining`."""

    def make(self, section_id: int, ends_on: date, *, asks_first: bool) -> None:
        """Give a section a link in place of any other."""
        self.withdraw(section_id)
        new = {"section_id": section_id, "token": draw_token(secrets.choice), "ends_on": ends_on}
        made = {"asks_first": asks_first, "made_at": self._request.at, "by_id": self._request.by.id}
        self._connection.execute(insert(join_links), {**new, **made})

    def withdraw(self, section_id: int) -> None:
        """End a section's link."""
        which = (join_links.c.section_id == section_id, join_links.c.withdrawn_at.is_(None))
        self._connection.execute(update(join_links).where(*which).values(withdrawn_at=self._request.at))

    def let_in(self, person_id: int) -> None:
        """Let somebody who waits in, as a student of the section of their link."""
        _let_in(self._connection, person_id, self._request.at)

    def turn_away(self, person_id: int) -> None:
        """Forget that somebody asked; whoever was never here is forgotten altogether."""
        is_new = self._connection.scalar(
            delete(joiners).where(joiners.c.person_id == person_id).returning(joiners.c.is_new)
        )
        if is_new:
            self._connection.execute(delete(people).where(people.c.id == person_id, people.c.left_at.is_not(None)))


class Joining:
    """Joining as whoever isn't signed in does it: `store.joining`."""

    def __init__(self, writing: Connect, *, is_mailed: Callable[[], bool]) -> None:
        """Write in transactions that `writing` gives; `is_mailed` says whether mail can prove an email."""
        self._writing = writing
        self._is_mailed = is_mailed

    def ask(self, link: JoinLink, someone: NewPerson, password_hash: str | None, at: datetime) -> None:
        """Note that somebody asks to join, and mail them a link where there is mail.

        Whoever is here gets a link to their account. Without mail nobody can prove an email: then all wait, and the
        instructor sees who is here already.
        """
        proven_at = None if self._is_mailed() else at
        with self._writing() as connection:
            if connection.dialect.name != "sqlite":
                connection.execute(select(func.pg_advisory_xact_lock(_LOCK_OF_JOINING, 0)))
            _forget_unproven(connection, at)
            wanted = select(people.c.id, people.c.left_at).where(people.c.email == someone.email)
            row = connection.execute(wanted).first()
            is_here = row is not None and row.left_at is None
            if row is None:
                number = enter_person(connection, someone, password_hash, at, must_change=password_hash is None)
                waits = {"left_at": at, "section_id": link.section.id}
                connection.execute(update(people).where(people.c.id == number).values(waits))
            else:
                number = row.id
            if not (is_here and self._is_mailed()):
                _note(connection, number, link.id, at, proven_at, is_new=row is None)
            if self._is_mailed():
                mail_link(connection, number, MailKind.PASSWORD if is_here else MailKind.SIGN_UP, at)

    def prove(self, person_id: int, at: datetime) -> bool:
        """Note that somebody's email is theirs; whether they are in now, or wait for the instructor."""
        with self._writing() as connection:
            asks = select(joiners.c.is_new, join_links.c.asks_first, join_links.c.withdrawn_at)
            row = connection.execute(asks.join(join_links).where(joiners.c.person_id == person_id)).first()
            theirs = joiners.c.person_id == person_id
            connection.execute(update(joiners).where(theirs, joiners.c.proven_at.is_(None)).values(proven_at=at))
            if row is None or not row.is_new or row.asks_first or row.withdrawn_at is not None:
                return False
            _let_in(connection, person_id, at)
            return True


def _note(
    connection: Connection, person_id: int, link_id: int, at: datetime, proven_at: datetime | None, *, is_new: bool
) -> None:
    """Note who asks, in place of what they asked before; who was new then still is."""
    before = connection.scalar(
        delete(joiners)
        .where(joiners.c.person_id == person_id)
        .returning(and_(joiners.c.is_new, joiners.c.let_in_at.is_(None)))
    )
    row = {"person_id": person_id, "link_id": link_id, "asked_at": at, "proven_at": proven_at}
    connection.execute(insert(joiners), {**row, "is_new": is_new or bool(before)})


def _let_in(connection: Connection, person_id: int, at: datetime) -> None:
    theirs = joiners.c.person_id == person_id
    section = select(join_links.c.section_id).join(joiners).where(theirs).scalar_subquery()
    now = {"left_at": None, "role": Role.STUDENT, "section_id": section}
    connection.execute(update(people).where(people.c.id == person_id).values(now))
    connection.execute(update(joiners).where(theirs).values(let_in_at=at))


def _forget_unproven(connection: Connection, at: datetime) -> None:
    """Forget whoever never proved their email while the link in the mail worked."""
    late = joiners.c.asked_at < at - LINK_LASTS[MailKind.SIGN_UP]
    numbers = select(joiners.c.person_id).where(joiners.c.proven_at.is_(None), joiners.c.is_new, late)
    connection.execute(delete(people).where(people.c.id.in_(numbers), people.c.left_at.is_not(None)))


def _link_of(row: Row[Any]) -> JoinLink:
    term = None
    if row.term_id is not None:
        days = {"starts_on": row.starts_on, "ends_on": row.term_ends_on, "ended_at": row.ended_at}
        term = Term(id=row.term_id, name=row.term, **days)
    return JoinLink(
        id=row.id,
        token=row.token,
        section=Section(id=row.section_id, name=row.section, term_id=row.term_id),
        term=term,
        ends_on=row.ends_on,
        asks_first=row.asks_first,
        is_withdrawn=row.withdrawn_at is not None,
    )


def _joiner_of(row: Row[Any]) -> Joiner:
    return Joiner(person=person_of(row), section=row.joins, asked_at=row.asked_at, is_new=row.is_new)
