"""Keeping the database safe: backup, restore and check."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from tracker.commands.house import FILE, NEW_FILE, House, as_json_option, fail, progress


@click.command()
@click.argument("path", metavar="FILE", type=NEW_FILE)
@click.pass_obj
def backup(house: House, path: Path) -> None:
    """Write the whole database into one new file, while it is in use."""
    from tracker.store import keeping

    keeping.must_be_reachable(house.settings.database)
    with progress("Backing up") as note:
        keeping.backup(house.settings.database, path, note)
    click.echo(f"The backup is in {path}.")


@click.command()
@click.argument("path", metavar="FILE", type=FILE)
@click.pass_obj
def restore(house: House, path: Path) -> None:
    """Fill an empty or new database from a backup: all of it or nothing."""
    from tracker.store import keeping

    keeping.must_be_reachable(house.settings.database)
    with progress("Restoring") as note:
        keeping.restore(house.settings.database, path, note)
    click.echo(f"{path} is restored into {house.settings.database}.")


@click.command()
@as_json_option
@click.pass_obj
def check(house: House, *, as_json: bool) -> None:
    """Hold the database against everything that must be true of it."""
    from tracker.store import keeping

    keeping.must_be_reachable(house.settings.database)
    problems = keeping.check(house.settings.database)
    if as_json:
        click.echo(json.dumps({"ok": not problems, "problems": list(problems)}, ensure_ascii=False))
        sys.exit(1 if problems else 0)
    if problems:
        fail(*problems)
    click.echo("All is well.")
