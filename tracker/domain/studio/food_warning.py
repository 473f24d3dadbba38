"""The words of the mark that ware not for food bears, by whose limits the studio goes."""

from __future__ import annotations

from tracker.domain.message import Message, _
from tracker.domain.studio.leach_limits import Regime

_NOT_FOR_FOOD = Message("not-for-food-or-drink", _("NOT FOR FOOD OR DRINK"))
_WARNINGS = {
    Regime.US_FDA: Message("may-poison-food", _("Not for Food Use. May Poison Food.")),
    Regime.EU: _NOT_FOR_FOOD,
    Regime.ISO_6486_2: _NOT_FOR_FOOD,
}


def warning_words(regime: Regime) -> Message:
    """What ware not for food says on its label, its card and, for good, on its base.

    In the US the first of the wordings of 21 CFR 109.16 (from memory); elsewhere short words of our own.
    """
    return _WARNINGS[regime]
