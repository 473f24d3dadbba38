"""An outdoor yard with its kiln, its bins and its people, and pots to fire in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from random import Random
from typing import Any

from hypothesis import strategies as st

from tests.domain.outdoor.round_check import Session
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind
from tracker.domain.message import Message
from tracker.domain.outdoor.rounds import propose_rounds
from tracker.domain.outdoor.setting_up import Container, Crew, Opening, OutdoorFloor, Rounds, Stood, ToFire
from tracker.domain.studio.kilns import Room, RouteKind
from tracker.domain.studio.settings import OutdoorPractice

NOW = datetime(2026, 5, 16, 12, tzinfo=UTC)
PRACTICE = OutdoorPractice(lid_s=0, pull_s=1, hair_s=0)
"""So quick a crew that its hands alone count; how fast the ware cools has tests of its own."""
CREW = Crew(("Mio", "Tariq"), ("Ines",), "Olu", "Bea")
ALONE = Crew(("Mio",), ("Ines",), "Olu", "Bea")
FLOOR = OutdoorFloor(Shelf(ShelfKind.ROUND, 600, 600), 450, Opening.LIFT_OFF)
WARNED = (Message("slab-built", "It is slab-built."),)
BINS = tuple(Container(name, Room(round_mm=300, height_mm=350)) for name in "12345678")

RAKU = RouteKind.RAKU


def pot(piece_id: int, across: float = 100, **more: Any) -> ToFire:  # noqa: ANN401 - whatever a piece may have
    """A round pot for raku, as wide as it is high."""
    plain = ToFire(
        piece_id,
        f"P{piece_id}",
        RouteKind.RAKU,
        Footprint.round(across),
        int(across),
        since=NOW - timedelta(days=1, minutes=-piece_id),
    )
    return replace(plain, **more)


def proposed(session: Session) -> Rounds:
    """What is proposed for a session."""
    return propose_rounds(*session)


def of(pieces: Sequence[ToFire], **more: Any) -> Session:  # noqa: ANN401 - whatever a session may have
    """A session of these pieces in the yard above, some of it changed."""
    return Session(pieces, FLOOR, BINS, CREW, PRACTICE, NOW)._replace(**more)


def ids(rounds: Rounds) -> list[set[int]]:
    """Which pieces are in which round."""
    return [set(one.piece_ids) for one in rounds.rounds]


def stood(piece_id: int, x: float = 0, y: float = 0, container: str | None = None, **more: bool) -> Stood:
    """A piece where somebody has put it, by default in the container of its own number."""
    return Stood(piece_id, x, y, more.get("turned", False), container or str(piece_id), more.get("apart", False))


def drawn(chance: Random) -> Session:
    """A session of all sorts of pots that can all be fired, drawn by lot."""
    pots = [
        pot(
            number,
            chance.randint(60, 180),
            kind=chance.choice([RouteKind.RAKU, RouteKind.RAKU, RouteKind.HORSEHAIR]),
            luster=chance.random() < 0.2,
            warnings=WARNED if chance.random() < 0.2 else (),
            glazed_at=NOW - timedelta(hours=chance.randint(1, 80)),
            since=NOW - timedelta(minutes=chance.randint(0, 60_000)),
        )
        for number in range(chance.randint(2, 20))
    ]
    bins = [
        Container(str(number), Room(round_mm=chance.randint(230, 450), height_mm=300), lid=chance.random() < 0.7)
        for number in range(chance.randint(1, 5))
    ]
    across = chance.randint(400, 650)
    return of(
        pots,
        floor=OutdoorFloor(Shelf(ShelfKind.ROUND, across, across), 400, chance.choice([*Opening])),
        containers=[*bins, Container("drum", Room(round_mm=450, height_mm=300))],
        crew=Crew(("Mio", "Tariq", "Sol")[: chance.randint(1, 3)], ("Ines",), "Olu", "Bea"),
    )


lengths = st.integers(40, 240)
footprints = st.one_of(lengths.map(Footprint.round), st.builds(Footprint, lengths, lengths))


def some_pieces(most: int) -> st.SearchStrategy[list[ToFire]]:
    """Pieces of all sorts, numbered from 1; a few of them too large, too heavy or of another kind."""
    piece = st.builds(
        ToFire,
        piece_id=st.just(0),
        ref=st.just(""),
        kind=st.sampled_from([RouteKind.RAKU] * 6 + [RouteKind.HORSEHAIR] * 3 + [RouteKind.SHELF]),
        footprint=footprints,
        height_mm=st.integers(30, 420),
        warnings=st.sampled_from([(), (), (), WARNED]),
        crackle=st.booleans(),
        luster=st.sampled_from([False, False, False, True]),
        glazed_at=st.sampled_from([None, *(NOW - timedelta(hours=hours) for hours in (1, 23, 24, 25, 300))]),
        since=st.integers(-100, 60_000).map(lambda minutes: NOW - timedelta(minutes=minutes)),
        weight_g=st.sampled_from([None, 800, 1500, 2500, 4500, 5200]),
        wall_mm=st.sampled_from([None, None, 2, 6, 10]),
    )
    return st.lists(piece, max_size=most).map(
        lambda some: [replace(one, piece_id=number, ref=f"P{number}") for number, one in enumerate(some, 1)]
    )


rooms = st.one_of(
    st.builds(Room, round_mm=st.integers(150, 480), height_mm=st.integers(150, 500)),
    st.builds(
        Room,
        width_mm=st.integers(150, 400),
        depth_mm=st.one_of(st.none(), st.integers(150, 400)),
        height_mm=st.one_of(st.none(), st.integers(150, 500)),
        clearance_mm=st.sampled_from([0, 40]),
    ),
)
shelves = st.one_of(
    st.integers(250, 700).map(lambda across: Shelf(ShelfKind.ROUND, across, across)),
    st.integers(400, 700).map(lambda across: Shelf(ShelfKind.HALF, across, across)),
    st.builds(Shelf, st.just(ShelfKind.RECTANGULAR), st.integers(200, 700), st.integers(200, 700)),
)
floors = st.builds(
    OutdoorFloor, shelves, st.integers(200, 450), st.sampled_from(Opening), air_c=st.sampled_from([-10.0, 30.0])
)


@st.composite
def containers(draw: st.DrawFn, least: int = 0, most: int = 5) -> tuple[Container, ...]:
    """Containers of a few sizes, some of them without a lid."""
    kinds = draw(st.lists(st.tuples(rooms, st.booleans()), min_size=1, max_size=3))
    some = draw(st.lists(st.sampled_from(kinds), min_size=least, max_size=most))
    return tuple(Container(str(number), room, lid) for number, (room, lid) in enumerate(some, 1))
