"""The texts say what the code does: README.md for those who use it, DEVELOPERS.md for those who change it."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from tests.house.tree import SHIPPED, TOP, comments, python_files, text, tree

DEMO = "python3 -m venv .venv && .venv/bin/pip install -q -c .ci/constraints.txt -e . && .venv/bin/footring demo"
TESTS = (
    "python3 -m venv .venv && .venv/bin/pip install -q -c .ci/constraints.txt -e '.[dev]' && .venv/bin/python -m tests"
)

DECISION = re.compile(r"^(?:#+ |\*\*|- \*\*)D(\d+)\b", re.MULTILINE)
POINTS_TO_DECISION = re.compile(r"\bD([1-9]\d?)\b(?!\.\d)")


@pytest.mark.parametrize("command", [DEMO, TESTS], ids=["demo", "tests"])
def test_the_readme_has_the_command_on_one_line_word_for_word(command: str) -> None:
    lines = [line.strip() for line in text("README.md").splitlines()]

    assert lines.count(command) == 1


def test_ci_runs_the_tests_by_the_readme() -> None:
    words = text(".ci/run")

    assert "README.md" in words
    assert "pip install" not in words


def test_every_picture_and_file_that_the_texts_point_to_is_there() -> None:
    targets = [
        (name, target)
        for name in ("README.md", "DEVELOPERS.md")
        for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", text(name))
    ]

    assert [(name, target) for name, target in targets if not (TOP / target).exists()] == []


def test_decisions_are_numbered_from_one_without_a_gap() -> None:
    numbers = [int(number) for number in DECISION.findall(text("DEVELOPERS.md"))]

    assert numbers
    assert numbers == list(range(1, len(numbers) + 1))


def test_every_decision_the_code_points_to_is_written_down() -> None:
    written = set(DECISION.findall(text("DEVELOPERS.md")))

    missing = [
        f"{path} points to D{number}"
        for path in python_files(*SHIPPED)
        for words in (*(comment for _, comment in comments(path)), *_docstrings(path))
        for number in POINTS_TO_DECISION.findall(words)
        if number not in written
    ]

    assert missing == []


def test_what_changed_is_told_and_the_tool_shows_it() -> None:
    told = text("tracker/changes.md")

    showing = [
        path
        for path in python_files("tracker")
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Constant) and node.value == "changes.md"
    ]

    assert told.startswith("# ")
    assert showing


def _docstrings(path: Path) -> list[str]:
    """The docstrings in a Python file."""
    kinds = ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef
    return [ast.get_docstring(node) or "" for node in ast.walk(tree(path)) if isinstance(node, kinds)]
