"""Leach tests: what metal a laboratory leached out of a glaze, judged as the studio's regime judges it.

A test is a leach in 4 % acetic acid, 24 hours at 22 °C. Limits are published for lead and cadmium; of other metals the
laboratory's own report says whether it passed. A test speaks for its metal, for the cone and the atmosphere of the
firing it was made on, and for no other. Where a measure, a specimen or a unit is missing the answer is "undecided",
with the reason: nothing is guessed, and what is undecided never counts as passed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import lru_cache
from math import fsum, isfinite
from typing import Self

from tracker.domain import quantities
from tracker.domain.cones import Cone
from tracker.domain.message import Choice, Either, Fact, Message, Plural, _
from tracker.domain.quantities import Quantity
from tracker.domain.refusals import BadValue
from tracker.domain.studio.kilns import Atmosphere
from tracker.domain.studio.leach_limits import LIMITS, Decision, Limit, Regime, Unit, WareClass
from tracker.domain.studio.metals import ACTION_LEVELS, DRINKING_WATER_MG_L, LIMITED, Metal

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
            words = _("A result can't be below 0. Enter the detection limit, like <0.01.")
            raise BadResult(Message("below-nothing", words))

    @classmethod
    def parse(cls, text: str) -> Self:
        """The result in `text`: "0.02" or "<0.01"; `BadResult` says what is wrong with any other."""
        found = re.fullmatch(r"\s*(<?)\s*([0-9]{1,9}(?:\.[0-9]{0,20})?(?:e[+-]?[0-9]{1,3})?)\s*", text, re.ASCII)
        if found is None:
            words = _("“{text}” isn't a result. Write it like 0.02, or <0.01 if it was below detection.")
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


_ANY_VESSEL = Vessel(kind=VesselKind.TABLEWARE)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseTest:
    """One laboratory's leach test of one metal out of a glaze.

    `cone` and `atmosphere` are those of the firing it was made on, None where they are not on record; perhaps it was
    made on one clay, fired on one route (by name). `unit` is what the results are in: mg per liter of acid, or mg per
    square decimeter of surface. `passed` is what the report itself says, None where it says nothing. Only a what-if
    has a test without laboratory, day and results. One that was `withdrawn` says who took it out of force, when and
    why; it stays on file and shows nothing anymore.
    """

    metal: Metal
    laboratory: str = ""
    tested_on: date | None = None
    unit: Unit = Unit.MG_L
    results: tuple[Result, ...] = ()
    vessel: Vessel = _ANY_VESSEL
    passed: bool | None = None
    cone: Cone | None = None
    atmosphere: Atmosphere | None = None
    method: str = ""
    clay: str | None = None
    route: str | None = None
    withdrawn: str = ""

    @property
    def is_of_vapor(self) -> bool:
        """Whether it was made in a firing that goes by the name of its vapor; any other name tells nothing here."""
        return self.route in VAPORS


VAPORS = frozenset({"soda", "salt", "wood"})
"""Each speaks for itself alone: salt is a chloride, soda a carbonate, and each attacks a glaze in its own way."""


class Outside(StrEnum):
    """What the measures of a piece tell of its sort of ware: nobody tells a mug from a bowl or a pitcher."""

    FLAT = "flat"
    SMALL = "hollow, under 1.1 L"
    HOLLOW = "hollow"
    UNKNOWN = "unknown"

    @classmethod
    def of(cls, height_mm: float | None, width_mm: float | None, depth_mm: float | None) -> Self:
        """By its height, width and depth on the outside, in mm; None where nobody has measured.

        What is no higher than flatware is deep is flat, what is higher counts as hollow. It holds less than a box
        around it.
        """
        if height_mm is None:
            return cls.UNKNOWN
        if height_mm <= FLAT_UP_TO_MM:
            return cls.FLAT
        if width_mm is None or depth_mm is None:
            return cls.HOLLOW
        is_small = height_mm * width_mm * depth_mm < LARGE_FROM_ML * _MM3_AN_ML
        return cls.SMALL if is_small else cls.HOLLOW


_MM3_AN_ML = 1_000


@dataclass(frozen=True, slots=True, kw_only=True)
class FiredAs:
    """How a glaze is fired: to which cone, in which atmosphere, on which clay and route; None where not known.

    `outside` is that of the piece it is on, None where no piece is asked about.

    In `vapor` (soda, salt, wood) the glaze becomes another: only a test that names the route speaks for it.
    """

    cone: Cone | None
    atmosphere: Atmosphere | None = None
    clay: str | None = None
    route: str | None = None
    vapor: bool = False
    outside: Outside | None = None


@dataclass(frozen=True, slots=True)
class Judgement:
    """How a test stands under a regime, and the message that says why."""

    standing: Standing
    message: Message

    @property
    def by(self) -> str:
        """What it rests on: a "limit", the figures in the "report", or its "word" alone."""
        if self.message.code != _BY_REPORT:
            return "limit"
        found = self.message["found"]
        return "report" if isinstance(found, Message) and found.code == _FIGURES else "word"

    @property
    def found(self) -> Fact:
        """What was found, without the report's own word on it."""
        return self.message["found"] if self.message.code == _BY_REPORT else self.message

    @property
    def has_passed(self) -> bool:
        """Whether the test shows that the limit is kept."""
        return self.standing is Standing.PASSED

    @property
    def has_failed(self) -> bool:
        """Whether the test shows that the limit is broken."""
        return self.standing is Standing.FAILED


_BY_REPORT, _FIGURES = "leach-report", "leach-found"

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


_UNITS = {Unit.MG_L: quantities.Unit.MG_PER_L, Unit.MG_DM2: quantities.Unit.MG_PER_DM2}
_SORTING = {Regime.US_FDA: _in_us_fda, Regime.EU: _in_eu, Regime.ISO_6486_2: _in_iso}
_LIMITS = {(limit.regime, limit.ware, limit.metal): limit for limit in LIMITS}


def limit_of(regime: Regime, ware: WareClass, metal: Metal) -> Limit:
    """The published row for that ware; KeyError where the regime has none."""
    return _LIMITS[regime, ware, metal]


def limits_for(test: ReleaseTest, regime: Regime) -> tuple[Limit, ...]:
    """The rows of the published tables that may apply to a test: several where the vessel's measures leave it open."""
    if test.metal not in LIMITED:
        return ()
    return tuple(_LIMITS[regime, ware, test.metal] for ware in ware_classes(test.vessel, test.metal, regime))


# ---- the judgement --------------------------------------------------------------------------------------------------


@lru_cache(maxsize=4096)
def judged(test: ReleaseTest, regime: Regime) -> Judgement:
    """How `test` stands under `regime`.

    Where the vessel may fall in several classes, the test is decided only if it comes out the same in each of them.
    What the report says decides where no limit is published or no results are told, and where it says that it failed.
    """
    limits = limits_for(test, regime)
    if test.passed is False or not limits or not test.results:
        return _by_report(test)
    answers = [judged_by(test, limit) for limit in limits]
    if len({answer.standing for answer in answers}) == 1 and answers[0].standing is not Standing.UNDECIDED:
        # The narrowest limit of those that may apply says the most.
        return min(zip(limits, answers, strict=True), key=lambda pair: pair[0].value)[1]
    if len(answers) == 1:
        return answers[0]
    words = _("the vessel's {missing} isn't on file, so the limit could be the one for {wares}")
    wares = Either(tuple(dict.fromkeys(limit.ware for limit in limits)))
    return _undecided(Message("leach-vessel-unmeasured", words, missing=_missing(test.vessel, limits), wares=wares))


def _by_report(test: ReleaseTest) -> Judgement:
    """As the report itself says."""
    standing = Standing.UNDECIDED if test.passed is None else Standing.PASSED if test.passed else Standing.FAILED
    highest = max(test.results, key=lambda one: (one.value, not one.is_below), default=None)
    words = _("{found} of {metal}, {which}")
    found = Message("leach-metal", "{metal}", metal=test.metal)
    if highest is not None:
        amount = Quantity(highest.value, _UNITS[test.unit], 9)
        told = _below(amount) if highest.is_below else amount
        found = Message(_FIGURES, words, found=told, metal=test.metal, which=_which(test))
    return Judgement(standing, Message(_BY_REPORT, Choice("standing", _REPORTED), standing=standing, found=found))


_REPORTED = {
    "passed": _("{found}: passed, as the report says"),
    "failed": _("{found}: failed, as the report says"),
    "undecided": _("{found}: the report doesn't say whether it passed"),
}


def compared(test: ReleaseTest) -> Message | None:
    """What drinking water may hold of a metal without a limit for ceramics; None where there is nothing to compare."""
    if test.metal in LIMITED:
        return None
    water = DRINKING_WATER_MG_L.get(test.metal)
    if water is None or test.unit is not Unit.MG_L:
        return Message("no-limit", _("No limit for {metal} from ceramics is published."), metal=test.metal)
    amount, kind = Quantity(water, _UNITS[Unit.MG_L], 9), "action level" if test.metal in ACTION_LEVELS else "limit"
    return Message("no-limit-but-water", Choice("kind", _BUT_WATER), kind=kind, metal=test.metal, water=amount)


_BUT_WATER = {
    "limit": _(
        "No limit for {metal} from ceramics is published. "
        "For comparison only: the US EPA's limit for drinking water is {water}."
    ),
    "action level": _(
        "No limit for {metal} from ceramics is published. "
        "For comparison only: {water} is the US EPA's action level for drinking water, where suppliers must treat it."
    ),
}


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
        words = _("the results are in {unit}, and {regime} needs {wanted} for {ware}")
        message = Message(
            "leach-other-unit", words, unit=test.unit, regime=limit.regime, wanted=limit.unit, ware=limit.ware
        )
        return _undecided(message)
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
        words = _("some specimens are below detection: the mean is between {least} and {most}, the limit is {limit}")
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
    words = _("the laboratory can't detect less than {detection}, and the limit for {ware} is {limit}")
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
    amount = limit.of(counts.value)
    message = Message(
        "leach-result",
        Choice("standing", {"failed": _FOUND_OVER, "passed": _FOUND_WITHIN}),
        standing=standing,
        found=_below(amount) if counts.is_below else amount,
        metal=test.metal,
        which=_which(test, is_mean=is_mean),
        limit=limit.of(limit.value),
        ware=limit.ware,
        regime=limit.regime,
    )
    return Judgement(standing, message)


def _below(amount: Quantity) -> Message:
    return Message("below", _("less than {amount}"), amount=amount)


def _which(test: ReleaseTest, *, is_mean: bool = False) -> Message:
    which = "one" if len(test.results) == 1 else "mean" if is_mean else "highest"
    return Message("which-specimen", Choice("which", _WHICH), which=which, count=len(test.results))


_FOUND_OVER = _("{found} of {metal}, {which}, is over the limit of {limit} for {ware} ({regime})")
_FOUND_WITHIN = _("{found} of {metal}, {which}, is within the limit of {limit} for {ware} ({regime})")
_WHICH = {
    "one": _("of one specimen"),
    "mean": _("the mean of {count} specimens"),
    "highest": _("the highest of {count} specimens"),
}
