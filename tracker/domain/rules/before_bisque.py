"""What has to be said of functional ware before its bisque, because the bisque sets it for good: lead and cadmium."""

from __future__ import annotations

from tracker.domain.findings import Level
from tracker.domain.message import Message, _
from tracker.domain.rules.food_tests import ACID_TEST
from tracker.domain.rules.rule import Case, Facts, Rule, choose, without
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.leach_evidence import in_force, passed
from tracker.domain.studio.materials import ON_CLAY, Glaze
from tracker.domain.studio.metals import LIMITED, Metal


def _poison_for_good(case: Case) -> dict[Glaze, tuple[Metal, ...]]:
    """The raw coats on its clay with lead or cadmium that no test on file shows to stay in, in any firing."""
    found = {}
    for glaze in case.raw:
        if glaze.metals and glaze.coat in ON_CLAY:
            shown = passed(in_force(glaze.tests), case.practice.regime)
            found[glaze] = tuple(metal for metal in LIMITED if metal in glaze.holds and metal not in shown)
    return {glaze: metals for glaze, metals in found.items() if metals}


def _set_by_the_bisque(case: Case) -> Facts | None:
    if not (found := _poison_for_good(case)):
        return None
    told = tuple(
        Message("glaze-contains", _("{glaze} contains {metals}"), glaze=glaze.name, metals=metals)
        for glaze, metals in found.items()
    )
    return {"contents": told, "metals": _metals(found)}


def _metals(found: dict[Glaze, tuple[Metal, ...]]) -> tuple[Metal, ...]:
    return tuple(dict.fromkeys(metal for several in found.values() for metal in several))


def _another(case: Case) -> Facts:
    found = _poison_for_good(case)
    return {"choose": choose(case, found, without(_metals(found)))}


RULES = (
    Rule(
        name="lead-or-cadmium-before-bisque",
        about="food",
        when=(
            "lead or cadmium in a raw slip, underglaze or terra sigillata on a functional piece in a bisque, and no "
            "passed leach test for it: its glaze firing is refused"
        ),
        # The glaze firing refuses it; until the bisque it still comes off.
        level=Level.NOTE,
        look=_set_by_the_bisque,
        for_food=True,
        kinds=frozenset({RouteKind.BISQUE}),
        of_coats=True,
        of_materials=True,
        message=_(
            "{contents}, and no leach test for {metals} passed. After this bisque it stays on, and the piece can't be "
            "for food."
        ),
        mend=_another,
        remedy=_("Before this bisque, {choose}, or make the piece decorative."),
        source=ACID_TEST,
    ),
)
