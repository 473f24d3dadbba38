"""The schema of a database: which it has, and how it is brought to another, one migration after the other."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from importlib import resources

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, select, table, text

from tracker.store.engine import WRITES, open_engine
from tracker.store.locks import upgrading
from tracker.store.tables import metadata

_VERSION = table("alembic_version")


@cache
def versions() -> tuple[str, ...]:
    """Every schema there ever was, the oldest first."""
    return tuple(one.revision for one in ScriptDirectory.from_config(_config()).walk_revisions())[::-1]


def newest() -> str:
    """The schema that this Footring works with."""
    return versions()[-1]


def version_of(connection: Connection) -> str | None:
    """The schema that a database has; None where nothing was ever set up."""
    if not connection.dialect.has_table(connection, _VERSION.name):
        return None
    version: str | None = connection.scalar(select(text("version_num")).select_from(_VERSION))
    return version


def migrate(database: str, revision: str = "head") -> None:
    """Bring the schema up to `revision`, creating the database file of SQLite where there is none.

    Where somebody else is at it, this waits until they are done.
    """
    with upgrading(database):
        migrate_alone(database, revision)


def migrate_alone(database: str, revision: str = "head") -> None:
    """The same for whoever sees to it that nobody else is at it."""
    with _migrating(database) as config:
        command.upgrade(config, revision)


def downgrade(database: str, revision: str = "base") -> None:
    """Take the schema back to `revision`; what only newer tables hold is lost."""
    with upgrading(database), _migrating(database) as config:
        command.downgrade(config, revision)


def drift(database: str) -> None:
    """Raise Alembic's `CommandError` when the tables here and the migrated database differ."""
    with _migrating(database) as config:
        command.check(config)


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(resources.files("migrations")))
    config.attributes["metadata"] = metadata
    return config


@contextmanager
def _migrating(database: str) -> Iterator[Config]:
    config = _config()
    engine = open_engine(database)
    try:
        with engine.execution_options(**{WRITES: True}).connect() as connection:
            config.attributes["connection"] = connection
            yield config
    finally:
        engine.dispose()
