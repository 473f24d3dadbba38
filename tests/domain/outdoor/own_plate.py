"""A hot wall in the open by the tests' own reckoning: Crank and Nicolson's method, shared with nothing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy import constants

from tracker.domain.outdoor.cooling import Wall


def the_face(
    wall: Wall, wall_mm: float, kiln_c: float, air_c: float, seconds: int, exposed: Sequence[float]
) -> list[float]:
    """The face after each second, in which so much of it was `exposed`, by Crank and Nicolson's method in 80 slices.

    Written from the balance of an infinite plate with a radiating, convecting face (Incropera and DeWitt, Fundamentals
    of Heat and Mass Transfer, 5.10, from memory): k dT/dx = eps sigma (T⁴ - Tair⁴) + h (T - Tair) at the outer face,
    and as much of it at the inner face as the wall has of a second side. The loss is that of the step before.
    """
    count, each_s = 81, 0.02
    thick = wall_mm / 1000 / (count - 1)
    kept = np.full(count, wall.density * wall.heat_capacity * thick)
    kept[[0, -1]] /= 2
    through = np.zeros((count, count))
    for here in range(count - 1):
        through[here : here + 2, here : here + 2] += wall.conductivity / thick * np.array([[-1, 1], [1, -1]])
    half = each_s / 2 * through
    forward, back = np.diag(kept) + half, np.linalg.inv(np.diag(kept) - half)
    open_sides = np.zeros(count)
    open_sides[0], open_sides[-1] = 1.0, wall.sides - 1
    temps, faces = np.full(count, float(kiln_c)), []
    for step in range(1, seconds * 50 + 1):
        hot = temps + constants.zero_Celsius
        lost = wall.emissivity * constants.Stefan_Boltzmann * (hot**4 - (air_c + constants.zero_Celsius) ** 4)
        out = exposed[(step - 1) // 50] * open_sides * (lost + wall.convection * (temps - air_c))
        temps = back @ (forward @ temps - each_s * out)
        if step % 50 == 0:
            faces.append(float(temps[0]))
    return faces


def last_face(
    wall: Wall, wall_mm: float, kiln_c: float, waits_s: int, exposed: float, open_s: int, air_c: float = 10
) -> float:
    """The face of a piece that waited in an opened kiln, partly in the open, and then was so long all in the open."""
    return the_face(wall, wall_mm, kiln_c, air_c, waits_s + open_s, [exposed] * waits_s + [1.0] * open_s)[-1]
