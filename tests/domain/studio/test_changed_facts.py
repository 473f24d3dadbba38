"""What a change makes of each fact that matters is told from what to what."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.reading import said
from tests.studio import a_clay, a_glaze, a_route, a_test
from tracker.domain.cones import Cone
from tracker.domain.message import Message
from tracker.domain.studio.absorption import Weighing
from tracker.domain.studio.changed_facts import changed_facts, changed_settings
from tracker.domain.studio.changed_tests import changed_tests
from tracker.domain.studio.kilns import Atmosphere, Fuel, Kiln, Room
from tracker.domain.studio.leach_limits import Regime, WareClass
from tracker.domain.studio.leach_tests import VesselKind
from tracker.domain.studio.materials import ClayKind, Family, FoodStanding, Trait
from tracker.domain.studio.settings import COMMON_PRACTICE

KILN = Kiln(name="Cask", routes=frozenset({"bisque"}))


@pytest.mark.parametrize(
    ("old", "facts", "says"),
    [
        pytest.param(
            a_glaze(family=Family.LOW_FIRE, cone_low="06", cone_high="04"),
            {"cone_high": Cone.parse("4")},
            ["top cone 04 → 4 (1,063 °C → 1,162 °C)"],
            id="04 to 4",
        ),
        pytest.param(
            a_glaze(),
            {"family": Family.HIGH_FIRE, "food": FoodStanding.UNTESTED, "traits": frozenset({Trait.RUNNY})},
            ["family mid-range → high-fire", "food declared → untested", "traits none → runny"],
            id="family, food and traits",
        ),
        pytest.param(
            replace(KILN, chamber=Room(height_mm=600, round_mm=500)),
            {"chamber": Room(height_mm=600, round_mm=450), "place": "yard", "fuel": Fuel.GAS},
            ["place blank → yard", "fuel blank → gas", "chamber diameter 500 mm → 450 mm"],
            id="a kiln's inside",
        ),
        pytest.param(a_glaze(metals=frozenset({"Cu"})), {"metals": frozenset()}, ["metals Cu → none"], id="metals"),
        pytest.param(
            a_clay(slumps_above=None),
            {"kind": ClayKind.GROGGED, "slumps_above": Cone.parse("12"), "absorption_pct": 4.0},
            ["kind stoneware → grogged", "slumps above blank → cone 12, 1,306 °C", "absorption 1.5% → 4%"],
            id="a clay's kind, slumping and absorption",
        ),
        pytest.param(
            a_route("bisque"), {"cone": Cone.parse("04")}, ["cone 06 → 04 (998 °C → 1,063 °C)"], id="a firing type"
        ),
        pytest.param(
            KILN,
            {"atmosphere": Atmosphere.REDUCTION, "outdoor": True},
            ["outdoors no → yes", "atmosphere blank → reduction"],
            id="a kiln",
        ),
        pytest.param(a_glaze(), {"bucket": "shelf 9"}, [], id="where its bucket is decides nothing"),
    ],
)
def test_each_changed_fact_that_matters_is_told(old: Any, facts: dict[str, Any], says: list[str]) -> None:  # noqa: ANN401 -- a thing of any sort
    assert [said(one) for one in changed_facts(old, replace(old, **facts))] == says


def test_each_setting_that_changes_is_told_from_what_to_what() -> None:
    logs = replace(COMMON_PRACTICE.logs, gap_times=7, hottest_c=1_500)
    ends, fires = replace(COMMON_PRACTICE.terms, remove_after_months=1), replace(COMMON_PRACTICE.fires, leeway=1.5)
    after = replace(COMMON_PRACTICE, food_absorption_pct=1.0, regime=Regime.EU, logs=logs, terms=ends, fires=fires)

    told = [said(one) for one in changed_settings(COMMON_PRACTICE, after)]

    assert told[0].startswith("lead and cadmium limits ")
    assert told[1] == "food absorption 3% → 1%"
    for says in ("→ 7 times", "0 months → 1 month", "→ 1.5 times"):
        assert any(one.endswith(says) for one in told)
    assert any(one.endswith("→ 1,500 °C") for one in told)


def test_the_tests_of_a_glaze_and_the_specimens_of_a_clay_are_named_that_went_and_that_came() -> None:
    mug, plate = a_test(), a_test(*[2.9] * 6, kind=VesselKind.TABLEWARE, depth_mm=20)
    dense = Weighing(dry_g=100, saturated_g=102, cone=Cone.parse("6"))

    of_glaze = changed_tests(a_glaze(tests=(mug,)), a_glaze(tests=(plate,)))
    of_clay = changed_tests(a_clay(), replace(a_clay(), weighings=(dense,)))

    assert [(one["how"], test["ware"]) for one in of_glaze if isinstance(test := one["test"], Message)] == [
        ("gone", WareClass.CUPS_AND_MUGS),
        ("came", WareClass.FLATWARE),
    ]
    assert [(one["how"], test["cone"]) for one in of_clay if isinstance(test := one["test"], Message)] == [
        ("came", dense.cone)
    ]
