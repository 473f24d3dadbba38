"""How Alembic runs the migrations on the connection it is handed: each is one transaction with its version.

So whatever ends a migration half way, a fault or a pulled plug, the database is as it was before that migration.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from alembic import context

if TYPE_CHECKING:
    from alembic.runtime.migration import MigrationContext
    from sqlalchemy import Connection


def _migrate(connection: Connection) -> None:
    on_sqlite = connection.dialect.name == "sqlite"
    if on_sqlite:
        # A batch change rebuilds a table; with foreign keys on, the rows that point to it would go with the old one.
        # Said to the driver itself: SQLAlchemy would begin a transaction first, in which SQLite does not listen.
        connection.connection.execute("PRAGMA foreign_keys = OFF")
    context.configure(
        connection=connection,
        target_metadata=context.config.attributes.get("metadata"),
        render_as_batch=on_sqlite,
        compare_type=True,
        compare_server_default=True,
        # Alembic takes SQLite for one that can't roll a table back; it can, once its driver begins nothing by itself.
        transactional_ddl=True,
        transaction_per_migration=True,
        on_version_apply=_must_point_somewhere,
    )
    with context.begin_transaction():
        context.run_migrations()
    if on_sqlite:
        connection.rollback()
        connection.connection.execute("PRAGMA foreign_keys = ON")


def _must_point_somewhere(ctx: MigrationContext, *_of_the_step: object, **_more: object) -> None:
    """Refuse a migration on SQLite, before it is committed, that leaves rows without what they point to."""
    connection = ctx.connection
    if connection is None or connection.dialect.name != "sqlite":
        return
    if broken := connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall():
        message = f"the migration would leave rows that point nowhere: {broken[:5]}"
        raise RuntimeError(message)


_migrate(context.config.attributes["connection"])
