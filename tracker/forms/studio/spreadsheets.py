"""A table as a spreadsheet saves it: CSV, or the workbook of Office Open XML (ISO/IEC 29500), as rows of texts."""

from __future__ import annotations

import csv
import io
import json
import zipfile
import zlib
from base64 import b64decode, b64encode
from collections.abc import Iterator
from dataclasses import dataclass

from tracker.domain.message import Message, _
from tracker.domain.refusals import Unusable
from tracker.forms.plain_values import at_line
from tracker.forms.strict_json import THE_FILE, too_long

LONGEST_FILE = 5_000_000
"""Characters in a table; fifty thousand people take less."""

MOST_COLUMNS = 200

LONGEST_WORKBOOK = 20_000_000
"""Bytes of a workbook once unpacked."""

_A_PAIR = 2
_WORKBOOK = b"PK\x03\x04"
_BROKEN = (
    *(zipfile.BadZipFile, zlib.error, LookupError, ValueError, TypeError, AttributeError, SyntaxError),
    *(EOFError, OSError, NotImplementedError),
)
"""What reading a broken workbook, or a file that is packed but is no workbook, may raise; ill-formed XML is the
`SyntaxError`."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """The first row of a table that holds anything, and each further one with the line on which it begins.

    All rows of a workbook are of one length; a row of CSV is as long as it was written.
    """

    header: tuple[str, ...]
    line: int
    rows: tuple[tuple[int, tuple[str, ...]], ...]


def read_sheet(data: bytes) -> Sheet:
    """The table in a file of CSV (UTF-8) or in the first sheet of an .xlsx workbook; `Unusable` for any other."""
    if data.startswith(_WORKBOOK):
        return _workbook(data)
    try:
        return read_csv(data.decode("utf-8"))
    except UnicodeDecodeError:
        raise _no_sheet() from None


def read_csv(text: str) -> Sheet:
    """The table in `text`, divided by commas, semicolons or tabs; `Unusable` for a broken one."""
    text = text.removeprefix("\ufeff")
    if len(text) > LONGEST_FILE:
        raise _unusable(at_line(1, too_long(THE_FILE, LONGEST_FILE)))
    rows = list(_rows(text))
    return _sheet(rows)


def packed(sheet: Sheet) -> str:
    """A table as one short text of letters and digits, to travel along in a form."""
    told = [sheet.line, sheet.header, sheet.rows]
    return b64encode(json.dumps(told, ensure_ascii=False).encode()).decode()


def unpacked(text: str) -> Sheet:
    """The table that `packed` made this text of; `ValueError` for any other text."""
    match json.loads(b64decode(text, validate=True)):
        case [int(line), list(header), list(rows)]:
            pass
        case _:
            raise ValueError(text[:40])
    told = [(1, header), *((row[0], row[1]) for row in rows if isinstance(row, list) and len(row) == _A_PAIR)]
    for number, cells in told:
        is_row = type(number) is int and isinstance(cells, list) and all(isinstance(cell, str) for cell in cells)
        if not is_row:
            raise ValueError(text[:40])
    return Sheet(tuple(header), line, tuple((number, tuple(cells)) for number, cells in told[1:]))


def _rows(text: str) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Each row that is not empty, with the line on which it begins."""
    header = text.lstrip("\r\n").partition("\n")[0]
    delimiter = max(",;\t", key=header.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True, skipinitialspace=True)
    line = 1
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                yield line, tuple(row)
            line = reader.line_num + 1
    except csv.Error as fault:
        words = _("the quotes or line breaks of this row are broken ({fault}).")
        raise _unusable(at_line(line, Message("broken-row", words, fault=str(fault)))) from None


def _workbook(data: bytes) -> Sheet:
    """The first sheet of a workbook, its cells as the texts that they show without their format."""
    # Only who uploads a workbook waits for its reader to load.
    from openpyxl import load_workbook  # noqa: PLC0415

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            unpacked = sum(one.file_size for one in packed.infolist())
        if unpacked > LONGEST_WORKBOOK:
            raise _unusable(at_line(1, too_long(THE_FILE, LONGEST_FILE)))
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        cells = enumerate(book.worksheets[0].iter_rows(values_only=True, max_col=MOST_COLUMNS), start=1)
        read = [(line, tuple(map(_text, row))) for line, row in cells]
    except _BROKEN:
        raise _no_sheet() from None
    rows = [(line, row) for line, row in read if any(cell.strip() for cell in row)]
    wide = max((at for _, row in rows for at, cell in enumerate(row, start=1) if cell.strip()), default=0)
    return _sheet([(line, (*row, *[""] * wide)[:wide]) for line, row in rows])


def _text(cell: object) -> str:
    return "" if cell is None else str(cell)


def _sheet(rows: list[tuple[int, tuple[str, ...]]]) -> Sheet:
    line, header = rows[0] if rows else (1, ())
    return Sheet(tuple(cell.strip() for cell in header), line, tuple(rows[1:]))


def _no_sheet() -> Unusable:
    words = _("This file isn't a CSV in UTF-8 or an .xlsx workbook.")
    return Unusable([Message("no-sheet", words)], Message("save-as-sheet", _("Save it as one of them and try again.")))


def _unusable(problem: Message) -> Unusable:
    return Unusable([problem], Message("fix-table", _("Fix this in the file and try again. Nothing was changed.")))
