"""Statements that every scan makes: compiled once for each engine, then handed to the driver as they are."""

from __future__ import annotations

from collections import namedtuple
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy.exc import DBAPIError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from sqlalchemy import Connection, Delete, Dialect, Insert, Select, Update

    Process = Callable[[Any], Any]


class Prepared:
    """One statement; what it is given and what it gives are turned into the driver's values as SQLAlchemy does it.

    SQLAlchemy takes four times as long as the driver to send a statement it has cached, seven times in each scan.
    """

    def __init__(self, statement: Select[Any] | Insert | Update | Delete) -> None:
        """Keep the statement; it is compiled when it is first sent, for an engine and the columns that are given."""
        self._statement = statement
        self._compiled: dict[tuple[str, tuple[str, ...]], _Compiled] = {}

    def all(self, connection: Connection, values: Mapping[str, object]) -> list[Any]:
        """Every row it finds, or that it returns of what it wrote."""
        compiled = self._for(connection, values)
        return [compiled.row_of(raw) for raw in compiled.sent(connection, values).fetchall()]

    def first(self, connection: Connection, values: Mapping[str, object]) -> Any:  # noqa: ANN401 -- a row has the columns of its statement
        """The first row, or None."""
        return next(iter(self.all(connection, values)), None)

    def run(self, connection: Connection, values: Mapping[str, object]) -> int:
        """Do what it says; gives how many rows that changed."""
        return int(self._for(connection, values).sent(connection, values).rowcount)

    def _for(self, connection: Connection, values: Mapping[str, object]) -> _Compiled:
        key = (connection.dialect.name, tuple(values))
        compiled = self._compiled.get(key)
        if compiled is None:
            # Another thread may do the same at this moment, and come to the same.
            compiled = self._compiled[key] = _compiled(self._statement, connection.dialect, values)
        return compiled


@dataclass(frozen=True, slots=True)
class _Compiled:
    """A statement in the words of one engine.

    `order` names the values in turn where the driver takes a list; `fixed` are those that the statement has itself.
    """

    sql: str
    order: tuple[str, ...] | None
    fixed: Mapping[str, object]
    bound: tuple[tuple[str, Process], ...]
    read: tuple[tuple[int, Process], ...]
    row: Callable[[Any], Any]

    def sent(self, connection: Connection, values: Mapping[str, object]) -> Any:  # noqa: ANN401 -- the driver's own cursor
        given = {**self.fixed, **values}
        for name, process in self.bound:
            given[name] = process(given[name])
        driver: Any = connection.connection.dbapi_connection
        known = connection.dialect.loaded_dbapi.Error
        try:
            return driver.execute(self.sql, given if self.order is None else [given[name] for name in self.order])
        except known as fault:
            raise DBAPIError.instance(self.sql, given, fault, known, dialect=connection.dialect) from fault

    def row_of(self, raw: Any) -> Any:  # noqa: ANN401 -- the driver's own row
        if not self.read:
            return self.row(raw)
        values = list(raw)
        for at, process in self.read:
            values[at] = process(values[at])
        return self.row(values)


def _compiled(statement: Any, dialect: Dialect, values: Mapping[str, object]) -> _Compiled:  # noqa: ANN401 -- a statement of any kind
    compiled = statement.compile(dialect=dialect, column_keys=None if statement.is_select else list(values))
    into = {name: bind.type.dialect_impl(dialect).bind_processor(dialect) for name, bind in compiled.binds.items()}
    columns = list(statement.exported_columns)
    out_of = [column.type.dialect_impl(dialect).result_processor(dialect, None) for column in columns]
    names = [column.key for column in columns]
    row: Any = namedtuple("Row", names)  # type: ignore[misc]  # noqa: PYI024 -- its columns are known only here
    return _Compiled(
        sql=str(compiled),
        order=None if compiled.positiontup is None else tuple(compiled.positiontup),
        fixed={name: value for name, value in compiled.params.items() if name not in values},
        bound=tuple((name, process) for name, process in into.items() if process),
        read=tuple((at, process) for at, process in enumerate(out_of) if process),
        row=row._make,
    )
