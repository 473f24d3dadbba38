"""How fast each cone gives way at a temperature, fitted to its published end points.

Softening is taken for a thermally activated process with a speed of its own for each cone, d(work)/dt =
exp(log_a - E / RT); the cone is down at work 1. E and log_a are found from the two end points that are published for
the cone, of that kind, at 60 and 150 °C an hour. What is integrated there is heating at that one rate from cold, as if
the rate of the last 100 °C had held all the way; a kiln that ran faster before does up to 4 % less, which moves an end
point by up to 1.2 °C. Why so: DEVELOPERS.md, D18. Large and self-supporting cones are fitted and asked apart; no value
of one kind stands in for one of the other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from math import exp, inf, log
from statistics import median
from types import MappingProxyType
from typing import Final

from tracker.domain.cones import END_POINTS, Cone, Kind, Rate
from tracker.domain.firing.curves import ABSOLUTE_ZERO_C, HOUR_S, Curve
from tracker.domain.message import Message, _
from tracker.domain.quantities import celsius as heat
from tracker.domain.quantities import celsius_step

DOWN: Final = 1.0 - 1e-6
"""The work at which a cone counts as down: 1, less what rounding may take from a curve that just gets there."""

OUT_OF_LINE: Final = 1.5
"""How many times its neighbours' median an activation energy may be, or how small a part of it, before it is told."""

LONGEST_WAIT_S: Final = 7 * 24 * HOUR_S
"""What takes longer than a week is said never to come (common practice)."""

_GAS: Final = 8.31446261815324  # J / (mol K), exact by the SI since 2019 (CODATA 2018)
_SLOW: Final[Rate] = 60
_FAST: Final[Rate] = 150
# A step smaller than this many K is taken at its middle temperature: there the difference of two integrals is rounding.
_FLAT_K: Final = 1e-3
# A rate under this moves a kiln by less than 0.002 °C in a week, and counts as holding.
_STEADY_C_PER_H: Final = 1e-5
# A speed of work under 1e-15 a second does nothing in any firing.
_STANDSTILL: Final = log(1e15)
_HOTTEST_K: Final = 4_000.0
_HALVINGS: Final = 200


def _heated(kelvin: float, energy_k: float, log_a: float) -> float:
    """The integral of exp(log_a - energy_k / T) dT from absolute zero to `kelvin`; `energy_k` is E / R in K.

    It is T·E2(x) with x = energy_k / T, by five levels of the continued fraction of the exponential integral E2; for
    the cones x is over 19, where these are right to better than 1e-7, and one form goes into fits and curves alike.
    """
    x = energy_k / kelvin
    return kelvin * exp(log_a - x) / (x + 2 - 2 / (x + 4 - 6 / (x + 6 - 12 / (x + 8 - 20 / (x + 10)))))


@dataclass(frozen=True, slots=True)
class Fit:
    """How fast one cone of one kind gives way: `energy_k` is E / R in K, `log_a` the logarithm of A in 1/s.

    `note` says what is odd about the fit, in one sentence; it is None where nothing is.
    """

    cone: Cone
    kind: Kind
    energy_k: float
    log_a: float
    note: Message | None = None

    def speed(self, celsius: float) -> float:
        """How much work a second at `celsius` does; 1 brings the cone down."""
        kelvin = celsius - ABSOLUTE_ZERO_C
        return exp(self.log_a - self.energy_k / kelvin) if kelvin > 0 else 0.0

    def heated_to(self, celsius: float, rate_c_per_h: float) -> float:
        """The work of heating at one rate from cold to `celsius`."""
        return _heated(celsius - ABSOLUTE_ZERO_C, self.energy_k, self.log_a) / rate_c_per_h * HOUR_S

    def end_point(self, rate_c_per_h: float) -> float:
        """Where the cone is down when heated at one rate from cold, in °C."""
        return self._kelvin_at(rate_c_per_h / HOUR_S, 1.0, _HOTTEST_K) + ABSOLUTE_ZERO_C

    def work(self, curve: Curve) -> float:
        """What the whole of `curve`, cooling included, has done to this cone; 1 brings it down."""
        energy_k, log_a = self.energy_k, self.log_a
        standstill_k = energy_k / (log_a + _STANDSTILL)
        done = last_s = last_k = last = 0.0
        for second, celsius in zip(curve.seconds, curve.celsius, strict=True):
            kelvin = celsius - ABSOLUTE_ZERO_C
            heated = 0.0
            if kelvin > standstill_k:
                # As in `_heated`, written out because a page asks this four hundred thousand times.
                x = energy_k / kelvin
                heated = kelvin * exp(log_a - x) / (x + 2 - 2 / (x + 4 - 6 / (x + 6 - 12 / (x + 8 - 20 / (x + 10)))))
            if last_k and (heated or last):
                rise = kelvin - last_k
                if rise > _FLAT_K or rise < -_FLAT_K:
                    done += (heated - last) / rise * (second - last_s)
                else:
                    done += exp(log_a - 2 * energy_k / (kelvin + last_k)) * (second - last_s)
            last_s, last_k, last = second, kelvin, heated
        return done

    def falls_in(self, work: float, celsius: float, rate_c_per_h: float) -> float | None:
        """In how many seconds it is down, from `work` and `celsius` on at that rate; None when it never will be.

        Never is also what takes more than a week. 0 when it is down already.
        """
        if work >= DOWN:
            return 0.0
        rate, kelvin = rate_c_per_h / HOUR_S, celsius - ABSOLUTE_ZERO_C
        left = 1.0 - work
        if abs(rate_c_per_h) < _STEADY_C_PER_H:
            speed = self.speed(celsius)
            seconds = left / speed if speed else inf
        else:
            seconds = self._moving(kelvin, rate, left)
        return seconds if seconds <= LONGEST_WAIT_S else None

    def hold_for(self, work: float, celsius: float) -> float | None:
        """How many seconds at `celsius` bring it down from `work` on; None where that takes more than a week."""
        return self.falls_in(work, celsius, 0.0)

    def _moving(self, kelvin: float, rate: float, left: float) -> float:
        """In how many seconds `left` work is done from `kelvin` on at `rate` K/s; infinite when it never is."""
        here = _heated(kelvin, self.energy_k, self.log_a)
        wanted = here + left * rate
        if wanted <= 0:
            return inf
        ends = (kelvin, _HOTTEST_K) if rate > 0 else (1.0, kelvin)
        return (self._kelvin_at(wanted, *ends) - kelvin) / rate

    def _kelvin_at(self, wanted: float, low: float, high: float) -> float:
        """Between `low` and `high` K, where the integral of the speed over temperature is `wanted`: by halving."""
        return _halved(lambda kelvin: _log_heated(kelvin, self.energy_k) + self.log_a, log(wanted), low, high)


def _halved(rising: Callable[[float], float], wanted: float, low: float, high: float) -> float:
    """Where a rising function is `wanted`, between `low` and `high`, to the last digit of a float."""
    for _step in range(_HALVINGS):
        middle = (low + high) / 2
        if middle in {low, high}:
            break
        if rising(middle) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _log_heated(kelvin: float, energy_k: float) -> float:
    """The logarithm of the integral of exp(-energy_k / T) dT up to `kelvin`, where the integral itself is too small."""
    x = energy_k / kelvin
    return log(kelvin) - x - log(x + 2 - 2 / (x + 4 - 6 / (x + 6 - 12 / (x + 8 - 20 / (x + 10)))))


def fit_cones(kind: Kind, slow: Mapping[Cone, float], fast: Mapping[Cone, float]) -> Mapping[Cone, Fit]:
    """The fit of each cone to its end points in °C at 60 (`slow`) and 150 °C an hour (`fast`), from cool to hot.

    A cone with one end point only, or whose faster one is not the hotter, takes the median activation energy of its
    neighbours, and its note says so; so does the note of a cone whose own energy is out of line with theirs.
    """
    cones = sorted({*slow, *fast})
    own = {
        cone: _energy(slow[cone], fast[cone])
        for cone in cones
        if cone in slow and cone in fast and fast[cone] > slow[cone]
    }
    return MappingProxyType({cone: _fit(kind, cone, own, _around(cone, cones, own), slow, fast) for cone in cones})


def _around(cone: Cone, cones: list[Cone], own: Mapping[Cone, float]) -> float:
    """The median of the energies of the two nearest cones on either side that have one of their own."""
    at = cones.index(cone)
    below = [own[one] for one in cones[:at] if one in own][-2:]
    above = [own[one] for one in cones[at + 1 :] if one in own][:2]
    return median([*below, *above]) if below or above else own[cone]


def _fit(
    kind: Kind,
    cone: Cone,
    own: Mapping[Cone, float],
    around: float,
    slow: Mapping[Cone, float],
    fast: Mapping[Cone, float],
) -> Fit:
    energy_k, note = own.get(cone, around), None
    celsius, rate = (slow[cone], _SLOW) if cone in slow else (fast[cone], _FAST)
    log_a = log(rate / HOUR_S) - _log_heated(celsius - ABSOLUTE_ZERO_C, energy_k)
    if cone not in own:
        words = _("Cone {cone} ({kind}) has fewer than two usable end points. Its neighbors' values are used.")
        note = Message("taken-as-neighbors", words, cone=str(cone), kind=kind)
    elif not 1 / OUT_OF_LINE <= energy_k / around <= OUT_OF_LINE:
        note = Message(
            "out-of-line",
            _(
                "Cone {cone} ({kind}): its end points, {slow} and {fast}, are {apart} apart. That "
                "gives {own} kJ/mol, and its neighbors have {around}. Away from the published rates, "
                "trust it less."
            ),
            cone=str(cone),
            kind=kind,
            slow=heat(slow[cone]),
            fast=heat(fast[cone]),
            apart=celsius_step(fast[cone] - slow[cone]),
            own=round(energy_k * _GAS / 1_000),
            around=round(around * _GAS / 1_000),
        )
    return Fit(cone, kind, energy_k, log_a, note)


def _energy(slow_c: float, fast_c: float) -> float:
    """E / R in K for which heating to either end point at its own rate does the same work."""
    slow_k, fast_k = slow_c - ABSOLUTE_ZERO_C, fast_c - ABSOLUTE_ZERO_C
    return _halved(
        lambda energy_k: _log_heated(fast_k, energy_k) - _log_heated(slow_k, energy_k), log(_FAST / _SLOW), 100.0, 1e8
    )


@cache
def fits(kind: Kind) -> Mapping[Cone, Fit]:
    """Every cone of that kind with its fit to the published end points, from cool to hot; worked out once."""
    return fit_cones(kind, END_POINTS[kind, _SLOW], END_POINTS[kind, _FAST])
