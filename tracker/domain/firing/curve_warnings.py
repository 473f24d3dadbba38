"""What a schedule or a real curve does that is not good for the ware: too fast for bisque, stalls, jumps, quartz.

All warnings; nobody is stopped by them. They rest on common practice, and every number is a studio's own to set.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import pairwise

from tracker.domain.findings import Finding, Level
from tracker.domain.firing.curves import HOUR_S, Curve, Leg, lasting
from tracker.domain.firing.schedules import QUARTZ_C, Schedule
from tracker.domain.message import Choice, Message, _
from tracker.domain.quantities import celsius, celsius_per_hour, compared
from tracker.domain.studio.kilns import PULLED_HOT, RAW, RouteKind
from tracker.domain.studio.settings import FIRING_PRACTICE, FiringPractice

_BAND_C = 25.0
_ROUNDING = 1 + 1e-9
_RESTS_ON = "common practice"


def look_at_schedule(
    schedule: Schedule, practice: FiringPractice = FIRING_PRACTICE, *, has_raw: bool = False
) -> tuple[Finding, ...]:
    """What there is to warn of before a schedule is run: raw ware heated too fast, quartz on the way down.

    `has_raw` says that there is greenware in a firing of a kind that isn't for it.
    """
    found: list[Finding] = []
    if has_raw or schedule.kind in RAW:
        corners = pairwise(zip(schedule.curve.celsius, schedule.curve.seconds, strict=True))
        ramps = ((low, high, end - start) for (low, start), (high, end) in corners if high > low)
        parts = (part for ramp in ramps for part in _split_at(practice.bisque_slow_below_c, *ramp))
        found += _too_fast(parts, practice, leeway=_ROUNDING)
    return (*found, *_quartz(schedule.curve, schedule.kind, practice, leeway=_ROUNDING))


def look_at_curve(
    curve: Curve,
    kind: RouteKind,
    schedule: Schedule | None = None,
    practice: FiringPractice = FIRING_PRACTICE,
    *,
    has_raw: bool = False,
) -> tuple[Finding, ...]:
    """What there is to warn of in a real curve, as far as it goes, of a firing of that kind.

    Without a schedule a stall cannot be told from a hold, so it is only noted. `has_raw` as above.
    """
    found = [*_stalls(curve, schedule, practice), *_jumps(curve, practice)]
    if has_raw or kind in RAW:
        found += _too_fast(_bands(curve), practice, leeway=practice.leeway)
    return (*found, *_quartz(curve, kind, practice, leeway=practice.leeway))


def _split_at(celsius: float, low: float, high: float, seconds: float) -> Iterator[tuple[float, float, float]]:
    """A ramp as (from °C, to °C, s), in two where it passes `celsius`."""
    if not low < celsius < high:
        yield low, high, seconds
        return
    part = (celsius - low) / (high - low) * seconds
    yield low, celsius, part
    yield celsius, high, seconds - part


def _bands(curve: Curve) -> Iterator[tuple[float, float, float]]:
    """A real curve's way up in bands of 25 °C, as (from °C, to °C, s) by when each temperature was first reached."""
    level = (curve.celsius[0] // _BAND_C + 1) * _BAND_C
    since: float | None = None
    for (start, low), (end, high) in pairwise(zip(curve.seconds, curve.celsius, strict=True)):
        while low < level <= high:
            now = start + (end - start) * (level - low) / (high - low)
            if since is not None:
                yield level - _BAND_C, level, now - since
            since, level = now, level + _BAND_C


def _too_fast(parts: Iterable[tuple[float, float, float]], practice: FiringPractice, *, leeway: float) -> list[Finding]:
    """One warning for each stretch that rises faster than a bisque should, neighbours taken together."""
    stretches: list[tuple[float, float, float, float]] = []
    for low, high, seconds in parts:
        limit = practice.bisque_slow_c_per_h if high <= practice.bisque_slow_below_c else practice.bisque_c_per_h
        rate = (high - low) / seconds * HOUR_S
        if rate <= limit * leeway:
            continue
        if stretches and stretches[-1][1] == low and stretches[-1][3] == limit:
            begin, _high, before, _limit = stretches.pop()
            stretches.append((begin, high, max(before, rate), limit))
        else:
            stretches.append((low, high, rate, limit))
    return [
        _warning(
            Message(
                "bisque-too-fast",
                _("From {low} to {high} it rises by up to {rate}. Raw ware takes {limit} at most there."),
                low=celsius(low),
                high=celsius(high),
                rate=replace(celsius_per_hour(rate), beside=limit),
                limit=replace(celsius_per_hour(limit), beside=rate),
            ),
            Message("slow-down", _("Slow the kiln down. Steam and burning matter need time to leave the wall.")),
        )
        for low, high, rate, limit in stretches
    ]


def _quartz(curve: Curve, kind: RouteKind, practice: FiringPractice, *, leeway: float) -> list[Finding]:
    """A warning when the kiln cools through quartz too fast; not outdoors, where ware is pulled hot on purpose."""
    rate = None if kind in PULLED_HOT else quartz_rate(curve, practice)
    if rate is None or rate <= practice.quartz_c_per_h * leeway:
        return []
    fell, limit = compared(celsius_per_hour(rate), celsius_per_hour(practice.quartz_c_per_h))
    return [
        _warning(
            Message(
                "quartz-too-fast",
                _("It cools by {rate} through {quartz}, where quartz shrinks all at once. Keep below {limit}."),
                rate=fell,
                quartz=celsius(QUARTZ_C),
                limit=limit,
            ),
            Message(
                "keep-shut",
                _(
                    "Cool it more slowly there: keep the kiln shut for longer. Tap each piece once it is out: a dull "
                    "ring means hairline cracks."
                ),
            ),
        )
    ]


def quartz_rate(curve: Curve, practice: FiringPractice = FIRING_PRACTICE) -> float | None:
    """How fast it cools past 573 °C after its peak, in °C an hour; None where it has not come down so far yet."""
    above, below = QUARTZ_C + practice.quartz_within_c, QUARTZ_C - practice.quartz_within_c
    if curve.peak_c <= above:
        return None
    at = curve.seconds.index(curve.peak_s)
    entered, left = _falls_to(curve, above, at), _falls_to(curve, below, at)
    if entered is None:
        return None
    if left is None:
        if curve.last_c > QUARTZ_C:
            return None
        left, below = curve.seconds[-1], curve.last_c
    return (above - below) / (left - entered) * HOUR_S


def _falls_to(curve: Curve, celsius: float, after: int) -> float | None:
    """When it first falls to `celsius` after reading number `after`, in s."""
    points = zip(curve.seconds[after:], curve.celsius[after:], strict=True)
    for (start, high), (end, low) in pairwise(points):
        if low <= celsius < high:
            return start + (end - start) * (high - celsius) / (high - low)
    return None


def _stalls(curve: Curve, schedule: Schedule | None, practice: FiringPractice) -> list[Finding]:
    """Where the kiln stood though it should have risen."""
    found = []
    for leg in curve.legs():
        if not leg.is_hold or leg.start_s > curve.peak_s or _is_meant(leg, curve, schedule, practice):
            continue
        message = Message(
            "curve-stalled",
            _STALLED,
            against="schedule" if schedule else "nothing",
            after=lasting(leg.start_s - curve.seconds[0]),
            heat=celsius(leg.start_c),
            span=lasting(leg.end_s - leg.start_s),
        )
        found.append(Finding(Level.WARN if schedule else Level.NOTE, message, _LOOK_AT_ELEMENTS, _RESTS_ON))
    return found


_STALLED = Choice(
    "against",
    {
        "schedule": _("After {after} it holds at {heat} for {span}. The schedule rises there."),
        "nothing": _("After {after} it holds at {heat} for {span}."),
    },
)
_LOOK_AT_ELEMENTS = Message(
    "look-at-elements", _("Check the elements, the gas and the pyrometer. A hold does heat-work too.")
)


def _is_meant(leg: Leg, curve: Curve, schedule: Schedule | None, practice: FiringPractice) -> bool:
    """Whether a hold is short, is the schedule's own, or (without a schedule) is at the top or at room heat."""
    near = practice.stall_within_c
    if schedule is None:
        return leg.minutes < practice.stall_min or leg.start_c >= curve.peak_c - near
    asked = sum(one.hold_min for one in schedule.segments if abs(one.target_c - leg.start_c) <= near)
    if abs(schedule.start_c - leg.start_c) <= near and leg.start_s == curve.seconds[0]:
        return True
    return leg.minutes < asked + practice.stall_min


def _jumps(curve: Curve, practice: FiringPractice) -> list[Finding]:
    found = []
    for (start, before), (end, after) in pairwise(zip(curve.seconds, curve.celsius, strict=True)):
        if abs(after - before) > practice.jump_c_per_min * max(1.0, (end - start) / 60):
            found.append(
                _warning(
                    Message(
                        "curve-jumped",
                        _("At {after} the temperature jumps from {low} to {high}."),
                        after=lasting(start - curve.seconds[0]),
                        low=celsius(before),
                        high=celsius(after),
                    ),
                    Message("look-at-leads", _("Check the thermocouple and its leads. Was the kiln opened?")),
                )
            )
    return found


def _warning(message: Message, remedy: Message) -> Finding:
    return Finding(Level.WARN, message, remedy, _RESTS_ON)
