"""The rulebook as texts: each rule as one condition that simpleeval evaluates, and cases on which both say the same.

A change of a rule changes its condition here as well, or the bench would time two things that are not the same.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from math import hypot
from typing import Any

from simpleeval import EvalWithCompoundTypes

from tracker.domain.cones import Cone
from tracker.domain.pieces.outcomes import CRACKS, Flaw
from tracker.domain.pieces.piece import Build, Coats, Foot, Use, Ware
from tracker.domain.rules.engine import RULES, judge
from tracker.domain.studio.kilns import COMMON_ROUTES, Atmosphere, Kiln, Room, Route
from tracker.domain.studio.leach_evidence import failures
from tracker.domain.studio.materials import Clay, ClayKind, Family, FoodStanding, Glaze, Layer, Trait, Zone
from tracker.domain.studio.metals import FUME, LEACH_HAZARDS, LIMITED, POISON_FUME, WATCHED
from tracker.domain.studio.settings import COMMON_PRACTICE

# Each rule of the rulebook as one condition, by the rule's own name. Cones stand as their ranks; a list
# comprehension goes over the layers as the rule does.
CONDITIONS = {
    "glaze-melts-off": "any([layer['high'] < cone for layer in layers])",
    "clay-slumps": "clay_ceiling < cone",
    "outdoor-glaze-indoors": "kind != 'raku' and any([layer['family'] == 'outdoor' for layer in layers])",
    "layers-share-no-heat": "len(layers) > 0 and most([layer['low'] for layer in layers]) > "
    "least([layer['high'] for layer in layers])",
    "glaze-on-horsehair": "kind == 'horsehair' "
    "and any([layer['coat'] in ('glaze', 'overglaze') and layer['zone'] != 'inside' for layer in layers])",
    "underglaze-on-horsehair": "kind == 'horsehair' "
    "and any([layer['coat'] == 'underglaze' and layer['zone'] != 'inside' for layer in layers])",
    "glaze-in-pit": "kind == 'pit' and any([layer['coat'] == 'glaze' and layer['family'] != 'outdoor' "
    "and layer['low'] <= cone for layer in layers])",
    "glaze-underfired": "kind != 'bisque' and any([layer['low'] > cone and layer['coat'] not in ('slip', 'sigillata') "
    "for layer in layers])",
    "coat-fades": "any([layer['high'] < cone and layer['coat'] in ('underglaze', 'slip', 'sigillata') "
    "for layer in layers])",
    "overglaze-burns-off": "any([layer['high'] < cone and layer['coat'] == 'overglaze' for layer in layers])",
    "overglaze-on-bare-clay": "kind == 'overglaze' and any([layer['coat'] == 'overglaze' and layer['high'] >= cone "
    "for layer in layers])",
    "coat-over-raw-overglaze": "len(layers) > 1 and any([layer['coat'] == 'overglaze' for layer in layers[:-1]])",
    "slip-on-fired-clay": "fired_to != None and any([layer['coat'] in ('slip', 'sigillata') for layer in layers])",
    "glaze-over-wax": "kind != 'bisque' and any([layer['coat'] == 'wax' for layer in layers])",
    "glaze-in-bisque": "kind == 'bisque' and any([layer['coat'] in ('glaze', 'overglaze') for layer in layers])",
    "fired-glaze-in-bisque": "kind == 'bisque' and fired_to != None "
    "and any([layer['coat'] == 'glaze' and layer['low'] <= cone for layer in layers])",
    "fired-glaze-tacky-in-bisque": "kind == 'bisque' and fired_to != None "
    "and any([layer['coat'] == 'glaze' and layer['low'] > cone for layer in layers])",
    "glazed-raw": "kind == 'once-fire' and fired_to == None",
    "greenware-in-glaze-firing": "raw and (kind == 'overglaze' or (kind in ('shelf', 'soda', 'wood') and cone > -10))",
    "indoor-glaze-in-raku": "kind == 'raku' and any([layer['family'] not in ('outdoor', 'outside') "
    "and layer['coat'] == 'glaze' for layer in layers])",
    "nameless-material": "clay_kind == 'unknown' or any([layer['family'] == 'outside' for layer in layers])",
    "metal-fume": "any([layer['metal_fumes'] for layer in layers])",
    "poisonous-fume-outdoors": "kind in ('raku', 'horsehair', 'pit', 'soda', 'wood') "
    "and any([layer['fumes'] for layer in layers])",
    "overglaze-fume": "any([layer['coat'] == 'overglaze' and layer['high'] >= cone for layer in layers])",
    "overglaze-in-reduction": "air == 'reduction' "
    "and any([layer['coat'] == 'overglaze' and layer['high'] >= cone for layer in layers])",
    "horsehair-unburnished": "kind == 'horsehair' and burnished == False",
    "clay-stays-porous": "use != 'food' and kind != 'bisque' and (clay_low > cone or absorption > 7)",
    "ware-already-mature": "outdoors and ((fired_to != None and fired_to >= clay_low) or mended)",
    "fragile-outdoors": "outdoors and fragile",
    "porcelain-outdoors": "outdoors and clay_kind == 'porcelain' and (largest > large or build == 'slab')",
    "small-porcelain-outdoors": "outdoors and clay_kind == 'porcelain' and largest <= large and build != 'slab'",
    "decorative-glaze-for-food": "use == 'food' and any([layer['food'] == 'decorative' for layer in layers])",
    "outdoors-for-food": "use == 'food' and outdoors",
    "clay-porous-for-food": "use == 'food' and kind != 'bisque' and (clay_low > cone or absorption > limit)",
    "sheet-for-hotter-firing": "use == 'food' and kind != 'bisque' and clay_low <= cone and cone < clay_high "
    "and clay_high - clay_low > 10 and absorption > 0",
    "nameless-clay-for-food": "use == 'food' and kind != 'bisque' and clay_kind == 'unknown' and absorption == 0",
    "release-over-limit": "use == 'food' and any([layer['failed'] for layer in layers])",
    "release-over-limit-on-decorative": "use == 'decorative' and kind != 'bisque' "
    "and any([layer['failed'] for layer in layers])",
    "test-failed-elsewhere": "use == 'food' and kind != 'bisque' and any([layer['failed'] for layer in layers])",
    "crackle-for-food": "use == 'food' and any(['crackle' in layer['traits'] for layer in layers])",
    "untested-for-food": "use == 'food' and kind != 'bisque' and any([layer['food'] == 'untested' "
    "or (layer['food'] in ('tested', 'declared') and (cone < layer['low'] or cone > layer['high'])) "
    "for layer in layers])",
    "lead-or-cadmium-before-bisque": "use == 'food' and kind == 'bisque' "
    "and any([layer['poison'] and layer['coat'] in ('slip', 'underglaze', 'sigillata') for layer in layers])",
    "lead-or-cadmium-for-food": "use == 'food' and kind != 'bisque' and any([layer['poison'] for layer in layers])",
    "metals-untested-for-food": "use == 'food' and kind != 'bisque' and any([layer['watched'] for layer in layers])",
    "layered-for-food": "use == 'food' and kind != 'bisque' and len([layer for layer in layers "
    "if layer['coat'] in ('glaze', 'overglaze') and layer['zone'] in ('inside', 'lip') "
    "and layer['food'] in ('tested', 'declared') and cone >= layer['low'] and cone <= layer['high']]) > 1",
    "flawed-for-food": "use == 'food' and flawed",
    "overfired-for-food": "use == 'food' and overfired",
    "no-liner": "use == 'food' and kind in ('soda', 'wood') "
    "and not any([layer['coat'] == 'glaze' and layer['zone'] == 'inside' for layer in layers])",
    "unlined-for-food": "use == 'food' and kind in ('shelf', 'overglaze', 'once-fire') "
    "and not any([layer['coat'] == 'glaze' and layer['zone'] in ('inside', 'all-over') for layer in layers])",
    "shivered-ware-cuts": "'shivered' in flaws",
    "refire-too-cool": "flaws and any([layer['coat'] == 'glaze' and layer['low'] > cone for layer in layers])",
    "bisque-takes-glaze-otherwise": "fired_to != None and ('underfired' in flaws or 'overfired' in flaws) "
    "and any([layer['coat'] in ('glaze', 'overglaze') for layer in layers])",
    "glaze-on-dense-ware": "fired_to != None and fired_to >= clay_low "
    "and any([layer['coat'] == 'glaze' for layer in layers])",
    "refire-leaves-bare": "'crawled' in flaws",
    "refire-opens-crack": "not outdoors and cracked",
    "refire-warps-more": "bent and cone >= clay_low",
    "refire-runs-more": "'ran' in flaws and kind not in ('horsehair', 'pit') and cone > overglaze",
    "refire-sticks-again": "'stuck' in flaws and kind not in ('horsehair', 'pit') and cone > overglaze",
    "does-not-fit": "height > room['high'] or across > room['across']",
    "foot-not-clear": "kind == 'shelf' and foot != 'stilted' and (foot == 'glazed' or any([layer['coat'] == 'glaze' "
    "and (layer['zone'] == 'foot' or (foot == 'bare' and layer['zone'] not in ('inside', 'lip'))) "
    "for layer in layers]))",
    "open-question": "question",
    "damp-greenware": "(kind == 'bisque' or raw) and dry == False",
    "sealed-hollow": "(kind == 'bisque' or raw) and vented == False",
    "greenware-pulled-hot": "outdoors and raw",
    "too-heavy-for-tongs": "outdoors and weight > tongs",
    "no-container": "kind == 'raku' and (fits == False "
    "or not any([height <= one['high'] and across <= one['across'] for one in containers]))",
    "supervised-leach-hazard": "supervised and any([layer['leaches'] for layer in layers])",
    "supervised-raku": "supervised and kind == 'raku'",
    "runny-without-catch-plate": "kind == 'shelf' and not catch_plate "
    "and any(['runny' in layer['traits'] and layer['low'] <= cone and layer['zone'] != 'inside' for layer in layers])",
    "raku-foot-runs": "kind == 'raku' "
    "and any([layer['zone'] == 'foot' and 'runny' in layer['traits'] and layer['low'] <= cone for layer in layers])",
    "raku-foot-sticks": "kind == 'raku' and (foot == 'glazed' or any([layer['zone'] == 'foot' "
    "or (foot == 'bare' and layer['zone'] != 'inside' and 'runny' in layer['traits'] and layer['low'] <= cone) "
    "for layer in layers])) "
    "and not any([layer['zone'] == 'foot' and 'runny' in layer['traits'] and layer['low'] <= cone "
    "for layer in layers])",
    "kiln-is-indoors": "kind in ('raku', 'horsehair', 'pit') and not yard",
    "set-on-wadding": "kind in ('soda', 'wood')",
    "stilt-sinks": "kind in ('shelf', 'once-fire', 'overglaze', 'soda', 'wood') and foot == 'stilted' "
    "and (kind in ('soda', 'wood') or cone > on_stilts "
    "or (clay_kind in ('stoneware', 'porcelain') and cone >= clay_low))",
    "wants-oxidation": "(air == 'reduction' or kind in ('raku', 'wood')) "
    "and any(['wants-oxidation' in layer['traits'] for layer in layers])",
    "wants-reduction": "air == 'oxidation' and any(['wants-reduction' in layer['traits'] for layer in layers])",
    "thick-wall": "(kind == 'bisque' or raw) and wall > thick",
    "damp-glaze": "outdoors and hours < dries",
}

KILN = Kiln(
    name="Corner kiln",
    routes=frozenset(COMMON_ROUTES),
    outdoor=True,
    chamber=Room(round_mm=400, height_mm=500, clearance_mm=25),
    atmosphere=Atmosphere.OXIDATION,
    tongs_g=4_500,
    containers=(Room(round_mm=150, height_mm=200, clearance_mm=20), Room(round_mm=300, height_mm=350, clearance_mm=20)),
)


def cases() -> list[tuple[Ware, Route]]:
    """Pots of several clays, glazes and uses, each on every route."""
    glazes = [
        a_glaze("Fog", Family.MID_RANGE, "5", "6", FoodStanding.TESTED, Trait.RUNNY),
        a_glaze("Plum", Family.LOW_FIRE, "06", "04", FoodStanding.UNTESTED, Trait.CRACKLE),
        a_glaze("Wink", Family.OUTDOOR, "06", "06", FoodStanding.DECORATIVE, Trait.LUSTER),
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
            weight_g=900,
            wall_mm=8,
            vented=True,
            dry=True,
            foot=foot,
            container_fits=True,
            glazed_hours=12.0,
        )
        for kind in (ClayKind.STONEWARE, ClayKind.PORCELAIN)
        for glaze in glazes
        for other in glazes[:2]
        for build, foot in ((Build.THROWN, Foot.WAXED), (Build.SLAB, Foot.BARE))
        for use in Use
    ]
    return [(ware, route) for ware in wares for route in COMMON_ROUTES.values()]


@cache
def a_glaze(name: str, family: Family, low: str, high: str, food: FoodStanding, *traits: Trait) -> Glaze:
    """A glaze, each of them once."""
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
        "outdoors": route.is_pulled_hot,
        "clay_kind": str(ware.clay.kind),
        "clay_low": ware.clay.cone_low.rank,
        "clay_high": ware.clay.cone_high.rank,
        "clay_ceiling": ware.clay.ceiling.rank,
        "absorption": ware.clay.absorption_pct or 0,
        "build": str(ware.build),
        "use": str(ware.use),
        "largest": ware.largest_mm,
        "fragile": ware.fragile,
        "burnished": ware.burnished,
        "mended": ware.mended,
        "fired_to": ware.fired_to.rank if ware.fired_to else None,
        "on_stilts": Cone.parse("02").rank,
        "flawed": bool(ware.spoilt_by),
        "flaws": [str(flaw) for flaw in ware.flaws],
        "cracked": not CRACKS.isdisjoint(ware.flaws),
        "bent": not {Flaw.WARPED, Flaw.SLUMPED, Flaw.BLOATED}.isdisjoint(ware.flaws),
        "overglaze": Cone.parse("014").rank,
        "overfired": not {Flaw.BLOATED, Flaw.OVERFIRED}.isdisjoint(ware.flaws),
        "large": 150,
        "limit": 3.0,
        "height": ware.height_mm,
        "across": _across(ware),
        "room": _inside(KILN.chamber),
        "containers": [_inside(one) for one in KILN.containers],
        "fits": ware.container_fits,
        "air": str(KILN.atmosphere),
        "yard": KILN.outdoor,
        "tongs": KILN.tongs_g,
        "weight": ware.weight_g,
        "wall": ware.wall_mm,
        "thick": 25,
        "hours": ware.glazed_hours,
        "dries": 24,
        "dry": ware.dry,
        "vented": ware.vented,
        "raw": ware.fired_to is None and ware.coats is not Coats.ON_RECORD,
        "foot": str(ware.foot),
        "catch_plate": ware.catch_plate,
        "question": ware.has_question,
        "supervised": ware.supervised,
        "layers": [
            {
                "low": layer.glaze.cone_low.rank,
                "high": layer.glaze.cone_high.rank,
                "family": str(layer.glaze.family),
                "coat": str(layer.glaze.coat),
                "zone": str(layer.zone),
                "food": str(layer.glaze.food),
                "traits": [str(trait) for trait in layer.glaze.traits],
                "poison": [metal for metal in LIMITED if metal in layer.glaze.holds],
                "watched": [metal for metal in WATCHED if metal in layer.glaze.holds],
                "leaches": [metal for metal in LEACH_HAZARDS if metal in layer.glaze.holds],
                "fumes": [metal for metal in POISON_FUME if metal in layer.glaze.holds],
                "metal_fumes": [metal for metal in FUME if metal in layer.glaze.holds]
                or (layer.glaze.is_outdoor_only and Trait.LUSTER in layer.glaze.traits),
                "failed": bool(failures(layer.glaze.tests, COMMON_PRACTICE.regime)),
            }
            for layer in ware.layers
        ],
    }


def _across(ware: Ware) -> float:
    """How wide a round room the piece needs."""
    width, depth = ware.width_mm or 0, ware.depth_mm or 0
    return max(width, depth) if ware.build is Build.THROWN else hypot(width, depth)


def _inside(room: Room | None) -> dict[str, int]:
    """What a round room has left between its clearances, in mm."""
    assert room is not None
    assert room.round_mm is not None
    assert room.height_mm is not None
    return {"across": room.round_mm - 2 * room.clearance_mm, "high": room.height_mm - room.clearance_mm}


def broken(names: dict[str, Any], parsed: dict[str, ast.expr] | None = None) -> set[str]:
    """The rules whose conditions hold, evaluated by simpleeval from the texts, or from what it `parsed` before."""
    evaluator = EvalWithCompoundTypes(names=names, functions={"any": any, "most": max, "least": min, "len": len})
    return {
        rule
        for rule, condition in CONDITIONS.items()
        if evaluator.eval(condition, previously_parsed=parsed[rule] if parsed else None)
    }


def differences(judged: list[tuple[Ware, Route]], names: list[dict[str, Any]]) -> Iterator[str]:
    """Each rule whose condition differs from it: which of the two speaks, what the text is, and the first such case."""
    parsed = {rule: EvalWithCompoundTypes.parse(condition) for rule, condition in CONDITIONS.items()}
    told = set(CONDITIONS) ^ {rule.name for rule in RULES}
    yield from (f"{rule}: {'no such rule' if rule in CONDITIONS else 'no condition'}" for rule in sorted(told))
    for (ware, route), known in zip(judged, names, strict=True):
        holds = broken(known, parsed)
        speaks = {finding.rule for finding in judge(ware, route, kiln=KILN).findings}
        for rule in sorted((holds ^ speaks) - told):
            which = "the rule alone speaks" if rule in speaks else "its condition alone holds"
            yield f"{rule}: {which}\n  condition: {CONDITIONS[rule]}\n  case: {known}"
        told |= holds ^ speaks
