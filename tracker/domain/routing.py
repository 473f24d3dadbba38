"""The studio's rules, each a row, and the verdict they give on a piece for a way of firing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tracker.domain.findings import Finding, Leave, Level
from tracker.domain.kilns import RouteKind
from tracker.domain.pieces import Use
from tracker.domain.refusals import NeedsAcceptance, NeedsInstructor, Unfit
from tracker.domain.rules import food, heat, kiln_room, shock
from tracker.domain.rules.rule import COMMON_PRACTICE, Case, Practice, Rule

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence

    from tracker.domain.kilns import Kiln, Route
    from tracker.domain.pieces import Ware

__all__ = ["COMMON_PRACTICE", "RULES", "Practice", "Rule", "Verdict", "judge", "judge_layers", "rules_table"]


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

_WORST_FIRST = sorted(RULES, key=lambda rule: -rule.level)

# Most rules are about some firings only: looking them up beforehand makes a verdict three times as fast.
_ASKED = {
    (kind, for_food, of_coats): tuple(
        rule for rule in _WORST_FIRST if rule.is_asked(kind, for_food=for_food, of_coats=of_coats)
    )
    for kind in RouteKind
    for for_food in (False, True)
    for of_coats in (False, True)
}


def judge(ware: Ware, route: Route, practice: Practice = COMMON_PRACTICE, kiln: Kiln | None = None) -> Verdict:
    """Every rule that `ware` breaks on `route`, worst first; what one kiln asks of it only when `kiln` is given."""
    return _verdict(_ASKED[route.kind, ware.use is Use.FOOD, bool(ware.layers)], Case(ware, route, practice, kiln))


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


def _verdict(worst_first: Iterable[Rule], case: Case) -> Verdict:
    return Verdict(
        tuple(
            [
                Finding(rule.name, rule.level, says, rule.mend, rule.rests_on)
                for rule in worst_first
                if (says := rule.look(case))
            ]
        )
    )


def rules_table() -> str:
    """The rulebook as the Markdown table that README.md shows."""
    rows = [f"| {rule.about} | {rule.when} | {rule.level.word} | `{rule.name}` | {rule.rests_on} |" for rule in RULES]
    return "\n".join(["| about | when | verdict | rule | rests on |", "|---|---|---|---|---|", *rows])
