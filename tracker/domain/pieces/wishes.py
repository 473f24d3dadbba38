"""Where the maker of a piece wants it fired: a wish on record, which staff follows or not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tracker.domain.pieces.piece import Stage

if TYPE_CHECKING:
    from datetime import datetime

STILL_OPEN = frozenset({Stage.BISQUED, Stage.WAXED, Stage.GLAZED})
"""The stages at which a wish can be made, and at which it waits for staff."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """The firing type by its name that somebody wants for a piece, who said so and when."""

    route: str
    by: str
    at: datetime
