"""History only grows: neither engine lets a line be changed, taken away, replaced or swept out."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from sqlalchemy import Connection, create_engine
from sqlalchemy.exc import DBAPIError

from tests.staffed import queued
from tracker.store.unit_of_work import Store

COLUMNS = 'id, piece_id, at, by_id, request_key, step, "to", place, reason'
A_LINE = f"INSERT INTO history ({COLUMNS}) SELECT {COLUMNS} FROM history WHERE id = 1"

ON_BOTH = {
    "an update": "UPDATE history SET reason = 'nothing happened' WHERE id = 1",
    "an update of everything": "UPDATE history SET by_id = 1",
    "another number": "UPDATE history SET id = 999 WHERE id = 1",
    "a delete": "DELETE FROM history WHERE id = 1",
    "a delete of everything": "DELETE FROM history",
    "an upsert": f"{A_LINE} ON CONFLICT (id) DO UPDATE SET reason = 'nothing happened'",
    "an insert over it": A_LINE,
}
ON_SQLITE = {
    "a replace": A_LINE.replace("INSERT", "REPLACE", 1),
    "an insert or replace": A_LINE.replace("INSERT", "INSERT OR REPLACE", 1),
    "an update or replace": "UPDATE OR REPLACE history SET id = 1 WHERE id = 2",
    "an update or ignore": "UPDATE OR IGNORE history SET reason = 'nothing' WHERE id = 1",
}
ON_POSTGRESQL = {
    "a truncate": "TRUNCATE history",
    "a truncate from above": "TRUNCATE pieces CASCADE",
    "a merge": (
        "MERGE INTO history USING (SELECT 1 AS id) AS one ON history.id = one.id "
        "WHEN MATCHED THEN UPDATE SET reason = 'nothing happened'"
    ),
}


@pytest.fixture
def hand(store: Store, database_url: str) -> Iterator[Connection]:
    """A plain connection to a studio with one piece and three lines of history."""
    queued(store)
    engine = create_engine(database_url)
    with engine.connect() as connection:
        yield connection
    engine.dispose()


def lines(hand: Connection) -> list[tuple[object, ...]]:
    """All of history."""
    return [tuple(row) for row in hand.exec_driver_sql("SELECT * FROM history ORDER BY id")]


@pytest.mark.parametrize("statement", [pytest.param(sql, id=name) for name, sql in ON_BOTH.items()])
def test_no_line_of_history_is_touched(hand: Connection, statement: str) -> None:
    before = lines(hand)

    with pytest.raises(DBAPIError):
        hand.exec_driver_sql(statement)

    hand.rollback()
    assert lines(hand) == before


@pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
@pytest.mark.parametrize("statement", [pytest.param(sql, id=name) for name, sql in ON_SQLITE.items()])
def test_no_line_is_touched_in_the_ways_only_sqlite_has(hand: Connection, statement: str) -> None:
    before = lines(hand)

    with pytest.raises(DBAPIError, match="history only grows"):
        hand.exec_driver_sql(statement)

    hand.rollback()
    assert lines(hand) == before


@pytest.mark.parametrize("database_url", ["postgresql"], indirect=True)
@pytest.mark.parametrize("statement", [pytest.param(sql, id=name) for name, sql in ON_POSTGRESQL.items()])
def test_no_line_is_touched_in_the_ways_only_postgresql_has(hand: Connection, statement: str) -> None:
    before = lines(hand)

    with pytest.raises(DBAPIError, match="history only grows"):
        hand.exec_driver_sql(statement)

    hand.rollback()
    assert lines(hand) == before


def test_a_code_once_given_is_never_changed(hand: Connection) -> None:
    for change in ("'K7R43'", "NULL"):
        with pytest.raises(DBAPIError, match="for good"):
            hand.exec_driver_sql(f"UPDATE pieces SET code = {change} WHERE id = 1")
        hand.rollback()
