"""Which tests of the use cases go again on PostgreSQL: those that say something to it that it has not heard.

A use case knows of no engine, so its test goes through the same code on both; what can differ is what a statement comes
to. So what a test says to SQLite is noted, and its twin is left out where PostgreSQL has heard all of it, with the same
outcome, from twins before it. A new statement is always heard, by whichever test says it first. Tests of the store go
on both engines whatever they say.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import Engine, event
from sqlalchemy.exc import DBAPIError

from tracker.store import prepared

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sqlalchemy import Connection
    from sqlalchemy.engine import ExceptionContext, ExecutionContext

_ROOM, _FIRST, _SECOND = "tests/usecases/", "sqlite", "postgresql"


class Twins:
    """What was said so far in this process: to SQLite by each test, and to PostgreSQL by all."""

    def __init__(self) -> None:
        """Nothing was said yet."""
        self._said: dict[str, set[object]] = {}
        self._heard: set[object] = set()
        self._now: set[object] = set()

    def begin(self, item: pytest.Item) -> None:
        """A test begins: from here on what is said is noted for its twin."""
        self._now = set()
        if _engine(item) == _FIRST:
            self._said[_pair(item)] = self._now

    def is_heard(self, item: pytest.Item) -> bool:
        """Whether this is a twin with nothing new to say; where it isn't known, it has."""
        return _engine(item) == _SECOND and self._said.get(_pair(item), {item}) <= self._heard

    def hear(self, item: pytest.Item) -> None:
        """A twin has gone through: all that it says is heard now."""
        if _engine(item) == _SECOND:
            self._heard |= self._said.get(_pair(item), set())

    def listen(self) -> None:
        """Note every statement from here on, whichever way it reaches the driver."""
        event.listen(Engine, "after_cursor_execute", self._sent)
        event.listen(Engine, "handle_error", self._failed)
        send = prepared._Compiled.sent

        def sent(compiled: prepared._Compiled, connection: Connection, values: Any) -> Any:  # noqa: ANN401 -- as it is there
            try:
                cursor = send(compiled, connection, values)
            except DBAPIError as fault:
                self._now.add((compiled.sql, type(fault)))
                raise
            self._now.add((compiled.sql, cursor.rowcount > 0, *_nothings(compiled.sql, values.values())))
            return cursor

        prepared._Compiled.sent = sent  # type: ignore[method-assign, assignment]  # put in its place on purpose

    def _sent(self, _c: Connection, cursor: Any, text: str, given: Any, context: ExecutionContext, _m: object) -> None:  # noqa: ANN401 -- the driver's own
        text = _words(text, context)
        self._now.add((text, cursor.rowcount > 0, *_nothings(text, given)))

    def _failed(self, told: ExceptionContext) -> None:
        self._now.add((_words(told.statement or "", told.execution_context), type(told.original_exception)))


def _words(text: str, context: ExecutionContext | None) -> str:
    """A statement as it was before lists in it were spelled out, each in its own length."""
    compiled = getattr(context, "compiled", None)
    return text if compiled is None else str(compiled)


def _nothings(text: str, given: Iterable[object]) -> tuple[bool, ...]:
    """Where a question is asked about nothing, which PostgreSQL wants to know the type of."""
    return tuple(value is None for value in given) if text.startswith("SELECT") and "POSTCOMPILE" not in text else ()


def _engine(item: pytest.Item) -> str:
    """The engine that a test of the use cases goes on; nothing for other tests, and for those that know of none."""
    engines = {_FIRST, _SECOND} & set(map(str, getattr(getattr(item, "callspec", None), "params", {}).values()))
    return engines.pop() if len(engines) == 1 and item.nodeid.startswith(_ROOM) else ""


def _pair(item: pytest.Item) -> str:
    """What both twins are called."""
    return item.nodeid.replace(_FIRST, _SECOND)
