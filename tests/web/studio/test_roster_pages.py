"""A roster out of a spreadsheet on pages: nothing changes before it was looked at, and a bad one changes nothing."""

from __future__ import annotations

import io
import re
from html import unescape
from typing import TYPE_CHECKING

import pytest

from tests.forms.studio.test_spreadsheets import workbook
from tests.studio import ADA, INES, MIRA, TOM
from tracker.forms.studio.spreadsheets import packed, read_sheet

if TYPE_CHECKING:
    from tests.web.conftest import Room

HEADER = ["Student", "Mail", "Class"]


def _people(room: Room) -> set[tuple[str, str, str]]:
    return {(one.name, one.email, one.section) for one in room.store.read.people.listed()}


def _fields(page: str) -> dict[str, str]:
    """The hidden fields of the form that imports."""
    form = page.partition('action="/people/roster"')[2].partition("</form>")[0]
    return {
        name: unescape(value) for name, value in re.findall(r'type="hidden" name="([^"]+)"\s+value="([^"]*)"', form)
    }


def test_a_workbook_is_looked_at_its_columns_named_and_then_imported(room: Room) -> None:
    ada, before = room.visit(ADA), _people(room)
    rows = [HEADER, ["Oro, Pat", "pat@x.edu", "Tuesday"], [MIRA.name, MIRA.email, "Friday"]]
    file = (io.BytesIO(workbook(*rows)), "class.xlsx")

    looked = ada.post("/people/roster/look", {"file": file})
    sent = _fields(looked.text)
    unchanged = _people(room)
    other_way = ada.post("/people/roster/look", {**sent, "column-4": "0", "section": "Monday"})
    done = ada.post("/people/roster", sent)

    assert "Pat Oro" in looked.text
    assert "Friday" in looked.text
    assert INES.name in looked.text.partition("No longer on the roster")[2]
    assert unchanged == before
    assert other_way.status_code == 422
    assert ("Pat Oro", "pat@x.edu", "Tuesday") in _people(room)
    assert (MIRA.name, MIRA.email, "Friday") in _people(room)
    assert INES.email in {email for _, email, _ in _people(room)}
    [password] = re.findall(r'translate="no">([a-z0-9]{4}-[a-z0-9-]+)<', done.text)
    stranger = room.stranger()
    stranger.post("/sign-in", {"email": "pat@x.edu", "password": password})
    assert stranger.get("/pieces/new").location == "/password"


def test_whoever_is_gone_is_shut_out_only_where_that_is_ticked(room: Room) -> None:
    ada, ines = room.visit(ADA), room.visit(INES)
    file = (io.BytesIO(b"name,email,section\nPat Oro,pat@x.edu,Tuesday"), "class.csv")

    sent = _fields(ada.post("/people/roster/look", {"file": file}).text)
    ada.post("/people/roster", {**sent, "gone": "yes"})

    assert ines.get("/pieces").status_code == 302
    assert INES.name in ada.get("/people?left=yes").text
    assert INES.name not in ada.get("/people").text


def test_a_child_of_the_same_name_in_another_section_is_a_question_on_the_page(room: Room) -> None:
    ada = room.visit(ADA)
    ada.post("/people/new", {"name": "Zoe Kidd", "email": "", "section": "Monday", "role": "student"})
    (zoe,) = room.store.read.people.without_email(["Monday"])
    file = (io.BytesIO(b"name,email,section,minor\nZoe Kidd,,Tuesday,yes"), "class.csv")

    looked = ada.post("/people/roster/look", {"file": file}).text
    sent = _fields(looked)
    unsaid = ada.post("/people/roster", sent)
    ada.post("/people/roster", {**sent, "same-2": str(zoe.id)})

    assert f'<option value="{zoe.id}">' in looked.partition('name="same-2"')[2]
    assert (unsaid.status_code, 'name="same-2"' in unsaid.text) == (422, True)
    assert [one.id for one in room.store.read.people.without_email(["Monday", "Tuesday"])] == [zoe.id]


BAD = {
    "no file": b"",
    "not a table": b"\x00\x01\x02",
    "not UTF-8": "name,email\nZo\xeb,z@x.edu".encode("latin-1"),
    "no header": b"Pat Oro,pat@x.edu",
    "no emails": b"name,section\nPat,Tuesday",
    "no names": b"email,section\npat@x.edu,Tuesday",
    "first names alone": b"first name,email\nPat,pat@x.edu",
    "nobody": b"name,email\n",
    "blank name": b"name,email\n,pat@x.edu",
    "blank email of staff": b"name,email,role\nPat,,staff",
    "no way to tell apart": f"name,email,section\n{MIRA.name.upper()},,{MIRA.section}".encode(),
    "name twice without email": b"name,email,section\nPat Oro,,Tuesday\nPAT ORO,,Tuesday",
    "no email": b"name,email\nPat,pat at x.edu",
    "long email": b"name,email\nPat," + b"a" * 250 + b"@x.edu",
    "long name": b"name,email\n" + b"P" * 61 + b",pat@x.edu",
    "formula": b"name,email\n=1+1,pat@x.edu",
    "email twice": b"name,email\nPat,pat@x.edu\nPit,PAT@x.edu",
    "other role": b"name,email,role\nPat,pat@x.edu,teacher",
    "short row": b"name,email,section\nPat,pat@x.edu",
    "long row": b"name,email\nPat,pat@x.edu,Tuesday",
    "open quote": b'name,email\n"Pat,pat@x.edu',
    "long section": b"name,email,section\nPat,pat@x.edu," + b"T" * 61,
    "too many": b"name,email\n" + b"".join(b"P%d,p%d@x.edu\n" % (at, at) for at in range(2_001)),
    "last instructor": f"name,email,role\nAda,{ADA.email},student".encode(),
}


@pytest.mark.parametrize("kind", BAD)
def test_a_bad_roster_gets_a_sentence_for_each_row_and_changes_nothing(room: Room, kind: str) -> None:
    ada, before = room.visit(ADA), _people(room)

    if kind == "last instructor":
        answer = ada.post("/people/roster", {"table": packed(read_sheet(BAD[kind]))})
    else:
        answer = ada.post("/people/roster/look", {"file": (io.BytesIO(BAD[kind]), "class.csv" if BAD[kind] else "")})

    problems = answer.text.partition('class="problems"')[2].partition("</ul>")[0]
    told = re.findall(r"<li><a[^>]*>([^<]+)</a>", problems)
    assert 400 <= answer.status_code < 500
    assert len(told) == 1
    assert told[0].endswith(".")
    assert _people(room) == before


@pytest.mark.parametrize(
    "table", ["name,email", "e30=", "WzEsWyJuYW1lIl0sW1siMiIsWyJhIl1dXV0=", "WzEsWyJuYW1lIl0sW1syLFsxXV1dXQ=="]
)
def test_a_table_that_no_page_sent_is_refused(room: Room, table: str) -> None:
    before = _people(room)

    assert room.visit(ADA).post("/people/roster", {"table": table}).status_code == 422
    assert _people(room) == before


def test_only_the_instructor_imports_a_roster(room: Room) -> None:
    for who in (TOM, INES):
        visitor = room.visit(who)
        assert visitor.get("/people/roster").status_code == 403
        assert (
            visitor.post("/people/roster", {"table": packed(read_sheet(b"name,email\nPat,pat@x.edu"))}).status_code
            == 403
        )
