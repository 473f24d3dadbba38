"""Pots of every sort, for laws that hold of all of them."""

from __future__ import annotations

from datetime import date

from hypothesis import strategies as st

from tests.drawn import examples
from tracker.domain.cones import CONES, Cone
from tracker.domain.pieces.piece import Build, Foot, Use, Ware
from tracker.domain.studio.kilns import KNOWN_ROUTES, Atmosphere, Kiln, Room, Route
from tracker.domain.studio.leach_limits import Unit
from tracker.domain.studio.leach_tests import ReleaseTest, Result, Vessel, VesselKind
from tracker.domain.studio.materials import Clay, ClayKind, Coat, Family, FoodStanding, Glaze, Layer, Trait, Zone
from tracker.domain.studio.metals import Metal

# A pot is drawn from some forty choices, and the truth table has the boundaries: forty pots to a law are enough.
FEWER = examples(50)

cones = st.sampled_from(CONES)
ranges = st.tuples(cones, cones).map(lambda both: (min(both), max(both)))
routes = st.one_of(
    st.sampled_from(list(KNOWN_ROUTES.values())),
    st.builds(Route.at, st.sampled_from(list(KNOWN_ROUTES.values())), cones),
)
_mm = st.one_of(st.none(), st.integers(1, 400), st.sampled_from([149, 150, 151]))

_said = st.none() | st.booleans()


@st.composite
def clays(draw: st.DrawFn) -> Clay:
    """A clay of any kind, known or not, some of which stand more than their own heat."""
    low, high = draw(ranges)
    return Clay(
        name=draw(st.sampled_from(["Doorstep Buff", "Lantern White", "Gravel Walk"])),
        kind=draw(st.sampled_from(ClayKind)),
        cone_low=low,
        cone_high=high,
        slumps_above=draw(st.none() | st.sampled_from([cone for cone in CONES if cone >= high])),
        absorption_pct=draw(st.none() | st.sampled_from([0.0, 2.9, 3.0, 3.1, 12.0])),
    )


@st.composite
def glazes(draw: st.DrawFn) -> Glaze:
    """A coat of any family, food standing and traits, some of them tested in a laboratory."""
    low, high = draw(ranges)
    return Glaze(
        name=draw(st.sampled_from(["Still Water", "Plum Gloss", "Wet Slate", "Copper Moth"])),
        family=draw(st.sampled_from(Family)),
        cone_low=low,
        cone_high=high,
        food=draw(st.none() | st.sampled_from(FoodStanding)),
        traits=draw(st.frozensets(st.sampled_from(Trait))),
        coat=draw(st.sampled_from(Coat)),
        tests=tuple(draw(st.lists(release_tests(), max_size=2))),
    )


def release_tests() -> st.SearchStrategy[ReleaseTest]:
    """A laboratory's test of any metal and vessel, passed, failed or undecided."""
    found = st.sampled_from([0.0, 0.25, 0.3, 0.5, 1.0, 3.0, 3.5])
    return st.builds(
        ReleaseTest,
        laboratory=st.just("Invented Assay"),
        tested_on=st.just(date(2025, 11, 4)),
        metal=st.sampled_from(Metal),
        unit=st.sampled_from(Unit),
        results=st.lists(st.builds(Result, found), min_size=1, max_size=6).map(tuple),
        vessel=st.builds(
            Vessel,
            kind=st.sampled_from(VesselKind),
            depth_mm=st.sampled_from([None, 20.0, 60.0]),
            capacity_ml=st.sampled_from([None, 300.0, 2_000.0]),
        ),
    )


def layers() -> st.SearchStrategy[Layer]:
    """One coat in any zone."""
    return st.builds(Layer, glazes(), st.sampled_from(Zone))


def wares(*, fired_to: st.SearchStrategy[Cone | None] | None = None) -> st.SearchStrategy[Ware]:
    """A pot of any sort, with everything known about it or next to nothing."""
    return st.builds(
        Ware,
        clay=clays(),
        layers=st.lists(layers(), max_size=3).map(tuple),
        build=st.none() | st.sampled_from(Build),
        use=st.none() | st.sampled_from(Use),
        height_mm=_mm,
        width_mm=_mm,
        depth_mm=_mm,
        fragile=st.booleans(),
        burnished=st.none() | st.booleans(),
        mended=st.booleans(),
        fired_to=st.none() | cones if fired_to is None else fired_to,
        weight_g=st.none() | st.integers(1, 9_000) | st.sampled_from([4_499, 4_500, 4_501]),
        wall_mm=st.none() | st.integers(1, 60) | st.sampled_from([24, 25, 26]),
        vented=_said,
        dry=_said,
        foot=st.none() | st.sampled_from(Foot),
        catch_plate=st.booleans(),
        container_fits=_said,
        glazed_hours=st.none() | st.floats(0, 100) | st.sampled_from([23.9, 24.0]),
        has_question=st.booleans(),
        supervised=st.booleans(),
    )


def rooms() -> st.SearchStrategy[Room]:
    """A chamber or a container, round or square."""
    free, high, across = st.integers(0, 40), st.integers(100, 600), st.integers(100, 600)
    return st.builds(Room, height_mm=high, round_mm=across, clearance_mm=free) | st.builds(
        Room, height_mm=high, width_mm=across, depth_mm=across, clearance_mm=free
    )


def kilns() -> st.SearchStrategy[Kiln]:
    """A kiln for every route, of whose inside much is told or nothing."""
    return st.builds(
        Kiln,
        name=st.just("Corner kiln"),
        routes=st.just(frozenset(KNOWN_ROUTES)),
        chamber=st.none() | rooms(),
        atmosphere=st.none() | st.sampled_from(Atmosphere),
        tongs_g=st.none() | st.integers(1, 9_000),
        containers=st.lists(rooms(), max_size=2).map(tuple),
    )
