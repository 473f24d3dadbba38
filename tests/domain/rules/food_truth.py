"""The truth table of food: what may be said of a piece and food, written down by hand and apart from the code."""

from __future__ import annotations

import csv
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

TABLE = Path(__file__).parents[2] / "reference" / "food_truth.csv"

_GLAZE_NAMES = ("Still Water", "Plum Gloss", "Wet Slate")
_PASSED = {"+": True, "-": False, "?": None}


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table: a piece of stoneware in a firing, and what must be answered about food.

    `absorption` is blank where nobody asks, "[]" where it isn't known, or measurements such as "boil 5 2.0" (method,
    cone, percent) with commas between them. `layers` stand apart by "; ", the undermost first. Each is a zone, a
    family, its cones and its food standing ("?" where nobody has said); then perhaps "metals:lead,copper",
    "coat:overglaze", "fired:6" for a layer that was fired to that cone, and "tests:" with "none" or tests such as
    "Pb+@6/oxidation" (metal, passed "+", failed "-" or unsaid "?", cone, atmosphere).
    """

    facts: dict[str, str]

    @property
    def food(self) -> str:
        """What is known of the piece and food, in one word."""
        return self.facts["food"]

    @property
    def rules(self) -> set[str]:
        """The names of all rules that have something to say about food."""
        return set(self.facts["rules"].split())

    @property
    def line(self) -> str:
        """The question as a line for `footring judge`."""
        facts = self.facts
        low, _, high = facts["clay_cones"].partition("-")
        clay: dict[str, Any] = {"name": "Doorstep Buff", "kind": facts["clay"], "cone_low": low, "cone_high": high}
        if facts["absorption_pct"]:
            clay["absorption_pct"] = float(facts["absorption_pct"])
        if facts["absorption"]:
            clay["absorption"] = [_measured(one) for one in facts["absorption"].strip("[]").split(", ") if one]
        texts = [text for text in facts["layers"].split("; ") if text]
        layers = [_layer(text, name) for text, name in zip(texts, _GLAZE_NAMES, strict=False)]
        piece = {"clay": clay, "layers": layers, "use": facts["use"], "foot": "waxed"}
        if facts["fired_to"]:
            piece["fired_to"] = facts["fired_to"]
        name, _, cone = facts["route"].partition("@")
        line: dict[str, Any] = {"piece": piece, "route": {"name": name, "cone": cone} if cone else name}
        if facts["atmosphere"]:
            line["kiln"] = {"name": "Corner kiln", "atmosphere": facts["atmosphere"]}
        return json.dumps(line)


def rows() -> list[Row]:
    """Every row of the table."""
    with TABLE.open(newline="", encoding="utf-8") as lines:
        return [Row(facts) for facts in csv.DictReader(lines)]


def _measured(text: str) -> dict[str, Any]:
    method, cone, pct = text.split()
    return {"cone": cone, "pct": float(pct), "method": method}


def _layer(text: str, name: str) -> dict[str, Any]:
    zone, family, cones, food, *more = text.split()
    low, _, high = cones.partition("-")
    glaze: dict[str, Any] = {"name": name, "family": family, "cone_low": low, "cone_high": high}
    layer: dict[str, Any] = {"glaze": glaze, "zone": zone}
    if food != "?":
        glaze["food"] = food
    for word in more:
        key, _, told = word.partition(":")
        if key == "fired":
            layer[key] = told
            continue
        if key == "coat":
            glaze[key] = told
            continue
        several = [] if told == "none" else told.split(",")
        glaze[key] = [_test(one) for one in several] if key == "tests" else several
    return layer


def _test(text: str) -> dict[str, Any]:
    what, _, fired = text.partition("@")
    cone, _, atmosphere = fired.partition("/")
    told = {"metal": what[:-1], "passed": _PASSED[what[-1]], "cone": cone, "atmosphere": atmosphere}
    return {key: one for key, one in told.items() if one not in {None, ""}}
