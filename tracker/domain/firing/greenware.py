"""What greenware asks of a schedule: candling, water smoking and a slow way up, whatever else is in the kiln."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final

from tracker.domain.firing.firings import Firing
from tracker.domain.firing.schedules import BISQUE_START, NoSchedule, Schedule, schedule_for
from tracker.domain.message import Message
from tracker.domain.studio.kilns import RAW
from tracker.domain.studio.segments import Segment
from tracker.domain.studio.settings import FiringPractice

_CANDLING, _BEFORE_QUARTZ, _QUARTZ = BISQUE_START
_BOIL_C: Final = 100.0


def schedule_of(firing: Firing, practice: FiringPractice, *, has_raw: bool) -> Schedule | None:
    """The schedule of a firing with what is in it and to come; None for one that goes by eye, outdoors.

    With greenware in it, a glaze firing begins and climbs as a bisque does.
    """
    try:
        schedule = schedule_for(firing.way, atmosphere=firing.kiln.atmosphere)
    except NoSchedule:
        return None
    return slowed(schedule, practice) if has_raw and schedule.kind not in RAW else schedule


def slowed(schedule: Schedule, practice: FiringPractice) -> Schedule:
    """A schedule made fit for raw ware: candled first, then never faster than a bisque. Its holds and targets stay.

    One that holds below the boil for as long as a bisque does keeps its own candling. The rates are those of the common
    bisque (common practice), or the studio's own where they are slower.
    """
    segments = schedule.segments
    if not _candles(segments):
        segments = (_CANDLING, *(one for one in segments if one.target_c > _CANDLING.target_c))
    slow = _slow_parts(segments, schedule.start_c, practice)
    return replace(schedule, segments=tuple(_joined(slow, schedule.start_c)))


def _candles(segments: Iterable[Segment]) -> bool:
    """Whether a schedule holds for long enough below the boil before it goes over it."""
    held = 0.0
    for one in segments:
        if one.target_c > _BOIL_C:
            break
        held += one.hold_min
    return held >= _CANDLING.hold_min


def _slow_parts(segments: Iterable[Segment], start_c: float, practice: FiringPractice) -> Iterator[Segment]:
    """Each segment on its way up, slowed and cut where another limit begins; its last part keeps hold and note."""
    edges = sorted({_CANDLING.target_c, _BEFORE_QUARTZ.target_c, _QUARTZ.target_c, practice.bisque_slow_below_c})
    came_from = start_c
    for one in segments:
        for edge in edges:
            if came_from < edge < one.target_c:
                yield replace(_slow(one, came_from, practice), target_c=edge, hold_min=0, note=_note_above(came_from))
                came_from = edge
        if one.target_c > came_from:
            slow = _slow(one, came_from, practice)
            yield replace(slow, note=one.note or _note_above(came_from))
        else:
            yield one
        came_from = one.target_c


def _slow(segment: Segment, above_c: float, practice: FiringPractice) -> Segment:
    """A segment that is no faster than raw ware takes where it begins, up to the next limit."""
    most = practice.bisque_slow_c_per_h if above_c < practice.bisque_slow_below_c else practice.bisque_c_per_h
    if above_c < _CANDLING.target_c:
        most = min(most, _CANDLING.rate_c_per_h)
    elif above_c < _BEFORE_QUARTZ.target_c:
        most = min(most, _BEFORE_QUARTZ.rate_c_per_h)
    elif above_c < _QUARTZ.target_c:
        most = min(most, _QUARTZ.rate_c_per_h)
    return replace(segment, rate_c_per_h=min(segment.rate_c_per_h, most))


def _note_above(above_c: float) -> str | Message:
    return _QUARTZ.note if _BEFORE_QUARTZ.target_c <= above_c < _QUARTZ.target_c else ""


def _joined(segments: Iterable[Segment], start_c: float) -> Iterator[Segment]:
    """The same way with fewer segments: two that rise at one rate, with nothing said or held between them, are one."""
    before, came_from = None, start_c
    for one in segments:
        if before is not None:
            is_one = came_from < before.target_c < one.target_c and before.rate_c_per_h == one.rate_c_per_h
            if not (is_one and not before.hold_min and not before.note):
                yield before
                came_from = before.target_c
        before = one
    if before is not None:
        yield before
