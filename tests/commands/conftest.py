"""A way to run the commands, and a studio to run them on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests.forms.studio.studio_example import STUDIO
from tracker.cli import main

Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run a command in an empty folder; what it raises beside its own exit rises."""
    monkeypatch.chdir(tmp_path)
    runner = CliRunner()

    def run_it(*words: str, says: bytes | None = None) -> Result:
        return runner.invoke(main, words, input=says, catch_exceptions=False)

    return run_it


@pytest.fixture
def studio_file(tmp_path: Path) -> Path:
    """An invented studio's file."""
    path = tmp_path / "studio.toml"
    path.write_text(STUDIO, encoding="utf-8")
    return path


@pytest.fixture
def studio(run: Run, studio_file: Path, database_url: str) -> str:
    """The URL of a database in which the invented studio has been set up, on either engine."""
    result = run(
        "--database",
        database_url,
        "init",
        "--studio",
        str(studio_file),
        "--instructor",
        "Ines Prado <ines@college.example>",
    )
    assert result.exit_code == 0, result.stderr
    return database_url
