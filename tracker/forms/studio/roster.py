"""The roster of a class: a CSV file as a registrar's office or a spreadsheet writes it, read whole or not at all."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from difflib import get_close_matches

from tracker.domain.message import Either, Message, _
from tracker.domain.refusals import Unusable
from tracker.domain.studio.people import NewPerson, Role
from tracker.forms.plain_values import Wrong, at_line, read_name, read_text, shown
from tracker.forms.strict_json import THE_FILE, too_long

COLUMNS = ("name", "email", "section", "role")
"""What a roster holds; the columns may stand in any order."""

LONGEST_FILE = 5_000_000
"""Characters in a roster; fifty thousand people take less."""

LONGEST_EMAIL = 254
"""Characters in an email address that mail can be sent to (RFC 5321, from memory)."""

# A spreadsheet takes a cell that begins like this for a formula, also where our own lists are opened with one.
_LIKE_A_FORMULA = tuple("=+-@")

_EMAIL = re.compile(r"[A-Za-z0-9][A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]*@[A-Za-z0-9-]+(?:\.[A-Za-z0-9-]+)+", re.ASCII)


def read_roster(text: str) -> tuple[NewPerson, ...]:
    """Everybody in the CSV `text`; `Unusable` with every bad row by its line when there is one.

    The first line names the columns name, email, section and role, in any order and case. Columns are divided by
    commas, semicolons or tabs. Empty lines are passed over. Emails are taken in small letters.
    """
    problems: list[Message] = []
    people: list[NewPerson] = []
    lines: dict[str, int] = {}
    rows = _rows(text, problems)
    columns = _columns(next(rows, (1, [])), problems)
    for line, row in rows if columns else ():
        found: list[Message] = []
        person = _person(columns, row, found)
        problems += (at_line(line, one) for one in found)
        if person is None:
            continue
        if person.email in lines:
            words = _("{email} is already on line {first}.")
            twice = Message("email-twice", words, email=person.email, first=lines[person.email])
            problems.append(at_line(line, twice))
        lines.setdefault(person.email, line)
        people.append(person)
    if not people and not problems:
        problems.append(at_line(2, Message("nobody", _("there are no people in the file."))))
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


def _rows(text: str, problems: list[Message]) -> Iterator[tuple[int, list[str]]]:
    """Each row that is not empty, with the line on which it begins; a broken quote ends the file."""
    text = text.removeprefix("\ufeff")
    if len(text) > LONGEST_FILE:
        problems.append(at_line(1, too_long(THE_FILE, LONGEST_FILE)))
        return
    header = text.lstrip("\r\n").partition("\n")[0]
    delimiter = max(",;\t", key=header.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True, skipinitialspace=True)
    line = 1
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                yield line, row
            line = reader.line_num + 1
    except csv.Error as fault:
        words = _("the quotes or line breaks of this row are broken ({fault}).")
        problems.append(at_line(line, Message("broken-row", words, fault=str(fault))))


def _columns(first: tuple[int, list[str]], problems: list[Message]) -> list[str]:
    """The names of the columns in their order, or nothing when the first row does not name them all."""
    line, cells = first
    columns = [cell.strip().lower().replace("e-mail", "email") for cell in cells]
    missing = [name for name in COLUMNS if name not in columns]
    found = [_unknown_column(column, missing) for column in columns if column not in COLUMNS]
    twice = [column for column in COLUMNS if columns.count(column) > 1]
    found += [Message("column-twice", _("the column “{column}” appears twice."), column=column) for column in twice]
    if missing:
        words = _("the first line must name the columns; missing: {missing}.")
        found.append(Message("columns-missing", words, missing=tuple(missing)))
    problems += (at_line(line, one) for one in found)
    return [] if problems else columns


def _unknown_column(column: str, missing: list[str]) -> Message:
    if near := get_close_matches(column[:40], missing, n=1):
        words = _('there\'s no column "{column}". Did you mean “{near}”?')
        return Message("column-misspelt", words, column=shown(column), near=near[0])
    words = _('there\'s no column "{column}". The columns are {known}.')
    return Message("column-unknown", words, column=shown(column), known=COLUMNS)


def _person(columns: list[str], row: list[str], problems: list[Message]) -> NewPerson | None:
    """The person on one row; None with everything that is wrong with it among the `problems`."""
    if len(row) != len(columns):
        words = _("expected {needed} columns. This row has {count}.")
        problems.append(Message("row-of-other-length", words, needed=len(columns), count=len(row)))
        return None
    cells = dict(zip(columns, row, strict=True))
    found: dict[str, str] = {}
    for column, reader in (("name", _name), ("email", read_email), ("section", read_text), ("role", _role)):
        try:
            found[column] = reader(cells[column])
        except Wrong as wrong:
            problems.append(wrong.message)
    if problems:
        return None
    return NewPerson(name=found["name"], email=found["email"], section=found["section"], role=Role(found["role"]))


def _name(raw: object) -> str:
    name = " ".join(read_name(raw).split())
    if name.startswith(_LIKE_A_FORMULA):
        raise Wrong(Message("like-a-formula", _('"{name}" doesn\'t look like a name.'), name=shown(name)))
    return name


def _role(raw: object) -> str:
    role = str(raw).strip().lower()
    if role not in set(Role):
        words = _('the role is {roles}, not "{role}".')
        raise Wrong(Message("no-such-role", words, roles=Either(tuple(map(str, Role))), role=shown(role)))
    return role
