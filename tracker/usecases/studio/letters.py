"""Mail in words: the subject and what stands in it, as plain text and as HTML, for whoever reads it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from email.headerregistry import Address, BaseHeader, HeaderRegistry, UnstructuredHeader
from email.message import EmailMessage
from email.policy import EmailPolicy, Policy
from email.utils import format_datetime, parseaddr
from html import escape

from tracker.domain.message import Message, _
from tracker.domain.quantities import days, minutes
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.mails import LINK_LASTS, MailKind
from tracker.store.studio.outbox import DueMail
from tracker.wording.reader import Reader, reader_of_studio
from tracker.wording.render import say


@dataclass(frozen=True, slots=True)
class Part:
    """A paragraph; with an `address`, a link that is so called."""

    words: Message
    address: str = ""


@dataclass(frozen=True, slots=True)
class Letter:
    """What a mail says. `stop` is the address that ends such mail (RFC 8058)."""

    subject: Message
    parts: tuple[Part, ...]
    stop: str = ""


@dataclass(frozen=True, slots=True)
class Sender:
    """Whom mail comes from, as a header has it, and the `address` of the pages that it leads to."""

    mailbox: str
    address: str


def join_letter(section: str, studio: Studio, link: str) -> Letter:
    """The letter to an email that was typed on the page for joining a section: nobody knows yet whose it is."""
    lasts = LINK_LASTS[MailKind.SIGN_UP]
    why = _("You asked to join {section} at {studio}. Choose a password to go on.")
    return Letter(
        Message("join-subject", _("Joining {section} at {studio}"), section=section, studio=studio.name),
        (
            Part(Message("join-why", why, section=section, studio=studio.name)),
            Part(Message("choose-a-password", _("Choose a password")), link),
            Part(Message("sign-up-lasts", _("The link works once, for {time}."), time=days(lasts.days))),
            Part(Message("not-you-joining", _("If it wasn't you, do nothing."))),
        ),
    )


def link_letter(kind: MailKind, studio: Studio, link: str) -> Letter:
    """The letter with the link by which somebody chooses a password."""
    lasts = LINK_LASTS[kind]
    if kind is MailKind.SIGN_UP:
        return Letter(
            Message("sign-up-subject", _("Your account at {studio}"), studio=studio.name),
            (
                Part(
                    Message(
                        "sign-up-why",
                        _("You have an account at {studio}. It shows where your pieces are. First choose a password."),
                        studio=studio.name,
                    )
                ),
                Part(Message("choose-a-password", _("Choose a password")), link),
                Part(Message("sign-up-lasts", _("The link works once, for {time}."), time=days(lasts.days))),
                Part(Message("later-another", _("After that, use “Forgot your password?” on the sign-in page."))),
            ),
        )
    lasting = minutes(lasts.seconds // 60)
    return Letter(
        Message("password-subject", _("A new password for {studio}"), studio=studio.name),
        (
            Part(
                Message(
                    "password-why", _("Someone asked for a new password for your account. If it was you, choose one.")
                )
            ),
            Part(Message("choose-new-password", _("Choose a new password")), link),
            Part(Message("password-lasts", _("The link works once, for {time}."), time=lasting)),
            Part(Message("not-you", _("If it wasn't you, do nothing. Your password stays the same."))),
        ),
    )


def news_letter(news: tuple[Message, ...], studio: Studio, address: str, stop: str) -> Letter:
    """The letter that tells somebody what became of their pieces."""
    return Letter(
        Message("news-subject", _("News about your work at {studio}"), studio=studio.name),
        (
            *map(Part, news),
            Part(Message("my-pieces", _("My pieces")), f"{address}/pieces"),
            Part(Message("how-often", _("How often you get this mail")), f"{address}/me"),
            Part(Message("stop-mail", _("Stop this mail")), stop),
        ),
        stop,
    )


class _Unfolded(UnstructuredHeader, BaseHeader):
    """A header on one line however long it is: folded, a long address would become encoded words (RFC 2047)."""

    def fold(self, *, policy: Policy) -> str:
        """Name and value as they are."""
        return f"{self.name}: {self}{policy.linesep}"


_HEADERS = HeaderRegistry()
_HEADERS.map_to_type("list-unsubscribe", _Unfolded)
_POLICY = EmailPolicy(header_factory=_HEADERS)


def written(letter: Letter, mail: DueMail, studio: Studio, sender: Sender, at: datetime) -> EmailMessage:
    """A letter as it is sent; a mail that is tried again has the same Message-ID. ValueError where it can't be."""
    reader = reader_of_studio(studio, mail.to)
    name, mailbox = parseaddr(sender.mailbox)
    message = EmailMessage(_POLICY)
    message["From"] = Address(name or studio.name, addr_spec=mailbox)
    message["To"] = Address(mail.to.name, addr_spec=mail.to.email)
    message["Subject"] = say(letter.subject, reader)
    message["Date"] = format_datetime(at)
    message["Message-ID"] = f"<{mail.message_id}@{mailbox.rpartition('@')[2]}>"
    # So that no out-of-office message answers it (RFC 3834).
    message["Auto-Submitted"] = "auto-generated"
    if letter.stop:
        message["List-Unsubscribe"] = f"<{letter.stop}>"
        message["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    greeting = Message("hello", _("Hello {name},"), name=mail.to.name)
    parts = (Part(greeting), *letter.parts, Part(Message("plain", "{text}", text=studio.name)))
    message.set_content(_plain(parts, reader))
    message.add_alternative(_html(parts, reader), subtype="html")
    return message


def _plain(parts: Iterable[Part], reader: Reader) -> str:
    paragraphs = (
        f"{say(one.words, reader)}:\n{one.address}" if one.address else say(one.words, reader) for one in parts
    )
    return "\n\n".join(paragraphs) + "\n"


def _html(parts: Iterable[Part], reader: Reader) -> str:
    """Paragraphs and links and nothing that is fetched from anywhere."""
    told = []
    for one in parts:
        words = escape(say(one.words, reader))
        told.append(f'<p><a href="{escape(one.address)}">{words}</a></p>' if one.address else f"<p>{words}</p>")
    lang = reader.locale.replace("_", "-")
    return f'<!doctype html>\n<html lang="{lang}"><body>\n' + "\n".join(told) + "\n</body></html>\n"
