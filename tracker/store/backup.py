"""Backups, and the check of a whole database against everything that must hold.

A backup is one SQLite file whichever engine it comes from, so a studio can move from the one to the other. The photos,
which are files beside the database, travel in a table of their own inside it.
"""

from __future__ import annotations

import re
import sqlite3
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing
from datetime import datetime
from functools import partial
from pathlib import Path

from alembic.util import CommandError
from sqlalchemy import Connection, select, text
from sqlalchemy.exc import DBAPIError

from tracker.domain.message import Message, _
from tracker.domain.pieces.codes import is_issuable
from tracker.domain.refusals import Trouble, Unavailable, Unusable
from tracker.store.backup_seal import GIVE_A_BACKUP, damaged, must_be_whole, not_a_backup, seal
from tracker.store.engine import WRITES, address_of
from tracker.store.invariants import HEAT_AND_QUEUES, RECORDS, Invariant, unfit_in_queues
from tracker.store.locks import nobody_serving
from tracker.store.pieces.photo_moving import (
    damaged_photos,
    faulty_photos,
    known_stems,
    pack_photos,
    sha256_to_note,
    unpacked_photos,
)
from tracker.store.pieces.photo_shelf import shelf_for
from tracker.store.presence import must_be_current, must_be_empty, must_hold_a_studio, opened, schema_of
from tracker.store.queries import Queries
from tracker.store.rooms import flush_folder, room_in
from tracker.store.row_copy import copy_rows
from tracker.store.schema import migrate, newest, versions
from tracker.store.studio.outbox import drop_unsent
from tracker.store.tables import pieces
from tracker.store.troubles import first_line, trouble_of

Progress = "Callable[[int, int], None]"
_PAGES_AT_ONCE = 500
_TOLD_AT_MOST = 5
_MOVE_IT_AWAY = Message("restore-into-a-new-one", _("Restore into a new database. Move the old one away first."))
_INSTALL_IT = Message("install-the-newer", _("Install the newer Footring, then try again."))


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
    must_hold_a_studio(database)
    folder = path.resolve().parent
    _must_be_there(folder)
    with room_in(folder) as room:
        draft = room / "backup.db"
        with opened(database) as engine:
            if engine.dialect.name == "sqlite":
                _copy_sqlite(Path(str(engine.url.database)), draft, progress)
            else:
                migrate(str(draft), schema_of(database, _INSTALL_IT))
                copy_rows(database, str(draft), progress)
            pack_photos(draft, shelf_for(database, photos), engine)
        seal(draft)
        draft.rename(path)
    flush_folder(folder)


def _must_be_there(folder: Path) -> None:
    if not folder.is_dir():
        raise Unusable(
            [Message("no-such-folder", _("There's no folder {folder}."), folder=str(folder))],
            Message("make-the-folder", _("Make it, or connect the disk it is on.")),
        )


def backup_among(
    folder: Path,
    database: str,
    progress: Callable[[int, int], None] | None = None,
    *,
    at: datetime,
    keep: int,
    photos: str = "",
) -> tuple[Path, int]:
    """Write a backup named by the time `at` into `folder`, and take away all but the newest `keep`.

    Gives the new file, and how many went. Nothing but backups that were so named for this database is taken away, and
    only once the new one is whole.
    """
    _must_be_there(folder)
    name = Path(address_of(database).database or "").stem
    path = folder / f"{name}-{at:%Y%m%d-%H%M%S}.backup"
    backup(database, path, progress, photos=photos)
    ours = re.compile(re.escape(name) + r"-[0-9]{8}-[0-9]{6}\.backup", re.ASCII)
    old = sorted(one for one in folder.iterdir() if ours.fullmatch(one.name))[:-keep]
    for one in old:
        one.unlink()
    flush_folder(folder)
    return path, len(old)


def restore(
    database: str,
    path: Path,
    progress: Callable[[int, int], None] | None = None,
    *,
    photos: str = "",
    drops_mail_at: datetime | None = None,
) -> int:
    """Fill the empty or new `database` from the backup `path`, photos and all, all of it or nothing.

    With `drops_mail_at`, which is now, mail that was unsent in the backup is dropped, for it may have gone out since;
    gives how many mails were. Refused when the file is no backup or does not pass its check, when the
    database holds a studio already, or when pages are served from it. `photos` is the folder for photos where the
    database is no file.
    """
    url = address_of(database)
    beside = Path(str(url.database)).resolve().parent if url.get_backend_name() == "sqlite" else None
    with nobody_serving(database):
        must_be_empty(database, _MOVE_IT_AWAY)
        with room_in(beside or Path(tempfile.gettempdir())) as room:
            copy = _sound_copy(path, room)
            dropped = 0 if drops_mail_at is None else _without_mail(copy, drops_mail_at)
            with unpacked_photos(copy, shelf_for(database, photos), path):
                migrate(database)
                copy_rows(str(copy), database, progress)
    return dropped


def _without_mail(copy: Path, at: datetime) -> int:
    """Leave nothing in the copy of a backup that mail is sent of by itself; gives how many mails that were."""
    with opened(str(copy)) as engine, engine.execution_options(**{WRITES: True}).begin() as writing:
        return drop_unsent(writing, at)


def check_backup(path: Path) -> None:
    """Look through a backup as a restore would, and restore nothing; refused where it isn't whole and sound."""
    with room_in(Path(tempfile.gettempdir())) as room:
        copy = _sound_copy(path, room)
        if problems := [*damaged_photos(copy), *_lost_in(copy)]:
            raise damaged(path, *problems)


def check(database: str, *, photos: str = "") -> tuple[Message, ...]:
    """Every way in which the database breaks what must hold; none when all is well.

    A photo whose file is gone, or isn't as it was kept, is one of them. `photos` is the folder for photos where the
    database is no file.
    """
    must_be_current(database)
    problems = _problems_of(database)
    if problems:
        return problems
    with opened(database) as engine, engine.connect() as connection:
        return tuple(faulty_photos(connection, shelf_for(database, photos)))


def sweep(database: str, *, older_than: datetime, photos: str = "") -> int:
    """Take away the files of photos that no row knows, and that lay there before `older_than`; gives how many."""
    shelf = shelf_for(database, photos)
    if shelf is None:
        return 0
    with opened(database) as engine, engine.connect() as connection:
        known = known_stems(connection)
    return shelf.sweep(known, older_than=older_than)


def note_photos(database: str, *, photos: str = "") -> None:
    """Note what the files of older photos read as, from which nobody kept it; the next check sees whether they rot."""
    if (shelf := shelf_for(database, photos)) is None:
        return
    with opened(database) as engine:
        with engine.connect() as connection:
            notes = list(sha256_to_note(connection, shelf))
        if notes:
            with engine.execution_options(**{WRITES: True}).begin() as writing:
                for one in notes:
                    writing.execute(one)


def _problems_of(database: str) -> tuple[Message, ...]:
    """Everything that is wrong with the rows, whatever became of the photos' files: first what a fire would ruin."""
    problems: list[Message] = []
    faults: list[Exception] = []
    with opened(database) as engine:
        looks: tuple[Callable[[Connection], Iterator[Message]], ...] = (
            partial(_broken, HEAT_AND_QUEUES),
            lambda _connection: unfit_in_queues(Queries(engine.connect, {})),
            _engine_problems,
            partial(_broken, RECORDS),
            _codes_never_issued,
        )
        for look in looks:
            try:
                with engine.connect() as connection:
                    problems += look(connection)
            except (DBAPIError, LookupError, ValueError) as fault:
                faults.append(fault)
    # Where the file or its keys are damaged, rows may be unreadable; without such damage it is a fault.
    for first in faults[:1]:
        if not problems and trouble_of(first) is not Trouble.DAMAGED:
            raise first
        problems.append(Message("rest-unreadable", _("The rest can't be read: {fault}."), fault=first_line(first)))
    return tuple(problems)


def _broken(invariants: Iterable[Invariant], connection: Connection) -> Iterator[Message]:
    for invariant in invariants:
        for row in connection.execute(text(invariant.broken)).all():
            yield invariant.message(row)


def _codes_never_issued(connection: Connection) -> Iterator[Message]:
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


def _copy_sqlite(source: Path, draft: Path, progress: Callable[[int, int], None] | None) -> None:
    def note(_status: int, left: int, total: int) -> None:
        if progress:
            progress(total - left, total)

    with closing(sqlite3.connect(source)) as old, closing(sqlite3.connect(draft)) as new:
        # Within a transaction the file is seen as it is now; without one every write would begin the copy again.
        old.execute("BEGIN")
        old.execute("SELECT count(*) FROM sqlite_master").fetchone()
        old.backup(new, pages=_PAGES_AT_ONCE, progress=note)
        # Pages are copied as they are; a backup of a damaged file would only be found out when it is needed.
        if new.execute("PRAGMA quick_check(1)").fetchone() != ("ok",):
            raise Unavailable(Trouble.DAMAGED)


def _sound_copy(path: Path, room: Path) -> Path:
    """A copy of a backup in the newest schema, looked through; the backup itself stays as it is."""
    if not path.is_file():
        raise Unusable([Message("no-such-backup", _("There's no file {file}."), file=str(path))], GIVE_A_BACKUP)
    copy = room / "copy.db"
    must_be_whole(path)
    try:
        with (
            closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as old,
            closing(sqlite3.connect(copy)) as new,
        ):
            tables = {name for (name,) in old.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
            if not {"house", "alembic_version"} <= tables:
                raise not_a_backup(path)
            version = old.execute("SELECT version_num FROM alembic_version").fetchone()
            old.backup(new)
        _bring_up(path, copy, version[0] if version else "")
        problems = _problems_of(str(copy))
    except (sqlite3.DatabaseError, CommandError, DBAPIError, RuntimeError) as fault:
        if trouble_of(fault) in {Trouble.FULL, Trouble.READ_ONLY, Trouble.BUSY}:
            raise
        raise damaged(path) from fault
    if problems:
        raise damaged(path, *problems[:_TOLD_AT_MOST])
    return copy


def _bring_up(path: Path, copy: Path, version: str) -> None:
    """Bring the copy of a backup to the newest schema; refused where only a newer Footring knows its schema."""
    if version not in versions() and version > newest():
        words = _("{file} comes from a newer Footring.")
        raise Unusable([Message("backup-newer", words, file=str(path))], _INSTALL_IT)
    migrate(str(copy))


def _lost_in(copy: Path) -> tuple[Message, ...]:
    """The photos that a copy of a backup knows and doesn't have inside."""
    with opened(str(copy)) as engine, engine.connect() as connection:
        return tuple(faulty_photos(connection, shelf_for(str(copy))))
