"""Witness cones: what the cones in the kiln say, how far that is from the curve, and what a kiln is off by as a rule.

A cone that stood in the kiln is worth more than any thermocouple, so the two are shown beside each other, and once a
kiln's firings agree about the difference it becomes that kiln's correction.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import inf, isfinite
from statistics import median
from typing import Final

from tracker.domain.cones import Cone, Kind
from tracker.domain.firing.cone_model import fits
from tracker.domain.firing.heat_work import Reached, label_of, reached, step_of
from tracker.domain.message import Choice, Message, Plural, _
from tracker.domain.refusals import Unusable
from tracker.domain.studio.settings import CORRECTION_PRACTICE, CorrectionPractice


class Stands(StrEnum):
    """How a witness cone stands after the firing."""

    STANDING = "standing"
    TIP = "tip"
    HALF = "half"
    DOWN = "down"
    FLAT = "flat"


# Between which works a cone stands so. That it touches at work 1 is what the end points say; how far it bends on the
# way there is common practice, read off how some fifteen or twenty degrees before its end point it begins to move.
_WORKS: Final = {
    Stands.STANDING: (0.0, 0.45),
    Stands.TIP: (0.4, 0.7),
    Stands.HALF: (0.6, 0.9),
    Stands.DOWN: (0.9, 1.3),
    Stands.FLAT: (1.2, inf),
}
_ORDER: Final = {stands: place for place, stands in enumerate(Stands)}
"""How far each is bent beside the others."""
_READ_OFF: Final = 0.5
"""By so many whole cones may neighbors that both bend be read off, by eye and at another rate (common practice)."""
_STEADY_C_PER_H: Final = 60.0


@dataclass(frozen=True, slots=True)
class WitnessCone:
    """One cone that stood in the kiln, and how it stands now. KeyError later for a cone that its kind does not have."""

    cone: Cone
    stands: Stands
    kind: Kind = "self-supporting"

    @property
    def span(self) -> Span:
        """Between which cones the heat was, as at 60 °C an hour; one end is open when it still stands or lies flat."""
        low, high = _WORKS[self.stands]
        return Span(self.kind, self._step(low) if low else -inf, self._step(high) if isfinite(high) else inf)

    def _step(self, work: float) -> float:
        """Where in whole cones a steady kiln stands that has done `work` to this cone."""
        celsius = fits(self.kind)[self.cone].end_point(_STEADY_C_PER_H * work)
        works = {cone: fit.heated_to(celsius, _STEADY_C_PER_H) for cone, fit in fits(self.kind).items()}
        return reached(self.kind, works).step


@dataclass(frozen=True, slots=True)
class Span:
    """The heat that was reached lies between two places in whole cones (see `step_of`); an open end is infinite."""

    kind: Kind
    low: float
    high: float

    @property
    def middle(self) -> float:
        """The middle of it; of an open span the end that is known."""
        if isfinite(self.low) and isfinite(self.high):
            return (self.low + self.high) / 2
        return self.low if isfinite(self.low) else self.high

    @property
    def message(self) -> Message:
        """What was reached, by the cones that are nearest: "about cone 6, 1,222 °C", "at least cone 6, 1,222 °C"."""
        ladder = tuple(fits(self.kind))
        if not isfinite(self.high):
            down = max((cone for cone in ladder if step_of(cone) <= self.low), default=ladder[0])
            return Message("heat-from", _("at least {cone}"), cone=label_of(down, self.kind))
        if not isfinite(self.low):
            over = min((cone for cone in ladder if step_of(cone) >= self.high), default=ladder[-1])
            return Message("heat-below", _("less than {cone}"), cone=label_of(over, self.kind))
        within = [label_of(cone, self.kind) for cone in ladder if self.low <= step_of(cone) <= self.high]
        if not within:
            return Reached.at_step(self.kind, self.middle).message
        if len(within) == 1:
            return Message("heat-about", _("about {cone}"), cone=within[0])
        return Message("heat-between", _("about {low} to {high}"), low=within[0], high=within[-1])

    def off_from(self, model: Reached) -> float:
        """By how many whole cones the witnesses saw more heat than `model` (below zero: less).

        Counted to the middle of the span; with an open end 0 within it, and beyond it to the end that is known.
        """
        step = model.step
        if isfinite(self.low) and isfinite(self.high):
            return self.middle - step
        return max(0.0, self.low - step) + min(0.0, self.high - step)


def witnessed(cones: Sequence[WitnessCone]) -> Span:
    """What all witness cones of one place in the kiln say together.

    `Unusable` for none at all, for cones of two kinds, and for cones that contradict each other, which it names.
    """
    if not cones:
        raise Unusable([Message("no-witness", _("No witness cones were entered."))])
    if len({one.kind for one in cones}) > 1:
        words = _("Large and self-supporting cones fall at different heats. Enter them separately.")
        raise Unusable([Message("two-kinds-of-cone", words)])
    # A cone that is down stays so for long: once a hotter one bends, it only says that at least so much was reached.
    bent = max((one.cone for one in cones if one.stands is not Stands.STANDING), default=None)
    bounding = [one for one in cones if one.stands is not Stands.DOWN or one.cone == bent]
    low = max(cones, key=lambda one: one.span.low)
    high = min(bounding, key=lambda one: one.span.high)
    is_more_bent = _ORDER[low.stands] > _ORDER[high.stands]
    if low.span.low - high.span.high > (0.0 if is_more_bent else _READ_OFF):
        words = _("Cone {hot} {hot_stands}, but cone {cool} {cool_stands}. These two are too far apart for that.")
        if is_more_bent:
            words = _(
                "Cone {hot} {hot_stands}, but cone {cool} {cool_stands}. "
                "A hotter cone can't bend more than a cooler one."
            )
        problem = Message(
            "cones-contradict",
            words,
            hot=str(low.cone),
            hot_stands=low.stands,
            cool=str(high.cone),
            cool_stands=high.stands,
        )
        apart = Message("enter-shelves-apart", _("Check both. Enter the cones of different shelves separately."))
        raise Unusable([problem], apart)
    # Two that bend a little further apart than the works say leave the heat between them.
    return Span(low.kind, *sorted((low.span.low, high.span.high)))


@dataclass(frozen=True, slots=True)
class Correction:
    """What is added to the cone that a curve of this kiln reaches, in whole cones, and on how many firings it rests.

    Until enough firings agree `cones` is 0 and `agreed` false.
    """

    cones: float
    firings: int
    agreed: bool

    @property
    def message(self) -> Message:
        """The correction in one sentence."""
        if not self.firings:
            return Message("nothing-compared", _("No correction yet: nothing to compare."))
        if not self.agreed:
            words = Plural(
                "firings",
                "No correction yet: only {firings} firing counts.",
                "No correction yet: only {firings} firings agree.",
            )
            return Message("no-correction", words, firings=self.firings)
        way, cones = "more" if self.cones > 0 else "less", round(abs(self.cones), 1)
        return Message("correction", _CORRECTED, firings=self.firings, way=way, cones=cones)


_CORRECTED: Final = Choice(
    "way",
    {
        "more": _("In the last {firings} firings the cones read {cones} cones hotter than the curve."),
        "less": _("In the last {firings} firings the cones read {cones} cones cooler than the curve."),
    },
)


def correction(offsets: Sequence[float], practice: CorrectionPractice = CORRECTION_PRACTICE) -> Correction:
    """A kiln's correction from the offsets of its firings in whole cones, oldest first.

    The newest firings that lie within `practice.within_cones` of each other, as many as there are in a row, give their
    median once they are enough: a kiln changes with its elements and its thermocouple, so older ones give way.
    """
    run: list[float] = []
    for offset in reversed(offsets):
        if max([*run, offset]) - min([*run, offset]) > practice.within_cones:
            break
        run.append(offset)
    if len(run) < practice.firings:
        return Correction(0.0, len(run), agreed=False)
    return Correction(median(run), len(run), agreed=True)
