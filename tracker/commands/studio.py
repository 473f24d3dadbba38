"""The studio with its catalog as one file: written out, and taken over after showing what that would change."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tracker.commands.house import (
    FILE,
    NEW_FILE,
    House,
    as_json_option,
    by_option,
    new_or_as_before,
    say,
    text_of,
)
from tracker.domain.message import Message, _
from tracker.domain.refusals import Unusable
from tracker.wording.render import say as text_of_message

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tracker.domain.findings import Finding
    from tracker.domain.firing.firings import Firing
    from tracker.domain.pieces.piece import Piece
    from tracker.store.queries import Queries
    from tracker.usecases.studio.catalog import Prospect
    from tracker.wording.reader import Reader


@click.command(
    "export-studio",
    short_help=_("Save the studio as a studio file."),
    help=_("Save the studio and its whole catalog as a studio file, for init and change-studio."),
)
@click.argument("path", metavar="FILE.toml", type=NEW_FILE)
@as_json_option
@click.pass_obj
def export_studio(house: House, path: Path, *, as_json: bool) -> None:
    """Save the studio and its whole catalog as a studio file, for init and change-studio."""
    from tracker.forms.studio.studio_file import write_studio

    with house.store() as store, new_or_as_before(path) as file:
        studio = store.read.studio()
        file.write(write_studio(studio).encode())
    done = Message("studio-written", _("{studio} saved to {path}."), studio=studio.name, path=str(path))
    say(text_of_message(done), {"file": str(path), "studio": studio.name}, as_json=as_json)


@click.command(
    "change-studio",
    help=_(
        "Apply a studio file to the catalog. Anything not in the file is retired.\n\n"
        "With --json and without --yes, nothing is applied: the answer says what would change."
    ),
)
@click.argument("path", metavar="FILE.toml", type=FILE)
@click.option("--yes", is_flag=True, help=_("Apply without asking, even if pieces leave their queues."))
@by_option
@as_json_option
@click.pass_obj
def change_studio(house: House, path: Path, by: str | None, *, yes: bool, as_json: bool) -> None:
    """Apply a studio file to the catalog."""
    from tracker.domain.studio.catalog_changes import merged
    from tracker.forms.studio.studio_file import read_studio
    from tracker.usecases.pieces.in_hot_kilns import wrong_in_hot_kilns
    from tracker.usecases.pieces.revalidate import still_in_a_kiln
    from tracker.usecases.studio import catalog

    with house.store() as store:
        # Read with the studio open, so that what is wrong in the file is said in its units.
        wanted = read_studio(text_of(path))
        request, seen = house.request(store, by), store.read.version()
        ahead = catalog.look_ahead(store.read, merged(store.read.studio(), wanted), request.at)
        if ahead.problems:
            raise Unusable(ahead.problems, catalog.NOTHING_CHANGED)
        if ahead.differences and not as_json:
            _show(ahead, house.reader)
        if as_json and not yes:
            say("", _foretold(store.read, ahead), as_json=True)
            return
        if ahead.differences and not yes:
            click.confirm("Apply these changes?", abort=True)
        receipt = catalog.change_studio(store, request, wanted, seen=seen, confirmed=True)
        take_out = [
            {"piece": piece.ref, "kiln": firing.kiln.name, "firing": firing.id}
            for piece, firing in still_in_a_kiln(store.read)
        ]
        in_hot_kilns = [_in_a_hot_kiln(*one) for one in wrong_in_hot_kilns(store.read)]
    answer = {
        "applied": True,
        "says": text_of_message(receipt.message),
        "changes": [text_of_message(one) for one in ahead.differences],
        "moved": list(receipt.refs),
        "take_out": take_out,
        "in_hot_kilns": in_hot_kilns,
    }
    say(text_of_message(receipt.message, house.reader), answer, as_json=as_json)


def _foretold(reader: Queries, ahead: Prospect) -> dict[str, object]:
    """What a change would do, under the keys of what it does."""
    from tracker.usecases.pieces.revalidate import moves_of

    would = moves_of(ahead.moved, is_done=False)
    firings = {one.row.ref: reader.firings.firing(one.row.firing_id) for one in ahead.moved if one.row.firing_id}
    return {
        "applied": False,
        "says": text_of_message(would or Message("moves-nothing", _("No piece would be moved."))),
        "changes": [text_of_message(one) for one in ahead.differences],
        "moved": [one.row.ref for one in ahead.moved if one.firing is None],
        "take_out": [
            {"piece": ref, "kiln": firing.kiln.name, "firing": firing.id}
            for ref, firing in firings.items()
            if firing is not None and not firing.is_hot
        ],
        "in_hot_kilns": [
            _in_a_hot_kiln(one.row.piece, one.firing, one.findings) for one in ahead.moved if one.firing is not None
        ],
    }


def _in_a_hot_kiln(piece: Piece, firing: Firing, findings: Sequence[Finding]) -> dict[str, object]:
    """A piece that comes out wrong, with what to expect of it and what to check when it is unloaded."""
    from tracker.domain.rules.unloading_checks import checks_at_unloading

    return {
        "piece": piece.ref,
        "kiln": firing.kiln.name,
        "firing": firing.id,
        "expect": [text_of_message(one.message) for one in findings],
        "check": [text_of_message(one) for one in checks_at_unloading(findings)],
    }


def _show(ahead: Prospect, reader: Reader) -> None:
    """Show all that would change, from what to what, and which pieces would be moved."""
    from tracker.usecases.pieces.revalidate import moves_of

    for one in (*ahead.differences, moves_of(ahead.moved, is_done=False)):
        if one is not None:
            click.echo(text_of_message(one, reader))
