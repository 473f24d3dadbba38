"""Small faults that the tests should notice: `python -m tests.mutants [--seed 1] [--draw 200] [PART ...]`.

cosmic-ray makes the faults (the extra `mutants`; it stays out of the gate): another operator, comparison, number or
truth value, a `not` more, a loop that never runs. Which of them, follows from `--seed`. Each is tried in a fork of this
process, which has loaded the libraries and neither the tool nor its tests, so the module with the fault is compiled
from memory and no file changes. The tests beside it run first, and those further off where none of them noticed; on
SQLite alone. What survives is listed with its place, to be looked into: it is a hole in the tests, code that makes no
difference, or the same thing said in another way. The run ends with 1 where fewer than 92 in 100 were noticed.
"""

from __future__ import annotations

import argparse
import ast
import importlib
import os
import resource
import signal
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.machinery import SourceFileLoader
from pathlib import Path
from random import Random

import pytest
from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names

TOP = Path(__file__).parents[1]
LEAST = 0.92
LONGEST_SECONDS, MOST_CPU_SECONDS = 900, 240
"""Without a fault the tests of a part take less than a fifth of that processor time, however busy the machine is."""
LIBRARIES = (
    "alembic.command",
    "flask_wtf",
    "hypothesis.strategies",
    "marshmallow",
    "psycopg",
    "reportlab.pdfgen.canvas",
    "uharfbuzz",
)
LEFT_OUT = ("VariableReplacer", "VariableInserter", "RemoveDecorator")
"""The first two ask for names of variables; a dataclass or a property without its decorator breaks at once."""


@dataclass(frozen=True, slots=True)
class Part:
    """Modules, the tests beside them and the tests further off."""

    modules: tuple[str, ...]
    near: tuple[str, ...]
    far: tuple[str, ...]


# The tables notice most, and soonest.
_RULES = ("tests/domain/rules/test_truth_table.py", "tests/domain/test_values.py", "tests/domain/rules")
_PIECES = ("tests/domain/pieces", "tests/domain/test_values.py")
_USED = ("tests/usecases/pieces", "tests/usecases/firing", "tests/usecases/studio/test_catalog.py")
PARTS = {
    "rules": Part(("tracker/domain/rules/*.py",), _RULES, ("tests/wording", *_USED)),
    "codes": Part(("tracker/domain/pieces/codes.py",), _PIECES, ("tests/domain/labels",)),
    "pieces": Part(("tracker/domain/pieces/piece.py",), (*_RULES, *_PIECES), _USED),
    "steps": Part(("tracker/usecases/pieces/pieces.py", "tracker/usecases/pieces/editing.py"), _USED[:1], _USED[1:]),
    "revalidate": Part(("tracker/usecases/pieces/revalidate.py",), _USED[1:], _USED[:1]),
}


@dataclass(frozen=True, slots=True)
class Mutant:
    """A module with one fault: the operator of cosmic-ray that makes it, and at which of its places."""

    part: str
    module: str
    line: int
    operator: str
    occurrence: int

    def __str__(self) -> str:
        """Where it is and what it is, with the line as it was."""
        before = (TOP / self.module).read_text(encoding="utf-8").splitlines()[self.line - 1].strip()
        return f"{self.module}:{self.line} {self.operator.removeprefix('core/')} [{before}]"


def main(words: list[str]) -> int:
    """Draw mutants, try each, list those that survive, and give 1 where too few were noticed."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.mutants", description="Make small faults; count the noticed."
    )
    parser.add_argument("parts", nargs="*", metavar="PART", help=f"one of {', '.join(PARTS)}; all without any")
    parser.add_argument("--seed", type=int, default=1, help="draw the faults that follow from this number")
    parser.add_argument("--draw", type=int, default=200, help="so many of them")
    asked = parser.parse_args(words)
    for library in LIBRARIES:
        importlib.import_module(library)
    drawn, survivors = drawn_from(asked.parts or list(PARTS), asked.seed, asked.draw), []
    for number, mutant in enumerate(drawn, 1):
        noticed = is_noticed(mutant)
        survivors += [] if noticed else [mutant]
        print(f"{number} {'noticed ' if noticed else 'SURVIVED'} {mutant}", flush=True)
    caught = 1 - len(survivors) / max(1, len(drawn))
    print(
        "\n".join(["", f"--seed {asked.seed}: {caught:.1%} of {len(drawn)} noticed. Survivors:", *map(str, survivors)])
    )
    return 0 if caught >= LEAST else 1


def drawn_from(parts: list[str], seed: int, many: int) -> list[Mutant]:
    """So many mutants of these parts; each place is as likely as any other, however many faults there are for it."""
    chance = Random(seed)  # noqa: S311 -- nothing here is secret
    places: dict[tuple[str, int, int, str], list[Mutant]] = defaultdict(list)
    for part in parts:
        for pattern in PARTS[part].modules:
            for path in sorted(TOP.glob(pattern)):
                for place, mutant in _mutants_of(part, path):
                    places[place].append(mutant)
    return [chance.choice(places[place]) for place in chance.sample(sorted(places), min(many, len(places)))]


def _mutants_of(part: str, path: Path) -> Iterator[tuple[tuple[str, int, int, str], Mutant]]:
    """Every fault of a module with its place: module, line, column, and the sort of operator."""
    module, text = str(path.relative_to(TOP)), path.read_text(encoding="utf-8")
    unread = _annotations(text)
    nodes = list(ast_nodes(get_ast(text)))
    for name in sorted(operator_names()):
        sort = name.removeprefix("core/").partition("_")[0]
        if sort in LEFT_OUT:
            continue
        operator, occurrence = get_operator(name)(), -1
        for node in nodes:
            for (line, column), _end in operator.mutation_positions(node):
                occurrence += 1
                if not any(start <= (line, column) < end for start, end in unread):
                    yield (module, line, column, sort), Mutant(part, module, line, name, occurrence)


def _annotations(text: str) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """From where to where the annotations go, which nothing reads as the tool runs."""
    found = []
    for node in ast.walk(ast.parse(text)):
        for field in ("annotation", "returns"):
            one = getattr(node, field, None)
            if isinstance(one, ast.expr):
                found.append(((one.lineno, one.col_offset), (one.end_lineno or 0, one.end_col_offset or 0)))
    return found


def is_noticed(mutant: Mutant) -> bool:
    """Whether a test fails of those beside the mutant or, where none does, of those further off."""
    part = PARTS[mutant.part]
    code = mutate_code(
        (TOP / mutant.module).read_text(encoding="utf-8"), get_operator(mutant.operator)(), mutant.occurrence
    )
    return any(not _passes(mutant.module, code, tests) for tests in (part.near, part.far))


def _passes(module: str, code: str, tests: tuple[str, ...]) -> bool:
    """Whether these tests pass in a process of their own in which the module has this code; one that hangs does not."""
    child = os.fork()
    if not child:
        os.setsid()
        resource.setrlimit(resource.RLIMIT_CPU, (MOST_CPU_SECONDS, MOST_CPU_SECONDS))
        ended = 1
        try:
            ended = _try_tests(TOP / module, code, tests)
        finally:
            os._exit(ended)
    until = time.monotonic() + LONGEST_SECONDS
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            ended = os.waitstatus_to_exitcode(status)
            if ended < 0:
                print(f"  stopped by signal {-ended}", flush=True)
            return ended == 0
        time.sleep(0.05)
    print(f"  stopped after {LONGEST_SECONDS} seconds", flush=True)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return False


def _try_tests(path: Path, code: str, tests: tuple[str, ...]) -> int:
    """Run the tests, which import the module at `path` with this code, and give pytest's answer."""
    faulty, usual = compile(code, path, "exec"), SourceFileLoader.get_code

    def get_code(loader: SourceFileLoader, name: str) -> object:
        return faulty if Path(loader.path) == path else usual(loader, name)

    SourceFileLoader.get_code = get_code  # type: ignore[method-assign, assignment]  # put in its place on purpose
    silence = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silence, 1)
    os.dup2(silence, 2)
    os.chdir(TOP)
    quiet = [
        "-x",
        "-q",
        "-n",
        "0",
        "--tb=no",
        "-p",
        "no:cacheprovider",
        "-W",
        "ignore::pytest.PytestAssertRewriteWarning",
    ]
    return int(pytest.main([*quiet, "-k", "not postgresql", *tests]))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
