"""A server that is killed in the middle of its work has kept everything it acknowledged."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from http.client import HTTPException
from itertools import cycle, islice
from pathlib import Path
from shutil import copyfile
from tempfile import TemporaryDirectory
from threading import Event
from uuid import uuid4

import pytest
from sqlalchemy import create_engine

from tests.serving import Hand, hands, serving
from tests.staffed import TOM, asked_by, open_studio
from tests.studio import a_new_piece
from tracker.store import backup as keeping
from tracker.usecases.pieces import pieces

HANDS = 8
SCANS = 1_000
KILLED_AFTER = 250
SENT_AGAIN = 10
"""Scans of each hand after the kill: the last one acknowledged, the one under way, and some more."""

Scan = tuple[str, str, str]
"""The code, the step and the request key."""


def _planned(database: str) -> list[list[Scan]]:
    """For each hand its scans: its own pieces in turn, waxed, and the next time round washed off."""
    store = open_studio(database)
    plans = []
    for _ in range(HANDS):
        pot = a_new_piece(arrives_bisqued=True)
        refs = [pieces.register(store, asked_by(TOM), pot).ref for _ in range(10)]
        turns = islice(cycle([*((ref, "wax") for ref in refs), *((ref, "not waxed") for ref in refs)]), SCANS // HANDS)
        plans.append([(ref, step, str(uuid4())) for ref, step in turns])
    store.close()
    return plans


def _lines(database: str) -> dict[str, int]:
    """How many lines of history each request has left."""
    engine = create_engine(database)
    with engine.connect() as connection:
        found = connection.exec_driver_sql("SELECT request_key, count(*) FROM history GROUP BY request_key").all()
    engine.dispose()
    return {key: many for key, many in found}  # noqa: C416 -- rows become pairs


@pytest.fixture
def on_a_disk(database_url: str) -> Iterator[str]:
    """The database in a file on a disk: the gate keeps its own folders in memory, for which no write ever waits."""
    file = database_url.partition("sqlite:///")[2]
    if not file:
        yield database_url
        return
    with TemporaryDirectory(prefix="footring-crash-", dir="/var/tmp") as room:
        yield f"sqlite:///{copyfile(file, Path(room) / 'studio.sqlite')}"


@pytest.mark.slow
def test_a_server_killed_in_the_middle_of_a_thousand_scans_loses_none_it_acknowledged(on_a_disk: str) -> None:
    database_url = on_a_disk
    plans = _planned(database_url)
    acknowledged: list[str] = []
    enough = Event()

    def scan_all(hand: Hand, plan: list[Scan]) -> None:
        for ref, step, key in plan:
            try:
                status, answer = hand.scan(ref, step, key)
            except (OSError, HTTPException):
                return
            assert status == 200, answer
            acknowledged.append(key)
            if len(acknowledged) >= KILLED_AFTER:
                enough.set()

    with (
        serving(database_url) as (server, port),
        hands(port, TOM.email, HANDS) as busy,
        ThreadPoolExecutor(HANDS) as pool,
    ):
        under_way = [pool.submit(scan_all, hand, plan) for hand, plan in zip(busy, plans, strict=True)]
        assert enough.wait(120)
        server.kill()
        for one in under_way:
            one.result()

    kept = _lines(database_url)
    assert KILLED_AFTER <= len(acknowledged) < SCANS
    assert [key for key in acknowledged if kept.get(key) != 1] == []
    assert keeping.check(database_url) == ()

    known = set(acknowledged)
    with (
        serving(database_url) as (_, port),
        hands(port, TOM.email, HANDS) as fresh,
        ThreadPoolExecutor(HANDS) as pool,
    ):
        # What was not acknowledged is sent again in its order, after the last scan that was, which is a second time.
        begins = [max(0, sum(key in known for _, _, key in plan) - 1) for plan in plans]
        rest = [plan[begin : begin + SENT_AGAIN] for plan, begin in zip(plans, begins, strict=True)]
        list(pool.map(scan_all, fresh, rest))

    after = _lines(database_url)
    sent = [key for plan, begin in zip(plans, begins, strict=True) for _, _, key in plan[: begin + SENT_AGAIN]]
    assert [key for key in sent if after.get(key) != 1] == []
    assert keeping.check(database_url) == ()
