"""Release tests: what lead and cadmium a laboratory leached out of a glaze, judged as the studio's regime judges it.

A test is a leach in 4 % acetic acid, 24 hours at 22 °C. Where a measure, a specimen or a unit is missing the answer
is "undecided", with the reason: nothing is guessed, and what is undecided never counts as passed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from math import fsum, isfinite
from typing import TYPE_CHECKING, Self

from tracker.domain.message import Choice, Either, Message, Plural, _
from tracker.domain.refusals import BadValue
from tracker.domain.studio.leach_limits import LIMITS, Decision, Limit, Metal, Regime, Unit, WareClass

if TYPE_CHECKING:
    from datetime import date

FLAT_UP_TO_MM = 25
"""Ware no deeper than this is flatware (CPG 545.400; category 1 in 84/500/EEC). ISO 6486-2 alike, from memory."""

LARGE_FROM_ML = 1_100
"""Hollowware that holds this much or more is large (CPG 545.400 and 545.450; ISO 6486-2, from memory)."""

STORAGE_ML = 3_000
"""What stores 3 L or more is storage hollowware in ISO 6486-2 (from memory); over 3 L, category 3 in 84/500/EEC."""

SPECIMENS = 6
"""The US FDA judges six units of a kind (CPG 545.400; for lead from memory)."""

# Far below what a laboratory reports, so that binary fractions never fail a mean that is at the limit.
_DIGITS_OF_A_MEAN = 9


class VesselKind(StrEnum):
    """What sort of vessel was tested, as far as any regime asks; TABLEWARE for plates, bowls and what is no other."""

    TABLEWARE = "tableware"
    CUP = "cup or mug"
    PITCHER = "pitcher"
    COOKING = "cooking ware"
    STORAGE = "storage vessel"


class Standing(StrEnum):
    """What a test shows under a regime."""

    PASSED = "passed"
    FAILED = "failed"
    UNDECIDED = "undecided"


class BadResult(BadValue):
    """A text that is no result of a specimen."""


@dataclass(frozen=True, slots=True)
class Result:
    """One specimen: `value` in the test's unit, or, where it `is_below`, the laboratory's detection limit.

    A result below detection is kept as such: it is at most `value`, and nobody knows how much less.
    """

    value: float
    is_below: bool = False

    def __post_init__(self) -> None:
        """Refuse with `BadResult` what no laboratory can find."""
        if not isfinite(self.value) or self.value < 0:
            raise BadResult(Message("result-negative", _("A result is 0 or more.")))
        if self.is_below and self.value == 0:
            words = _("Nothing is below 0: write the detection limit, like <0.01.")
            raise BadResult(Message("below-nothing", words))

    @classmethod
    def parse(cls, text: str) -> Self:
        """The result in `text`: "0.02" or "<0.01"; `BadResult` says what is wrong with any other."""
        found = re.fullmatch(r"\s*(<?)\s*([0-9]{1,9}(?:\.[0-9]{0,20})?(?:e[+-]?[0-9]{1,3})?)\s*", text, re.ASCII)
        if found is None:
            words = _("“{text}” is no result; write it like 0.02, or like <0.01 when it was below detection.")
            raise BadResult(Message("not-a-result", words, text=text[:20]))
        return cls(float(found[2]), is_below=bool(found[1]))

    def __str__(self) -> str:
        """As a report writes it: "0.02" or "<0.01"."""
        return f"{'<' if self.is_below else ''}{self.value:.9g}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessel:
    """What was tested: its kind, its inner depth in mm and what it holds in ml; None where nobody has measured."""

    kind: VesselKind
    depth_mm: float | None = None
    capacity_ml: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseTest:
    """One laboratory's leach test of one metal out of a glaze, perhaps on one clay fired on one route (by name).

    `unit` is what the results are in: mg per litre of acid, or mg per square decimetre of surface. One that was
    `withdrawn` says who took it out of force, when and why; it stays on file and shows nothing any more.
    """

    laboratory: str
    tested_on: date
    metal: Metal
    unit: Unit
    results: tuple[Result, ...]
    vessel: Vessel
    method: str = ""
    clay: str | None = None
    route: str | None = None
    withdrawn: str = ""


@dataclass(frozen=True, slots=True)
class Judgement:
    """How a test stands under a regime, and the message that says why."""

    standing: Standing
    message: Message

    @property
    def has_passed(self) -> bool:
        """Whether the test shows that the limit is kept."""
        return self.standing is Standing.PASSED

    @property
    def has_failed(self) -> bool:
        """Whether the test shows that the limit is broken."""
        return self.standing is Standing.FAILED


# ---- into which class a vessel falls --------------------------------------------------------------------------------


def ware_classes(vessel: Vessel, metal: Metal, regime: Regime) -> tuple[WareClass, ...]:
    """Every class of `regime` that the vessel may fall in: one, or several where a measure is not on file."""
    return _SORTING[regime](vessel, metal)


def _by_depth(vessel: Vessel, flat: WareClass, deep: tuple[WareClass, ...]) -> tuple[WareClass, ...]:
    if vessel.depth_mm is None:
        return (flat, *deep)
    return (flat,) if vessel.depth_mm <= FLAT_UP_TO_MM else deep


def _by_capacity(vessel: Vessel) -> tuple[WareClass, ...]:
    if vessel.capacity_ml is None:
        return (WareClass.SMALL_HOLLOWWARE, WareClass.LARGE_HOLLOWWARE)
    return (WareClass.LARGE_HOLLOWWARE if vessel.capacity_ml >= LARGE_FROM_ML else WareClass.SMALL_HOLLOWWARE,)


def _in_us_fda(vessel: Vessel, metal: Metal) -> tuple[WareClass, ...]:
    """The guide for cadmium has no row for cups, mugs and pitchers: they are hollowware, judged by what they hold."""
    own = {VesselKind.CUP: WareClass.CUPS_AND_MUGS, VesselKind.PITCHER: WareClass.PITCHERS}
    if vessel.kind not in own:
        return _by_depth(vessel, WareClass.FLATWARE, _by_capacity(vessel))
    return (own[vessel.kind],) if metal is Metal.LEAD else _by_capacity(vessel)


def _in_eu(vessel: Vessel, _metal: Metal) -> tuple[WareClass, ...]:
    if vessel.kind is VesselKind.COOKING:
        return (WareClass.CATEGORY_3,)
    plain = _by_depth(vessel, WareClass.CATEGORY_1, (WareClass.CATEGORY_2,))
    if vessel.kind is not VesselKind.STORAGE:
        return plain
    if vessel.capacity_ml is None:
        return (*plain, WareClass.CATEGORY_3)
    return (WareClass.CATEGORY_3,) if vessel.capacity_ml > STORAGE_ML else plain


def _in_iso(vessel: Vessel, _metal: Metal) -> tuple[WareClass, ...]:
    if vessel.kind is VesselKind.COOKING:
        return (WareClass.COOKING_WARE,)
    if vessel.kind is VesselKind.CUP:
        return (WareClass.CUPS_AND_MUGS,)
    if vessel.kind is VesselKind.PITCHER:
        return _by_capacity(vessel)
    deep = _by_capacity(vessel)
    if vessel.kind is VesselKind.STORAGE:
        if vessel.capacity_ml is None:
            deep = (*deep, WareClass.STORAGE_HOLLOWWARE)
        elif vessel.capacity_ml >= STORAGE_ML:
            deep = (WareClass.STORAGE_HOLLOWWARE,)
    return _by_depth(vessel, WareClass.FLATWARE, deep)


_SORTING = {Regime.US_FDA: _in_us_fda, Regime.EU: _in_eu, Regime.ISO_6486_2: _in_iso}
_LIMITS = {(limit.regime, limit.ware, limit.metal): limit for limit in LIMITS}


def limits_for(test: ReleaseTest, regime: Regime) -> tuple[Limit, ...]:
    """The rows of the published tables that may apply to a test: several where the vessel's measures leave it open."""
    return tuple(_LIMITS[regime, ware, test.metal] for ware in ware_classes(test.vessel, test.metal, regime))


# ---- the judgement --------------------------------------------------------------------------------------------------


@lru_cache(maxsize=4096)
def judged(test: ReleaseTest, regime: Regime) -> Judgement:
    """How `test` stands under `regime`.

    Where the vessel may fall in several classes, the test is decided only if it comes out the same in each of them.
    """
    limits = limits_for(test, regime)
    answers = [judged_by(test, limit) for limit in limits]
    if len({answer.standing for answer in answers}) == 1 and answers[0].standing is not Standing.UNDECIDED:
        # The narrowest limit of those that may apply says the most.
        return min(zip(limits, answers, strict=True), key=lambda pair: pair[0].value)[1]
    if len(answers) == 1:
        return answers[0]
    words = _("the vessel's {missing} is not on file, so nobody knows whether the limit is that for {wares}")
    wares = Either(tuple(dict.fromkeys(limit.ware for limit in limits)))
    return _undecided(Message("leach-vessel-unmeasured", words, missing=_missing(test.vessel, limits), wares=wares))


def _missing(vessel: Vessel, limits: tuple[Limit, ...]) -> tuple[Message, ...]:
    """Which measure would tell the classes apart."""
    wares = {limit.ware for limit in limits}
    flat = wares & {WareClass.FLATWARE, WareClass.CATEGORY_1}
    deep = wares - flat
    needs_depth = vessel.depth_mm is None and bool(flat)
    needs_capacity = vessel.capacity_ml is None and len(deep) > 1
    return (*((_DEPTH,) if needs_depth else ()), *((_CAPACITY,) if needs_capacity or not needs_depth else ()))


_DEPTH = Message("depth", _("depth"))
_CAPACITY = Message("capacity", _("capacity"))


def judged_by(test: ReleaseTest, limit: Limit) -> Judgement:
    """How `test` stands against one published row; at the limit is within it."""
    if test.unit is not limit.unit:
        words = _("the results are in {unit}, and {regime} wants {wanted} for {ware}")
        message = Message(
            "leach-other-unit", words, unit=test.unit, regime=limit.regime, wanted=limit.unit, ware=limit.ware
        )
        return _undecided(message)
    if not test.results:
        return _undecided(Message("leach-no-result", _("there is no result on file")))
    if limit.decision in {Decision.MEAN_OF_SIX, Decision.MEAN}:
        return _by_mean(test, limit)
    return _by_each(test, limit)


def _by_each(test: ReleaseTest, limit: Limit) -> Judgement:
    """Any one specimen over the limit fails; all of them must be there and within it to pass."""
    over = [one for one in test.results if not one.is_below and one.value > limit.value]
    if over:
        return _said(Standing.FAILED, max(over, key=lambda one: one.value), test, limit)
    if unseen := _above_detection(test, limit):
        return unseen
    if limit.decision is Decision.ANY_ONE_OF_SIX and len(test.results) < SPECIMENS:
        return _too_few(test, limit)
    return _said(Standing.PASSED, max(test.results, key=lambda one: (one.value, not one.is_below)), test, limit)


def _by_mean(test: ReleaseTest, limit: Limit) -> Judgement:
    """The mean decides. Of what is below detection it counts 0 to fail a test and the detection limit to pass it."""
    needed = SPECIMENS if limit.decision is Decision.MEAN_OF_SIX else 1
    count = max(len(test.results), needed)
    least = _mean([0.0 if one.is_below else one.value for one in test.results], count)
    if least > limit.value:
        # Where specimens are missing this already stands: not even zeros could bring the mean under the limit.
        return _said(Standing.FAILED, Result(least), test, limit)
    if unseen := _above_detection(test, limit):
        return unseen
    if len(test.results) < needed:
        return _too_few(test, limit)
    most = _mean([one.value for one in test.results], count)
    is_below = any(one.is_below for one in test.results)
    if most > limit.value:
        words = _(
            "some specimens are below detection, so the mean lies between {least} and {most}, "
            "and the limit of {limit} between them"
        )
        facts = {"least": limit.of(least), "most": limit.of(most), "limit": limit.of(limit.value)}
        return _undecided(Message("leach-mean-unsure", words, **facts))
    return _said(Standing.PASSED, Result(most, is_below=is_below and most > 0), test, limit)


def _mean(values: list[float], count: int) -> float:
    return round(fsum(values) / count, _DIGITS_OF_A_MEAN)


def _above_detection(test: ReleaseTest, limit: Limit) -> Judgement | None:
    """Undecided, where the laboratory could not have seen the limit."""
    blind = [one for one in test.results if one.is_below and one.value > limit.value]
    if not blind:
        return None
    words = _("the laboratory detects nothing under {detection}, and the limit for {ware} is {limit}")
    detection = limit.of(max(one.value for one in blind))
    message = Message("leach-blind", words, detection=detection, ware=limit.ware, limit=limit.of(limit.value))
    return _undecided(message)


def _too_few(test: ReleaseTest, limit: Limit) -> Judgement:
    words = Plural(
        "count",
        "there is one specimen on file, and {regime} judges {decision}",
        "there are {count} specimens on file, and {regime} judges {decision}",
    )
    message = Message("leach-too-few", words, count=len(test.results), regime=limit.regime, decision=limit.decision)
    return _undecided(message)


def _undecided(message: Message) -> Judgement:
    return Judgement(Standing.UNDECIDED, message)


def _said(standing: Standing, counts: Result, test: ReleaseTest, limit: Limit) -> Judgement:
    """What was found against the limit: "0.52 mg/L of cadmium, the highest of 6 specimens, …"."""
    is_mean = limit.decision in {Decision.MEAN_OF_SIX, Decision.MEAN}
    which = "one" if len(test.results) == 1 else "mean" if is_mean else "highest"
    amount = limit.of(counts.value)
    message = Message(
        "leach-result",
        Choice("standing", {"failed": _FOUND_OVER, "passed": _FOUND_WITHIN}),
        standing=standing,
        found=Message("below", _("less than {amount}"), amount=amount) if counts.is_below else amount,
        metal=test.metal,
        which=Message("which-specimen", Choice("which", _WHICH), which=which, count=len(test.results)),
        limit=limit.of(limit.value),
        ware=limit.ware,
        regime=limit.regime,
    )
    return Judgement(standing, message)


_FOUND_OVER = _("{found} of {metal}, {which}, is over the limit of {limit} for {ware} ({regime})")
_FOUND_WITHIN = _("{found} of {metal}, {which}, is within the limit of {limit} for {ware} ({regime})")
_WHICH = {
    "one": _("of one specimen"),
    "mean": _("the mean of {count} specimens"),
    "highest": _("the highest of {count} specimens"),
}


# ---- what the tests of one glaze show together ----------------------------------------------------------------------


def failures(tests: tuple[ReleaseTest, ...], regime: Regime) -> tuple[tuple[ReleaseTest, Judgement], ...]:
    """The tests that failed, each with its judgement."""
    return tuple((test, answer) for test in in_force(tests) if (answer := judged(test, regime)).has_failed)


def in_force(tests: tuple[ReleaseTest, ...]) -> tuple[ReleaseTest, ...]:
    """The tests that nobody has withdrawn."""
    return tuple(test for test in tests if not test.withdrawn)


def unshown(tests: tuple[ReleaseTest, ...], regime: Regime) -> tuple[Metal, ...]:
    """The metals that these tests do not show to be within the limits: none of their tests passed, or one failed."""
    standings = [(test.metal, judged(test, regime).standing) for test in in_force(tests)]
    return tuple(
        metal for metal in Metal if (metal, Standing.PASSED) not in standings or (metal, Standing.FAILED) in standings
    )
