"""How fast the tool is: `python -m tests.bench [PART ...]`: tags, moves, judging, history, loads, heat, reading.

The part camera counts what the camera reads.

Each number is a ratio of two things measured in the same run on the same machine, so that a slow or busy machine
slows both and the ratio still holds; only what a person waits for (a move, a load plan) is bound in time.
Every part is a module beside this file with `measure()`, which gives rows of (what, measured, bound, "at least" or
"at most"); a row without a bound is a note, told for whoever looks for the next thing to do. It prints them as a table
and ends with 1 when one falls short.
"""

from __future__ import annotations

import importlib
import pkgutil
import sys
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import isfinite

from tests import bench

WIDTHS = (64, 10, 16, 5)
AT_LEAST, AT_MOST = "at least", "at most"


@dataclass(frozen=True, slots=True)
class Row:
    """One thing measured, and the bound it is held to."""

    what: str
    measured: float
    bound: float | None
    side: str = AT_LEAST

    def __post_init__(self) -> None:
        """Refuse a side that would never be looked at, and a bound that nothing breaks."""
        if self.bound is not None and not isfinite(self.bound):
            message = f"{self.what}: nothing breaks the bound {self.bound}; a row without a bound has None."
            raise ValueError(message)
        if self.side not in {AT_LEAST, AT_MOST}:
            message = f"{self.what}: a bound is “{AT_LEAST}” or “{AT_MOST}”, not “{self.side}”."
            raise ValueError(message)

    @property
    def is_met(self) -> bool:
        """Whether the bound holds; a bound that is just reached holds, and a note has none to break."""
        if self.bound is None:
            return True
        return self.measured >= self.bound if self.side == AT_LEAST else self.measured <= self.bound

    @property
    def cells(self) -> tuple[str, str, str, str]:
        """The row as it is printed."""
        if self.bound is None:
            return self.what, f"{self.measured:.3g}", "a note", ""
        return self.what, f"{self.measured:.3g}", f"{self.side} {self.bound:g}", "yes" if self.is_met else "NO"


def main(asked: list[str]) -> int:
    """Measure the parts asked for, or all of them, print the table and give 1 when a bound is not met."""
    parts = sorted(module.name for module in pkgutil.iter_modules(bench.__path__) if not module.name.startswith("_"))
    unknown = [part for part in asked if part not in parts]
    if unknown:
        print(f"There is no part {', '.join(unknown)}; there are {', '.join(parts)}.", file=sys.stderr)
        return 2
    _print_line(("what", "measured", "bound", "met?"))
    rows = [row for part in asked or parts for row in _told(measure(part))]
    return 0 if all(row.is_met for row in rows) else 1


def measure(part: str) -> list[Row]:
    """Every row that a part measures; a part that measures nothing is a mistake."""
    start = time.monotonic()
    print(f"Measuring {part} …", file=sys.stderr, end="", flush=True)
    rows = [Row(*row) for row in importlib.import_module(f"{bench.__name__}.{part}").measure()]
    print(f" {time.monotonic() - start:.0f} s", file=sys.stderr)
    if not rows:
        message = f"tests/bench/{part}.py measured nothing."
        raise ValueError(message)
    return rows


def _told(rows: Iterable[Row]) -> Iterator[Row]:
    """The same rows, each printed as soon as it is known."""
    for row in rows:
        _print_line(row.cells)
        yield row


def _print_line(cells: tuple[str, str, str, str]) -> None:
    """One line of the table: words to the left, numbers to the right."""
    what, *numbers = (
        cell.ljust(width) if width == WIDTHS[0] else cell.rjust(width)
        for cell, width in zip(cells, WIDTHS, strict=True)
    )
    print(what, *numbers, flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
