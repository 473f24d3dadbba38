"""A small invented studio: its clays, glazes and ways of firing, and the people whom tests send about in it."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any

from tracker.domain.cones import Cone
from tracker.domain.pieces.new_pieces import NewPiece
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Build, Use
from tracker.domain.studio.catalog import Catalog, Studio
from tracker.domain.studio.kilns import COMMON_ROUTES, Kiln, Room, Route
from tracker.domain.studio.leach_limits import Unit
from tracker.domain.studio.leach_tests import ReleaseTest, Result, Vessel, VesselKind
from tracker.domain.studio.materials import Clay, ClayKind, Family, FoodStanding, Glaze, HowOn, Trait
from tracker.domain.studio.metals import LIMITED, Metal
from tracker.domain.studio.people import NewPerson, Role

if TYPE_CHECKING:
    from collections.abc import Mapping

NOON = datetime(2026, 3, 3, 12, 0, tzinfo=UTC)
"""The moment at which tests take place unless they say otherwise."""

OUTCOMES = (Outcome.GOOD, Outcome.BROKE, *map(Outcome.of, Flaw), Outcome.of(Flaw.CRAZED, Flaw.STUCK))
"""What may come of a piece in the fire: nothing but good, each flaw alone, and two together."""

ADA = NewPerson(name="Ada Quill", email="ada@studio.example", role=Role.INSTRUCTOR)
TOM = NewPerson(name="Tom Abara", email="tom@studio.example", role=Role.STAFF)
INES = NewPerson(name="Ines Pell", email="ines@studio.example", section="Tuesday")
MIRA = NewPerson(name="Mira Tann", email="mira@studio.example", section="Thursday")


def a_clay(name: str = "Doorstep Buff", **facts: Any) -> Clay:  # noqa: ANN401 -- any fact of a clay
    """A stoneware for cone 6 that stands cone 10, dense when mature, but for the `facts` given."""
    plain: dict[str, Any] = {
        "kind": ClayKind.STONEWARE,
        "cone_low": Cone.parse("6"),
        "cone_high": Cone.parse("6"),
        "slumps_above": None if "cone_high" in facts else Cone.parse("10"),
        "absorption_pct": 1.5,
    }
    return Clay(name=name, **(plain | _cones(facts)))


def a_glaze(name: str = "Still Water", **facts: Any) -> Glaze:  # noqa: ANN401 -- any fact of a glaze
    """A mid-range glaze for cone 5 to 6 that its maker declares fit for food, but for the `facts` given."""
    plain: dict[str, Any] = {
        "family": Family.MID_RANGE,
        "cone_low": Cone.parse("5"),
        "cone_high": Cone.parse("6"),
        "food": FoodStanding.DECLARED,
        "goes_on": frozenset({HowOn.DIP}),
        "bucket": "shelf 2",
    }
    return Glaze(name=name, **(plain | _cones(facts)))


def a_test(*results: float | str, **facts: Any) -> ReleaseTest:  # noqa: ANN401 -- any fact of a test
    """A laboratory's test of lead out of a mug of 300 ml, six specimens of 0.01 mg/L, but for what is given.

    `results` may be texts such as "<0.01"; `kind`, `depth_mm` and `capacity_ml` are those of the vessel.
    """
    measures: dict[str, Any] = {"kind": VesselKind.CUP, "depth_mm": 90, "capacity_ml": 300}
    vessel = facts.pop("vessel", None) or Vessel(**{key: facts.pop(key, value) for key, value in measures.items()})
    plain: dict[str, Any] = {
        "laboratory": "Invented Assay",
        "tested_on": date(2025, 11, 4),
        "metal": Metal.LEAD,
        "unit": Unit.MG_L,
        "results": tuple(Result.parse(str(one)) for one in results or [0.01] * 6),
        "vessel": vessel,
    }
    return ReleaseTest(**(plain | facts))


def a_route(name: str = "mid-range", cone: str | None = None) -> Route:
    """One of the common ways of firing, to another `cone` when one is given."""
    route = COMMON_ROUTES[name]
    return route if cone is None else route.at(Cone.parse(cone))


def a_new_piece(what: str = "tall cup", **facts: Any) -> NewPiece:  # noqa: ANN401 -- any fact of a piece
    """A decorative thrown cup of Doorstep Buff, 120 mm high, of which all is told, but for the `facts` given."""
    plain: dict[str, Any] = {
        "clay": "Doorstep Buff",
        "build": Build.THROWN,
        "use": Use.DECORATIVE,
        "height_mm": 120,
        "width_mm": 80,
        "depth_mm": 80,
        "weight_g": 400,
        "wall_mm": 6,
        "vented": True,
    }
    return NewPiece(what=what, **(plain | facts))


def a_studio(**facts: Any) -> Studio:  # noqa: ANN401 -- any fact of a studio
    """A studio with six clays, eight glazes, the common ways of firing and three kilns, one of them outdoors."""
    plain: dict[str, Any] = {
        "name": "Cinder Lane studio",
        "timezone": "Europe/Lisbon",
        "address": "http://127.0.0.1:8000",
        "catalog": Catalog(clays=_by_name(_CLAYS), glazes=_by_name(_GLAZES), routes=COMMON_ROUTES, kilns=_KILNS),
    }
    return Studio(**(plain | facts))


def _cones(facts: Mapping[str, Any]) -> dict[str, Any]:
    """The same facts, with cones that came as text read."""
    return {
        name: Cone.parse(fact) if name in {"cone_low", "cone_high", "slumps_above"} and isinstance(fact, str) else fact
        for name, fact in facts.items()
    }


def _by_name(things: tuple[Any, ...]) -> dict[str, Any]:
    return {thing.name: thing for thing in things}


_CLAYS = (
    a_clay(),
    a_clay("Lantern White", kind=ClayKind.PORCELAIN, absorption_pct=0.3),
    a_clay("Gravel Walk", kind=ClayKind.GROGGED, absorption_pct=2.4),
    a_clay("Roof Tile Red", kind=ClayKind.EARTHENWARE, cone_low="06", cone_high="04", absorption_pct=9.0),
    a_clay("Middle Gray", cone_low="4", cone_high="6", absorption_pct=2.0),
    a_clay("Box of scraps", kind=ClayKind.UNKNOWN, cone_low="06", cone_high="04", absorption_pct=None),
)

_PASSED = tuple(a_test(metal=metal) for metal in LIMITED)

_GLAZES = (
    a_glaze(),
    a_glaze("Attic Window", traits=frozenset({Trait.CRACKLE})),
    a_glaze("Wet Slate", food=FoodStanding.UNTESTED),
    a_glaze("Plum Gloss", family=Family.LOW_FIRE, cone_low="06", cone_high="04", bucket="shelf 1"),
    a_glaze(
        "Paper Lamp",
        family=Family.LOW_FIRE,
        cone_low="05",
        cone_high="04",
        food=FoodStanding.TESTED,
        tests=_PASSED,
    ),
    a_glaze("Iron Gate", family=Family.HIGH_FIRE, cone_low="9", cone_high="10", bucket="shelf 3"),
    a_glaze("Gilt Edge", family=Family.HIGH_FIRE, cone_low="9", cone_high="10", food=FoodStanding.DECORATIVE),
    a_glaze(
        "Ember Luster",
        family=Family.OUTDOOR,
        cone_low="08",
        cone_high="06",
        food=FoodStanding.DECORATIVE,
        traits=frozenset({Trait.LUSTER}),
        goes_on=frozenset({HowOn.BRUSH}),
        bucket="yard shed",
    ),
)

_KILNS = {
    "Front box": Kiln(name="Front box", routes=frozenset({"bisque", "low-fire"}), place="kiln room"),
    "Back box": Kiln(name="Back box", routes=frozenset({"mid-range", "high-fire"}), place="kiln room"),
    "Yard drum": Kiln(
        name="Yard drum",
        routes=frozenset({"raku", "horsehair"}),
        outdoor=True,
        place="yard",
        chamber=Room(height_mm=700, round_mm=640, clearance_mm=20),
        containers=(Room(height_mm=600, round_mm=500),),
    ),
}
