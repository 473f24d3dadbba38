"""The commands that a studio has bars for: steps, results, undo, kilns and shelves, each by its own name."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from tracker.domain.message import Message, _
from tracker.domain.pieces.command_bars import command_text
from tracker.domain.pieces.outcomes import Flaw
from tracker.domain.studio.catalog import Catalog
from tracker.store.queries import Queries
from tracker.usecases.pieces.jobs import Job, jobs_of
from tracker.usecases.pieces.ware_shelves import known_shelves


class Does(StrEnum):
    """What a command does: the button that it stands for."""

    UNDO = "undo"
    YES = "yes"
    STEP = "step"
    SHELF = "shelf"
    KILN = "kiln"
    TAKE = "take"
    RESULT = "result"
    FINISH = "finish"


@dataclass(frozen=True, slots=True)
class Command:
    """A command: what it does and with what, its title, and over which group it stands; a step has its `job`."""

    does: Does
    value: str
    title: Message
    group: Message
    job: Job | None = None

    @property
    def text(self) -> str:
        """What its bar says."""
        return command_text(f"{self.does} {self.value}".strip())


OUT, IN = "out", "in"
"""What is done at a kiln with what is scanned there."""
GOOD, BROKE, ABSENT = "good", "broke", "absent"
"""What a scanned piece is said to be while its kiln is unloaded, besides its flaws."""
ALL, REST = "unload", "rest"
"""How unloading ends: as everything was said, or with the rest good."""

_ANYWHERE = Message("bars-anywhere", _("Last scan"))
_AT_THE_KILN = Message("bars-at-the-kiln", _("At the kiln"))
_SHELVES = Message("bars-shelves", _("Shelf"))
_KILNS = Message("bars-kilns", _("Kiln"))
_UNLOADING = Message("bars-unloading", _("Unloading"))
_STEPS = Message("bars-steps", _("Scan and move"))


def commands_of(read: Queries) -> dict[str, Command]:
    """Every command of this studio by the text of its bar, in the order of the sheet.

    Two that share a text by chance are both left out: a bar never does one thing for another.
    """
    found = list(_commands(read))
    often = Counter(one.text for one in found)
    return {one.text: one for one in found if often[one.text] == 1}


def _commands(read: Queries) -> Iterator[Command]:
    known = read.catalog()
    yield Command(Does.UNDO, "", Message("command-undo", _("Undo the last scan")), _ANYWHERE)
    yield Command(Does.YES, "", Message("command-yes", _("Yes, do that")), _ANYWHERE)
    yield from _steps(known)
    yield Command(Does.TAKE, OUT, Message("command-out", _("Take scanned pieces out")), _AT_THE_KILN)
    yield Command(Does.TAKE, IN, Message("command-in", _("Put scanned pieces in")), _AT_THE_KILN)
    yield from _results()
    for kiln in known.kilns.values():
        if not kiln.retired:
            yield Command(Does.KILN, kiln.name, Message("command-kiln", "{kiln}", kiln=kiln.name), _KILNS)
    for place in known_shelves(read):
        yield Command(Does.SHELF, place, Message("command-shelf", "{place}", place=place), _SHELVES)


def _steps(known: Catalog) -> Iterator[Command]:
    for _group, jobs in jobs_of(known):
        for job in jobs:
            yield Command(Does.STEP, " ".join(job.fields.values()), job.title(known), _STEPS, job)


def _results() -> Iterator[Command]:
    yield Command(Does.RESULT, GOOD, Message("command-good", _("Good")), _UNLOADING)
    for flaw in Flaw:
        yield Command(Does.RESULT, flaw, Message("command-flaw", "{flaw:capital}", flaw=flaw), _UNLOADING)
    yield Command(Does.RESULT, BROKE, Message("command-broke", _("Broke")), _UNLOADING)
    yield Command(Does.RESULT, ABSENT, Message("command-absent", _("Wasn't in the kiln")), _UNLOADING)
    yield Command(Does.FINISH, REST, Message("command-rest", _("Mark rest good and unload")), _UNLOADING)
    yield Command(Does.FINISH, ALL, Message("command-unload", _("Unload")), _UNLOADING)
