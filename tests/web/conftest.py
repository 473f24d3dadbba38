"""What tests of the pages may ask for: a small studio behind its own addresses, and people who visit it."""

from __future__ import annotations

import random
import re
import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode
from uuid import uuid4

import pytest
from argon2 import PasswordHasher

from tests.staffed import off_and_out
from tests.studio import ADA, INES, MIRA, NOON, TOM, a_new_piece, a_studio
from tracker.app import create_app
from tracker.domain.cones import Cone
from tracker.domain.pieces.history import Request
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Piece
from tracker.settings import Settings
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings, starting
from tracker.usecases.pieces import pieces
from tracker.usecases.studio import catalog, membership
from tracker.web.auth import House

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from flask import Flask
    from flask.testing import FlaskClient
    from werkzeug.test import Cookie, TestResponse

    from tracker.domain.studio.people import NewPerson, Person
    from tracker.store.studio.known import Known

PASSWORD = "four small words here"

# Checking a password at the strength the tool uses takes a tenth of a second; tests sign in hundreds of times.
_QUICK = PasswordHasher(time_cost=1, memory_cost=1024, parallelism=1)


class Clock:
    """A clock that stands until it is moved on."""

    def __init__(self) -> None:
        """Begin at noon."""
        self.moment = NOON

    def __call__(self) -> datetime:
        """The moment it shows."""
        return self.moment

    def pass_by(self, **how_long: float) -> None:
        """Move on by so many hours, minutes or days."""
        self.moment += timedelta(**how_long)


@dataclass
class Visitor:
    """Somebody at a browser of their own, signed in or not."""

    client: FlaskClient
    token: str = ""

    def get(self, address: str, **how: Any) -> TestResponse:  # noqa: ANN401 -- whatever the test client takes
        """Open a page."""
        return self._keep(self.client.get(address, buffered=True, **how))

    def post(self, address: str, fields: Mapping[str, Any] | None = None, **how: Any) -> TestResponse:  # noqa: ANN401 -- as above
        """Send a form as a page would: with the token of the last page and a request key, unless `fields` has them."""
        sent = {"csrf_token": self.token, "key": str(uuid4())} | dict(fields or {})
        return self._keep(self.client.post(address, data=sent, buffered=True, **how))

    def post_written(self, address: str, fields: str) -> TestResponse:
        """The same with fields that are written out already, as a browser sends them."""
        body = f"{fields}&{urlencode({'csrf_token': self.token, 'key': uuid4()})}"
        kind = "application/x-www-form-urlencoded"
        return self._keep(self.client.post(address, data=body, content_type=kind, buffered=True))

    def unload(self, firing: str, fields: Mapping[str, Any]) -> TestResponse:
        """Mark a firing's kiln as off, and unload it by the word of whoever fired it: these fires keep no log."""
        self.post(f"{firing}/off")
        return self.post(f"{firing}/unload", {"fired": "yes", **fields})

    def prints(self, kind: str, fields: Mapping[str, Any]) -> TestResponse:
        """Print from the desk: the PDF that it leads to, or the page that says why not."""
        answer = self.post(f"/paper/{kind}", fields)
        return self.get(answer.headers["Location"]) if answer.status_code == 303 else answer

    def _keep(self, answer: TestResponse) -> TestResponse:
        if answer.mimetype in {"text/html", "application/json"}:
            # What was not worded shows its code and facts; no page has such words of its own.
            assert not (raw := _unworded(answer.get_data(as_text=True))), raw
            # A no-break space is read as the space that it is.
            answer.set_data(answer.get_data(as_text=True).replace("\\u00a0", " ").replace("\u00a0", " "))
        if answer.mimetype == "text/html":
            answer.set_data(_tight(answer.get_data(as_text=True)))
            if found := re.search(r'name="csrf_token" value="([^"]+)"', answer.text):
                self.token = found[1]
        return answer


# Each begins with letters that are rare on a page, by which a search is over ten times as fast.
_UNWORDED = [
    re.compile(sort)
    for sort in (r"-(?<=[a-z]-)[a-z]+\((?:[a-z_]+=|\))[^<]{0,80}", r"%\([a-z_]+\)s", r"None\b(?<=\bNone)(?! yet)")
]
_BLOCK = r"(?:p|div|li|h\d|dt|dd|td|th|ul|ol|dl|button|summary|section|form|option|legend|label|figure)"


def _unworded(page: str) -> list[str]:
    """What a page shows as it is kept: the end of a message's code and its facts, a fact's name, or None."""
    return [found[0] for sort in _UNWORDED for found in sort.finditer(page)]


def _tight(page: str) -> str:
    """A page without the white space that shows nothing: between tags, around attributes, at the ends of a block."""
    page = re.sub(r"<[a-zA-Z][^<>]*>", lambda tag: " ".join(tag[0].split()).replace(" >", ">"), page)
    page = re.sub(r">\s+<", "><", page)
    page = re.sub(rf"(<{_BLOCK}(?:\s[^<>]*)?>)\s+", r"\1", page)
    return re.sub(rf"\s+(</{_BLOCK}>)", r"\1", page)


@dataclass(frozen=True)
class Pages:
    """One application, and by the email of whoever is signed in to it their browser's cookie and a form's token."""

    app: Flask
    sign_ins: Mapping[str, tuple[Cookie, str]]
    catalog: Known
    """What the template's studio has, and its people by their email; each copy has the same at first."""
    people: Mapping[str, Person]


def _signed_in(visitor: Visitor, email: str) -> tuple[Cookie, str]:
    """Sign in through the page: the browser's cookie, and the token of a form."""
    visitor.get("/sign-in")
    answer = visitor.post("/sign-in", {"email": email, "password": PASSWORD})
    assert answer.status_code == 302
    visitor.get("/password")
    cookie = visitor.client.get_cookie("footring")
    assert cookie is not None
    return cookie, visitor.token


@dataclass
class Room:
    """A small studio with its pages: `here` are its people by their email."""

    pages: Pages
    store: Store
    clock: Clock
    here: dict[str, Person]
    _count: Iterator[int] = field(default_factory=lambda: iter(range(1, 10_000)))

    def person(self, who: NewPerson) -> Person:
        """Somebody of this studio."""
        return self.here[who.email]

    def stranger(self) -> Visitor:
        """Somebody who is not signed in, at the sign-in page."""
        visitor = Visitor(self.app.test_client())
        visitor.get("/sign-in")
        return visitor

    @property
    def app(self) -> Flask:
        """The application behind the pages."""
        return self.pages.app

    def visit(self, who: NewPerson, *, anew: bool = False) -> Visitor:
        """Somebody of this studio, signed in: by a session from before the test, or `anew`, with all its cookies.

        Later than noon everybody signs in anew.
        """
        visitor = Visitor(self.app.test_client())
        if self.clock.moment == NOON and who.email in self.pages.sign_ins and not anew:
            cookie, visitor.token = self.pages.sign_ins[who.email]
            visitor.client.set_cookie(cookie.key, cookie.value)
        else:
            _signed_in(visitor, who.email)
        return visitor

    def asks(self, who: NewPerson) -> Request:
        """A request of this person, now."""
        return Request(uuid4(), self.person(who), self.clock())

    def greenware(self, by: NewPerson = INES, **facts: Any) -> Piece:  # noqa: ANN401 -- any fact of a piece
        """A piece that was just registered."""
        return self.piece(pieces.register(self.store, self.asks(by), a_new_piece(**facts)).ref)

    def bisqued(self, by: NewPerson = INES, **facts: Any) -> Piece:  # noqa: ANN401 -- any fact of a piece
        """A piece that came bisqued, with its code."""
        return self.greenware(by, arrives_bisqued=True, **facts)

    def bisque_load(self, many: int, by: NewPerson = INES) -> tuple[int, tuple[str, ...]]:
        """So many pieces out of one bisque firing: its number, and their codes."""
        slips = [self.greenware(by, what=f"tile {count}").ref for count in range(1, many + 1)]
        begun = starting.start(self.store, self.asks(TOM), "Front box", "bisque", Cone.parse("06"))
        number = int(begun.extra["firing"])
        for slip in slips:
            firings.put_in(self.store, self.asks(TOM), number, slip)
        firings.light(self.store, self.asks(TOM), number)
        unloaded = off_and_out(self.store, self.asks(TOM), number, dict.fromkeys(slips, Outcome.GOOD))
        return number, unloaded.refs

    def piece(self, ref: str) -> Piece:
        """A piece as it is now."""
        slip = int(ref[1:]) if ref.startswith("W") else None
        found = self.store.read.pieces.piece(code=None if slip else ref, number=slip)
        assert found is not None
        return found


@pytest.fixture(scope="session")
def studio_template(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file with the small studio and its four people in it, made once per worker, to copy from."""
    path = tmp_path_factory.mktemp("studio") / "studio.sqlite"
    shutil.copyfile(sqlite_template, path)
    store = Store(f"sqlite:///{path}", random.Random(23).randrange)  # noqa: S311 -- codes of a test may be guessed
    ada, _ = catalog.found(store, a_studio(), ADA, at=NOON)
    membership.enrol(store, Request(uuid4(), ada, NOON), [TOM, INES, MIRA])
    for person in store.read.people.listed():
        store.accounts.set_password(person.id, _QUICK.hash(PASSWORD))
    store.close()
    return path


@pytest.fixture(scope="session")
def pages_of_room(studio_template: Path, quick_pages: None) -> Pages:
    """The pages behind which each test of this worker has a studio of its own.

    Everybody is signed in to them at noon: every copy of the template knows these sessions.
    """
    settings = Settings(database=f"sqlite:///{studio_template}")
    app = create_app(settings, Clock())
    app.testing = True
    store: Store = app.extensions["footring"].store
    sign_ins = {one.email: _signed_in(Visitor(app.test_client()), one.email) for one in (ADA, TOM, INES, MIRA)}
    known, people = store.read.known(), {person.email: person for person in store.read.people.listed()}
    store.close()
    with closing(sqlite3.connect(studio_template)) as file:
        # The copies take the file alone, so nothing may stay behind in its log.
        file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return Pages(app, sign_ins, known, people)


@pytest.fixture
def room(studio_template: Path, pages_of_room: Pages, tmp_path: Path) -> Iterator[Room]:
    """The small studio behind its pages, at noon, with a fresh file of its own."""
    path = tmp_path / "room.sqlite"
    shutil.copyfile(studio_template, path)
    settings, clock = Settings(database=f"sqlite:///{path}"), Clock()
    draw = random.Random(7).randrange  # noqa: S311 -- codes of a test may be guessed
    store = Store(settings.database, draw, photos=settings.photos)
    # As `build` asks, so that its zone and units are known from here on.
    store._cache[pages_of_room.catalog.version] = pages_of_room.catalog
    # Building an application takes longer than most tests of a page; all that differs between two is their house.
    pages_of_room.app.extensions["footring"] = House(store, settings, clock)
    yield Room(pages_of_room, store, clock, dict(pages_of_room.people))
    store.close()
