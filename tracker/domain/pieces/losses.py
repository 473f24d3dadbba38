"""Why a piece is lost: one of three causes, or what somebody wrote."""

from __future__ import annotations

from enum import StrEnum


class Loss(StrEnum):
    """What happens to pieces that never reach their makers."""

    BROKEN = "broken"
    MISSING = "missing"
    DISCARDED = "discarded"
    CANCELED = "canceled"
    TWICE = "registered twice"


TOLD = (Loss.BROKEN, Loss.MISSING, Loss.DISCARDED)
"""What somebody says became of a piece; what was registered by mistake or twice never was."""


def cause_of(text: str) -> Loss | str:
    """The cause of a loss as it was sent or kept: one of those above where it is one, else the words themselves."""
    return Loss(text) if text in set(Loss) else text
