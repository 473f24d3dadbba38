"""A temperature curve: what a kiln did, or should do, over time.

Between two readings the temperature is taken to move in a straight line. Nothing here smooths a curve or mends it;
whether a log may be trusted is asked in `firing_logs`.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite
from typing import Final

from tracker.domain.message import Message, _
from tracker.domain.quantities import Quantity, hours, minutes

ABSOLUTE_ZERO_C: Final = -273.15
"""The coldest there is, in °C."""

HOUR_S: Final = 3_600.0
"""Seconds in an hour."""

_FEWEST_POINTS: Final = 2
# A leg slower than this many °C an hour is a hold; no schedule here asks for a ramp as slow (common practice).
_HOLD_C_PER_H: Final = 10.0
_SHORTEST_HOLD_S: Final = 300.0


class BadCurve(ValueError):
    """Refused because times and temperatures make no curve; says where."""


@dataclass(frozen=True, slots=True)
class Leg:
    """One straight stretch of a curve, from one corner to the next: times in s, temperatures in °C."""

    start_s: float
    end_s: float
    start_c: float
    end_c: float
    is_hold: bool

    @property
    def rate_c_per_h(self) -> float:
        """How fast it rises, in °C an hour; below zero where it cools."""
        return (self.end_c - self.start_c) / (self.end_s - self.start_s) * HOUR_S

    @property
    def minutes(self) -> float:
        """How long it lasts, in minutes."""
        return (self.end_s - self.start_s) / 60


@dataclass(frozen=True, slots=True)
class Curve:
    """Temperatures in °C at times in s, two readings or more, strictly forwards in time; BadCurve for anything else."""

    seconds: tuple[float, ...]
    celsius: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse what is no curve."""
        if len(self.seconds) != len(self.celsius):
            raise BadCurve(f"{len(self.seconds)} times and {len(self.celsius)} temperatures make no curve.")
        if len(self.seconds) < _FEWEST_POINTS:
            raise BadCurve("A curve takes two readings or more.")
        if not all(map(isfinite, (*self.seconds, *self.celsius))):
            raise BadCurve("A curve is made of finite numbers.")
        if min(self.celsius) <= ABSOLUTE_ZERO_C:
            raise BadCurve(f"{min(self.celsius):g} °C is not above absolute zero.")
        for at, (before, after) in enumerate(pairwise(self.seconds), start=2):
            if after <= before:
                raise BadCurve(f"Reading {at} is not later than the one before it.")

    @classmethod
    def of(cls, points: Iterable[tuple[float, float]]) -> Curve:
        """The curve through `points` of (seconds, °C)."""
        pairs = tuple(points)
        return cls(tuple(float(second) for second, _ in pairs), tuple(float(celsius) for _, celsius in pairs))

    @property
    def lasts_s(self) -> float:
        """From the first reading to the last, in s."""
        return self.seconds[-1] - self.seconds[0]

    @property
    def last_c(self) -> float:
        """The temperature of the last reading, in °C."""
        return self.celsius[-1]

    @property
    def peak_c(self) -> float:
        """The hottest reading, in °C."""
        return max(self.celsius)

    @property
    def peak_s(self) -> float:
        """When the hottest temperature was first read, in s."""
        return self.seconds[self.celsius.index(self.peak_c)]

    def at(self, second: float) -> float:
        """The temperature at `second`, in °C; BadCurve before the first reading and after the last."""
        if not self.seconds[0] <= second <= self.seconds[-1]:
            raise BadCurve(f"Nothing was read at {second:g} s.")
        after = bisect_left(self.seconds, second)
        if self.seconds[after] == second:
            return self.celsius[after]
        start, end = self.seconds[after - 1 : after + 1]
        low, high = self.celsius[after - 1 : after + 1]
        return low + (high - low) * (second - start) / (end - start)

    def until(self, second: float) -> Curve:
        """The part up to `second`, which lies after the first reading."""
        kept = bisect_left(self.seconds, second)
        return Curve((*self.seconds[:kept], second), (*self.celsius[:kept], self.at(second)))

    def since(self, second: float) -> Curve:
        """The part from `second` on, which lies before the last reading."""
        left = bisect_right(self.seconds, second)
        return Curve((second, *self.seconds[left:]), (self.at(second), *self.celsius[left:]))

    def rises_past(self, celsius: float, by: int | None = None) -> float | None:
        """When it last rose to `celsius` before reading number `by` (or its end), in s; None when it never did."""
        for at in range(len(self.seconds) - 1 if by is None else by, 0, -1):
            low, high = self.celsius[at - 1 : at + 1]
            if low <= celsius < high:
                start, end = self.seconds[at - 1 : at + 1]
                return start + (end - start) * (celsius - low) / (high - low)
        return None

    def rate_before_peak(self, degrees: float = 100.0) -> float | None:
        """How fast it rose over the last `degrees` up to where the peak was first read, in °C an hour.

        None for a curve that never rose by so much.
        """
        top = self.celsius.index(self.peak_c)
        start = self.rises_past(self.peak_c - degrees, by=top)
        return None if start is None else degrees / (self.seconds[top] - start) * HOUR_S

    def present_rate(self, minutes: float = 15.0) -> float:
        """How fast it rises now: the straight line of least squares through the last `minutes`, in °C an hour."""
        recent = self.since(max(self.seconds[0], self.seconds[-1] - minutes * 60))
        middle_s = sum(recent.seconds) / len(recent.seconds)
        middle_c = sum(recent.celsius) / len(recent.celsius)
        pairs = zip(recent.seconds, recent.celsius, strict=True)
        together = sum((second - middle_s) * (celsius - middle_c) for second, celsius in pairs)
        return together / sum((second - middle_s) ** 2 for second in recent.seconds) * HOUR_S

    def legs(self, within_c: float = 5.0) -> tuple[Leg, ...]:
        """The ramps and holds in it: straight stretches from which no reading lies further away than `within_c`.

        A leg is a hold when it moves by no more than `within_c` in five minutes or longer, or by less than 10 °C an
        hour (common practice).
        """
        corners = self._corners(within_c)
        legs: list[Leg] = []
        for start, end in pairwise(corners):
            leg = self._leg(start, end, within_c)
            if legs and legs[-1].is_hold and leg.is_hold:
                before = legs.pop()
                leg = Leg(before.start_s, leg.end_s, before.start_c, leg.end_c, is_hold=True)
            legs.append(leg)
        return tuple(legs)

    def _leg(self, start: int, end: int, within_c: float) -> Leg:
        lasts, moves = self.seconds[end] - self.seconds[start], abs(self.celsius[end] - self.celsius[start])
        hold = lasts >= _SHORTEST_HOLD_S and moves <= max(within_c, _HOLD_C_PER_H * lasts / HOUR_S)
        return Leg(self.seconds[start], self.seconds[end], self.celsius[start], self.celsius[end], is_hold=hold)

    def _corners(self, within_c: float) -> list[int]:
        """The readings between which straight lines keep within `within_c` of all the others, each found in turn."""
        corners = {0, len(self.seconds) - 1}
        open_ends = [(0, len(self.seconds) - 1)]
        while open_ends:
            start, end = open_ends.pop()
            begin_s, begin_c = self.seconds[start], self.celsius[start]
            slope = (self.celsius[end] - begin_c) / (self.seconds[end] - begin_s)
            away, furthest = 0.0, start
            for at in range(start + 1, end):
                off = abs(self.celsius[at] - begin_c - slope * (self.seconds[at] - begin_s))
                if off > away:
                    away, furthest = off, at
            if away > within_c:
                corners.add(furthest)
                open_ends += [(start, furthest), (furthest, end)]
        return sorted(corners)


def lasting(seconds: float) -> Quantity | Message:
    """A span of time as people say it, to the minute: 2 hours 5 minutes, or 40 minutes."""
    whole, rest = divmod(round(seconds / 60), 60)
    if not whole:
        return minutes(rest)
    return Message("hours-and-minutes", _("{hours} {minutes}"), hours=hours(whole), minutes=minutes(rest))
