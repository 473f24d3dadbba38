"""What is known of a fire, put together for its page: curve, cones, schedule, what comes next and what to look at."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median

from tracker.domain.cones import Kind
from tracker.domain.findings import Finding
from tracker.domain.firing.cone_model import fits
from tracker.domain.firing.curve_warnings import look_at_curve, look_at_schedule
from tracker.domain.firing.curves import Curve
from tracker.domain.firing.firings import Firing
from tracker.domain.firing.greenware import schedule_of
from tracker.domain.firing.heat_work import HeatWork, Reached, heat_work, step_of
from tracker.domain.firing.schedules import Schedule
from tracker.domain.firing.witness_cones import Correction, Span, Stands, WitnessCone, correction, witnessed
from tracker.store.firing.queries import WitnessRow
from tracker.store.queries import Queries

_MOST_COMPARED = 12
"""How many of a kiln's last firings are looked at for its correction."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FireStory:
    """What a firing's log and its witness cones say. Seconds count from when the fire was lit.

    `curve` and what rests on it are None while there are fewer than two readings. `corrected` is what the cones would
    say, by this kiln's `correction`. `falls_in` and `hold_for` are the seconds until the target cone is down at the
    present rate and at the present temperature, by that correction too where there is one; None is never, or not in a
    week. `levels` are the witness cones of each
    level together, and `off` by how many whole cones they saw more heat than the curve.
    """

    kind: Kind
    curve: Curve | None
    work: HeatWork | None
    corrected: Reached | None
    correction: Correction
    schedule: Schedule | None
    next_hour: tuple[tuple[float, float], ...]
    falls_in: float | None
    hold_for: float | None
    findings: tuple[Finding, ...]
    levels: tuple[tuple[int | None, Span], ...]
    off: float | None


def story_of(reader: Queries, firing: Firing, witnesses: Iterable[WitnessRow], *, second: float | None) -> FireStory:
    """The story of one firing; `second` is how long after it was lit the next hour is asked for, None for nothing."""
    seen = list(witnesses)
    kind = _kind_of(seen)
    practice = reader.catalog().practice.fires
    curve = _curve_of(reader, firing.id)
    work = heat_work(curve, kind) if curve else None
    has_raw = reader.firings.has_raw(firing)
    schedule = schedule_of(firing, practice, has_raw=has_raw)
    of_kiln = kiln_correction(reader, firing.kiln.name, before=firing.id)
    levels = _levels(seen)
    goal = step_of(firing.target) - of_kiln.cones if firing.target in fits(kind) else None
    return FireStory(
        kind=kind,
        curve=curve,
        work=work,
        corrected=work.reached.moved(of_kiln.cones) if work and of_kiln.agreed else None,
        correction=of_kiln,
        schedule=schedule,
        next_hour=schedule.next_hour(second) if schedule and second is not None else (),
        falls_in=work.reaches_in(goal) if work and goal is not None else None,
        hold_for=work.reaches_in(goal, 0.0) if work and goal is not None else None,
        findings=(
            *(look_at_schedule(schedule, practice, has_raw=has_raw) if schedule else ()),
            *(look_at_curve(curve, firing.route.kind, schedule, practice, has_raw=has_raw) if curve else ()),
        ),
        levels=levels,
        off=_off(levels, work),
    )


def kiln_correction(reader: Queries, kiln: str, *, before: int | None = None) -> Correction:
    """By how much this kiln's witness cones see more heat than its curves, once its firings agree.

    `before` leaves that firing and later ones out, so that a firing is never corrected by itself.
    """
    offsets = []
    for number, seen in reader.firings.witnessed(kiln, before=before, limit=_MOST_COMPARED):
        curve = _curve_of(reader, number)
        off = _off(_levels(seen), heat_work(curve, _kind_of(seen))) if curve else None
        if off is not None:
            offsets.append(off)
    return correction(offsets, reader.catalog().practice.corrections)


def _curve_of(reader: Queries, number: int) -> Curve | None:
    points = reader.firings.log(number)
    return Curve.of((float(second), celsius) for second, celsius in points) if len(points) > 1 else None


def _kind_of(seen: Iterable[WitnessRow]) -> Kind:
    """The kind of cone a studio stands in this kiln: the witnesses' own, or else self-supporting ones."""
    return next((one.kind for one in seen), "self-supporting")


def _levels(seen: Iterable[WitnessRow]) -> tuple[tuple[int | None, Span], ...]:
    by_level: dict[int | None, list[WitnessCone]] = {}
    for one in seen:
        by_level.setdefault(one.level, []).append(WitnessCone(one.cone, Stands(one.stands), one.kind))
    return tuple((level, witnessed(cones)) for level, cones in by_level.items())


def _off(levels: tuple[tuple[int | None, Span], ...], work: HeatWork | None) -> float | None:
    """By how many whole cones the witnesses saw more heat than the curve: the middle of what the levels say."""
    if work is None or not levels:
        return None
    return median(span.off_from(work.reached) for _, span in levels)
