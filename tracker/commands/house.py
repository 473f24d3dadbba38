"""What the commands work with, and how they speak: the house, progress, files and answers."""

from __future__ import annotations

import json
import os
import secrets
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, NoReturn
from uuid import uuid4

import click

from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Request
from tracker.domain.quantities import Units
from tracker.domain.refusals import Unknown, Unusable
from tracker.domain.studio.people import Role
from tracker.settings import Settings, default_database
from tracker.wording.reader import ANYONE, Reader, reader_of_studio
from tracker.wording.render import say as text_of_message

if TYPE_CHECKING:
    from tracker.store.unit_of_work import Store

Progress = Callable[[int, int], None]

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
NEW_FILE = click.Path(dir_okay=False, path_type=Path)
_TOLD_AT_MOST = 20
"""Lines of what is wrong that a person reads."""


class House:
    """The settings, the store and the clock, looked up only when a command needs them."""

    def __init__(self, database: str | None, clock: Callable[[], datetime]) -> None:
        """Take `database` from the command line before the environment's; `clock` tells the present moment.

        `reader` is who reads the plain text: in the studio's units, once its store is open. JSON is for anyone.
        """
        self._database = database
        self.reader = ANYONE
        self.clock = clock

    @cached_property
    def settings(self) -> Settings:
        """The settings of this process."""
        return Settings.from_environment(os.environ, database=self._database)

    @property
    def folder(self) -> Path:
        """Where backups from before an upgrade lie of a database that is no file beside which they could."""
        return Path(self.settings.photos or Path(default_database(os.environ)).parent)

    @contextmanager
    def store(self) -> Iterator[Store]:
        """The studio's store, open as long as the command runs; refused where no studio has been set up."""
        from tracker.store.presence import must_be_current
        from tracker.store.unit_of_work import Store

        settings = self.settings
        must_be_current(settings.database)
        sends_mail = settings.smtp is not None
        with closing(
            Store(settings.database, secrets.randbelow, photos=settings.photos, sends_mail=sends_mail)
        ) as store:
            self.reader = reader_of_studio(store.read.studio())
            yield store

    def request(self, store: Store, by: str | None) -> Request:
        """A request in the name of the person with the email `by`, or else of the first instructor.

        Whoever can open the database may do anything with it, so nobody asks for a password here.
        """
        if by:
            someone = store.read.people.person(email=by)
        else:
            instructors = [one for one in store.read.people.staff() if one.role is Role.INSTRUCTOR]
            someone = min(instructors, key=lambda one: one.id, default=None)
        if someone is None and by:
            raise Unknown(Message("no-such-email", _("No one here has the email {email}."), email=by))
        if someone is None:
            raise Unknown(Message("no-instructor", _("This studio has no instructor.")))
        return Request(uuid4(), someone, self.clock())


@contextmanager
def progress(label: str, length: int = 1) -> Iterator[Progress]:
    """A bar on standard error, moved by calling what this gives with how many of how many are done."""
    with click.progressbar(length=length, label=label, file=sys.stderr, hidden=not sys.stderr.isatty()) as bar:

        def note(done: int, total: int) -> None:
            bar.length = total
            bar.update(done - bar.pos)

        yield note


@contextmanager
def new_or_as_before(path: Path) -> Iterator[BinaryIO]:
    """A file to write that takes the place of `path` once all went well; otherwise everything is as it was."""
    draft = path.with_name(f".{path.name}.{uuid4().hex}")
    try:
        with draft.open("xb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)


def text_of(path: Path) -> str:
    """What a file says; refused with the line on which it stops being UTF-8."""
    raw = path.read_bytes()
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = raw.count(b"\n", 0, fault.start) + 1
        problem = Message("not-utf-8", _("line {line}: {file} isn't UTF-8 text."), line=line, file=path.name)
        remedy = Message("not-utf-8-remedy", _("Save it as UTF-8 and try again."))
        raise Unusable([problem], remedy) from None


def say(plain: str | Sequence[str], values: object, *, as_json: bool) -> None:
    """Answer on standard output, in plain lines or as JSON."""
    if as_json:
        click.echo(json.dumps(values, ensure_ascii=False))
    else:
        click.echo(plain if isinstance(plain, str) else "\n".join(plain))


def troubles() -> tuple[type[Exception], ...]:
    """What the disk and the database raise; asked only when something was raised, so that no command waits for it."""
    from tracker.store.troubles import TROUBLES

    return TROUBLES


def told_of(fault: Exception) -> str | None:
    """The sentence for a fault of the disk or the database, for whoever runs the server; None for every other fault."""
    from tracker.store.troubles import unavailable, unfit

    if isinstance(fault, OSError):
        return ": ".join(filter(None, (str(fault.filename or ""), fault.strerror or str(fault)))) + "."
    if (told := unavailable(fault)) is not None:
        keeper = Reader(role=Role.INSTRUCTOR)
        return " ".join(text_of_message(one, keeper) for one in (told.message, told.remedy))
    return text_of_message(wrong) if (wrong := unfit(fault)) is not None else None


def fail(*lines: str) -> NoReturn:
    """Say on standard error what is wrong, and end with 1; a long list ends with how many more there are."""
    for line in lines[:_TOLD_AT_MOST]:
        click.echo(line, err=True)
    if len(lines) > _TOLD_AT_MOST:
        left_out = Message("and-more", _("and {count} more"), count=len(lines) - _TOLD_AT_MOST)
        click.echo(text_of_message(left_out), err=True)
    sys.exit(1)


as_json_option = click.option("--json", "as_json", is_flag=True, help=_("Answer in JSON, for a script."))


def _reader_in(_context: click.Context, _option: click.Parameter, units: str) -> Reader:
    return Reader(units=Units(units))


units_option = click.option(
    "--units",
    "reader",
    type=click.Choice([str(one) for one in Units]),
    default=str(Units.METRIC),
    show_default=True,
    callback=_reader_in,
    help=_("Units of the answer; JSON stays metric."),
)
"""For commands that open no studio, whose units they could follow."""

by_option = click.option(
    "--by", metavar="EMAIL", help=_("Email of the person this is recorded under (default: the first instructor).")
)
