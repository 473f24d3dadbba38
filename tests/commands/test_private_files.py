"""Whatever Footring writes is its owner's alone, also where the system would let everybody in."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.commands.conftest import Run
from tests.photographed import photographed
from tests.staffed import MIRA, bisqued, open_studio
from tracker.store.unit_of_work import Store


@pytest.fixture(autouse=True)
def _open_to_all() -> Iterator[None]:
    before = os.umask(0)
    yield
    os.umask(before)


def _open_to_others(folder: Path) -> list[str]:
    return [str(path.relative_to(folder)) for path in sorted(folder.rglob("*")) if path.stat().st_mode & 0o077]


def test_what_the_commands_write_is_for_its_owner_alone(run: Run, tmp_path: Path, sqlite_url: str) -> None:
    store = open_studio(sqlite_url)
    ref = bisqued(store)
    before = set(_open_to_others(tmp_path))
    Path("roster.csv").write_text("name,email,section,role\nPat Lee,pat@studio.example,,student\n", encoding="utf-8")
    own = {"roster.csv", *before}

    ran = [
        run("--database", sqlite_url, *words)
        for words in (
            ("import-roster", "roster.csv", "--passwords", "passwords.csv"),
            ("tags", ref, "--out", "tags.pdf"),
            ("export-studio", "studio.toml"),
            ("backup", "safe.db"),
        )
    ]
    photographed(store, ref, MIRA)
    restored = run("--database", "new/other.db", "restore", "safe.db")
    store.close()

    assert [one.exit_code for one in (*ran, restored)] == [0] * 5, [one.stderr for one in ran]
    assert {path.name for path in tmp_path.iterdir()} >= {"passwords.csv", "tags.pdf", "studio.toml", "safe.db", "new"}
    assert [path for path in _open_to_others(tmp_path) if path not in own] == []


def test_a_studio_of_an_earlier_version_is_closed_to_others_once_opened(tmp_path: Path, database_url: str) -> None:
    photos = str(tmp_path / "photos")
    store = open_studio(database_url, photos=photos)
    ref = bisqued(store)
    photographed(store, ref, MIRA)
    assert store.shelf is not None
    folder = store.shelf.folder
    for path in (folder, *folder.rglob("*"), *tmp_path.glob("*.sqlite*")):
        path.chmod(0o755 if path.is_dir() else 0o644)
    store.close()

    Store(database_url, lambda _: 7, photos=photos).close()

    assert not folder.stat().st_mode & 0o077
    assert [_open_to_others(folder), [one for one in _open_to_others(tmp_path) if "sqlite" in one]] == [[], []]
