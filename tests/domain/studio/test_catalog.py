"""Things are found by name in any case, and a name that is not there is answered with the nearest ones."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.reading import said
from tests.studio import a_clay, a_glaze, a_route, a_studio
from tracker.domain.refusals import Unknown
from tracker.domain.studio.catalog import Catalog

SHELF = Catalog(
    clays={"Doorstep Buff": a_clay()},
    glazes={name: a_glaze(name) for name in ("Still Water", "Still Winter", "Plum Gloss")},
    routes={},
    kilns={},
)


@pytest.mark.parametrize("written", ["Still Water", "still water", "STILL WATER", "  Still Water ", "stiLL wateR"])
def test_a_name_is_found_in_whatever_case(written: str) -> None:
    assert SHELF.glaze(written).name == "Still Water"


def test_an_exact_name_goes_before_one_that_differs_by_case() -> None:
    shelf = replace(SHELF, glazes={"plum": a_glaze("plum"), "Plum": a_glaze("Plum")})

    assert shelf.glaze("Plum").name == "Plum"
    assert shelf.glaze("plum").name == "plum"


def test_a_slip_of_the_pen_is_answered_with_the_nearest_names() -> None:
    with pytest.raises(Unknown) as refusal:
        SHELF.glaze("Stil Watter")

    assert said(refusal.value.message) == "There is no glaze called “Stil Watter” here."
    assert said(refusal.value.remedy) == "Did you mean Still Water or Still Winter?"


def test_a_name_like_no_other_is_answered_with_how_many_there_are() -> None:
    with pytest.raises(Unknown) as refusal:
        SHELF.glaze("Zzz")

    assert said(refusal.value.remedy) == "Choose from the 3 listed."


def test_an_empty_shelf_says_that_it_is_empty() -> None:
    with pytest.raises(Unknown) as refusal:
        SHELF.kiln("Old Bess")

    assert (said(refusal.value.message), said(refusal.value.remedy)) == (
        "There is no kiln called “Old Bess” here.",
        "No kiln has been entered yet.",
    )


def test_a_very_long_name_is_cut_short_in_the_answer() -> None:
    with pytest.raises(Unknown) as refusal:
        SHELF.clay("x" * 5_000)

    assert said(refusal.value.message) == f"There is no clay called “{'x' * 60}…” here."


def test_every_kind_of_thing_is_found_by_its_name() -> None:
    catalog = a_studio().catalog

    assert catalog.clay("doorstep buff").name == "Doorstep Buff"
    assert catalog.route("RAKU").name == "raku"
    assert {catalog.kiln(name).name for name in catalog.kilns} == set(catalog.kilns)


def test_routes_stand_from_cool_to_hot_and_glazed_ones_leave_out_what_takes_no_glaze() -> None:
    catalog = a_studio().catalog

    by_heat = [route.name for route in catalog.routes_by_heat]
    glazed = [route.name for route in catalog.glazed_routes]

    assert by_heat == ["horsehair", "bisque", "raku", "low-fire", "mid-range", "high-fire"]
    assert glazed == ["raku", "low-fire", "mid-range", "high-fire"]


def test_a_route_made_hotter_by_the_studio_moves_down_the_list() -> None:
    routes = {"raku": a_route("raku", "03"), "low-fire": a_route("low-fire")}

    assert [route.name for route in replace(SHELF, routes=routes).routes_by_heat] == ["low-fire", "raku"]
