"""Where faults are suffered: fresh databases on one engine, on a disk, and a PostgreSQL that can be stopped."""

from __future__ import annotations

import signal
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from random import Random
from shutil import copyfile
from tempfile import TemporaryDirectory

from sqlalchemy import create_engine

from tests.machine import PATIENCE_SECONDS, PostgresFolder, postgres_programs
from tracker.store.schema import migrate

ENGINES = ("sqlite", "postgresql")


@dataclass
class Row:
    """One line of the table. `part`, `engine` and `seconds` are filled in by whoever runs the part."""

    what: str
    tried: int = 0
    lost: int = 0
    faults: int = 0
    tracebacks: int = 0
    told_to_wait: int = 0
    part: str = ""
    engine: str = ""
    seconds: float = 0

    @property
    def is_whole(self) -> bool:
        """Whether it was tried and nothing was lost, faulty or shown."""
        return self.tried > 0 and not (self.lost or self.faults or self.tracebacks)

    @property
    def cells(self) -> tuple[str, ...]:
        """The row as it is printed."""
        numbers = (f"{one:,}" for one in (self.tried, self.lost, self.faults, self.tracebacks, self.told_to_wait))
        return (self.what, self.engine, *numbers, f"{self.seconds:.0f}")

    def answered(self, status: int, body: str) -> None:
        """Count an answer that is a fault, or shows where one came from."""
        self.told_to_wait += status == 503
        self.faults += status == 500
        self.tracebacks += "Traceback (most recent call last)" in body


@dataclass
class Place:
    """One engine to suffer on. `folder` is on a disk; `cluster` is the PostgreSQL, None on SQLite.

    What is drawn follows from `seed`, so a campaign can be repeated.
    """

    engine: str
    folder: Path
    scale: float
    seed: int
    cluster: PostgresFolder | None = None
    _numbers: Iterator[int] = field(default_factory=lambda: count(1))

    def draw(self) -> Random:
        """Where a part draws its moments and its texts from: the same ones each time, for one seed."""
        return Random(self.seed)  # noqa: S311 -- nothing is kept secret by it

    def times(self, many: int) -> int:
        """How often to do what the whole campaign does `many` times on both engines together."""
        return max(2, round(many / len(ENGINES) * self.scale))

    def fresh(self, folder: Path | None = None) -> str:
        """A fresh, migrated database."""
        number = next(self._numbers)
        if self.cluster is None:
            return f"sqlite:///{copyfile(self.folder / 'template.db', (folder or self.folder) / f'studio{number}.db')}"
        self.run(f"CREATE DATABASE studio{number} TEMPLATE migrated")
        return self.cluster.url(f"studio{number}")

    def run(self, statement: str) -> None:
        """Say one statement to PostgreSQL."""
        assert self.cluster is not None
        engine = create_engine(self.cluster.url("postgres"), isolation_level="AUTOCOMMIT")
        with engine.connect() as connection:
            connection.exec_driver_sql(statement)
        engine.dispose()


@contextmanager
def place_on(engine: str, scale: float, seed: int) -> Iterator[Place]:
    """A place that is gone afterwards."""
    with TemporaryDirectory(prefix="footring-faults-", dir="/var/tmp") as name, ExitStack() as open_:
        place = Place(engine, Path(name), scale, seed)
        if engine == "sqlite":
            template = place.folder / "template.db"
            migrate(str(template))
            with closing(sqlite3.connect(template)) as file:
                file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        else:
            programs = postgres_programs()
            assert programs is not None
            folder = open_.enter_context(TemporaryDirectory(prefix="footring-faults-", dir="/var/tmp"))
            # A stopped server is no pulled plug, so nothing has to reach the disk; but what it said is done is written.
            place.cluster = PostgresFolder(programs, Path(folder), {"synchronous_commit": "on"})
            place.cluster.start()
            open_.callback(place.cluster.stop)
            place.run("CREATE DATABASE migrated")
            migrate(place.cluster.url("migrated"))
        yield place


def ended(process: subprocess.Popen[str]) -> None:
    """End a process that we started, and see it go."""
    process.send_signal(signal.SIGTERM)
    process.communicate(timeout=PATIENCE_SECONDS)
