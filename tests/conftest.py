"""What every test may ask for: a fresh migrated database on either engine, and a real browser."""

from __future__ import annotations

import itertools
import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import psycopg
import pytest
from hypothesis import settings
from psycopg import sql

from tests.machine import (
    NO_CHROMIUM,
    NO_POSTGRES,
    ON_CI,
    POSTGRES_VARIABLE,
    chromium,
    postgres_programs,
    throwaway_postgres,
)

if TYPE_CHECKING:
    from argon2 import PasswordHasher
    from jinja2 import Environment
    from playwright.sync_api import Browser

    from tracker.store.studio.known import Known
    from tracker.store.unit_of_work import Store

# Two busy cores make single examples slow by chance, so no example has a deadline. On CI the examples are the same
# every time: a failure there is about the change, and new examples, and twice as many, are looked for on laptops.
settings.register_profile("house", deadline=None, print_blob=True, derandomize=ON_CI, max_examples=50 if ON_CI else 100)
settings.load_profile("house")

pytest_plugins = ["tests.whole_run"]

CHROMIUM_WORDS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]


@pytest.fixture(scope="session")
def migrate(pytestconfig: pytest.Config) -> Callable[[str], None]:
    """Bring the database at a URL to the newest migration; from now on all databases share compiled statements."""
    from sqlalchemy import Connection, Engine, event  # Only tests that need a database wait for it to load.

    from tests.twins import Twins
    from tests.whole_run import TWINS
    from tracker.store.schema import migrate

    if ON_CI:
        twins = pytestconfig.stash[TWINS] = Twins()
        twins.listen()

    compiled = _Compiled()

    @event.listens_for(Engine, "engine_connect")
    def _share(connection: Connection) -> None:
        connection.execution_options(compiled_cache=compiled)

    return migrate


class _Compiled(dict[tuple[object, ...], object]):
    """SQLAlchemy's compiled statements, by the sort of their database and no longer by the very database.

    Thousands of tests open one of their own, and compiling took a third of their time.
    """

    def get(self, key: tuple[object, ...], default: object = None) -> object:
        """The statement as it was compiled for any database of this sort."""
        return super().get((type(key[0]), *key[1:]), default)

    def __setitem__(self, key: tuple[object, ...], statement: object) -> None:
        super().__setitem__((type(key[0]), *key[1:]), statement)


@pytest.fixture(scope="session")
def usual_hasher() -> PasswordHasher:
    """What hashes passwords and PINs outside the tests; in them it is done at next to no cost from now on.

    At the usual cost tests would wait a sixth of a second for every password that they make or compare.
    """
    from argon2 import PasswordHasher  # Only tests that need a database wait for them to load.

    from tracker.usecases.studio import passwords

    usual, quick = passwords._hasher, PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    passwords._hasher, passwords._DECOY = quick, passwords._decoy(quick)
    return usual


@pytest.fixture(scope="session")
def sqlite_template(
    tmp_path_factory: pytest.TempPathFactory, migrate: Callable[[str], None], usual_hasher: PasswordHasher
) -> Path:
    """A migrated SQLite file, made once per worker, to copy from."""
    path = tmp_path_factory.mktemp("template") / "studio.sqlite"
    migrate(f"sqlite:///{path}")
    with closing(sqlite3.connect(path)) as file:
        # The copies take the file alone, so nothing may stay behind in its log.
        file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return path


@pytest.fixture(scope="session")
def quick_pages() -> None:
    """All applications of this worker share their templates and what builds an address: these are the same in each.

    Every test has an application of its own, and both are made anew for each, which took half the time of a test of a
    page.
    """
    from flask import Flask  # Only tests of the pages wait for them to load.
    from werkzeug.routing.rules import Rule

    create_environment, compile_builder = Flask.create_jinja_environment, Rule._compile_builder

    def shared(app: Flask) -> Environment:
        if not environments:
            environments.append(create_environment(app))
        return environments[0]

    def built(rule: Rule, append_unknown: bool = True) -> object:  # noqa: FBT001, FBT002 -- as werkzeug calls it
        key = (rule.rule, repr(rule.defaults), append_unknown)
        if key not in builders:
            builders[key] = compile_builder(rule, append_unknown)
        return builders[key]

    environments: list[Environment] = []
    builders: dict[tuple[str, str, bool], object] = {}
    Flask.create_jinja_environment = shared  # type: ignore[method-assign, assignment]  # put in its place on purpose
    Rule._compile_builder = built  # type: ignore[method-assign, assignment]  # as the line above


@pytest.fixture(scope="session")
def staffed_sqlite(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A SQLite file with the invented studio and its four people in it, made once per worker, to copy from."""
    path = tmp_path_factory.mktemp("staffed") / "studio.sqlite"
    shutil.copyfile(sqlite_template, path)
    _staff(f"sqlite:///{path}")
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return path


def _staff(url: str) -> None:
    from tests.staffed import open_studio

    open_studio(url).close()


@pytest.fixture
def sqlite_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The URL of a fresh, migrated SQLite file; with the invented studio in it where the test asks for its `store`."""
    path = tmp_path / "studio.sqlite"
    is_staffed = "store" in request.fixturenames
    shutil.copyfile(request.getfixturevalue("staffed_sqlite" if is_staffed else "sqlite_template"), path)
    return f"sqlite:///{path}"


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    """The URL of a PostgreSQL of our own: the gate's when it runs us, else one that lives as long as this session."""
    if url := os.environ.get(POSTGRES_VARIABLE):
        yield url
        return
    programs = postgres_programs()
    if programs is None:
        pytest.skip(str(NO_POSTGRES))
    with throwaway_postgres(programs) as url:
        yield url


@pytest.fixture(scope="session")
def postgres_room(postgres_server: str) -> Iterator[Callable[[str, str], str]]:
    """Make a database there, `room(name, template)`, and get its URL; a name in use is made anew."""
    with psycopg.connect(_for_psycopg(postgres_server), autocommit=True) as connection:

        def room(name: str, template: str) -> str:
            connection.execute(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name)))
            # Copying the files needs no log; older servers know no other way and no word for it.
            by_file = " STRATEGY file_copy" if connection.info.server_version >= 150000 else ""
            words = sql.SQL("CREATE DATABASE {} TEMPLATE {}" + by_file)
            connection.execute(words.format(sql.Identifier(name), sql.Identifier(template)))
            return postgres_server.replace("/postgres?", f"/{name}?")

        yield room


@pytest.fixture(scope="session")
def postgres_template(
    postgres_room: Callable[[str, str], str],
    migrate: Callable[[str], None],
    worker_id: str,
    usual_hasher: PasswordHasher,
) -> str:
    """The name of a migrated PostgreSQL database, made once per worker, to copy from."""
    name = f"template_{worker_id}"
    migrate(postgres_room(name, "template0"))
    return name


@pytest.fixture(scope="session")
def next_number() -> Iterator[int]:
    """Numbers that no other test of this worker has got."""
    return itertools.count(1)


@pytest.fixture(scope="session")
def staffed_postgres(postgres_room: Callable[[str, str], str], postgres_template: str, worker_id: str) -> str:
    """The name of a PostgreSQL database with the invented studio in it, made once per worker, to copy from."""
    name = f"staffed_{worker_id}"
    _staff(postgres_room(name, postgres_template))
    return name


@pytest.fixture
def postgres_url(
    request: pytest.FixtureRequest,
    postgres_room: Callable[[str, str], str],
    next_number: Iterator[int],
    worker_id: str,
) -> str:
    """The URL of a fresh, migrated PostgreSQL database (about 30 ms); with the studio in it as on SQLite."""
    is_staffed = "store" in request.fixturenames
    template = request.getfixturevalue("staffed_postgres" if is_staffed else "postgres_template")
    # Eight rooms a worker are enough to look into after a failure, and keep the disk small.
    return postgres_room(f"studio_{worker_id}_{next(next_number) % 8}", template)


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest) -> str:
    """The URL of a fresh, migrated database: the test runs once on each engine."""
    url: str = request.getfixturevalue("sqlite_url" if request.param == "sqlite" else "postgres_url")
    return url


@pytest.fixture(params=["sqlite", "postgresql"])
def fresh_url(request: pytest.FixtureRequest, tmp_path: Path) -> Callable[[], str]:
    """Make a fresh, migrated database at every call, on each engine in turn: for laws that need one per example."""
    numbers = itertools.count(1)
    if request.param == "postgresql":
        room, template = request.getfixturevalue("postgres_room"), request.getfixturevalue("postgres_template")
        worker = request.getfixturevalue("worker_id")
        return lambda: room(f"law_{worker}_{next(numbers) % 8}", template)
    file = request.getfixturevalue("sqlite_template")
    return lambda: f"sqlite:///{shutil.copyfile(file, tmp_path / f'law_{next(numbers)}.sqlite')}"


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A real Chromium; ask it for a context of your own with `browser.new_context(...)`."""
    from playwright.sync_api import sync_playwright  # Only journeys wait for it to load.

    path = chromium()
    if path is None:
        pytest.skip(str(NO_CHROMIUM))
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=path, args=CHROMIUM_WORDS)
        yield opened
        opened.close()


def _for_psycopg(url: str) -> str:
    """The same address in the words of the driver itself."""
    return url.replace("postgresql+psycopg://", "postgresql://")


@pytest.fixture(scope="session")
def read_before() -> dict[str, Known]:
    """The catalogs of the studios that tests copy, once read: each copy begins with the same and need not read it."""
    return {}


@pytest.fixture
def store(database_url: str, tmp_path: Path, read_before: dict[str, Known]) -> Iterator[Store]:
    """The invented studio with its four people in a fresh database, on each engine in turn."""
    from tests.staffed import studio_store

    opened = studio_store(database_url, photos=str(tmp_path / "photos"))
    engine = database_url.partition(":")[0]
    if engine not in read_before:
        read_before[engine] = opened.read.known()
    opened._cache[read_before[engine].version] = read_before[engine]
    yield opened
    opened.close()
