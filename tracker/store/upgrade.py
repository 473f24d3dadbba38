"""An upgrade: a studio's database gets the schema of this Footring, after a backup of it as it was."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from tracker.domain.message import Message, _
from tracker.store.backup import backup
from tracker.store.engine import address_of
from tracker.store.locks import upgrading
from tracker.store.presence import half_made, must_hold_a_studio, schema_of
from tracker.store.schema import migrate_alone, newest, versions
from tracker.store.troubles import trouble_of


@dataclass(frozen=True, slots=True)
class Upgraded:
    """What an upgrade did: the schema before and after it, and the backup from before it."""

    before: str
    after: str
    backup: Path


def upgrade(
    database: str,
    folder: Path,
    progress: Callable[[int, int], None] | None = None,
    *,
    at: datetime,
    photos: str = "",
) -> Upgraded | None:
    """Bring a studio's database to the newest schema; None where it has that already.

    First a backup is written beside the file, or into `folder` where the database is no file, named by its schema and
    the time `at`. Refused, with the way back, where the database is of a newer Footring or an older one left it half
    made; whatever stops an upgrade, the database is as it was before the migration that stopped.
    """
    must_hold_a_studio(database)
    url = address_of(database)
    beside = Path(str(url.database)).resolve().parent if url.get_backend_name() == "sqlite" else folder
    name = Path(url.database or "").name
    if schema_of(database, _way_back(beside, name)) == newest():
        return None
    with upgrading(database):
        # Whoever was first may have done it by now.
        before = schema_of(database, _way_back(beside, name))
        if before == newest():
            return None
        beside.mkdir(parents=True, exist_ok=True)
        kept = beside / f"{name}-{before}-{at:%Y%m%d-%H%M%S}.backup"
        backup(database, kept, progress, photos=photos)
        try:
            migrate_alone(database)
        except (DBAPIError, LookupError, RuntimeError) as fault:
            if schema_of(database, _way_back(beside, name)) == before:
                # Nothing was done, so the backup is of what is there; a server that is started again and again would
                # fill the disk with them.
                kept.unlink()
            if trouble_of(fault) is not None:
                raise
            raise half_made(database, _way_back(beside, name, before)) from fault
    return Upgraded(before, newest(), kept)


def _way_back(folder: Path, name: str, before: str = "") -> Message:
    """How to get back: to the newest backup from before an upgrade, from `before` at the latest where that is told."""
    pattern = re.compile(re.escape(name) + r"-([0-9]{4})-([0-9]{8}-[0-9]{6})\.backup", re.ASCII)
    found = [
        (match[2], path)
        for path in (folder.iterdir() if folder.is_dir() else ())
        if (match := pattern.fullmatch(path.name)) and match[1] in versions() and (not before or match[1] <= before)
    ]
    if not found:
        return Message("restore-your-last", _("Restore your last backup into a new database."))
    words = _("Move the database away, then run footring restore {file}.")
    return Message("restore-the-one-before", words, file=str(max(found)[1]))
