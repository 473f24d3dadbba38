"""The invented studio in a real database, with its four people, who have all chosen their passwords."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from random import Random
from typing import Any
from uuid import uuid4

from argon2 import PasswordHasher

from tests import studio
from tests.studio import NOON, a_new_piece, a_studio
from tracker.domain.cones import Cone
from tracker.domain.firing.firings import FiringStage
from tracker.domain.labels.print_jobs import PrintOrder
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.pieces.new_pieces import NewPiece
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Piece
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.materials import Zone
from tracker.domain.studio.people import NewPerson, Person
from tracker.store.studio.people_book import enter_person
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings, starting, unloading
from tracker.usecases.labels.documents import Printing, print_document
from tracker.usecases.pieces import pieces
from tracker.wording.reader import ANYONE

PASSWORD = "patience and wet clay"

# Checked at the usual cost, a test that signs in would mostly wait for its password.
QUICK = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
_HASHED = QUICK.hash(PASSWORD)


def _person(number: int, someone: NewPerson) -> Person:
    return Person(id=number, name=someone.name, email=someone.email, role=someone.role, section=someone.section)


ADA, TOM, INES, MIRA = EVERYBODY = tuple(
    _person(number, someone)
    for number, someone in enumerate((studio.ADA, studio.TOM, studio.INES, studio.MIRA), start=1)
)
"""Instructor, shelf staff and two students, with the numbers that `open_studio` gives them."""


def open_studio(
    database: str, what: Studio | None = None, draw: Callable[[int], int] | None = None, *, photos: str = ""
) -> Store:
    """A store over a fresh, migrated database with a studio and its people in it; codes are the same every time.

    `photos` is the folder for photos where the database is no file.
    """
    store = studio_store(database, draw, photos=photos)
    store.set_up(what or a_studio(), secret="kept nowhere but in this test")
    with store.writing() as connection:
        for person in EVERYBODY:
            someone = NewPerson(name=person.name, email=person.email, section=person.section, role=person.role)
            enter_person(connection, someone, _HASHED, NOON)
        connection.exec_driver_sql("UPDATE people SET must_change_password = FALSE")
    return store


def studio_store(database: str, draw: Callable[[int], int] | None = None, *, photos: str = "") -> Store:
    """A store over a database in which the studio is already, or is still to be set up; codes as above."""
    return Store(database, draw or Random(23).randrange, photos=photos)  # noqa: S311 -- the same codes every time


def asked_by(person: Person, at: datetime = NOON) -> Request:
    """A new request by somebody, with a key of its own."""
    return Request(uuid4(), person, at)


def the_piece(store: Store, ref: str) -> Piece:
    """The piece with this code or slip number, as it is in the store now."""
    piece = store.read.pieces.piece(number=int(ref[1:])) if ref.startswith("W") else store.read.pieces.piece(code=ref)
    assert piece is not None
    return piece


def bisqued(store: Store, new: NewPiece | None = None, *, maker: Person = MIRA) -> str:
    """The code of a new piece that stands on the bisqued shelf."""
    return pieces.register(store, asked_by(maker), replace(new or a_new_piece(), arrives_bisqued=True)).ref


def glazed(store: Store, *glazes: str, new: NewPiece | None = None, maker: Person = MIRA) -> str:
    """The code of a new piece that wears these glazes, which have dried for two days."""
    ref = bisqued(store, new, maker=maker)
    for name in glazes or ("Still Water",):
        pieces.glaze(store, asked_by(TOM, NOON - timedelta(days=2)), ref, name, Zone.OUTSIDE)
    return ref


def queued(store: Store, *glazes: str, route: str = "mid-range", new: NewPiece | None = None) -> str:
    """The code of a new piece that waits for a route."""
    ref = glazed(store, *glazes, new=new)
    pieces.queue(store, asked_by(TOM), ref, route)
    return ref


def started(store: Store, kiln: str = "Back box", route: str = "mid-range", cone: str = "6") -> int:
    """The number of a firing that is being loaded."""
    return int(starting.start(store, asked_by(TOM), kiln, route, Cone.parse(cone)).extra["firing"])


def unload(store: Store, firing: int, outcomes: Mapping[str, Outcome]) -> Receipt:
    """Fire a kiln that has been loaded, and unload it."""
    firings.light(store, asked_by(TOM), firing)
    return off_and_out(store, asked_by(TOM), firing, outcomes)


def off_and_out(store: Store, request: Request, firing: int, outcomes: Mapping[str, Outcome]) -> Receipt:
    """Mark a kiln as off unless it is, and unload it by the word of whoever fired it: these fires keep no whole log."""
    known = store.read.firings.firing(firing)
    if known is not None and known.stage is FiringStage.FIRING:
        firings.shut_off(store, asked_by(request.by, request.at), firing)
    target = None if known is None else known.target
    return unloading.unload(store, request, firing, outcomes, was_fired=True, counts=target)


def fired(store: Store, *glazes: str, outcome: Outcome = Outcome.GOOD, new: NewPiece | None = None) -> str:
    """The code of a new piece that came out of the mid-range kiln."""
    ref = queued(store, *glazes, new=new)
    firing = started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)
    unload(store, firing, {ref: outcome})
    return ref


def tags_printed(store: Store, request: Request, *refs: str, **how: Any) -> Printing:  # noqa: ANN401 -- whatever an order says
    """The tags of these pieces, on the usual sheet where nothing else is said."""
    order = PrintOrder(kind="tags", things=refs, stock="A4, 3 x 7, 63.5 x 38.1 mm")
    return print_document(store, request, replace(order, **how), ANYONE)
