"""People from the command line: a class from its roster, and a new password for whoever lost theirs."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TextIO

import click

from tracker.commands.csv_files import write_rows
from tracker.commands.house import FILE, NEW_FILE, House, as_json_option, by_option, progress, say
from tracker.domain.message import Message, _, together
from tracker.domain.studio.people import NewPerson, Person
from tracker.store.rooms import flush_folder
from tracker.wording.render import say as text


@click.command(
    "import-roster",
    short_help=_("Add and change people from a CSV or .xlsx file."),
    help=_(
        "Add the new people of a CSV or .xlsx file and change those who are here: all of it or nothing.\n\n"
        "The first line names the columns: name (or first name and last name), email, section, role. "
        "Students and members may be without an email."
    ),
)
@click.argument("path", metavar="FILE", type=FILE)
@click.option(
    "--passwords", type=NEW_FILE, help=_("Write the first passwords to this new file instead of showing them.")
)
@click.option("--term", metavar="NAME", help=_("The term of the roster's sections (default: the running one)."))
@by_option
@as_json_option
@click.pass_obj
def import_roster(
    house: House, path: Path, passwords: Path | None, term: str | None, by: str | None, *, as_json: bool
) -> None:
    """Add the new people of a CSV or .xlsx file and change those who are here: all of it or nothing."""
    from tracker.forms.studio.roster import guessed_columns, people_in
    from tracker.forms.studio.spreadsheets import read_sheet
    from tracker.usecases.studio.membership import enrol
    from tracker.usecases.studio.terms import term_called

    sheet = read_sheet(path.read_bytes())
    newcomers = people_in(sheet, guessed_columns(sheet.header))
    with house.store() as store, _kept_once_written(passwords) as keep, progress("Adding people") as note:
        request = house.request(store, by)

        def deliver(added: Sequence[tuple[Person, str]]) -> None:
            # Before the commit: whoever is in the studio has a password that somebody has.
            if keep:
                keep(added)
            elif (added and not store.outbox.is_on) or as_json:
                say(
                    [f"  {one.email:<40} {word}" for one, word in added if word],
                    _told(added, newcomers),
                    as_json=as_json,
                )
                sys.stdout.flush()

        enrolment = enrol(
            store,
            request,
            newcomers,
            term_id=None if term is None else term_called(store.read, term).id,
            deliver=deliver,
            progress=note,
        )
    if as_json and not passwords:
        return
    words = _("{added} added, {changed} changed, {same} unchanged.")
    counts = {"added": len(enrolment.added), "changed": len(enrolment.changed), "same": len(enrolment.same)}
    done = Message("roster-imported", words, **counts)
    told = _told(enrolment.added, newcomers)
    done = together([done, enrolment.moves])
    say(text(done), {**told, "added": [_without_password(one) for one in told["added"]]}, as_json=as_json)


def _told(added: Sequence[tuple[Person, str]], newcomers: Sequence[NewPerson]) -> dict[str, Any]:
    people = [{"name": one.name, "email": one.email, "role": one.role, "password": word} for one, word in added]
    return {"added": people, "already": len(newcomers) - len(added)}


def _without_password(one: dict[str, object]) -> dict[str, object]:
    return {key: value for key, value in one.items() if key != "password"}


@contextmanager
def _kept_once_written(path: Path | None) -> Iterator[Callable[[Sequence[tuple[Person, str]]], None] | None]:
    """A way to write the list of passwords to a new file that only its owner may read, and to the disk.

    The file is opened before anything is done, and removed where it comes to nothing. Once the list is written, it is
    kept whatever happens then: if nobody can say whether the people were added, their passwords must not be gone.
    """
    if path is None:
        yield None
        return
    with open(path, "x", newline="", encoding="utf-8", opener=_for_its_owner) as file:
        is_written = False

        def keep(added: Sequence[tuple[Person, str]]) -> None:
            nonlocal is_written
            file.seek(0)
            file.truncate()
            _write_passwords(file, added)
            file.flush()
            os.fsync(file.fileno())
            flush_folder(path.resolve().parent)
            is_written = True

        try:
            yield keep
        finally:
            if not is_written:
                path.unlink()


def _for_its_owner(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)


def _write_passwords(file: TextIO, added: Sequence[tuple[Person, str]]) -> None:
    told = [(one.name, one.email, one.section, str(one.role), password) for one, password in added if password]
    write_rows(file, [("name", "email", "section", "role", "password"), *told])


@click.command("reset-password", help=_("Give a person a new first password. All their devices are signed out."))
@click.argument("email")
@as_json_option
@click.pass_obj
def reset_password(house: House, email: str, *, as_json: bool) -> None:
    """Give a person a new first password."""
    from tracker.usecases.studio.people import reset_password as reset

    with house.store() as store:
        person, password = reset(store, email)
    say(
        f"{person.name} signs in with {person.email} and {password}. Then they choose their own password.",
        {"name": person.name, "email": person.email, "password": password},
        as_json=as_json,
    )
