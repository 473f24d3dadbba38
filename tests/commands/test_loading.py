"""A load is planned from a file, without a database."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import Run
from tests.domain.loading.load_check import faults
from tests.domain.loading.load_mixes import KILNS, studio_mix

ASKED = {"kiln": KILNS["round"], "gap_mm": 6, "pieces": studio_mix(30, seed=5)}


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A file with a kiln and pieces, of which one never fits."""
    path = tmp_path / "load.json"
    tall = {"code": "TALL", "round_mm": 90, "height_mm": 700}
    path.write_text(json.dumps({**ASKED, "pieces": [*studio_mix(30, seed=5), tall]}), encoding="utf-8")
    return path


def test_a_script_gets_the_plan_as_json(run: Run, file: Path) -> None:
    result = run("plan-load", str(file), "--json")

    plan = json.loads(result.stdout)
    assert result.exit_code == 0
    assert faults(json.loads(file.read_text(encoding="utf-8")), plan) == []
    assert [one["code"] for one in plan["left_out"]] == ["TALL"]
    assert set(plan["firings"][0]["shelves"][0]) == {"post_mm", "pieces"}
    assert set(plan["firings"][0]["shelves"][0]["pieces"][0]) == {"code", "x_mm", "y_mm", "turned"}


def test_a_person_gets_each_firing_from_the_top_shelf_down_and_what_is_left_out(run: Run, file: Path) -> None:
    result = run("plan-load", str(file))

    lines = result.stdout.splitlines()
    assert lines[0].startswith("Firing 1 of 1: 30 pieces, ")
    shelves = [line.partition(",")[0] for line in lines[1:-1]]
    assert shelves == [f"Shelf {level}" for level in range(len(shelves), 0, -1)]
    assert all(sum(piece["code"] in line for line in lines) == 1 for piece in studio_mix(30, seed=5))
    assert [fact for fact in ("TALL", "700 mm", "644 mm") if fact not in lines[-1]] == []


def test_whoever_asks_for_us_units_reads_inches(run: Run, file: Path) -> None:
    lines = run("plan-load", str(file), "--units", "us").stdout.splitlines()

    assert " in high" in lines[0]
    assert not [line for line in lines if " mm" in line]


def test_a_person_is_told_what_goes_in_what(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "load.json"
    bowls = [{"code": f"B{across}", "round_mm": across, "height_mm": 70, "nests": True} for across in (400, 360)]
    mug = {"code": "MUG", "round_mm": 90, "height_mm": 90}
    kiln = {**KILNS["round"], "post_radius_mm": 10}
    path.write_text(json.dumps({"kiln": kiln, "bisque": True, "pieces": [*bowls, mug]}), encoding="utf-8")

    result = run("plan-load", str(path))

    assert result.stdout.splitlines() == [
        "Firing 1 of 1: 3 pieces, stack 116 mm high, room for 660 mm",
        "Shelf 1, posts 100 mm: B400, B360 in B400, and MUG",
    ]


def test_searching_on_gives_a_plan_that_can_be_loaded(run: Run, file: Path) -> None:
    result = run("plan-load", str(file), "--json", "--seconds", "0.3")

    assert faults(json.loads(file.read_text(encoding="utf-8")), json.loads(result.stdout)) == []


def test_a_file_that_makes_no_sense_is_refused_on_standard_error(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "load.json"
    path.write_text('{"kiln": {}, "pieces": []}', encoding="utf-8")

    result = run("plan-load", str(path), "--json")

    assert result.exit_code == 1
    assert result.stdout == ""
    assert 'kiln: "posts_mm" is missing.' in result.stderr


def test_a_file_without_pieces_needs_no_firing(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "load.json"
    path.write_text(json.dumps({**ASKED, "pieces": []}), encoding="utf-8")

    assert run("plan-load", str(path)).stdout == "There's nothing to load.\n"


@pytest.mark.parametrize("seconds", ["-1", "nan", "1e9", "soon"])
def test_a_search_takes_some_seconds_and_no_more_than_an_hour(run: Run, file: Path, seconds: str) -> None:
    assert run("plan-load", str(file), "--seconds", seconds).exit_code == 2
