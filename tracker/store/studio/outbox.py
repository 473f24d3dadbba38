"""The outbox: mail written with what happened, claimed by one worker at a time, and ended once the server took it."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from uuid import uuid4

from sqlalchemy import ColumnElement, Connection, and_, delete, exists, func, insert, or_, select, update

from tracker.domain.message import Message
from tracker.domain.pieces.codes import slip_text
from tracker.domain.pieces.news import reminder
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.mails import (
    GIVES_UP_AFTER,
    LEASE,
    PASSWORD_LINKS_A_DAY,
    PASSWORD_LINKS_APART,
    MailKind,
    NewsWish,
    news_due,
    wait_before,
)
from tracker.domain.studio.people import Person
from tracker.domain.studio.sign_in_waits import REMEMBERED
from tracker.store.connected import Connect
from tracker.store.labels.print_records import late_for_its_maker
from tracker.store.mappers import message_text, person_of
from tracker.store.messages import message_of
from tracker.store.numbers import AT_ONCE, new_number
from tracker.store.studio.terms import TermBook, of_people, tell_of_no_end
from tracker.store.tables import joiners, links, mail_lines, mails, people, pieces, sessions

_HERE = and_(people.c.left_at.is_(None), people.c.removed_at.is_(None), people.c.email.is_not(None))
_PROVES = exists().where(joiners.c.person_id == people.c.id, joiners.c.proven_at.is_(None))
"""Whether somebody who asked to join shows by a link that the email is theirs."""
_TO_SEND = and_(mails.c.accepted_at.is_(None), mails.c.gave_up_at.is_(None))
_NOT_BEGUN = and_(_TO_SEND, mails.c.tries == 0)


_LATE = (
    select(pieces.c.id, pieces.c.stage, pieces.c.what, pieces.c.code, pieces.c.since, pieces.c.maker_id)
    .join(people, people.c.id == pieces.c.maker_id)
    .where(_HERE, func.coalesce(people.c.news, "") != NewsWish.NEVER)
    .where(or_(pieces.c.reminded_at.is_(None), pieces.c.reminded_at < pieces.c.since))
    .order_by(pieces.c.since, pieces.c.id)
)
"""The pieces whose makers want mail and weren't yet reminded of them at this stage."""


@dataclass(frozen=True, slots=True)
class DueMail:
    """A mail that one worker has for itself under `claim`; `tries` counts this try too. `news` is what it tells."""

    id: int
    to: Person
    kind: MailKind
    message_id: str
    tries: int
    claim: str
    news: tuple[Message, ...] = ()


class OutboxPen:
    """What one request writes to the outbox; nothing where no mail is sent."""

    def __init__(self, connection: Connection, at: datetime, *, is_on: bool) -> None:
        """Write over `connection`, in the transaction of what happened."""
        self._connection = connection
        self._at = at
        self.is_on = is_on

    def invite(self, person_id: int) -> None:
        """Send somebody a link to sign up with; not to whoever left or has no email."""
        here = select(people.c.id).where(people.c.id == person_id, _HERE)
        if self.is_on and self._connection.scalar(here) is not None:
            _write(self._connection, person_id, MailKind.SIGN_UP, self._at)

    def follow(self, person_id: int, email: str) -> bool:
        """End the links that went to an email that somebody is about to have no longer.

        Gives whether they need a link to sign up once they have the new one or are let in again: whoever never did.
        """
        wanted = select(people.c.must_change_password, people.c.email, people.c.left_at)
        was = self._connection.execute(wanted.where(people.c.id == person_id)).one()
        has_other_email = (was.email or "") != email.lower()
        if has_other_email:
            send_nothing_to(self._connection, [person_id])
        return bool(was.must_change_password and (has_other_email or was.left_at is not None))

    def tell(self, person_id: int, news: Message, zone: tzinfo, piece_id: int | None = None) -> None:
        """Put news into the next mail to somebody, as often as they want one; not to whoever left or has no email."""
        if not self.is_on:
            return
        row = self._connection.execute(select(people.c.news).where(people.c.id == person_id, _HERE)).first()
        if row is None or row.news == NewsWish.NEVER:
            return
        # A mail that a worker has looked at is as it is: a try after trouble says the same.
        next_one = select(mails.c.id).where(mails.c.person_id == person_id, mails.c.kind == MailKind.NEWS, _NOT_BEGUN)
        number = self._connection.scalar(next_one.with_for_update())
        if number is None:
            due = news_due(NewsWish(row.news or NewsWish.DAILY), self._at, zone)
            number = _write(self._connection, person_id, MailKind.NEWS, self._at, due)
        line = {"mail_id": number, "piece_id": piece_id, "message": message_text(news)}
        self._connection.execute(insert(mail_lines), line)

    def went_on(self, piece_id: int) -> bool:
        """Leave out what was to be told of a piece before it went on; whether anything was."""
        if not self.is_on:
            return False
        not_begun = select(mails.c.id).where(_NOT_BEGUN)
        of_it = (mail_lines.c.piece_id == piece_id, mail_lines.c.mail_id.in_(not_begun))
        return self._connection.execute(delete(mail_lines).where(*of_it)).rowcount > 0


class Outbox:
    """The outbox as workers and people without a password know it: `store.outbox`."""

    def __init__(
        self,
        connect: Connect,
        writing: Connect,
        *,
        is_on: bool,
    ) -> None:
        """Read over connections that `connect` gives, and write in transactions that `writing` gives."""
        self._connect = connect
        self._writing = writing
        self.is_on = is_on

    def claim(self, at: datetime) -> DueMail | None:
        """The next mail to send, for this worker alone for a while; None for nothing. It is a try that counts."""
        with self._connect() as connection:
            # Whoever looks every few seconds keeps no writer waiting.
            if connection.scalar(select(mails.c.id).where(_is_due(at)).limit(1)) is None:
                return None
        with self._writing() as connection:
            too_late = and_(_is_due(at), mails.c.made_at <= at - GIVES_UP_AFTER)
            of_it = select(mail_lines.c.id).where(mail_lines.c.mail_id == mails.c.id).exists()
            connection.execute(delete(mails).where(_is_due(at), mails.c.kind == MailKind.NEWS, ~of_it))
            connection.execute(update(mails).where(too_late).values(gave_up_at=at, claim=None, claimed_until=None))
            first = select(mails.c.id).where(_is_due(at)).order_by(mails.c.due_at, mails.c.id).limit(1)
            number = connection.scalar(first.with_for_update(skip_locked=True))
            if number is None:
                return None
            taken = {"claim": uuid4().hex, "claimed_until": at + LEASE, "tries": mails.c.tries + 1}
            connection.execute(update(mails).where(mails.c.id == number).values(taken))
            wanted = select(mails.c.id.label("mail"), mails.c.kind, mails.c.message_id, mails.c.tries, mails.c.claim)
            told = connection.execute(wanted.where(mails.c.id == number)).one()
            whose = of_people().join(mails, mails.c.person_id == people.c.id).where(mails.c.id == number)
            to = person_of(connection.execute(whose).one())
            lines = select(mail_lines.c.message).where(mail_lines.c.mail_id == number).order_by(mail_lines.c.id)
            news = tuple(message_of(json.loads(one)) for one in connection.scalars(lines))
            return DueMail(told.mail, to, MailKind(told.kind), told.message_id, told.tries, told.claim, news)

    def accepted(self, mail: DueMail, at: datetime) -> None:
        """Note that the server took a mail, so that it never goes out again."""
        self._end(mail, {"accepted_at": at})

    def give_up(self, mail: DueMail, at: datetime) -> None:
        """Note that a mail can't be delivered."""
        self._end(mail, {"gave_up_at": at})

    def drop(self, mail: DueMail) -> None:
        """Take a mail out of the outbox that has nothing to tell any more."""
        with self._writing() as connection:
            connection.execute(delete(mails).where(mails.c.id == mail.id, mails.c.claim == mail.claim))

    def try_again(self, mail: DueMail, at: datetime) -> None:
        """Let a mail wait: the longer, the more tries it had."""
        self._end(mail, {"due_at": at + wait_before(mail.tries)})

    def _end(self, mail: DueMail, facts: dict[str, datetime]) -> None:
        mine = (mails.c.id == mail.id, mails.c.claim == mail.claim)
        with self._writing() as connection:
            connection.execute(update(mails).where(*mine).values(claim=None, claimed_until=None, **facts))

    # ---- on a shelf for too long -----------------------------------------------------------------------------

    def remind(self, before: Mapping[Stage, datetime], carts: Collection[str], at: datetime, zone: tzinfo) -> None:
        """Tell makers, once for each stage, of pieces that are `late_for_its_maker`."""
        late = _LATE.where(late_for_its_maker(before, carts)).limit(AT_ONCE)
        with self._connect() as connection:
            if not self.is_on or connection.execute(late.limit(1)).first() is None:
                return
        with self._writing() as connection:
            pen = OutboxPen(connection, at, is_on=True)
            for row in connection.execute(late.with_for_update(of=pieces, skip_locked=True)).all():
                connection.execute(update(pieces).where(pieces.c.id == row.id).values(reminded_at=at))
                since = row.since.astimezone(zone).date()
                news = reminder(Stage(row.stage), row.what, row.code or slip_text(row.id), since)
                pen.tell(row.maker_id, news, zone, row.id)

    def tell_of_end(
        self, term_id: int, days: int, makers: Sequence[int], news: Message, at: datetime, zone: tzinfo
    ) -> None:
        """Tell these people that a term ends, unless the notice of so many days before was given already."""
        with self._writing() as connection:
            if not TermBook(connection).noticed(term_id, days):
                return
            pen = OutboxPen(connection, at, is_on=self.is_on)
            for person_id in makers:
                pen.tell(person_id, news, zone)

    # ---- how often -------------------------------------------------------------------------------------------

    def wish(self, person_id: int) -> NewsWish:
        """How often somebody wants mail about their pieces."""
        with self._connect() as connection:
            found = connection.scalar(select(people.c.news).where(people.c.id == person_id))
            return NewsWish(found or NewsWish.DAILY)

    def choose(self, person_id: int, wish: NewsWish) -> None:
        """Keep how often somebody wants mail; what waits for them goes out as before, or never."""
        waits = (mails.c.person_id == person_id, mails.c.kind == MailKind.NEWS, _TO_SEND)
        with self._writing() as connection:
            connection.execute(update(people).where(people.c.id == person_id, _HERE).values(news=wish))
            if wish is NewsWish.NEVER:
                connection.execute(delete(mails).where(*waits))

    # ---- links -----------------------------------------------------------------------------------------------

    def ask_for_link(self, email: str, at: datetime) -> None:
        """Send a link for a new password to whoever has this email, unless they were sent some just now."""
        whose = select(people.c.id).where(people.c.email == email.lower(), _HERE)
        with self._writing() as connection:
            number = connection.scalar(whose.with_for_update())
            if number is not None and self.is_on:
                mail_link(connection, number, MailKind.PASSWORD, at)

    def keep_link(self, token_hash: str, person_id: int, at: datetime, ends_at: datetime) -> None:
        """Keep a link by the hash of what is in it, and forget those that have ended."""
        with self._writing() as connection:
            connection.execute(delete(links).where(links.c.ends_at <= at))
            row = {"token_hash": token_hash, "person_id": person_id, "ends_at": ends_at}
            connection.execute(insert(links), row)

    def whose_link(self, token_hash: str, at: datetime) -> Person | None:
        """For whom this link still works; None for nobody."""
        wanted = of_people().join(links, links.c.person_id == people.c.id)
        with self._connect() as connection:
            its = wanted.where(links.c.token_hash == token_hash, links.c.ends_at > at, or_(_HERE, _PROVES))
            row = connection.execute(its).first()
            return None if row is None else person_of(row)

    def use_link(self, token_hash: str, password_hash: str, at: datetime) -> bool:
        """Give whoever has this link a password, and end all their links and sessions; False where it has ended."""
        with self._writing() as connection:
            its = (links.c.token_hash == token_hash, links.c.ends_at > at)
            # Of two who use it at once, only one takes it away.
            number = connection.scalar(delete(links).where(*its).returning(links.c.person_id))
            if number is None:
                return False
            connection.execute(delete(links).where(links.c.person_id == number))
            connection.execute(delete(sessions).where(sessions.c.person_id == number))
            new = {"password_hash": password_hash, "must_change_password": False}
            connection.execute(update(people).where(people.c.id == number).values(new))
            return True


def mail_link(connection: Connection, person_id: int, kind: MailKind, at: datetime) -> None:
    """Send somebody a link, unless one that still works or is about to go out was written just now, or many today."""
    kinds = (mails.c.kind == MailKind.PASSWORD, mails.c.kind == MailKind.SIGN_UP)
    of_them = (mails.c.person_id == person_id, or_(*kinds), mails.c.made_at > at - REMEMBERED)
    count, last = connection.execute(select(func.count(), func.max(mails.c.made_at)).where(*of_them)).one()
    has_one = or_(
        select(links.c.token_hash).where(links.c.person_id == person_id, links.c.ends_at > at).exists(),
        select(mails.c.id).where(mails.c.person_id == person_id, or_(*kinds), _TO_SEND).exists(),
    )
    is_soon = last is not None and last > at - PASSWORD_LINKS_APART and connection.scalar(select(has_one))
    if not is_soon and count < PASSWORD_LINKS_A_DAY:
        _write(connection, person_id, kind, at)


def send_no_links_to(connection: Connection, person_ids: Sequence[int]) -> None:
    """End the links of these people, also those that weren't sent. News wait for whoever is let in again."""
    for start in range(0, len(person_ids), AT_ONCE):
        some = person_ids[start : start + AT_ONCE]
        connection.execute(delete(links).where(links.c.person_id.in_(some)))
        unsent = (mails.c.person_id.in_(some), mails.c.kind != MailKind.NEWS, _TO_SEND)
        connection.execute(delete(mails).where(*unsent))


def send_nothing_to(connection: Connection, person_ids: Sequence[int]) -> None:
    """Take out of the outbox what wasn't sent to these people, and end their links."""
    for start in range(0, len(person_ids), AT_ONCE):
        some = person_ids[start : start + AT_ONCE]
        connection.execute(delete(links).where(links.c.person_id.in_(some)))
        connection.execute(delete(mails).where(mails.c.person_id.in_(some), _TO_SEND))


def drop_unsent(connection: Connection, at: datetime) -> int:
    """Take what wasn't sent to anybody out of the outbox, and remind nobody of how things stand `at` that moment.

    Gives how many mails were dropped.
    """
    connection.execute(update(pieces).values(reminded_at=at))
    tell_of_no_end(connection, at.date())
    return connection.execute(delete(mails).where(_TO_SEND)).rowcount


def _write(connection: Connection, person_id: int, kind: MailKind, at: datetime, due_at: datetime | None = None) -> int:
    new = {"person_id": person_id, "kind": kind, "message_id": uuid4().hex, "made_at": at, "tries": 0}
    return new_number(connection.execute(insert(mails), {**new, "due_at": due_at or at}))


def _is_due(at: datetime) -> ColumnElement[bool]:
    is_free = or_(mails.c.claimed_until.is_(None), mails.c.claimed_until <= at)
    is_here = exists().where(people.c.id == mails.c.person_id, _HERE)
    return and_(_TO_SEND, mails.c.due_at <= at, is_free, or_(mails.c.kind != MailKind.NEWS, is_here))
