"""What can be asked without a database."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.commands.conftest import Run
from tests.forms.rules.test_what_if import WHOLE, line_with
from tracker.domain.pieces.codes import code_number, is_valid, space, upside_down


def test_a_code_is_told_with_its_number(run: Run) -> None:
    result = run("code", "k7-r43")

    assert result.exit_code == 0
    assert "K7R43 is a code: number 160,703 of 279,841" in result.stdout


@pytest.mark.parametrize("number", [0, 1, 12_345, 279_840])
def test_the_number_of_a_code_is_its_place_among_all_codes(run: Run, number: int) -> None:
    result = run("code", code_number(number), "--json")

    assert json.loads(result.stdout)["number"] == number


def _first(wanted: Callable[[str, str | None], bool]) -> str:
    """The first of all codes that, with its upside-down reading, is as wanted."""
    return next(code for code in map(code_number, range(space())) if wanted(code, upside_down(code)))


@pytest.mark.parametrize(
    ("code", "says"),
    [
        pytest.param(_first(lambda _, turned: turned is None), "isn't readable.", id="nothing"),
        pytest.param(_first(lambda code, turned: turned == code), "reads the same.", id="itself"),
        pytest.param(
            _first(lambda code, turned: turned not in {None, code} and is_valid(str(turned))),
            "another code, so Footring never issues it.",
            id="another code",
        ),
        pytest.param(
            _first(lambda _, turned: turned is not None and not is_valid(turned)), "which isn't a code.", id="no code"
        ),
    ],
)
def test_a_code_is_told_with_its_upside_down_reading(run: Run, code: str, says: str) -> None:
    result = run("code", code)

    assert result.exit_code == 0
    assert says in result.stdout


def test_a_wrong_code_ends_with_1_and_says_what_was_meant(run: Run) -> None:
    result = run("code", "K7R44")

    assert result.exit_code == 1
    assert result.stdout == ""
    assert result.stderr.startswith("K7R44 isn't a code. Maybe it should be ")
    assert "K7R43" in result.stderr


def test_a_script_gets_the_likely_codes_of_a_wrong_one(run: Run) -> None:
    result = run("code", "K7R44", "--json")

    answer = json.loads(result.stdout)
    assert (result.exit_code, answer["code"], answer["issuable"]) == (1, None, False)
    assert "K7R43" in answer["likely"]


def test_a_slip_is_told_from_a_code(run: Run) -> None:
    result = run("code", "w 1042")

    assert "W1042 is ticket number 1042" in result.stdout


def test_judging_answers_line_for_line(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "pots.jsonl"
    lines = [
        json.dumps(WHOLE),
        "",
        line_with("route", "high-fire"),
        "nonsense",
        line_with("piece.fragile", value=False),
    ]
    file.write_text("\n".join(lines), encoding="utf-8")

    result = run("judge", str(file))

    answers = [json.loads(line) for line in result.stdout.splitlines()]
    assert [answer.get("verdict", "error") for answer in answers] == ["clear", "error", "refuse", "error", "clear"]


def test_judging_reads_standard_input_and_speaks_utf_8(tmp_path: Path) -> None:
    line = line_with("piece.layers.0.glaze.name", "Nebel über Wasser").encode() + b"\r\n"
    ran = subprocess.run(
        [Path(sys.executable).with_name("footring"), "judge", "-"],
        input=line + line_with("route", "high-fire").encode() + b"\n",
        capture_output=True,
        check=True,
        cwd=tmp_path,
    )

    assert len(ran.stdout.splitlines()) == 2
    assert "1,285 °C".encode() in ran.stdout
    assert ran.stderr == b""


def test_judging_no_lines_answers_none(run: Run) -> None:
    result = run("judge", "-", says=b"")

    assert (result.exit_code, result.stdout) == (0, "")


def test_a_file_that_is_not_there_is_a_wrong_use(run: Run) -> None:
    result = run("judge", "nowhere.jsonl")

    assert result.exit_code == 2
    assert "nowhere.jsonl" in result.stderr
