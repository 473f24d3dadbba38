"""What stands in a database before anybody works with it: nothing, a studio, or one of another Footring."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Engine, func, select
from sqlalchemy.exc import DBAPIError

from tracker.domain.message import Message, _
from tracker.domain.refusals import Unusable
from tracker.store.backup_seal import is_sealed
from tracker.store.engine import address_of, open_engine, shown
from tracker.store.schema import newest, version_of, versions
from tracker.store.tables import house
from tracker.store.troubles import first_line

_INIT_FIRST = Message("init-first", _("Set one up first with footring serve or footring init."))


@contextmanager
def opened(database: str) -> Iterator[Engine]:
    """The database's engine, with every connection closed at the end."""
    engine = open_engine(database)
    try:
        yield engine
    finally:
        engine.dispose()


def must_be_reachable(database: str) -> None:
    """Refuse with one sentence a database that nobody can open; an SQLite file yet to be made is none.

    A backup is none either: opening it would change it, and then nobody could tell whether it is whole.
    """
    url = address_of(database)
    if url.get_backend_name() == "sqlite":
        file = Path(str(url.database))
        if not file.exists():
            return
        if file.is_file() and is_sealed(file):
            remedy = _("Restore it into a new database, or run footring check {file}.")
            raise Unusable(
                [Message("is-a-backup", _("{file} is a backup."), file=str(file))],
                Message("restore-it-first", remedy, file=str(file)),
            )
    with opened(database) as engine:
        try:
            engine.connect().close()
        except DBAPIError as fault:
            raise Unusable(
                [Message("database-closed", _("The database can't be opened: {fault}."), fault=first_line(fault))],
                Message("look-at-its-address", _("Check the path and permissions.")),
            ) from None


def holds_a_studio(database: str) -> bool:
    """Whether a studio has been set up in a database; one that can't be opened is refused with its sentence."""
    must_be_reachable(database)
    url = address_of(database)
    if url.get_backend_name() == "sqlite" and not Path(str(url.database)).exists():
        return False
    with opened(database) as engine:
        return bool(_studios_in(engine))


def must_hold_a_studio(database: str) -> None:
    """Refuse a database in which no studio has been set up, and make no file where there is none."""
    must_be_reachable(database)
    file = address_of(database).database
    with opened(database) as engine:
        if engine.dialect.name == "sqlite" and not Path(str(file)).is_file():
            words = _("There's no database at {file}.")
            raise Unusable([Message("no-database", words, file=str(file))], _INIT_FIRST)
        if not _studios_in(engine):
            words = _("{database} has no studio in it.")
            raise Unusable([Message("holds-no-studio", words, database=shown(database))], _INIT_FIRST)


def must_be_empty(database: str, remedy: Message) -> None:
    """Refuse a database that a studio has been set up in, with the `remedy`."""
    if holds_a_studio(database):
        words = _("{database} already has a studio in it.")
        raise Unusable([Message("holds-a-studio", words, database=shown(database))], remedy)


def _studios_in(engine: Engine) -> int:
    """How many lines are written of the house; none means that nobody has set up anything."""
    with engine.connect() as connection:
        if not engine.dialect.has_table(connection, house.name):
            return 0
        return connection.scalar(select(func.count()).select_from(house)) or 0


def schema_of(database: str, way_back: Message) -> str:
    """The schema of a database that holds a studio; refused, with the `way_back`, where it is none we know."""
    with opened(database) as engine, engine.connect() as connection:
        version = version_of(connection)
    if version in versions():
        return version
    if version is not None and version > newest():
        words = _("{database} was upgraded by a newer Footring.")
        raise Unusable([Message("database-newer", words, database=shown(database))], way_back)
    raise half_made(database, way_back)


def half_made(database: str, way_back: Message) -> Unusable:
    """What is said of a database whose tables fit none of the schemas."""
    words = _("An upgrade of {database} stopped halfway. Nothing was changed now.")
    return Unusable([Message("database-half-made", words, database=shown(database))], way_back)


def must_be_current(database: str) -> None:
    """Refuse a database that holds no studio, or one that has another schema than the newest."""
    must_hold_a_studio(database)
    if schema_of(database, Message("upgrade-tells", _("Run footring upgrade to see how to go back."))) != newest():
        words = _("{database} is from an older Footring.")
        raise Unusable(
            [Message("database-older", words, database=shown(database))],
            Message("upgrade-first", _("Run footring upgrade.")),
        )
