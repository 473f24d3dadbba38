"""What makers are told by mail of their pieces: once a day, soon or never, in the right words, and nothing stale."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from tests.mail_server import Inbox, mail_server
from tests.staffed import ADA, INES, MIRA, TOM, asked_by, bisqued, fired
from tests.studio import NOON
from tracker.commands.mail_carrier import MailCarrier
from tracker.domain.studio.mails import NewsWish, news_due
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces import pickup, pieces
from tracker.usecases.rules import questions
from tracker.usecases.studio import forgetting, membership
from tracker.usecases.studio.letters import Sender
from tracker.usecases.studio.mailing import Sent, send_due, stop_mail, stop_query

SENDER = Sender("clay@studio.example", "https://kilns.studio.example")
A_DAY = timedelta(days=1)


@pytest.fixture
def inbox() -> Iterator[Inbox]:
    """A mail server."""
    with mail_server() as server:
        yield server


@pytest.fixture
def mailing(store: Store, database_url: str) -> Iterator[Store]:
    """The studio, set up to send mail."""
    with closing(Store(database_url, secrets.randbelow, sends_mail=True)) as mailing:
        yield mailing


def send(store: Store, inbox: Inbox, at: datetime = NOON + A_DAY) -> Sent:
    """What a worker does at that moment."""
    with closing(MailCarrier(inbox.address)) as carry:
        return send_due(store, carry, SENDER, lambda: at)


def words(inbox: Inbox) -> str:
    """What the last mail says."""
    body = inbox.got[-1].get_body(("plain",))
    assert body is not None
    return str(body.get_content())


def test_a_day_is_one_mail_with_what_still_holds_in_it(mailing: Store, inbox: Inbox) -> None:
    ready = fired(mailing)
    gone, lost = fired(mailing), bisqued(mailing)
    pickup.hand_over(mailing, asked_by(TOM), gone)
    pieces.lose(mailing, asked_by(TOM), lost, "broken")
    number = questions.ask(mailing, asked_by(MIRA), ready, "Is it fit for soup?").extra["question"]
    questions.answer(mailing, asked_by(ADA), int(number), "Yes, with a lid", allows=True)

    assert send(mailing, inbox, NOON) == Sent()
    assert send(mailing, inbox) == Sent(accepted=1)

    told, mail = words(inbox), inbox.got[0]
    assert f"ready for pickup. Its code is {ready}" in told
    assert "We are sorry" in told
    assert "“Yes, with a lid”" in told
    assert gone not in told
    assert mail["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert mail["List-Unsubscribe"] == f"<https://kilns.studio.example/mail/stop?{stop_query(mailing, MIRA.id)}>"
    assert send(mailing, inbox, NOON + 2 * A_DAY) == Sent()


def test_the_daily_mail_goes_at_six_by_the_studios_clocks() -> None:
    zone = ZoneInfo("America/New_York")
    morning, evening = (datetime(2026, 10, 31, hour, 30, tzinfo=zone) for hour in (9, 18))

    assert news_due(NewsWish.DAILY, morning, zone) == datetime(2026, 10, 31, 18, tzinfo=zone)
    # The clocks go back in that night.
    assert news_due(NewsWish.DAILY, evening, zone) == datetime(2026, 11, 1, 18, tzinfo=zone)


def test_somebody_may_want_mail_soon_or_never(mailing: Store, inbox: Inbox) -> None:
    mailing.outbox.choose(MIRA.id, NewsWish.SOON)
    fired(mailing)

    assert send(mailing, inbox, NOON + timedelta(minutes=16)) == Sent(accepted=1)
    fired(mailing)
    assert not stop_mail(mailing, MIRA.id, "0" * 64)
    assert stop_mail(mailing, MIRA.id, stop_query(mailing, MIRA.id).partition("s=")[2])
    fired(mailing)
    assert send(mailing, inbox) == Sent()


def test_nobody_who_left_or_was_removed_is_told(mailing: Store, inbox: Inbox) -> None:
    fired(mailing)
    pieces.lose(mailing, asked_by(TOM), bisqued(mailing, maker=INES), "broken")

    membership.shut_out(mailing, asked_by(ADA), MIRA.id)
    fired(mailing)
    forgetting.forget(mailing, asked_by(ADA), INES.id)

    assert send(mailing, inbox) == Sent()


def test_without_a_mail_server_nothing_is_written(store: Store, inbox: Inbox) -> None:
    fired(store)

    assert send(store, inbox) == Sent()
