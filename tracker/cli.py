"""The command line: every command put together, with the clock they go by and one way to say no."""

from __future__ import annotations

from copy import copy
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar

import click

from tracker.commands.asking import code, judge
from tracker.commands.deployment import deployment_files
from tracker.commands.documents import print_document, tags
from tracker.commands.heat import cone_reached, hold_times
from tracker.commands.house import House, fail, told_of, troubles
from tracker.commands.keeping import backup, check, restore, upgrade
from tracker.commands.kiln_log import kiln_log
from tracker.commands.loading import plan_load
from tracker.commands.mail import mail
from tracker.commands.roster import import_roster, reset_password
from tracker.commands.serving import demo, init, serve
from tracker.commands.studio import change_studio, export_studio
from tracker.domain.message import _
from tracker.domain.refusals import Refusal, Unusable
from tracker.settings import BadSettings
from tracker.store.owner_only import keep_new_files_private
from tracker.wording import render
from tracker.wording.reader import ANYONE, Reader
from tracker.wording.render import say, say_refusal


class _Answering(click.Group):
    """A group of commands that answers a refusal with one sentence on standard error instead of a traceback."""

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        command = super().get_command(ctx, cmd_name)
        return None if command is None else _in_words(command)

    def get_help(self, ctx: click.Context) -> str:
        return click.Group.get_help(_in_words(self), ctx)

    def invoke(self, ctx: click.Context) -> Any:  # noqa: ANN401 -- click's own signature
        try:
            return super().invoke(ctx)
        except Unusable as refusal:
            _say_each(refusal, _reader(ctx))
        except Refusal as refusal:
            fail(f"{say(refusal.word)}: {say_refusal(refusal, _reader(ctx))}")
        except BadSettings as refusal:
            fail(*refusal.problems)
        except BrokenPipeError:
            # Whoever read the answer has heard enough; click ends quietly then.
            raise
        except troubles() as fault:
            if (told := told_of(fault)) is None:
                raise
            fail(told)


_C = TypeVar("_C", bound=click.Command)


def _in_words(command: _C) -> _C:
    """The same command, whose help is looked up for whoever runs it."""
    spoken = copy(command)
    spoken.help, spoken.short_help = _looked_up(command.help), _looked_up(command.short_help)
    spoken.params = [_option_in_words(one) for one in command.params]
    return spoken


def _option_in_words(param: click.Parameter) -> click.Parameter:
    if not isinstance(param, click.Option):
        return param
    spoken = copy(param)
    spoken.help = _looked_up(param.help)
    return spoken


def _looked_up(text: str | None) -> str | None:
    return text and render.translations(ANYONE.locale).gettext(text)


def _reader(ctx: click.Context) -> Reader:
    """Who reads a refusal: the studio, where the command had opened it."""
    return ctx.obj.reader if isinstance(ctx.obj, House) else ANYONE


def _say_each(refusal: Unusable, reader: Reader) -> None:
    """One problem is one line with its way out; several are one line each, as in a file that is put right by line."""
    if len(refusal.problems) == 1:
        fail(f"{say(refusal.word)}: {say_refusal(refusal, reader)}")
    problems = [say(one, reader) for one in refusal.problems]
    fail(*problems, *filter(None, [say(refusal.remedy, reader)]))


def _version() -> str:
    """The newest version with its date, "0.3.0, 2026-11-30", as it heads the changes."""
    lines = Path(__file__).with_name("changes.md").read_text(encoding="utf-8").splitlines()
    return next(line.removeprefix("## ") for line in lines if line.startswith("## "))


def _now() -> datetime:
    return datetime.now(UTC)


@click.group(
    cls=_Answering,
    context_settings={"help_option_names": ["-h", "--help"]},
    help=_("Keep track of a teaching studio's pieces, from raw clay to pickup."),
)
@click.option("--database", metavar="URL", help=_("Path of an SQLite file, or a URL; overrides FOOTRING_DATABASE."))
@click.version_option(_version(), prog_name="footring", message="%(prog)s %(version)s")
@click.pass_context
def main(ctx: click.Context, database: str | None) -> None:
    """Keep track of a teaching studio's pieces, from raw clay to pickup."""
    keep_new_files_private()
    ctx.obj = House(database, _now)


for _command in (
    *(init, serve, mail, deployment_files, demo, upgrade, import_roster, reset_password, export_studio, change_studio),
    *(tags, print_document, backup, restore, check, code, judge, cone_reached, hold_times, kiln_log, plan_load),
):
    main.add_command(_command)
