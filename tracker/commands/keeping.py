"""Keeping the database safe: backup, restore and check."""

from __future__ import annotations

import json
import sys
from datetime import timedelta
from pathlib import Path

import click

from tracker.commands.house import FILE, NEW_FILE, House, as_json_option, fail, progress
from tracker.wording.render import say as text_of_message

_STRAY_AFTER = timedelta(days=1)
"""A file younger than this may belong to a photo that is being kept or restored at this moment."""


@click.command()
@click.argument("path", metavar="FILE", type=NEW_FILE)
@click.pass_obj
def backup(house: House, path: Path) -> None:
    """Write the whole database to one new file. It's safe to run while the server is running."""
    from tracker.store import backup as keeping

    keeping.must_be_reachable(house.settings.database)
    with progress("Backing up") as note:
        keeping.backup(house.settings.database, path, note, photos=house.settings.photos)
    click.echo(f"Backup saved to {path}.")


@click.command()
@click.argument("path", metavar="FILE", type=FILE)
@click.pass_obj
def restore(house: House, path: Path) -> None:
    """Fill an empty or new database from a backup: all of it or nothing."""
    from tracker.store import backup as keeping

    keeping.must_be_reachable(house.settings.database)
    with progress("Restoring") as note:
        keeping.restore(house.settings.database, path, note, photos=house.settings.photos)
    click.echo(f"Restored {path} into {house.settings.database}.")


@click.command()
@as_json_option
@click.pass_obj
def check(house: House, *, as_json: bool) -> None:
    """Check the database for inconsistencies and delete orphaned photo files."""
    from tracker.store import backup as keeping
    from tracker.usecases.rules.approvals import not_carried

    database, photos = house.settings.database, house.settings.photos
    keeping.must_be_reachable(database)
    problems = [text_of_message(one) for one in keeping.check(database, photos=photos)]
    lapsed: list[str] = []
    if not problems:
        with house.store() as store:
            lapsed = [text_of_message(one) for one in not_carried(store)]
    # Where something is wrong already, nothing is taken away that could still explain it.
    swept = 0 if problems else keeping.sweep(database, older_than=house.clock() - _STRAY_AFTER, photos=photos)
    if as_json:
        found = {"ok": not problems, "problems": problems, "lapsed": lapsed, "swept": swept}
        click.echo(json.dumps(found, ensure_ascii=False))
        sys.exit(1 if problems else 0)
    if problems:
        fail(*problems)
    for one in lapsed:
        click.echo(one)
    if swept:
        click.echo(f"{swept} orphaned photo file{'' if swept == 1 else 's'} deleted.")
    click.echo("No problems found.")
