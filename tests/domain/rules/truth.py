"""The truth table: what the studio's rules say of pieces on routes, written down by hand and apart from the code."""

from __future__ import annotations

import csv
import json
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from typing import Any

from tracker.domain.cones import Cone
from tracker.domain.pieces.outcomes import Flaw
from tracker.domain.pieces.piece import Build, Coats, Foot, Use, Ware
from tracker.domain.studio.absorption import Absorption, Soak
from tracker.domain.studio.kilns import KNOWN_ROUTES, Atmosphere, Kiln, Room, Route
from tracker.domain.studio.leach_limits import Unit
from tracker.domain.studio.leach_tests import ReleaseTest, Result, Vessel, VesselKind
from tracker.domain.studio.materials import (
    LOWEST_HEAT,
    Clay,
    ClayKind,
    Coat,
    Family,
    FoodStanding,
    Glaze,
    Layer,
    Trait,
    Zone,
)
from tracker.domain.studio.metals import Metal

REFERENCE = Path(__file__).parents[2] / "reference"
TABLE = REFERENCE / "routing_truth.csv"

_CLAY_NAME = "Doorstep Buff"
_KILN_NAME = "Corner kiln"
_GLAZE_NAMES = ("Still Water", "Plum Gloss", "Wet Slate", "Paper Lamp", "Attic Window", "Copper Moth")

_SAID = {"": None, "yes": True, "no": False}
_UNSAID = "?"
_ROOMS = ("round:", "box:")

_VESSELS = {
    "flatware": Vessel(kind=VesselKind.TABLEWARE, depth_mm=20, capacity_ml=400),
    "small-hollowware": Vessel(kind=VesselKind.TABLEWARE, depth_mm=60, capacity_ml=500),
    "large-hollowware": Vessel(kind=VesselKind.TABLEWARE, depth_mm=90, capacity_ml=2_000),
    "cups-and-mugs": Vessel(kind=VesselKind.CUP, depth_mm=90, capacity_ml=300),
    "pitchers": Vessel(kind=VesselKind.PITCHER, depth_mm=200, capacity_ml=1_500),
}


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table; `level` and `rules` are what the rules must answer.

    `says` tells more of an answer, where that is what the row is for: a rule and a word that it says it by, such as
    "foot-not-clear:fired" (fired glaze is ground off, not wiped); in a word, "_" is a space.

    A row's `layers` stand apart by "; ". Each begins with its family, its cones, its food standing ("?" where nobody
    has said) and its zones ("outside" alone is a glaze that nobody knows), then perhaps "+" and traits, "!" and the
    metals of its recipe, "~" and the coat, "@" and the cone it was fired to before, or a release test such as
    "Pb=0.4+0.5/cups-and-mugs@6" (metal, mg/L of each specimen or of all six alike, sort of ware, cone). A clay's cones
    "5-6/8" mean that it matures from 5 to 6 and stands 8; what it absorbs, "1.5 boil:6=2.5", is what its sheet says and
    what each test measured (method, cone, percent). A route "raku@05" is fired to a cone of its own. What was
    "6 crazed,stuck" was fired to cone 6 before and came out with these flaws.

    A `kiln` is told in words: "outdoor", its air, "tongs:4000" (g), and its chamber and what containers it "holds:".
    These are "round:400x500+25" (across and high, with what stays free all round, in mm) or "box:400x300x500+25"
    (wide, deep, high). An empty cell means that nobody has said, but in `fragile`, `mended`, `burnished`,
    `catch_plate`, `question` and `supervised` it means no.
    """

    facts: dict[str, str]

    @property
    def level(self) -> str:
        """The verdict in one word."""
        return self.facts["level"]

    @property
    def rules(self) -> set[str]:
        """The names of all rules that have something to say."""
        return set(self.facts["rules"].split())

    @property
    def says(self) -> list[tuple[str, str]]:
        """Rules with a word that each says its sentences by."""
        said = (one.partition(":") for one in (self.facts["says"] or "").split())
        return [(rule, word.replace("_", " ")) for rule, _, word in said]

    @property
    def route(self) -> Route:
        """The way of firing, to its nominal cone or to its own."""
        name, _, cone = self.facts["route"].partition("@")
        return KNOWN_ROUTES[name].at(Cone.parse(cone)) if cone else KNOWN_ROUTES[name]

    @property
    def ware(self) -> Ware:
        """The pot."""
        facts = self.facts
        return Ware(
            clay=self._clay,
            coats=Coats.ALL_TOLD,
            layers=tuple(layer for text, name in self._coats for layer in _layers(text, name)),
            build=Build(facts["build"]) if facts["build"] else None,
            use=Use(facts["use"]) if facts["use"] else None,
            height_mm=_measure(facts["height_mm"]),
            width_mm=_measure(facts["width_mm"]),
            depth_mm=_measure(facts["depth_mm"]),
            fragile=facts["fragile"] == "yes",
            burnished=None if facts["burnished"] == "unknown" else facts["burnished"] == "yes",
            mended=facts["mended"] == "yes",
            fired_to=Cone.parse(self._fired[0]) if self._fired[0] else None,
            flaws=tuple(map(Flaw, self._fired[1])),
            weight_g=_measure(facts["weight_g"]),
            wall_mm=_measure(facts["wall_mm"]),
            vented=_SAID[facts["vented"]],
            dry=_SAID[facts["dry"]],
            foot=Foot(facts["foot"]) if facts["foot"] else None,
            catch_plate=facts["catch_plate"] == "yes",
            container_fits=_SAID[facts["container_fits"]],
            glazed_hours=float(facts["glazed_hours"]) if facts["glazed_hours"] else None,
            has_question=facts["question"] == "yes",
            supervised=facts["supervised"] == "yes",
        )

    @property
    def kiln(self) -> Kiln | None:
        """The kiln it is to stand in, where the row tells of one."""
        words = self.facts["kiln"].split()
        if not words:
            return None
        airs, rooms = list(Atmosphere), [word for word in words if word.startswith(_ROOMS)]
        return Kiln(
            name=_KILN_NAME,
            routes=frozenset({self.route.name}),
            outdoor="outdoor" in words,
            chamber=_room(rooms[0]) if rooms else None,
            atmosphere=next((air for air in airs if air in words), None),
            tongs_g=next((int(word.removeprefix("tongs:")) for word in words if word.startswith("tongs:")), None),
            containers=tuple(_room(word.removeprefix("holds:")) for word in words if word.startswith("holds:")),
        )

    @property
    def line(self) -> str | None:
        """The same question as a line for `footring judge`, or None where its keys cannot ask it."""
        facts = self.facts
        beyond = facts["mended"] or facts["glazed_hours"] or facts["question"] or "/" in facts["clay_cones"]
        if beyond or "=" in facts["layers"]:
            return None
        name, _, cone = facts["route"].partition("@")
        line: dict[str, Any] = {"piece": self._piece_as_json, "route": {"name": name, "cone": cone} if cone else name}
        if self.kiln is not None:
            line["kiln"] = _kiln_as_json(self.kiln)
        return json.dumps(line)

    @property
    def _piece_as_json(self) -> dict[str, Any]:
        facts = self.facts
        clay: dict[str, Any] = {"name": _CLAY_NAME, "kind": facts["clay"], **_cones_as_text(facts["clay_cones"])}
        if self._absorbs[0]:
            clay["absorption_pct"] = float(self._absorbs[0])
        if self._measured:
            clay["absorption"] = [
                {"cone": str(one.cone), "pct": one.pct, "method": one.method} for one in self._measured
            ]
        numbers = ("height_mm", "width_mm", "depth_mm", "weight_g", "wall_mm")
        return {
            "clay": clay,
            "layers": [layer for text, name in self._coats for layer in _layers_as_json(text, name)],
            "fragile": facts["fragile"] == "yes",
            "catch_plate": facts["catch_plate"] == "yes",
            "supervised": facts["supervised"] == "yes",
            "fired_to": self._fired[0] or None,
            **({"result": self._fired[1]} if self._fired[1] else {}),
            **{key: int(facts[key]) for key in numbers if facts[key]},
            **{key: facts[key] == "yes" for key in ("vented", "dry", "container_fits") if facts[key]},
            **({} if facts["burnished"] == "unknown" else {"burnished": facts["burnished"] == "yes"}),
            **{key: facts[key] for key in ("build", "use", "foot") if facts[key]},
        }

    @property
    def _fired(self) -> tuple[str, list[str]]:
        """The cone it was fired to, and the flaws that it came out with."""
        cone, _, flaws = self.facts["fired_to"].partition(" ")
        return cone, [flaw for flaw in flaws.split(",") if flaw]

    @property
    def _clay(self) -> Clay:
        facts = self.facts
        mature, _, stands = facts["clay_cones"].partition("/")
        low, high = _cones(mature)
        return Clay(
            name=_CLAY_NAME,
            kind=ClayKind(facts["clay"]),
            cone_low=low,
            cone_high=high,
            slumps_above=Cone.parse(stands) if stands else None,
            absorption_pct=float(self._absorbs[0]) if self._absorbs[0] else None,
            absorption=self._measured or None,
        )

    @property
    def _absorbs(self) -> tuple[str, list[str]]:
        """What the data sheet of the clay says that it absorbs, perhaps nothing, and its tests."""
        words = self.facts["absorption_pct"].split()
        tests = [word for word in words if ":" in word]
        return next((word for word in words if word not in tests), ""), tests

    @property
    def _measured(self) -> tuple[Absorption, ...]:
        """What tests of the clay measured."""
        return tuple(
            Absorption(cone=Cone.parse(cone), pct=float(pct), method=Soak(method))
            for method, _, rest in (word.partition(":") for word in self._absorbs[1])
            for cone, _, pct in [rest.partition("=")]
        )

    @property
    def _coats(self) -> list[tuple[str, str]]:
        texts = [text for text in self.facts["layers"].split("; ") if text]
        return list(zip(texts, _GLAZE_NAMES, strict=False))


def rows() -> list[Row]:
    """Every row of the table."""
    with TABLE.open(newline="", encoding="utf-8") as lines:
        return [Row(facts) for facts in csv.DictReader(lines)]


def _room(word: str) -> Room:
    shape, _, sizes = word.partition(":")
    lengths, _, free = sizes.partition("+")
    *across, height = map(int, lengths.split("x"))
    keys = ("round_mm",) if shape == "round" else ("width_mm", "depth_mm")
    return Room(height_mm=height, clearance_mm=int(free), **dict(zip(keys, across, strict=True)))


def _kiln_as_json(kiln: Kiln) -> dict[str, Any]:
    told = {
        "chamber": kiln.chamber and _room_as_json(kiln.chamber),
        "atmosphere": kiln.atmosphere,
        "tongs_g": kiln.tongs_g,
        "containers": [_room_as_json(room) for room in kiln.containers] or None,
    }
    return {"name": kiln.name, "outdoor": kiln.outdoor, **{key: one for key, one in told.items() if one is not None}}


def _room_as_json(room: Room) -> dict[str, int]:
    return {key: length for key, length in asdict(room).items() if length is not None}


def _measure(text: str) -> int | None:
    return int(text) if text else None


def _cones(text: str) -> tuple[Cone, Cone]:
    if not text:
        return LOWEST_HEAT
    low, _, high = text.partition("-")
    return Cone.parse(low), Cone.parse(high or low)


def _cones_as_text(text: str) -> dict[str, str]:
    low, _, high = text.partition("-")
    return {"cone_low": low, "cone_high": high or low} if text else {}


def _words(text: str) -> tuple[str, str, str, list[str], list[str]]:
    """Family, cones, food standing, zones and the further words of one coat."""
    if text == "outside":
        return "outside", "", "untested", ["outside"], []
    family, cones, food, zones, *more = text.split()
    return family, cones, food, zones.split(","), more


def _layers(text: str, name: str) -> list[Layer]:
    family, cones, food, zones, more = _words(text)
    low, high = _cones(cones)
    glaze = Glaze(
        name=name,
        family=Family(family),
        cone_low=low,
        cone_high=high,
        food=None if food == _UNSAID else FoodStanding(food),
        traits=frozenset(Trait(trait) for word in more if word[0] == "+" for trait in word[1:].split(",")),
        coat=next((Coat(word[1:]) for word in more if word[0] == "~"), Coat.GLAZE),
        metals=frozenset(_metals(more)),
        tests=tuple(_release_test(word) for word in more if "=" in word),
    )
    fired = next((Cone.parse(word[1:]) for word in more if word[0] == "@"), None)
    return [Layer(glaze, Zone(zone), fired) for zone in zones]


def _metals(more: list[str]) -> list[str]:
    return [metal for word in more if word[0] == "!" for metal in word[1:].split(",")]


def _release_test(word: str) -> ReleaseTest:
    metal, _, rest = word.partition("=")
    results, _, ware = rest.partition("/")
    ware, _, cone = ware.partition("@")
    specimens = results.split("+")
    return ReleaseTest(
        laboratory="Invented Assay",
        tested_on=date(2025, 11, 4),
        metal=Metal(metal),
        cone=Cone.parse(cone) if cone else None,
        unit=Unit.MG_L,
        results=tuple(Result.parse(one) for one in (specimens if len(specimens) > 1 else specimens * 6)),
        vessel=_VESSELS[ware],
    )


def _layers_as_json(text: str, name: str) -> list[dict[str, Any]]:
    family, cones, food, zones, more = _words(text)
    traits = [trait for word in more if word[0] == "+" for trait in word[1:].split(",")]
    standing = {} if food == _UNSAID else {"food": food}
    signs = {word[0]: word[1:] for word in more}
    coat = {"coat": signs["~"]} if "~" in signs else {}
    fired = {"fired": signs["@"]} if "@" in signs else {}
    metals = {"metals": _metals(more)} if _metals(more) else {}
    glaze = {"name": name, "family": family, "traits": traits, **metals, **standing, **coat, **_cones_as_text(cones)}
    return [{"glaze": glaze, "zone": zone, **fired} for zone in zones]
