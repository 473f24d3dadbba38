"""What the leach tests of one glaze show together, of a firing and of the ware that it is on.

Limits differ by ware: a plate may give off six times the lead that a mug may (CPG 545.450). So a test that passed for
the ware that was tested clears a piece only where its results keep the limit of the piece's own ware too.
"""

from __future__ import annotations

from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from datetime import date
from functools import lru_cache

from tracker.domain.cones import ConeRange
from tracker.domain.message import Fact, Message, _
from tracker.domain.studio.leach_limits import Limit, Regime, WareClass
from tracker.domain.studio.leach_tests import (
    FLAT_UP_TO_MM,
    LARGE_FROM_ML,
    FiredAs,
    Judgement,
    Outside,
    ReleaseTest,
    Standing,
    Vessel,
    VesselKind,
    judged,
    judged_by,
    limit_of,
)
from tracker.domain.studio.metals import LIMITED, Metal

# ---- what ware was tested, and what ware a piece may be --------------------------------------------------------------


def ware_tested(vessel: Vessel) -> Fact:
    """What was tested, by the name of its sort of ware: tableware of which the depth is on file by how deep it is."""
    if vessel.kind is not VesselKind.TABLEWARE or vessel.depth_mm is None:
        return _SORTS.get(vessel.kind, vessel.kind)
    if vessel.depth_mm <= FLAT_UP_TO_MM:
        return WareClass.FLATWARE
    if vessel.capacity_ml is None:
        return _DEEP
    return WareClass.LARGE_HOLLOWWARE if vessel.capacity_ml >= LARGE_FROM_ML else WareClass.SMALL_HOLLOWWARE


_SORTS = {
    VesselKind.CUP: WareClass.CUPS_AND_MUGS,
    VesselKind.PITCHER: WareClass.PITCHERS,
    VesselKind.COOKING: WareClass.COOKING_WARE,
    VesselKind.STORAGE: WareClass.STORAGE_HOLLOWWARE,
}
_DEEP = Message("hollowware", _("hollowware"))


def wares_of(outside: Outside, metal: Metal, regime: Regime) -> tuple[WareClass, ...]:
    """The sorts of ware that a piece may be, by its outside.

    Cooking ware has stricter limits of its own in some regimes: no piece is taken for it.
    """
    small, large = WareClass.SMALL_HOLLOWWARE, WareClass.LARGE_HOLLOWWARE
    by_capacity = (small,) if outside is Outside.SMALL else (small, large)
    flat, hollow = WareClass.FLATWARE, by_capacity
    if regime is Regime.EU:
        flat, hollow = WareClass.CATEGORY_1, (WareClass.CATEGORY_2,)
    elif regime is Regime.ISO_6486_2:
        hollow = (WareClass.CUPS_AND_MUGS, *by_capacity)
    elif metal is Metal.LEAD:
        hollow = (WareClass.CUPS_AND_MUGS, WareClass.PITCHERS, *by_capacity)
    if outside is Outside.UNKNOWN:
        return (*hollow, flat)
    return (flat,) if outside is Outside.FLAT else hollow


def judged_on(test: ReleaseTest, regime: Regime, outside: Outside | None) -> Judgement:
    """How `test` stands for a piece of this outside: as by itself, but undecided if it passed for other ware alone."""
    own = judged(test, regime)
    if outside is None or not own.has_passed or test.metal not in LIMITED:
        return own
    return _judged_for(test, regime, wares_of(outside, test.metal, regime)) or own


@lru_cache(maxsize=4096)
def _judged_for(test: ReleaseTest, regime: Regime, wares: tuple[WareClass, ...]) -> Judgement | None:
    """What leaves it open whether ware of each of these sorts keeps its limit, the strictest first; None if nothing.

    A test without results is a what-if, of which nobody says what ware it was on.
    """
    if not test.results:
        return None
    limits = sorted((limit_of(regime, ware, test.metal) for ware in wares), key=lambda one: one.value)
    open_ = [limit for limit in limits if not judged_by(test, limit).has_passed]
    return _of_other_ware(test, regime, open_[0]) if open_ else None


def _of_other_ware(test: ReleaseTest, regime: Regime, limit: Limit) -> Judgement:
    words = _("{result}; the test was on {tested}, and that doesn't show that {ware} keep their limit of {limit}")
    message = Message(
        "leach-other-ware",
        words,
        result=judged(test, regime).message,
        tested=ware_tested(test.vessel),
        ware=limit.ware,
        limit=limit.of(limit.value),
    )
    return Judgement(Standing.UNDECIDED, message)


def in_force(tests: tuple[ReleaseTest, ...]) -> tuple[ReleaseTest, ...]:
    """The tests that nobody has withdrawn."""
    return tuple(test for test in tests if not test.withdrawn)


def speaking(tests: tuple[ReleaseTest, ...], fired: FiredAs, label: ConeRange) -> tuple[ReleaseTest, ...]:
    """The tests in force that speak for a glaze fired so.

    A test without a cone on record speaks for the cones of the glaze's `label`. What a test does not name it leaves
    open, and an atmosphere that is not known of the kiln is not asked about. A test that names a route and no cone, or
    a clay, says nothing of ware of which nobody knows it.
    """
    return tuple(test for test in in_force(tests) if _speaks(test, fired, label))


def _speaks(test: ReleaseTest, fired: FiredAs, label: ConeRange) -> bool:
    cone = fired.cone
    if fired.vapor and (test.route is None or test.route != fired.route):
        return False
    return (
        (cone == test.cone if test.cone is not None else cone is None or label.low <= cone <= label.high)
        and (test.atmosphere is None or fired.atmosphere in {None, test.atmosphere})
        and test.clay in {None, fired.clay}
        and (test.route in {None, fired.route} or (fired.route is None and test.cone is not None))
    )


def passed(tests: Iterable[ReleaseTest], regime: Regime, outside: Outside | None = None) -> dict[Metal, ReleaseTest]:
    """Each metal of which one of these tests passed and none failed, with the newest test that did.

    Of a piece of this `outside` a test passed only if it shows that its own sort of ware keeps the limit.
    """
    by_day = sorted(tests, key=lambda one: one.tested_on or date.min)
    answers = [(test, judged_on(test, regime, outside)) for test in by_day]
    failed = {test.metal for test, answer in answers if answer.has_failed}
    return {test.metal: test for test, answer in answers if answer.has_passed and test.metal not in failed}


def failures(
    tests: tuple[ReleaseTest, ...],
    regime: Regime,
    fired: FiredAs | None = None,
    label: ConeRange | None = None,
    holds: AbstractSet[Metal] = frozenset(),
) -> tuple[tuple[ReleaseTest, Judgement], ...]:
    """The tests that failed, each with its judgement.

    Of a glaze `fired` so, with cones on its `label`, a failure at another cone or in another atmosphere is left out
    only where a test of that metal that speaks for this firing passed, or where it was made in vapor, which changes a
    glaze, and the recipe `holds` that metal: it counts as untested here. A failure for lead or cadmium counts anywhere.
    """
    failed = tuple((test, answer) for test in in_force(tests) if (answer := judged(test, regime)).has_failed)
    if not failed or fired is None or label is None:
        return failed
    here = speaking(tests, fired, label)
    cleared = passed(here, regime, fired.outside)
    elsewhere = [test for test, _answer in failed if test.is_of_vapor and test.metal in holds - set(LIMITED)]
    return tuple(
        (test, answer)
        for test, answer in failed
        if test in here or (test.metal not in cleared and test not in elsewhere)
    )


def unshown(tests: tuple[ReleaseTest, ...], regime: Regime, outside: Outside | None = None) -> tuple[Metal, ...]:
    """The metals with a published limit that these tests do not show to be within it: none passed, or one failed.

    Of a piece of this `outside` it is the limit of its own sort of ware.
    """
    shown = passed(in_force(tests), regime, outside)
    return tuple(metal for metal in LIMITED if metal not in shown)


def never_shown(tests: tuple[ReleaseTest, ...], regime: Regime) -> tuple[Metal, ...]:
    """As `unshown`, by those tests alone that were made alike: at one cone, in one atmosphere, on one clay and route.

    Of several such firings the one counts that shows the most.
    """
    alike = [tuple(test for test in tests if _agree(test, one)) for one in tests]
    return min((unshown(some, regime) for some in alike), key=len, default=LIMITED)


def _agree(one: ReleaseTest, other: ReleaseTest) -> bool:
    pairs = zip(_made_on(one), _made_on(other), strict=True)
    return all(a is None or b is None or a == b for a, b in pairs)


def _made_on(test: ReleaseTest) -> tuple[object, ...]:
    return test.cone, test.atmosphere, test.clay, test.route
