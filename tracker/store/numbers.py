"""Numbers of rows: what a column can hold, and how many are asked for at once."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Column, ColumnElement, CursorResult, false

LARGEST_NUMBER = 2**31 - 1
AT_ONCE = 500
"""So many numbers go into one statement; engines have a limit."""


def is_number(column: Column[int], number: int | None) -> ColumnElement[bool]:
    """Whether a row has this number; no row has one that the column could not hold."""
    return column == number if is_possible(number) else false()


def is_possible(number: int | None) -> bool:
    """Whether a row can have this number."""
    return number is not None and number <= LARGEST_NUMBER


def new_number(done: CursorResult[Any]) -> int:
    """The number that the database gave to the row just inserted."""
    (number,) = done.inserted_primary_key or (0,)
    return int(number)
