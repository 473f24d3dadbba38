"""Whatever is wrong with a database, a backup or a disk, a command says it in one sentence or two and ends with 1."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.commands.conftest import Run
from tests.staffed import bisqued, open_studio
from tracker.store import backup as keeping
from tracker.store.locks import serving
from tracker.store.schema import versions

CLOSED = "postgresql://nobody@127.0.0.1:1/none"
"""A server that isn't there."""
CASES = (
    "--database nowhere/at/all.db check",
    "--database letter.txt/all.db serve",
    "--database nowhere.db upgrade",
    "--database nowhere.db backup kept.db",
    f"--database {CLOSED} check",
    f"--database {CLOSED} serve",
    f"--database {CLOSED} upgrade",
    f"--database {CLOSED} backup kept.db",
    f"--database {CLOSED} restore whole.backup",
    "--database . check",
    "--database letter.txt check",
    "--database letter.txt serve",
    "--database letter.txt upgrade",
    "--database letter.txt backup kept.db",
    "--database letter.txt restore whole.backup",
    "--database new.db restore letter.txt",
    "--database new.db restore half.backup",
    "--database nowhere/at/all.db restore letter.txt",
    "check letter.txt",
    "check half.backup",
    "--database whole.backup check",
    "--database whole.backup serve",
    "--database studio.db restore whole.backup",
    "--database studio.db backup nowhere/kept.db",
    "--database studio.db backup .",
    "--database studio.db backup --keep 3 nowhere",
    "--database studio.db backup --keep 3 letter.txt",
    "--database scribbled.db check",
    "--database scribbled.db backup kept.db",
    "--database newer.db upgrade",
    "--database newer.db serve",
    "--database newer.db check",
    "--database torn.db check",
    "--database halfway.db upgrade",
    "--database halfway.db serve",
)


@pytest.fixture(scope="module")
def shelf(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a studio, databases and backups with which something is wrong, and a letter."""
    folder = tmp_path_factory.mktemp("shelf")
    studio = shutil.copyfile(sqlite_template, folder / "studio.db")
    store = open_studio(str(studio))
    bisqued(store)
    store.close()
    keeping.backup(str(studio), folder / "whole.backup")
    whole = (folder / "whole.backup").read_bytes()
    (folder / "half.backup").write_bytes(whole[: len(whole) // 2])
    (folder / "letter.txt").write_text("Dear studio, " * 400, encoding="utf-8")
    database = studio.read_bytes()
    (folder / "scribbled.db").write_bytes(database[:8192] + bytes(range(256)) * 64 + database[8192 + 256 * 64 :])
    for name, statement in {
        "newer.db": "UPDATE alembic_version SET version_num = '9999'",
        "torn.db": "DROP TABLE history",
        # As an older Footring left it that was killed in a migration: its tables are there, its version isn't.
        "halfway.db": f"UPDATE alembic_version SET version_num = '{versions()[0]}'",
    }.items():
        with closing(sqlite3.connect(shutil.copyfile(studio, folder / name))) as file:
            file.execute(statement)
            file.commit()
    return folder


@pytest.mark.parametrize("words", CASES)
def test_a_command_that_cannot_go_on_says_why_in_a_line_and_ends_with_1(
    run: Run, shelf: Path, tmp_path: Path, words: str
) -> None:
    shutil.copytree(shelf, tmp_path, dirs_exist_ok=True)
    before = (tmp_path / "studio.db").read_bytes()

    result = run(*words.split())

    assert result.exit_code == 1, result.output
    assert result.stdout == ""
    assert 0 < len(result.stderr.splitlines()) <= 2, result.stderr
    assert len(result.stderr) < 600
    assert (tmp_path / "studio.db").read_bytes() == before
    assert not (tmp_path / "kept.db").exists()


def test_nothing_is_restored_while_somebody_serves(run: Run, shelf: Path, tmp_path: Path) -> None:
    shutil.copy(shelf / "whole.backup", tmp_path)

    with serving(str(tmp_path / "new.db")):
        result = run("--database", "new.db", "restore", "whole.backup")

    assert (result.exit_code, result.stdout) == (1, "")
    assert not (tmp_path / "new.db").exists()


def test_a_long_list_of_errors_ends_with_how_many_more_there_are(run: Run, shelf: Path, tmp_path: Path) -> None:
    shutil.copy(shelf / "studio.db", tmp_path)
    rows = "\n".join(f"Pat Oro,pat{one},Tue,student" for one in range(1_234))
    (tmp_path / "roster.csv").write_text(f"name,email,section,role\n{rows}\n", encoding="utf-8")

    result = run("--database", "studio.db", "import-roster", "roster.csv")

    lines = result.stderr.splitlines()
    assert result.exit_code == 1
    assert len(lines) < 30
    assert "1,2" in lines[-1]
