"""Where the story touches the tool: every act is a use case, at the story's own time, under its own key."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from random import Random
from typing import Concatenate, ParamSpec, TypeVar
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from tracker.domain.pieces.history import Request
from tracker.domain.refusals import Refusal
from tracker.domain.studio.people import Person
from tracker.store.unit_of_work import Store
from tracker.wording.render import say

Given = ParamSpec("Given")
Answer = TypeVar("Answer")
UseCase = Callable[Concatenate[Store, Request, Given], Answer]

KEYS = UUID("5e0c7a52-3b1f-4d77-9a64-2f6a7c1d9e30")
"""The namespace of the story's request keys: the n-th act has the same key in every telling."""


class Contradiction(Exception):
    """The story and the tool disagree: a move that should have been refused was not, or the clock ran past the end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A move that was tried and refused: who tried it, on what, and what the tool answered."""

    at: datetime
    by: str
    kind: str
    word: str
    says: str
    mend: str


class Clock:
    """The story's own time: days of work in the studio's zone, the last of which ends at a given moment."""

    def __init__(self, ends: datetime, zone: str, days: int) -> None:
        """Let day number `days` be the last; `ends` is aware."""
        self._ends = ends.astimezone(UTC)
        self._days = days
        self._midnight = ends.astimezone(ZoneInfo(zone)).replace(hour=0, minute=0, second=0, microsecond=0)
        self.now = self._hour(0, 9)

    def turn_to(self, day: int, hour: float) -> None:
        """Go to an hour of a day, from 9 to 17, unless it is later already; the last day is pressed into five hours."""
        self.now = max(self.now, self._hour(day, hour))

    def after(self, seconds: float) -> datetime:
        """The time, so many seconds later."""
        self.now += timedelta(seconds=seconds)
        if self.now > self._ends:
            raise Contradiction(f"The last day is too full: it ends at {self._ends}, and it is {self.now}.")
        return self.now

    def _hour(self, day: int, hour: float) -> datetime:
        if day == self._days:
            return self._ends - timedelta(hours=5) * ((18 - hour) / 9)
        # Days are taken off on the studio's own calendar, so that nine stays nine when the clocks change.
        return (self._midnight - timedelta(days=self._days - day) + timedelta(hours=hour)).astimezone(UTC)


class Hands:
    """Whoever does something in the story does it through these."""

    def __init__(self, store: Store, clock: Clock, random: Random) -> None:
        """Act on `store`, at `clock`'s time, with a little chance in how long things take."""
        self.store = store
        self.clock = clock
        self.refusals: list[Told] = []
        self._random = random
        self._acts = self._notes = 0

    def request(self, by: Person, *, quick: bool = False) -> Request:
        """The next request of the story: a quick one follows on the last within seconds, as scans do."""
        self._acts += 1
        pause = self._random.uniform(3, 12) if quick else self._random.uniform(20, 140)
        return Request(uuid5(KEYS, f"act {self._acts}"), by, self.clock.after(round(pause)))

    def do(self, what: UseCase[Given, Answer], by: Person, *given: Given.args, **named: Given.kwargs) -> Answer:
        """Have a person do something, taking their time."""
        return what(self.store, self.request(by), *given, **named)

    def note(self, what: UseCase[Given, Answer], by: Person, *given: Given.args, **named: Given.kwargs) -> Answer:
        """Have a person write something into a book while other things go on; it takes no time and no chance."""
        return self.note_later(0, what, by, *given, **named)

    def note_later(
        self, seconds: float, what: UseCase[Given, Answer], by: Person, *given: Given.args, **named: Given.kwargs
    ) -> Answer:
        """The same, so many seconds later than it is now."""
        self._notes += 1
        moment = self.clock.now + timedelta(seconds=seconds)
        return what(self.store, Request(uuid5(KEYS, f"note {self._notes}"), by, moment), *given, **named)

    def scan(self, what: UseCase[Given, Answer], by: Person, *given: Given.args, **named: Given.kwargs) -> Answer:
        """Have a person do something with the scanner, one piece after the other."""
        return what(self.store, self.request(by, quick=True), *given, **named)

    def refused(
        self,
        kind: type[Refusal],
        what: UseCase[Given, object],
        by: Person,
        *given: Given.args,
        **named: Given.kwargs,
    ) -> None:
        """Have a person try what the tool must refuse, and keep its answer; `Contradiction` when it lets them."""
        request = self.request(by)
        try:
            what(self.store, request, *given, **named)
        except kind as no:
            self.refusals.append(
                Told(
                    at=request.at,
                    by=by.name,
                    kind=kind.__name__,
                    word=say(no.word),
                    says=say(no.message),
                    mend=say(no.remedy),
                )
            )
        else:
            raise Contradiction(f"{by.name} should have got {kind.__name__} from {what} with {given} {named}.")
