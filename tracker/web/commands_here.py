"""The bars of the scan sheet for the pages that obey them: what each does, and where it leads."""

from __future__ import annotations

from flask import url_for

from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Message, _
from tracker.domain.pieces.command_bars import read_command
from tracker.domain.refusals import Unknown
from tracker.usecases.labels.command_bars import Command, Does, commands_of
from tracker.usecases.pieces.jobs import OFF_THE_SHELF
from tracker.usecases.pieces.revalidate import EVERY_FIRING
from tracker.web.auth import house
from tracker.web.presenters import Plain, catalog
from tracker.web.wording import said

ELSEWHERE = Message("bar-for-elsewhere", _("This barcode does nothing here."))
ELSEWHERE_REMEDY = Message(
    "bar-works-there", _("It works on Scan and move, at a kiln that is being loaded, and on the page for unloading.")
)


def commands_shown() -> dict[str, Plain]:
    """Every command by the text of its bar, for a page's script."""
    return {text: _shown(one) for text, one in commands_of(house().store.read).items()}


def _shown(one: Command) -> Plain:
    shown: Plain = {"does": one.does, "value": one.value, "title": said(one.title)}
    if one.does is Does.KILN:
        shown["href"] = url_for("finding.find", q=one.text)
    if one.job is not None:
        shown["href"] = url_for("scanning.scan", **one.job.fields)
        shown["fields"] = {"step": one.job.step, "route": one.job.route, "cause": one.job.cause}
        shown["note"] = said(one.job.note(catalog()))
        shown["takes_shelf"] = one.job.step not in OFF_THE_SHELF
    return shown


def command_scanned(text: str) -> Command | None:
    """The command whose bar was scanned; None for any other text. A bar that nobody here knows is refused."""
    bar = read_command(text)
    if bar is None:
        return None
    known = commands_of(house().store.read).get(bar)
    if known is None:
        raise Unknown(
            Message("unknown-command", _("This barcode isn't on this studio's scan sheet.")),
            Message("print-the-sheet", _("Print a new scan sheet at the print desk.")),
        )
    return known


def way_of(command: Command) -> str | None:
    """The page that a scanned command opens from anywhere; None for one that only does something on its own page."""
    match command.does:
        case Does.STEP if command.job is not None:
            return url_for("scanning.scan", **command.job.fields)
        case Does.SHELF:
            return url_for("shelves.shelves", place=command.value)
        case Does.KILN:
            return _of_kiln(command.value)
        case _:
            return None


def _of_kiln(name: str) -> str:
    """The page on which this kiln is loaded or unloaded now, or else the one on which a firing of it begins."""
    there = (one for one in house().store.read.firings.listed(limit=EVERY_FIRING) if one.kiln == name)
    for one in there:
        if one.stage in {FiringStage.FIRING, FiringStage.COOLING}:
            return url_for("unloading.unloading", number=one.id)
        if one.stage.holds_the_kiln:
            return url_for("firings.firing", number=one.id)
    return url_for("firings.firings", at=name)
