"""What the parts of the store are made with: connections to ask over, or the one that a change writes over."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager

from sqlalchemy import Connection

from tracker.domain.pieces.history import Request

Connect = Callable[[], AbstractContextManager[Connection]]


class Asked:
    """What is asked of the database, over connections that `connect` gives."""

    def __init__(self, connect: Connect) -> None:
        """Keep how to connect."""
        self._connect = connect


class Kept(Asked):
    """What is asked of it and written without a change, in transactions that `writing` gives."""

    def __init__(self, connect: Connect, writing: Connect) -> None:
        """Keep how to connect, and how to write."""
        super().__init__(connect)
        self._writing = writing


class Written:
    """What a change writes, over its own connection and for whoever asks for it."""

    def __init__(self, connection: Connection, request: Request) -> None:
        """Write in the transaction of `connection`, on behalf of `request`."""
        self._connection = connection
        self._request = request
