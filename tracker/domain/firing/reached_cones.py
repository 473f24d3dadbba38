"""Which cone a firing reached, beside the one it was meant for, and by how much it fell short or went over.

Its own witness cones are believed first, then its log. What both leave open is taken to have reached its target. Where
both tell and are far apart, one of them is wrong, and a person says which.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from tracker.domain.cones import Cone
from tracker.domain.firing.cone_model import fits
from tracker.domain.firing.heat_work import Reached, step_of
from tracker.domain.firing.witness_cones import Span, Stands, WitnessCone
from tracker.domain.message import Choice, Message, _

_LOG_OFF: Final = 1.0
"""A log is believed from a whole cone on: thermocouple and model together err by less (common practice)."""
_FAR_APART: Final = 2.0
"""Witness cones and a log of one firing don't differ by so many whole cones, with the kiln's correction. Else one of
them was mistaken, as 06 for 6, or is of another firing (common practice)."""


@dataclass(frozen=True, slots=True)
class Apart:
    """What the witness cones of a firing say and what its log says, so many whole `cones` apart that one is wrong."""

    by_cones: Cone
    by_log: Cone
    cones: float


@dataclass(frozen=True, slots=True)
class Missed:
    """A firing that missed its `target`: the hottest `cone` that is down by what `shows` it, and how many `apart`.

    `apart` counts in whole cones and is below zero where it fell short. Where not even the coolest cone fell, `cone`
    is that one. `evidence` is what its witness cones and its log say where those contradict each other; where the cones
    say that it met its target, `cone` is the log's, which nobody has shown to be wrong.
    """

    target: Cone
    cone: Cone
    apart: float
    shows: Literal["cones", "log"]
    evidence: Apart | None = None

    @property
    def is_over(self) -> bool:
        """Whether it went over its target; else it fell short of it."""
        return self.apart > 0

    @property
    def cones(self) -> tuple[Cone, ...]:
        """The cones that may count for its pieces, that which is proposed first; its target is among them."""
        told = (self.evidence.by_cones, self.evidence.by_log) if self.evidence else (self.cone,)
        return tuple(dict.fromkeys((*told, self.target)))

    @property
    def message(self) -> Message:
        """What it reached instead, and what shows that; or what its cones and its log say."""
        if self.evidence:
            said = self.evidence
            apart = round(said.cones, 1)
            return Message("evidence-apart", _EVIDENCE_APART, by_cones=said.by_cones, by_log=said.by_log, cones=apart)
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
        if self.evidence:
            return Message("evidence-apart-in-brief", _("Witness cones and log disagree"))
        told = "over" if self.is_over else "short"
        return Message("missed-in-brief", Choice("told", _IN_BRIEF), told=told, cone=self.cone)


_EVIDENCE_APART: Final = _(
    "The witness cones of this firing say {by_cones}. Its log says {by_log}: {cones} cones apart. One of them is wrong."
)
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


def is_down_by(target: Cone, span: Span) -> bool:
    """Whether witness cones say that the target cone is down; False for a cone that their kind does not have."""
    return target in fits(span.kind) and span.low >= WitnessCone(target, Stands.DOWN, span.kind).span.low


def missed_by_log(target: Cone, reached: Reached, *, is_whole: bool) -> Missed | None:
    """How far a log says that a firing missed its target; one that isn't whole tells of no shortfall."""
    apart = reached.step - step_of(target)
    if abs(apart) < _LOG_OFF or (apart < 0 and not is_whole):
        return None
    return Missed(target, reached.cone or min(fits(reached.kind)), apart, "log")


def far_apart(target: Cone, spans: Sequence[Span], reached: Reached, missed: Missed | None) -> Missed | None:
    """The same firing where its witness cones and its log contradict each other; None where they may both be right.

    `missed` is what the cones say of its target. A log counts as far off when it is from all of them.
    """
    gap = min((abs(span.off_from(reached)) for span in spans), default=0.0)
    if gap < _FAR_APART:
        return None
    by_log = reached.cone or min(fits(reached.kind))
    evidence = Apart(missed.cone if missed else target, by_log, gap)
    if missed:
        return replace(missed, evidence=evidence)
    return Missed(target, by_log, reached.step - step_of(target), "log", evidence)
