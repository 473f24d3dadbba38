"""The kilns of the story: a timetable, what goes in, and what comes out of the fire."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from zoneinfo import ZoneInfo

from demo_seed.fires import burn
from demo_seed.floor import Floor, Pot
from demo_seed.sorts import LAST_OUTDOORS, TERM_DAYS
from demo_seed.yard import Yard
from tracker.domain.cones import Cone
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Build, Stage
from tracker.domain.refusals import Refusal
from tracker.usecases.firing import firings, starting, unloading
from tracker.usecases.firing import plans as firing_plans
from tracker.usecases.rules import questions
from tracker.usecases.studio import catalog


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
    _turn("Round Hob", "overglaze", (45, 54, 63, 72), 2, 12, "018"),
    _turn("Yard Bell", "raku", (LAST_OUTDOORS - 28, LAST_OUTDOORS - 14, LAST_OUTDOORS), 0, 24, "06"),
    _turn("Yard Bell", "horsehair", (LAST_OUTDOORS - 21, LAST_OUTDOORS - 1), 0, 16, "010"),
)
"""The firings of the floor. The last turns of bisque and low-fire begin on its last day: they are being loaded now."""

_BY_PLAN = frozenset({32, 50, 68})
"""The days on which a bisque is planned before it is loaded."""

_MIXED, _JOINS = frozenset({38, 56}), 6
_HEAT_OF_BOTH = "05"
"""The days on which low-fire ware goes into a bisque that is fired to the heat of both, and how much of it."""

_LETTER_CAME, _LETTER_ABOUT = 45, "Gatehinge"
"""On which day a letter says that a glaze stands less heat than its label, while a kiln is being loaded."""
_LETTER_ANSWERED = "The letter was about another batch. Queue it again."

_FLAWS = {
    "bisque": (
        Outcome.of(Flaw.CRACKED),
        Outcome((Flaw.S_CRACK,), clay_note="in the middle of the floor: compress it better"),
        Outcome.BROKE,
        Outcome.of(Flaw.WARPED),
    ),
    "low-fire": (
        Outcome((Flaw.CRAZED,), glaze_note="a net of fine lines"),
        Outcome.of(Flaw.CRAWLED),
        Outcome((Flaw.SHIVERED,), glaze_note="slivers off the rim"),
        Outcome.of(Flaw.PINHOLED),
    ),
    "mid-range": (
        Outcome.of(Flaw.PINHOLED),
        Outcome((Flaw.CRAZED, Flaw.RAN), glaze_note="two layers too many"),
        Outcome.of(Flaw.BLISTERED),
        Outcome((Flaw.STUCK,), glaze_note="a drop under the foot"),
        Outcome.of(Flaw.UNDERFIRED),
        Outcome.of(Flaw.CRAZED),
        Outcome((Flaw.S_CRACK, Flaw.CRAWLED), clay_note="opened again under the glaze"),
        Outcome.of(Flaw.COLOR_OFF),
        Outcome((Flaw.CRACKED,), clay_note="a hairline down from the rim"),
    ),
    "high-fire": (
        Outcome((Flaw.DUNTED,), clay_note="clean crack, sharp at the edge: it cooled too fast"),
        Outcome((Flaw.BLOATED, Flaw.OVERFIRED), clay_note="blisters in the wall"),
        Outcome.of(Flaw.WARPED),
        Outcome((Flaw.SLUMPED, Flaw.STUCK), clay_note="it leaned on its neighbor"),
        Outcome((Flaw.COLOR_OFF,), glaze_note="paler than its test tile"),
    ),
    "overglaze": (Outcome.GOOD,),
    "raku": (Outcome.of(Flaw.CRACKED), Outcome.BROKE, Outcome.of(Flaw.UNDERFIRED)),
    "horsehair": (Outcome.BROKE, Outcome.of(Flaw.CRACKED)),
}
"""What goes wrong in each firing, in turn, so that a term sees every flaw; most pieces come out well all the same."""

_GOES_WRONG = {"bisque": 0.06, "raku": 0.15, "horsehair": 0.15}
_GOES_WRONG_ON_A_SHELF = 0.17


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
        self._flaws = {route: deque(flaws) for route, flaws in _FLAWS.items()}
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
        self._out(came, day)

    def _ready(self, turn: Turn, day: int) -> list[Pot]:
        if turn.route == "bisque":
            dry = [pot for pot in self._floor.standing(Stage.GREENWARE, day) if pot.may_be_bisqued]
            return dry[: turn.room]
        return self._waiting(turn.route, day)[: turn.room]

    def _waiting(self, route: str, day: int) -> list[Pot]:
        return [pot for pot in self._floor.standing(Stage.QUEUED, day) if pot.plan.sort.route == route]

    def _load(self, turn: Turn, pots: list[Pot], day: int) -> None:
        hands, somebody = self._floor.hands, self._floor.somebody
        if turn.route == "bisque" and day in _BY_PLAN:
            firing, pots = self._planned(turn, pots)
        else:
            target = Cone.parse(_HEAT_OF_BOTH if turn.route == "bisque" and day in _MIXED else turn.target)
            begun = hands.do(starting.start, somebody, turn.kiln, turn.route, target)
            firing = int(begun.extra["firing"])
        if day == TERM_DAYS:
            # Whoever loads on the last day is not done yet: some of what could go in still stands on its cart.
            pots = pots[: max(1, len(pots) * 4 // 5)]
        dry = True if turn.route == "bisque" else None
        for pot in pots:
            accepts = {"thick-wall"} if turn.route == "bisque" and pot.thick else frozenset()
            hands.scan(firings.put_in, somebody, firing, pot.ref, dry=dry, accepts=accepts)
        if day in _MIXED and turn.route == "bisque":
            pots = [*pots, *self._join(firing, day)]
        if day == _LETTER_CAME and turn.route == "mid-range":
            pots = self._hear_of_a_lower_cone(firing, pots)
        if day < TERM_DAYS:
            hands.do(firings.light, somebody, firing)
            burn(self._floor, firing)
        self._loads.append(_Load(firing, turn, pots, day + turn.takes))

    def _planned(self, turn: Turn, pots: list[Pot]) -> tuple[int, list[Pot]]:
        """Plan a bisque, in which open forms nest and stack, and give its number and the pots that go in."""
        hands, keeper = self._floor.hands, self._floor.cast.staff[0]
        target = Cone.parse(turn.target)
        planned = hands.do(firing_plans.plan, keeper, turn.kiln, turn.route, target, planned_for=hands.clock.now)
        number = int(planned.extra["firing"])
        meant = hands.store.read.firings.firing(number)
        hands.do(firings.load, keeper, number)
        return number, [pot for pot in pots if meant is not None and pot.id in meant.planned_ids]

    def _join(self, firing: int, day: int) -> list[Pot]:
        """Put low-fire ware into a bisque as well, and give the pots that its heat is right for."""
        joined = []
        for pot in self._waiting("low-fire", day)[:_JOINS]:
            try:
                self._floor.hands.scan(firings.put_in, self._floor.somebody, firing, pot.ref)
            except Refusal:
                continue
            joined.append(pot)
        return joined

    def _hear_of_a_lower_cone(self, firing: int, pots: list[Pot]) -> list[Pot]:
        """A letter says that a glaze stands less than its label: what wears it comes out, until that is put right.

        Gives the pots that are still in.
        """
        hands, instructor, read = self._floor.hands, self._floor.cast.instructors[0], self._floor.hands.store.read
        glaze = read.catalog().glaze(_LETTER_ABOUT)
        hands.do(catalog.change, instructor, replace(glaze, cone_high=Cone.parse("5")), confirmed=True)
        page = read.firings.page(firing)
        for row, _why in page.leaving if page else ():
            hands.scan(firings.take_out, self._floor.somebody, firing, row.ref)
        hands.do(catalog.change, instructor, glaze, confirmed=True)
        for pot in self._floor.pots:
            if pot.stage is Stage.QUEUED and (now := self._floor.piece(pot).stage) is not Stage.QUEUED:
                pot.stage = now
                for question in read.pieces.page(pot.id).questions:
                    if question.answered_at is None:
                        hands.do(questions.answer, instructor, question.id, _LETTER_ANSWERED, allows=True)
        return [pot for pot in pots if pot.stage is Stage.QUEUED]

    def _unload(self, load: _Load, day: int) -> None:
        floor = self._floor
        came = [(pot, self._outcome(load.turn, pot)) for pot in load.pots]
        floor.hands.do(unloading.unload, floor.somebody, load.firing, {pot.ref: outcome for pot, outcome in came})
        self._loads.remove(load)
        self._out(came, day)

    def _out(self, came: Sequence[tuple[Pot, Outcome]], day: int) -> None:
        """See what stands on the shelf now, and when somebody turns to it."""
        floor = self._floor
        self.out_today.extend(came)
        rows = {row.piece.id: row.piece for row in floor.hands.store.read.pieces.by_ids([pot.id for pot, _ in came])}
        for pot, _ in came:
            pot.ref, pot.stage = rows[pot.id].ref, rows[pot.id].stage
            pot.due = floor.later(day, 1, 4) if pot.stage is Stage.BISQUED else floor.later(day, 1, 11)

    def _outcome(self, turn: Turn, pot: Pot) -> Outcome:
        """What comes of a pot; what is meant for the yard leaves the bisque whole, for cracked ware asks there."""
        fired = turn.route if pot.stage is Stage.GREENWARE else pot.plan.sort.route or turn.route
        if not self._floor.chance(_GOES_WRONG.get(fired, _GOES_WRONG_ON_A_SHELF)):
            return Outcome.GOOD
        turns = self._flaws[fired]
        # An S-crack is of the wheel (common practice), so it waits for the next pot that was thrown.
        is_thrown = pot.plan.ware.build is Build.THROWN
        came = next(one for one in turns if is_thrown or Flaw.S_CRACK not in one.flaws)
        turns.remove(came)
        turns.append(came)
        route = self._floor.catalog.routes.get(pot.plan.sort.route or "")
        is_for_the_yard = fired == "bisque" and route is not None and route.is_pulled_hot
        return Outcome.GOOD if is_for_the_yard and came.survives else came
