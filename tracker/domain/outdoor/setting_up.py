"""An outdoor session: the kiln's floor, the containers, who works, and the rounds in which the ware is fired.

Lengths are mm and weights g. Numbers marked (practice) are common practice without a source, which a studio may change.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum

from tracker.domain.loading.shelf_shapes import Footprint, Shelf, Spot
from tracker.domain.message import Choice, Message, _
from tracker.domain.refusals import Unusable
from tracker.domain.studio.kilns import Room, RouteKind
from tracker.domain.studio.settings import OutdoorPractice

NOT_PROMISED = datetime(9999, 1, 1, tzinfo=UTC)
"""Since when a piece waits that nobody has promised anything: it goes after all others."""


MILD_C = 15.0
"""The air on a day of which it isn't known how warm it is, in °C (common practice, from memory)."""


class Opening(StrEnum):
    """How the hot kiln is opened."""

    LIFT_OFF = "lift-off"
    FRONT = "front"
    TOP = "top"


@dataclass(frozen=True, slots=True)
class Container:
    """One container of combustibles; a studio with three alike has three, each with its own name."""

    name: str
    room: Room
    lid: bool = True


def container_names(kind: int, many: int) -> Iterator[str]:
    """What containers of the same kind are called: A1, A2 … of the first kind, B1, B2 … of the second."""
    letter = chr(ord("A") + (kind - 1) % 26)
    return (f"{letter}{number}" for number in range(1, many + 1))


@dataclass(frozen=True, slots=True)
class Crew:
    """Who does what: who pulls with the tongs, handles lids, watches the clock and holds the water hose.

    `tongs` is how many pairs of tongs there are; None is a pair for each puller.
    """

    pullers: tuple[str, ...]
    lids: tuple[str, ...]
    clock: str
    hose: str
    tongs: int | None = None

    @property
    def hands(self) -> int:
        """How many can pull at once: different people, each with tongs."""
        people = len(_people(self.pullers))
        return people if self.tongs is None else min(people, self.tongs)

    def must_be_safe(self) -> None:
        """Refuse with `Unusable`, naming every reason, unless each task has its person and no one works alone."""
        pullers = _people(self.pullers)
        everyone = _people((*self.pullers, *self.lids, self.clock, self.hose))
        manned = (pullers, _people(self.lids), self.clock.strip(), self.hose.strip())
        problems = [nobody for who, nobody in zip(manned, _NOBODY, strict=True) if not who]
        others = {"pull": self.pullers, "lids": self.lids, "clock": (self.clock,)}
        at_hose = _people((self.hose,))
        problems += [
            Message("hose-and-more", Choice("task", _ONLY_THE_HOSE), person=self.hose.strip(), task=task)
            for task, names in others.items()
            if at_hose & _people(names)
        ]
        if len(everyone) <= 1:
            words = _("No one works alone. You need at least two people.")
            problems.append(Message("works-alone", words))
        if problems:
            words = _("Name a person for each task before you light the kiln.")
            raise Unusable(problems, Message("give-tasks", words))


_ONLY_THE_HOSE = {
    "pull": _("{person} has the water hose, so can't also pull."),
    "lids": _("{person} has the water hose, so can't also handle bins and lids."),
    "clock": _("{person} has the water hose, so can't also watch the clock."),
}
"""Whoever has the hose has no other job and looks at nothing but the fire (common practice)."""

_NOBODY = (
    Message("nobody-pulls", _("Name a puller.")),
    Message("nobody-at-lids", _("Name a person for bins and lids.")),
    Message("nobody-at-clock", _("Name a timekeeper.")),
    Message("nobody-at-hose", _("Name a person for the water hose.")),
)


def _people(names: tuple[str, ...]) -> frozenset[str]:
    """The different people among some names; a name left blank is nobody."""
    return frozenset(name.strip().casefold() for name in names if name.strip())


@dataclass(frozen=True, slots=True)
class OutdoorFloor:
    """What an outdoor kiln has its ware on, how high the room over it is, how it opens, and into what air.

    A front opening is where the floor's y is least. Its tongs should lift `tongs_g` at most (practice); None sets no
    limit. `air_c` is the air's temperature in °C.
    """

    shelf: Shelf
    height_mm: int
    opening: Opening
    tongs_g: int | None = 4_500
    air_c: float = MILD_C


@dataclass(frozen=True, slots=True)
class ToFire:
    """One piece for the session, as large as it goes into the kiln.

    `warnings` are what was accepted by name when it was queued. A `luster` is a copper luster, which wants a container
    of its own, lidded tight. `since` is how long it waits, longest wait first. A `weight_g` or a `wall_mm` of
    None is unknown; `lift_allowed` says that the instructor lets it be lifted although it is too heavy for the tongs.
    """

    piece_id: int
    ref: str
    kind: RouteKind
    footprint: Footprint
    height_mm: int
    warnings: tuple[Message, ...] = ()
    crackle: bool = False
    luster: bool = False
    glazed_at: datetime | None = None
    since: datetime = NOT_PROMISED
    weight_g: int | None = None
    lift_allowed: bool = False
    wall_mm: int | None = None

    @property
    def is_apart(self) -> bool:
        """Whether it stands apart, where the puller sees it."""
        return bool(self.warnings)

    def is_fresh(self, now: datetime, practice: OutdoorPractice) -> bool:
        """Whether its glaze may still be damp; ware for horsehair wears none."""
        if self.kind is not RouteKind.RAKU or self.glazed_at is None:
            return False
        return now - self.glazed_at < timedelta(hours=practice.fresh_hours)

    def waiting(self, now: datetime) -> int:
        """How much it weighs that it waits on: the minutes it has waited, and one more so that every piece counts."""
        return max(int((now - self.since).total_seconds() // 60), 0) + 1


@dataclass(frozen=True, slots=True)
class Stood:
    """Where a piece's centre stands on the floor, the container that waits for it, and whether it is set apart."""

    piece_id: int
    x_mm: float
    y_mm: float
    turned: bool
    container: str | None
    apart: bool

    @property
    def spot(self) -> Spot:
        """Its place on the floor."""
        return Spot(self.x_mm, self.y_mm, self.turned)


@dataclass(frozen=True, slots=True)
class Round:
    """What is fired together, one kind of ware, in the order in which it is pulled."""

    kind: RouteKind
    stood: tuple[Stood, ...]

    @property
    def piece_ids(self) -> tuple[int, ...]:
        """The pieces in it, in the order in which they are pulled."""
        return tuple(stood.piece_id for stood in self.stood)


@dataclass(frozen=True, slots=True)
class Rounds:
    """The rounds of a session in their order, and each piece left out with the reasons why."""

    rounds: tuple[Round, ...]
    left_out: tuple[tuple[int, Message], ...] = ()
