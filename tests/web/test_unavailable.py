"""A database that is busy, full, read-only or gone is told of in a sentence, and the same request may come again."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

import pytest
from sqlalchemy import create_engine, make_url, text

from tests.staffed import PASSWORD, TOM, bisqued, open_studio, the_piece
from tests.web.conftest import Clock, Visitor
from tracker.app import create_app
from tracker.domain.pieces.piece import Stage
from tracker.settings import Settings

if TYPE_CHECKING:
    from werkzeug.test import TestResponse

    from tracker.store.unit_of_work import Store

JSON = {"Accept": "application/json"}


class Here:
    """The studio's pages on one engine, with Tom signed in."""

    def __init__(self, database: str) -> None:
        """Serve a fresh studio with one bisqued piece."""
        first = open_studio(database)
        self.ref = bisqued(first)
        first.close()
        app = create_app(Settings(database=database), Clock())
        app.testing = True
        self.database = database
        self.store: Store = app.extensions["footring"].store
        self.tom = Visitor(app.test_client())
        self.tom.get("/sign-in")
        self.tom.post("/sign-in", {"email": TOM.email, "password": PASSWORD})
        self.tom.get("/scan")
        self.key = str(uuid4())

    def history(self) -> tuple[object, ...]:
        """The piece's lines of history."""
        return self.store.read.pieces.page(the_piece(self.store, self.ref).id).history

    def waxes(self, **how: object) -> TestResponse:
        """Tom scans the piece for wax, always under the same key."""
        return self.tom.post("/scan", {"ref": self.ref, "step": "wax", "key": self.key}, **how)


@pytest.fixture
def here(database_url: str, quick_pages: None) -> Iterator[Here]:
    room = Here(database_url)
    yield room
    room.store.close()


@contextmanager
def _held(database: str) -> Iterator[None]:
    """A lock that some other program holds, so that nobody can write."""
    engine = create_engine(database)
    with engine.connect() as other:
        if engine.dialect.name == "sqlite":
            other.connection.execute("BEGIN IMMEDIATE")
        else:
            other.exec_driver_sql("LOCK TABLE requests IN ACCESS EXCLUSIVE MODE")
        yield
        other.rollback()
    engine.dispose()


def test_while_a_lock_is_held_pages_are_read_and_a_scan_may_come_again(here: Here) -> None:
    with _held(here.database):
        told = here.waxes(headers=JSON)
        page = here.tom.get("/waiting")
    after = here.waxes(headers=JSON)

    assert (told.status_code, told.headers["Retry-After"]) == (503, "2")
    assert told.json
    assert told.json["ok"] is False
    assert page.status_code == 200
    assert (after.status_code, the_piece(here.store, here.ref).stage) == (200, Stage.WAXED)


@contextmanager
def _full(store: Store) -> Iterator[None]:
    with store.writing() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
    yield


@contextmanager
def _read_only(store: Store) -> Iterator[None]:
    with store.writing() as connection:
        connection.exec_driver_sql("PRAGMA query_only = ON")
    yield


@contextmanager
def _moved_away(store: Store) -> Iterator[None]:
    with store.writing() as connection:
        path = Path(str(connection.engine.url.database))
    path.rename(path.with_suffix(".away"))
    yield
    path.with_suffix(".away").rename(path)


@pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
@pytest.mark.parametrize("trouble", [_full, _read_only, _moved_away])
def test_a_form_that_could_not_be_kept_comes_back_with_its_key_and_a_button_to_send_it_again(
    here: Here, trouble: Callable[[Store], AbstractContextManager[None]]
) -> None:
    with trouble(here.store):
        told = _until_told(here)

    assert (told.status_code, int(told.headers["Retry-After"]) > 0) == (503, True)
    again = re.search(r'<form method="post" action="([^"]+)">(.*?)</form>', told.text.partition("<main")[2], re.DOTALL)
    assert again
    fields = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', again[2]))
    lines = len(here.history())
    for _ in range(2):
        here.tom.post(again[1], fields)
    assert len(here.history()) == lines + 1


def _until_told(here: Here) -> TestResponse:
    """Scans to and fro until there is no room for another line of history."""
    for step in ("wax", "not waxed") * 200:
        answer = here.tom.post("/scan", {"ref": here.ref, "step": step})
        if answer.status_code >= 400:
            return answer
    raise AssertionError("nothing went wrong")


@pytest.mark.parametrize("database_url", ["postgresql"], indirect=True)
def test_a_server_that_ends_every_connection_is_found_again_and_one_without_the_database_is_told_of(
    here: Here,
) -> None:
    url = make_url(here.database)
    engine = create_engine(url.set(database="postgres"), isolation_level="AUTOCOMMIT")
    with engine.connect() as other:
        ended = text("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = :name")
        other.execute(ended, {"name": url.database})
        found_again = here.waxes(headers=JSON)
        other.exec_driver_sql(f"DROP DATABASE {url.database} WITH (FORCE)")
    engine.dispose()
    page, scan = here.tom.get("/waiting"), here.waxes(headers=JSON)

    assert found_again.status_code == 200
    assert (page.status_code, scan.status_code) == (503, 503)
