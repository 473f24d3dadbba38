"""Every row of one database into another of the same schema, whichever engines they are."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from sqlalchemy import Connection, DateTime, Engine, Integer, MetaData, Table, event, func, insert, select

from tracker.store.engine import WRITES
from tracker.store.presence import opened
from tracker.store.schema import newest, version_of
from tracker.store.tables import IN_ORDER, UtcTime

_ROWS_AT_ONCE = 1_000
_NOT_OURS = {"alembic_version", "photo_files"}
"""Tables that every migrated database has in it already, or that travel another way."""


def copy_rows(source: str, target: str, progress: Callable[[int, int], None] | None) -> None:
    """Copy every row of every table in one transaction, parents before children."""
    with opened(source) as old, opened(target) as new:
        writer = new.execution_options(**{WRITES: True})
        reader = old.execution_options(isolation_level="REPEATABLE READ") if old.dialect.name != "sqlite" else old
        tables = _tables_of(new)
        with reader.connect() as read, writer.connect() as write, write.begin():
            total = sum(read.scalar(select(func.count()).select_from(table)) or 0 for table in tables)
            done = 0
            for table in tables:
                rows = read.execution_options(yield_per=_ROWS_AT_ONCE).execute(
                    select(table).order_by(*table.primary_key)
                )
                for some in rows.mappings().partitions():
                    write.execute(insert(table), [dict(row) for row in some])
                    done += len(some)
                    if progress:
                        progress(done, total)
                _count_on(write, table)


def _tables_of(engine: Engine) -> Sequence[Table]:
    """The tables that a database has, each after those it refers to."""
    with engine.connect() as connection:
        if version_of(connection) == newest():
            return IN_ORDER
        older = MetaData()
        event.listen(older, "column_reflect", _as_we_read_it)
        older.reflect(connection)
    places = {table.name: place for place, table in enumerate(IN_ORDER)}
    # What there is no more today had nothing that referred to it.
    ours = [table for table in older.sorted_tables if table.name not in _NOT_OURS]
    return sorted(ours, key=lambda table: places.get(table.name, len(places)))


def _as_we_read_it(_inspector: object, _table: object, column: dict[str, Any]) -> None:
    """Read a column of an older schema as the tables of today read theirs, on either engine."""
    kind = column["type"]
    column["type"] = UtcTime() if isinstance(kind, DateTime) else kind.as_generic()


def _count_on(connection: Connection, table: Table) -> None:
    """Let PostgreSQL number the next row after the last one copied."""
    (column, *more) = table.primary_key
    if (
        connection.dialect.name == "sqlite"
        or more
        or not isinstance(column.type, Integer)
        or column.autoincrement is False
    ):
        return
    highest = connection.scalar(select(func.max(column)))
    if highest is not None:
        connection.execute(select(func.setval(func.pg_get_serial_sequence(table.name, column.name), highest)))
