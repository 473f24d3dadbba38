"""Text that no page of ours sends: whatever the address or the form, the answer is a page or a refusal, no fault."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from secrets import randbelow
from typing import TYPE_CHECKING
from urllib.parse import quote, urlencode

import pytest
from marshmallow import Schema

from tests.house.tree import TOP, python_files, text
from tests.studio import ADA, TOM
from tests.web.conftest import Clock, Pages, Room
from tracker.domain.studio.people import NewPerson
from tracker.settings import Settings
from tracker.store import backup
from tracker.store.unit_of_work import Store
from tracker.usecases.studio import membership
from tracker.web.auth import House
from tracker.web.lists import ON_A_PAGE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from werkzeug.routing import Rule

HOSTILE = {
    "a NUL": "a\0b",
    "one more than an integer": str(2**31),
    "one more than 64 bits": str(2**63),
    "a negative page": "-1",
}
NO_FAULT_OF_SQLITE = frozenset({"a NUL", "one more than an integer", "a negative page"})
"""SQLite keeps a NUL, its integers have 64 bits, and a negative limit is none to it; PostgreSQL refuses all three."""
_READ_BY_HAND = re.compile(r'(?:args|form)(?:\.get|\.getlist)?[(\[]"(\w+)"|whole\(\w[\w.]*, "(\w+)"')
_FIELD = re.compile(r' name="([\w-]+)"')
_ENDS_THE_VISIT = {"/sign-out"}


@pytest.fixture(scope="module")
def moved_to_postgres(
    studio_template: Path,
    pages_of_room: Pages,
    postgres_room: Callable[[str, str], str],
    postgres_template: str,
    worker_id: str,
    tmp_path_factory: pytest.TempPathFactory,
) -> str:
    """The name of a PostgreSQL database with the small studio in it, restored once from a backup, to copy from."""
    name, folder = f"moved_{worker_id}", tmp_path_factory.mktemp("moved")
    url = postgres_room(name, postgres_template)
    backup.backup(f"sqlite:///{studio_template}", folder / "backup", lambda *_: None)
    backup.restore(url, folder / "backup", lambda *_: None, photos=str(folder))
    return name


@pytest.fixture
def room_of(
    request: pytest.FixtureRequest, studio_template: Path, pages_of_room: Pages, tmp_path: Path
) -> Iterator[Room]:
    """The small studio on the engine that the test names."""
    if request.param == "postgresql":
        moved, worker = request.getfixturevalue("moved_to_postgres"), request.getfixturevalue("worker_id")
        url = request.getfixturevalue("postgres_room")(f"hostile_{worker}", moved)
    else:
        url = f"sqlite:///{shutil.copyfile(studio_template, tmp_path / 'room.sqlite')}"
    store, clock = Store(url, randbelow, photos=str(tmp_path)), Clock()
    pages_of_room.app.extensions["footring"] = House(store, Settings(database=url), clock)
    yield Room(pages_of_room, store, clock, {person.email: person for person in store.read.people.listed()})
    store.close()


def names() -> list[str]:
    """Every name that a view looks for in an address or a form by itself, or that a field of some form has."""
    found = {
        name
        for path in python_files("tracker")
        if path.parts[1] == "web"
        for pair in _READ_BY_HAND.findall(text(path))
        for name in pair
    }
    found |= {
        name for page in (TOP / "tracker/web/templates").rglob("*.html") for name in _FIELD.findall(page.read_text())
    }
    found |= {name for schema in _schemas(Schema) for name in schema._declared_fields}
    return sorted(found - {"", "csrf_token", "key"})


def _schemas(of: type[Schema]) -> Iterator[type[Schema]]:
    for one in of.__subclasses__():
        yield one
        yield from _schemas(one)


def filled(rule: Rule, value: str) -> str:
    """The address of a rule with the same value in each of its places."""
    return re.sub(r"<[^>]+>", quote(value, safe=""), rule.rule)


@pytest.mark.unmeasured
@pytest.mark.parametrize(
    ("room_of", "value"),
    [
        pytest.param(engine, value, id=f"{engine}-{name}")
        for name, value in HOSTILE.items()
        for engine in ("sqlite", "postgresql")
        if engine == "postgresql" or name not in NO_FAULT_OF_SQLITE
    ],
    indirect=["room_of"],
)
def test_every_address_answers_hostile_input_without_a_fault(room_of: Room, value: str) -> None:
    ada, everything = room_of.visit(ADA), dict.fromkeys(names(), value)
    # Hundreds of fields are the same for hundreds of addresses, so they are written as a browser sends them only once.
    asked = urlencode(everything)
    # A fault rises through the test client.
    faults = []

    for rule in room_of.app.url_map.iter_rules():
        if rule.rule not in _ENDS_THE_VISIT:
            there = filled(rule, value)
            if "GET" in (rule.methods or ()):
                faults += [there] if ada.get(there, query_string=asked).status_code >= 500 else []
            if "POST" in (rule.methods or ()):
                faults += [there] if ada.post_written(there, asked).status_code >= 500 else []

    assert faults == []
    assert {"ref", "from", "cone", "email", "width_mm"} < everything.keys()


@pytest.mark.parametrize("asked", ["endpoint=x", "_scheme=javascript&_external=1"])
def test_what_an_address_holds_beside_a_list_stays_within_its_links(room: Room, asked: str) -> None:
    newcomers = [NewPerson(name=f"Ann {number}", email=f"ann{number}@studio.example") for number in range(ON_A_PAGE)]
    membership.enrol(room.store, room.asks(ADA), newcomers)

    page = room.visit(ADA).get(f"/people?{asked}")

    assert page.status_code == 200
    assert re.findall(r'href="([^"?]*)\?[^"]*from=\d', page.text) == ["/people"]


@pytest.mark.parametrize("start", ["9" * 40, "nan", "²"])
def test_a_form_that_could_not_be_printed_is_shown_again(room: Room, start: str) -> None:
    cup, tom = room.bisqued(), room.visit(TOM)
    stock = "Roll, 100 x 50 mm"

    page = tom.post(
        "/paper/tags", {"things": cup.ref, "stock": stock, "shown": stock, "start_at": start, "nudge_x": start}
    )

    assert page.status_code == 422
