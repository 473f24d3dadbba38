"""People from the command line: a class from its roster, and a new password for whoever lost theirs."""

from __future__ import annotations

import csv
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TextIO

import click

from tracker.commands.house import FILE, NEW_FILE, House, as_json_option, by_option, progress, say, text_of
from tracker.domain.message import Message, _
from tracker.domain.studio.people import Person
from tracker.wording.render import say as text


@click.command("import-roster")
@click.argument("path", metavar="FILE.csv", type=FILE)
@click.option("--passwords", type=NEW_FILE, help="Write the first passwords to this new file instead of showing them.")
@by_option
@as_json_option
@click.pass_obj
def import_roster(house: House, path: Path, passwords: Path | None, by: str | None, *, as_json: bool) -> None:
    """Add the new people of a CSV file (name, email, section, role): all of them or none."""
    from tracker.forms.studio.roster import read_roster
    from tracker.usecases.studio.people import enrol

    newcomers = read_roster(text_of(path))
    with house.store() as store, _only_if_all_goes_well(passwords) as file, progress("Adding people") as note:
        enrolment = enrol(store, house.request(store, by), newcomers, progress=note)
        if file:
            _write_passwords(file, enrolment.added)
    added = [
        {"name": one.name, "email": one.email, "role": one.role, "password": word} for one, word in enrolment.added
    ]
    shown = [] if passwords else [f"  {one['email']:<40} {one['password']}" for one in added]
    words = _("{added} added, {already} already here.")
    done = Message("roster-imported", words, added=len(added), already=enrolment.already)
    say(
        [text(done), *shown],
        {
            "added": [{key: one[key] for key in one if key != "password" or not passwords} for one in added],
            "already": enrolment.already,
        },
        as_json=as_json,
    )


@contextmanager
def _only_if_all_goes_well(path: Path | None) -> Iterator[TextIO | None]:
    """A new file that only its owner may read, opened before anything is done and removed if that fails."""
    if path is None:
        yield None
        return
    with open(path, "x", newline="", encoding="utf-8", opener=_for_its_owner) as file:
        went_well = False
        try:
            yield file
            file.flush()
            os.fsync(file.fileno())
            went_well = True
        finally:
            if not went_well:
                path.unlink()


def _for_its_owner(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)


def _write_passwords(file: TextIO, added: Sequence[tuple[Person, str]]) -> None:
    writer = csv.writer(file)
    writer.writerow(["name", "email", "section", "role", "password"])
    writer.writerows([one.name, one.email, one.section, one.role, password] for one, password in added)


@click.command("reset-password")
@click.argument("email")
@as_json_option
@click.pass_obj
def reset_password(house: House, email: str, *, as_json: bool) -> None:
    """Give a person a new first password. All their devices are signed out."""
    from tracker.usecases.studio.people import reset_password as reset

    with house.store() as store:
        person, password = reset(store, email)
    say(
        f"{person.name} signs in with {person.email} and {password}. Then they choose their own password.",
        {"name": person.name, "email": person.email, "password": password},
        as_json=as_json,
    )
