"""The kilns of the story: a timetable, what goes in, and what comes out of the fire."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from zoneinfo import ZoneInfo

from demo_seed.fires import burn
from demo_seed.floor import Floor, Pot
from demo_seed.sorts import LAST_OUTDOORS, TERM_DAYS
from demo_seed.yard import Yard
from tracker.domain.cones import Cone
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Stage
from tracker.usecases.firing import firings
from tracker.usecases.firing import plans as firing_plans


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """One row of the timetable: which kiln fires what, on which days, for how many days, and how much goes in."""

    kiln: str
    route: str
    days: frozenset[int]
    takes: int
    room: int
    target: str


def _turn(kiln: str, route: str, days: Sequence[int], takes: int, room: int, target: str) -> Turn:
    return Turn(kiln=kiln, route=route, days=frozenset(days), takes=takes, room=room, target=target)


TIMETABLE = (
    _turn("North box", "bisque", range(5, TERM_DAYS + 1, 3), 2, 34, "06"),
    _turn("Round Hob", "low-fire", range(14, TERM_DAYS + 1, 9), 2, 22, "04"),
    _turn("South box", "mid-range", range(15, TERM_DAYS, 5), 2, 30, "6"),
    _turn("Long Tom", "high-fire", range(TERM_DAYS - 64, TERM_DAYS - 15, 12), 3, 40, "10"),
    _turn("Yard Bell", "raku", (LAST_OUTDOORS - 28, LAST_OUTDOORS - 14, LAST_OUTDOORS), 0, 24, "06"),
    _turn("Yard Bell", "horsehair", (LAST_OUTDOORS - 21, LAST_OUTDOORS - 1), 0, 16, "010"),
)
"""The firings of the floor. The last turns of bisque and low-fire begin on its last day: they are being loaded now."""

_FROM_BISQUE = (Outcome.GOOD,) * 46 + (Outcome.of(Flaw.CRACKED), Outcome.of(Flaw.CRACKED), Outcome.BROKE)
_FROM_THE_SHELF = (
    *(Outcome.GOOD,) * 50,
    *(
        Outcome.of(Flaw.PINHOLED),
        Outcome.of(Flaw.PINHOLED),
        Outcome.of(Flaw.CRAWLED),
        Outcome.of(Flaw.CRAWLED),
        Outcome.of(Flaw.CRAZED),
        Outcome.of(Flaw.RAN),
    ),
    *(Outcome.of(Flaw.STUCK), Outcome.of(Flaw.UNDERFIRED), Outcome.of(Flaw.CRACKED)),
)
_FROM_THE_YARD = (*(Outcome.GOOD,) * 16, Outcome.of(Flaw.CRACKED), Outcome.BROKE, Outcome.of(Flaw.UNDERFIRED))


@dataclass(slots=True)
class _Load:
    """A firing under way: its number, its turn, what is in it and the day on which it is unloaded."""

    firing: int
    turn: Turn
    pots: list[Pot]
    due: int


class KilnRoom:
    """Every kiln of the studio, loaded and unloaded by the timetable."""

    def __init__(self, floor: Floor) -> None:
        """Serve `floor`."""
        self._floor = floor
        self._yard = Yard(floor)
        self._loads: list[_Load] = []
        self.out_today: list[tuple[Pot, Outcome]] = []

    def unload(self, day: int) -> None:
        """Unload every kiln that is done, with an outcome for each piece."""
        self.out_today = []
        for load in [load for load in self._loads if load.due <= day]:
            self._unload(load, day)

    def load(self, day: int) -> None:
        """Load every kiln whose turn it is; outdoor kilns are unloaded the same day."""
        for turn in TIMETABLE:
            if day not in turn.days or not (pots := self._ready(turn, day)):
                continue
            if turn.takes:
                self._load(turn, pots, day)
            else:
                self._fire_outdoors(turn, pots, day)
        if day == TERM_DAYS:
            self._plan_ahead()

    def _plan_ahead(self) -> None:
        """Plan what the next days bring, from all that waits."""
        hands, keeper = self._floor.hands, self._floor.cast.staff[0]
        day = hands.clock.now + timedelta(days=2)
        hands.note(firing_plans.plan, keeper, "Long Tom", "high-fire", Cone.parse("10"), planned_for=day)
        there = day.astimezone(ZoneInfo(hands.store.read.studio().timezone))
        self._yard.plan_ahead("Yard Bell", there.replace(hour=13, minute=0, second=0, microsecond=0))

    def _fire_outdoors(self, turn: Turn, pots: list[Pot], day: int) -> None:
        came = self._yard.fire(turn.kiln, pots, lambda pot: self._outcome(turn, pot))
        self._out(came, turn, day)

    def _ready(self, turn: Turn, day: int) -> list[Pot]:
        if turn.route == "bisque":
            dry = [pot for pot in self._floor.standing(Stage.GREENWARE, day) if pot.may_be_bisqued]
            return dry[: turn.room]
        waiting = self._floor.standing(Stage.QUEUED, day)
        ready = [pot for pot in waiting if pot.plan.sort.route == turn.route]
        return ready[: turn.room]

    def _load(self, turn: Turn, pots: list[Pot], day: int) -> None:
        hands, somebody = self._floor.hands, self._floor.somebody
        begun = hands.do(firings.start, somebody, turn.kiln, turn.route, Cone.parse(turn.target))
        firing = int(begun.extra["firing"])
        if day == TERM_DAYS:
            # Whoever loads on the last day is not done yet: some of what could go in still stands on its cart.
            pots = pots[: max(1, len(pots) * 4 // 5)]
        dry = True if turn.route == "bisque" else None
        for pot in pots:
            accepts = {"thick-wall"} if turn.route == "bisque" and pot.thick else frozenset()
            hands.scan(firings.put_in, somebody, firing, pot.ref, dry=dry, accepts=accepts)
        if day < TERM_DAYS:
            hands.do(firings.light, somebody, firing)
            burn(self._floor, firing)
        self._loads.append(_Load(firing, turn, pots, day + turn.takes))

    def _unload(self, load: _Load, day: int) -> None:
        floor = self._floor
        came = [(pot, self._outcome(load.turn, pot)) for pot in load.pots]
        floor.hands.do(firings.unload, floor.somebody, load.firing, {pot.ref: outcome for pot, outcome in came})
        self._loads.remove(load)
        self._out(came, load.turn, day)

    def _out(self, came: Sequence[tuple[Pot, Outcome]], turn: Turn, day: int) -> None:
        """See what stands on the shelf now, and when somebody turns to it."""
        floor = self._floor
        self.out_today.extend(came)
        rows = {row.piece.id: row.piece for row in floor.hands.store.read.pieces.by_ids([pot.id for pot, _ in came])}
        for pot, _ in came:
            pot.ref, pot.stage = rows[pot.id].ref, rows[pot.id].stage
            pot.due = floor.later(day, 1, 4) if turn.route == "bisque" else floor.later(day, 1, 11)

    def _outcome(self, turn: Turn, pot: Pot) -> Outcome:
        """What comes of a pot; what is meant for the yard leaves the bisque whole, for cracked ware asks there."""
        came = self._floor.random.choice(_outcomes_of(turn))
        route = self._floor.catalogue.routes.get(pot.plan.sort.route or "")
        is_for_the_yard = turn.route == "bisque" and route is not None and route.is_pulled_hot
        return Outcome.GOOD if came == Outcome.of(Flaw.CRACKED) and is_for_the_yard else came


def _outcomes_of(turn: Turn) -> Sequence[Outcome]:
    if turn.route == "bisque":
        return _FROM_BISQUE
    return _FROM_THE_YARD if turn.takes == 0 else _FROM_THE_SHELF
