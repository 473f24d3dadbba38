"""How Alembic runs the migrations: on the connection it is handed, with foreign keys off on SQLite meanwhile."""

from __future__ import annotations

from typing import TYPE_CHECKING

from alembic import context

if TYPE_CHECKING:
    from sqlalchemy import Connection


def _migrate(connection: Connection) -> None:
    on_sqlite = connection.dialect.name == "sqlite"
    if on_sqlite:
        # A batch change rebuilds a table; with foreign keys on, the rows that point to it would go with the old one.
        connection.exec_driver_sql("PRAGMA foreign_keys = OFF")
    context.configure(
        connection=connection,
        target_metadata=context.config.attributes.get("metadata"),
        render_as_batch=on_sqlite,
        compare_type=True,
        compare_server_default=True,
    )
    with context.begin_transaction():
        context.run_migrations()
        if on_sqlite and (broken := connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()):
            message = f"the migration would leave rows that point nowhere: {broken[:5]}"
            raise RuntimeError(message)
    if on_sqlite:
        connection.exec_driver_sql("PRAGMA foreign_keys = ON")


_migrate(context.config.attributes["connection"])
