"""A list that one label may not hold, on as few labels as hold it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import TypeVar

from printing.labels.label_parts import Label
from printing.labels.labels import lay_out, refuses
from printing.labels.stock import Stock

Line = TypeVar("Line")


def on_several(
    lines: Sequence[Line],
    make: Callable[[Sequence[Line], int, int], Label],
    stock: Stock,
    dots_per_inch: int | None = None,
    *,
    most: int,
) -> tuple[Label, ...]:
    """Labels of `stock` with all lines, at most so many on each; `make(lines, number, count)` makes one.

    TooSmall when not one line fits on one.
    """
    many = len(lines)
    for on_one in range(min(most, many), 1, -1):
        starts = [*range(0, many, on_one), many]
        made = [make(lines[a:b], number, len(starts) - 1) for number, (a, b) in enumerate(pairwise(starts), 1)]
        if not any(refuses(one, stock, dots_per_inch) for one in made):
            return tuple(made)
    made = [make((line,), number, many) for number, line in enumerate(lines, 1)]
    for one in made:
        lay_out(one, stock, dots_per_inch)
    return tuple(made)
