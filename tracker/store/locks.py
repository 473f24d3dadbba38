"""Who may be at a database beside whom: upgrades one after the other, and no restore where pages are served.

For an SQLite file these are locks on files beside it, which end with whoever holds them, even when that is killed; for
PostgreSQL they are locks of the session. A file is taken away again by the last who held it.
"""

from __future__ import annotations

import fcntl
import os
from collections.abc import Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager, suppress
from pathlib import Path

from sqlalchemy import func, select

from tracker.domain.message import Message, _
from tracker.domain.refusals import Unusable
from tracker.store.engine import address_of, open_engine, shown

_NUMBERS = {"upgrading": -2, "serving": -3}
"""Of the locks of PostgreSQL, beside those of `unit_of_work`."""


@contextmanager
def upgrading(database: str) -> Iterator[None]:
    """Change the schema of `database` alone; whoever comes second waits here."""
    with _lock(database, "upgrading", fcntl.LOCK_EX):
        yield


@contextmanager
def serving(database: str) -> Iterator[None]:
    """Serve pages from `database`, beside others who do, so that nobody restores into it meanwhile."""
    with _lock(database, "serving", fcntl.LOCK_SH):
        yield


@contextmanager
def nobody_serving(database: str) -> Iterator[None]:
    """Keep `database` from being served as long as this runs; refused where it is."""
    with ExitStack() as held:
        try:
            held.enter_context(_lock(database, "serving", fcntl.LOCK_EX | fcntl.LOCK_NB))
        except BlockingIOError:
            words = _("Footring is running on {database}.")
            raise Unusable(
                [Message("being-served", words, database=shown(database))],
                Message("stop-it-first", _("Stop the server, then restore.")),
            ) from None
        yield


def _lock(database: str, what: str, how: int) -> AbstractContextManager[None]:
    url = address_of(database)
    if url.get_backend_name() == "sqlite":
        return _file_lock(Path(str(url.database)), what, how)
    return _session_lock(database, _NUMBERS[what], how)


@contextmanager
def _file_lock(database: Path, what: str, how: int) -> Iterator[None]:
    path = database.with_name(f"{database.name}-{what}")
    path.parent.mkdir(parents=True, exist_ok=True)
    handle = _locked(path, how)
    try:
        yield
    finally:
        # Only the last one out takes the file away, while nobody else has it.
        with suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            path.unlink(missing_ok=True)
        os.close(handle)


def _locked(path: Path, how: int) -> int:
    """A lock on the file that has this name once it is locked, and not on one that was taken away meanwhile."""
    while True:
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            fcntl.flock(handle, how)
        except OSError:
            os.close(handle)
            raise
        with suppress(FileNotFoundError):
            if os.path.samestat(os.fstat(handle), path.stat()):
                return handle
        os.close(handle)


_ASKS = {
    fcntl.LOCK_EX: func.pg_advisory_lock,
    fcntl.LOCK_SH: func.pg_advisory_lock_shared,
    fcntl.LOCK_EX | fcntl.LOCK_NB: func.pg_try_advisory_lock,
}
"""How PostgreSQL is asked for the lock that a file would be asked for."""


@contextmanager
def _session_lock(database: str, number: int, how: int) -> Iterator[None]:
    engine = open_engine(database)
    try:
        # Without a transaction, because one that stays open for days would keep PostgreSQL from tidying up.
        with engine.execution_options(isolation_level="AUTOCOMMIT").connect() as connection:
            if connection.scalar(select(_ASKS[how](number))) is False:
                raise BlockingIOError
            yield
    finally:
        engine.dispose()
