"""Which leach tests and absorption tests went out of the catalog with a change, and which came."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tracker.domain.message import Choice, Fact, Message, _
from tracker.domain.quantities import percent
from tracker.domain.studio.absorption import Weighing
from tracker.domain.studio.leach_evidence import ware_tested
from tracker.domain.studio.leach_tests import ReleaseTest


def changed_tests(old: Any, new: Any) -> tuple[Message, ...]:  # noqa: ANN401 -- two of the same sort in the catalog
    """Each test of a glaze or specimen of a clay that is on only one side; one whose facts changed went and came."""
    return tuple(one for part in ("tests", "weighings") for one in _differing(part, old, new))


def _differing(part: str, old: object, new: object) -> Iterator[Message]:
    was, becomes = getattr(old, part, ()), getattr(new, part, ())
    for how, some, others in (("gone", was, becomes), ("came", becomes, was)):
        for one in some:
            if one not in others:
                state = f"withdrawn {how}" if one.withdrawn else how
                yield Message("test-changed", Choice("how", _HOW), how=state, test=_named(one))


_HOW = {
    "gone": _("test removed: {test}"),
    "came": _("test added: {test}"),
    "withdrawn gone": _("withdrawn test removed: {test}"),
    "withdrawn came": _("withdrawn test added: {test}"),
}


def _named(test: ReleaseTest | Weighing) -> Message:
    """The test by all that tells it from others."""
    if not isinstance(test, ReleaseTest):
        facts: dict[str, Fact] = {"pct": percent(test.absorption_pct), "cone": test.cone, "method": str(test.method)}
        return Message("weighing-named", Choice("method", _WEIGHED), **facts)
    several = (test.cone, test.atmosphere, test.clay, test.route, test.tested_on)
    told: tuple[Fact, ...] = tuple(one for one in several if one is not None)
    results = ", ".join(str(one) for one in test.results)
    words = _("{metal} on {ware}, {results} {unit} ({told}, {laboratory})")
    about: dict[str, Fact] = {"metal": test.metal, "ware": ware_tested(test.vessel), "results": results}
    return Message("test-named", words, **about, unit=test.unit, told=told, laboratory=test.laboratory)


_WEIGHED = {"boil": _("absorption {pct} at {cone}, boiled"), "cold": _("absorption {pct} at {cone}, cold soak")}
