"""How fast a piece is judged, against simpleeval evaluating the same conditions from texts."""

from __future__ import annotations

import ast
from collections.abc import Callable, Sequence
from time import perf_counter
from typing import Any

from simpleeval import EvalWithCompoundTypes

from tracker.domain.cones import Cone
from tracker.domain.kilns import COMMON_ROUTES, Route
from tracker.domain.materials import Clay, ClayKind, Family, FoodStanding, Glaze, Layer, Trait, Zone
from tracker.domain.pieces import Build, Use, Ware
from tracker.domain.release import failures
from tracker.domain.routing import COMMON_PRACTICE, RULES, judge

FLOOR = 10.0
FLOOR_PARSED = 3.0
"""A floor of our own for conditions parsed beforehand, which is not how simpleeval is commonly used."""

ROUNDS = 9

# Each rule of the rulebook as one condition, by the rule's own name. Cones stand as their ranks; a list
# comprehension goes over the layers as the rule does.
CONDITIONS = {
    "glaze-melts-off": "any([layer['high'] < cone for layer in layers])",
    "clay-slumps": "clay_ceiling < cone",
    "outdoor-glaze-indoors": "kind != 'raku' and any([layer['family'] == 'outdoor' for layer in layers])",
    "layers-share-no-heat": "len(layers) > 0 and most([layer['low'] for layer in layers]) > "
    "least([layer['high'] for layer in layers])",
    "glaze-on-horsehair": "kind == 'horsehair' and any([layer['coat'] != 'slip' for layer in layers])",
    "glaze-underfired": "any([layer['low'] > cone and layer['coat'] != 'slip' for layer in layers])",
    "indoor-glaze-in-raku": "kind == 'raku' and any([layer['family'] not in ('outdoor', 'outside') "
    "and layer['coat'] == 'glaze' for layer in layers])",
    "nameless-material": "clay_kind == 'unknown' or any([layer['family'] == 'outside' for layer in layers])",
    "horsehair-unburnished": "kind == 'horsehair' and burnished == False",
    "clay-stays-porous": "use != 'food' and kind != 'bisque' and clay_low > cone",
    "ware-already-mature": "outdoors and ((fired_to != None and fired_to >= clay_low) or mended)",
    "fragile-outdoors": "outdoors and fragile",
    "porcelain-outdoors": "outdoors and clay_kind == 'porcelain' and (largest > large or build == 'slab')",
    "small-porcelain-outdoors": "outdoors and clay_kind == 'porcelain' and largest <= large and build != 'slab'",
    "decorative-glaze-for-food": "use == 'food' and any([layer['food'] == 'decorative' for layer in layers])",
    "outdoors-for-food": "use == 'food' and outdoors",
    "clay-porous-for-food": "use == 'food' and kind != 'bisque' and (clay_low > cone or absorption > limit)",
    "release-over-limit": "use == 'food' and any([layer['failed'] for layer in layers])",
    "crackle-for-food": "use == 'food' and any(['crackle' in layer['traits'] for layer in layers])",
    "untested-for-food": "use == 'food' and any([layer['food'] == 'untested' for layer in layers])",
}


def _cases() -> list[tuple[Ware, Route]]:
    """Pots of several clays, glazes and uses, each on every route."""
    glazes = [
        _glaze("Fog", Family.MID_RANGE, "5", "6", FoodStanding.TESTED),
        _glaze("Plum", Family.LOW_FIRE, "06", "04", FoodStanding.UNTESTED, Trait.CRACKLE),
        _glaze("Wink", Family.OUTDOOR, "06", "06", FoodStanding.DECORATIVE, Trait.LUSTRE),
    ]
    wares = [
        Ware(
            clay=Clay(
                name="Heron",
                kind=kind,
                cone_low=Cone.parse("5"),
                cone_high=Cone.parse("10"),
                absorption_pct=1.5,
            ),
            layers=(Layer(glaze, Zone.INSIDE), Layer(other, Zone.OUTSIDE)),
            build=build,
            use=use,
            height_mm=140,
            width_mm=90,
            depth_mm=90,
            burnished=False,
        )
        for kind in (ClayKind.STONEWARE, ClayKind.PORCELAIN)
        for glaze in glazes
        for other in glazes[:2]
        for build in (Build.THROWN, Build.SLAB)
        for use in Use
    ]
    return [(ware, route) for ware in wares for route in COMMON_ROUTES.values()]


def _glaze(name: str, family: Family, low: str, high: str, food: FoodStanding, *traits: Trait) -> Glaze:
    return Glaze(
        name=name,
        family=family,
        cone_low=Cone.parse(low),
        cone_high=Cone.parse(high),
        food=food,
        traits=frozenset(traits),
    )


def names_of(ware: Ware, route: Route) -> dict[str, Any]:
    """What the conditions may name, in plain values."""
    return {
        "cone": route.cone.rank,
        "kind": str(route.kind),
        "outdoors": route.is_outdoors,
        "clay_kind": str(ware.clay.kind),
        "clay_low": ware.clay.cone_low.rank,
        "clay_ceiling": ware.clay.ceiling.rank,
        "absorption": ware.clay.absorption_pct or 0,
        "build": str(ware.build),
        "use": str(ware.use),
        "largest": ware.largest_mm,
        "fragile": ware.fragile,
        "burnished": ware.burnished,
        "mended": ware.mended,
        "fired_to": ware.fired_to.rank if ware.fired_to else None,
        "large": 150,
        "limit": 3.0,
        "layers": [
            {
                "low": layer.glaze.cone_low.rank,
                "high": layer.glaze.cone_high.rank,
                "family": str(layer.glaze.family),
                "coat": str(layer.glaze.coat),
                "food": str(layer.glaze.food),
                "traits": [str(trait) for trait in layer.glaze.traits],
                "failed": bool(failures(layer.glaze.tests, COMMON_PRACTICE.regime)),
            }
            for layer in ware.layers
        ],
    }


def broken(names: dict[str, Any], parsed: dict[str, ast.expr] | None = None) -> set[str]:
    """The rules whose conditions hold, evaluated by simpleeval from the texts, or from what it `parsed` before."""
    evaluator = EvalWithCompoundTypes(names=names, functions={"any": any, "most": max, "least": min, "len": len})
    return {
        rule
        for rule, condition in CONDITIONS.items()
        if evaluator.eval(condition, previously_parsed=parsed[rule] if parsed else None)
    }


def measure() -> list[tuple[str, float, float]]:
    """The rate of verdicts in parts of simpleeval's, from texts and from conditions it parsed before.

    Ours gives whole sentences with temperatures; simpleeval only says which conditions hold, and its names are
    made beforehand.
    """
    cases = _cases()
    names = [names_of(ware, route) for ware, route in cases]
    parsed = {rule: EvalWithCompoundTypes.parse(condition) for rule, condition in CONDITIONS.items()}
    _must_say_the_same(cases, names)
    ways: tuple[Callable[[], object], ...] = (
        lambda: [judge(ware, route) for ware, route in cases],
        lambda: [broken(one) for one in names],
        lambda: [broken(one, parsed) for one in names],
    )
    ours, texts, before = _fastest(ways)
    return [
        ("judge against simpleeval evaluating the same conditions", texts / ours, FLOOR),
        ("judge against simpleeval with its conditions parsed before", before / ours, FLOOR_PARSED),
    ]


def _must_say_the_same(cases: list[tuple[Ware, Route]], names: list[dict[str, Any]]) -> None:
    """Refuse to measure two things that are not the same."""
    apart = set(CONDITIONS) ^ {rule.name for rule in RULES}
    for (ware, route), one in zip(cases, names, strict=True):
        apart |= broken(one) ^ {finding.rule for finding in judge(ware, route).findings}
    if apart:
        message = f"The conditions and the rulebook differ on {', '.join(sorted(apart))}."
        raise ValueError(message)


def _fastest(ways: Sequence[Callable[[], object]]) -> list[float]:
    """The seconds of each way's fastest turn; they take turns, so that a busy moment slows all of them."""
    fastest = [float("inf")] * len(ways)
    for _ in range(ROUNDS):
        for place, work in enumerate(ways):
            begun = perf_counter()
            work()
            fastest[place] = min(fastest[place], perf_counter() - begun)
    return fastest
