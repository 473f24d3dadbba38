"""How long a page waits for a long log: every cone's work over ten thousand readings of a real-looking curve."""

from __future__ import annotations

from statistics import median
from time import perf_counter

from tracker.domain.firing.curves import Curve
from tracker.domain.firing.heat_work import heat_work

READINGS = 10_000
TURNS = 5
SLOWEST_S = 1.0


def _took(curve: Curve) -> float:
    begun = perf_counter()
    heat_work(curve)
    return perf_counter() - begun


def measure() -> list[tuple[str, float, float, str]]:
    """The middle of several turns, in seconds; the fits to the published end points are made before."""
    curve = Curve.of((6.0 * at, 20 + at * 0.12 + at % 5 * 0.3) for at in range(READINGS))
    heat_work(curve.until(60.0))
    took = median(_took(curve) for _ in range(TURNS))
    return [("seconds for all cones over 10,000 readings", took, SLOWEST_S, "at most")]
