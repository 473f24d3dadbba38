"""A check finds whatever is broken in a studio's database, and tells first what the next fire would ruin."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from tests.reading import said
from tests.staffed import open_studio
from tracker.domain.refusals import Unusable
from tracker.store import backup as keeping
from tracker.store import invariants

DAMAGE = {
    "stage-and-history-differ": ["UPDATE pieces SET stage = 'lost' WHERE id = 1"],
    "no-history": ["DELETE FROM history WHERE piece_id = 1"],
    "history-broken": ["UPDATE history SET start = 'fired' WHERE id = 4"],
    "line-of-no-request": ["DELETE FROM requests"],
    "queued-for-nothing": ["DELETE FROM loaded", "DELETE FROM waiting"],
    "waits-unqueued": ["UPDATE waiting SET piece_id = 1"],
    "waits-too-hot": ["UPDATE routes SET heat = 140 WHERE name = 'mid-range'"],
    "loaded-too-hot": ["UPDATE firings SET heat = 140"],
    "stronger-than-clay": ["UPDATE pieces SET ceiling = 140 WHERE id = 1"],
    "glaze-above-its-cones": ["UPDATE glazes SET ceiling = 140 WHERE name = 'Plum Gloss'"],
    "weaker-than-its-parts": ["UPDATE pieces SET ceiling = -220 WHERE id = 1"],
    "stronger-than-layer": ["UPDATE pieces SET ceiling = 100 WHERE id = 4"],
    "bare-with-a-layer": ["UPDATE pieces SET stage = 'bisqued' WHERE id = 4"],
    "in-an-unloaded-firing": ["UPDATE firings SET stage = 'unloaded'"],
    "not-out-of-its-kiln": ["UPDATE firings SET stage = 'firing'"],
    "caught-nowhere": ["UPDATE firings SET stage = 'loading'"],
    "fired-without-outcome": ["DELETE FROM results"],
    "code-never-issued": ["UPDATE pieces SET code = 'QUERN' WHERE id = 2"],
    "unfit-in-a-queue": ["UPDATE routes SET heat = 140 WHERE name = 'mid-range'"],
    "row-points-nowhere": ["DELETE FROM people WHERE id = 4"],
    "file-damaged": ["UPDATE pieces SET height_mm = -1 WHERE id = 1"],
}


@pytest.fixture
def damaged(sqlite_url: str, busy_room: Path) -> sqlite3.Connection:
    """A busy studio's file, with everything switched off that would keep damage out of it."""
    path = shutil.copyfile(busy_room / "source.sqlite", sqlite_url.removeprefix("sqlite:///"))
    shutil.copytree(busy_room / "source.sqlite-photos", f"{path}-photos")
    file = sqlite3.connect(path, isolation_level=None)
    file.execute("PRAGMA ignore_check_constraints = ON")
    for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        file.execute(f"DROP TRIGGER {name}")
    return file


@pytest.mark.parametrize(("code", "statements"), [pytest.param(code, done, id=code) for code, done in DAMAGE.items()])
def test_a_check_finds(damaged: sqlite3.Connection, sqlite_url: str, code: str, statements: list[str]) -> None:
    assert keeping.check(sqlite_url) == ()

    for statement in statements:
        damaged.execute(statement)
    damaged.close()

    found = keeping.check(sqlite_url)
    assert code in {one.code for one in found}
    assert all(map(said, found))


def test_a_check_tells_first_what_the_next_fire_would_ruin(damaged: sqlite3.Connection, sqlite_url: str) -> None:
    damaged.execute("DELETE FROM people WHERE id = 4")
    damaged.execute("DELETE FROM requests")
    damaged.execute("UPDATE firings SET heat = 140")
    damaged.close()

    codes = [one.code for one in keeping.check(sqlite_url)]

    first = [one.code for one in invariants.HEAT_AND_QUEUES]
    hot = codes.index("loaded-too-hot")
    assert hot < codes.index("row-points-nowhere") < codes.index("line-of-no-request")
    assert set(codes[:hot]) <= set(first)


def test_every_invariant_has_its_damage() -> None:
    assert {one.code for one in invariants.INVARIANTS} <= set(DAMAGE)


def test_a_check_says_that_a_file_is_damaged_whose_pages_cannot_be_read(sqlite_url: str) -> None:
    open_studio(sqlite_url).close()
    file = Path(sqlite_url.removeprefix("sqlite:///"))
    whole = file.read_bytes()
    file.write_bytes(whole[:8192] + bytes(range(256)) * 64 + whole[8192 + 256 * 64 :])

    assert keeping.check(sqlite_url)[0].code in {"file-damaged", "rest-unreadable"}


def test_a_check_of_what_is_no_database_is_refused(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("Dear studio, " * 400)

    with pytest.raises(Unusable):
        keeping.check(str(tmp_path / "letter.txt"))
