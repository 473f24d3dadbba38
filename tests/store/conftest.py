"""A busy studio to copy, for the tests of backups and of the check."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tracker.store import backup as keeping


@pytest.fixture(scope="session")
def busy_room(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A busy studio's file with its photos beside it, and a backup of it, to be copied and never changed."""
    from tests.store.test_backup import busy  # noqa: PLC0415 -- only tests that need it wait for it to load

    room = tmp_path_factory.mktemp("busy")
    source = shutil.copyfile(sqlite_template, room / "source.sqlite")
    busy(str(source))
    keeping.backup(str(source), room / "kept.footring")
    with closing(sqlite3.connect(source)) as file:
        # A copy takes the file alone, so nothing may stay behind in its log.
        file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return room
