"""The fires of the story: each kiln's log by its schedule, with the wavering of a real one, and its witness cones."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING

from tracker.domain.firing.greenware import schedule_of
from tracker.domain.firing.witness_cones import Stands, WitnessCone
from tracker.usecases.firing import firings
from tracker.usecases.firing import logs as firing_logs

if TYPE_CHECKING:
    from demo_seed.floor import Floor
    from tracker.domain.firing.firings import Firing
    from tracker.domain.firing.schedules import Schedule

_EVERY_S = 900
_COOLS_A_QUARTER = 0.97
_ROOM_C = 21.0
_HANDS_ON_AT_C = 70.0
_KWH_A_FIRING = {"North box": 58.0, "South box": 61.0, "Round Hob": 49.0}
"""What each electric kiln takes to 1,000 °C; to others it takes more or less, as heat is lost ever faster."""
_CENTS_A_KWH = 17
_PROPANE_KG, _CENTS_A_KG = 31.0, 240


def burn(floor: Floor, number: int) -> None:
    """Have a kiln that is lit go by its schedule and cool, with its log, its witness cones and what it took."""
    firing = floor.hands.store.read.firings.firing(number)
    if firing is None:
        return
    read = floor.hands.store.read
    points, off_s = _log_of(
        firing, schedule_of(firing, read.catalog().practice.fires, has_raw=read.firings.has_raw(firing))
    )
    if not points:
        return
    hands, keeper = floor.hands, floor.cast.staff[0]
    hands.note_later(points[-1][0], firing_logs.add_to_log, keeper, number, points)
    hands.note_later(off_s, firings.shut_off, keeper, number)
    seen = [(level, WitnessCone(firing.target, stands)) for level, stands in _stood(firing)]
    hands.note(firing_logs.note_witnesses, keeper, number, seen)
    kwh = _KWH_A_FIRING.get(firing.kiln.name)
    kwh = round(kwh * (firing.target.celsius / 1_000) ** 1.6, 1) if kwh else None
    kg = None if kwh else _PROPANE_KG
    cents = round(kwh * _CENTS_A_KWH if kwh else _PROPANE_KG * _CENTS_A_KG)
    hands.note(firing_logs.note_cost, keeper, number, kwh=kwh, fuel_kg=kg, cost_cents=cents)


def _log_of(firing: Firing, schedule: Schedule | None) -> tuple[tuple[tuple[int, float], ...], int]:
    """A reading every quarter of an hour, up by the schedule and down by itself, and after how many seconds it is off.

    There is none for a fire that goes by eye.
    """
    if schedule is None:
        return (), 0
    wavers = Random(firing.id)  # noqa: S311 -- a story, not a secret
    climb = [(second, schedule.reading_at(second)) for second in range(0, int(schedule.lasts_s), _EVERY_S)]
    top = int(schedule.lasts_s)
    points = [(second, heat + wavers.uniform(-0.4, 0.4)) for second, heat in climb] + [(top, schedule.reading_at(top))]
    second, heat = points[-1]
    while heat > _HANDS_ON_AT_C:
        second, heat = second + _EVERY_S, _ROOM_C + (heat - _ROOM_C) * _COOLS_A_QUARTER
        points.append((second, heat))
    return tuple((second, round(heat, 1)) for second, heat in points), top


def _stood(firing: Firing) -> tuple[tuple[int, Stands], ...]:
    """How the target cone stood, low and high in the kiln: the North box runs a little cool below, and always has."""
    if firing.kiln.name == "North box":
        return (1, Stands.TIP), (2, Stands.HALF)
    return (1, Stands.DOWN), (2, Stands.DOWN)
