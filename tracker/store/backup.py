"""Backups, and the check of a whole database against everything that must hold.

A backup is one SQLite file whichever engine it comes from, so a studio can move from the one to the other. The photos,
which are files beside the database, travel in a table of their own inside it.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from alembic.util import CommandError
from sqlalchemy import Integer, func, insert, select, text
from sqlalchemy.exc import DBAPIError

from tracker.domain.message import Message, _
from tracker.domain.pieces.codes import is_issuable
from tracker.domain.refusals import Unusable
from tracker.store.engine import WRITES, address_of, migrate, open_engine
from tracker.store.invariants import INVARIANTS, unfit_in_queues
from tracker.store.pieces.photo_moving import known_stems, lost_photos, pack_photos, unpacked_photos
from tracker.store.pieces.photo_shelf import shelf_for
from tracker.store.queries import Queries
from tracker.store.tables import IN_ORDER, house, pieces

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import datetime

    from sqlalchemy import Connection, Engine, Table

Progress = "Callable[[int, int], None]"
_ROWS_AT_ONCE = 1_000


def backup(database: str, path: Path, progress: Callable[[int, int], None] | None = None, *, photos: str = "") -> None:
    """Write the whole database into the new SQLite file `path`, as it is at one moment, while it is in use.

    `path` appears only when the backup is whole. Refused when there is a file already, or no studio to back up.
    `photos` is the folder for photos where the database is no file.
    """
    if path.exists():
        raise Unusable(
            [Message("backup-there", _("{file} already exists."), file=str(path))],
            Message("backup-other-name", _("Choose another name. A backup is never overwritten.")),
        )
    with _opened(database) as engine:
        _must_hold_a_studio(engine, database)
        with TemporaryDirectory(dir=path.resolve().parent, prefix=".footring-") as room:
            draft = Path(room) / "backup.db"
            if engine.dialect.name == "sqlite":
                _copy_sqlite(Path(str(engine.url.database)), draft, progress)
            else:
                migrate(str(draft))
                _copy_rows(database, str(draft), progress)
            pack_photos(draft, shelf_for(database, photos), engine)
            _settle(draft)
            draft.rename(path)
    _flush_folder(path.resolve().parent)


def restore(database: str, path: Path, progress: Callable[[int, int], None] | None = None, *, photos: str = "") -> None:
    """Fill the empty or new `database` from the backup `path`, photos and all, all of it or nothing.

    Refused when the file is no backup or does not pass its check, or when the database holds a studio already.
    `photos` is the folder for photos where the database is no file.
    """
    if not path.is_file():
        raise Unusable([Message("no-such-backup", _("There's no file {file}."), file=str(path))], _GIVE_A_BACKUP)
    _must_be_empty(database)
    with TemporaryDirectory(prefix="footring-") as room:
        copy = Path(room) / "copy.db"
        _read_backup(path, copy)
        if problems := _problems_of(str(copy)):
            words = _("{file} is damaged.")
            raise Unusable(
                [Message("backup-unsound", words, file=str(path)), *problems[:5]],
                Message("use-another-backup", _("Use another backup.")),
            )
        with unpacked_photos(copy, shelf_for(database, photos)):
            migrate(database)
            _copy_rows(str(copy), database, progress)


_GIVE_A_BACKUP = Message("give-a-backup", _("Give the path of a backup."))


def check(database: str, *, photos: str = "") -> tuple[Message, ...]:
    """Every way in which the database breaks what must hold; none when all is well.

    A photo whose file is gone is one of them. `photos` is the folder for photos where the database is no file.
    """
    problems = _problems_of(database)
    if problems:
        return problems
    with _opened(database) as engine, engine.connect() as connection:
        return tuple(lost_photos(connection, shelf_for(database, photos)))


def sweep(database: str, *, older_than: datetime, photos: str = "") -> int:
    """Take away the files of photos that no row knows, and that lay there before `older_than`; gives how many."""
    shelf = shelf_for(database, photos)
    if shelf is None:
        return 0
    with _opened(database) as engine, engine.connect() as connection:
        known = known_stems(connection)
    return shelf.sweep(known, older_than=older_than)


def _problems_of(database: str) -> tuple[Message, ...]:
    """Everything that is wrong with the rows, whatever became of the photos' files."""
    problems: list[Message] = []
    with _opened(database) as engine:
        _must_hold_a_studio(engine, database)
        try:
            with engine.connect() as connection:
                problems += _engine_problems(connection)
                problems += _broken(connection)
            problems += unfit_in_queues(Queries(engine.connect, {}))
        except (DBAPIError, LookupError, ValueError) as fault:
            # Where the file or its keys are damaged, rows may be unreadable; without such damage it is a fault.
            if not problems:
                raise
            first_line = str(fault).partition(chr(10))[0]
            problems.append(Message("rest-unreadable", _("The rest can't be read: {fault}."), fault=first_line))
    return tuple(problems)


def _broken(connection: Connection) -> Iterator[Message]:
    for invariant in INVARIANTS:
        for row in connection.execute(text(invariant.broken)).all():
            yield invariant.message(row)
    for code in connection.scalars(select(pieces.c.code).where(pieces.c.code.is_not(None))):
        if not is_issuable(code):
            yield Message("code-never-issued", _("This studio can't have issued the code {code}."), code=code)


def _engine_problems(connection: Connection) -> Iterator[Message]:
    if connection.dialect.name != "sqlite":
        return
    for (says,) in connection.exec_driver_sql("PRAGMA integrity_check").all():
        if says != "ok":
            yield Message("file-damaged", _("The file is damaged: {fault}."), fault=str(says))
    words = _("Row {row} of {table} points to a missing row of {parent}.")
    for table, row, parent, _key in connection.exec_driver_sql("PRAGMA foreign_key_check").all():
        yield Message("row-points-nowhere", words, row=str(row), table=str(table), parent=str(parent))


def must_be_reachable(database: str) -> None:
    """Refuse with one sentence a database that nobody can open; an SQLite file yet to be made is none."""
    url = address_of(database)
    if url.get_backend_name() == "sqlite" and not Path(str(url.database)).exists():
        return
    with _opened(database) as engine:
        try:
            engine.connect().close()
        except DBAPIError as fault:
            says = str(fault.orig).strip().partition("\n")[0].removesuffix(".")
            raise Unusable(
                [Message("database-closed", _("The database can't be opened: {fault}."), fault=says)],
                Message("look-at-its-address", _("Check the path and permissions.")),
            ) from None


def must_hold_a_studio(database: str) -> None:
    """Refuse a database in which no studio has been set up, and make no file where there is none."""
    must_be_reachable(database)
    with _opened(database) as engine:
        _must_hold_a_studio(engine, database)


@contextmanager
def _opened(database: str) -> Iterator[Engine]:
    engine = open_engine(database)
    try:
        yield engine
    finally:
        engine.dispose()


def _must_hold_a_studio(engine: Engine, database: str) -> None:
    must_be_reachable(database)
    if engine.dialect.name == "sqlite" and not Path(str(engine.url.database)).is_file():
        words = _("There's no database at {file}.")
        raise Unusable([Message("no-database", words, file=str(engine.url.database))], _INIT_FIRST)
    if not _tables_in(engine):
        raise Unusable(
            [Message("holds-no-studio", _("{database} has no studio in it."), database=database)], _INIT_FIRST
        )


_INIT_FIRST = Message("init-first", _("Run footring init first."))


def _tables_in(engine: Engine) -> bool:
    with engine.connect() as connection:
        return engine.dialect.has_table(connection, house.name)


def _must_be_empty(database: str) -> None:
    url = address_of(database)
    if url.get_backend_name() == "sqlite" and not Path(str(url.database)).exists():
        return
    with _opened(database) as engine:
        if not _tables_in(engine):
            return
        with engine.connect() as connection:
            if connection.scalar(select(func.count()).select_from(house)):
                remedy = _("Restore into a new database. Move the old one away first.")
                raise Unusable(
                    [Message("holds-a-studio", _("{database} already has a studio in it."), database=database)],
                    Message("restore-into-a-new-one", remedy),
                )


def _copy_sqlite(source: Path, draft: Path, progress: Callable[[int, int], None] | None) -> None:
    def note(_status: int, left: int, total: int) -> None:
        if progress:
            progress(total - left, total)

    with closing(sqlite3.connect(source)) as old, closing(sqlite3.connect(draft)) as new:
        old.backup(new, pages=500, progress=note)


def _settle(draft: Path) -> None:
    """Make a draft one file that needs no other beside it, and make sure that it lies on the disk."""
    with closing(sqlite3.connect(draft)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
    with draft.open("rb+") as file:
        os.fsync(file.fileno())


def _flush_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _read_backup(path: Path, copy: Path) -> None:
    """Copy a backup and bring the copy to the newest schema; the backup itself stays as it is."""
    try:
        with closing(sqlite3.connect(f"file:{path.resolve()}?mode=ro", uri=True)) as old:
            if old.execute("SELECT count(*) FROM sqlite_master WHERE name = 'house'").fetchone()[0] != 1:
                words = _("{file} isn't a backup of a studio.")
                raise Unusable([Message("no-backup-of-a-studio", words, file=str(path))], _GIVE_A_BACKUP)
            with closing(sqlite3.connect(copy)) as new:
                old.backup(new)
    except sqlite3.DatabaseError:
        raise Unusable(
            [Message("backup-damaged", _("{file} isn't a backup, or it's damaged."), file=str(path))],
            Message("give-another-backup", _("Give the path of another backup.")),
        ) from None
    try:
        migrate(str(copy))
    except (CommandError, DBAPIError, RuntimeError) as fault:
        words = _("{file} comes from a newer Footring, or its schema is damaged.")
        raise Unusable(
            [Message("backup-newer", words, file=str(path))],
            Message("update-footring", _("Update Footring and try again.")),
        ) from fault


def _copy_rows(source: str, target: str, progress: Callable[[int, int], None] | None) -> None:
    """Copy every row of every table in one transaction, parents before children."""
    with _opened(source) as old, _opened(target) as new:
        writer = new.execution_options(**{WRITES: True})
        reader = old.execution_options(isolation_level="REPEATABLE READ") if old.dialect.name != "sqlite" else old
        with reader.connect() as read, writer.connect() as write, write.begin():
            total = sum(read.scalar(select(func.count()).select_from(table)) or 0 for table in IN_ORDER)
            done = 0
            for table in IN_ORDER:
                rows = read.execution_options(yield_per=_ROWS_AT_ONCE).execute(
                    select(table).order_by(*table.primary_key)
                )
                for some in rows.mappings().partitions():
                    write.execute(insert(table), [dict(row) for row in some])
                    done += len(some)
                    if progress:
                        progress(done, total)
                _count_on(write, table)


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
