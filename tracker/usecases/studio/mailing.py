"""Sending what is in the outbox: one mail after the other, each claimed, sent, and ended or tried again later."""

from __future__ import annotations

import hmac
import logging
import secrets
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from email.message import EmailMessage
from zoneinfo import ZoneInfo

from tracker.domain.message import Message
from tracker.domain.studio.mails import LINK_LASTS, MailKind, NewsWish
from tracker.domain.studio.terms import NOTICE, notice_due, notice_of_end, notice_to_come
from tracker.store.studio.outbox import DueMail
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces.shelves import late_by
from tracker.usecases.studio.letters import Sender, join_letter, link_letter, news_letter, written
from tracker.usecases.studio.people import hash_of_token

_log = logging.getLogger("footring.mail")

LINK_PAGE = "/password-link"
"""The page that a link in a mail opens. What opens it is behind a question mark, which no log writes down."""


STOP_PAGE = "/mail/stop"
"""The page that ends mail about pieces, by a signed link."""


class Undelivered(Exception):
    """The server didn't take a mail. `is_final`: it never will; `is_servers`: nor any other at the moment."""

    def __init__(self, says: str, *, is_final: bool = False, is_servers: bool = False) -> None:
        """Keep what can be said of it: a number or the name of a fault, never an address."""
        super().__init__(says)
        self.is_final, self.is_servers = is_final, is_servers


@dataclass(slots=True)
class Sent:
    """What came of a round: so many mails were accepted, wait for another try, or were given up."""

    accepted: int = 0
    later: int = 0
    gave_up: int = 0


def send_due(
    store: Store, carry: Callable[[EmailMessage], None], sender: Sender, clock: Callable[[], datetime]
) -> Sent:
    """Send whatever is due, until nothing is or the server is out of reach; first put down what only time tells."""
    done = Sent()
    remind(store, clock())
    tell_of_term_ends(store, clock())
    while (mail := store.outbox.claim(clock())) is not None:
        if mail.kind is MailKind.NEWS:
            mail = replace(mail, news=_as_it_is_now(store, mail))
            if not mail.news:
                store.outbox.drop(mail)
                continue
        try:
            carry(_message(store, mail, sender, clock()))
        except (Undelivered, ValueError) as fault:
            is_final = not isinstance(fault, Undelivered) or fault.is_final
            # A header that can't be written holds an address, so only the kind of fault is told.
            says = str(fault) if isinstance(fault, Undelivered) else type(fault).__name__
            _log.warning("mail %d: try %d failed: %s", mail.id, mail.tries, says)
            if is_final:
                store.outbox.give_up(mail, clock())
                done.gave_up += 1
                continue
            store.outbox.try_again(mail, clock())
            done.later += 1
            if isinstance(fault, Undelivered) and fault.is_servers:
                break
        else:
            store.outbox.accepted(mail, clock())
            done.accepted += 1
    return done


def remind(store: Store, at: datetime) -> None:
    """Put into the outbox what pieces are at a stage for too long, by the limits that Today goes by."""
    studio = store.read.studio()
    store.outbox.remind(*late_by(studio.catalog, at), at, ZoneInfo(studio.timezone))


def tell_of_term_ends(store: Store, at: datetime) -> None:
    """Put into the outbox, once for each notice, that a term ends, for its makers; their pieces are counted later."""
    if not store.outbox.is_on:
        return
    zone = ZoneInfo(store.read.studio().timezone)
    days = store.read.catalog().practice.terms.notices
    for term in store.read.terms.listed():
        due = notice_due(term, days, at.astimezone(zone).date())
        if due is None:
            continue
        makers = [one.id for one in store.read.terms.people(term.id) if not one.has_left]
        store.outbox.tell_of_end(term.id, due, makers, notice_to_come(term), at, zone)


def _as_it_is_now(store: Store, mail: DueMail) -> tuple[Message, ...]:
    """The news of a mail, with what is left in the studio of a term that ends; without it for whoever has nothing."""
    told: list[Message] = []
    for one in mail.news:
        if one.code != NOTICE:
            told.append(one)
            continue
        term = next((term for term in store.read.terms.listed() if str(term.id) == one["number"]), None)
        counted = {} if term is None else store.read.term_pieces.counted_by_maker(term.id)
        if term is not None and term.is_open and mail.to.id in counted:
            told.append(notice_of_end(term, *counted[mail.to.id]))
    return tuple(told)


def _message(store: Store, mail: DueMail, sender: Sender, at: datetime) -> EmailMessage:
    """The mail in words. Its link is drawn now and kept as a hash, so that what opens it is nowhere but in the mail."""
    studio = store.read.studio()
    if mail.kind is MailKind.NEWS:
        stop = f"{sender.address}{STOP_PAGE}?{stop_query(store, mail.to.id)}"
        return written(news_letter(mail.news, studio, sender.address, stop), mail, studio, sender, at)
    token = secrets.token_urlsafe(32)
    store.outbox.keep_link(hash_of_token(token), mail.to.id, at, at + LINK_LASTS[mail.kind])
    link = f"{sender.address}{LINK_PAGE}?t={token}"
    joins = store.read.joining.section_asked(mail.to.id) if mail.to.has_left else None
    letter = link_letter(mail.kind, studio, link) if joins is None else join_letter(joins, studio, link)
    return written(letter, mail, studio, sender, at)


def stop_query(store: Store, person_id: int) -> str:
    """What a link that ends somebody's mail has behind its question mark: who, signed."""
    return f"p={person_id}&s={_signature(store, person_id)}"


def stop_mail(store: Store, person_id: int, signature: str) -> bool:
    """End mail about pieces for whoever got this signature by mail; False where it isn't one of ours."""
    if not is_signed(store, person_id, signature):
        return False
    store.outbox.choose(person_id, NewsWish.NEVER)
    return True


def is_signed(store: Store, person_id: int, signature: str) -> bool:
    """Whether this signature came in a mail to this person."""
    return hmac.compare_digest(_signature(store, person_id).encode(), signature.encode())


def _signature(store: Store, person_id: int) -> str:
    return hmac.digest(store.read.secret().encode(), f"stop mail {person_id}".encode(), "sha256").hex()
