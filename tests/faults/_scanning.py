"""Hands that scan into a server which comes and goes, and never lose count of what was acknowledged."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.client import HTTPException
from itertools import cycle
from threading import Event
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
_OK, _NOT_NOW = 200, 503
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


@dataclass
class Scanner:
    """One hand with pieces of its own. A scan that was not acknowledged goes again under its key before the next."""

    hand: Hand
    turns: Iterator[tuple[str, str]]
    row: Row
    acknowledged: list[str] = field(default_factory=list)
    waiting: tuple[str, str, str] | None = None

    def scan(self) -> bool:
        """Scan once; gives whether that was acknowledged."""
        if self.waiting is None:
            self.waiting = (*next(self.turns), str(uuid4()))
        ref, step, key = self.waiting
        try:
            status, body = self.hand.send("/scan", {"ref": ref, "step": step, "key": key})
        except (OSError, HTTPException):
            self.hand.close()
            return False
        self.row.answered(status, body)
        if status == _OK and json.loads(body)["ok"]:
            self.acknowledged.append(key)
            self.waiting = None
            return True
        if status != _NOT_NOW:
            # A scan in its own order is never refused, unless one before it was lost.
            self.row.lost += 1
            self.waiting = None
        return False


@contextmanager
def scanners(database: str, row: Row, photos: str = "") -> Iterator[tuple[Server, list[Scanner]]]:
    """A server over a fresh database, and hands that are signed in to it; nothing they got acknowledged may be lost."""
    store = open_studio(database)
    refs = [
        [pieces.register(store, asked_by(TOM), a_new_piece(arrives_bisqued=True)).ref for _ in range(_PIECES_EACH)]
        for _ in range(HANDS)
    ]
    store.close()
    with served(database, photos) as server:
        busy = [
            Scanner(
                Hand(server.port, TOM.email),
                cycle([*((ref, "wax") for ref in own), *((ref, "not waxed") for ref in own)]),
                row,
            )
            for own in refs
        ]
        yield server, busy
        for one in busy:
            one.hand.close()
    row.lost += lost(database, [key for one in busy for key in one.acknowledged], photos)


def lost(database: str, acknowledged: list[str], photos: str = "") -> int:
    """How many acknowledged requests are not in the history exactly once, and what else is wrong with a database."""
    engine = create_engine(database)
    with engine.connect() as connection:
        found = connection.exec_driver_sql("SELECT request_key, count(*) FROM history GROUP BY request_key").all()
    engine.dispose()
    kept = {str(key): int(many) for key, many in found}
    return sum(kept.get(key) != 1 for key in acknowledged) + len(keeping.check(database, photos=photos))


def until_acknowledged(busy: list[Scanner], more: int) -> None:
    """Wait until the hands got so many more scans acknowledged."""
    wanted, until = _count(busy) + more, time.monotonic() + _PATIENCE_SECONDS
    while _count(busy) < wanted:
        if time.monotonic() > until:
            message = "nobody's scan is acknowledged any more"
            raise RuntimeError(message)
        time.sleep(0.002)


def _count(busy: list[Scanner]) -> int:
    return sum(len(one.acknowledged) for one in busy)


def all_scanning(busy: list[Scanner], meanwhile: Callable[[], object]) -> None:
    """Let every hand scan, over and over, while something is done; after a scan that failed it rests for a breath."""
    over = Event()

    def keep_scanning(one: Scanner) -> None:
        while not over.is_set():
            if not one.scan():
                time.sleep(0.005)

    with ThreadPoolExecutor(len(busy)) as pool:
        under_way = [pool.submit(keep_scanning, one) for one in busy]
        try:
            meanwhile()
        finally:
            over.set()
        for one in under_way:
            one.result()
