"""What a firing cost, shared over its pieces by the room they took, to the last cent."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import pi

from tracker.domain.pieces.piece import Ware

KWH_PER_KG_PROPANE = Fraction(21_591, 3_412) / Fraction(45_359_237, 100_000_000)
"""The heat in propane, in kWh for each kg: 21,591 Btu/lb (LP-gas tables), 3,412 Btu to the kWh (EIA)."""


def volume_mm3(ware: Ware) -> int:
    """The room a piece takes on a shelf, in mm³: a cylinder as wide as a thrown piece, else the box round it.

    0 for a piece that nobody has measured.
    """
    if not ware.is_measured:
        return 0
    height, width, depth = ware.height_mm or 0, ware.width_mm or 0, ware.depth_mm or 0
    if ware.is_round:
        return round(pi / 4 * max(width, depth) ** 2 * height)
    return height * width * depth


def shared(cents: int, volumes: Sequence[int]) -> tuple[int, ...]:
    """`cents` shared in proportion to `volumes`, in whole cents that add up to it exactly.

    Each share is rounded down and the cents left over go to the largest remainders, the first of equals first. Without
    any volume all share alike; with nobody to share there is no share.
    """
    if not volumes:
        return ()
    whole = sum(volumes)
    exact = [Fraction(cents * one, whole) if whole else Fraction(cents, len(volumes)) for one in volumes]
    shares = [int(one) for one in exact]
    left = cents - sum(shares)
    for place in sorted(range(len(exact)), key=lambda one: (shares[one] - exact[one], one))[:left]:
        shares[place] += 1
    return tuple(shares)
