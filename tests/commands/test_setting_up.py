"""Setting up a studio and adding its people from the command line, on both engines."""

from __future__ import annotations

import csv
import json
import socket
import stat
from pathlib import Path

import pytest
from sqlalchemy import make_url

from tests.commands.conftest import Run
from tests.forms.studio.studio_example import STUDIO
from tests.staffed import open_studio
from tracker.domain.refusals import Unusable
from tracker.store.presence import must_be_current
from tracker.store.schema import downgrade
from tracker.store.unit_of_work import Store

ROSTER = "name,email,section,role\nMira Tann,mira@example.edu,Tuesday,student\nTom Vale,tom@example.edu,,staff\n"


def _people(database: str) -> list[str]:
    store = Store(database, lambda count: count - 1)
    try:
        return sorted(person.email for person in store.read.people.listed())
    finally:
        store.close()


def test_a_studio_is_set_up_with_its_first_instructor(run: Run, studio_file: Path, database_url: str) -> None:
    words = ("--studio", str(studio_file), "--instructor", "Ines Prado <Ines@College.example>", "--json")

    result = run("--database", database_url, "init", *words)

    answer = json.loads(result.stdout)
    assert (result.exit_code, answer["studio"], answer["email"]) == (0, "Marrow Lane", "ines@college.example")
    assert len(answer["password"]) > 10
    assert _people(database_url) == ["ines@college.example"]


def test_no_command_says_the_password_of_a_database(
    run: Run, studio_file: Path, postgres_url: str, tmp_path: Path
) -> None:
    there = make_url(postgres_url).set(password="a-word-of-its-own").render_as_string(hide_password=False)
    who = ("--studio", str(studio_file), "--instructor", "Bo <bo@x.edu>")

    said = [
        run("--database", there, *words)
        for words in [("init", *who), ("init", *who), ("upgrade",), ("check",), ("backup", str(tmp_path / "kept"))]
    ]
    said.append(run("--database", there, "restore", str(tmp_path / "kept")))

    assert [one.exit_code for one in said] == [0, 1, 0, 0, 0, 1]
    assert "a-word-of-its-own" not in "".join(one.output for one in said)


def test_a_studio_is_never_set_up_over_another(run: Run, studio: str, studio_file: Path) -> None:
    result = run("--database", studio, "init", "--studio", str(studio_file), "--instructor", "Bo <bo@x.edu>")

    assert result.exit_code == 1
    assert "already has a studio in it" in result.stderr
    assert _people(studio) == ["ines@college.example"]


def test_an_older_studio_is_not_upgraded_by_setting_up_another(run: Run, studio: str, studio_file: Path) -> None:
    downgrade(studio, "0024")

    result = run("--database", studio, "init", "--studio", str(studio_file), "--instructor", "Bo <bo@x.edu>")

    assert result.exit_code == 1
    with pytest.raises(Unusable, match="database-older"):
        must_be_current(studio)


def test_every_problem_in_a_studio_file_is_named_and_nothing_is_set_up(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "bad.toml"
    text = STUDIO.replace('cone_low = "5"', "cone_low = 5").replace("Lisbon", "Nowhere")
    file.write_text(text, encoding="utf-8")
    spoilt = [f"line {n}" for n, line in enumerate(text.splitlines(), 1) if "Nowhere" in line or "cone_low = 5" in line]

    result = run("--database", "new.db", "init", "--studio", str(file), "--instructor", "Bo <bo@x.edu>")

    assert result.exit_code == 1
    assert [line.split(":")[0] for line in result.stderr.splitlines()[:-1]] == spoilt
    assert not (tmp_path / "new.db").exists()


@pytest.mark.parametrize("who", ["Ines Prado", "<ines@x.edu>", "Ines <ines>", "Ines <ines@x.edu> Prado"])
def test_an_instructor_without_a_name_and_an_email_is_a_wrong_use(run: Run, studio_file: Path, who: str) -> None:
    result = run("--database", "new.db", "init", "--studio", str(studio_file), "--instructor", who)

    assert result.exit_code == 2
    assert "--instructor" in result.stderr


def test_a_file_that_is_not_text_is_refused_with_its_line(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "latin.toml"
    file.write_bytes(b'[studio]\nname = "Caf\xe9"\n')

    result = run("--database", "new.db", "init", "--studio", str(file), "--instructor", "Bo <bo@x.edu>")

    assert result.exit_code == 1
    assert "line 2: latin.toml isn't UTF-8 text." in result.stderr


def test_a_roster_is_imported_once_however_often_it_is_run(run: Run, studio: str, tmp_path: Path) -> None:
    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")

    no_term = run("--database", studio, "import-roster", "roster.csv", "--term", "Spring")
    first = run("--database", studio, "import-roster", "roster.csv", "--json")
    second = run("--database", studio, "import-roster", "roster.csv")

    assert (no_term.exit_code, no_term.stdout) == (1, "")
    added = json.loads(first.stdout)["added"]
    assert [(one["email"], one["role"]) for one in added] == [
        ("mira@example.edu", "student"),
        ("tom@example.edu", "staff"),
    ]
    assert second.stdout == "0 added, 0 changed, 2 unchanged.\n"
    assert len(_people(studio)) == 3


def test_first_passwords_go_into_a_file_that_only_its_owner_reads(run: Run, studio: str, tmp_path: Path) -> None:
    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")

    result = run("--database", studio, "import-roster", "roster.csv", "--passwords", "out.csv")

    rows = list(csv.DictReader((tmp_path / "out.csv").read_text(encoding="utf-8").splitlines()))
    assert [row["email"] for row in rows] == ["mira@example.edu", "tom@example.edu"]
    assert all(row["password"] and row["password"] not in result.stdout for row in rows)
    assert stat.S_IMODE((tmp_path / "out.csv").stat().st_mode) == 0o600


def test_a_password_file_is_never_overwritten(run: Run, studio: str, tmp_path: Path) -> None:
    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")
    (tmp_path / "out.csv").write_text("older", encoding="utf-8")

    result = run("--database", studio, "import-roster", "roster.csv", "--passwords", "out.csv")

    assert (result.exit_code, result.stderr) == (1, "out.csv: File exists.\n")
    assert (tmp_path / "out.csv").read_text(encoding="utf-8") == "older"
    assert len(_people(studio)) == 1


def test_a_roster_with_a_bad_row_adds_nobody_and_leaves_no_file(run: Run, studio: str, tmp_path: Path) -> None:
    (tmp_path / "roster.csv").write_text(f"{ROSTER}Ann,ann,,boss\n", encoding="utf-8")

    result = run("--database", studio, "import-roster", "roster.csv", "--passwords", "out.csv")

    assert result.exit_code == 1
    assert "line 4" in result.stderr
    assert not (tmp_path / "out.csv").exists()
    assert len(_people(studio)) == 1


def test_a_student_may_not_add_people_and_no_password_file_is_left(run: Run, database_url: str, tmp_path: Path) -> None:
    store = open_studio(database_url)
    student = next(person for person in store.read.people.listed() if person.role == "student")
    store.close()
    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")
    words = ("roster.csv", "--passwords", "out.csv", "--by", student.email)

    result = run("--database", database_url, "import-roster", *words)

    assert result.exit_code == 1
    assert result.stderr.startswith("You can't do that: Students can't")
    assert not (tmp_path / "out.csv").exists()


def test_somebody_unknown_does_nothing(run: Run, studio: str, tmp_path: Path) -> None:
    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")

    result = run("--database", studio, "import-roster", "roster.csv", "--by", "nobody@x.edu")

    assert (result.exit_code, result.stderr) == (1, "Not found: No one here has the email nobody@x.edu.\n")


@pytest.mark.parametrize(
    "words",
    [
        pytest.param(("check",), id="check"),
        pytest.param(("backup", "b.db"), id="backup"),
        pytest.param(("tags", "W1", "-o", "t.pdf"), id="tags"),
    ],
)
def test_a_database_that_is_not_there_is_not_made(run: Run, tmp_path: Path, words: tuple[str, ...]) -> None:
    result = run("--database", "nowhere.db", *words)

    assert result.exit_code == 1
    assert "There's no database at" in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_server_that_cannot_listen_makes_no_database(run: Run, tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        result = run("--database", "nowhere.db", "serve", "--port", str(taken.getsockname()[1]))

    assert result.exit_code == 1
    assert "in use" in result.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "words", [("check",), ("serve",), ("backup", "b.db"), ("tags", "W1", "-o", "t.pdf")], ids=lambda words: words[0]
)
def test_a_file_that_is_no_database_is_one_sentence(run: Run, tmp_path: Path, words: tuple[str, ...]) -> None:
    (tmp_path / "junk.db").write_text("not a database", encoding="utf-8")

    result = run("--database", "junk.db", *words)

    assert result.exit_code == 1
    assert result.stderr.startswith("Check this: The database can't be opened")
    assert len(result.stderr.splitlines()) == 1


def test_a_server_that_nobody_answers_at_is_one_sentence(run: Run) -> None:
    result = run("--database", "postgresql://nobody@127.0.0.1:1/nothing", "check")

    assert result.exit_code == 1
    assert "The database can't be opened" in result.stderr
    assert len(result.stderr.splitlines()) == 1


def test_bad_settings_are_all_named(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FOOTRING_PORT", "many")
    monkeypatch.setenv("FOOTRING_THREADS", "0")

    result = run("check")

    assert result.exit_code == 1
    assert [line.split(":")[0] for line in result.stderr.splitlines()] == ["FOOTRING_PORT", "FOOTRING_THREADS"]


def test_bad_settings_do_not_keep_a_code_from_being_read(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FOOTRING_PORT", "many")

    assert run("code", "K7R43").exit_code == 0
