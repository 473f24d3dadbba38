"""Whatever README and the manual show to type or to read does what they say, in the order in which it stands there."""

from __future__ import annotations

import csv
import json
import shutil
from collections.abc import Callable
from pathlib import Path

import click
import pytest

from tests.commands.conftest import Run
from tests.domain.loading.load_check import faults
from tests.house.manual import MANUAL, shown_commands, shown_json
from tests.house.tree import TOP
from tests.staffed import ADA, MIRA, TOM, asked_by, bisqued, open_studio, queued, started, unload
from tests.studio import NOON
from tracker.cli import main
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.studio.terms import NewTerm
from tracker.forms.fields import LINE
from tracker.forms.pieces.piece_schema import LayerSchema, PieceSchema
from tracker.forms.studio.evidence_schemas import AbsorptionSchema, LeachTestSchema
from tracker.forms.studio.kiln_schemas import KilnSchema, RoomSchema
from tracker.forms.studio.material_schemas import ClaySchema, GlazeSchema
from tracker.usecases.firing import firings
from tracker.usecases.studio import terms

SERVING = {"serve", "demo"}
"""What runs until it is stopped; these are started in test_serving.py, here only their words are read."""

SHOWING = [name for name in ("README.md", *MANUAL) if shown_commands(name)]
JUDGE, LOAD, LOGS = (f"tracker/manual/{name}.md" for name in ("judge", "load-plans", "kiln-logs"))


def _lay_out_files(folder: Path) -> None:
    """The files that a reader has at hand."""
    shutil.copy(TOP / "demo_seed" / "studio.toml", folder)
    (folder / "roster.csv").write_text("name,email,section,role\nMia Tarn,mia@college.example,Tue,student\n", "utf-8")
    (folder / "pieces.jsonl").write_text(shown_json(JUDGE)[0].replace("\n", " "), encoding="utf-8")
    (folder / "load.json").write_text(shown_json(LOAD)[0], encoding="utf-8")
    rows = "\n".join(f"{one * 15},{22 + one * 15}" for one in range(82))
    (folder / "backups").mkdir()
    (folder / "monday.csv").write_text(f"minutes,°C\n{rows}\n", encoding="utf-8")


def _lay_out_studio(database: str) -> None:
    """A studio with a bisqued piece, with firing 1 under way, and with a term and a piece of it that is ready."""
    store = open_studio(database)
    spring = NewTerm(name="Spring", starts_on=NOON.date(), ends_on=NOON.date(), sections=(MIRA.section,))
    terms.add_term(store, asked_by(ADA), spring)
    bisqued(store)
    mug, firing = queued(store), started(store)
    firings.put_in(store, asked_by(TOM), firing, mug)
    firings.light(store, asked_by(TOM), firing)
    ready, done = queued(store, "Plum Gloss", route="low-fire"), started(store, "Front box", "low-fire", "04")
    firings.put_in(store, asked_by(TOM), done, ready)
    unload(store, done, {ready: Outcome.GOOD})
    store.close()


@pytest.mark.parametrize("name", SHOWING)
def test_the_commands_of_a_page_run_one_after_another(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, migrate: Callable[[str], None], name: str
) -> None:
    _lay_out_files(tmp_path)
    monkeypatch.setenv("FOOTRING_DATABASE", str(tmp_path / "studio.db"))
    commands = shown_commands(name)
    if not any("init" in words for words in commands):
        migrate(f"sqlite:///{tmp_path / 'studio.db'}")
        _lay_out_studio(f"sqlite:///{tmp_path / 'studio.db'}")

    for _, *words in commands:
        if words[0] in SERVING:
            assert isinstance(main, click.Group)
            main.commands[words[0]].make_context(words[0], words[1:])
            continue
        result = run(*words)
        assert result.exit_code == 0, f"{' '.join(words)}: {result.output}"


@pytest.mark.parametrize("name", MANUAL)
def test_every_block_of_json_is_json(name: str) -> None:
    for block in shown_json(name):
        json.loads(block)


def test_judge_answers_with_the_keys_that_the_manual_shows(run: Run, tmp_path: Path) -> None:
    _lay_out_files(tmp_path)
    told = json.loads(shown_json(JUDGE)[-1])

    answer = json.loads(run("judge", "pieces.jsonl").stdout)

    assert answer.keys() == told.keys()
    assert answer["verdict"] == told["verdict"]
    assert [set(one) for one in answer["findings"]] == [set(one) for one in told["findings"]]
    assert answer["findings"][0]["rule"] == told["findings"][0]["rule"]


_EVIDENCE = (AbsorptionSchema, LeachTestSchema)


def _keys(told: object) -> set[str]:
    """Every key in it, however deep."""
    if isinstance(told, list):
        return {key for one in told for key in _keys(one)}
    return set(told) | _keys(list(told.values())) if isinstance(told, dict) else set()


def test_each_key_of_a_judge_line_is_shown_in_an_example_that_runs(run: Run) -> None:
    lines = [json.loads(block) for block in shown_json(JUDGE)[:-1]]

    result = run("judge", "-", says="\n".join(map(json.dumps, lines)).encode())
    answers = [json.loads(one) for one in result.stdout.splitlines()]

    assert len(answers) == len(lines)
    assert not [one for one in answers if "error" in one]
    schemas = (PieceSchema, LayerSchema, ClaySchema, GlazeSchema, *_EVIDENCE, KilnSchema, RoomSchema)
    assert {key for schema in schemas for key in schema.facts(LINE)} <= _keys(lines)


def test_a_load_is_planned_with_the_keys_that_the_manual_shows(run: Run, tmp_path: Path) -> None:
    _lay_out_files(tmp_path)
    asked, told = (json.loads(block) for block in shown_json(LOAD))

    plan = json.loads(run("plan-load", "load.json", "--json").stdout)

    assert faults(asked, plan) == []
    assert plan.keys() == told.keys()
    (shelf,) = told["firings"][0]["shelves"]
    for one in plan["firings"][0]["shelves"]:
        assert one.keys() == shelf.keys()
        assert {frozenset(piece) for piece in one["pieces"]} == {frozenset(shelf["pieces"][0])}


def test_a_reached_cone_is_told_with_the_keys_that_the_manual_shows(run: Run, tmp_path: Path) -> None:
    _lay_out_files(tmp_path)
    (told,) = (json.loads(block) for block in shown_json(LOGS))

    answer = json.loads(run("cone-reached", "monday.csv", "--json").stdout)

    assert answer.keys() == told.keys()
    assert answer["reached"].keys() >= told["reached"].keys()


def test_everybody_of_a_roster_gets_a_first_password(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _lay_out_files(tmp_path)
    monkeypatch.setenv("FOOTRING_DATABASE", str(tmp_path / "studio.db"))
    for _, *words in shown_commands("tracker/manual/start.md"):
        if words[0] in {"init", "import-roster"}:
            run(*words)

    with (tmp_path / "first-passwords.csv").open(encoding="utf-8") as file:
        emails = [row["email"] for row in csv.DictReader(file)]

    assert emails == ["mia@college.example"]


def test_the_version_is_told_with_its_date(run: Run) -> None:
    newest = next(
        line for line in (TOP / "tracker" / "changes.md").read_text("utf-8").splitlines() if line[:3] == "## "
    )

    assert run("--version").stdout == f"footring {newest[3:]}\n"
