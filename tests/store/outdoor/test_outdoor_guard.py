"""No statement, whoever writes it, fires anything outdoors without a session, or ware for food in one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import create_engine, text
from sqlalchemy.exc import DBAPIError

from tests.staffed import bisqued, open_studio, queued, started
from tests.studio import a_new_piece
from tests.yard import fire_round, later, planned_session, tap, the_session
from tracker.domain.outdoor.event_log import Did
from tracker.domain.pieces.piece import Use
from tracker.store.schema import downgrade, migrate
from tracker.store.unit_of_work import Store

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import Connection

_FIRING = (
    "INSERT INTO firings (kiln, route, is_bisque, heat, stage, began_at, session_id) "
    "VALUES ('{kiln}', '{route}', FALSE, {heat}, 'loading', '2026-03-03', {session})"
)
_RAKU = {"kiln": "Yard drum", "route": "raku", "heat": -60, "session": 1}

WAYS_ROUND = {
    "raku without a session": _FIRING.format(**{**_RAKU, "session": "NULL"}),
    "horsehair without a session": _FIRING.format(**{**_RAKU, "route": "horsehair", "heat": -100, "session": "NULL"}),
    "a session there is not": _FIRING.format(**{**_RAKU, "session": 99}),
    "an indoor firing in a session": _FIRING.format(kiln="Back box", route="mid-range", heat=60, session=1),
    "a round that leaves its session": "UPDATE firings SET session_id = NULL WHERE session_id = 1",
    "a round that goes to another session": "UPDATE firings SET session_id = 99 WHERE session_id = 1",
    "a round that turns into a firing indoors": (
        "UPDATE firings SET kiln = 'Back box', route = 'mid-range', heat = 60 WHERE session_id = 1"
    ),
    "an indoor firing that joins a session": "UPDATE firings SET session_id = 1 WHERE route = 'mid-range'",
    "a piece in it that turns to food": "UPDATE pieces SET use = 'food' WHERE id IN (SELECT piece_id FROM loaded)",
    "a tap that is changed": "UPDATE taps SET at = '2026-03-04'",
    "a tap that is removed": "DELETE FROM taps",
}


@pytest.fixture
def hand(database_url: str) -> Iterator[Connection]:
    """A plain connection to a studio in which one session burns, and an indoor firing is being loaded."""
    store = open_studio(database_url)
    ref = queued(store, "Ember Luster", route="raku")
    number = planned_session(store)
    tap(store, number, Did.START, inside=(ref,))
    started(store)
    store.close()
    engine = create_engine(database_url, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        yield connection
    engine.dispose()


@pytest.mark.parametrize("statement", WAYS_ROUND.values(), ids=WAYS_ROUND)
def test_no_statement_gets_round_a_session(hand: Connection, statement: str) -> None:
    def seen() -> list[Any]:
        return [
            tuple(row)
            for table in ("firings", "taps", "loaded")
            for row in hand.execute(text(f"SELECT * FROM {table} ORDER BY 1"))
        ]

    before = seen()

    with pytest.raises(DBAPIError, match=r"session|food|tapped"):
        hand.execute(text(statement))

    assert seen() == before


def test_food_is_not_put_into_a_session_by_hand(database_url: str) -> None:
    store = open_studio(database_url)
    queued(store, "Ember Luster", route="raku")
    number = planned_session(store)
    cup = bisqued(store, a_new_piece(use=Use.FOOD))
    firing = the_session(store, number).rounds[0].id
    piece = store.read.pieces.piece(code=cup)
    store.close()
    assert piece is not None
    engine = create_engine(database_url, isolation_level="AUTOCOMMIT")

    with engine.connect() as hand, pytest.raises(DBAPIError, match="food"):
        hand.execute(
            text(
                "INSERT INTO loaded (piece_id, ceiling, outdoor_only, firing_id, route, heat, is_bisque, "
                f"takes_outdoor, queue_route, at) VALUES ({piece.id}, {piece.ceiling.rank}, FALSE, {firing}, "
                "'raku', -60, FALSE, TRUE, 'raku', '2026-03-03')"
            )
        )
    engine.dispose()


def test_outdoor_firings_from_before_there_were_sessions_get_one_each(database_url: str) -> None:
    store = open_studio(database_url)
    refs = [queued(store, "Ember Luster", route="raku") for _ in range(2)]
    number = planned_session(store)
    fire_round(store, number)
    store.close()
    engine = create_engine(database_url, isolation_level="AUTOCOMMIT")
    downgrade(database_url, "0005")
    with engine.connect() as hand:
        hand.execute(text(_FIRING.format(**_RAKU).replace(", session_id", "").replace(", 1)", ")")))
    engine.dispose()

    migrate(database_url)

    opened = Store(database_url, lambda _: 0)
    ended, running = (opened.read.outdoors.session(one) for one in (1, 2))
    assert ended is not None
    assert running is not None
    assert not ended.is_open
    assert running.is_open
    assert ended.rounds[0].session_id == 1
    assert sorted(row.ref for row in opened.read.pieces.by_ids(ended.piece_ids)) == sorted(refs)
    assert ended.facts.starts_at == later()
    opened.close()
