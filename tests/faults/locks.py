"""Another program that holds the database's lock while people scan and look."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import create_engine

from tests.faults._place import Place, Row
from tests.faults._scanning import all_working, scanners, until_acknowledged
from tests.serving import Hand
from tests.staffed import TOM

LOCKS = 16
HELD_SECONDS = 4.0
SLOWEST_SECONDS = 3.0
"""A page that takes longer while a writer is stuck counts as lost: its reader was stopped."""


def suffer(place: Place) -> Iterator[Row]:
    """Hold the lock, look at pages meanwhile, and let go of it."""
    row = Row("lock held for 4 s: slowest page")
    slowest = 0.0
    with scanners(database := place.fresh(), row) as (server, busy):
        reader = Hand(server.port, TOM.email)

        def hold_it() -> None:
            nonlocal slowest
            for _ in range(place.times(LOCKS)):
                until_acknowledged(busy, 5)
                row.tried += 1
                with _held(database):
                    until = time.monotonic() + HELD_SECONDS
                    while (began := time.monotonic()) < until:
                        row.answered(*reader.get("/waiting"))
                        took = time.monotonic() - began
                        slowest = max(slowest, took)
                        row.lost += took > SLOWEST_SECONDS
                        time.sleep(0.1)

        all_working(busy, hold_it)
        reader.close()
    row.what += f" {slowest:.1f} s"
    yield row


@contextmanager
def _held(database: str) -> Iterator[None]:
    engine = create_engine(database)
    with engine.connect() as other:
        if engine.dialect.name == "sqlite":
            other.exec_driver_sql("PRAGMA busy_timeout = 30000")
            other.connection.cursor().execute("BEGIN IMMEDIATE")
        else:
            other.exec_driver_sql("LOCK TABLE requests IN ACCESS EXCLUSIVE MODE")
        yield
        other.rollback()
    engine.dispose()
