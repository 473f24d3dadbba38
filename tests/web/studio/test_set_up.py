"""Setting up a studio in the browser: behind a one-time address, whole or not at all."""

from __future__ import annotations

import io
import secrets
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.studio import NOON
from tests.web.conftest import Visitor
from tracker.app import create_app
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.people import Role
from tracker.settings import Settings
from tracker.store.presence import holds_a_studio
from tracker.store.unit_of_work import Store
from tracker.usecases.studio import people
from tracker.web.studio.set_up import ADDRESS, set_up_app

if TYPE_CHECKING:
    from flask.testing import FlaskClient

DOOR = "a door that was printed once"
FACTS = {
    "door": DOOR,
    "who": "Ada Quill",
    "email": "Ada@studio.example",
    "password": "seven wet sponges",
    "name": "Quayside clay",
    "timezone": "America/Denver",
    "units": "us",
    "regime": "eu",
    "begin": "starter",
}
DEMO = Path(__file__).resolve().parents[3] / "demo_seed" / "studio.toml"


def _client(database: str) -> tuple[FlaskClient, list[str]]:
    done: list[str] = []
    app = set_up_app(database, DOOR, lambda: NOON, lambda: done.append("open"))
    return app.test_client(), done


def test_a_studio_is_set_up_with_the_starter_catalog_and_its_instructor_signs_in(database_url: str) -> None:
    client, done = _client(database_url)

    answer = client.post(ADDRESS, data=FACTS)

    assert (answer.status_code, answer.headers["Location"], done) == (303, "/", ["open"])
    with closing(Store(database_url, secrets.randbelow)) as store:
        studio = store.read.studio()
        _, ada = people.sign_in(
            store, "ada@studio.example", FACTS["password"], at=datetime.now(UTC), address="10.0.0.7"
        )
        assert (studio.name, studio.timezone, studio.units) == ("Quayside clay", "America/Denver", "us")
        assert studio.catalog.practice.regime is Regime.EU
        assert {RouteKind.BISQUE, RouteKind.SHELF, RouteKind.RAKU} <= {
            one.kind for one in studio.catalog.routes.values()
        }
        assert not studio.catalog.glazes
        assert (ada.role, store.accounts.password_hash(ada.id)[1]) == (Role.INSTRUCTOR, False)


def test_today_says_what_a_new_studio_needs_first(database_url: str) -> None:
    _client(database_url)[0].post(ADDRESS, data=FACTS)
    app = create_app(Settings(database=database_url), lambda: NOON)
    with closing(app.extensions["footring"].store):
        ada = Visitor(app.test_client())
        ada.get("/sign-in")
        ada.post("/sign-in", {"email": FACTS["email"], "password": FACTS["password"]})

        steps = [f'href="{there}"' for there in ("/catalog/glaze/form", "/people", "/terms/new")]
        shown = ada.get("/today").text.partition('class="empty"')[2].partition("</div>")[0]

        assert [one in shown for one in steps] == [True] * 3


def test_a_studio_file_or_an_empty_catalog_are_the_other_ways_to_begin(sqlite_url: str, postgres_url: str) -> None:
    by_file, empty = _client(sqlite_url)[0], _client(postgres_url)[0]

    kept = {name: FACTS[name] for name in ("door", "who", "email", "password")}
    by_file.post(ADDRESS, data={**kept, "begin": "file", "file": (io.BytesIO(DEMO.read_bytes()), "studio.toml")})
    empty.post(ADDRESS, data={**FACTS, "begin": "empty"})

    with closing(Store(sqlite_url, secrets.randbelow)) as store:
        assert "Long Tom" in store.read.catalog().kilns
    with closing(Store(postgres_url, secrets.randbelow)) as store:
        catalog = store.read.catalog()
        assert [len(part) for part in (catalog.clays, catalog.glazes, catalog.routes, catalog.kilns)] == [0, 0, 1, 0]


@pytest.mark.parametrize(
    "wrong",
    [
        {"who": ""},
        {"email": "ada"},
        {"password": ""},
        {"password": "short"},
        {"password": "adaquill12"},
        {"name": " "},
        {"timezone": ""},
        {"timezone": "Nowhere/Land"},
        {"units": "cubits"},
        {"regime": "nobody's"},
        {"begin": "file"},
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_no_studio_is_there(sqlite_url: str, wrong: dict[str, str]) -> None:
    client, done = _client(sqlite_url)

    answer = client.post(ADDRESS, data={**FACTS, **wrong})

    assert answer.status_code == 422
    assert 'role="alert"' in answer.text
    assert 'value="Quayside clay"' in answer.text or "name" in wrong
    assert FACTS["password"] not in answer.text
    assert (done, holds_a_studio(sqlite_url)) == ([], False)


def test_without_the_one_time_address_there_is_no_page_and_once_it_was_used_no_second_studio(sqlite_url: str) -> None:
    client, done = _client(sqlite_url)

    strangers = [client.get("/"), client.get(ADDRESS), client.get(f"{ADDRESS}?door=guess"), client.post(ADDRESS)]
    first, second = client.post(ADDRESS, data=FACTS), client.post(ADDRESS, data={**FACTS, "name": "Another"})

    assert {one.status_code for one in strangers} == {404}
    assert all("one-time address" in one.text and "<form" not in one.text for one in strangers)
    assert (first.status_code, second.status_code, len(done)) == (303, 422, 1)
    with closing(Store(sqlite_url, secrets.randbelow)) as store:
        assert store.read.studio().name == "Quayside clay"
