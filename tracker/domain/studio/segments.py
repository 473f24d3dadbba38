"""One line of a firing schedule, as a studio writes it down for a way of firing."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from tracker.domain.message import Message, _
from tracker.domain.quantities import Quantity, Unit, celsius, minutes
from tracker.domain.refusals import BadValue

_FASTEST_C_PER_H = 1_000.0
_LONGEST_HOLD_MIN = 72 * 60.0
_HOTTEST_C = 1_450.0


class BadSchedule(BadValue):
    """Refused because no kiln can be told that; says what to write instead."""


@dataclass(frozen=True, slots=True)
class Segment:
    """One line of a schedule: go to `target_c` at `rate_c_per_h`, up or down, and stay there for `hold_min`.

    The rate is always over 0; whether it heats or cools follows from where the kiln comes from. "As fast as it goes" is
    no rate: nobody could say what the kiln should read. `note` is what the studio wrote there, or a message where the
    segment is a common one. BadSchedule for what no kiln can be told.
    """

    rate_c_per_h: float
    target_c: float
    hold_min: float = 0.0
    note: str | Message = ""

    def __post_init__(self) -> None:
        """Refuse what no kiln can be told."""
        if not (isfinite(self.rate_c_per_h) and 0 < self.rate_c_per_h <= _FASTEST_C_PER_H):
            words = _("A rate is over 0 and at most {most}. “As fast as possible” isn't a rate.")
            fastest = Quantity(_FASTEST_C_PER_H, Unit.CELSIUS_PER_HOUR)
            raise BadSchedule(Message("rate-outside", words, most=fastest))
        if not (isfinite(self.target_c) and 0 < self.target_c <= _HOTTEST_C):
            words = _("A segment's target must be between {least} and {most}, not {target}.")
            heats = {"least": celsius(0), "most": celsius(_HOTTEST_C), "target": celsius(self.target_c)}
            raise BadSchedule(Message("target-outside", words, **heats))
        if not (isfinite(self.hold_min) and 0 <= self.hold_min <= _LONGEST_HOLD_MIN):
            words = _("A hold lasts 0 to {most}.")
            raise BadSchedule(Message("hold-outside", words, most=minutes(_LONGEST_HOLD_MIN)))
