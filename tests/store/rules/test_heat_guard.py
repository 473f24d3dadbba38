"""No statement, whoever writes it, leaves a piece waiting for more heat than it stands, or an outdoor glaze indoors.

Each way round is tried on a plain connection of the driver's own: on PostgreSQL, and on SQLite with foreign keys
switched on and with them off, as they are at its shell. Whether a piece is misplaced is worked out here from the
materials alone, never from the copies that the guard compares.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import psycopg
import pytest

from tests.staffed import TOM, asked_by, bisqued, glazed, open_studio, queued
from tests.store.ways_round import (
    BISQUE_FIRING,
    BY_REPLACE,
    BY_ROW_NUMBER,
    CHANGES_AT_THE_KILN,
    CHANGES_IN_THE_QUEUE,
    CHANGES_OF_LAYERS,
    CHANGES_OF_MATERIALS,
    CHANGES_OF_PIECES,
    CHANGES_OF_ROUTES,
    LEAVES_ALL_WELL,
    LOW_FIRING,
    WAITS_RAKU,
    WAYS_IN,
)
from tests.studio import NOON, a_new_piece
from tests.yard import session_facts
from tracker.domain.cones import Cone
from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Message
from tracker.domain.outdoor.sessions import SessionStage
from tracker.domain.pieces.history import Receipt
from tracker.store.unit_of_work import Change, Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pieces

Hand = Any
"""A connection of the driver's own: of sqlite3 or of psycopg."""

REFUSED = (sqlite3.DatabaseError, psycopg.Error)


def _studio(url: str) -> None:
    """A studio with pieces in queues and kilns, in the order of their numbers."""
    store = open_studio(url)
    queued(store)
    queued(store, "Ember Luster", route="raku")
    queued(store, "Plum Gloss", route="low-fire")
    glazed(store, "Plum Gloss")
    glazed(store, "Ember Luster")
    in_the_kiln = queued(store, "Plum Gloss", route="low-fire")
    raw = pieces.register(store, asked_by(TOM), a_new_piece(clay="Roof Tile Red")).ref
    bisqued(store, a_new_piece(clay="Roof Tile Red"))
    glazed(store, "Iron Gate")
    pieces.register(store, asked_by(TOM), a_new_piece(clay="Roof Tile Red"))
    for kiln, route, cone in (
        ("Front box", "low-fire", "04"),
        ("Back box", "high-fire", "10"),
        ("Front box", "bisque", "06"),
        ("Front box", "low-fire", "6"),
    ):
        _start(store, kiln, route, cone)
    _plan_a_round(store)
    firings.put_in(store, asked_by(TOM), LOW_FIRING, in_the_kiln)
    firings.put_in(store, asked_by(TOM), BISQUE_FIRING, raw)
    store.close()


def _plan_a_round(store: Store) -> None:
    """Plan an outdoor session with a round in which nothing is meant to go."""

    def work(change: Change) -> Receipt:
        session = change.outdoors.begin(session_facts(), SessionStage.PLANNED)
        change.outdoors.add_round(session, "Yard drum", "raku", Cone.parse("06").rank, NOON)
        return Receipt(message=Message("planned", "Done."))

    store.once(asked_by(TOM), "plan session", work)


def _start(store: Store, kiln: str, route: str, cone: str) -> None:
    """Start a firing in a kiln, whether or not another is being loaded there."""

    def work(change: Change) -> Receipt:
        heat = Cone.parse(cone).rank
        change.book.begin(kiln, route, heat, is_bisque=route == "bisque", stage=FiringStage.LOADING)
        return Receipt(message=Message("started", "Done."))

    store.once(asked_by(TOM), "start", work)


@pytest.fixture(scope="module")
def sqlite_file(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The studio in an SQLite file."""
    path = tmp_path_factory.mktemp("guard") / "studio.sqlite"
    path.write_bytes(sqlite_template.read_bytes())
    _studio(f"sqlite:///{path}")
    return path


@pytest.fixture(scope="module")
def postgres_address(postgres_room: Callable[[str, str], str], postgres_template: str, worker_id: str) -> str:
    """The studio in a PostgreSQL database."""
    url = postgres_room(f"guard_{worker_id}", postgres_template)
    _studio(url)
    return url.replace("postgresql+psycopg://", "postgresql://")


@pytest.fixture(params=["sqlite with foreign keys", "sqlite without", "postgresql"])
def hand(request: pytest.FixtureRequest) -> Iterator[Hand]:
    """A plain connection in a transaction that is taken back at the end."""
    if request.param == "postgresql":
        with psycopg.connect(request.getfixturevalue("postgres_address")) as connection:
            yield connection
            connection.rollback()
        return
    opened = sqlite3.connect(request.getfixturevalue("sqlite_file"), isolation_level=None)
    opened.execute(f"PRAGMA foreign_keys = {'ON' if request.param.endswith('with foreign keys') else 'OFF'}")
    opened.execute("BEGIN")
    yield opened
    opened.execute("ROLLBACK")
    opened.close()


def misplaced(hand: Hand) -> list[str]:
    """Who waits for, or stands in, more heat than clay and glazes stand, or indoors in an outdoor glaze."""
    made_of = dict(hand.execute("SELECT p.id, c.ceiling FROM pieces p JOIN clays c ON c.id = p.clay_id").fetchall())
    stages = dict(hand.execute("SELECT id, stage FROM pieces").fetchall())
    kinds = {name: (heat, kind) for name, heat, kind in hand.execute("SELECT name, heat, kind FROM routes").fetchall()}
    glazes = {n: (top, family) for n, top, family in hand.execute("SELECT id, ceiling, family FROM glazes").fetchall()}
    worn: dict[int, list[tuple[int, str]]] = {}
    for piece, glaze in hand.execute("SELECT piece_id, glaze_id FROM layers").fetchall():
        worn.setdefault(piece, []).append(glazes.get(glaze, (-10_000, "outdoor")))
    queues = dict(hand.execute("SELECT piece_id, route FROM waiting").fetchall())
    places = [(piece, *kinds.get(route, (10_000, "?")), route) for piece, route in queues.items()]
    for piece, heat, route in hand.execute(
        "SELECT l.piece_id, f.heat, f.route FROM loaded l JOIN firings f ON f.id = l.firing_id"
    ).fetchall():
        places.append((piece, heat, kinds[route][1], queues.get(piece, route)))
        if (stages.get(piece) == "greenware") == (piece in queues):
            places.append((piece, 10_000, "from nowhere", route))
    return [
        f"piece {piece} at {route}"
        for piece, heat, kind, route in places
        if heat > min(made_of.get(piece, -10_000), *(top for top, _ in worn.get(piece, [])), 9_999)
        or (kind != "raku" and any(family == "outdoor" for _, family in worn.get(piece, [])))
    ]


def do(hand: Hand, statements: Sequence[str]) -> None:
    """Carry out the statements one by one."""
    for statement in statements:
        hand.execute(statement)


def cases(**groups: dict[str, list[str]]) -> list[Any]:
    """A parameter for each case, with its group and its name as the id."""
    return [
        pytest.param(statements, id=f"{group}: {name}")
        for group, named in groups.items()
        for name, statements in named.items()
    ]


@pytest.mark.parametrize(
    "statements",
    cases(
        insert=WAYS_IN,
        queue=CHANGES_IN_THE_QUEUE,
        route=CHANGES_OF_ROUTES,
        piece=CHANGES_OF_PIECES,
        material=CHANGES_OF_MATERIALS,
        layer=CHANGES_OF_LAYERS,
        kiln=CHANGES_AT_THE_KILN,
    ),
)
def test_no_statement_gets_round_the_guard(hand: Hand, statements: list[str]) -> None:
    assert misplaced(hand) == []

    with pytest.raises(REFUSED):
        do(hand, statements)


@pytest.mark.parametrize("statements", cases(replace=BY_REPLACE, number=BY_ROW_NUMBER))
@pytest.mark.parametrize("hand", ["sqlite with foreign keys", "sqlite without"], indirect=True)
def test_no_replacement_gets_round_the_guard(hand: Hand, statements: list[str]) -> None:
    assert misplaced(hand) == []

    with pytest.raises(REFUSED):
        do(hand, statements)


@pytest.mark.parametrize("hand", ["postgresql"], indirect=True)
@pytest.mark.parametrize("table", ["layers", "pieces", "glazes", "clays"])
def test_no_table_under_a_queue_can_be_emptied(hand: Hand, table: str) -> None:
    with pytest.raises(REFUSED):
        hand.execute(f"TRUNCATE {table} CASCADE")


@pytest.mark.parametrize("statements", cases(fine=LEAVES_ALL_WELL))
def test_what_puts_nobody_in_danger_can_be_done(hand: Hand, statements: list[str]) -> None:
    do(hand, statements)

    assert misplaced(hand) == []


def test_a_misplaced_piece_would_be_seen(hand: Hand) -> None:
    triggers = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    if isinstance(hand, psycopg.Connection):
        hand.execute("ALTER TABLE waiting DROP CONSTRAINT ck_waiting_stands_the_heat")
        hand.execute("UPDATE routes SET heat = 60 WHERE name = 'raku'")
    else:
        hand.execute("PRAGMA ignore_check_constraints = ON")
        for (name,) in hand.execute(triggers).fetchall():
            hand.execute(f"DROP TRIGGER {name}")
        hand.execute("UPDATE routes SET heat = 60 WHERE name = 'raku'")

    assert misplaced(hand) == [f"piece {WAITS_RAKU} at raku"]
