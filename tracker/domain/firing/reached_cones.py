"""Which cone a firing reached, beside the one it was meant for, and by how much it fell short or went over.

Its own witness cones are believed first, then its log. What both leave open is taken to have reached its target.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from tracker.domain.cones import Cone
from tracker.domain.firing.cone_model import fits
from tracker.domain.firing.heat_work import Reached, step_of
from tracker.domain.firing.witness_cones import Span, Stands, WitnessCone
from tracker.domain.message import Choice, Message, _

_LOG_OFF: Final = 1.0
"""A log is believed from a whole cone on: thermocouple and model together err by less (common practice)."""


@dataclass(frozen=True, slots=True)
class Missed:
    """A firing that missed its `target`: the hottest `cone` that is down by what `shows` it, and how many `apart`.

    `apart` counts in whole cones and is below zero where it fell short. Where not even the coolest cone fell, `cone`
    is that one.
    """

    target: Cone
    cone: Cone
    apart: float
    shows: Literal["cones", "log"]

    @property
    def is_over(self) -> bool:
        """Whether it went over its target; else it fell short of it."""
        return self.apart > 0

    @property
    def cones(self) -> tuple[Cone, Cone]:
        """The cones that may count for its pieces: the one it reached is proposed, its target is the other choice."""
        return self.cone, self.target

    @property
    def message(self) -> Message:
        """What it reached instead, and what shows that."""
        told = f"{'over' if self.is_over else 'short'}, {self.shows}"
        return Message(
            "target-missed",
            Choice("told", _MISSED),
            told=told,
            target=self.target,
            cone=self.cone,
            cones=round(abs(self.apart), 1),
        )

    @property
    def brief(self) -> Message:
        """The same in a few words: "Went over: cone 5.5, 1,203 °C"."""
        told = "over" if self.is_over else "short"
        return Message("missed-in-brief", Choice("told", _IN_BRIEF), told=told, cone=self.cone)


_IN_BRIEF: Final = {"over": _("Went over: {cone}"), "short": _("Fell short: {cone}")}
_MISSED: Final = {
    "short, cones": _("This firing fell short of {target}. Its witness cones say {cone}: {cones} cones less."),
    "short, log": _("This firing fell short of {target}. Its log says {cone}: {cones} cones less."),
    "over, cones": _("This firing went over {target}. Its witness cones say {cone}: {cones} cones more."),
    "over, log": _("This firing went over {target}. Its log says {cone}: {cones} cones more."),
}


def missed_by_cones(target: Cone, spans: Iterable[Span]) -> Missed | None:
    """How far its witness cones say that a firing missed its target; None where they say that it met it.

    It fell short where its target cone stands upright, and went over where the next whole cone is down (common
    practice). `spans` are those of its levels: the one that is furthest from the target counts, and of two alike the
    cooler.
    """
    missed = filter(None, (_missed_by(target, span) for span in spans))
    return max(missed, key=lambda one: (abs(one.apart), -one.apart), default=None)


def _missed_by(target: Cone, span: Span) -> Missed | None:
    chart = fits(span.kind)
    meant = max((cone for cone in chart if cone <= target), default=None)
    guard = min((cone for cone in chart if cone > target and cone.rank % _WHOLE == 0), default=None)
    is_short = meant is not None and span.high <= WitnessCone(meant, Stands.STANDING, span.kind).span.high
    is_over = guard is not None and span.low >= WitnessCone(guard, Stands.DOWN, span.kind).span.low
    if not (is_short or is_over):
        return None
    down = [cone for cone in chart if WitnessCone(cone, Stands.DOWN, span.kind).span.low <= span.middle]
    return Missed(target, max(down, default=min(chart)), span.middle - step_of(target), "cones")


_WHOLE: Final = 10


def missed_by_log(target: Cone, reached: Reached, *, is_whole: bool) -> Missed | None:
    """How far a log says that a firing missed its target; one that isn't whole tells of no shortfall."""
    apart = reached.step - step_of(target)
    if abs(apart) < _LOG_OFF or (apart < 0 and not is_whole):
        return None
    return Missed(target, reached.cone or min(fits(reached.kind)), apart, "log")
