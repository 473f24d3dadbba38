"""What the Waiting page costs when a million finished pieces lie in the store, beside a thousand."""

from __future__ import annotations

import sqlite3
import time
from contextlib import ExitStack, closing
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from tests.serving import Hand, hands, serving
from tests.staffed import ADA, bisqued, open_studio, queued
from tests.studio import a_new_piece
from tracker.store.engine import migrate
from tracker.store.tables import metadata

FEW, MANY = 1_000, 1_000_000
WAIT = 40
REQUESTS = 60
MOST = 1.3

# What a finished piece has of its own; all else is as in the studio's first piece.
_OWN = {
    "id": "1000 + n",
    "code": "printf('%06d', n)",
    "maker_id": "1 + n % 4",
    "stage": "'claimed'",
    "since": "datetime(since, '-' || (n % 900) || ' days')",
}
_COLUMNS = [column.name for column in metadata.tables["pieces"].columns]
_FINISHED = f"""
    WITH RECURSIVE counted(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM counted WHERE n < ?)
    INSERT INTO pieces ({", ".join(f'"{name}"' for name in _COLUMNS)})
    SELECT {", ".join(_OWN.get(name, f'pieces."{name}"') for name in _COLUMNS)} FROM counted, pieces WHERE pieces.id = 1
"""
_THEIR_HISTORY = """
    INSERT INTO history (piece_id, at, by_id, request_key, step, start, "to", place, reason)
    SELECT pieces.id, pieces.since, 2, line.request_key, steps.step, steps.start, steps.stage, '', ''
    FROM pieces, (SELECT request_key FROM history LIMIT 1) AS line,
        (SELECT 'register' AS step, NULL AS start, 'bisqued' AS stage UNION ALL SELECT 'claim', 'bisqued', 'claimed')
        AS steps
    WHERE pieces.id > 1000
"""


def _studio(path: Path, finished: int) -> None:
    """A studio where a few dozen pieces wait and so many have been taken home."""
    migrate(str(path))
    store = open_studio(str(path))
    bisqued(store)
    for number in range(WAIT):
        queued(store, new=a_new_piece(f"cup {number}"))
    store.close()
    with closing(sqlite3.connect(path)) as file:
        file.execute(_FINISHED, (finished,))
        file.execute(_THEIR_HISTORY)
        file.commit()
        file.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _took(hand: Hand) -> float:
    """How many seconds the page took."""
    begun = time.perf_counter()
    status, page = hand.get("/waiting")
    assert status == 200
    assert f"{WAIT} pieces wait" in page
    return time.perf_counter() - begun


def measure() -> list[tuple[str, float, float, str]]:
    """The middle time of the page over many pieces in parts of that over few, asked in turn."""
    with TemporaryDirectory(prefix="footring-bench-") as room, ExitStack() as stack:
        asked = []
        studios = {Path(room) / "few.db": FEW, Path(room) / "many.db": MANY}
        for path, finished in studios.items():
            _studio(path, finished)
        for path in studios:
            _, port = stack.enter_context(serving(str(path)))
            (hand,) = stack.enter_context(hands(port, ADA.email, 1))
            asked.append(hand)
        few, many = asked
        for hand in asked * 5:
            _took(hand)
        pairs = [(_took(few), _took(many)) for _ in range(REQUESTS)]
    ratio = median(more for _, more in pairs) / median(less for less, _ in pairs)
    return [("the Waiting page with 1,000,000 finished pieces vs 1,000", ratio, MOST, "at most")]
