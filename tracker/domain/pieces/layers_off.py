"""One layer taken off a piece: wiped or washed off where it went wrong, or never put on at all."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum

from tracker.domain.message import Message, _
from tracker.domain.pieces.piece import STEPS, Foot, Piece, Stage, StepName
from tracker.domain.refusals import NotAStep
from tracker.domain.studio.materials import Coat, Layer


class WayOff(StrEnum):
    """How raw layers come off a piece (common practice).

    Water takes raw glaze off bisqued ware. Raw clay falls apart in it: what is on greenware is scraped or sponged off
    while it is damp. Overglazes are made up with oils and resins, which take their own solvent.
    """

    RINSED = "rinsed"
    SCRAPED = "scraped"
    DISSOLVED = "dissolved"


def way_off(piece: Piece) -> WayOff:
    """How the raw layers of this piece come off."""
    if piece.is_raw:
        return WayOff.SCRAPED
    has_overglaze = any(one.glaze.coat is Coat.OVERGLAZE and one.fired_to is None for one in piece.layers)
    return WayOff.DISSOLVED if has_overglaze else WayOff.RINSED


def may_come_off(piece: Piece, layer: Layer) -> bool:
    """Whether this layer can be taken off: a fired one can't."""
    return piece.stage in STEPS[StepName.WASH_OFF].start and layer.fired_to is None


def without_layer(piece: Piece, place: int) -> Piece:
    """The piece without its layer number `place`, counted from 0, the first coat.

    Without any raw coat it goes back to where it stood before it was glazed, as after washing it off. Refuses a place
    where no raw layer is.
    """
    if not 0 <= place < len(piece.layers) or not may_come_off(piece, piece.layers[place]):
        raise NotAStep(
            Message("no-such-layer", _("{piece} doesn't have that raw layer."), piece=piece.ref),
            Message("look-at-its-layers", _("Look at its layers again. A fired layer stays.")),
        )
    left = replace(piece, layers=(*piece.layers[:place], *piece.layers[place + 1 :]), version=piece.version + 1)
    has_raw = any(one.fired_to is None and not one.glaze.burns_away for one in left.layers)
    if has_raw:
        return left
    bare = replace(left, catch_plate=False, glazed_at=None)
    if piece.stage is Stage.GREENWARE or bare.has_glaze:
        return bare
    stage = Stage.WAXED if piece.foot is Foot.WAXED else Stage.BISQUED
    return replace(bare, stage=stage, foot=piece.foot if stage is Stage.WAXED else None)
