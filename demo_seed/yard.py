"""The yard of the story: an afternoon at the outdoor kiln, round by round, tapped on a phone."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from random import Random
from typing import TYPE_CHECKING

from demo_seed.photos import take_photo
from tracker.domain.outdoor.evaporation import Tanks
from tracker.domain.outdoor.event_log import Did
from tracker.domain.outdoor.results import Air, Mark, Smoke
from tracker.domain.outdoor.sessions import SessionFacts
from tracker.domain.outdoor.setting_up import Container, Crew, Opening
from tracker.domain.pieces.outcomes import Outcome
from tracker.usecases.outdoor import running as outdoor_running
from tracker.usecases.outdoor import sessions as outdoor
from tracker.usecases.outdoor.running import Said
from tracker.usecases.outdoor.stories import RoundSeen, seen

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime

    from demo_seed.floor import Floor, Pot
    from tracker.domain.outdoor.sessions import Session

_FULL_KG, _KG_A_ROUND, _KG_TO_WARM = 79.4, 1.8, 1.9
_TANKS, _BURNER_KW = Tanks(count=2, size_kg=45.36), 60.0
"""Two tanks of 100 lb, and a burner of some 200,000 Btu/h: 1.8 kg in 25 minutes."""
_COLORS = (
    (Air.MORE_FUEL, Smoke.HEAVY, "copper blush over dull red"),
    (Air.MORE_FUEL, Smoke.HEAVY, "black clay, bright lines"),
    (Air.EVEN, Smoke.LIGHT, "green, a little copper on the rim"),
    (Air.MORE_AIR, Smoke.LIGHT, "turquoise, fine gray crackle"),
    (Air.MORE_AIR, Smoke.NONE, "pale, hardly marked"),
)
_PHOTO_OF_EACH = 3
"""One in so many is photographed as it comes out of the smoke."""
_COMBUSTIBLES = "dry sawdust and torn paper"


class Yard:
    """The outdoor kiln and whoever works there."""

    def __init__(self, floor: Floor) -> None:
        """Serve `floor`; what chance does here leaves the chances of the rest of the story alone."""
        self._floor = floor
        self._random = Random(0)  # noqa: S311 -- the story must repeat itself, and nothing in it is secret

    def fire(self, kiln: str, pots: Sequence[Pot], came_of: Callable[[Pot], Outcome]) -> list[tuple[Pot, Outcome]]:
        """Fire these pots in one session; gives what came of each that went in."""
        hands, keeper = self._floor.hands, self._floor.instructor
        begun = hands.do(outdoor.plan, keeper, self._facts(kiln, hands.clock.now, "dry, hardly any wind"))
        number = int(begun.extra["session"])
        hands.note(outdoor.choose, keeper, number, [pot.ref for pot in pots])
        by_id = {pot.id: pot for pot in pots}
        came = [one for at in self._rounds(number) for one in self._round(number, at, by_id, came_of)]
        lit = len([one for one in self._session(number).rounds if one.piece_ids])
        left = _FULL_KG - _KG_TO_WARM - lit * _KG_A_ROUND + self._random.uniform(-0.4, 0.4)
        hands.do(outdoor.end, keeper, number, fuel_after_kg=round(left, 1))
        return came

    def plan_ahead(self, kiln: str, starts_at: datetime) -> None:
        """Plan the next afternoon, from all that waits."""
        facts = self._facts(kiln, starts_at, "showers in the morning, dry later", dark_after=4.5)
        self._floor.hands.note(outdoor.plan, self._floor.instructor, facts)

    def _facts(self, kiln: str, starts_at: datetime, weather: str, dark_after: float = 3.5) -> SessionFacts:
        rooms = self._floor.catalog.kiln(kiln).containers
        names = [one.short_name for one in (*self._floor.cast.staff, *self._floor.cast.instructors)]
        return SessionFacts(
            kiln=kiln,
            starts_at=starts_at,
            dark_at=starts_at + timedelta(hours=dark_after),
            opening=Opening.LIFT_OFF,
            crew=Crew(pullers=tuple(names[:3]), lids=(names[-1],), clock=names[-1], hose=names[-2]),
            containers=tuple(
                Container(f"{letter}{number}", room)
                for letter, room, many in zip("AB", rooms, (2, 3), strict=True)
                for number in range(1, many + 1)
            ),
            combustibles=_COMBUSTIBLES,
            fuel_before_kg=_FULL_KG,
            tanks=_TANKS,
            burner_kw=_BURNER_KW,
            air_c=round(self._random.uniform(6, 21)),
            weather=weather,
        )

    def _session(self, number: int) -> Session:
        session = self._floor.hands.store.read.outdoors.session(number)
        assert session is not None  # noqa: S101 -- the story has just planned it
        return session

    def _rounds(self, number: int) -> Sequence[RoundSeen]:
        hands = self._floor.hands
        return seen(hands.store.read, self._session(number), hands.clock.now).rounds

    def _round(
        self, number: int, one: RoundSeen, pots: dict[int, Pot], came_of: Callable[[Pot], Outcome]
    ) -> list[tuple[Pot, Outcome]]:
        clock, keeper = self._floor.hands.clock, self._floor.cast.staff[0]
        firing = one.firing.id

        def tap(did: Did, seconds: float, ref: str = "", value: str = "", inside: tuple[str, ...] = ()) -> None:
            at = clock.after(seconds)
            said = Said(did=did, firing_id=firing, ref=ref, value=value, inside=inside, at=at)
            self._floor.hands.note(outdoor_running.hear, keeper, number, said)

        refs = {piece.row.piece.id: piece.row.ref for piece in one.pieces}
        tap(Did.START, 120, inside=tuple(refs.values()))
        tap(Did.AT_HEAT, 1900 if one.number == 1 else 1100)
        for ref in refs.values():
            tap(Did.PULLED, self._random.uniform(7, 12), ref)
            tap(Did.CLOSED, self._random.uniform(4, 9), ref)
        clock.after(600)
        came = []
        for piece_id, ref in refs.items():
            outcome = came_of(pots[piece_id])
            tap(Did.OUT, 20, ref)
            tap(Did.RESULT, 8, ref, str(outcome))
            air, smoke, color = self._random.choice(_COLORS)
            if outcome == Outcome.GOOD and one.firing.route.takes_glaze:
                told = Mark(air=air, smoke=smoke, color=color)
                self._floor.hands.note(outdoor_running.mark, keeper, number, firing, ref, told)
                if piece_id % _PHOTO_OF_EACH == 0:
                    take_photo(self._floor, replace(pots[piece_id], ref=ref), "out of the smoke")
            came.append((pots[piece_id], outcome))
        return came
