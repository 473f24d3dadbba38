"""What each student means to make in the term: pieces and glazes for which the rules answer what the table asks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from random import Random

from demo_seed.sorts import SORTS, Sort
from demo_seed.words import ANOTHER, Shape
from tracker.domain.findings import Level
from tracker.domain.pieces.piece import Foot, Ware
from tracker.domain.rules.engine import judge_in, judge_layers_in
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Route, RouteKind
from tracker.domain.studio.materials import Clay, Coat, Family, Glaze, Layer, Trait, Zone

TRIES = 2000
"""How many draws are made for one piece before the table of sorts is found to ask for something impossible."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """One piece as its maker, the one of that number among the students, means it; registered on day `born`.

    `ware` wears all its layers already; they go on one by one.
    """

    maker: int
    what: str
    ware: Ware
    sort: Sort
    born: int
    waxed: bool
    nests: bool = False


class NoSuchPiece(Exception):
    """The table of sorts asks for a piece that the rules and the studio's shelves do not allow."""


def plans_for(catalog: Catalog, students: int, random: Random) -> tuple[Plan, ...]:
    """Every piece of the term, in the order in which they are registered; the same `random` gives the same pieces."""
    plans = [_plan(catalog, sort, students, random) for sort in SORTS for _ in range(sort.count)]
    return tuple(sorted(plans, key=lambda plan: plan.born))


def _plan(catalog: Catalog, sort: Sort, students: int, random: Random) -> Plan:
    shape = random.choice(sort.shapes)
    ware = _fitting_ware(catalog, sort, shape, random)
    return Plan(
        # The first student, whose sign-in is shown, is a busy one.
        maker=random.choice((0, 0, 0, 0, *range(students))),
        what=random.choice([one for one in ANOTHER if one not in shape.what or not one]) + shape.what,
        ware=ware,
        sort=sort,
        born=random.choice(sort.days),
        waxed=sort.route not in {None, "horsehair"} and random.random() < 0.85,  # noqa: PLR2004 -- most feet get wax
        nests=shape.nests,
    )


def _fitting_ware(catalog: Catalog, sort: Sort, shape: Shape, random: Random) -> Ware:
    """Clay and glazes drawn until the rules answer what `sort` asks; `NoSuchPiece` when they never do."""
    clays = [clay for clay in catalog.clays.values() if clay.kind in sort.clays]
    for _ in range(TRIES):
        bare = _sized(shape, random.choice(clays), sort, random)
        if sort.route is None:
            return bare
        route = catalog.route(sort.route)
        worn = tuple(_layers(catalog, route, sort, random))
        ware = replace(bare, layers=worn, catch_plate=any(Trait.RUNNY in one.glaze.traits for one in worn))
        if _is_what_was_asked(catalog, ware, route, sort):
            return ware
    raise NoSuchPiece(f"After {TRIES} draws no {shape.what} is {sort.verdict} on {sort.route}.")


def _sized(shape: Shape, clay: Clay, sort: Sort, random: Random) -> Ware:
    """`shape` in `clay`, a little larger or smaller than meant."""
    height, width, depth = (
        max(10, round(mm * random.uniform(0.93, 1.06))) for mm in (shape.height_mm, shape.width_mm, shape.depth_mm)
    )
    return Ware(
        clay=clay,
        build=shape.build,
        use=shape.use,
        height_mm=height,
        width_mm=width,
        depth_mm=depth,
        fragile=shape.fragile,
        burnished=bool(sort.burnished),
        mended=sort.mended,
        weight_g=_weight(height, width, depth),
        wall_mm=random.randint(5, 11),
        vented=True,
        foot=Foot.WIPED,
    )


def _weight(height: int, width: int, depth: int) -> int:
    """What a hollow pot of that size weighs in g, to the next 10: a mug some 350 g, a tall vase some 2 kg."""
    return min(4_400, max(60, round(height * width * depth * 0.000035) * 10))


def _is_what_was_asked(catalog: Catalog, ware: Ware, route: Route, sort: Sort) -> bool:
    """Whether the rules answer as `sort` asks, at the queue and at the glaze table after each layer."""
    verdict = judge_in(catalog, ware, route)
    worst = {finding.rule for finding in verdict.findings if finding.level is verdict.level}
    # What is left to the instructor must be just that; of what staff accepts there may be more.
    fits = (
        verdict.word == sort.verdict and sort.rules <= worst and (verdict.level is not Level.ASK or worst == sort.rules)
    )
    return (
        fits
        and _suits(ware, route)
        and all(
            judge_layers_in(catalog, replace(ware, layers=ware.layers[:count])).level <= verdict.level
            for count in range(1, len(ware.layers) + 1)
        )
    )


def _suits(ware: Ware, route: Route) -> bool:
    """Whether a sensible student takes that clay for that route: on a shelf it should mature."""
    return route.kind is not RouteKind.SHELF or ware.clay.is_mature_at(route.cone)


def _layers(catalog: Catalog, route: Route, sort: Sort, random: Random) -> Iterator[Layer]:
    """Layers that people put on for `route`, in their order; none for horsehair but now and then terra sigillata."""
    if route.kind is RouteKind.HORSEHAIR:
        yield from _sigillata(catalog, sort, random)
        return
    shelf = _for_route(catalog, route, sort)
    pattern = random.random()
    if pattern < 0.2:  # noqa: PLR2004 -- one in five is painted first
        # Slip goes on raw clay, and what arrives bisqued is raw no more.
        paints = {Coat.UNDERGLAZE} if sort.arrives_bisqued else {Coat.UNDERGLAZE, Coat.SLIP}
        coats = [one for one in catalog.glazes.values() if one.coat in paints]
        yield Layer(random.choice([one for one in coats if one.cone_high >= route.cone]), Zone.OUTSIDE)
    if pattern > 0.55:  # noqa: PLR2004 -- what is open is lined first, what is closed or flat is not
        yield Layer(random.choice(shelf), Zone.INSIDE)
    yield Layer(random.choice(shelf), Zone.OUTSIDE)
    if pattern > 0.9:  # noqa: PLR2004 -- and few dip the lip as well
        yield Layer(random.choice(shelf), Zone.LIP)


def _sigillata(catalog: Catalog, sort: Sort, random: Random) -> Iterator[Layer]:
    if sort.burnished and random.random() < 0.5:  # noqa: PLR2004 -- every second one
        polished = [one for one in catalog.glazes.values() if one.coat is Coat.SIGILLATA]
        yield Layer(random.choice(polished), Zone.OUTSIDE)


_FAMILIES = {
    "low-fire": Family.LOW_FIRE,
    "mid-range": Family.MID_RANGE,
    "high-fire": Family.HIGH_FIRE,
    "raku": Family.OUTDOOR,
}


def _for_route(catalog: Catalog, route: Route, sort: Sort) -> Sequence[Glaze]:
    """The glazes people reach for; for a piece that tries an indoor glaze in the raku kiln, the low-fire ones too."""
    families = {_FAMILIES[route.name]} | ({Family.LOW_FIRE} if "indoor-glaze-in-raku" in sort.rules else set())
    return [one for one in catalog.glazes.values() if one.family in families and one.coat is Coat.GLAZE]


def second_try(catalog: Catalog, ware: Ware, random: Random) -> tuple[Ware, str]:
    """`ware` in one other glaze inside and outside with which an indoor route takes it as it is, and that route."""
    shelves = [route for route in catalog.glazed_routes if route.kind is RouteKind.SHELF]
    chances = [
        (worn, route.name)
        for route in shelves
        for one in catalog.glazes.values()
        if one.coat is Coat.GLAZE and Trait.RUNNY not in one.traits
        for worn in [replace(ware, layers=(Layer(one, Zone.INSIDE), Layer(one, Zone.OUTSIDE)))]
        if judge_in(catalog, worn, route).word == "clear" and _suits(worn, route)
    ]
    if not chances:
        raise NoSuchPiece(f"There is no glaze with which {ware.clay.name} goes through unasked.")
    return random.choice(chances)
