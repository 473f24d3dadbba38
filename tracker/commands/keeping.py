"""Keeping the database safe: backup, restore, upgrade and check."""

from __future__ import annotations

import json
import sys
from datetime import timedelta
from pathlib import Path

import click

from tracker.commands.house import FILE, House, as_json_option, fail, progress
from tracker.domain.message import Message, Plural, _
from tracker.domain.refusals import Unusable
from tracker.wording.render import say as text_of_message

_STRAY_AFTER = timedelta(days=1)
"""A file younger than this may belong to a photo that is being kept or restored at this moment."""


@click.command(
    short_help=_("Write the whole database to a new file."),
    help=_("Write the whole database to one new file. It's safe to run while the server is running."),
)
@click.argument("path", metavar="FILE", type=click.Path(path_type=Path))
@click.option(
    "--keep",
    type=click.IntRange(1),
    metavar="N",
    help=_("Take FILE for a folder: name the backup by the time, and delete all but the newest N there."),
)
@click.pass_obj
def backup(house: House, path: Path, keep: int | None) -> None:
    """Write the whole database to one new file."""
    from tracker.store import backup as keeping

    database, photos = house.settings.database, house.settings.photos
    if keep is None:
        with progress("Backing up") as note:
            keeping.backup(database, path, note, photos=photos)
        click.echo(f"Backup saved to {path}.")
        return
    with progress("Backing up") as note:
        made, gone = keeping.backup_among(path, database, note, at=house.clock(), keep=keep, photos=photos)
    click.echo(f"Backup saved to {made}.")
    if gone:
        words = Plural("count", "1 older backup deleted.", "{count} older backups deleted.")
        click.echo(text_of_message(Message("older-backups-gone", words, count=gone)))


@click.command(
    short_help=_("Fill a new database from a backup."),
    help=_("Fill an empty or new database from a backup: all of it or nothing."),
)
@click.argument("path", metavar="FILE", type=FILE)
@click.option("--send-mail", is_flag=True, help=_("Send mail that was unsent in the backup. Otherwise it's dropped."))
@click.pass_obj
def restore(house: House, path: Path, *, send_mail: bool) -> None:
    """Fill an empty or new database from a backup: all of it or nothing."""
    from tracker.store import backup as keeping
    from tracker.store.engine import shown

    with progress("Restoring") as note:
        settings, dropping = house.settings, None if send_mail else house.clock()
        dropped = keeping.restore(settings.database, path, note, photos=settings.photos, drops_mail_at=dropping)
    click.echo(f"Restored {path} into {shown(settings.database)}.")
    if dropped:
        words = Plural(
            "count",
            "1 mail was unsent in the backup and was dropped. To send it, restore with --send-mail.",
            "{count} mails were unsent in the backup and were dropped. To send them, restore with --send-mail.",
        )
        click.echo(text_of_message(Message("unsent-dropped", words, count=dropped)))


@click.command(
    short_help=_("Bring the database to this version."),
    help=_("Bring the database to this version, after a backup of it. footring serve does the same when it starts."),
)
@click.pass_obj
def upgrade(house: House) -> None:
    """Bring the database to this version, after a backup of it."""
    from tracker.store.engine import shown

    click.echo(upgraded(house) or f"{shown(house.settings.database)} is up to date.")


def upgraded(house: House) -> str:
    """Upgrade the database where it is from an older version; says what was done, or nothing."""
    from tracker.store.upgrade import upgrade as bring_up

    settings = house.settings
    with progress("Backing up") as note:
        done = bring_up(settings.database, house.folder, note, at=house.clock(), photos=settings.photos)
    if done is None:
        return ""
    words = _("Upgraded from {before} to {after}. The backup made before that is {file}.")
    told = Message("upgraded", words, before=done.before, after=done.after, file=str(done.backup))
    return text_of_message(told)


@click.command(
    short_help=_("Check the database or a backup."),
    help=_(
        "Check the database for inconsistencies and delete orphaned photo files. With BACKUP, check that file instead."
    ),
)
@click.argument("backup", metavar="[BACKUP]", type=FILE, required=False)
@as_json_option
@click.pass_obj
def check(house: House, backup: Path | None, *, as_json: bool) -> None:
    """Check the database for inconsistencies and delete orphaned photo files."""
    from tracker.store import backup as keeping
    from tracker.usecases.rules.approvals import not_carried

    if backup is not None:
        _check_backup(backup, as_json=as_json)
        return
    database, photos = house.settings.database, house.settings.photos
    problems = [text_of_message(one) for one in keeping.check(database, photos=photos)]
    lapsed: list[str] = []
    if not problems:
        with house.store() as store:
            lapsed = [text_of_message(one) for one in not_carried(store)]
    # Where something is wrong already, nothing is taken away that could still explain it.
    swept = 0
    if not problems:
        keeping.note_photos(database, photos=photos)
        swept = keeping.sweep(database, older_than=house.clock() - _STRAY_AFTER, photos=photos)
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


def _check_backup(path: Path, *, as_json: bool) -> None:
    from tracker.store import backup as keeping

    problems: list[str] = []
    try:
        keeping.check_backup(path)
    except Unusable as refusal:
        if not as_json:
            raise
        problems = [text_of_message(one) for one in refusal.problems]
    if as_json:
        click.echo(json.dumps({"ok": not problems, "problems": problems}, ensure_ascii=False))
        sys.exit(1 if problems else 0)
    click.echo(f"{path} is a whole backup.")
