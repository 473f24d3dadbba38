"""What becomes of work that nobody picks up: a person donates it, keeps it for the studio, or discards it."""

from __future__ import annotations

from enum import StrEnum


class Disposal(StrEnum):
    """What a person decides about a piece whose maker doesn't come for it."""

    DONATE = "donate"
    KEEP = "keep"
    DISCARD = "discard"
