"""The demo studio, played once for all its tests."""

from __future__ import annotations

import fcntl
import pickle
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest
from argon2 import PasswordHasher

from demo_seed.play import Telling, tell
from demo_seed.sorts import SORTS
from tests.whole_run import nothing_measured
from tracker.store.pieces.queries import PiecePage
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Store

ENDS = datetime(2026, 4, 17, 20, 30, tzinfo=UTC)
"""When the tests let the story end: in the afternoon of a college day."""


@dataclass(frozen=True, slots=True)
class Demo:
    """The demo studio once it has been played: its file, what its telling left, the store, and each piece's page."""

    file: Path
    telling: Telling
    store: Store
    pages: tuple[PiecePage, ...]

    @property
    def read(self) -> Queries:
        """What pages ask."""
        return self.store.read


def no_draws(_below: int) -> int:
    """Stands where codes are drawn for tests that issue none."""
    raise AssertionError("a code was drawn by a test that issues none")


def every_page(read: Queries) -> tuple[PiecePage, ...]:
    """The page of each piece there is, in the order of their numbers."""
    rows = read.pieces.by_ids(range(1, sum(sort.count for sort in SORTS) + 1))
    return tuple(read.pieces.page(row.piece.id) for row in rows)


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory, worker_id: str, usual_hasher: PasswordHasher) -> Iterator[Demo]:
    """The whole story, told once; the workers of one run share it, because it takes long to tell."""
    own = tmp_path_factory.getbasetemp()
    shared = own if worker_id == "master" else own.parent
    file, left = shared / "demo.sqlite", shared / "demo.telling"
    with (shared / "demo.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not left.exists():
            # What it reaches is measured where a part of it is told again.
            with nothing_measured():
                left.write_bytes(pickle.dumps(tell(str(file), ends=ENDS)))
    # Only what this run has written itself is read here.
    telling = pickle.loads(left.read_bytes())  # noqa: S301 -- as the line above says
    store = Store(str(file), no_draws)
    yield Demo(file, telling, store, every_page(store.read))
    store.close()
