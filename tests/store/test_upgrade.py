"""An upgrade is whole, keeps a backup from before it, and says how to get back where it can't be done."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, create_engine, event, inspect, make_url, text

from tests.photographed import photographed
from tests.staffed import (
    ADA,
    MIRA,
    TOM,
    asked_by,
    bisqued,
    open_studio,
    queued,
    started,
    studio_store,
    the_piece,
    unload,
)
from tests.store.test_backup import everything
from tests.studio import a_new_piece
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Piece, Stage
from tracker.domain.refusals import Unusable
from tracker.domain.studio.materials import Zone
from tracker.store import backup as keeping
from tracker.store.locks import upgrading
from tracker.store.presence import must_be_current
from tracker.store.schema import downgrade, drift, migrate, newest
from tracker.store.unit_of_work import Store
from tracker.store.upgrade import Upgraded, upgrade
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pieces
from tracker.usecases.pieces.later_flaws import note_flaws

NOW = datetime(2026, 11, 30, 9, 54, tzinfo=UTC)
OLDER = "0024"


class PulledPlug(Exception):
    """Somebody pulls the plug."""


@pytest.fixture(params=["sqlite", "postgresql"])
def engine(request: pytest.FixtureRequest) -> str:
    """The engine that a test goes on, each in turn."""
    name: str = request.param
    return name


@pytest.fixture
def bare_url(request: pytest.FixtureRequest, tmp_path: Path, engine: str) -> str:
    """The URL of a database in which nothing is yet."""
    if engine == "sqlite":
        return f"sqlite:///{tmp_path / 'bare.sqlite'}"
    room: Callable[[str, str], str] = request.getfixturevalue("postgres_room")
    return room(f"bare_{request.getfixturevalue('worker_id')}", "template0")


def test_migrations_that_are_stopped_anywhere_go_on_from_the_last_whole_one(bare_url: str) -> None:
    left, stops = [0], 0

    def pull(*_of_the_statement: Any) -> None:  # noqa: ANN401 -- SQLAlchemy's own
        left[0] -= 1
        if left[0] < 0:
            raise PulledPlug

    event.listen(Engine, "before_cursor_execute", pull)
    try:
        # The first migration alone has some 75 statements; each try comes further than the one before.
        for left[0] in range(30, 1_000, 37):
            try:
                migrate(bare_url)
                break
            except PulledPlug:
                stops += 1
    finally:
        event.remove(Engine, "before_cursor_execute", pull)

    assert stops > 2
    drift(bare_url)


def _with_a_photo(url: str, attic: Path) -> None:
    """A studio with a photo, in an older schema."""
    store = open_studio(url, photos=str(attic))
    photographed(store, bisqued(store), MIRA)
    store.close()
    downgrade(url, OLDER)


@pytest.fixture(scope="module")
def older_sqlite(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with such a studio and its photo, to be copied."""
    room = tmp_path_factory.mktemp("older")
    _with_a_photo(f"sqlite:///{shutil.copyfile(sqlite_template, room / 'studio.sqlite')}", room / "attic")
    return room


@pytest.fixture(scope="module")
def older_postgres(
    postgres_room: Callable[[str, str], str],
    postgres_template: str,
    worker_id: str,
    tmp_path_factory: pytest.TempPathFactory,
) -> tuple[str, Path]:
    """The name of a PostgreSQL database with such a studio, to be copied, and the folder with its photo."""
    name, attic = f"older_{worker_id}", tmp_path_factory.mktemp("older") / "attic"
    _with_a_photo(postgres_room(name, postgres_template), attic)
    return name, attic


@pytest.fixture
def older(request: pytest.FixtureRequest, tmp_path: Path, engine: str) -> str:
    """The URL of a studio with a photo, in an older schema."""
    if engine == "sqlite":
        shutil.copytree(request.getfixturevalue("older_sqlite"), tmp_path, dirs_exist_ok=True)
        return f"sqlite:///{tmp_path / 'studio.sqlite'}"
    template, attic = request.getfixturevalue("older_postgres")
    # The photos of a database lie in a folder of its name.
    shutil.copytree(attic / template, tmp_path / "attic" / (copy := f"{template}_copy"))
    room: Callable[[str, str], str] = request.getfixturevalue("postgres_room")
    return room(copy, template)


def upgraded(url: str, tmp_path: Path) -> Upgraded | None:
    """Upgrade as `footring upgrade` does."""
    return upgrade(url, tmp_path, at=NOW, photos=str(tmp_path / "attic"))


def run(url: str, statement: str) -> None:
    """Run one statement in a database, without the tool's own manners."""
    plain = create_engine(url)
    with plain.begin() as connection:
        connection.execute(text(statement))
    plain.dispose()


def everything_in(url: str) -> list[str]:
    """What the tables are, with their columns, and how many rows each has."""
    plain = create_engine(url)
    with plain.connect() as connection:
        seen = inspect(connection)
        found = [
            f"{name} {[column['name'] for column in seen.get_columns(name)]} "
            f"{connection.scalar(text(f'SELECT count(*) FROM {name}'))}"
            for name in sorted(seen.get_table_names())
        ]
    plain.dispose()
    return found


def test_an_upgrade_first_writes_a_backup_that_brings_the_studio_back(older: str, tmp_path: Path) -> None:
    attic = str(tmp_path / "attic")
    with pytest.raises(Unusable, match="database-older"):
        must_be_current(older)

    done = upgraded(older, tmp_path)

    assert done is not None
    assert (done.before, done.after, done.backup.parent) == (OLDER, newest(), tmp_path)
    assert f"-{OLDER}-20261130-095400" in done.backup.name
    assert upgraded(older, tmp_path) is None
    assert keeping.check(older, photos=attic) == ()
    keeping.restore(str(tmp_path / "again.sqlite"), done.backup)
    assert without_cards(str(tmp_path / "again.sqlite")) == without_cards(older)


def without_cards(url: str) -> dict[str, list[dict[str, Any]]]:
    """All rows of a database, but for the maker cards that each upgrade draws anew."""
    rows: dict[str, list[dict[str, Any]]] = everything(url)
    return rows | {"people": [{**one, "card": None} for one in rows["people"]]}


def test_of_two_that_upgrade_at_once_one_does_and_the_other_waits(older: str, tmp_path: Path) -> None:
    with ThreadPoolExecutor(2) as pool:
        with upgrading(older):
            both = [pool.submit(upgraded, older, tmp_path) for _ in range(2)]
            assert not any(one.done() for one in both)
        done = [one.result(60) for one in both]

    assert sorted(one is None for one in done) == [False, True]
    assert len(list(tmp_path.glob("*.backup"))) == 1


def test_a_database_that_an_older_footring_left_half_made_is_told_with_the_backup_to_restore(
    older: str, tmp_path: Path
) -> None:
    run(older, "ALTER TABLE prints ADD COLUMN of_ticket BOOLEAN")
    before = everything_in(older)

    with pytest.raises(Unusable, match="database-half-made") as first:
        upgraded(older, tmp_path)
    assert list(tmp_path.glob("*.backup")) == []
    earlier = tmp_path / f"{Path(make_url(older).database or '').name}-0021-20260601-080000.backup"
    earlier.touch()
    with pytest.raises(Unusable, match="database-half-made") as second:
        upgraded(older, tmp_path)

    assert first.value.remedy is not None
    assert second.value.remedy is not None
    assert (first.value.remedy.code, dict(second.value.remedy.facts)["file"]) == ("restore-your-last", str(earlier))
    assert everything_in(older) == before
    with pytest.raises(Unusable, match="database-older"):
        must_be_current(older)


def test_a_database_of_a_newer_footring_is_told_with_the_backup_from_before(older: str, tmp_path: Path) -> None:
    done = upgraded(older, tmp_path)
    run(older, "UPDATE alembic_version SET version_num = '9999'")

    with pytest.raises(Unusable) as refused:
        upgraded(older, tmp_path)

    assert done is not None
    assert refused.value.code == "database-newer"
    assert refused.value.remedy is not None
    assert dict(refused.value.remedy.facts)["file"] == str(done.backup)


def test_an_old_schema_can_be_backed_up_before_its_upgrade(older: str, tmp_path: Path) -> None:
    for version in ("0018", "0004"):
        downgrade(older, version)
        keeping.backup(older, tmp_path / version, photos=str(tmp_path / "attic"))
        keeping.check_backup(tmp_path / version)


def test_a_crack_that_a_bisque_left_before_flaws_were_kept_is_carried_over(database_url: str) -> None:
    store = open_studio(database_url)
    cracked, mended, never = [out_of_a_bisque(store, Outcome.of(Flaw.S_CRACK, Flaw.WARPED)) for _ in range(3)]
    pieces.glaze(store, asked_by(TOM), mended.ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(store, asked_by(TOM), mended.ref, "mid-range")
    firing = started(store)
    firings.put_in(store, asked_by(TOM), firing, mended.ref)
    unload(store, firing, {mended.ref: Outcome.GOOD})
    note_flaws(store, asked_by(TOM), mended.ref, ())
    pieces.correct(store, asked_by(ADA), never.ref, Stage.GREENWARE, "It was another bowl.")
    store.close()
    downgrade(database_url, "0034")
    run(database_url, "UPDATE pieces SET flaws = NULL, mended = FALSE")

    migrate(database_url)

    again = studio_store(database_url)
    kept = [(one.flaws, one.mended) for piece in (cracked, mended, never) for one in [the_piece(again, f"W{piece.id}")]]
    again.close()
    assert kept == [((Flaw.S_CRACK, Flaw.WARPED), True), ((), False), ((), False)]


def test_what_a_bisque_left_wrong_besides_cracks_is_carried_over(database_url: str) -> None:
    store = open_studio(database_url)
    bent = Outcome.of(Flaw.SLUMPED, Flaw.OVERFIRED)
    bare, glazed_since, never = [out_of_a_bisque(store, bent) for _ in range(3)]
    pieces.glaze(store, asked_by(TOM), glazed_since.ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(store, asked_by(TOM), glazed_since.ref, "mid-range")
    firing = started(store)
    firings.put_in(store, asked_by(TOM), firing, glazed_since.ref)
    unload(store, firing, {glazed_since.ref: Outcome.of(Flaw.CRAZED)})
    pieces.correct(store, asked_by(ADA), never.ref, Stage.GREENWARE, "It was another bowl.")
    before = [the_piece(store, piece.ref).flaws for piece in (bare, glazed_since)]
    store.close()
    downgrade(database_url, "0055")
    run(database_url, "UPDATE pieces SET flaws = NULL WHERE flaws NOT LIKE '%crazed%'")
    run(database_url, "UPDATE pieces SET flaws = 'crazed' WHERE flaws LIKE '%crazed%'")

    migrate(database_url)

    again = studio_store(database_url)
    kept = [the_piece(again, f"W{piece.id}").flaws for piece in (bare, glazed_since, never)]
    again.close()
    assert before == [(Flaw.SLUMPED, Flaw.OVERFIRED), (Flaw.CRAZED, Flaw.SLUMPED)]
    assert kept == [*before, ()]


def test_shivering_that_an_older_footring_left_outside_counts_and_what_staff_took_off_does_not(
    database_url: str,
) -> None:
    store = open_studio(database_url)
    at_once, later, taken_off, crazed = [queued(store) for _ in range(4)]
    shivered = Outcome((Flaw.CRAZED, Flaw.SHIVERED, Flaw.STUCK), outside_only=True)
    came = {at_once: shivered, later: Outcome.GOOD, taken_off: shivered, crazed: Outcome.of(Flaw.CRAZED)}
    firing = started(store)
    for ref in came:
        firings.put_in(store, asked_by(TOM), firing, ref)
    unload(store, firing, came)
    note_flaws(store, asked_by(TOM), later, [Flaw.SHIVERED], outside_only=True)
    note_flaws(store, asked_by(TOM), taken_off, ())
    store.close()
    downgrade(database_url, "0050")
    run(database_url, "UPDATE pieces SET flaws = replace(replace(flaws, 'shivered,', ''), 'shivered', '')")
    run(database_url, "UPDATE pieces SET flaws = NULL WHERE flaws = ''")

    migrate(database_url)

    again = studio_store(database_url)
    kept = [the_piece(again, ref).flaws for ref in came]
    again.close()
    assert kept == [(Flaw.SHIVERED, Flaw.STUCK), (Flaw.SHIVERED,), (), (Flaw.CRAZED,)]


def out_of_a_bisque(store: Store, outcome: Outcome) -> Piece:
    """A piece that came out of a bisque so."""
    slip = pieces.register(store, asked_by(MIRA), a_new_piece()).ref
    firing = started(store, "Front box", "bisque", "06")
    firings.put_in(store, asked_by(TOM), firing, slip, dry=True)
    unload(store, firing, {slip: outcome})
    return the_piece(store, slip)


def test_each_section_word_becomes_a_section_of_no_term_and_a_word_again(database_url: str) -> None:
    store = open_studio(database_url)
    before = {one.email: one.section for one in store.read.people.listed()}
    store.close()
    downgrade(database_url, "0045")

    migrate(database_url)

    again = studio_store(database_url)
    assert {one.email: one.section for one in again.read.people.listed()} == before
    there = {(one.name, one.term_id) for one in again.read.terms.sections()}
    assert there == {(word, None) for word in before.values() if word}
    again.close()
