"""Imports of a roster that are killed: whoever is in the studio has a password that is on a list."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from tests.faults._copies import Copies
from tests.faults._killing import killed, seconds_of
from tests.faults._place import Place, Row
from tracker.cli import main
from tracker.store.unit_of_work import Store
from tracker.usecases.studio.passwords import matches

KILLS = 60
_PEOPLE = 12
"""Trying a password takes a tenth of a second, so there are few."""


def suffer(place: Place) -> Iterator[Row]:
    """Kill imports at any moment; import once more to a second list; sign everybody in by the newer of their two."""
    draw, copies = place.draw(), Copies(place, "rosters")
    template, roster = copies.studio(), copies.folder / "roster.csv"
    emails = [f"pat{one}@studio.example" for one in range(_PEOPLE)]
    lines = "".join(f"Pat Oro,{email},Tue,student\n" for email in emails)
    roster.write_text(f"name,email,section,role\n{lines}", encoding="utf-8")
    lists = [copies.folder / "first.csv", copies.folder / "second.csv"]
    probe = copies.copy(template)
    took = seconds_of(partial(_import, probe, roster, lists[0]))
    copies.drop(probe)
    row, midway = Row(f"import-roster killed, {_PEOPLE} people each"), 0
    for row.tried in range(1, place.times(KILLS) + 1):
        url = copies.copy(template)
        for path in lists:
            path.unlink(missing_ok=True)
        midway += killed(partial(_import, url, roster, lists[0]), draw.uniform(0, 1.1 * took))
        seconds_of(partial(_import, url, roster, lists[1]))
        row.lost += _without_password(url, emails, _listed(lists[0]) | _listed(lists[1]))
        copies.drop(url)
    row.what += f" ({midway} midway)"
    yield row


def _import(url: str, roster: Path, to: Path) -> None:
    main(
        ["--database", url, "import-roster", str(roster), "--passwords", str(to), "--json"],
        standalone_mode=False,
    )


def _listed(path: Path) -> dict[str, str]:
    """The password of each email on a list; a line that was cut off has none."""
    if not path.exists():
        return {}
    with path.open(encoding="utf-8", newline="") as file:
        return {row["email"]: row["password"] or "" for row in csv.DictReader(file)}


def _without_password(url: str, emails: list[str], listed: dict[str, str]) -> int:
    """How many of these people aren't in the studio, or can't sign in by the password listed for them."""
    store = Store(url, lambda _: 7)
    lost = 0
    for email in emails:
        person = store.read.people.person(email=email)
        held, is_first = store.accounts.password_hash(person.id) if person else (None, True)
        lost += not (email in listed and matches(held, listed[email], is_first=is_first))
    store.close()
    return lost
