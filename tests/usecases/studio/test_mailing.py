"""Mail goes out once, to a real server: after trouble once more, to nobody who left; on both engines."""

from __future__ import annotations

import re
from contextlib import closing
from datetime import datetime, timedelta
from email.message import EmailMessage
from functools import partial

import pytest

from tests.mail_server import Inbox, mail_server
from tests.staffed import ADA, INES, MIRA, PASSWORD, asked_by
from tests.studio import NOON
from tracker.commands.mail_carrier import MailCarrier
from tracker.domain.refusals import NotAllowed, TooSoon, Unknown
from tracker.domain.studio.mails import GIVES_UP_AFTER, LEASE
from tracker.domain.studio.people import NewPerson
from tracker.store.unit_of_work import Store
from tracker.usecases.studio import membership, password_links, people
from tracker.usecases.studio.letters import Sender
from tracker.usecases.studio.mailing import Sent, send_due

SENDER = Sender("Cinder Lane <clay@studio.example>", "https://kilns.studio.example")
NEW = "a heron stands on one leg"
A_MINUTE = timedelta(minutes=1)


def send(store: Store, inbox: Inbox, at: datetime = NOON) -> Sent:
    """What a worker does at that moment."""
    with closing(MailCarrier(inbox.address)) as carry:
        return send_due(store, carry, SENDER, lambda: at)


def ask(store: Store, email: str = INES.email, at: datetime = NOON) -> None:
    """Ask for a link."""
    password_links.ask_for_link(store, email, at=at, address="10.0.0.7")


def token_in(mail: EmailMessage) -> str:
    """What opens the link of a mail."""
    body = mail.get_body(("plain",))
    assert body is not None
    (token,) = re.findall(r"https://kilns\.studio\.example/password-link\?t=(\S+)", body.get_content())
    return str(token)


def test_a_link_for_a_new_password_comes_by_mail_and_works_once(mailing: Store, inbox: Inbox) -> None:
    session, _ = people.sign_in(mailing, INES.email, PASSWORD, at=NOON, address="10.0.0.7")
    ask(mailing, INES.email.upper())

    assert send(mailing, inbox) == Sent(accepted=1)

    (mail,) = inbox.got
    html = mail.get_body(("html",))
    token = token_in(mail)
    assert (mail["To"].addresses[0].addr_spec, mail["From"]) == (INES.email, SENDER.mailbox)
    assert mail["Auto-Submitted"] == "auto-generated"
    assert html is not None
    assert f'href="https://kilns.studio.example/password-link?t={token}"' in html.get_content()
    assert not re.search(r"<img|<link|src=|url\(", html.get_content())
    begun = password_links.choose_by_link(mailing, token, NEW, at=NOON + 29 * A_MINUTE)
    assert begun is not None
    assert people.who(mailing, begun, at=NOON + 30 * A_MINUTE) == (INES, False)
    assert people.who(mailing, session, at=NOON) is None
    people.sign_in(mailing, INES.email, NEW, at=NOON, address="10.0.0.7")
    with pytest.raises(Unknown):
        password_links.choose_by_link(mailing, token, PASSWORD, at=NOON + 29 * A_MINUTE)


def test_a_link_ends_after_half_an_hour_and_with_another_password(mailing: Store, inbox: Inbox) -> None:
    ask(mailing)
    ask(mailing, MIRA.email)
    send(mailing, inbox)
    first, second = map(token_in, inbox.got)

    people.choose_password(mailing, MIRA, NEW)

    for token, at in ((first, NOON + 30 * A_MINUTE), (second, NOON), ("", NOON)):
        with pytest.raises(Unknown):
            password_links.whose_link(mailing, token, at=at)


def test_whoever_used_their_link_gets_another_at_once(mailing: Store, inbox: Inbox) -> None:
    ask(mailing)
    send(mailing, inbox)
    password_links.choose_by_link(mailing, token_in(inbox.got[0]), NEW, at=NOON + A_MINUTE)

    for _twice in range(2):
        ask(mailing, at=NOON + 2 * A_MINUTE)

    assert send(mailing, inbox, NOON + 2 * A_MINUTE) == Sent(accepted=1)


def test_an_unknown_email_gets_nothing_and_asking_is_limited(mailing: Store, inbox: Inbox) -> None:
    ask(mailing, "nobody@studio.example")
    ask(mailing)
    ask(mailing, at=NOON + A_MINUTE)

    assert send(mailing, inbox, NOON + 2 * A_MINUTE) == Sent(accepted=1)
    for _try in range(3):
        ask(mailing, at=NOON + 2 * A_MINUTE)
    with pytest.raises(TooSoon):
        ask(mailing, at=NOON + 2 * A_MINUTE)
    people.sign_in(mailing, INES.email, PASSWORD, at=NOON + 2 * A_MINUTE, address="10.0.0.7")


def test_what_the_server_refuses_for_now_is_sent_later_as_the_same_mail_and_then_never(
    mailing: Store, inbox: Inbox
) -> None:
    ids: list[str] = []
    ask(mailing)

    def noting(message: EmailMessage) -> None:
        ids.append(message["Message-ID"])
        carry(message)

    inbox.answers = ["451 Try again later", "554 Not today"]
    moments = [NOON + wait * A_MINUTE for wait in (0, 0.9, 1, 2, 3, 600)]
    with closing(MailCarrier(inbox.address)) as carry:
        rounds = [send_due(mailing, noting, SENDER, partial(min, at, at)) for at in moments]

    later, nothing, accepted = Sent(later=1), Sent(), Sent(accepted=1)
    assert rounds == [later, nothing, later, nothing, accepted, nothing]
    assert len(ids) == 3
    assert [one["Message-ID"] for one in inbox.got] == ids[:1] == list(set(ids))


def test_a_server_out_of_reach_keeps_mail_waiting_for_five_days(mailing: Store, inbox: Inbox) -> None:
    with mail_server() as gone:
        pass
    ask(mailing)
    ask(mailing, MIRA.email)

    assert send(mailing, gone) == Sent(later=1)
    assert send(mailing, inbox, NOON + A_MINUTE) == Sent(accepted=2)
    ask(mailing, at=NOON + 10 * A_MINUTE)
    assert send(mailing, inbox, NOON + 10 * A_MINUTE + GIVES_UP_AFTER) == Sent()
    assert len(inbox.got) == 2


def test_nobody_with_that_address_ends_a_mail(mailing: Store, inbox: Inbox) -> None:
    inbox.unknown = {INES.email}
    ask(mailing)

    assert send(mailing, inbox) == Sent(gave_up=1)
    assert send(mailing, inbox, NOON + timedelta(hours=1)) == Sent()


def test_two_workers_have_no_mail_in_common_and_a_dead_ones_is_sent_after_its_lease(
    mailing: Store, inbox: Inbox
) -> None:
    ask(mailing)
    mine = mailing.outbox.claim(NOON)

    assert mine is not None
    assert mailing.outbox.claim(NOON + LEASE - A_MINUTE) is None
    theirs = mailing.outbox.claim(NOON + LEASE)
    assert theirs is not None
    assert (theirs.id, theirs.message_id) == (mine.id, mine.message_id)
    mailing.outbox.accepted(theirs, NOON + LEASE)
    # The first worker wakes up: it has nothing to say about this mail any more.
    mailing.outbox.try_again(mine, NOON + LEASE)
    assert send(mailing, inbox, NOON + timedelta(days=1)) == Sent()


def test_whoever_left_meanwhile_gets_no_mail_and_no_link_works(mailing: Store, inbox: Inbox) -> None:
    ask(mailing)
    send(mailing, inbox)
    ask(mailing, at=NOON + 5 * A_MINUTE)

    membership.shut_out(mailing, asked_by(ADA), INES.id)
    ask(mailing, at=NOON + 10 * A_MINUTE)

    assert send(mailing, inbox, NOON + 11 * A_MINUTE) == Sent()
    with pytest.raises(Unknown):
        password_links.whose_link(mailing, token_in(inbox.got[0]), at=NOON)
    with pytest.raises(NotAllowed):
        people.sign_in(mailing, INES.email, PASSWORD, at=NOON, address="10.0.0.7")


def test_whoever_gets_their_first_email_is_sent_a_link_to_sign_up(mailing: Store, inbox: Inbox) -> None:
    membership.enrol(mailing, asked_by(ADA), [NewPerson(name="Nia Ost", email="", section="Saturday")])
    (nia,) = mailing.read.people.without_email(["Saturday"])

    nothing = send(mailing, inbox)
    membership.change_person(
        mailing, asked_by(ADA), nia.id, NewPerson(name=nia.name, email="nia@studio.example", section=nia.section)
    )

    assert (nothing, send(mailing, inbox)) == (Sent(), Sent(accepted=1))
    assert inbox.got[0]["To"].addresses[0].addr_spec == "nia@studio.example"


def test_without_a_mail_server_nothing_is_written(store: Store, inbox: Inbox) -> None:
    ask(store)

    assert send(store, inbox) == Sent()
