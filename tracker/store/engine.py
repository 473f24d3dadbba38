"""How the database is opened."""

from __future__ import annotations

import re
import sqlite3
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError

from tracker.domain.message import Message, _
from tracker.domain.refusals import Unusable

_EITHER: Final[dict[str, Any]] = {"pool_use_lifo": True, "hide_parameters": True}
"""How an engine is made for either database. The connection that was used last has its pages and statements still at
hand, so it is the next. An error never tells what was in a statement: that may be a name, an email or a hash."""

WRITES = "footring_writes"
"""The execution option that marks a connection as one that will write."""

# The log is folded into the file after 8,000 pages (32 MB); at SQLite's own 1,000 one scan in eighty waits for it.
_PRAGMAS = (
    "PRAGMA busy_timeout = 5000",
    "PRAGMA journal_mode = WAL",
    "PRAGMA synchronous = FULL",
    "PRAGMA wal_autocheckpoint = 8000",
    "PRAGMA foreign_keys = ON",
    "PRAGMA recursive_triggers = ON",
    "PRAGMA trusted_schema = OFF",
)


def address_of(database: str) -> URL:
    """The database's URL from a URL or the path of an SQLite file; refuse anything else with `Unusable`."""
    try:
        url = (
            make_url(database)
            if re.match(r"[a-z0-9+]+://", database)
            else make_url(f"sqlite:///{Path(database).resolve()}")
        )
    except ArgumentError:
        raise Unusable(
            [Message("database-unreadable", _("“{database}” isn't a database address."), database=database)],
            Message("database-unreadable-remedy", _("Give a file's path, or postgresql://user@host/name.")),
        ) from None
    if url.get_backend_name() == "postgresql":
        return url.set(drivername="postgresql+psycopg")
    if url.get_backend_name() != "sqlite":
        raise Unusable(
            [Message("database-unknown", _("Footring doesn't work with {kind}."), kind=url.get_backend_name())],
            Message("database-unknown-remedy", _("Use SQLite or PostgreSQL.")),
        )
    return url


def shown(database: str) -> str:
    """The database as people are told of it: a file's path, or its address without the password."""
    url = address_of(database)
    return str(url.database) if url.get_backend_name() == "sqlite" else url.render_as_string(hide_password=True)


def open_engine(database: str, *, durable: bool = True) -> Engine:
    """Open `database` (a URL or the path of an SQLite file); nothing is read or written yet.

    Without `durable` SQLite does not wait for the disk: for a database that can be made again from nothing.
    """
    url = address_of(database)
    if url.get_backend_name() == "postgresql":
        return create_engine(url, pool_size=10, pool_pre_ping=True, **_EITHER)
    arguments = {"timeout": 5, "check_same_thread": False}
    engine = create_engine(url, pool_size=16, **_EITHER, connect_args=arguments)
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    if not durable:
        event.listen(engine, "connect", _do_not_wait)
    return engine


def open_for_studio(database: str, *, durable: bool = True) -> tuple[Engine, Engine]:
    """Open a database that is there already, for a studio: one engine whose transactions only read, and one to write.

    Neither waits for a lock longer than `_PATIENCE_MS`, and a reader on SQLite never waits for a writer at all.
    """
    url = address_of(database)
    if url.get_backend_name() == "postgresql":
        # A server that is away is told of soon, not when the system gives up (options of libpq).
        arguments: dict[str, Any] = {"connect_timeout": 3, "tcp_user_timeout": 10_000} | dict(url.query)
        reader, writer = (
            create_engine(url, pool_size=10, pool_pre_ping=True, **_EITHER, connect_args=arguments) for _ in range(2)
        )
        event.listen(reader, "connect", _read_only_postgres)
        event.listen(writer, "connect", _patient_postgres)
        return reader, writer
    # An SQLite file that went away is not made anew, empty.
    there = f"file:{quote(str(url.database))}?mode=rw"

    def connect() -> sqlite3.Connection:
        return sqlite3.connect(there, uri=True, check_same_thread=False)

    # Each thread keeps one (`kept_readers`), however many threads there are.
    reader = create_engine(url, pool_size=16, max_overflow=-1, **_EITHER, creator=connect)
    writer = create_engine(url, pool_size=1, **_EITHER, creator=connect)
    for engine, prepare in ((reader, _read_only_sqlite), (writer, _patient_sqlite)):
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "connect", prepare)
        event.listen(engine, "begin", _begin_sqlite)
    if not durable:
        event.listen(writer, "connect", _do_not_wait)
    return reader, writer.execution_options(**{WRITES: True})


_PATIENCE_MS = 1_500
"""How long a studio's connection waits for a lock that somebody outside this process holds."""


def _read_only_postgres(connection: Any, _record: object) -> None:  # noqa: ANN401 -- the driver's own connection
    _patient_postgres(connection, _record)
    connection.execute("SET default_transaction_read_only = on")
    # As on SQLite, all that one transaction reads is of one moment; without it each statement sees its own.
    connection.execute("SET default_transaction_isolation = 'repeatable read'")
    connection.commit()


def _patient_postgres(connection: Any, _record: object) -> None:  # noqa: ANN401 -- the driver's own connection
    connection.execute(f"SET lock_timeout = {_PATIENCE_MS}")
    connection.commit()


def _read_only_sqlite(connection: Any, _record: object) -> None:  # noqa: ANN401 -- the driver's own connection
    _patient_sqlite(connection, _record)
    connection.execute("PRAGMA query_only = ON")


def _patient_sqlite(connection: Any, _record: object) -> None:  # noqa: ANN401 -- the driver's own connection
    connection.execute(f"PRAGMA busy_timeout = {_PATIENCE_MS}")


def _prepare_sqlite(connection: Any, _record: object) -> None:  # noqa: ANN401 -- the driver's own connection
    # The driver's own transactions lose updates; with none of its own, the "begin" below is the only one.
    connection.isolation_level = None
    for pragma in _PRAGMAS:
        connection.execute(pragma)


def _do_not_wait(connection: Any, _record: object) -> None:  # noqa: ANN401 -- the driver's own connection
    connection.execute("PRAGMA synchronous = OFF")


def _begin_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get(WRITES)
    # Straight to the driver: this stands before every other statement, and nothing of it is worth compiling or logging.
    connection.connection.execute("BEGIN IMMEDIATE" if writes else "BEGIN")
