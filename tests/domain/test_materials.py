"""Release tests are judged by the published limits, and a material stands the heat that is known of it."""

from __future__ import annotations

import csv
from datetime import date
from itertools import pairwise
from statistics import fmean

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.truth import REFERENCE
from tests.studio import a_clay, a_glaze
from tracker.domain.cones import Cone
from tracker.domain.materials import (
    RELEASE_LIMITS_MG_L,
    ClayKind,
    Family,
    Metal,
    ReleaseTest,
    WareClass,
    range_in_words,
)
from tracker.domain.routing import COMMON_PRACTICE

# FDA CPG 545.450 (lead) and 545.400 (cadmium), mg/L in 4 % acetic acid after 24 hours. Each row says itself how it is
# known; the decision rules of lead are from memory.
LIMITS = REFERENCE / "release_limits.csv"

# ANSI A137.1, ISO 13006 and ASTM C242; each row says itself how it is known.
CLASSES = REFERENCE / "absorption_classes.csv"

CATEGORIES = {
    "flatware": WareClass.FLATWARE,
    "small hollowware (not cups/mugs)": WareClass.SMALL_HOLLOWWARE,
    "small hollowware": WareClass.SMALL_HOLLOWWARE,
    "large hollowware (not pitchers)": WareClass.LARGE_HOLLOWWARE,
    "large hollowware": WareClass.LARGE_HOLLOWWARE,
    "cups and mugs": WareClass.CUPS_AND_MUGS,
    "pitchers": WareClass.PITCHERS,
}


def _rows() -> list[dict[str, str]]:
    with LIMITS.open(newline="", encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def _test(metal: Metal, ware: WareClass, *results: float) -> ReleaseTest:
    return ReleaseTest(
        laboratory="Invented Assay", tested_on=date(2025, 11, 4), metal=metal, ware=ware, results_mg_l=results
    )


def test_the_limits_are_the_published_ones_and_where_none_is_published_the_stricter_hollowware() -> None:
    published = {(Metal(row["metal"]), CATEGORIES[row["category"]]): float(row["limit"]) for row in _rows()}

    # The cadmium guide has no rows for cups, mugs and pitchers; both are hollowware, of unknown size.
    stricter = min(
        published[Metal.CADMIUM, WareClass.SMALL_HOLLOWWARE], published[Metal.CADMIUM, WareClass.LARGE_HOLLOWWARE]
    )
    unpublished = {(Metal.CADMIUM, ware): stricter for ware in (WareClass.CUPS_AND_MUGS, WareClass.PITCHERS)}

    assert published | unpublished == RELEASE_LIMITS_MG_L
    assert len(published) == len(_rows()) == 8


@pytest.mark.parametrize("row", _rows(), ids=lambda row: f"{row['metal']} {row['category']}")
def test_the_figure_that_counts_is_the_one_the_guide_names(row: dict[str, str]) -> None:
    limit = float(row["limit"])
    specimens = (limit * 1.2, limit * 0.8, limit * 0.8, limit * 0.8, limit * 0.8, limit * 0.8)

    test = _test(Metal(row["metal"]), CATEGORIES[row["category"]], *specimens)

    by_the_guide = {"average of 6 units": fmean(specimens), "any one of 6 units": max(specimens)}[row["decision_rule"]]
    assert test.judged_mg_l == pytest.approx(by_the_guide)
    assert test.passed is (by_the_guide <= limit)


@pytest.mark.parametrize("ware", WareClass, ids=str)
@pytest.mark.parametrize("metal", Metal, ids=str)
def test_a_result_at_the_limit_passes_and_the_next_thousandth_does_not(metal: Metal, ware: WareClass) -> None:
    limit = RELEASE_LIMITS_MG_L[metal, ware]

    at, over = _test(metal, ware, limit), _test(metal, ware, limit + 0.001)

    assert at.passed
    assert not over.passed
    assert at.limit_mg_l == limit


@given(st.lists(st.integers(0, 3000), min_size=3, max_size=3))
def test_an_average_at_the_limit_passes_whatever_specimens_make_it(offsets: list[int]) -> None:
    thousandths = [3000 + sign * offset for offset in offsets for sign in (1, -1)]

    test = _test(Metal.LEAD, WareClass.FLATWARE, *(one / 1000 for one in thousandths))

    assert test.judged_mg_l == 3.0
    assert test.passed


def test_metals_are_named_in_words_for_people() -> None:
    assert [metal.in_words for metal in Metal] == ["lead", "cadmium"]


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


def test_a_range_of_cones_stands_beside_its_temperatures() -> None:
    assert range_in_words(Cone.parse("06"), Cone.parse("04")) == "cone 06 to 04, 998 to 1063 °C"
    assert a_glaze(cone_low="10", cone_high="10").range_in_words == "cone 10, 1285 °C"


@pytest.mark.parametrize("family", Family, ids=str)
def test_only_an_outdoor_glaze_is_for_the_raku_kiln_alone(family: Family) -> None:
    assert a_glaze(family=family).is_outdoor_only is (family == "outdoor")
