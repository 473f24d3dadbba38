"""What is lost when things go wrong: `python -m tests.faults [--scale 0.02] [--seed 11] [PART ...]`.

Every part is a module beside this file with `suffer(place)`, which does its harm to one engine and gives a `Row` for
each sort of it: how often it was tried, how many acknowledged requests were lost, how many answers were faults (500)
and how many showed a traceback. How many said to come again (503) is told beside them. Both engines suffer at the same
time, each in a process of its own. The table is printed at the end; anything lost, faulty or shown ends the run with 1.
`--scale 0.02` does a fiftieth of it, to try the campaign itself. The moments and the texts follow from `--seed`: the
same seed does the same again, another one tries others.
"""

from __future__ import annotations

import argparse
import importlib
import json
import pkgutil
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict

from tests import faults
from tests.faults._place import ENGINES, Row, place_on
from tests.machine import postgres_programs

HEAD = ("what was done", "engine", "tried", "lost", "500s", "tracebacks", "503s", "seconds")
WIDTHS = (72, 11, 8, 6, 6, 11, 8, 8)


def main(words: list[str]) -> int:
    """Do the parts asked for, or all of them, print the table and give 1 when anything was lost."""
    there = sorted(module.name for module in pkgutil.iter_modules(faults.__path__) if not module.name.startswith("_"))
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description="Do harm, and count what is lost.")
    parser.add_argument("parts", nargs="*", metavar="PART", help=f"one of {', '.join(there)}; all without any")
    parser.add_argument("--scale", type=float, default=1.0, help="do this part of it")
    parser.add_argument("--seed", type=int, default=11, help="draw the moments and texts that follow from this number")
    parser.add_argument("--on", choices=ENGINES, help="suffer on this engine only, and print each row as JSON")
    asked = parser.parse_args(words)
    if unknown := [part for part in asked.parts if part not in there]:
        parser.error(f"there is no part {', '.join(unknown)}; there are {', '.join(there)}")
    if asked.on:
        for row in _rows(asked.parts or there, asked.on, asked.scale, asked.seed):
            print(json.dumps(asdict(row)), flush=True)
        return 0
    engines = ENGINES if postgres_programs() else ENGINES[:1]
    with ThreadPoolExecutor(len(engines)) as both:
        done = list(both.map(lambda engine: _suffered([*words, "--on", engine]), engines))
    _print_line(HEAD)
    rows = [row for some, _ in done for row in some]
    for row in sorted(rows, key=lambda one: there.index(one.part)):
        _print_line(row.cells)
    print(f"--seed {asked.seed} --scale {asked.scale:g}")
    return 0 if rows and all(row.is_whole for row in rows) and not any(ended for _, ended in done) else 1


def _rows(parts: list[str], engine: str, scale: float, seed: int) -> Iterator[Row]:
    with place_on(engine, scale, seed) as place:
        for part in parts:
            began = time.monotonic()
            for row in importlib.import_module(f"{faults.__name__}.{part}").suffer(place):
                row.part, row.engine, row.seconds = part, engine, time.monotonic() - began
                print(f"{part} on {engine}: {row.what}, {row.seconds:.0f} s", file=sys.stderr)
                yield row
                began = time.monotonic()


def _suffered(words: list[str]) -> tuple[list[Row], int]:
    """The rows of one engine, and how its process ended."""
    done = subprocess.run(
        [sys.executable, "-m", faults.__name__, *words], stdout=subprocess.PIPE, text=True, check=False
    )
    # Alembic says there too that it found no difference.
    return [Row(**json.loads(line)) for line in done.stdout.splitlines() if line.startswith("{")], done.returncode


def _print_line(cells: tuple[str, ...]) -> None:
    what, engine, *numbers = (
        cell.ljust(width) if column < 2 else cell.rjust(width)
        for column, (cell, width) in enumerate(zip(cells, WIDTHS, strict=True))
    )
    print(what, engine, *numbers)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
