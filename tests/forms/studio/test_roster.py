"""A roster is read whole, or every bad row is named by its line and nobody is taken."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import is_told, said
from tracker.domain.message import Fact
from tracker.domain.refusals import Unusable
from tracker.domain.studio.people import NewPerson, Role
from tracker.forms.studio.roster import read_roster

MIRA = NewPerson(name="Mira Tann", email="mira@example.edu", section="Tuesday", role=Role.STUDENT)
TOM = NewPerson(name="Tom Vale", email="tom@example.edu", role=Role.STAFF)


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(
            "name,email,section,role\nMira Tann,mira@example.edu,Tuesday,student\nTom Vale,tom@example.edu,,staff\n",
            id="as documented",
        ),
        pytest.param(
            "\ufeffRole;Section;E-Mail;NAME\r\n"
            "Student;Tuesday;Mira@Example.edu;Mira Tann\r\nSTAFF;;tom@example.edu;Tom Vale",
            id="spreadsheet",
        ),
        pytest.param(
            "name, email, section, role\n\n"
            '"Mira  Tann", mira@example.edu ,"Tuesday", student\n,,,\nTom Vale,tom@example.edu,,staff',
            id="quotes, spaces and empty lines",
        ),
        pytest.param(
            "name\temail\tsection\trole\r"
            "Mira Tann\tmira@example.edu\tTuesday\tstudent\rTom Vale\ttom@example.edu\t\tstaff",
            id="tabs and old line ends",
        ),
    ],
)
def test_a_roster_is_read_however_a_spreadsheet_wrote_it(text: str) -> None:
    assert read_roster(text) == (MIRA, TOM)


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(
            "Last Name,First Name,Student ID,Email Address,Course,Role\n"
            "Tann,Mira,0042,mira@example.edu,Tuesday,\nVale,Tom,0043,tom@example.edu,,Staff,\n",
            id="first and last name, a column of no meaning, no role, a blank cell at the end",
        ),
        pytest.param('Student;Mail;Class\n"Tann, Mira";mira@example.edu;Tuesday\n', id="last name first"),
    ],
)
def test_columns_are_known_by_what_registrars_call_them(text: str) -> None:
    first, *others = read_roster(text)

    assert first == MIRA
    assert others in ([], [TOM])


@pytest.mark.parametrize(
    ("row", "code", "facts"),
    [
        pytest.param("Ann,ann,Monday,student", "not-an-email", {}, id="email"),
        pytest.param("Ann,,,staff", "email-missing", {}, id="staff without an email"),
        pytest.param(",ann@x.edu,Monday,student", "name-missing", {}, id="no name"),
        pytest.param("Ann,ann@x.edu,Monday,teacher", "no-such-role", {}, id="role"),
        pytest.param("Ann,ann@x.edu,student", "row-of-other-length", {"needed": 4, "count": 3}, id="short row"),
        pytest.param("Ann,ann@x.edu,Monday,student,x", "row-of-other-length", {"needed": 4, "count": 5}, id="long row"),
        pytest.param("=1+1,ann@x.edu,Monday,student", "like-a-formula", {"name": "=1+1"}, id="formula"),
        pytest.param("Ann,=1@x.edu,Monday,student", "not-an-email", {}, id="formula for an email"),
        pytest.param("A\x00nn,ann@x.edu,Monday,student", "stray-character", {"character": "U+0000"}, id="nul"),
        pytest.param(f"{'A' * 61},ann@x.edu,Monday,student", "text-too-long", {"long": 61, "most": 60}, id="long name"),
        pytest.param(
            "Ann,MIRA@example.edu,Monday,student", "email-twice", {"email": "mira@example.edu", "first": 2}, id="twice"
        ),
        pytest.param("Ann,,,\nANN,,,member", "name-twice", {"name": "ANN", "first": 3, "line": 4}, id="name twice"),
        pytest.param('Ann,ann@x.edu,"Monday,student', "broken-row", {}, id="open quote"),
        pytest.param("An,an,Monday,boss", "not-an-email", {}, id="two things at once"),
    ],
)
def test_a_bad_row_is_named_by_its_line(row: str, code: str, facts: dict[str, Fact]) -> None:
    with pytest.raises(Unusable) as caught:
        read_roster(f"name,email,section,role\nMira Tann,mira@example.edu,Tuesday,student\n{row}")

    problem = caught.value.problems[0]
    assert is_told(problem, code, {"line": 3, **facts})
    assert said(problem).startswith(f"line {problem['line']}: ")


@pytest.mark.parametrize(("cell", "supervised"), [("yes", True), ("X", True), ("", False), ("no", False)])
def test_a_column_tells_who_is_a_minor_or_a_visitor(cell: str, supervised: bool) -> None:  # noqa: FBT001 -- of a table
    (one,) = read_roster(f"name,email,minor or visitor\nMira Tann,mira@example.edu,{cell}\n")

    assert one.supervised is supervised


def test_all_bad_rows_are_named_at_once_and_counted_by_their_lines_in_the_file() -> None:
    text = 'name,email,section,role\n"Mira\n Tann",mira@example.edu,,student\n\nAnn,ann,,student\nBo,bo,,boss'

    with pytest.raises(Unusable) as caught:
        read_roster(text)

    assert [problem["line"] for problem in caught.value.problems] == [2, 5, 6, 6]


@pytest.mark.parametrize(
    ("text", "code", "facts"),
    [
        pytest.param("", "columns-missing", {}, id="empty"),
        pytest.param("name,email,section,role\n", "nobody", {}, id="nobody"),
        pytest.param(
            "name,eemail,section,role\nA,a@x.edu,,student",
            "column-misspelt",
            {"missing": "email", "near": "eemail"},
            id="misspelt column",
        ),
        pytest.param("name,section,role\nA,Monday,student", "columns-missing", {"missing": ("email",)}, id="no emails"),
        pytest.param("first name,email\nA,a@x.edu", "columns-missing", {"missing": ("name",)}, id="first names alone"),
        pytest.param("Mira,mira@example.edu,Tuesday,student", "columns-missing", {}, id="no header"),
        pytest.param("name,email\n'A','a@x.edu", "not-an-email", {}, id="other quotes"),
    ],
)
def test_a_file_that_is_no_roster_is_refused_with_a_sentence(text: str, code: str, facts: dict[str, Fact]) -> None:
    with pytest.raises(Unusable) as caught:
        read_roster(text)

    assert any(is_told(problem, code, facts) for problem in caught.value.problems)
    assert all(said(problem).endswith((".", "?")) for problem in caught.value.problems)


letters = st.characters(categories=["L", "N"])
people = st.builds(
    NewPerson,
    name=st.text(letters, min_size=1, max_size=60),
    email=st.from_regex(r"[a-z0-9][a-z0-9.]{0,10}@[a-z]{1,9}\.edu", fullmatch=True),
    section=st.text(letters, max_size=60) | st.just('A; "B", C'),
    role=st.sampled_from(Role),
)


@given(
    st.lists(people, min_size=1, max_size=5, unique_by=lambda person: person.email),
    st.permutations(["name", "email", "section", "role"]),
    st.sampled_from(",;\t"),
)
def test_what_a_csv_writer_writes_is_read_back_equal(some: list[NewPerson], order: list[str], delimiter: str) -> None:
    file = io.StringIO(newline="")
    writer = csv.writer(file, delimiter=delimiter)
    writer.writerow(order)
    writer.writerows([getattr(person, column) for column in order] for person in some)

    assert read_roster(file.getvalue()) == tuple(some)


@given(st.text(max_size=100), st.text(max_size=100))
def test_any_text_is_a_roster_or_refused(header: str, rows: str) -> None:
    for text in (header + rows, f"name,email,section,role\n{rows}"):
        with pytest.raises(Unusable) as refused:
            read_roster(text)
        assert all("line" in problem for problem in refused.value.problems)
