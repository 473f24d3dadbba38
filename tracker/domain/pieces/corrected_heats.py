"""What clay and layers of a piece were fired to, when the cone that counted for one of its firings was wrong."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace

from tracker.domain.cones import Cone
from tracker.domain.pieces.piece import Piece


@dataclass(frozen=True, slots=True)
class Heated:
    """One firing of a piece: its number, the cone that counts for it, and which of the piece's layers were on."""

    firing_id: int
    cone: Cone
    layers: AbstractSet[int]


def with_heat(piece: Piece, firings: Sequence[Heated], firing_id: int, cone: Cone) -> Piece:
    """The piece as it is if `cone` counts for that firing.

    What it was fired to by no firing on record stays. A piece that wasn't in that firing stays as it is.
    """
    this = next((one for one in firings if one.firing_id == firing_id), None)
    if this is None or piece.fired_to is None:
        return piece
    others = [one for one in firings if one is not this]
    layers = tuple(
        layer
        if number not in this.layers or layer.fired_to is None
        else replace(
            layer, fired_to=_hottest(layer.fired_to, this.cone, cone, (x.cone for x in others if number in x.layers))
        )
        for number, layer in enumerate(piece.layers)
    )
    return replace(piece, fired_to=_hottest(piece.fired_to, this.cone, cone, (x.cone for x in others)), layers=layers)


def _hottest(known: Cone, was: Cone, now: Cone, others: Iterable[Cone]) -> Cone:
    """The hottest that was seen, when a firing that counted as `was` counts as `now`."""
    return max([now, *others]) if known == was else max(known, now)
