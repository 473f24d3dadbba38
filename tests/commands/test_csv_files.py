"""CSV files: what a person is called never runs as a formula in somebody's spreadsheet."""

from __future__ import annotations

import csv
import io

import pytest

from tests.house.tree import imported, python_files, text
from tracker.commands.csv_files import write_rows

# The beginnings that OWASP names under "CSV Injection".
FORMULAS = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "＝1", "＋1", "－1", "＠1"]  # noqa: RUF001


@pytest.mark.parametrize("column", range(3))
def test_no_cell_in_any_column_begins_a_formula(column: int) -> None:
    file = io.StringIO(newline="")
    rows = [["Ines Pell", "ines@studio.example", "Tuesday"] for _ in FORMULAS]
    for row, formula in zip(rows, FORMULAS, strict=True):
        row[column] = formula

    write_rows(file, rows)

    read = list(csv.reader(io.StringIO(file.getvalue(), newline="")))
    assert [row[column] for row in read] == [f"'{formula}" for formula in FORMULAS]
    assert all(cell[0].isalpha() for row in read for number, cell in enumerate(row) if number != column)


def test_every_csv_file_is_written_by_the_one_module_that_knows() -> None:
    writers = [
        path.name
        for path in python_files("tracker", "printing")
        if "csv" in imported(path) and ("csv.writer" in text(path) or "DictWriter" in text(path))
    ]

    assert writers == ["csv_files.py"]
