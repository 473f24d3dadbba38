"""Thermocouples of type K and S: from millivolts to °C and back.

The coefficients are those of the NIST ITS-90 reference functions (NIST Monograph 175 and its database SRD 60), written
from memory and then found the same in published listings of them; the tests hold them to
tests/reference/thermocouple_emf.csv, to each other where two ranges meet, and to the mV that NIST prints for the ends
of a range. °C are found from mV by solving the reference function itself, so there and back agree to a millionth of a
degree; NIST's approximate inverse polynomials, good to some hundredths, are not used.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from math import exp, isfinite
from typing import Final

from tracker.domain.message import Message, _
from tracker.domain.quantities import celsius as in_celsius
from tracker.domain.refusals import BadValue


class OutOfRange(BadValue):
    """Refused because no thermocouple of that type reads so; says from where to where it reads."""


class Couple(StrEnum):
    """The types of thermocouple that are understood."""

    K = "K"
    S = "S"


@dataclass(frozen=True, slots=True)
class _Piece:
    """One range of a reference function: mV as a polynomial of °C up to `top_c`, with K's bump where it has one."""

    top_c: float
    coefficients: tuple[float, ...]
    bump: tuple[float, float, float] | None = None

    def emf(self, celsius: float) -> float:
        total = 0.0
        for coefficient in reversed(self.coefficients):
            total = total * celsius + coefficient
        if self.bump:
            height, narrowness, centre = self.bump
            total += height * exp(narrowness * (celsius - centre) ** 2)
        return total


_BOTTOM_C: Final = {Couple.K: -200.0, Couple.S: -50.0}
_PIECES: Final = {
    Couple.K: (
        _Piece(
            0.0,
            (
                *(0.0, 0.394501280250e-1, 0.236223735980e-4, -0.328589067840e-6, -0.499048287770e-8),
                *(-0.675090591730e-10, -0.574103274280e-12, -0.310888728940e-14, -0.104516093650e-16),
                *(-0.198892668780e-19, -0.163226974860e-22),
            ),
        ),
        _Piece(
            1372.0,
            (
                *(-0.176004136860e-1, 0.389212049750e-1, 0.185587700320e-4, -0.994575928740e-7, 0.318409457190e-9),
                *(-0.560728448890e-12, 0.560750590590e-15, -0.320207200030e-18, 0.971511471520e-22),
                -0.121047212750e-25,
            ),
            bump=(0.118597600000, -0.118343200000e-3, 126.9686),
        ),
    ),
    Couple.S: (
        _Piece(
            1064.18,
            (
                *(0.0, 0.540313308631e-2, 0.125934289740e-4, -0.232477968689e-7, 0.322028823036e-10),
                *(-0.331465196389e-13, 0.255744251786e-16, -0.125068871393e-19, 0.271443176145e-23),
            ),
        ),
        _Piece(
            1664.5,
            (0.132900444085e1, 0.334509311344e-2, 0.654805192818e-5, -0.164856259209e-8, 0.129989605174e-13),
        ),
        _Piece(
            1768.1,
            (0.146628232636e3, -0.258430516752, 0.163693574641e-3, -0.330439046987e-7, -0.943223690612e-14),
        ),
    ),
}

_CLOSE_ENOUGH_MV: Final = 1e-9
_MOST_STEPS: Final = 50
JUNCTION_C: Final = (-20.0, 80.0)
"""Between which °C a cold junction beside a kiln may be (common practice)."""


def range_of(couple: Couple) -> tuple[float, float]:
    """From where to where a thermocouple of this type is read, in °C."""
    return _BOTTOM_C[couple], _PIECES[couple][-1].top_c


def emf_of(couple: Couple, celsius: float) -> float:
    """What the thermocouple gives at `celsius` with its cold junction at 0 °C, in mV; OutOfRange beyond its ends."""
    low, high = range_of(couple)
    if not low <= celsius <= high:
        words = _("Type {couple} reads from {least} to {most}, not {heat}.")
        heats = {"least": in_celsius(low), "most": in_celsius(high), "heat": in_celsius(celsius)}
        raise OutOfRange(Message("couple-not-read", words, couple=couple, **heats))
    return next(piece for piece in _PIECES[couple] if celsius <= piece.top_c).emf(celsius)


def celsius_of(couple: Couple, millivolts: float, junction_c: float) -> float:
    """The temperature of the hot end in °C, from the mV measured and the temperature of the cold junction.

    OutOfRange for mV that this type never gives, and for a junction outside -20 to 80 °C.
    """
    if not JUNCTION_C[0] <= junction_c <= JUNCTION_C[1]:
        words = _("The cold junction must be between {least} and {most}.")
        least_c, most_c = map(in_celsius, JUNCTION_C)
        raise OutOfRange(Message("junction-outside", words, least=least_c, most=most_c))
    wanted = millivolts + emf_of(couple, junction_c)
    emfs = _rungs(couple)[1]
    least, most = emfs[0], emfs[-1]
    if not isfinite(wanted) or not least <= wanted <= most:
        words = _("Type {couple} gives {least} to {most} mV above a junction at {junction}, not {wanted} mV.")
        millivolts_told = {"least": round(least, 3), "most": round(most, 3), "wanted": round(wanted, 3)}
        told = Message("no-such-voltage", words, couple=couple, junction=in_celsius(0), **millivolts_told)
        raise OutOfRange(told)
    return _solved(couple, wanted)


@cache
def _rungs(couple: Couple) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """°C from end to end, every 20 degrees and wherever two pieces meet, and the mV there."""
    low, high = range_of(couple)
    joints = {piece.top_c for piece in _PIECES[couple]}
    celsius = tuple(sorted({*joints, *(low + 20.0 * step for step in range(int((high - low) // 20) + 1))}))
    return celsius, tuple(emf_of(couple, one) for one in celsius)


def _solved(couple: Couple, wanted: float) -> float:
    """Where the reference function is `wanted` mV, which lies between its ends.

    Between two rungs the function is so nearly straight that a step along their chord leaves less than a tenth of what
    was missing, at the cold end of type S, and elsewhere far less.
    """
    rungs, emfs = _rungs(couple)
    after = max(1, bisect_left(emfs, wanted))
    low, high = rungs[after - 1], rungs[after]
    piece = next(piece for piece in _PIECES[couple] if high <= piece.top_c)
    per_mv = (high - low) / (emfs[after] - emfs[after - 1])
    celsius = low + (wanted - emfs[after - 1]) * per_mv
    for _step in range(_MOST_STEPS):
        off = piece.emf(celsius) - wanted
        if abs(off) < _CLOSE_ENOUGH_MV:
            break
        celsius -= off * per_mv
    return min(max(low, celsius), high)
