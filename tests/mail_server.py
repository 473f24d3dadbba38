"""A real mail server of our own: it keeps what it accepts, and refuses as it is told.

`python -m tests.mail_server FILE` prints its port, and writes each mail's Message-ID to the file before it says yes.
"""

from __future__ import annotations

import asyncio
import sys
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from pathlib import Path
from queue import Queue
from threading import Thread
from typing import TYPE_CHECKING

from aiosmtpd.smtp import SMTP

from tracker.settings import MailServer

if TYPE_CHECKING:
    from collections.abc import Iterator
    from email.message import EmailMessage

    from aiosmtpd.smtp import Envelope, Session

ACCEPTED = "250 Message accepted for delivery"


@dataclass
class Inbox:
    """What the server accepted. `answers` are given first, one for each mail; to `unknown` nothing is delivered.

    `raw` is what came over the wire, `log` a file for the Message-ID of each mail.
    """

    got: list[EmailMessage] = field(default_factory=list)
    raw: list[bytes] = field(default_factory=list)
    answers: list[str] = field(default_factory=list)
    unknown: set[str] = field(default_factory=set)
    log: Path | None = None
    address: MailServer = field(default_factory=lambda: MailServer(scheme="smtp", host="127.0.0.1", port=0))

    async def handle_RCPT(  # noqa: N802 -- so the library calls it
        self, _server: SMTP, _session: Session, envelope: Envelope, address: str, _options: list[str]
    ) -> str:
        """Take a recipient, or not."""
        if address in self.unknown:
            return "550 No such user"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, _server: SMTP, _session: Session, envelope: Envelope) -> str:  # noqa: N802 -- as above
        """Take a mail, or answer what comes next."""
        answer = self.answers.pop(0) if self.answers else ACCEPTED
        if answer == ACCEPTED:
            assert isinstance(envelope.content, bytes)
            mail = message_from_bytes(envelope.content, policy=policy.default)
            self.got.append(mail)
            self.raw.append(envelope.content)
            if self.log is not None:
                with self.log.open("a", encoding="ascii") as log:
                    print(mail["Message-ID"], file=log)
        return answer


@contextmanager
def mail_server(log: Path | None = None) -> Iterator[Inbox]:
    """A server that listens on a free port of this machine."""
    inbox = Inbox(log=log)
    begun: Queue[tuple[asyncio.AbstractEventLoop, asyncio.Event, int]] = Queue()

    async def listen() -> None:
        loop, over = asyncio.get_running_loop(), asyncio.Event()
        server = await loop.create_server(lambda: SMTP(inbox, enable_SMTPUTF8=True, loop=loop), "127.0.0.1", 0)
        begun.put((loop, over, server.sockets[0].getsockname()[1]))
        async with server:
            await over.wait()

    # All of it in a thread of its own: where a browser is open, this one has a loop that runs already.
    thread = Thread(target=lambda: asyncio.run(listen()))
    thread.start()
    loop, over, port = begun.get(timeout=20)
    inbox.address = MailServer(scheme="smtp", host="127.0.0.1", port=port)
    try:
        yield inbox
    finally:
        loop.call_soon_threadsafe(over.set)
        thread.join()


if __name__ == "__main__":
    with mail_server(Path(sys.argv[1])) as here:
        print(here.address.port, flush=True)  # noqa: T201 -- for whoever started it
        sys.stdin.read()
