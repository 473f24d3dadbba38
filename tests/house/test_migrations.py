"""The migrations lead where the tables say, and back again, on both engines."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from alembic.config import Config
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy import Connection, create_engine, inspect, text

from tests.house.tree import TOP, python_files
from tests.staffed import ADA, MIRA, TOM, asked_by, bisqued, fired, open_studio, started, unload
from tests.studio import a_glaze, a_studio
from tracker.domain.cones import CONES, Cone
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.studio.catalog_changes import with_thing
from tracker.domain.studio.materials import Coat, Family, Zone
from tracker.store.backup import check
from tracker.store.schema import downgrade, drift, migrate
from tracker.store.unit_of_work import Store
from tracker.usecases.firing.firings import put_in
from tracker.usecases.pieces.pieces import fire_again, glaze, queue

# Every trigger there is, whichever table it guards.
TRIGGERS = {
    "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
    "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal",
}
# What triggers call; SQLite keeps no functions.
FUNCTIONS = {
    "sqlite": "SELECT name FROM sqlite_master WHERE FALSE",
    "postgresql": "SELECT proname FROM pg_proc WHERE pronamespace = 'public'::regnamespace",
}


@pytest.fixture
def connection(database_url: str) -> Iterator[Connection]:
    """A plain connection to the same database, without the tool's own manners."""
    engine = create_engine(database_url)
    with engine.connect() as connected:
        yield connected
    engine.dispose()


@dataclass(frozen=True, slots=True)
class Shape:
    """All that a database is made of: columns, keys, checks and indexes by table; triggers and what they call."""

    tables: dict[str, object]
    triggers: list[str]
    functions: list[str]


def shape(connection: Connection) -> Shape:
    """Look at the database as it is now."""
    seen = inspect(connection)
    tables: dict[str, object] = {
        name: (
            [(column["name"], str(column["type"]), column["nullable"]) for column in seen.get_columns(name)],
            sorted(str(key["name"]) for key in seen.get_foreign_keys(name)),
            sorted(str(check["name"]) for check in seen.get_check_constraints(name)),
            sorted(str(index["name"]) for index in seen.get_indexes(name)),
            sorted(str(unique["name"]) for unique in seen.get_unique_constraints(name)),
        )
        for name in sorted(seen.get_table_names())
    }
    triggers = sorted(connection.scalars(text(TRIGGERS[connection.dialect.name])))
    functions = sorted(connection.scalars(text(FUNCTIONS[connection.dialect.name])))
    connection.rollback()
    return Shape(tables, triggers, functions)


def test_alembic_check_finds_no_difference_between_migrations_and_tables(database_url: str) -> None:
    drift(database_url)


def test_alembic_check_finds_a_difference_where_there_is_one(database_url: str, connection: Connection) -> None:
    connection.execute(text("ALTER TABLE pieces ADD COLUMN whim INTEGER"))
    connection.commit()

    with pytest.raises(CommandError, match="whim"):
        drift(database_url)


def test_every_migration_goes_down_and_up_again_to_the_same_shape(database_url: str, connection: Connection) -> None:
    before = shape(connection)

    downgrade(database_url)
    bare = shape(connection)
    migrate(database_url)

    assert list(bare.tables) == ["alembic_version"]
    assert bare.triggers == bare.functions == []
    assert shape(connection) == before
    assert before.triggers


def test_the_migrations_are_one_line_numbered_in_order() -> None:
    config = Config()
    config.set_main_option("script_location", str(TOP / "migrations"))

    line = [one.revision for one in ScriptDirectory.from_config(config).walk_revisions()][::-1]
    names = sorted(path.name for path in python_files("migrations") if path.parts[1] == "versions")

    assert line == sorted(line)
    assert [number[0] for name in names if (number := re.match(r"\d+", name))] == line


_BEFORE_FLAWS = "0011"
"""The schema in which what came of a piece was one word."""


def test_what_came_of_pieces_is_carried_over_as_the_flaws_that_still_count(database_url: str) -> None:
    store = open_studio(database_url)
    crazed, healed, dunted, whole = (
        fired(store, outcome=one)
        for one in (Outcome.of(Flaw.CRAZED), Outcome.of(Flaw.PINHOLED), Outcome.of(Flaw.DUNTED), Outcome.GOOD)
    )
    fire_again(store, asked_by(ADA), healed, "pinholes")
    queue(store, asked_by(TOM), healed, "mid-range")
    again = started(store)
    put_in(store, asked_by(TOM), again, healed)
    unload(store, again, {healed: Outcome.GOOD})
    store.close()

    downgrade(database_url, _BEFORE_FLAWS)
    migrate(database_url)

    after = Store(database_url, lambda _many: 0)
    rows = {ref: after.read.pieces.row(code=ref) for ref in (crazed, healed, dunted, whole)}
    assert {ref: (str(row.outcome), row.piece.flaws) for ref, row in rows.items() if row} == {
        crazed: ("crazed", (Flaw.CRAZED,)),
        healed: ("good", ()),
        dunted: ("cracked", (Flaw.CRACKED,)),
        whole: ("good", ()),
    }
    after.close()


_BEFORE_MORE_COATS = "0015"
"""The schema in which wax was a slip with a trait, and a slip stood no more than its top cone."""


def test_slips_stand_any_heat_afterwards_and_wax_is_a_coat_of_its_own(
    database_url: str, connection: Connection
) -> None:
    slip = a_glaze("Chalk", coat=Coat.SLIP, family=Family.LOW_FIRE, cone_low="06", cone_high="04")
    store = open_studio(database_url, with_thing(with_thing(a_studio(), slip), a_glaze("Line wax", coat=Coat.WAX)))
    shelved, waits = bisqued(store), bisqued(store)
    for ref in (shelved, waits):
        glaze(store, asked_by(MIRA), ref, "Chalk", Zone.OUTSIDE)
        glaze(store, asked_by(MIRA), ref, "Plum Gloss", Zone.OUTSIDE)
    queue(store, asked_by(TOM), waits, "low-fire", accepts={"slip-on-fired-clay"})
    fresh = store.read.catalog().glaze("Line wax")
    store.close()

    downgrade(database_url, _BEFORE_MORE_COATS)
    glazes_then = connection.execute(text("SELECT coat, ceiling FROM glazes WHERE name IN ('Chalk', 'Plum Gloss')"))
    tops = {row.coat: row.ceiling for row in glazes_then}
    pots = set(connection.scalars(text("SELECT ceiling FROM pieces")))
    connection.rollback()
    migrate(database_url)

    after = Store(database_url, lambda _many: 0)
    low = Cone.parse("04")
    known = after.read.catalog()
    assert (tops, pots) == ({"slip": low.rank, "glaze": low.rank}, {low.rank})
    assert (known.glaze("Chalk").cone_high, known.glaze("Chalk").ceiling) == (low, CONES[-1])
    assert known.glaze("Line wax") == fresh
    after.close()
    assert check(database_url) == ()
