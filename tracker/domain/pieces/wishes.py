"""Where the maker of a piece wants it fired: a wish on record, which staff follows or not."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from tracker.domain.message import Message, _
from tracker.domain.pieces.piece import Piece, Use
from tracker.domain.studio.materials import GLASS, Zone


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """The firing type by its name that somebody wants for a piece, who said so and when."""

    route: str
    by: str
    at: datetime


def loses_its_lining(before: Piece, after: Piece) -> bool:
    """Whether a piece for food had glaze inside before a layer came off, and has none now."""
    return before.use is Use.FOOD and _is_lined(before) and not _is_lined(after)


def off_its_cart(cart: str) -> Message:
    """What to do with a piece on the cart of a firing that it isn't going to."""
    return Message("off-its-cart", _("Take it off {cart}. Put it on a ware shelf."), cart=cart)


def _is_lined(piece: Piece) -> bool:
    """Whether glaze is on the inside of a piece."""
    return any(one.glaze.coat in GLASS and one.zone in {Zone.INSIDE, Zone.ALL_OVER} for one in piece.layers)
