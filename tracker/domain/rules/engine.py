"""The studio's rules, each a row, and the verdict they give on a piece for a way of firing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache, lru_cache

from tracker.domain.cones import Cone
from tracker.domain.findings import Finding, Level, Verdict
from tracker.domain.message import ByRole, Message, Sentences, _
from tracker.domain.pieces.piece import Use, Ware
from tracker.domain.rules import (
    atmosphere,
    before_bisque,
    coats,
    decorative,
    food,
    food_surface,
    food_tests,
    foot,
    fumes,
    glaze_in_bisque,
    greenware,
    heat,
    layering,
    outdoor,
    porous,
    refire,
    reglazing,
    shock,
    supervised,
)
from tracker.domain.rules import kiln as kiln_room
from tracker.domain.rules.rule import Case, Rule, Signs, choose, outside_of, signs_of, tells_raw
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Atmosphere, Kiln, Route, RouteKind
from tracker.domain.studio.leach_tests import Outside
from tracker.domain.studio.materials import Clay, Layer
from tracker.domain.studio.settings import COMMON_PRACTICE, Practice

__all__ = [
    "ABOUT_FOOD",
    "COMMON_PRACTICE",
    "RULES",
    "Practice",
    "Rule",
    "Verdict",
    "is_clear",
    "judge",
    "judge_in",
    "judge_layers",
    "judge_layers_in",
    "may_be_clear",
    "rules_table",
]


RULES: tuple[Rule, ...] = (
    *coats.RULES,
    *layering.RULES,
    *heat.RULES,
    *porous.RULES,
    *outdoor.RULES,
    *fumes.RULES,
    *shock.RULES,
    *food.RULES,
    *food_tests.RULES,
    *food_surface.RULES,
    *before_bisque.RULES,
    *decorative.RULES,
    *foot.RULES,
    *kiln_room.RULES,
    *greenware.RULES,
    *glaze_in_bisque.RULES,
    *atmosphere.RULES,
    *refire.RULES,
    *reglazing.RULES,
    *supervised.RULES,
)
"""The rulebook. The table in the manual is made from it."""

ABOUT_FOOD = frozenset(rule.name for rule in RULES if rule.about == "food")
"""The names of the rules about food."""

NO_ROUTE_LEFT = "no-route-left"

_NO_WAY_OUT = frozenset({"glaze-underfired", "indoor-glaze-in-raku"})
"""What only the instructor may allow, so that no remedy leads to it."""

_OF_GLAZES_FOR_FOOD = frozenset(rule.name for rule in RULES if rule.about == "food" and rule.of_coats)
_OF_MATERIALS = frozenset(rule.name for rule in RULES if rule.of_materials)
_AT_GLAZING = tuple(rule for rule in RULES if rule.at_glazing)

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_NOTE = Level.NOTE
_PLACE = {rule.name: place for place, rule in enumerate(sorted(RULES, key=lambda rule: -rule.level))}

_COMBINATIONS = 4_096


# Most rules are about some firings and some ware only; which are asked of any such is found out once.
@cache
def _asked(kind: RouteKind, signs: Signs, *, of_materials: bool) -> tuple[Rule, ...]:
    return tuple(rule for rule in RULES if rule.of_materials is of_materials and rule.is_asked(kind, signs))


def judge(ware: Ware, route: Route, practice: Practice = COMMON_PRACTICE, kiln: Kiln | None = None) -> Verdict:
    """Every rule that `ware` breaks on `route`, worst first; what one kiln asks of it only when `kiln` is given."""
    air = None if kiln is None else kiln.atmosphere
    outside = outside_of(ware)
    materials = (ware.clay, ware.layers, ware.use, ware.fired_to)
    found = _about_the_materials(*materials, route, practice, air, outside, is_told_raw=tells_raw(ware))
    more = _found(Case(ware, route, practice, kiln, is_refused=_is_refused_again), of_materials=False)
    verdict = Verdict(tuple(sorted(found + more, key=_worst_first)) if more else found)
    return _thrown_away(verdict) if ware.sheds_slivers else verdict


def _thrown_away(verdict: Verdict) -> Verdict:
    """The verdict of ware that sheds slivers: whatever is found about food, nobody makes a decorative piece of it.

    How it is handled says `shivered-ware-cuts`, once.
    """
    return Verdict(tuple(_thrown(one) if one.rule in ABOUT_FOOD else one for one in verdict.findings))


def _thrown(finding: Finding) -> Finding:
    remedy = Message(f"{finding.rule}-remedy", _THROW_AWAY, **dict(finding.message.facts))
    return Finding(finding.level, finding.message, remedy, finding.source)


_THROW_AWAY = _("Don't display it or hand it out. Throw it away.")


@lru_cache(_COMBINATIONS)
def _about_the_materials(
    clay: Clay,
    layers: tuple[Layer, ...],
    use: Use | None,
    fired_to: Cone | None,
    route: Route,
    practice: Practice,
    air: Atmosphere | None,
    outside: Outside,
    *,
    is_told_raw: bool = False,
) -> tuple[Finding, ...]:
    """What is found against any piece of these materials; kept, since hundreds of waiting pieces are of a few dozen."""
    bare = Ware(clay=clay, layers=layers, use=use, fired_to=fired_to)
    case = Case(
        bare,
        route,
        practice,
        air=air,
        outside=outside,
        is_told_raw=is_told_raw,
        is_refused=_is_refused_again,
    )
    return tuple(
        sorted(
            _found(case, of_materials=True),
            key=_worst_first,
        )
    )


def _is_refused_again(case: Case) -> bool:
    """Whether a rule of the materials refuses this, or leaves glaze to the instructor that its heat doesn't suit."""
    asked = _asked(case.route.kind, signs_of(case.ware), of_materials=True)
    against = (rule for rule in asked if rule.level is Level.REFUSE or rule.name in _NO_WAY_OUT)
    return any(rule.look(case) is not None for rule in against)


def judge_in(catalog: Catalog, ware: Ware, route: Route) -> Verdict:
    """What the rules say about `ware` on `route`, in the kindest of the studio's kilns that serve it."""
    return min((judge(ware, route, catalog.practice, kiln) for kiln in catalog.kilns_for(route)), key=Verdict.hardness)


def is_clear(catalog: Catalog, ware: Ware, route: Route) -> bool:
    """Whether the rules have nothing against `ware` on `route` in one of the studio's kilns; cheaper than a verdict."""
    if not may_be_clear(catalog, ware, route):
        return False
    return any(judge(ware, route, catalog.practice, kiln).word == "clear" for kiln in catalog.kilns_for(route))


def may_be_clear(catalog: Catalog, ware: Ware, route: Route) -> bool:
    """Whether there are only notes on what `ware` is made of, on `route`, whatever else is known of the piece."""
    facts = (ware.clay, ware.layers, ware.use, ware.fired_to, route, catalog.practice)
    found = _about_the_materials(*facts, None, outside_of(ware))
    return all(one.level is _NOTE for one in found)


def judge_layers_in(catalog: Catalog, ware: Ware) -> Verdict:
    """What the rules say about glazed `ware` before a route is chosen."""
    routes = [route for route in catalog.glazed_routes if ware.may_come_to(route)]
    return judge_layers(ware, routes, catalog.practice)


def judge_layers(ware: Ware, routes: Sequence[Route], practice: Practice = COMMON_PRACTICE) -> Verdict:
    """What the rules say at glazing, before a route is chosen; `routes` are the studio's ways of firing glazed ware.

    Refused are layers that share no heat, what the food rules refuse in every firing, and layers that leave no kiln to
    fire the piece in. Then the firings speak that took the piece before its last layer, where there are any: only what
    that layer does keeps it out of these. Otherwise the verdict is that of the kindest route.
    """
    if not routes:
        return _no_route_left(Message(NO_ROUTE_LEFT, _("This studio has no firing for glazed ware.")), _ADD_A_FIRING)
    case = Case(ware, routes[0], practice)
    if never := [found for rule in _AT_GLAZING if (found := rule.finding(case)) and found.level is Level.REFUSE]:
        return Verdict(tuple(never))
    verdicts = [judge(ware, route, practice) for route in routes]
    kindest = min(verdicts, key=Verdict.hardness)
    if kindest.level is not Level.REFUSE:
        return kindest
    before = replace(ware, layers=ware.layers[:-1])
    took_it = [
        it for it, route in zip(verdicts, routes, strict=True) if judge(before, route, practice).level < Level.REFUSE
    ]
    refused = min(took_it or verdicts, key=_easiest_mended).of(Level.REFUSE)
    everywhere = frozenset.intersection(*(frozenset(one.rule for one in it.of(Level.REFUSE)) for it in verdicts))
    if unfit := [one for one in refused if one.rule in everywhere & _OF_GLAZES_FOR_FOOD]:
        return Verdict(tuple(unfit))
    reasons = Sentences(tuple(one.message for one in refused))
    another = Message(f"{NO_ROUTE_LEFT}-remedy", _("{choose:capital}."), choose=choose(case, case.raw))
    # What alone stands in the way of that firing is mended; of more than that, another glaze is the shorter way.
    remedy = (refused[0].remedy if len(refused) == 1 else None) or another
    return _no_route_left(
        Message(NO_ROUTE_LEFT, _("No firing would be left for this piece. {reasons}"), reasons=reasons), remedy
    )


def _easiest_mended(verdict: Verdict) -> tuple[bool, Level, int]:
    """A refusal of what it is made of comes after one that another foot or stilt puts right; then the kindest."""
    return (any(one.rule in _OF_MATERIALS for one in verdict.of(Level.REFUSE)), *verdict.hardness())


_ADD_A_FIRING = Message(
    f"{NO_ROUTE_LEFT}-remedy",
    ByRole(_("Ask the instructor."), {"instructor": _("Add a firing for glazed ware to the catalog.")}),
)


def _no_route_left(message: Message, remedy: Message) -> Verdict:
    return Verdict((Finding(Level.REFUSE, message, remedy, "the studio's firings"),))


def _found(case: Case, *, of_materials: bool) -> tuple[Finding, ...]:
    asked = _asked(case.route.kind, signs_of(case.ware, case.kiln), of_materials=of_materials)
    return tuple([rule.said_of(case, facts) for rule in asked if (facts := rule.look(case)) is not None])


def _worst_first(finding: Finding) -> int:
    return _PLACE[finding.rule]


_SHOWN_AS = {Level.NOTE: "note", Level.WARN: "with care", Level.ASK: "ask", Level.REFUSE: "never"}
"""How pages and the manual call each level."""


def rules_table() -> str:
    """The rulebook as the Markdown table that the manual shows."""
    rows = [
        f"| `{rule.name}` | {rule.about} | {rule.when} | {_SHOWN_AS[rule.level]} | {rule.source} |" for rule in RULES
    ]
    return "\n".join(["| rule | about | when | verdict | source |", "|---|---|---|---|---|", *rows])
