"""Each thread keeps a connection that reads: never in a transaction between questions, and never another process's."""

from __future__ import annotations

import os
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier

import pytest
from sqlalchemy import Connection, Engine, text
from sqlalchemy.exc import OperationalError

from tracker.store.engine import open_for_studio
from tracker.store.kept_readers import KeptReaders

_PLACES = text("SELECT count(*) FROM stations")
_ANOTHER = text("INSERT INTO stations VALUES (1)")


@pytest.fixture
def engines(tmp_path: Path) -> Iterator[tuple[Engine, Engine]]:
    """One to read and one to write, over a file with an empty table."""
    (tmp_path / "kept.db").touch()
    reader, writer = open_for_studio(str(tmp_path / "kept.db"))
    with writer.begin() as connection:
        connection.execute(text("CREATE TABLE stations (number INTEGER)"))
    yield reader, writer
    reader.dispose()
    writer.dispose()


def driver_of(connection: Connection) -> object:
    """The driver's own connection."""
    return connection.connection.dbapi_connection


def test_a_thread_asks_over_one_connection_and_sees_what_was_written_between(engines: tuple[Engine, Engine]) -> None:
    reader, writer = engines
    readers = KeptReaders(reader)

    with readers.connect() as first:
        before, driver = first.scalar(_PLACES), driver_of(first)
    with writer.begin() as connection:
        connection.execute(_ANOTHER)

    with readers.connect() as second:
        assert (before, second.scalar(_PLACES)) == (0, 1)
        assert driver_of(second) is driver


def test_a_question_within_another_leaves_that_one_its_moment(engines: tuple[Engine, Engine]) -> None:
    reader, writer = engines
    readers = KeptReaders(reader)

    with readers.connect() as outer:
        assert outer.scalar(_PLACES) == 0
        with writer.begin() as connection:
            connection.execute(_ANOTHER)
        with readers.connect() as inner:
            assert inner.scalar(_PLACES) == 1

        assert outer.scalar(_PLACES) == 0


def test_a_connection_that_failed_is_not_asked_again(engines: tuple[Engine, Engine]) -> None:
    readers = KeptReaders(engines[0])
    with readers.connect() as connection:
        failed = driver_of(connection)

    with pytest.raises(OperationalError), readers.connect() as connection:
        connection.execute(text("SELECT * FROM nowhere"))

    with readers.connect() as connection:
        assert driver_of(connection) is not failed
        assert connection.scalar(_PLACES) == 0


def test_no_file_stays_open_once_all_are_let_go(engines: tuple[Engine, Engine]) -> None:
    reader, writer = engines
    readers, met = KeptReaders(reader), Barrier(3)

    def ask() -> object:
        met.wait(10)
        with readers.connect() as connection:
            return driver_of(connection)

    with ThreadPoolExecutor(3) as pool:
        asked = [pool.submit(ask) for _ in range(3)]
        assert len({id(one.result()) for one in asked}) == 3

        readers.let_go()
        reader.dispose()
        writer.dispose()

        assert not [one for one in Path("/proc/self/fd").iterdir() if os.path.realpath(one).endswith("kept.db")]


def test_a_process_asks_over_none_that_was_open_before_it_began(engines: tuple[Engine, Engine]) -> None:
    readers = KeptReaders(engines[0])
    with readers.connect() as connection:
        parents = driver_of(connection)

    child = os.fork()
    if not child:
        is_of_parent = True
        try:
            with readers.connect() as connection:
                is_of_parent = driver_of(connection) is parents or connection.scalar(_PLACES) != 0
        finally:
            os._exit(is_of_parent)

    assert os.waitpid(child, 0)[1] == 0
