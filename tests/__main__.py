"""The gate, the same on a laptop and in CI: `python -m tests [--quick] [words for pytest]`.

It runs ruff, mypy, import-linter, djlint and the tests with their branch coverage; among the tests are `alembic check`
and every migration up, down and up again on both engines. `--quick` leaves the browser out. Further words go to pytest
as they are, and then coverage is not judged, because a part of the tests covers a part of the code.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.machine import ON_CI, POSTGRES_VARIABLE, in_memory, left_out, postgres_programs, throwaway_postgres

TOP = Path(__file__).resolve().parent.parent
PROGRAMS = Path(sys.executable).parent
CORES = 2

# Each reads the code and changes nothing, so they run one after the other beside the tests.
READERS = {
    "mypy": ["mypy"],
    "import-linter": ["lint-imports", "--no-logo"],
    "djlint": ["djlint", "tracker/web/templates", "--lint", "--quiet"],
    "ruff check": ["ruff", "check", "."],
    "ruff format": ["ruff", "format", "--check", "."],
}


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of the gate, once it is over."""

    name: str
    passed: bool
    seconds: float

    def __str__(self) -> str:
        """Its line in the gate's account."""
        return f"{'passed' if self.passed else 'FAILED'}  {self.name} ({self.seconds:.1f} s)"


def main(words: list[str]) -> int:
    """Run every stage, tell how each went, and give 1 when one failed."""
    quick = "--quick" in words
    for_pytest = [word for word in words if word != "--quick"]
    lacking = [str(part) for part in left_out(quick=quick)]
    if quick:
        lacking.append("Left out: pages in a real browser. Get them with: python -m tests, without --quick")

    with ThreadPoolExecutor(1) as beside:
        # One reader at a time leaves the tests the better part of both cores, and none of them waits for the others.
        readers = [beside.submit(_read, one) for one in READERS.items()]
        tests = run_the_tests(for_pytest, quick=quick)
    stages = [*(reader.result() for reader in readers), tests]
    if ON_CI and lacking:
        stages.append(Stage("everything is there that the tests need", passed=False, seconds=0.0))

    print("\nThe gate")
    print("\n".join([*map(str, stages), *lacking]))
    return 0 if all(stage.passed for stage in stages) else 1


def run_the_tests(words: list[str], *, quick: bool) -> Stage:
    """Run pytest on all cores, its words going straight to the reader."""
    # A worker that has nothing left takes half of what the other still has, so that none waits for the other's last.
    asked = ["-n", str(CORES), "--dist", "worksteal", *(["-m", "not browser"] if quick else [])]
    coverage = [] if words else ["--cov", "--cov-report=term"]
    name = "pytest, with alembic check and migrations up/down/up" + (" and branch coverage" if coverage else "")
    print(f"\n== {name}", flush=True)
    start = time.monotonic()
    with _postgres_for_all() as environment:
        done = subprocess.run(
            [sys.executable, "-m", "pytest", "-q", *asked, *coverage, *words], check=False, cwd=TOP, env=environment
        )
    return Stage(name, done.returncode == 0, time.monotonic() - start)


@contextmanager
def _postgres_for_all() -> Iterator[dict[str, str]]:
    """The environment for pytest, in which all its workers find one PostgreSQL where this machine has it.

    Its folders are kept in memory where there is room, because the tests' databases wait for the disk at every write.
    """
    memory = in_memory()
    environment = {**({"PYTEST_DEBUG_TEMPROOT": str(memory)} if memory else {}), **os.environ}
    programs = postgres_programs()
    if programs is None or POSTGRES_VARIABLE in os.environ:
        yield environment
        return
    with throwaway_postgres(programs) as url:
        yield {**environment, POSTGRES_VARIABLE: url}


def _read(tool: tuple[str, list[str]]) -> Stage:
    """Run one tool from this environment; where it fails, what it says is told at once."""
    name, (program, *words) = tool
    start = time.monotonic()
    done = subprocess.run(
        [PROGRAMS / program, *words],
        check=False,
        cwd=TOP,
        text=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
    )
    stage = Stage(name, done.returncode == 0, time.monotonic() - start)
    if not stage.passed:
        print(f"\n== {stage}\n{done.stdout.strip()}", flush=True)
    return stage


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
