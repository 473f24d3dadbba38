"""What can happen to every piece that is scanned: the step, its firing type or cause, and the shelf."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tracker.domain.message import Message, _
from tracker.domain.outdoor.pull_heats import fired_to
from tracker.domain.pieces.losses import TOLD, cause_of
from tracker.domain.pieces.piece import MOVES, StepName
from tracker.domain.studio.catalog import Catalog


@dataclass(frozen=True, slots=True)
class Job:
    """What happens to every piece scanned from now on, and the shelf it is put on."""

    step: str
    route: str = ""
    cause: str = ""
    place: str = ""

    @property
    def fields(self) -> dict[str, Any]:
        """What travels along with each scan; nothing that is empty."""
        all_of_them = {"step": self.step, "route": self.route, "cause": self.cause, "place": self.place}
        return {name: value for name, value in all_of_them.items() if value}

    def title(self, known: Catalog) -> Message:
        """What is being done, as the page's heading says it."""
        if self.step == StepName.QUEUE:
            return Message("queue-for", _("Queue for {firing}"), firing=known.route(self.route).title)
        if self.step == StepName.LOSE:
            return Message("note-as-lost", _("Lost: {cause}"), cause=cause_of(self.cause))
        return _PLAIN_TITLES[StepName(self.step)]

    def label(self, known: Catalog) -> Message:
        """The same among others of its kind, where a word or two are enough."""
        if self.step == StepName.QUEUE:
            return Message("firing-named", "{firing}", firing=known.route(self.route).title)
        if self.step == StepName.LOSE:
            return Message("cause-named", "{cause:capital}", cause=cause_of(self.cause))
        return self.title(known)

    def note(self, known: Catalog) -> Message:
        """What that means for the piece, in one line."""
        if self.step == StepName.QUEUE:
            heat = fired_to(known.route(self.route), known.practice.outdoors)
            return Message("fired-to-there", "{heat:capital}.", heat=heat)
        return _NOTES[StepName(self.step)]


OFF_THE_SHELF = {StepName.LOSE, StepName.WASH_OFF}
"""The steps that say nothing of a shelf: a lost piece is on none, and a wet one is in your hands."""

_PLAIN_TITLES = {
    StepName.WAX: Message("scan-wax", _("Wax foot")),
    StepName.WASH_OFF: Message("scan-wash-off", _("Take off raw glaze")),
    StepName.NOT_WAXED: Message("scan-take-back-wax", _("Undo wax")),
    StepName.PULL_BACK: Message("scan-pull-back", _("Take out of a queue")),
    StepName.SHELVE: Message("scan-shelve", _("Put on a shelf")),
    StepName.FIND: Message("scan-find", _("Mark as found")),
}
_NOTES = {
    StepName.WAX: Message("scan-wax-note", _("The foot is waxed or wiped.")),
    StepName.WASH_OFF: Message("scan-wash-off-note", _("Rinse only bisqued ware. Raw clay falls apart under water.")),
    StepName.NOT_WAXED: Message("scan-not-waxed-note", _("Only for a piece that was never waxed.")),
    StepName.PULL_BACK: Message("scan-pull-back-note", _("The piece goes back to its stage before the queue.")),
    StepName.SHELVE: Message("scan-shelve-note", _("Scan a shelf's label, then every piece on that shelf.")),
    StepName.LOSE: Message("scan-lose-note", _("Takes the piece off the shelves. You can undo this.")),
    StepName.FIND: Message("scan-find-note", _("The piece goes back to its last stage.")),
}


Groups = tuple[tuple[Message, tuple[Job, ...]], ...]


def jobs_of(known: Catalog) -> Groups:
    """Every job there is, in groups under their headings."""
    return (
        (
            Message("into-a-queue", _("Put in a queue, coolest first")),
            tuple(Job(StepName.QUEUE, route.name) for route in known.queues),
        ),
        (
            Message("at-the-glaze-table", _("At the glaze table")),
            (Job(StepName.WAX), Job(StepName.WASH_OFF), Job(StepName.NOT_WAXED)),
        ),
        (Message("on-the-shelves", _("On the shelves")), (Job(StepName.SHELVE),)),
        (Message("put-right", _("Corrections")), (Job(StepName.PULL_BACK), Job(StepName.FIND))),
        (Message("group-lost", _("Lost")), tuple(Job(StepName.LOSE, cause=cause) for cause in TOLD)),
    )


def is_whole(job: Job, known: Catalog) -> bool:
    """Whether a job says all that its step needs."""
    if job.step not in set(MOVES):
        return False
    if job.step == StepName.QUEUE:
        return job.route in known.routes
    return job.step != StepName.LOSE or bool(job.cause)
