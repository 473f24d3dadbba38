"""The texts say what the code does: README.md and the manual to those who use it, DEVELOPERS.md to its developers."""

from __future__ import annotations

import ast
import re
import tomllib
from datetime import date
from pathlib import Path

import pytest

from tests.house.manual import MANUAL
from tests.house.tree import SHIPPED, TOP, comments, nodes, python_files, text

DEMO = "python3 -m venv .venv && .venv/bin/pip install -q -c .ci/constraints.txt -e . && .venv/bin/footring demo"
TESTS = (
    "python3 -m venv .venv && .venv/bin/pip install -q -c .ci/constraints.txt -e '.[dev]' && .venv/bin/python -m tests"
)

MOST_LINES = 160

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
        for name in ("README.md", "DEVELOPERS.md", *MANUAL)
        for target in re.findall(r"\]\(([^)#:/][^)#:]*)(?:#[^)]*)?\)", text(name))
    ]

    assert [(name, target) for name, target in targets if not (TOP / name).parent.joinpath(target).exists()] == []


def test_the_readme_is_read_in_one_go() -> None:
    assert len(text("README.md").splitlines()) < MOST_LINES


def test_every_page_of_the_manual_is_reached_from_its_contents_and_from_the_readme_and_has_no_html() -> None:
    pages = {Path(name).name for name in MANUAL}
    contents = re.findall(r"\]\(([a-z-]+\.md)\)", text("tracker/manual/index.md"))
    readme = re.findall(r"\]\(tracker/manual/([a-z-]+\.md)\)", text("README.md"))

    assert sorted(contents) == sorted(pages - {"index.md"})
    assert set(readme) == pages
    assert [name for name in MANUAL if re.search(r"<(?!!-- /?[a-z]+ -->)[a-z/!]", _without_code(text(name)))] == []


def test_versions_are_told_with_their_dates_the_newest_first_and_the_newest_is_this_one() -> None:
    told = re.findall(r"^## (.*)$", text("tracker/changes.md"), re.MULTILINE)

    versions = [[int(number) for number in one.partition(", ")[0].split(".")] for one in told]
    days = [date.fromisoformat(one.partition(", ")[2]) for one in told]
    assert versions == sorted(versions, reverse=True)
    assert days == sorted(days, reverse=True)
    assert told[0].partition(", ")[0] == tomllib.loads(text("pyproject.toml"))["project"]["version"]


def test_decisions_are_numbered_from_one_without_a_gap() -> None:
    numbers = [int(number) for number in DECISION.findall(text("DEVELOPERS.md"))]

    assert numbers
    assert numbers == list(range(1, len(numbers) + 1))


def test_every_decision_the_code_points_to_is_written_down() -> None:
    written = set(DECISION.findall(text("DEVELOPERS.md")))

    missing = [
        f"{path} points to D{number}"
        for path in python_files(*SHIPPED)
        if POINTS_TO_DECISION.search(text(path))
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
        for node in nodes(path)
        if isinstance(node, ast.Constant) and node.value == "changes.md"
    ]

    assert told.startswith("# ")
    assert showing


def _without_code(words: str) -> str:
    """A Markdown text without its blocks and spans of code."""
    return re.sub(r"^```.*?^```$|^ {4}.*?$|`[^`\n]*`", "", words, flags=re.MULTILINE | re.DOTALL)


def _docstrings(path: Path) -> list[str]:
    """The docstrings in a Python file."""
    kinds = ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef
    return [ast.get_docstring(node) or "" for node in nodes(path) if isinstance(node, kinds)]
