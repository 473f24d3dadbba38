"""A material stands the heat that is known of it."""

from __future__ import annotations

import csv
from itertools import pairwise

import pytest

from tests.domain.rules.truth import REFERENCE
from tests.studio import a_clay, a_glaze
from tracker.domain.cones import Cone
from tracker.domain.studio.materials import ClayKind, Coat, Family
from tracker.domain.studio.settings import COMMON_PRACTICE
from tracker.wording.render import read

# ANSI A137.1, ISO 13006 and ASTM C242; each row says itself how it is known.
CLASSES = REFERENCE / "absorption_classes.csv"


def test_the_food_limit_is_the_upper_bound_of_what_tile_makers_call_vitreous() -> None:
    with CLASSES.open(newline="", encoding="utf-8") as lines:
        classes = [row for row in csv.DictReader(lines) if row["scheme"].startswith("ANSI A137.1")]
    bounds = {row["class"]: row["up_to_pct"] for row in classes}

    assert float(bounds["vitreous"]) == COMMON_PRACTICE.food_absorption_pct
    for cooler, denser in pairwise(classes):
        assert cooler["up_to_pct"] == denser["above_pct"]


@pytest.mark.parametrize(("cone", "mature"), [("5", False), ("5.5", False), ("6", True), ("7", True), ("06", False)])
def test_clay_is_mature_from_its_lower_cone_on(cone: str, *, mature: bool) -> None:
    assert a_clay(cone_low="6", cone_high="8").is_mature_at(Cone.parse(cone)) is mature


def test_clay_stands_its_upper_cone_and_more_only_where_the_studio_has_said_so() -> None:
    assert a_clay(cone_low="5", cone_high="6").ceiling == Cone.parse("6")
    assert a_clay(cone_low="5", cone_high="6", slumps_above="8").ceiling == Cone.parse("8")


@pytest.mark.parametrize(
    ("said", "taken_for"),
    [(("9", "10"), ("06", "04")), (("06", "04"), ("06", "04")), (("05", "6"), ("06", "04")), (("012", "08"),) * 2],
)
def test_a_nameless_material_is_taken_for_the_lowest_firing_whatever_is_said_of_it(
    said: tuple[str, str], taken_for: tuple[str, str]
) -> None:
    low, high = said

    clay = a_clay("Box of scraps", kind=ClayKind.UNKNOWN, cone_low=low, cone_high=high, slumps_above="10")
    glaze = a_glaze("Jar from home", family=Family.OUTSIDE, cone_low=low, cone_high=high)

    assert (str(clay.cone_low), str(clay.cone_high), str(clay.ceiling)) == (*taken_for, taken_for[1])
    assert (str(glaze.cone_low), str(glaze.cone_high)) == taken_for


def test_an_overglaze_from_outside_is_taken_for_the_coolest_overglaze() -> None:
    # Lusters and china paints come out from cone 022 to 014 (common practice); hotter, they burn off.
    gold = a_glaze("Old gold", family=Family.OUTSIDE, coat=Coat.OVERGLAZE, cone_low="06", cone_high="04")

    assert (str(gold.cone_low), str(gold.cone_high)) == ("022", "014")


def test_a_range_of_cones_stands_beside_its_temperatures() -> None:
    assert read(a_glaze(cone_low="06", cone_high="04").cones) == "cone 06 to 04, 998 °C to 1,063 °C"
    assert read(a_glaze(cone_low="10", cone_high="10").cones) == "cone 10, 1,285 °C"


@pytest.mark.parametrize("family", Family, ids=str)
def test_only_an_outdoor_glaze_is_for_the_raku_kiln_alone(family: Family) -> None:
    assert a_glaze(family=family).is_outdoor_only is (family == "outdoor")
