"""Any value that the store has to keep, as Hypothesis draws them."""

from __future__ import annotations

from dataclasses import fields
from datetime import date
from typing import Any

from hypothesis import strategies as some

from tracker.domain.cones import CONES, Cone, ConeRange
from tracker.domain.findings import Finding, Level, Verdict
from tracker.domain.message import ByRole, Choice, Either, Fact, Message, Plural, Sentences, Template
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.outcomes import Flaw, in_order
from tracker.domain.pieces.piece import Build, Piece, Stage, Use
from tracker.domain.quantities import Quantity
from tracker.domain.quantities import Unit as MeasuredIn
from tracker.domain.studio.absorption import Absorption, Soak, Weighing
from tracker.domain.studio.kilns import Atmosphere, Fuel, Furniture, Kiln, Room, Route, RouteKind
from tracker.domain.studio.leach_limits import Unit
from tracker.domain.studio.leach_tests import ReleaseTest, Result, Vessel, VesselKind
from tracker.domain.studio.materials import Clay, ClayKind, Coat, Family, FoodStanding, Glaze, HowOn, Layer, Trait, Zone
from tracker.domain.studio.metals import Metal
from tracker.domain.studio.segments import Segment
from tracker.domain.studio.setting_groups import GROUPS, Group
from tracker.store.messages import ENUMS

# Half characters and the zero byte are refused where text comes in: no engine keeps both.
texts = some.text(some.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=30)
names = some.text(some.characters(exclude_categories=["Cs"], exclude_characters="\0"), min_size=1, max_size=30)
cones = some.sampled_from(CONES)
percents = some.none() | some.floats(0, 100)


def _in_order(low: Cone, high: Cone) -> tuple[Cone, Cone]:
    return min(low, high), max(low, high)


ranges = some.builds(_in_order, cones, cones)


def _weighed(dry: float, water: float, floats: float | None, cone: Cone, method: Soak) -> Weighing:
    suspended = None if floats is None else dry * floats
    return Weighing(dry_g=dry, saturated_g=dry * (1 + water), suspended_g=suspended, cone=cone, method=method)


_soaks = some.sampled_from(Soak)
weighings = some.builds(
    _weighed, some.floats(1, 500), some.floats(0, 0.9), some.none() | some.floats(0.1, 0.9), cones, _soaks
)
measured = some.builds(Absorption, cone=cones, pct=some.floats(0, 100), method=_soaks)


@some.composite
def clays(draw: some.DrawFn) -> Clay:
    """Any clay. One that slumps right above its own cones need not say so, and then does not."""
    low, high = draw(ranges)
    hotter = [cone for cone in CONES if cone > high]
    return Clay(
        name=draw(names),
        kind=draw(some.sampled_from(ClayKind)),
        cone_low=low,
        cone_high=high,
        slumps_above=draw(some.none() | some.sampled_from(hotter)) if hotter else None,
        absorption_pct=draw(percents),
        shrinkage_pct=draw(percents),
        absorption=draw(some.lists(measured, max_size=3).map(tuple)),
        weighings=draw(some.lists(weighings, max_size=3).map(tuple)),
        cones_checked=draw(some.booleans()),
    )


_measures = some.none() | some.floats(0, 10_000)
release_tests = some.builds(
    ReleaseTest,
    laboratory=texts,
    tested_on=some.dates(date(1970, 1, 1), date(2100, 1, 1)),
    metal=some.sampled_from(Metal),
    unit=some.sampled_from(Unit),
    results=some.lists(
        some.builds(Result, some.floats(0, 1000))
        | some.builds(Result, some.floats(0.001, 10), is_below=some.sampled_from([True])),
        min_size=1,
        max_size=6,
    ).map(tuple),
    vessel=some.builds(Vessel, kind=some.sampled_from(VesselKind), depth_mm=_measures, capacity_ml=_measures),
    passed=some.none() | some.booleans(),
    cone=some.none() | cones,
    atmosphere=some.none() | some.sampled_from(Atmosphere),
    method=texts,
    clay=some.none() | names,
    route=some.none() | names,
)


def untold(kind: type[Any], texts: some.SearchStrategy[str], *told: str) -> some.SearchStrategy[dict[str, Any]]:
    """Any of the texts and small whole numbers among the facts of a kind that are not told otherwise."""
    by_type = {"str": texts, "int | None": some.none() | some.integers(1, 999)}
    return some.fixed_dictionaries(
        {one.name: by_type[one.type] for one in fields(kind) if one.type in by_type and one.name not in told}
    )


@some.composite
def glazes(draw: some.DrawFn) -> Glaze:
    """Any glaze, with whatever tests stand behind it."""
    low, high = draw(ranges)
    return Glaze(
        name=draw(names),
        family=draw(some.sampled_from(Family)),
        cone_low=low,
        cone_high=high,
        food=draw(some.sampled_from(FoodStanding)),
        traits=draw(some.frozensets(some.sampled_from(Trait))),
        metals=draw(some.frozensets(texts, max_size=3)),
        coat=draw(some.sampled_from(Coat)),
        goes_on=draw(some.frozensets(some.sampled_from(HowOn))),
        tests=draw(some.lists(release_tests, max_size=3).map(tuple)),
        cones_checked=draw(some.booleans()),
        **draw(untold(Glaze, texts, "name")),
    )


_mm = some.integers(1, 2_000)
_free = some.integers(0, 1_000)
rooms = some.one_of(
    some.builds(Room, height_mm=_mm, round_mm=_mm, clearance_mm=_free),
    some.builds(Room, height_mm=_mm, width_mm=_mm, depth_mm=_mm, clearance_mm=_free),
)
_stacking = {
    "thickness_mm": some.integers(1, 200),
    "posts_mm": some.lists(_mm, min_size=1, max_size=9, unique=True).map(lambda posts: tuple(sorted(posts))),
    "post_radius_mm": some.integers(0, 200),
}
furniture = some.one_of(
    some.builds(Furniture, round_mm=_mm, halves=some.booleans(), **_stacking),
    some.builds(Furniture, width_mm=_mm, depth_mm=_mm, **_stacking),
)
kilns = some.builds(
    Kiln,
    name=some.just("Cask"),
    routes=some.just(frozenset({"bisque", "raku"})),
    outdoor=some.just(True),  # noqa: FBT003 -- a strategy's value
    place=some.sampled_from(("", "kiln yard")),
    chamber=some.none() | rooms,
    furniture=some.none() | furniture,
    atmosphere=some.none() | some.sampled_from(Atmosphere),
    fuel=some.none() | some.sampled_from(Fuel),
    tongs_g=some.none() | some.integers(1, 1_000_000),
    containers=some.lists(rooms, max_size=3).map(tuple),
    retired=some.booleans(),
)
"""Any kiln that fires bisque and raku."""

_ramps = some.builds(
    Segment,
    some.integers(1, 1_000).map(float),
    some.integers(30, 1_400).map(float),
    some.integers(1, 600).map(float),
    some.sampled_from(("", "slow through quartz")),
)
routes = some.builds(
    Route,
    name=some.just("slow"),
    title=some.sampled_from(("Slow", "Slow & low, as Ada does it")),
    kind=some.just(RouteKind.SHELF),
    cone=cones,
    segments=some.lists(_ramps, max_size=4).map(tuple),
    cones_checked=some.booleans(),
    retired=some.booleans(),
)
"""Any way of firing on kiln shelves, perhaps with a schedule of its own."""


def distinct(things: some.SearchStrategy[Clay] | some.SearchStrategy[Glaze], most: int) -> some.SearchStrategy[list]:  # type: ignore[type-arg]  # of the same things
    """A few things, each with a name of its own."""
    return some.lists(things, min_size=1, max_size=most, unique_by=lambda one: one.name)


def _message(code: str, template: Template, facts: dict[str, Fact]) -> Message:
    return Message(code, template, **facts)


_single = (
    some.none()
    | some.booleans()
    | some.integers(-(2**53), 2**53)
    | some.floats(allow_nan=False, allow_infinity=False)
    | texts
    | some.dates()
    | some.datetimes()
    | some.one_of([some.sampled_from(kind) for kind in ENUMS.values()])
    | cones
    | ranges.map(lambda both: ConeRange(*both))
    | some.builds(Quantity, some.floats(0, 1e6), some.sampled_from(MeasuredIn), some.integers(0, 9))
)
_templates: some.SearchStrategy[Template] = some.recursive(
    texts,
    lambda inside: (
        some.builds(Plural, names, texts, texts)
        | some.builds(Choice, names, some.dictionaries(texts, inside, max_size=2))
        | some.builds(ByRole, inside, some.dictionaries(texts, inside, max_size=2))
    ),
    max_leaves=3,
)


def _messages_of(facts: some.SearchStrategy[Fact]) -> some.SearchStrategy[Message]:
    return some.builds(_message, names, _templates, some.dictionaries(some.text("abc_", min_size=1), facts, max_size=3))


_facts: some.SearchStrategy[Fact] = some.recursive(
    _single,
    lambda inside: (
        some.lists(inside, max_size=3).map(tuple)
        | some.lists(inside, max_size=3).map(lambda many: Either(tuple(many)))
        | _messages_of(inside)
        | some.lists(_messages_of(inside), max_size=2).map(lambda many: Sentences(tuple(many)))
    ),
    max_leaves=5,
)
messages = _messages_of(_facts)
"""Any message, with facts of every kind there is."""

findings = some.builds(
    Finding, level=some.sampled_from(Level), message=messages, way_out=some.none() | messages, source=texts
)
verdicts = some.lists(findings, max_size=4).map(lambda found: Verdict(tuple(found)))
receipts = some.builds(
    Receipt,
    message=messages,
    ref=texts,
    piece_id=some.none() | some.integers(1, 2**31),
    line=some.none() | some.integers(1, 2**31),
    refs=some.lists(texts, max_size=3).map(tuple),
    extra=some.dictionaries(texts, texts | some.integers(), max_size=3),
)
_lengths = some.integers(1, 10_000)


@some.composite
def pieces(draw: some.DrawFn, clay: Clay, shelf: list[Glaze]) -> Piece:
    """Any piece of this clay in glazes from this shelf that stands in no queue."""
    worn = draw(some.lists(some.builds(Layer, some.sampled_from(shelf), some.sampled_from(Zone)), max_size=4))
    wearing = [Stage.GLAZED, Stage.FIRED, Stage.CLAIMED, Stage.LOST]
    return Piece(
        id=0,
        code="K7R43",
        what=draw(texts),
        maker_id=draw(some.sampled_from([1, 2, 3, 4])),
        clay=clay,
        layers=tuple(worn),
        build=draw(some.sampled_from(Build)),
        use=draw(some.sampled_from(Use)),
        height_mm=draw(_lengths),
        width_mm=draw(_lengths),
        depth_mm=draw(_lengths),
        fragile=draw(some.booleans()),
        burnished=draw(some.booleans()),
        nests=draw(some.booleans()),
        mended=draw(some.booleans()),
        fired_to=draw(some.none() | cones),
        flaws=in_order(draw(some.sets(some.sampled_from(Flaw)))),
        stage=draw(some.sampled_from(wearing if worn else [*wearing, Stage.BISQUED, Stage.WAXED])),
        came_from=draw(some.none() | some.sampled_from(Stage)),
        place=draw(texts),
        set_name=draw(some.none() | names),
        version=draw(some.integers(1, 1000)),
    )


def _numbers(group: Group) -> some.SearchStrategy[Any]:
    """Any practice of a group."""
    drawn = {
        one.name: some.integers(int(one.least), int(one.most)) if one.whole else some.floats(one.least, one.most)
        for one in group.numbers
    }
    return some.fixed_dictionaries({}, optional=drawn).map(group.of)


groups_of_practice = {group.name: _numbers(group) for group in GROUPS}
