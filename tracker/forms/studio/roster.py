"""The roster of a class: a CSV file as a registrar's office or a spreadsheet writes it, read whole or not at all."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from difflib import get_close_matches

from tracker.domain.refusals import Unusable
from tracker.domain.studio.people import NewPerson, Role
from tracker.forms.plain_values import Wrong, read_name, read_text, shown

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
    problems: list[str] = []
    people: list[NewPerson] = []
    lines: dict[str, int] = {}
    rows = _rows(text, problems)
    columns = _columns(next(rows, (1, [])), problems)
    for line, row in rows if columns else ():
        try:
            person = _person(columns, row)
        except Wrong as wrong:
            problems.append(f"line {line}: {wrong.says}")
            continue
        if person.email in lines:
            problems.append(f"line {line}: {person.email} stands already on line {lines[person.email]}.")
        lines.setdefault(person.email, line)
        people.append(person)
    if not people and not problems:
        problems.append("line 2: nobody stands below the first line.")
    if problems:
        raise Unusable(problems, "Put these right in the file and import it again; nobody has been added.")
    return tuple(people)


def read_email(raw: object) -> str:
    """An email address in small letters; `Wrong` when mail could not be sent there."""
    if type(raw) is not str:
        raise Wrong("an email address is needed.")
    email = raw.strip()
    if len(email) > LONGEST_EMAIL or not _EMAIL.fullmatch(email):
        raise Wrong(f"{shown(email)} is no email address." if email else "the email is missing.")
    return email.lower()


def _rows(text: str, problems: list[str]) -> Iterator[tuple[int, list[str]]]:
    """Each row that is not empty, with the line on which it begins; a broken quote ends the file."""
    text = text.removeprefix("\ufeff")
    if len(text) > LONGEST_FILE:
        problems.append(f"line 1: the file is longer than {LONGEST_FILE:,} characters.")
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
        problems.append(f"line {line}: the quotes or line breaks of this row are broken ({fault}).")


def _columns(first: tuple[int, list[str]], problems: list[str]) -> list[str]:
    """The names of the columns in their order, or nothing when the first row does not name them all."""
    line, cells = first
    columns = [cell.strip().lower().replace("e-mail", "email") for cell in cells]
    missing = [name for name in COLUMNS if name not in columns]
    for column in columns:
        if column not in COLUMNS:
            near = get_close_matches(column[:40], missing, n=1)
            instead = f"did you mean “{near[0]}”?" if near else f"known are {', '.join(COLUMNS)}."
            problems.append(f"line {line}: there is no column {shown(column)}; {instead}")
        elif columns.count(column) > 1 and f"line {line}: the column “{column}” stands twice." not in problems:
            problems.append(f"line {line}: the column “{column}” stands twice.")
    if missing:
        problems.append(f"line {line}: the first line must name the columns; missing: {', '.join(missing)}.")
    return [] if problems else columns


def _person(columns: list[str], row: list[str]) -> NewPerson:
    """The person on one row; `Wrong` with everything that is wrong with it in one sentence."""
    if len(row) != len(columns):
        raise Wrong(f"{len(columns)} columns are needed here, and this row has {len(row)}.")
    cells = dict(zip(columns, row, strict=True))
    found: dict[str, str] = {}
    wrong: list[str] = []
    for column, reader in (("name", _name), ("email", read_email), ("section", read_text), ("role", _role)):
        try:
            found[column] = reader(cells[column])
        except Wrong as answer:
            wrong.append(answer.says.removesuffix("."))
    if wrong:
        raise Wrong(f"{'; '.join(wrong)}.")
    return NewPerson(name=found["name"], email=found["email"], section=found["section"], role=Role(found["role"]))


def _name(raw: object) -> str:
    name = " ".join(read_name(raw).split())
    if name.startswith(_LIKE_A_FORMULA):
        raise Wrong(f"{shown(name)} does not begin like a name.")
    return name


def _role(raw: object) -> str:
    role = str(raw).strip().lower()
    if role not in set(Role):
        raise Wrong(f"the role is {', '.join(Role)}, not {shown(role)}.")
    return role
