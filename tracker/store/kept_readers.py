"""Connections that only read, one for each thread that asks: they stay open from one question to the next."""

from __future__ import annotations

import os
from contextlib import AbstractContextManager
from sqlite3 import Error as DriverError
from threading import local
from types import TracebackType

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DBAPIError


class KeptReaders:
    """For an SQLite file: to fetch a connection from the pool and give it back takes as long as a short question.

    Between its questions a connection is in no transaction, so each sees what was written last.
    """

    def __init__(self, engine: Engine) -> None:
        """Keep connections of `engine`."""
        self._engine = engine
        self._of_thread = local()

    def connect(self) -> AbstractContextManager[Connection]:
        """This thread's connection; another one within a question that is still being asked."""
        own: _Kept | None = getattr(self._of_thread, "own", None)
        if own is None or not own.is_good:
            own = self._of_thread.own = _Kept(self._engine)
        return self._engine.connect() if own.is_asking else own

    def let_go(self) -> None:
        """Give every connection back; one that is asking goes back once it has its answer."""
        # What a thread keeps goes with the place where it is kept, and a connection that nobody has back to its pool.
        self._of_thread = local()


class _Kept:
    """One thread's connection, to be entered for each question."""

    __slots__ = ("_connection", "_process", "_was_cut_off", "is_asking")

    def __init__(self, engine: Engine) -> None:
        self._connection = engine.connect()
        self._process = os.getpid()
        self._was_cut_off = False
        self.is_asking = False

    @property
    def is_good(self) -> bool:
        """Whether it can be asked; one that was open when this process began belongs to the process before."""
        return not self._was_cut_off and self._process == os.getpid()

    def __enter__(self) -> Connection:
        self.is_asking = True
        return self._connection

    def __exit__(self, kind: type[BaseException] | None, _fault: object, _trace: TracebackType | None) -> None:
        self.is_asking = False
        if kind is not None and issubclass(kind, (DBAPIError, DriverError)):
            # What is wrong with it may not pass: the next question opens another.
            self._was_cut_off = True
            self._connection.invalidate()
            self._connection.close()
        elif self._connection.get_transaction() is not None:
            self._connection.rollback()
