"""Mail from the command line, and beside the pages: what is in the outbox goes out as it becomes due."""

from __future__ import annotations

import logging
import signal
from contextlib import closing, contextmanager
from threading import Event, Thread
from typing import TYPE_CHECKING

import click

from tracker.commands.house import House, as_json_option, say, troubles
from tracker.domain.message import Message, _
from tracker.domain.refusals import Unusable
from tracker.wording.render import say as text

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import datetime

    from tracker.settings import MailServer, Settings
    from tracker.store.unit_of_work import Store
    from tracker.usecases.studio.letters import Sender
    from tracker.usecases.studio.mailing import Sent

_SECONDS_BETWEEN = 5
_AFTER_A_FAULT = 60
_GOODBYE_SECONDS = 5
_log = logging.getLogger("footring.mail")


@click.command(help=_("Send mail from the outbox until Ctrl-C. `footring serve` sends it by itself."))
@click.option("--once", is_flag=True, help=_("Send what is due now, then end."))
@as_json_option
@click.pass_obj
def mail(house: House, *, once: bool, as_json: bool) -> None:
    """Send mail from the outbox until Ctrl-C."""
    from tracker.usecases.studio.letters import Sender

    settings = house.settings
    if settings.smtp is None:
        raise Unusable(
            [Message("no-mail-server", _("No mail server is set."))],
            Message("set-a-mail-server", _("Set FOOTRING_SMTP and FOOTRING_MAIL_FROM.")),
        )
    with house.store() as store:
        sender = Sender(settings.mail_from, (settings.address or store.read.studio().address).rstrip("/"))
        if not once:
            click.echo("Sending mail. Press Ctrl-C to stop.")
            keep_sending(store, settings.smtp, sender, house.clock, _told_to_stop())
            return
        done = _round(store, settings.smtp, sender, house.clock)
    words = _("{accepted} sent, {later} to try again later, {gave_up} given up.")
    counts = {"accepted": done.accepted, "later": done.later, "gave_up": done.gave_up}
    say(text(Message("mail-sent", words, **counts)), counts, as_json=as_json)


def _told_to_stop() -> Event:
    """What Ctrl-C or whoever runs services sets, so that a round is ended and not broken off."""
    stop = Event()
    for one in (signal.SIGINT, signal.SIGTERM):
        signal.signal(one, lambda *_: stop.set())
    return stop


def keep_sending(store: Store, server: MailServer, sender: Sender, clock: Callable[[], datetime], stop: Event) -> None:
    """Send what is due every few seconds until `stop`; no trouble of the database ends it."""
    wait = 0
    while not stop.wait(wait):
        wait = _SECONDS_BETWEEN
        try:
            _round(store, server, sender, clock)
        except troubles():
            # The database may be out of reach for a while; what is in the outbox waits.
            _log.exception("mail can't be sent now")
            wait = _AFTER_A_FAULT


@contextmanager
def sending_beside(store: Store, settings: Settings, address: str, clock: Callable[[], datetime]) -> Iterator[None]:
    """Send mail in a thread of its own while pages are served, where a mail server is set."""
    from tracker.usecases.studio.letters import Sender

    if settings.smtp is None:
        yield
        return
    stop, sender = Event(), Sender(settings.mail_from, address.rstrip("/"))
    # Of a mail on which it is stuck, nothing is lost when the process ends: it is tried again.
    thread = Thread(target=keep_sending, args=(store, settings.smtp, sender, clock, stop), name="mail", daemon=True)
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join(_GOODBYE_SECONDS)


def _round(store: Store, server: MailServer, sender: Sender, clock: Callable[[], datetime]) -> Sent:
    from tracker.commands.mail_carrier import MailCarrier
    from tracker.usecases.studio.mailing import send_due

    with closing(MailCarrier(server)) as carry:
        return send_due(store, carry, sender, clock)
