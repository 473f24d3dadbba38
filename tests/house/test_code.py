"""Habits of the code that no linter knows."""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from tests.house.tree import SHIPPED, TOP, comments, files, imported, nodes, python_files, text

# It reads the code and runs none of it, so there is nothing to measure.
pytestmark = pytest.mark.unmeasured

READS_THE_CLOCK = {Path("tracker/app.py"), Path("tracker/cli.py")}
CLOCKS = {
    "datetime": {"now", "utcnow", "today"},
    "date": {"today"},
    "time": {
        *("time", "time_ns", "monotonic", "monotonic_ns", "perf_counter", "perf_counter_ns", "process_time"),
        *("localtime", "gmtime", "strftime", "ctime", "asctime"),
    },
    # The database has a clock too, and nobody could hand it another.
    "func": {"now", "current_timestamp", "current_date", "localtimestamp"},
}
DATABASE_CLOCK = re.compile(
    r"CURRENT_(?:TIMESTAMP|DATE|TIME)\b|\bnow\(\)|(?:datetime|strftime|date)\('?now|'now'", re.IGNORECASE
)
NOT_FOR_THE_DOMAIN = {"os", "random", "secrets", "time", "logging"}
# Beside the standard library, by file (D20).
ALSO_FOR_THE_DOMAIN = {"tracker/domain/loading/packing.py": {"numpy"}}

SILENCED = re.compile(r"#\s*(?:noqa|type:\s*ignore|pragma:\s*no cover|pragma:\s*no branch|ruff:|mypy:)", re.IGNORECASE)
SILENCED_WITH_REASON = re.compile(
    r"#\s*(?:noqa:\s*[A-Z]+\d+(?:\s*,\s*[A-Z]+\d+)*|type:\s*ignore\[[a-z-]+(?:,\s*[a-z-]+)*\]"
    r"|pragma:\s*no (?:cover|branch)|ruff:\s*noqa:\s*[A-Z0-9, ]+|mypy:[^#]*)\W+\w+(?:\W+\w+)+",
    re.IGNORECASE,
)
# Written in halves, so that this file carries none of them.
MARKS = [("TO", "DO"), ("FIX", "ME"), ("XX", "X"), ("HA", "CK")]
UNFINISHED = re.compile(rf"\b(?:{'|'.join(half + rest for half, rest in MARKS)})\b")


def clock_readings(module: Iterable[ast.AST]) -> Iterator[int]:
    """The lines on which the nodes of a module ask a clock what time it is."""
    for node in module:
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name | ast.Attribute):
            owner = node.value.id if isinstance(node.value, ast.Name) else node.value.attr
            if node.attr in CLOCKS.get(owner, ()):
                yield node.lineno
        elif isinstance(node, ast.ImportFrom) and node.module == "time":
            yield from (node.lineno for alias in node.names if alias.name in CLOCKS["time"])


@pytest.mark.parametrize(
    "line",
    [
        "datetime.now(UTC)",
        "datetime.datetime.now()",
        "dt.date.today()",
        "time.monotonic()",
        "from time import time",
        "clock = datetime.now",
        "server_default=func.now()",
    ],
)
def test_the_search_for_clocks_knows_every_way_to_read_one(line: str) -> None:
    assert list(clock_readings(ast.walk(ast.parse(line)))) == [1]


def test_only_the_wiring_and_the_command_line_read_the_clock() -> None:
    readings = [
        f"{path}:{line}"
        for path in python_files(*SHIPPED)
        if path not in READS_THE_CLOCK
        for line in clock_readings(nodes(path))
    ]

    assert readings == []


def test_no_sql_reads_the_clock() -> None:
    asking = [
        f"{path}:{node.lineno}"
        for path in python_files(*SHIPPED)
        for node in nodes(path)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and DATABASE_CLOCK.search(node.value)
        and path not in READS_THE_CLOCK
    ]

    assert asking == []


def test_the_domain_imports_only_itself_the_standard_library_and_numpy_for_load_plans() -> None:
    strange = [
        f"{path} imports {name}"
        for path in python_files("tracker")
        if path.parts[1] == "domain"
        for name in sorted(imported(path))
        if not name.startswith("tracker.domain")
        and name.partition(".")[0] not in ALSO_FOR_THE_DOMAIN.get(path.as_posix(), ())
        and (name.partition(".")[0] not in sys.stdlib_module_names or name.partition(".")[0] in NOT_FOR_THE_DOMAIN)
    ]

    assert strange == []


def test_no_migration_imports_the_tracker() -> None:
    leaning = [
        path
        for path in python_files("migrations")
        if any(name.partition(".")[0] in {"tracker", "printing", "demo_seed", "tests"} for name in imported(path))
    ]

    assert leaning == []


def test_whoever_silences_a_tool_says_why_beside_it() -> None:
    silent = []
    for path in python_files():
        if not SILENCED.search(text(path)):
            continue
        said = dict(comments(path))
        lines = text(path).splitlines()
        for number, comment in said.items():
            above = lines[number - 2].strip() if number > 1 else ""
            if SILENCED.match(comment) and not SILENCED_WITH_REASON.match(comment) and not above.startswith("#"):
                silent.append(f"{path}:{number}: {comment}")

    assert silent == []


def test_every_test_that_may_be_left_out_says_why() -> None:
    silent = [
        f"{path}:{node.lineno}"
        for path in python_files("tests")
        for node in nodes(path)
        if isinstance(node, ast.Attribute) and node.attr in {"skip", "xfail", "skipif", "importorskip"}
        if not _has_reason(path, node)
    ]

    assert silent == []


def _has_reason(path: Path, word: ast.Attribute) -> bool:
    """Whether `pytest.skip` or its kin is called with words."""
    calls = [node for node in nodes(path) if isinstance(node, ast.Call) and node.func is word]
    return any(call.args or any(given.arg == "reason" for given in call.keywords) for call in calls)


def test_nothing_is_marked_as_unfinished() -> None:
    texts = [path for path in files() if path.suffix in {".py", ".md", ".html", ".js", ".css", ".toml", ".sh", ".mako"}]

    unfinished = [
        f"{path}:{number}"
        for path in texts
        if path.parts[:3] != ("tracker", "web", "static") or path.suffix in {".css", ".js"}
        for number, line in enumerate((TOP / path).read_text(encoding="utf-8").splitlines(), 1)
        if UNFINISHED.search(line)
    ]

    assert unfinished == []


def test_nobody_catches_every_exception() -> None:
    catching = [
        f"{path}:{node.lineno}"
        for path in python_files(*SHIPPED)
        for node in nodes(path)
        if isinstance(node, ast.ExceptHandler)
        and (node.type is None or (isinstance(node.type, ast.Name) and node.type.id in {"Exception", "BaseException"}))
    ]

    assert catching == []
