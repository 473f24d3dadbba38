"""The studio's rules, each a row, and the verdict they give on a piece for a way of firing."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import TYPE_CHECKING

from tracker.domain.findings import Finding, Leave, Level
from tracker.domain.kilns import RouteKind
from tracker.domain.pieces import Use, Ware
from tracker.domain.refusals import NeedsAcceptance, NeedsInstructor, Unfit
from tracker.domain.rules import food, heat, kiln_room, shock
from tracker.domain.rules.rule import COMMON_PRACTICE, Case, Practice, Rule

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from tracker.domain.kilns import Kiln, Route
    from tracker.domain.materials import Clay, Layer

__all__ = [
    "COMMON_PRACTICE",
    "RULES",
    "Practice",
    "Rule",
    "Verdict",
    "are_clear",
    "judge",
    "judge_layers",
    "rules_table",
]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the rules say about a piece, worst first."""

    findings: tuple[Finding, ...]

    @property
    def level(self) -> Level:
        """The worst of its findings; `NOTE` when there is nothing to hold against the piece."""
        return max((finding.level for finding in self.findings), default=Level.NOTE)

    @property
    def word(self) -> str:
        """The verdict in one word: clear, warn, ask or refuse."""
        return "clear" if self.level is Level.NOTE else self.level.word

    def hardness(self) -> tuple[Level, int]:
        """How hard it is on the piece: its level, then how many findings say so."""
        return self.level, len(self.of(self.level))

    def of(self, level: Level) -> tuple[Finding, ...]:
        """The findings of one level."""
        return tuple(finding for finding in self.findings if finding.level is level)

    def must_not_be_refused(self) -> None:
        """Refuse with `Unfit` when any finding refuses; warnings and asks are settled when a route is chosen."""
        if never := self.of(Level.REFUSE):
            raise Unfit(never)

    def must_be_settled(self, route: str, *, accepts: Collection[str] = (), leaves: Collection[Leave] = ()) -> None:
        """Refuse unless nothing is refused, every ask has the instructor's leave and every warning is accepted by name.

        `accepts` holds names of rules. Raises `Unfit`, `NeedsInstructor` or `NeedsAcceptance`, each with its findings.
        """
        self.must_not_be_refused()
        if open_asks := [one for one in self.of(Level.ASK) if Leave(route, one.rule, one.says) not in leaves]:
            raise NeedsInstructor(open_asks)
        if warnings := [one for one in self.of(Level.WARN) if one.rule not in accepts]:
            raise NeedsAcceptance(warnings)


RULES: tuple[Rule, ...] = (*heat.RULES, *shock.RULES, *food.RULES, *kiln_room.RULES)
"""The rulebook. The table in README.md is made from it."""

NO_ROUTE_LEFT = "no-route-left"

_AT_GLAZING = tuple(rule for rule in RULES if rule.at_glazing)

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_FOOD = Use.FOOD
_NOTE = Level.NOTE
_PLACE = {rule.name: place for place, rule in enumerate(sorted(RULES, key=lambda rule: -rule.level))}

# Most rules are about some firings only, so they are looked up beforehand: first those of the materials, then the rest.
_ASKED = {
    (of_materials, kind, for_food, of_coats): tuple(
        rule
        for rule in RULES
        if rule.of_materials is of_materials and rule.is_asked(kind, for_food=for_food, of_coats=of_coats)
    )
    for kind in RouteKind
    for of_materials, for_food, of_coats in product((False, True), repeat=3)
}
_COMBINATIONS = 4_096


def judge(ware: Ware, route: Route, practice: Practice = COMMON_PRACTICE, kiln: Kiln | None = None) -> Verdict:
    """Every rule that `ware` breaks on `route`, worst first; what one kiln asks of it only when `kiln` is given."""
    found = _about_the_materials(ware.clay, ware.layers, ware.use, route, practice)
    more = _found(Case(ware, route, practice, kiln), of_materials=False)
    return Verdict(tuple(sorted(found + more, key=_worst_first)) if more else found)


@lru_cache(_COMBINATIONS)
def _about_the_materials(
    clay: Clay, layers: tuple[Layer, ...], use: Use | None, route: Route, practice: Practice
) -> tuple[Finding, ...]:
    """What is found against any piece of these materials; kept, since hundreds of waiting pieces are of a few dozen."""
    bare = Ware(clay=clay, layers=layers, use=use)
    return tuple(sorted(_found(Case(bare, route, practice), of_materials=True), key=_worst_first))


def are_clear(
    clay: Clay, layers: tuple[Layer, ...], use: Use | None, route: Route, practice: Practice = COMMON_PRACTICE
) -> bool:
    """Whether no rule has anything but a note against such materials on `route`."""
    return all(one.level is _NOTE for one in _about_the_materials(clay, layers, use, route, practice))


def judge_layers(ware: Ware, routes: Sequence[Route], practice: Practice = COMMON_PRACTICE) -> Verdict:
    """What the rules say at glazing, before a route is chosen; `routes` are the studio's ways of firing glazed ware.

    Refused are layers that share no heat, what the food rules refuse, and layers that leave no kiln to fire the
    piece in. Otherwise the verdict is that of the kindest route.
    """
    if not routes:
        return _no_route_left("This studio has no way of firing glazed ware.")
    case = Case(ware, routes[0], practice)
    if never := [found for rule in _AT_GLAZING if (found := rule.finding(case)) and found.level is Level.REFUSE]:
        return Verdict(tuple(never))
    kindest = min((judge(ware, route, practice) for route in routes), key=Verdict.hardness)
    if kindest.level is not Level.REFUSE:
        return kindest
    return _no_route_left(f"No kiln here could fire it then. {' '.join(one.says for one in kindest.of(Level.REFUSE))}")


def _no_route_left(says: str) -> Verdict:
    mend, rests_on = "Choose another glaze for this piece.", "the studio's routes"
    return Verdict((Finding(NO_ROUTE_LEFT, Level.REFUSE, says, mend, rests_on),))


def _found(case: Case, *, of_materials: bool) -> tuple[Finding, ...]:
    ware = case.ware
    asked = _ASKED[of_materials, case.route.kind, ware.use is _FOOD, bool(ware.layers)]
    return tuple(
        [Finding(rule.name, rule.level, says, rule.mend, rule.rests_on) for rule in asked if (says := rule.look(case))]
    )


def _worst_first(finding: Finding) -> int:
    return _PLACE[finding.rule]


def rules_table() -> str:
    """The rulebook as the Markdown table that README.md shows."""
    rows = [f"| {rule.about} | {rule.when} | {rule.level.word} | `{rule.name}` | {rule.rests_on} |" for rule in RULES]
    return "\n".join(["| about | when | verdict | rule | rests on |", "|---|---|---|---|---|", *rows])
