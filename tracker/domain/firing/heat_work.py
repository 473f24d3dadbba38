"""Heat-work: which cone a temperature curve has reached, when the next one falls, and what a hold does instead."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import inf, log
from types import MappingProxyType

from tracker.domain.cones import END_POINTS, Cone, Kind
from tracker.domain.firing.cone_model import DOWN, LONGEST_WAIT_S, fits
from tracker.domain.firing.curves import HOUR_S, Curve
from tracker.domain.message import Message, _
from tracker.domain.quantities import celsius, percent

_MELTED_C = 2_000.0
_TO_THE_SECOND_S = 0.5


def step_of(cone: Cone) -> float:
    """Where a cone stands in whole cones: 022 at -22, 01 at -1, 1 at 0, 6 at 5, 5.5 at 4.5. There is no cone 0."""
    return cone.rank / 10 if cone.rank < 0 else cone.rank / 10 - 1


def label_of(cone: Cone, kind: Kind) -> Message:
    """The cone with the end point of its own kind at 60 °C an hour: "cone 6, 1,220 °C" for a large one."""
    return Message("cone-of-kind", _("cone {name}, {heat}"), name=str(cone), heat=celsius(END_POINTS[kind, 60][cone]))


def with_band(cone: Cone) -> Message:
    """The cone read back so that nobody takes 06 for 6: "cone 06, 998 °C, bisque range"."""
    return Message("cone-and-band", _("{cone}, {band}"), cone=cone, band=cone.band)


@dataclass(frozen=True, slots=True)
class Reached:
    """The cone that is down, and how far on to the next cone of that kind: `fraction`, from 0 up to but not 1.

    With the work a of the cone that is down and b of the next, the fraction is log a / (log a - log b): 0 the moment
    the one falls, 1 the moment the next does, never less after more heat, and halfway between the end points at a
    steady rate about a half. Before the coolest cone `cone` is None and the fraction is that cone's work. Past the
    hottest nothing is known, and the fraction stays 0.
    """

    kind: Kind
    cone: Cone | None
    fraction: float

    @classmethod
    def at_step(cls, kind: Kind, step: float) -> Reached:
        """What stands at `step` in whole cones (see `step_of`), held between the coolest and hottest of that kind."""
        down = [cone for cone in fits(kind) if step_of(cone) <= step]
        if not down:
            return cls(kind, None, max(0.0, 1.0 + step - step_of(next(iter(fits(kind))))))
        after = _after(down[-1], kind)
        width = step_of(after) - step_of(down[-1]) if after else inf
        return cls(kind, down[-1], (step - step_of(down[-1])) / width)

    @property
    def step(self) -> float:
        """Where that stands in whole cones, so that two of them can be compared and subtracted; see `step_of`."""
        if self.cone is None:
            return step_of(next(iter(fits(self.kind)))) - 1.0 + self.fraction
        after = _after(self.cone, self.kind)
        return step_of(self.cone) + self.fraction * ((step_of(after) - step_of(self.cone)) if after else 0.0)

    def moved(self, cones: float) -> Reached:
        """The same with a kiln's correction in whole cones added."""
        return Reached.at_step(self.kind, self.step + cones)

    @property
    def message(self) -> Message:
        """The cone with its temperature, and how far on: "cone 6, 1,222 °C, and 30% of the way to cone 7"."""
        part = int(self.fraction * 100)
        if self.cone is None:
            words = _("no cone yet; the coolest, {cone}, has had {part} of the heat-work it needs")
            coolest = label_of(next(iter(fits(self.kind))), self.kind)
            return Message("no-cone-yet", words, cone=coolest, part=percent(part))
        after, cone = _after(self.cone, self.kind), label_of(self.cone, self.kind)
        if not (after and part):
            return cone
        if part < _JUST_PAST:
            return Message("just-past-cone", _("{cone} (just past it)"), cone=cone)
        if part > _ALMOST:
            return Message("almost-next-cone", _("{cone}, almost cone {next}"), cone=cone, next=str(after))
        words = _("{cone}, and {part} of the way to cone {next}")
        return Message("cone-reached", words, cone=cone, part=percent(part), next=str(after))


_JUST_PAST = 10
"""Percent of the way to the next cone under which nobody could tell the two apart."""
_ALMOST = 100 - _JUST_PAST
"""The same below that next cone: a model of cones errs by as much (common practice)."""


def _after(cone: Cone, kind: Kind) -> Cone | None:
    """The next hotter cone of that kind; None past the hottest."""
    return next((one for one in fits(kind) if one > cone), None)


def reached(kind: Kind, works: Mapping[Cone, float]) -> Reached:
    """The hottest cone that is down by `works`, and how far on to the next."""
    down = max((cone for cone, work in works.items() if work >= DOWN), default=None)
    if down is None:
        return Reached(kind, None, works[min(works)])
    after = _after(down, kind)
    if after is None or works[after] <= 0:
        return Reached(kind, down, 0.0)
    past, left = max(0.0, log(works[down])), -log(works[after])
    return Reached(kind, down, past / (past + left))


@dataclass(frozen=True, slots=True)
class HeatWork:
    """What `curve` has done to every cone of one kind: `works` by cone, 1 being down."""

    kind: Kind
    curve: Curve
    works: Mapping[Cone, float]

    @property
    def reached(self) -> Reached:
        """The cone that is down, and how far on to the next."""
        return reached(self.kind, self.works)

    def falls_in(self, cone: Cone, rate_c_per_h: float | None = None) -> float | None:
        """In how many seconds `cone` is down at that rate, or else at the present one; None when it never will be.

        KeyError for a cone that this kind does not have.
        """
        rate = self.curve.present_rate() if rate_c_per_h is None else rate_c_per_h
        return fits(self.kind)[cone].falls_in(self.works[cone], self.curve.last_c, rate)

    def reaches_in(self, step: float, rate_c_per_h: float | None = None) -> float | None:
        """In how many seconds `reached.step` is `step`, as by `falls_in`: where a kiln's correction moves a cone to."""
        rate = self.curve.present_rate() if rate_c_per_h is None else rate_c_per_h
        if self.reached.step >= step:
            return 0.0
        # No further than to where nothing burns, or to where every kiln has melted.
        degrees = _MELTED_C - self.curve.last_c if rate > 0 else self.curve.last_c
        longest = min(LONGEST_WAIT_S, degrees / abs(rate) * HOUR_S if rate else LONGEST_WAIT_S)
        if longest <= 0 or self._step_after(longest, rate) < step:
            return None
        soonest = 0.0
        while longest - soonest > _TO_THE_SECOND_S:
            middle = (soonest + longest) / 2
            if self._step_after(middle, rate) < step:
                soonest = middle
            else:
                longest = middle
        return longest

    def _step_after(self, seconds: float, rate_c_per_h: float) -> float:
        """The step that is reached after so many seconds more at that rate."""
        last_c = self.curve.last_c
        more = Curve((0.0, seconds), (last_c, last_c + rate_c_per_h * seconds / HOUR_S))
        ladder = fits(self.kind)
        return reached(self.kind, {cone: work + ladder[cone].work(more) for cone, work in self.works.items()}).step

    def fell_at(self, cone: Cone) -> float | None:
        """At which reading of the curve `cone` was down, as its second; None while it stands."""
        if self.works[cone] < DOWN:
            return None
        fit, seconds = fits(self.kind)[cone], self.curve.seconds
        # The first reading up to which the work is done; the first one alone is no curve and does none.
        place = bisect_left(range(1, len(seconds)), DOWN, key=lambda at: fit.work(self.curve.until(seconds[at])))
        return seconds[min(place + 1, len(seconds) - 1)]

    def hold_for(self, cone: Cone) -> float | None:
        """How many seconds at the present temperature bring `cone` down; None where that takes more than a week."""
        return fits(self.kind)[cone].hold_for(self.works[cone], self.curve.last_c)


def heat_work(curve: Curve, kind: Kind = "self-supporting") -> HeatWork:
    """What `curve` has done to every cone of that kind."""
    return HeatWork(kind, curve, MappingProxyType({cone: fit.work(curve) for cone, fit in fits(kind).items()}))


# ---- how long a hold stands in for a hotter cone ---------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class HoldTime:
    """How many minutes at `celsius`, where `cone` has just fallen, bring down `then` too."""

    cone: Cone
    celsius: float
    then: Cone
    minutes: float


def hold_times(kind: Kind, rate_c_per_h: float = 60.0) -> tuple[HoldTime, ...]:
    """For each cone and its next, and the next whole one where a half comes between, the hold that stands in for it.

    The kiln has been heated at that one rate to where the cone falls, which at the published rates is its end point.
    """
    ladder = fits(kind)
    times = []
    for cone, after in pairwise(ladder):
        whole = _after(after, kind) if after.rank % 10 else None
        celsius = ladder[cone].end_point(rate_c_per_h)
        for then in filter(None, (after, whole)):
            left = max(0.0, 1.0 - ladder[then].heated_to(celsius, rate_c_per_h))
            times.append(HoldTime(cone, celsius, then, left / ladder[then].speed(celsius) / 60))
    return tuple(times)
