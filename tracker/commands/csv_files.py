"""CSV files that a spreadsheet may open: no cell of them is taken for a formula."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from typing import TextIO

_BEGINS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")  # noqa: RUF001 -- the wide ones, too
"""What spreadsheets take for the beginning of a formula (OWASP, "CSV Injection")."""


def write_rows(file: TextIO, rows: Iterable[Sequence[str]]) -> None:
    """Write rows of text, each cell that would be a formula behind an apostrophe."""
    csv.writer(file).writerows([_as_text(cell) for cell in row] for row in rows)


def _as_text(cell: str) -> str:
    return f"'{cell}" if cell.startswith(_BEGINS_FORMULA) else cell
