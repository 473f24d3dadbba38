"""A studio to harm, copied anew for each try with its photos, and what it must still have afterwards."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from itertools import count
from pathlib import Path

from sqlalchemy import create_engine, make_url, text

from tests.faults._place import Place
from tests.photographed import photographed
from tests.staffed import MIRA, TOM, fired, glazed, open_studio, queued
from tracker.domain.message import Message
from tracker.store import backup as keeping

COUNTED = ("people", "clays", "glazes", "pieces", "history", "requests")
"""Tables that were there from the first schema on, and of which no migration takes a row."""


class Copies:
    """Databases of one engine that come and go. `attic` is where photos lie of those that are no files."""

    def __init__(self, place: Place, name: str) -> None:
        """Work within a folder called `name`."""
        self._place = place
        self._name = name
        self._numbers = count(1)
        self.folder = place.folder / name
        self.folder.mkdir()
        self.attic = self.folder / "attic"

    def studio(self) -> str:
        """The URL of a studio in the middle of its day, with photos."""
        url = self._place.fresh(self.folder)
        store = open_studio(url, photos=str(self.attic))
        for _ in range(10):
            photographed(store, glazed(store), MIRA)
            fired(store)
            queued(store)
        photographed(store, glazed(store), TOM)
        store.close()
        return url

    def empty(self) -> str:
        """The URL of a database in which nothing is."""
        number = next(self._numbers)
        if self._place.cluster is None:
            (self.folder / str(number)).mkdir()
            return f"sqlite:///{self.folder / str(number) / 'studio.db'}"
        return self._made(f"{self._name}{number}", "template0")

    def copy(self, url: str) -> str:
        """The URL of a new copy of a database, with its photos."""
        source = str(make_url(url).database)
        if self._place.cluster is None:
            with closing(sqlite3.connect(source)) as file:
                file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            copied = self.empty()
            shutil.copyfile(source, str(make_url(copied).database))
        else:
            copied = self._made(f"{self._name}{next(self._numbers)}", source)
        if self.photos_of(url).is_dir():
            shutil.copytree(self.photos_of(url), self.photos_of(copied))
        return copied

    def drop(self, url: str) -> None:
        """Throw a database away, with its photos."""
        shutil.rmtree(self.photos_of(url), ignore_errors=True)
        name = str(make_url(url).database)
        if self._place.cluster is None:
            shutil.rmtree(Path(name).parent)
        else:
            self._place.run(f"DROP DATABASE {name} WITH (FORCE)")

    def photos_of(self, url: str) -> Path:
        """Where the photos of a database lie."""
        name = str(make_url(url).database)
        return Path(f"{name}-photos") if self._place.cluster is None else self.attic / name

    def problems_of(self, url: str, before: dict[str, int]) -> list[Message]:
        """What is wrong with a database: what its check says, and the rows that it no longer has."""
        problems = list(keeping.check(url, photos=str(self.attic)))
        if (after := counted(url)) != before:
            problems.append(Message("rows-lost", "{before} became {after}.", before=str(before), after=str(after)))
        return problems

    def _made(self, name: str, template: str) -> str:
        assert self._place.cluster is not None
        self._place.run(f"CREATE DATABASE {name} TEMPLATE {template}")
        return self._place.cluster.url(name)


def counted(url: str) -> dict[str, int]:
    """How many rows stand in each of the tables that never lose one."""
    engine = create_engine(url)
    with engine.connect() as connection:
        found = {name: connection.scalar(text(f"SELECT count(*) FROM {name}")) or 0 for name in COUNTED}
    engine.dispose()
    return found
