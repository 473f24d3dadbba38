"""Files that run the server on a machine of its own: systemd units, a Containerfile, and compose with Caddy."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import click

from tracker.commands.house import House
from tracker.domain.message import Message, _
from tracker.domain.refusals import Unusable


@click.command(
    "deployment-files",
    help=_("Write systemd units, a Containerfile, a compose file and a Caddyfile into FOLDER, to adapt."),
)
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
@click.pass_obj
def deployment_files(_house: House, folder: Path) -> None:
    """Write systemd units, a Containerfile, a compose file and a Caddyfile into FOLDER, to adapt."""
    shipped = resources.files("tracker.deployment").iterdir()
    ours = sorted((one for one in shipped if not one.name.startswith("__")), key=lambda one: one.name)
    there = [folder / one.name for one in ours if (folder / one.name).exists()]
    if there:
        problem = Message("file-there", _("{file} already exists."), file=str(there[0]))
        raise Unusable([problem], Message("file-there-remedy", _("Choose another folder.")))
    folder.mkdir(parents=True, exist_ok=True)
    for one in ours:
        (folder / one.name).write_text(one.read_text(encoding="utf-8"), encoding="utf-8")
        click.echo(f"{folder / one.name}")
