"""Backups of a large database while people scan: each ends and is whole, and what a killed one leaves goes."""

from __future__ import annotations

import sqlite3
import sys
from collections.abc import Iterator
from contextlib import closing
from functools import partial
from pathlib import Path

from sqlalchemy import make_url

from tests.faults._killing import killed, seconds_of
from tests.faults._place import Place, Row
from tests.faults._scanning import all_working, scanners
from tracker.domain.refusals import Refusal
from tracker.store import backup as keeping

BACKUPS = 10
KILLS = 40
_BALLAST_BYTES = 300_000_000


def suffer(place: Place) -> Iterator[Row]:
    """Write backups while everybody scans, then kill some; an SQLite database is made as large as ten years of one."""
    row, url, folder = Row("backup written while people scan, opened again"), place.fresh(), place.folder / "backups"
    folder.mkdir()
    with scanners(url, row) as (_server, busy):
        if place.cluster is None:
            _weigh_down(Path(str(make_url(url).database)))

        def back_up() -> None:
            for _ in range(place.times(BACKUPS)):
                row.tried += 1
                row.lost += not _is_whole(url, folder / f"{row.tried}.backup")

        all_working(busy, back_up)
    yield row
    yield _killed(place, url, folder)


def _weigh_down(file: Path) -> None:
    """Add a table to the file that nobody reads, and that is copied with the rest."""
    with closing(sqlite3.connect(file, isolation_level=None, timeout=60)) as connection:
        connection.execute("CREATE TABLE ballast (what BLOB)")
        for _ in range(_BALLAST_BYTES // 1_000_000):
            connection.execute("INSERT INTO ballast VALUES (zeroblob(1000000))")


def _killed(place: Place, url: str, folder: Path) -> Row:
    draw = place.draw()
    row, midway = Row("backup killed"), 0
    took = seconds_of(partial(keeping.backup, url, folder / "probe.backup"))
    for row.tried in range(1, place.times(KILLS) + 1):
        path = folder / "killed.backup"
        midway += killed(partial(keeping.backup, url, path), draw.uniform(0, 1.1 * took))
        # What has its name is whole; what is not whole has none.
        row.lost += path.exists() and not _is_whole("", path)
    row.lost += not _is_whole(url, folder / "last.backup")
    row.lost += len(list(folder.glob(".footring-*")))
    row.what += f" ({midway} midway)"
    return row


def _is_whole(url: str, path: Path) -> bool:
    """Write a backup of `url` where there is one to write, open it again, and take it away."""
    try:
        if url:
            keeping.backup(url, path)
        keeping.check_backup(path)
    except Refusal as refusal:
        print(refusal.message, file=sys.stderr)
        return False
    path.unlink()
    return True
