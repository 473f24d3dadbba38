"""What lies on what: where two coats overlap, and what wax keeps bare under its glaze."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from tracker.domain.pieces.piece import Ware
from tracker.domain.studio.materials import Coat, Layer, Zone

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_GLAZE = Coat.GLAZE
_WAX = Coat.WAX
_ALL_OVER = Zone.ALL_OVER
_FOOT = Zone.FOOT

_LINED = frozenset({Zone.INSIDE, Zone.ALL_OVER})
_PARTS = (Zone.INSIDE, Zone.LIP, Zone.OUTSIDE)
"""What all over covers."""


def overlap(one: Zone, other: Zone) -> bool:
    """Whether coats in these zones overlap: all over is inside, rim and outside."""
    return one is other or (_ALL_OVER in {one, other} and _FOOT not in {one, other})


def pairs(ware: Ware) -> Iterator[tuple[Layer, Layer]]:
    """Each two layers of which one lies over the other somewhere, the lower first."""
    return ((lower, upper) for lower, upper in combinations(ware.layers, 2) if overlap(lower.zone, upper.zone))


def kept_bare(ware: Ware) -> dict[Zone, tuple[Layer, ...]]:
    """Where wax keeps all glaze off (inside, rim or outside), each with the glaze that beads off it.

    Wax over a first glaze keeps only the next one off. What went on after a fire had burned the wax away holds.
    """
    if _WAX not in [layer.glaze.coat for layer in ware.layers]:
        return {}
    found = ((zone, [one for one in ware.layers if overlap(one.zone, zone)]) for zone in _PARTS)
    return {zone: tuple(beading) for zone, layers in found if (beading := _all_beading(layers))}


def _all_beading(layers: list[Layer]) -> list[Layer]:
    """The glaze among these layers of one zone where each lies over wax; nothing where one of them holds."""
    glaze = [(place, layer) for place, layer in enumerate(layers) if layer.glaze.coat is _GLAZE]
    beading = [layer for place, layer in glaze if any(_beads_off(layer, below) for below in layers[:place])]
    return beading if len(beading) == len(glaze) else []


def _beads_off(layer: Layer, below: Layer) -> bool:
    return below.glaze.coat is _WAX and (below.fired_to is None or layer.fired_to is not None)


def wax_to_burn_off(ware: Ware) -> tuple[Layer, ...] | None:
    """The raw glaze over wax that keeps the inside bare, which comes off first; None where no fire has to burn wax off.

    Dry wax doesn't wash off: a bisque burns it away (common practice).
    """
    inside = [one for one in ware.layers if one.fired_to is None and overlap(one.zone, Zone.INSIDE)]
    if all(one.glaze.coat is not _WAX for one in inside):
        return None
    return tuple([one for one in inside if one.glaze.coat is _GLAZE])


def lining(ware: Ware) -> tuple[Layer, ...]:
    """The glaze that covers the inside; none where wax keeps it off."""
    inside = tuple([one for one in ware.layers if one.glaze.coat is _GLAZE and one.zone in _LINED])
    return inside if inside and Zone.INSIDE not in kept_bare(ware) else ()
