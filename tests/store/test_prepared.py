"""What is handed to the driver as it is gives and refuses the same as what goes through SQLAlchemy, on each engine."""

from __future__ import annotations

import pytest
from sqlalchemy import bindparam, insert, select, update
from sqlalchemy.exc import IntegrityError

from tests.staffed import MIRA, glazed
from tests.studio import NOON
from tracker.store.pieces.queries import _PIECE
from tracker.store.prepared import Prepared
from tracker.store.tables import history, pieces, sign_ins
from tracker.store.unit_of_work import Store

LINES = select(history).where(history.c.piece_id == bindparam("of_piece"), history.c.step.is_not(None))
TRIES = Prepared(insert(sign_ins).returning(sign_ins.c.id, sign_ins.c.at))


STATEMENTS = {"a piece": _PIECE.where(pieces.c.id == bindparam("of_piece")), "its history": LINES}


@pytest.mark.parametrize("statement", [pytest.param(one, id=name) for name, one in STATEMENTS.items()])
def test_the_rows_are_the_same(store: Store, statement: object) -> None:
    glazed(store)

    with store.writing() as connection:
        found = Prepared(statement).all(connection, {"of_piece": 1})  # type: ignore[arg-type]  # one of two selects
        wanted = connection.execute(statement, {"of_piece": 1}).all()  # type: ignore[call-overload]  # the same

    assert [row._asdict() for row in found] == [row._asdict() for row in wanted]
    assert len(found) >= 1


def test_a_moment_is_written_in_utc_and_given_back_with_its_zone(store: Store) -> None:
    with store.writing() as connection:
        row = TRIES.first(connection, {"email": MIRA.email, "address": "10.0.0.7", "at": NOON})

        assert row.at == NOON
        assert connection.scalar(select(sign_ins.c.at).where(sign_ins.c.id == row.id)) == NOON


def test_how_many_rows_changed_is_told(store: Store) -> None:
    glazed(store)
    move = Prepared(update(pieces).where(pieces.c.id == bindparam("of_piece")))

    with store.writing() as connection:
        assert move.run(connection, {"place": "rack 3", "of_piece": 1}) == 1
        assert move.run(connection, {"place": "rack 4", "of_piece": 99}) == 0
        assert move.run(connection, {"what": "jar", "place": "rack 5", "of_piece": 1}) == 1
        assert connection.execute(select(pieces.c.what, pieces.c.place)).one() == ("jar", "rack 5")


def test_a_breach_is_the_one_that_sqlalchemy_raises(store: Store) -> None:
    values = {"email": None, "address": "10.0.0.7", "at": NOON}

    with pytest.raises(IntegrityError), store.writing() as connection:
        TRIES.first(connection, values)


def test_nothing_is_kept_of_a_transaction_that_failed(store: Store) -> None:
    def fail() -> None:
        with store.writing() as connection:
            TRIES.first(connection, {"email": MIRA.email, "address": "10.0.0.7", "at": NOON})
            raise LookupError

    with pytest.raises(LookupError):
        fail()

    with store.writing() as connection:
        assert connection.execute(select(sign_ins)).all() == []
