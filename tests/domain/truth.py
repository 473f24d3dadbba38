"""The truth table: what the studio's rules say of pieces on routes, written down by hand and apart from the code."""

from __future__ import annotations

import csv
import json
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from tracker.domain.cones import Cone
from tracker.domain.kilns import COMMON_ROUTES, Route
from tracker.domain.materials import (
    LOWEST_HEAT,
    Clay,
    ClayKind,
    Coat,
    Family,
    FoodStanding,
    Glaze,
    Layer,
    Metal,
    ReleaseTest,
    Trait,
    WareClass,
    Zone,
)
from tracker.domain.pieces import Build, Use, Ware

REFERENCE = Path(__file__).parents[1] / "reference"
TABLE = REFERENCE / "routing_truth.csv"

_CLAY_NAME = "Doorstep Buff"
_GLAZE_NAMES = ("Still Water", "Plum Gloss", "Wet Slate", "Paper Lamp", "Attic Window", "Copper Moth")


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table; `level` and `rules` are what the rules must answer.

    A row's `layers` stand apart by "; ". Each begins with its family, its cones, its food standing and its zones
    ("outside" alone is a glaze that nobody knows), then perhaps "+" and traits, "~" and the coat, or a release
    test such as "Pb=0.4+0.5/cups-and-mugs" (metal, mg/L of each specimen, sort of ware). A clay's cones "5-6/8" mean
    that it matures from 5 to 6 and stands 8. A route "raku@05" is fired to a cone of its own.
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
    def route(self) -> Route:
        """The way of firing, to its nominal cone or to its own."""
        name, _, cone = self.facts["route"].partition("@")
        return COMMON_ROUTES[name].at(Cone.parse(cone)) if cone else COMMON_ROUTES[name]

    @property
    def ware(self) -> Ware:
        """The pot."""
        facts = self.facts
        return Ware(
            clay=self._clay,
            layers=tuple(layer for text, name in self._coats for layer in _layers(text, name)),
            build=Build(facts["build"]) if facts["build"] else None,
            use=Use(facts["use"]),
            height_mm=_measure(facts["height_mm"]),
            width_mm=_measure(facts["width_mm"]),
            depth_mm=_measure(facts["depth_mm"]),
            fragile=facts["fragile"] == "yes",
            burnished=None if facts["burnished"] == "unknown" else facts["burnished"] == "yes",
            mended=facts["mended"] == "yes",
            fired_to=Cone.parse(facts["fired_to"]) if facts["fired_to"] else None,
        )

    @property
    def line(self) -> str | None:
        """The same question as a line for `footring judge`, or None where its keys cannot ask it."""
        facts = self.facts
        if facts["mended"] or "/" in facts["clay_cones"] or any(sign in facts["layers"] for sign in "~="):
            return None
        clay: dict[str, Any] = {"name": _CLAY_NAME, "kind": facts["clay"], **_cones_as_text(facts["clay_cones"])}
        if facts["absorption_pct"]:
            clay["absorption_pct"] = float(facts["absorption_pct"])
        piece: dict[str, Any] = {
            "clay": clay,
            "layers": [layer for text, name in self._coats for layer in _layers_as_json(text, name)],
            "use": facts["use"],
            "fragile": facts["fragile"] == "yes",
            "fired_to": facts["fired_to"] or None,
            **{key: int(facts[key]) for key in ("height_mm", "width_mm", "depth_mm") if facts[key]},
            **({} if facts["burnished"] == "unknown" else {"burnished": facts["burnished"] == "yes"}),
            **({"build": facts["build"]} if facts["build"] else {}),
        }
        name, _, cone = facts["route"].partition("@")
        return json.dumps({"piece": piece, "route": {"name": name, "cone": cone} if cone else name})

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
            absorption_pct=float(facts["absorption_pct"]) if facts["absorption_pct"] else None,
        )

    @property
    def _coats(self) -> list[tuple[str, str]]:
        texts = [text for text in self.facts["layers"].split("; ") if text]
        return list(zip(texts, _GLAZE_NAMES, strict=False))


def rows() -> list[Row]:
    """Every row of the table."""
    with TABLE.open(newline="", encoding="utf-8") as lines:
        return [Row(facts) for facts in csv.DictReader(lines)]


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
        food=FoodStanding(food),
        traits=frozenset(Trait(trait) for word in more if word[0] == "+" for trait in word[1:].split(",")),
        coat=next((Coat(word[1:]) for word in more if word[0] == "~"), Coat.GLAZE),
        tests=tuple(_release_test(word) for word in more if "=" in word),
    )
    return [Layer(glaze, Zone(zone)) for zone in zones]


def _release_test(word: str) -> ReleaseTest:
    metal, _, rest = word.partition("=")
    results, _, ware = rest.partition("/")
    return ReleaseTest(
        laboratory="Invented Assay",
        tested_on=date(2025, 11, 4),
        metal=Metal(metal),
        ware=WareClass(ware.replace("-", " ")),
        results_mg_l=tuple(map(float, results.split("+"))),
    )


def _layers_as_json(text: str, name: str) -> list[dict[str, Any]]:
    family, cones, food, zones, more = _words(text)
    traits = [trait for word in more if word[0] == "+" for trait in word[1:].split(",")]
    glaze = {"name": name, "family": family, "food": food, "traits": traits, **_cones_as_text(cones)}
    return [{"glaze": glaze, "zone": zone} for zone in zones]
