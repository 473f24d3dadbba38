"""How a migration changes what a column allows, on both engines, with the table's triggers left in place."""

from __future__ import annotations

from typing import TYPE_CHECKING

import sqlalchemy as sa
from alembic import op

if TYPE_CHECKING:
    from collections.abc import Iterable


def change_one_of(table: str, column: str, before: Iterable[str], after: Iterable[str]) -> None:
    """Allow the texts `after` in the column instead of those `before`; the CHECK is called ck_<table>_<column>."""
    change_check(table, f"ck_{table}_{column}", _listed(column, before), _listed(column, after))


def change_check(table: str, name: str, before: str, after: str) -> None:
    """Let the CHECK of this name ask `after` instead of `before`; what is stored must agree with it already.

    SQLite can only rebuild a table, which drops its triggers. A CHECK changes nothing of what is stored, so there its
    text is exchanged in the schema, the way SQLite's own page on ALTER TABLE describes for such changes. Raises
    `LookupError` where the table has no such CHECK.
    """
    connection = op.get_bind()
    if connection.dialect.name != "sqlite":
        op.execute(f'ALTER TABLE {table} DROP CONSTRAINT "{name}"')
        op.execute(f'ALTER TABLE {table} ADD CONSTRAINT "{name}" CHECK ({after})')
        return
    _exchange(table, f"CHECK ({before})", f"CHECK ({after})")


def let_be_null(table: str, column: str, kind: str) -> None:
    """Let a column of this kind, as SQLite has it in its schema, be NULL."""
    if op.get_bind().dialect.name != "sqlite":
        op.execute(f"ALTER TABLE {table} ALTER COLUMN {column} DROP NOT NULL")
        return
    _exchange(table, f"{column} {kind} NOT NULL", f"{column} {kind}")


def let_be_null_no_more(table: str, column: str, kind: str) -> None:
    """Let a column be NULL no more; no row may be."""
    if op.get_bind().dialect.name != "sqlite":
        op.execute(f"ALTER TABLE {table} ALTER COLUMN {column} SET NOT NULL")
        return
    _exchange(table, f"{column} {kind}", f"{column} {kind} NOT NULL")


def _exchange(table: str, old: str, new: str) -> None:
    """Exchange a part of a table's text in SQLite's schema."""
    connection = op.get_bind()
    version = connection.exec_driver_sql("PRAGMA schema_version").scalar_one()
    connection.exec_driver_sql("PRAGMA writable_schema = ON")
    exchange = sa.text(
        "UPDATE sqlite_master SET sql = replace(sql, :old, :new)"
        " WHERE type = 'table' AND name = :table AND instr(sql, :old) > 0"
    )
    changed = connection.execute(exchange, {"old": old, "new": new, "table": table}).rowcount
    # A new version makes every connection read the schema again.
    connection.exec_driver_sql(f"PRAGMA schema_version = {version + 1}")
    connection.exec_driver_sql("PRAGMA writable_schema = OFF")
    if changed != 1:
        message = f"{table} has no {old}"
        raise LookupError(message)


def _listed(column: str, values: Iterable[str]) -> str:
    texts = ", ".join(f"'{value}'" for value in values)
    return f"{column} IN ({texts})"
