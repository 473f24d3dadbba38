"""The studio floor while the story goes on: who is there, which pots stand where, and whose turn it is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from demo_seed.hands import Hands
from demo_seed.plans import Plan
from tracker.domain.pieces.piece import Piece, Stage
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.materials import Layer
from tracker.domain.studio.people import Person


@dataclass(frozen=True, slots=True)
class Cast:
    """Everybody in the story, in the order of the roster."""

    students: tuple[Person, ...]
    staff: tuple[Person, ...]
    instructors: tuple[Person, ...]


@dataclass(slots=True, kw_only=True)
class Pot:
    """One piece of the story: what was planned, how the tool knows it, and the day on which it is next turned to.

    It is `held` while a question on it waits for an answer that does not come before the story ends, and it
    `may_be_bisqued` at once unless nobody can name its clay: then the instructor allows it first.
    Where its wall is `thick`, somebody takes that on at the door of the bisque. `worn` is how many of the layers that
    are planned for it are on.
    """

    plan: Plan
    maker: Person
    id: int
    ref: str
    stage: Stage
    due: int
    lost_at: Stage | None
    question: int | None = None
    settled: bool = False
    turns_up: bool = False
    held: bool = False
    may_be_bisqued: bool = True
    thick: bool = False
    worn: int = 0

    @property
    def to_come(self) -> tuple[Layer, ...]:
        """The layers that are planned for it and not on yet."""
        return self.plan.ware.layers[self.worn :]


class Floor:
    """What everybody in the story shares."""

    def __init__(self, hands: Hands, cast: Cast, catalog: Catalog, random: Random) -> None:
        """Begin with empty shelves."""
        self.hands = hands
        self.cast = cast
        self.catalog = catalog
        self.random = random
        self.pots: list[Pot] = []

    @property
    def somebody(self) -> Person:
        """One of the staff."""
        return self.random.choice(self.cast.staff)

    @property
    def instructor(self) -> Person:
        """One of the instructors, mostly the first."""
        return self.random.choice((*self.cast.instructors, self.cast.instructors[0]))

    def standing(self, stage: Stage, day: int) -> Iterator[Pot]:
        """The pots at a stage that somebody turns to on this day; not those forgotten or about to be lost there."""
        for pot in self.pots:
            if pot.stage is stage and pot.due <= day and stage not in {pot.plan.sort.stops_at, pot.lost_at}:
                yield pot

    def piece(self, pot: Pot) -> Piece:
        """The piece as the tool has it now."""
        (row,) = self.hands.store.read.pieces.by_ids([pot.id])
        return row.piece

    def later(self, day: int, soonest: int, latest: int) -> int:
        """A day from `soonest` to `latest` days after `day`."""
        return day + self.random.randint(soonest, latest)

    def chance(self, share: float) -> bool:
        """Whether something happens that happens in that share of cases."""
        return self.random.random() < share
