"""How fast a move is: signed in, judged, version checked, once per key and durable, beside the least that any could do.

The least is Flask with sqlite3 alone: one insert and one update in a transaction, on a database that is just as
durable (WAL, synchronous FULL), behind the same server with as many threads, asked by the same hands in the same run.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from http.client import HTTPConnection
from itertools import cycle, pairwise
from pathlib import Path
from statistics import median, quantiles
from tempfile import TemporaryDirectory

from tests.serving import Hand, hands, serving
from tests.staffed import TOM, glazed, open_studio
from tracker.store.schema import migrate

HANDS = 8
PIECES_EACH = 12
ROUNDS = 13
SECONDS = 1.0
FLOOR = 0.35
WARMING = 3
SLOWEST_MS = 40.0

# The bare application, as a program of its own.
_BARE = """
import logging, sqlite3, sys, threading
from flask import Flask, jsonify, request
from waitress.server import create_server

app, local = Flask("bare"), threading.local()
# Ours says nothing of scans that wait either.
logging.getLogger("waitress.queue").setLevel(logging.ERROR)

def connection():
    if not hasattr(local, "open"):
        local.open = sqlite3.connect(sys.argv[1], isolation_level=None, timeout=5)
        local.open.execute("PRAGMA journal_mode = WAL")
        local.open.execute("PRAGMA synchronous = FULL")
    return local.open

turn = threading.Lock()

@app.post("/scan")
def scan():
    ref = request.form["ref"]
    with turn:
        open_ = connection()
        open_.execute("BEGIN IMMEDIATE")
        open_.execute("INSERT INTO history (ref, step) VALUES (?, ?)", (ref, request.form["step"]))
        open_.execute("UPDATE pieces SET version = version + 1 WHERE ref = ?", (ref,))
        open_.execute("COMMIT")
    return jsonify({"ok": True, "ref": ref})

with sqlite3.connect(sys.argv[1]) as first:
    first.execute("PRAGMA journal_mode = WAL")
    first.execute("CREATE TABLE pieces (ref TEXT PRIMARY KEY, version INTEGER NOT NULL)")
    first.execute("CREATE TABLE history (id INTEGER PRIMARY KEY, ref TEXT NOT NULL, step TEXT NOT NULL)")
    first.executemany("INSERT INTO pieces VALUES (?, 1)", [(f"P{number}",) for number in range(1000)])
server = create_server(app, host="127.0.0.1", port=0, threads=8)
print(f"Serving http://127.0.0.1:{server.effective_port}/.", flush=True)
server.run()
"""

Moves = Callable[[], object]


@contextmanager
def _bare(path: Path) -> Iterator[list[Moves]]:
    """Something for each hand to do over and over in the bare application."""
    with subprocess.Popen([sys.executable, "-c", _BARE, str(path)], stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        port = int(server.stdout.readline().rstrip("/.\n").rpartition(":")[2])
        connections = [HTTPConnection("127.0.0.1", port, timeout=30) for _ in range(HANDS)]
        yield [_bare_move(connection, number) for number, connection in enumerate(connections)]
        for connection in connections:
            connection.close()
        server.terminate()


def _bare_move(connection: HTTPConnection, number: int) -> Moves:
    refs = cycle(f"P{number * PIECES_EACH + one}" for one in range(PIECES_EACH))

    def move() -> None:
        body = f"ref={next(refs)}&step=queue&route=mid-range&key=0123456789abcdef&csrf_token=0123456789abcdef"
        connection.request("POST", "/scan", body, {"Content-Type": "application/x-www-form-urlencoded"})
        answer = connection.getresponse()
        answer.read()
        assert answer.status == 200

    return move


@contextmanager
def _ours(path: Path) -> Iterator[list[Moves]]:
    """The same for each hand in the tool: its own pieces go into the queue, and the next time round out of it."""
    migrate(str(path))
    store = open_studio(str(path))
    refs = [[glazed(store) for _ in range(PIECES_EACH)] for _ in range(HANDS)]
    store.close()
    with serving(str(path)) as (_, port), hands(port, TOM.email, HANDS) as busy:
        yield [_our_move(hand, own) for hand, own in zip(busy, refs, strict=True)]


def _our_move(hand: Hand, refs: list[str]) -> Moves:
    turns = cycle([*((ref, "queue") for ref in refs), *((ref, "pull back") for ref in refs)])

    def move() -> None:
        ref, step = next(turns)
        status, answer = hand.scan(ref, step, **({"route": "mid-range"} if step == "queue" else {}))
        assert status == 200, answer

    return move


def _timed(moves: list[Moves]) -> list[float]:
    """How long each move took, in seconds, while all hands moved for a few seconds."""
    until = time.perf_counter() + SECONDS

    def keep_moving(move: Moves) -> list[float]:
        took = []
        while (begun := time.perf_counter()) < until:
            move()
            took.append(time.perf_counter() - begun)
        return took

    with ThreadPoolExecutor(HANDS) as pool:
        return [one for took in pool.map(keep_moving, moves) for one in took]


def measure() -> list[tuple[str, float, float, str]]:
    """The rate of moves in parts of the bare rate, and the slowest percent: the middle of several turns in one run."""
    theirs: list[list[float]] = []
    ours: list[list[float]] = []
    with (
        TemporaryDirectory(prefix="footring-bench-") as room,
        _bare(Path(room) / "bare.db") as bare,
        _ours(Path(room) / "ours.db") as moves,
    ):
        # Nobody counts the first turns, in which both warm up.
        for _ in range(WARMING):
            _timed(bare)
            _timed(moves)
        # Turns are short and each of ours stands between two of theirs: what else the machine does slows both alike.
        theirs.append(_timed(bare))
        for _ in range(ROUNDS):
            ours.append(_timed(moves))
            theirs.append(_timed(bare))
    beside = [(len(before) + len(after)) / 2 for before, after in pairwise(theirs)]
    rates = [len(mine) / other for mine, other in zip(ours, beside, strict=True)]
    slowest = [quantiles(took, n=100)[-1] * 1000 for took in ours]
    return [
        ("move rate vs bare", median(rates), FLOOR, "at least"),
        (f"move p99 ms with {HANDS} clients", median(slowest), SLOWEST_MS, "at most"),
    ]
