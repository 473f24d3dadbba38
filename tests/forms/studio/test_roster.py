"""A roster is read whole, or every bad row is named by its line and nobody is taken."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import said
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
    ("row", "says"),
    [
        pytest.param("Ann,ann,Monday,student", 'line 3: "ann" is no email address.', id="email"),
        pytest.param("Ann,,Monday,student", "line 3: the email is missing.", id="no email"),
        pytest.param(",ann@x.edu,Monday,student", "line 3: a name is needed", id="no name"),
        pytest.param(
            "Ann,ann@x.edu,Monday,teacher", 'line 3: the role is student, staff, instructor, not "teacher"', id="role"
        ),
        pytest.param("Ann,ann@x.edu,Monday,", "line 3: the role is", id="no role"),
        pytest.param("Ann,ann@x.edu,student", "line 3: 4 columns are needed here, and this row has 3", id="short row"),
        pytest.param("Ann,ann@x.edu,Monday,student,x", "and this row has 5", id="long row"),
        pytest.param("=1+1,ann@x.edu,Monday,student", "does not begin like a name", id="formula"),
        pytest.param("Ann,=1@x.edu,Monday,student", "is no email address", id="formula for an email"),
        pytest.param("A\x00nn,ann@x.edu,Monday,student", "U+0000", id="nul"),
        pytest.param(f"{'A' * 61},ann@x.edu,Monday,student", "61 characters", id="long name"),
        pytest.param(
            "Ann,MIRA@example.edu,Monday,student", "line 3: mira@example.edu stands already on line 2", id="twice"
        ),
        pytest.param('Ann,ann@x.edu,"Monday,student', "line 3: the quotes or line breaks", id="open quote"),
        pytest.param("An,an,Monday,boss", "no email address; the role is", id="two things at once"),
    ],
)
def test_a_bad_row_is_named_by_its_line(row: str, says: str) -> None:
    with pytest.raises(Unusable) as caught:
        read_roster(f"name,email,section,role\nMira Tann,mira@example.edu,Tuesday,student\n{row}")

    assert says in said(caught.value.message)


def test_all_bad_rows_are_named_at_once_and_counted_by_their_lines_in_the_file() -> None:
    text = 'name,email,section,role\n"Mira\n Tann",mira@example.edu,,student\n\nAnn,ann,,student\nBo,bo@x.edu,,boss'

    with pytest.raises(Unusable) as caught:
        read_roster(text)

    assert [said(problem).split(":")[0] for problem in caught.value.problems] == ["line 2", "line 5", "line 6"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        pytest.param("", "missing: name, email, section, role", id="empty"),
        pytest.param("name,email,section,role\n", "nobody", id="nobody"),
        pytest.param("name,mail,section,role\nA,a@x.edu,,student", "did you mean “email”", id="misspelt column"),
        pytest.param("name,email,role\nA,a@x.edu,student", "missing: section", id="missing column"),
        pytest.param("name,email,section,role,name\n", "“name” stands twice", id="column twice"),
        pytest.param("name,email,section,role,phone\n", 'no column "phone"', id="unknown column"),
        pytest.param("Mira,mira@example.edu,Tuesday,student", "the first line must name the columns", id="no header"),
    ],
)
def test_a_file_that_is_no_roster_is_refused_with_a_sentence(text: str, says: str) -> None:
    with pytest.raises(Unusable) as caught:
        read_roster(text)

    assert says in said(caught.value.message)


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
        with pytest.raises(Unusable, match="line "):
            read_roster(text)
