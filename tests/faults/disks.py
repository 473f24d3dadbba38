"""A disk that fills up while people scan, and is freed again: a small one in memory, which takes root to mount."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.faults._place import Place, Row
from tests.faults._scanning import all_working, scanners, until_acknowledged
from tests.machine import POSTGRES_ACCOUNT

TIMES = 40
_SIZE = "64m"


def suffer(place: Place) -> Iterator[Row]:
    """Fill the disk of the database, wait until nothing can be saved, and free it."""
    if os.geteuid() != 0:
        print("Left out: full disks. They take root.", file=sys.stderr)
        return
    row = Row("disk full")
    with _small_disk() as disk, _on(place, disk) as database, scanners(database, row) as (_server, busy):

        def fill_it() -> None:
            for _ in range(place.times(TIMES)):
                until_acknowledged(busy, 20)
                row.tried += 1
                _fill(disk / "filler")
                time.sleep(0.5)
                (disk / "filler").unlink()

        all_working(busy, fill_it)
    yield row


@contextmanager
def _small_disk() -> Iterator[Path]:
    with TemporaryDirectory(prefix="footring-faults-", dir="/var/tmp") as name:
        subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={_SIZE}", "none", name], check=True)
        try:
            yield Path(name)
        finally:
            subprocess.run(["umount", "--lazy", name], check=True)


@contextmanager
def _on(place: Place, disk: Path) -> Iterator[str]:
    """A fresh database on the small disk; of PostgreSQL its tables alone, whose log is everybody's."""
    if place.cluster is None:
        yield place.fresh(disk)
        return
    (disk / "tables").mkdir()
    for folder in (disk, disk / "tables"):
        shutil.chown(folder, POSTGRES_ACCOUNT, POSTGRES_ACCOUNT)
    place.run(f"CREATE TABLESPACE small LOCATION '{disk / 'tables'}'")
    url = place.fresh()
    name = url.partition("?")[0].rpartition("/")[2]
    place.run(f"ALTER DATABASE {name} SET TABLESPACE small")
    try:
        yield url
    finally:
        # A server that misses one of its folders starts no more.
        place.run(f"DROP DATABASE {name} WITH (FORCE)")
        place.run("DROP TABLESPACE small")


def _fill(path: Path) -> None:
    try:
        with path.open("wb", buffering=0) as file:
            while True:
                file.write(b"\0" * 65_536)
    except OSError:
        pass
