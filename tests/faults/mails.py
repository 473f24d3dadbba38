"""A worker that is killed again and again while it sends mail: none goes unsent, none again once its row says so."""

from __future__ import annotations

import secrets
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from functools import partial
from pathlib import Path
from uuid import uuid4

from sqlalchemy import create_engine, select

from tests.faults._killing import killed
from tests.faults._place import Place, Row
from tests.staffed import ADA, open_studio
from tests.studio import NOON
from tracker.commands.mail_carrier import MailCarrier
from tracker.domain.pieces.history import Request
from tracker.domain.studio.mails import LEASE
from tracker.domain.studio.people import NewPerson
from tracker.settings import MailServer
from tracker.store.tables import mails
from tracker.store.unit_of_work import Store
from tracker.usecases.studio import membership
from tracker.usecases.studio.letters import Sender
from tracker.usecases.studio.mailing import send_due

KILLS = 420
"""200 and some on each engine; a few come too late."""
_EACH = 6
_LONGEST = 0.25
_SENDER = Sender("clay@studio.example", "http://studio.example")


def suffer(place: Place) -> Iterator[Row]:
    """Add people, kill the worker in the middle of sending them mail, let its claim end, and do it again."""
    database, draw = place.fresh(), place.draw()
    open_studio(database).close()
    row = Row("mail worker killed while it sends")
    log = place.folder / "accepted"
    ended: dict[str, int] = {}
    with _server(log) as server:
        at = NOON
        for number in range(place.times(KILLS)):
            _enrol(database, number, at)
            row.tried += killed(partial(_send, database, server, at), draw.uniform(0, _LONGEST))
            _note(database, log, ended)
            # The worker's claim has ended, and whatever was refused is due.
            at += LEASE
        _send(database, server, at)
        _note(database, log, ended)
        got = _accepted(log)
    made = _ids(database)
    unsent = made.keys() - ended.keys() | made.keys() - set(got)
    again = {one for one, since in ended.items() if one in got[since:]}
    row.lost = len(unsent) + len(again)
    row.what += f" ({len(made):,} mails, {len(got) - len(set(got))} seen twice before their row said so)"
    yield row


def _enrol(database: str, number: int, at: datetime) -> None:
    roster = [NewPerson(name=f"Newcomer {one}", email=f"{number}.{one}@studio.example") for one in range(_EACH)]
    with closing(Store(database, secrets.randbelow, sends_mail=True)) as store:
        membership.enrol(store, Request(uuid4(), ADA, at), roster)


def _send(database: str, server: MailServer, at: datetime) -> None:
    with (
        closing(Store(database, secrets.randbelow, sends_mail=True)) as store,
        closing(MailCarrier(server)) as carry,
    ):
        send_due(store, carry, _SENDER, lambda: at)


def _ids(database: str) -> dict[str, bool]:
    """Every mail by its Message-ID, and whether its row says that it was accepted."""
    engine = create_engine(database)
    with engine.connect() as connection:
        found = connection.execute(select(mails.c.message_id, mails.c.accepted_at)).all()
    engine.dispose()
    return {f"<{one.message_id}@studio.example>": one.accepted_at is not None for one in found}


def _note(database: str, log: Path, ended: dict[str, int]) -> None:
    """Note of each mail whose row says that it was accepted how much the server had by then."""
    so_far = len(_accepted(log))
    for one, is_accepted in _ids(database).items():
        if is_accepted:
            ended.setdefault(one, so_far)


def _accepted(log: Path) -> list[str]:
    return log.read_text(encoding="ascii").split() if log.exists() else []


@contextmanager
def _server(log: Path) -> Iterator[MailServer]:
    """A mail server in a process of its own, so that whoever kills workers has no threads to fork."""
    words = [sys.executable, "-m", "tests.mail_server", str(log)]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as server:
        assert server.stdin
        assert server.stdout
        yield MailServer(scheme="smtp", host="127.0.0.1", port=int(server.stdout.readline()))
        server.stdin.close()
