"""What an outdoor kiln is like: how it opens."""

from __future__ import annotations

from enum import StrEnum


class Opening(StrEnum):
    """How an outdoor kiln is opened for a pull."""

    LIFT_OFF = "lift-off"
    FRONT = "front"
    TOP = "top"
