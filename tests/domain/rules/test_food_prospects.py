"""Whether a clay can ever hold food here is told by why not, with clays that may."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.studio import a_clay, a_studio
from tracker.domain.message import Either
from tracker.domain.pieces.piece import Use, Ware
from tracker.domain.rules.food_prospects import Never, clays_never_for_food, never_for_food, why_never
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.materials import Clay, ClayKind

RED = a_clay("Roof Red", kind=ClayKind.EARTHENWARE, cone_low="06", cone_high="04", absorption_pct=12.0)
FIT = tuple(a_clay(f"Stone {letter}") for letter in "DCBA")


def a_shelf(*clays: Clay) -> Catalog:
    """A studio's catalog in which these are all the clays there are."""
    return replace(a_studio().catalog, clays={one.name: one for one in clays})


@pytest.mark.parametrize(
    ("facts", "why", "which"),
    [
        ({}, Never.POROUS, "none"),
        ({"kind": ClayKind.UNKNOWN}, Never.NAMELESS, "nameless"),
        ({"absorption_pct": None, "kind": ClayKind.STONEWARE}, Never.UNMEASURED, "unmeasured"),
    ],
    ids=["porous", "nameless", "not measured"],
)
def test_why_no_firing_makes_clay_fit_for_food(facts: dict[str, Any], why: Never, which: str) -> None:
    ware = Ware(clay=replace(RED, **facts), use=Use.FOOD)

    told = never_for_food(a_shelf(ware.clay), ware)

    assert why_never(a_shelf(ware.clay), ware) is why
    assert told is not None
    assert told == clays_never_for_food(a_shelf(ware.clay))["Roof Red"]
    assert told["which"] == which


def test_a_few_other_clays_are_named_those_of_its_kind_first_and_none_that_is_retired() -> None:
    red, (*others, gone) = replace(RED, name="Zinnia", absorption_pct=2.0), FIT

    told = clays_never_for_food(a_shelf(RED, *others, replace(gone, retired=True), red))

    assert {name: (one["which"], one["clays"]) for name, one in told.items()} == {
        "Roof Red": ("other", Either(("Zinnia", "Stone B", "Stone C")))
    }


def test_nothing_is_told_of_clay_that_may_hold_food_or_of_a_decorative_piece() -> None:
    fit, decorative = Ware(clay=FIT[0], use=Use.FOOD), Ware(clay=RED, use=Use.DECORATIVE)

    for ware in (fit, decorative):
        assert (why_never(a_shelf(ware.clay), ware), never_for_food(a_shelf(ware.clay), ware)) == (None, None)
