"""A backup brings back everything, on the same engine and the other."""

from __future__ import annotations

import secrets
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from tests.photographed import photographed, tiled
from tests.reading import said
from tests.staffed import (
    ADA,
    INES,
    MIRA,
    TOM,
    asked_by,
    bisqued,
    fired,
    glazed,
    open_studio,
    queued,
    started,
    tags_printed,
)
from tests.studio import NOON, a_new_piece
from tests.yard import fire_round, planned_session
from tracker.domain.cones import Cone
from tracker.domain.firing.firings import Caught, FiringStage, KeptPlan, Leaving
from tracker.domain.firing.unloading import TakenOut
from tracker.domain.message import Message
from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import Refusal, Unusable
from tracker.domain.studio.people import NewPerson
from tracker.domain.studio.terms import NewTerm
from tracker.store import backup as keeping
from tracker.store.backup_seal import seal
from tracker.store.engine import open_engine
from tracker.store.locks import serving
from tracker.store.pieces.photo_shelf import shelf_for
from tracker.store.rooms import room_in
from tracker.store.tables import IN_ORDER
from tracker.store.unit_of_work import Change, Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pickup, pieces, registrations, stocktaking, ware_shelves, wishes
from tracker.usecases.rules import answers_taken_back, questions
from tracker.usecases.studio import joining, mailing, membership
from tracker.usecases.studio.terms import add_term


def busy(url: str, photos: str = "") -> None:
    """A studio in the middle of its day: something in every table and at every stage."""
    store = open_studio(url, photos=photos)
    pieces.register(store, asked_by(MIRA), a_new_piece("moon vase — “Œuf” 💧"))
    bisqued(store)
    pieces.wax(store, asked_by(MIRA), bisqued(store))
    asked = questions.ask(store, asked_by(MIRA), glazed(store), "Is this mine?").extra["question"]
    questions.answer(store, asked_by(ADA), int(asked), "It isn't.", allows=False)
    answers_taken_back.take_back_answer(store, asked_by(ADA), int(asked))
    questions.answer(store, asked_by(ADA), int(asked), "It is.", allows=True)
    _write_letters(url)
    pickup.hand_over(store, asked_by(TOM), fired(store))
    pieces.lose(store, asked_by(TOM), queued(store), "missing")
    firings.put_in(store, asked_by(TOM), started(store), queued(store))
    _fill_the_kiln_book(store)
    _count_a_shelf(store)
    queued(store, "Ember Luster", route="raku")
    refused = Message("refused", "No.")
    store.refused_scans.keep(asked_by(TOM), "W1", {"step": "wax"}, refused, refused, None)
    wishes.wish(store, asked_by(MIRA), glazed(store), "mid-range")
    fire_round(store, planned_session(store))
    photographed(store, "W1", MIRA, "from above")
    tiled(store, "Still Water", ADA)
    add_term(store, asked_by(ADA), NewTerm(name="Spring", starts_on=NOON.date(), ends_on=NOON.date()))
    joining.make_link(store, asked_by(ADA), 1, NOON.date(), asks_first=True)
    link = store.read.joining.link_of(1)
    assert link is not None
    joining.ask_to_join(store, link, "Lea Moor", "lea@x.edu", "a heron on one leg", at=NOON, address="10.0.0.7")
    store.accounts.begin_session("a" * 64, MIRA.id, asked_by(MIRA).at, asked_by(MIRA).at)
    store.badges.issue(TOM.id, "UCDEFGHKLNU", "a hash of no PIN", by_id=ADA.id, at=asked_by(ADA).at)
    store.accounts.note_try(MIRA.email, "10.0.0.7", asked_by(MIRA).at, is_address=True)
    tags_printed(store, asked_by(TOM), "W1")
    store.close()


def _write_letters(url: str) -> None:
    """A maker's mail about a piece that waits to be sent, and somebody's link for a new password."""
    with closing(Store(url, secrets.randbelow, sends_mail=True)) as store:
        fired(store)
        store.outbox.keep_link("b" * 64, INES.id, NOON, NOON + timedelta(minutes=30))


def _fill_the_kiln_book(store: Store) -> None:
    """A firing with a log, a witness cone and a correction; a piece that must leave or can't; a question taken back."""

    def work(change: Change) -> Receipt:
        firing = change.book.begin("Front box", "low-fire", 8, is_bisque=False, stage=FiringStage.PLANNED)
        change.book.plan(firing, [1], KeptPlan())
        change.book.log(firing, {0: 20.0, 600: 45.5})
        change.book.note_witnesses(firing, [(1, 8, "self-supporting", "half")])
        change.book.note_correction(firing, TOM.id, Message("start-changed", "Start: {was}.", was=NOON))
        loading = change.book.begin("Front box", "low-fire", 8, is_bisque=False, stage=FiringStage.LOADING)
        change.cones.note("firing", str(loading), "cone", Cone.parse("5"), Cone.parse("05"))
        change.questions.take_back(change.questions.ask(1, None, "Is this mine too?", ()))
        change.book.keep_taken_out(loading, 1, TakenOut(None), TOM.id)
        change.book.must_leave(Leaving(piece_id=1, firing_id=loading, findings=(), version=1))
        hot = change.book.begin("Front box", "low-fire", 8, is_bisque=False, stage=FiringStage.FIRING)
        change.book.catch(Caught(piece_id=1, firing_id=hot, findings=(), loaded_at=NOON))
        return Receipt(message=Message("written", "Done."))

    store.once(asked_by(TOM), "write", work)


def _count_a_shelf(store: Store) -> None:
    """A shelf on record that is being counted, with a piece on it that was registered twice."""
    shelf = "rack 7"
    ware_shelves.add_shelf(store, asked_by(TOM), shelf)
    number = int(stocktaking.begin_stocktake(store, asked_by(TOM), shelf).extra["stocktake"])
    ref = bisqued(store)
    stocktaking.scan_in_stocktake(store, asked_by(TOM), number, ref)
    registrations.merge(store, asked_by(TOM), ref, bisqued(store))


def everything(url: str) -> dict[str, list[dict[str, Any]]]:
    """Every row of every table."""
    engine = open_engine(url)
    with engine.connect() as connection:
        rows = {
            table.name: [dict(row) for row in connection.execute(select(table).order_by(*table.primary_key)).mappings()]
            for table in IN_ORDER
        }
    engine.dispose()
    return rows


def pictures(url: str, folder: str = "") -> dict[str, bytes]:
    """Every file on a database's shelf of photos, by its name."""
    shelf = shelf_for(url, folder)
    assert shelf is not None
    return {path.name: path.read_bytes() for path in shelf.folder.rglob("*") if path.is_file()}


@pytest.fixture
def backed_up(busy_room: Path, tmp_path: Path) -> Path:
    """A backup of a busy studio, beside the studio itself."""
    return shutil.copytree(busy_room, tmp_path, dirs_exist_ok=True) / "kept.footring"


@pytest.mark.parametrize(("source", "target"), [("sqlite", "postgresql"), ("postgresql", "sqlite")])
def test_a_backup_restored_is_equal_table_by_table(
    request: pytest.FixtureRequest, tmp_path: Path, source: str, target: str
) -> None:
    first = request.getfixturevalue("sqlite_url" if source == "sqlite" else "postgres_url")
    attic = str(tmp_path / "attic")
    busy(first, attic)
    before = everything(first)
    path = tmp_path / "kept.footring"
    told: list[tuple[int, int]] = []

    keeping.backup(first, path, lambda *done: told.append(done), photos=attic)
    second = str(tmp_path / "second.sqlite")
    if target == "postgresql":
        room, template = request.getfixturevalue("postgres_room"), request.getfixturevalue("postgres_template")
        second = room(f"restored_{request.getfixturevalue('worker_id')}", template)
    keeping.restore(second, path, lambda *done: told.append(done), photos=attic)

    assert all(before.values())
    assert everything(second) == before
    assert told
    assert told[-1][0] == told[-1][1] > 0
    assert keeping.check(second, photos=attic) == ()
    assert pictures(second, attic) == pictures(first, attic) != {}
    assert sorted(found.name for found in tmp_path.iterdir() if found.name.startswith(".footring")) == []


def test_a_restored_studio_goes_on_numbering_where_it_stopped(
    postgres_url: str, backed_up: Path, tmp_path: Path
) -> None:
    keeping.restore(postgres_url, backed_up, photos=str(tmp_path / "attic"))
    store = open_store(postgres_url)

    receipt = pieces.register(store, asked_by(MIRA), a_new_piece())

    assert receipt.piece_id == 1 + max(row["id"] for row in everything(str(backed_up))["pieces"])
    store.close()


def open_store(url: str) -> Any:  # noqa: ANN401 -- a Store
    """A store over a studio that already exists."""
    from tracker.store.unit_of_work import Store  # noqa: PLC0415 -- the one test that opens one by hand

    return Store(url, lambda _: 7)


@pytest.mark.parametrize("drops", [True, False])
def test_mail_unsent_in_a_backup_goes_out_of_a_restored_one_only_where_that_is_asked_for(
    sqlite_url: str, tmp_path: Path, *, drops: bool
) -> None:
    open_studio(sqlite_url).close()
    with closing(Store(sqlite_url, secrets.randbelow, sends_mail=True)) as store:
        bisqued(store)
        membership.enrol(store, asked_by(ADA), [NewPerson(name="Nia Ost", email="nia@studio.example")])
    keeping.backup(sqlite_url, tmp_path / "kept.footring")

    url = f"sqlite:///{tmp_path / 'second.sqlite'}"
    late = NOON + timedelta(days=50)
    dropped = keeping.restore(url, tmp_path / "kept.footring", drops_mail_at=late if drops else None)

    with closing(Store(url, secrets.randbelow, sends_mail=True)) as store:
        unsent = store.outbox.claim(NOON)
        mailing.remind(store, late)
        reminder = store.outbox.claim(late + timedelta(days=1))
    assert (dropped, unsent is None, reminder is None) == ((1, True, True) if drops else (0, False, False))


def test_a_backup_is_never_overwritten(backed_up: Path, tmp_path: Path) -> None:
    before = backed_up.read_bytes()

    with pytest.raises(Unusable, match="backup-there"):
        keeping.backup(str(tmp_path / "source.sqlite"), backed_up)

    assert backed_up.read_bytes() == before


def test_what_holds_no_studio_is_not_backed_up(sqlite_url: str, tmp_path: Path) -> None:
    for database in (str(tmp_path / "nowhere.sqlite"), "sqlite:///" + str(tmp_path / "nowhere.sqlite")):
        with pytest.raises(Unusable):
            keeping.backup(database, tmp_path / "kept.footring")

    assert not (tmp_path / "nowhere.sqlite").exists()
    assert not (tmp_path / "kept.footring").exists()


def test_a_studio_is_never_restored_over(backed_up: Path, tmp_path: Path) -> None:
    before = everything(str(tmp_path / "source.sqlite"))

    with pytest.raises(Unusable, match="holds-a-studio"):
        keeping.restore(str(tmp_path / "source.sqlite"), backed_up)

    assert everything(str(tmp_path / "source.sqlite")) == before


def _spoil(path: Path, how: str) -> None:
    whole = path.read_bytes()
    if how == "cut short":
        path.write_bytes(whole[: len(whole) // 2])
    elif how == "its last line lost":
        path.write_bytes(whole[: whole.rindex(b"\n", 0, -1)])
    elif how == "one bit turned":
        path.write_bytes(whole[:-9000] + bytes([whole[-9000] ^ 1]) + whole[-8999:])
    elif how == "scribbled over":
        path.write_bytes(whole[:8192] + bytes(range(256)) * 64 + whole[8192 + 256 * 64 :])
    elif how == "a letter":
        path.write_text("Dear studio, here is my backup.")
    elif how == "empty":
        path.write_bytes(b"")
    else:
        with closing(sqlite3.connect(path)) as file:
            for statement in _SPOILT_BY[how]:
                file.execute(statement)
            file.commit()
        seal(path)


_SPOILT_BY = {
    "another program's": ["DROP TABLE house"],
    "from a newer Footring": ["UPDATE alembic_version SET version_num = '9999'"],
    "meddled with": ["DROP TRIGGER history_is_not_removed", "DELETE FROM history WHERE piece_id = 1"],
}


_SAYS = {
    "cut short": "backup-cut-short",
    "its last line lost": "backup-cut-short",
    "one bit turned": "backup-damaged",
    "scribbled over": "backup-damaged",
    "a letter": "not-a-backup",
    "empty": "backup-cut-short",
    "another program's": "not-a-backup",
    "from a newer Footring": "backup-newer",
    "meddled with": "backup-damaged",
}


@pytest.fixture
def whole_backup(busy_room: Path) -> Path:
    """A backup of a busy studio, to be copied and never changed."""
    return busy_room / "kept.footring"


@pytest.mark.parametrize("how", _SAYS)
def test_a_file_that_is_no_whole_backup_is_refused_and_nothing_restored(
    whole_backup: Path, tmp_path: Path, how: str
) -> None:
    path = Path(shutil.copyfile(whole_backup, tmp_path / "kept.footring"))
    _spoil(path, how)

    for look in (keeping.check_backup, lambda path: keeping.restore(str(tmp_path / "second.sqlite"), path)):
        with pytest.raises(Refusal) as refused:
            look(path)
        problem = refused.value.problems[0] if isinstance(refused.value, Unusable) else refused.value.message
        assert problem.code == _SAYS[how]
        assert str(path) in said(problem)

    assert not (tmp_path / "second.sqlite").exists()


def test_a_look_at_a_backup_leaves_it_as_it_is(whole_backup: Path, tmp_path: Path) -> None:
    path = Path(shutil.copyfile(whole_backup, tmp_path / "kept.footring"))
    before = path.read_bytes()

    keeping.check_backup(path)
    with pytest.raises(Unusable, match="is-a-backup"):
        keeping.check(str(path))

    assert path.read_bytes() == before
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def test_a_backup_ends_while_somebody_writes_without_a_pause(sqlite_url: str, tmp_path: Path) -> None:
    file = sqlite_url.removeprefix("sqlite:///")
    open_studio(sqlite_url).close()
    with closing(sqlite3.connect(file, isolation_level=None)) as writer:
        writer.execute("CREATE TABLE ballast (what BLOB)")
        writer.execute("INSERT INTO ballast VALUES (zeroblob(8000000))")
        steps = []

        def write(done: int, total: int) -> None:
            writer.execute("UPDATE ballast SET what = zeroblob(8000000)")
            steps.append(done)
            assert len(steps) <= 1 + total // 500, "the copy began again"

        keeping.backup(sqlite_url, tmp_path / "kept.footring", write)

    assert len(steps) > 2


def test_what_a_killed_backup_left_goes_with_the_next_and_one_under_way_stays(sqlite_url: str, tmp_path: Path) -> None:
    open_studio(sqlite_url).close()
    (tmp_path / ".footring-killed").mkdir()
    (tmp_path / ".footring-killed" / "backup.db").write_bytes(b"half")

    with room_in(tmp_path) as under_way:
        keeping.backup(sqlite_url, tmp_path / "kept.footring")
        assert sorted(tmp_path.glob(".footring-*")) == [under_way]


def test_of_the_backups_in_a_folder_the_newest_are_kept_and_nothing_else_is_touched(
    sqlite_url: str, tmp_path: Path
) -> None:
    open_studio(sqlite_url).close()
    folder = tmp_path / "nightly"
    folder.mkdir()
    strange = ["studio-20250101-000000.backup.txt", "other-20250101-000000.backup", "notes.txt"]
    for name in (*strange, "studio-20250101-000000.backup", "studio-20250102-000000.backup"):
        (folder / name).touch()

    made, gone = keeping.backup_among(folder, sqlite_url, at=datetime(2026, 3, 1, 2, 30, tzinfo=UTC), keep=2)

    assert (made.name, gone) == ("studio-20260301-023000.backup", 1)
    assert {one.name for one in folder.iterdir()} == {*strange, made.name, "studio-20250102-000000.backup"}
    keeping.check_backup(made)


def test_nothing_is_restored_while_pages_are_served(database_url: str, whole_backup: Path, tmp_path: Path) -> None:
    attic = str(tmp_path / "attic")
    with serving(database_url), serving(database_url), pytest.raises(Unusable, match="being-served"):
        keeping.restore(database_url, whole_backup, photos=attic)

    keeping.restore(database_url, whole_backup, photos=attic)
    assert keeping.check(database_url, photos=attic) == ()


def test_a_backup_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Unusable, match="no-such-backup"):
        keeping.restore(str(tmp_path / "second.sqlite"), tmp_path / "nothing")


def test_a_restore_that_fails_half_way_leaves_nothing_behind(backed_up: Path, tmp_path: Path) -> None:
    class PulledPlug(Exception):
        """Somebody pulls the plug."""

    def pull(done: int, total: int) -> None:
        if done > total // 2:
            raise PulledPlug

    with pytest.raises(PulledPlug):
        keeping.restore(str(tmp_path / "second.sqlite"), backed_up, pull)

    assert not any(everything(str(tmp_path / "second.sqlite")).values())
    keeping.restore(str(tmp_path / "second.sqlite"), backed_up)
    assert keeping.check(str(tmp_path / "second.sqlite")) == ()
