"""A workbook is read as the spreadsheet shows it; a file that is neither workbook nor CSV gets one sentence."""

from __future__ import annotations

import io
import zipfile
from typing import TYPE_CHECKING

import pytest
from openpyxl import Workbook

from tests.reading import said
from tracker.domain.refusals import Unusable
from tracker.domain.studio.people import NewPerson
from tracker.forms.studio.roster import guessed_columns, people_in
from tracker.forms.studio.spreadsheets import LONGEST_FILE, read_sheet

if TYPE_CHECKING:
    from collections.abc import Sequence


def workbook(*rows: Sequence[object]) -> bytes:
    """An .xlsx file with these rows on its first sheet, and a second sheet that nobody asked for."""
    book, file = Workbook(), io.BytesIO()
    assert book.active is not None
    for row in rows:
        book.active.append(list(row))
    book.create_sheet("notes").append(["name", "email"])
    book.save(file)
    return file.getvalue()


def test_a_workbook_is_read_like_its_csv() -> None:
    data = workbook(
        [None, None],
        ["Last name", "First name", "ID", "E-mail", "Section"],
        ["Tann", "Mira", 42, "Mira@example.edu", "Tuesday"],
        [],
        ["O\u2019Dea", "Bo", 4.5, "bo@example.edu", 12],
    )

    sheet = read_sheet(data)

    assert [line for line, _ in sheet.rows] == [3, 5]
    assert people_in(sheet, guessed_columns(sheet.header)) == (
        NewPerson(name="Mira Tann", email="mira@example.edu", section="Tuesday"),
        NewPerson(name="Bo O\u2019Dea", email="bo@example.edu", section="12"),
    )


def _packed(name: str, data: bytes) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr(name, data)
    return file.getvalue()


BROKEN = {
    "old Excel": bytes.fromhex("d0cf11e0a1b11ae1") + bytes(100),
    "other letters": "name,email\nZo\xeb,zoe@example.edu".encode("latin-1"),
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(50),
    "cut short": workbook(["name", "email"], ["Bo", "bo@example.edu"])[:900],
    "packed, but no workbook": _packed("readme.txt", b"name,email"),
    "an empty workbook's parts": _packed("xl/workbook.xml", b"<x"),
    "a bomb": _packed("xl/worksheets/sheet1.xml", bytes(30_000_000)),
    "too long": b"name,email\n" + b"a,b\n" * (LONGEST_FILE // 4),
    "an open quote": b'name,email\n"Bo,bo@example.edu',
}


@pytest.mark.parametrize("kind", BROKEN)
def test_a_file_that_is_no_table_is_refused_with_a_sentence(kind: str) -> None:
    with pytest.raises(Unusable) as refused:
        read_sheet(BROKEN[kind])

    assert len(refused.value.problems) == 1
    assert said(refused.value.problems[0]).endswith(".")
