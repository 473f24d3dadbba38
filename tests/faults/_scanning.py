"""Hands that work at a server which comes and goes, and never lose count of what was acknowledged."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.client import HTTPException
from itertools import cycle
from threading import Event
from typing import Any
from uuid import uuid4

from sqlalchemy import create_engine

from tests.faults._place import Row, ended
from tests.serving import Hand
from tests.staffed import TOM, asked_by, open_studio
from tests.studio import a_new_piece
from tracker.store import backup as keeping
from tracker.usecases.pieces import pieces

HANDS = 4
_PIECES_EACH = 6
_OK, _SEE_OTHER, _NOT_NOW = 200, 303, 503
_PATIENCE_SECONDS = 60


class Server:
    """A server over a database, that can be killed and started again on the same port."""

    def __init__(self, parent: subprocess.Popen[str], port: int) -> None:
        """Start nothing yet."""
        self._parent, self.port = parent, port
        self.child = 0

    def start(self) -> None:
        """Serve again."""
        assert self._parent.stdin
        assert self._parent.stdout
        print(file=self._parent.stdin, flush=True)
        self.child = int(self._parent.stdout.readline())

    def end(self, how: signal.Signals = signal.SIGKILL) -> None:
        """Kill it, or ask it to stop."""
        if self.child:
            os.kill(self.child, how)
            self.child = 0


@contextmanager
def served(database: str, photos: str = "") -> Iterator[Server]:
    """A server, started."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    words = [sys.executable, "-m", "tests.faults._forked", database, str(port), photos]
    with subprocess.Popen(
        words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as parent:
        server = Server(parent, port)
        server.start()
        try:
            yield server
        finally:
            server.end()
            ended(parent)


Turn = tuple[str, dict[str, Any]]
"""What a hand sends: where to, and the form; its key is made where it names none."""


@dataclass
class Worker:
    """One hand with things of its own to do. What was not acknowledged goes again under its key before the next.

    The next turn is asked for only once the last one was acknowledged.
    """

    hand: Hand
    turns: Iterator[Turn]
    row: Row
    acknowledged: list[str] = field(default_factory=list)
    waiting: Turn | None = None

    def work(self) -> bool:
        """Send once; gives whether that was acknowledged."""
        if self.waiting is None:
            path, form = next(self.turns)
            self.waiting = path, {"key": str(uuid4()), **form}
        path, form = self.waiting
        try:
            status, body = self.hand.send(path, form)
        except (OSError, HTTPException):
            self.hand.close()
            return False
        self.row.answered(status, body)
        if status == _SEE_OTHER or (status == _OK and json.loads(body)["ok"]):
            self.acknowledged.append(form["key"])
            self.waiting = None
            return True
        if status != _NOT_NOW:
            # What is done in its own order is never refused, unless something before it was lost.
            print(f"{status} for {path}: {body[:300]}", file=sys.stderr)
            self.row.lost += 1
            self.waiting = None
        return False


@contextmanager
def working(
    database: str, row: Row, turns: Iterable[Iterator[Turn]], photos: str = ""
) -> Iterator[tuple[Server, list[Worker]]]:
    """A server over a database, and a signed-in hand for each of these turns."""
    with served(database, photos) as server:
        busy = [Worker(Hand(server.port, TOM.email), own, row) for own in turns]
        yield server, busy
        for one in busy:
            one.hand.close()


@contextmanager
def scanners(database: str, row: Row, photos: str = "") -> Iterator[tuple[Server, list[Worker]]]:
    """A server over a fresh database, and hands that scan there; nothing they got acknowledged may be lost."""
    store = open_studio(database)
    refs = [
        [pieces.register(store, asked_by(TOM), a_new_piece(arrives_bisqued=True)).ref for _ in range(_PIECES_EACH)]
        for _ in range(HANDS)
    ]
    store.close()
    with working(database, row, map(_scans_of, refs), photos) as (server, busy):
        yield server, busy
    row.lost += lost(database, keys_of(busy), photos)


def _scans_of(refs: list[str]) -> Iterator[Turn]:
    return cycle([("/scan", {"ref": ref, "step": step}) for step in ("wax", "not waxed") for ref in refs])


def keys_of(busy: list[Worker]) -> list[str]:
    """The keys of everything that was acknowledged."""
    return [key for one in busy for key in one.acknowledged]


def lost(database: str, acknowledged: list[str], photos: str = "") -> int:
    """How many acknowledged requests are not in the history exactly once, and what else is wrong with a database."""
    kept = _counted(database, "SELECT request_key, count(*) FROM history GROUP BY request_key")
    return sum(kept.get(key) != 1 for key in acknowledged) + len(keeping.check(database, photos=photos))


def unrecorded(database: str, acknowledged: list[str]) -> int:
    """How many acknowledged requests are not on record as done, and what else is wrong with a database."""
    kept = _counted(database, "SELECT key, count(*) FROM requests GROUP BY key")
    return sum(kept.get(key) != 1 for key in acknowledged) + len(keeping.check(database))


def _counted(database: str, statement: str) -> dict[str, int]:
    engine = create_engine(database)
    with engine.connect() as connection:
        found = connection.exec_driver_sql(statement).all()
    engine.dispose()
    return {str(key): int(many) for key, many in found}


def until_acknowledged(busy: list[Worker], more: int) -> None:
    """Wait until the hands got so many more things acknowledged."""
    wanted, until = _count(busy) + more, time.monotonic() + _PATIENCE_SECONDS
    while _count(busy) < wanted:
        if time.monotonic() > until:
            message = "nothing is acknowledged anymore"
            raise RuntimeError(message)
        time.sleep(0.002)


def _count(busy: list[Worker]) -> int:
    return sum(len(one.acknowledged) for one in busy)


def all_working(busy: list[Worker], meanwhile: Callable[[], object]) -> None:
    """Let every hand work, over and over, while something is done; after what failed it rests for a breath."""
    over = Event()

    def keep_working(one: Worker) -> None:
        while not over.is_set():
            if not one.work():
                time.sleep(0.005)

    with ThreadPoolExecutor(len(busy)) as pool:
        under_way = [pool.submit(keep_working, one) for one in busy]
        try:
            meanwhile()
        finally:
            over.set()
        for one in under_way:
            one.result()
