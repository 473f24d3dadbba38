"""The roster of a class as a registrar's office or a spreadsheet writes it: everybody on it, or every bad row."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from difflib import get_close_matches
from enum import StrEnum
from typing import Any

from tracker.domain.message import Either, Message, _
from tracker.domain.refusals import Unusable
from tracker.domain.studio.people import NewPerson, Role, namesake
from tracker.domain.studio.spelling import plain
from tracker.forms.plain_values import Wrong, at_line, read_name, read_text, shown
from tracker.forms.studio.spreadsheets import Sheet, read_csv


class Column(StrEnum):
    """What a column of a roster may hold."""

    NAME = "name"
    FIRST = "first name"
    LAST = "last name"
    EMAIL = "email"
    SECTION = "section"
    ROLE = "role"
    SUPERVISED = "minor or visitor"


LONGEST_EMAIL = 254
"""Characters in an email address that mail can be sent to (RFC 5321, from memory)."""

# What registrars and spreadsheets call a column, in small letters without other signs (common practice).
_CALLED: Mapping[Column, tuple[str, ...]] = {
    Column.NAME: ("name", "fullname", "student", "studentname", "displayname"),
    Column.FIRST: ("firstname", "first", "givenname", "forename", "preferredname"),
    Column.LAST: ("lastname", "last", "surname", "familyname"),
    Column.EMAIL: ("email", "mail", "emailaddress", "studentemail", "schoolemail"),
    Column.SECTION: ("section", "class", "group", "course", "sectionname"),
    Column.ROLE: ("role",),
    Column.SUPERVISED: ("minororvisitor", "minor", "visitor", "supervised"),
}

# A spreadsheet takes a cell that begins like this for a formula, also where our own lists are opened with one.
_LIKE_A_FORMULA = tuple("=+-@")

_YES = frozenset({"yes", "y", "x", "true", "1", "minor", "visitor"})
_NO = frozenset({"", "no", "n", "false", "0"})

_EMAIL = re.compile(r"[A-Za-z0-9][A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]*@[A-Za-z0-9-]+(?:\.[A-Za-z0-9-]+)+", re.ASCII)
_LAST_THEN_FIRST = re.compile(r"([^,]+),\s*([^,]+)")


def read_roster(text: str) -> tuple[NewPerson, ...]:
    """Everybody in the CSV `text`; `Unusable` with every bad row by its line when there is one.

    The first line names the columns, in any order and case; of those that mean nothing here, nothing is read. Columns
    are divided by commas, semicolons or tabs. Empty lines are passed over. Emails are taken in small letters.
    """
    sheet = read_csv(text)
    return people_in(sheet, guessed_columns(sheet.header))


def guessed_columns(header: tuple[str, ...]) -> dict[Column, int]:
    """Which column of a table holds what, by its name; where a name stands twice, the first of them."""
    called = [re.sub(r"[^a-z]", "", plain(cell)) for cell in header]
    found = {}
    for column, names in _CALLED.items():
        if here := [called.index(name) for name in names if name in called]:
            found[column] = here[0]
    if Column.NAME in found and {Column.FIRST, Column.LAST} <= found.keys():
        del found[Column.NAME]
    return found


def people_in(sheet: Sheet, columns: Mapping[Column, int], *, section: str = "") -> tuple[NewPerson, ...]:
    """Everybody in a table whose `columns` hold what they are said to; `Unusable` with every bad row by its line.

    Who has no section on their row is of `section`, and who has no role is a student.
    """
    problems = _missing(sheet, columns)
    people: list[NewPerson] = []
    lines: dict[object, int] = {}
    for line, row in () if problems else sheet.rows:
        found: list[Message] = []
        person = _person(sheet, columns, row, section, found)
        problems += (at_line(line, one) for one in found)
        if person is None:
            continue
        key = person.email or namesake(person)
        if key in lines:
            problems.append(at_line(line, _twice(person, lines[key])))
        lines.setdefault(key, line)
        people.append(replace(person, line=line))
    if not people and not problems:
        problems.append(at_line(sheet.line + 1, Message("nobody", _("there are no people in the file."))))
    if problems:
        words = _("Fix these in the file and import it again. No one was added.")
        raise Unusable(problems, Message("fix-roster", words))
    return tuple(people)


def read_email(raw: object) -> str:
    """An email address in small letters; `Wrong` when mail could not be sent there."""
    if type(raw) is not str:
        raise Wrong(Message("email-needed", _("expected an email address.")))
    email = raw.strip()
    if not email:
        raise Wrong(Message("email-missing", _("the email is missing.")))
    if len(email) > LONGEST_EMAIL or not _EMAIL.fullmatch(email):
        raise Wrong(Message("not-an-email", _('"{text}" isn\'t an email address.'), text=shown(email)))
    return email.lower()


def read_email_of(role: Role, raw: object) -> str:
    """An email address, or nothing for whoever may be here without one: `Wrong` for those who run the studio."""
    if not role.runs_studio and type(raw) is str and not raw.strip():
        return ""
    return read_email(raw)


def read_person_name(raw: object) -> str:
    """A person's name on one line, its words one space apart; `Wrong` where it is none."""
    name = " ".join(read_name(raw).split())
    if name.startswith(_LIKE_A_FORMULA):
        raise Wrong(Message("like-a-formula", _('"{name}" doesn\'t look like a name.'), name=shown(name)))
    return name


def read_role(raw: object) -> Role:
    """A role by its name; a student where none is given; `Wrong` for any other word."""
    role = str(raw).strip().lower() or Role.STUDENT
    if role not in set(Role):
        words = _('the role is {roles}, not "{role}".')
        raise Wrong(Message("no-such-role", words, roles=Either(tuple(map(str, Role))), role=shown(role)))
    return Role(role)


def read_supervised(raw: object) -> bool:
    """Whether somebody is a minor or a visitor; blank is no, and `Wrong` for what is neither a yes nor a no."""
    word = str(raw).strip().lower()
    if word not in _YES | _NO:
        words = _('say yes or no for a minor or a visitor, not "{text}".')
        raise Wrong(Message("not-yes-or-no", words, text=shown(word)))
    return word in _YES


def _missing(sheet: Sheet, columns: Mapping[Column, int]) -> list[Message]:
    """What a table must have and hasn't: a column of names, or of first and last names, and one of emails."""
    needed = [] if Column.EMAIL in columns else [Column.EMAIL]
    if Column.NAME not in columns and not {Column.FIRST, Column.LAST} <= columns.keys():
        needed.insert(0, Column.NAME)
    header = [cell.casefold() for cell in sheet.header]
    near = {column: found[0] for column in needed if (found := get_close_matches(column, header, n=1))}
    words = _('there\'s no column “{missing}”. Is it "{near}"? Change its name.')
    problems = [
        Message("column-misspelt", words, missing=column.value, near=shown(like)) for column, like in near.items()
    ]
    if unknown := tuple(column.value for column in needed if column not in near):
        words = _("the first line must name the columns; missing: {missing}.")
        problems.append(Message("columns-missing", words, missing=unknown))
    if len(set(columns.values())) < len(columns):
        problems.append(Message("column-means-two-things", _("one column can't be two things at once.")))
    return [at_line(sheet.line, one) for one in problems]


def _person(
    sheet: Sheet, columns: Mapping[Column, int], row: tuple[str, ...], section: str, problems: list[Message]
) -> NewPerson | None:
    """The person on one row; None with everything that is wrong with it among the `problems`."""
    while len(row) > len(sheet.header) and not row[-1].strip():
        row = row[:-1]
    if len(row) != len(sheet.header):
        words = _("expected {needed} columns. This row has {count}.")
        problems.append(Message("row-of-other-length", words, needed=len(sheet.header), count=len(row)))
        return None
    cells = {column: row[at] for column, at in columns.items()}
    readers: tuple[tuple[str, Callable[[Mapping[Column, str]], Any]], ...] = (
        *(("name", _name), ("email", _email), ("section", _section), ("role", _role)),
        ("supervised", _supervised),
    )
    found: dict[str, Any] = {}
    for name, reader in readers:
        try:
            found[name] = reader(cells)
        except Wrong as wrong:
            problems.append(wrong.message)
    if problems:
        return None
    role = Role(found["role"])
    of_section = found["section"] or (section if role is Role.STUDENT else "")
    return NewPerson(**{**found, "section": of_section, "role": role})


def _twice(person: NewPerson, first: int) -> Message:
    if person.email:
        return Message("email-twice", _("{email} is already on line {first}."), email=person.email, first=first)
    words = _("{name} is already on line {first}, also without an email. Add an email or a middle initial.")
    return Message("name-twice", words, name=person.name, first=first)


def _name(cells: Mapping[Column, str]) -> str:
    if Column.NAME not in cells:
        return read_person_name(f"{cells[Column.FIRST]} {cells[Column.LAST]}")
    if found := _LAST_THEN_FIRST.fullmatch(cells[Column.NAME].strip()):
        return read_person_name(f"{found[2]} {found[1]}")
    return read_person_name(cells[Column.NAME])


def _email(cells: Mapping[Column, str]) -> str:
    try:
        role = read_role(cells.get(Column.ROLE, ""))
    except Wrong:
        role = Role.STUDENT
    return read_email_of(role, cells[Column.EMAIL])


def _section(cells: Mapping[Column, str]) -> str:
    return read_text(cells.get(Column.SECTION, ""))


def _role(cells: Mapping[Column, str]) -> str:
    return read_role(cells.get(Column.ROLE, ""))


def _supervised(cells: Mapping[Column, str]) -> bool | None:
    """None where no column tells: whoever is here stays as they are."""
    return read_supervised(cells[Column.SUPERVISED]) if Column.SUPERVISED in cells else None
