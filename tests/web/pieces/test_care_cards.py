"""A care card tells where each glaze is, what touches food, and that smoked ware is porous."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tests.studio import INES, a_glaze
from tracker.domain.cones import Cone
from tracker.domain.pieces.piece import Stage, StepName, Use
from tracker.domain.studio.kilns import KNOWN_ROUTES
from tracker.domain.studio.materials import Coat, Layer, Zone
from tracker.usecases.labels.home_papers import card_of
from tracker.wording.reader import ANYONE

if TYPE_CHECKING:
    from tests.web.conftest import Room
    from tracker.domain.studio.materials import Glaze

WATER, SLATE, WAX = a_glaze("Still Water"), a_glaze("Wet Slate"), a_glaze("Foot wax", coat=Coat.WAX)


def card(room: Room, route: str, *layers: tuple[Glaze, Zone], use: Use = Use.FOOD) -> str:
    """The words on the card of a piece that came well out of such a firing in these coats."""
    ref = room.bisqued(INES, what="mug", use=use, clay="Middle Gray").ref
    page, studio = room.store.read.pieces.page(room.piece(ref).id), room.store.read.studio()
    cone = KNOWN_ROUTES[route].cone
    on = tuple(Layer(glaze, zone, cone) for glaze, zone in layers)
    piece = replace(page.piece, layers=on, stage=Stage.FIRED, fired_to=cone)
    fired = replace(page.history[-1], step=StepName.FIRE, route=route)
    known = replace(studio, catalog=replace(studio.catalog, routes=KNOWN_ROUTES))
    label = card_of(replace(page, row=replace(page.row, piece=piece), history=(*page.history, fired)), known, ANYONE)
    return "\n".join(part.text for part in label.parts)


@pytest.mark.parametrize(
    ("layers", "told"),
    [
        pytest.param(
            ((SLATE, Zone.OUTSIDE), (WATER, Zone.INSIDE), (WATER, Zone.LIP), (WAX, Zone.FOOT)),
            "; Still Water (inside and rim) and Wet Slate (outside); ",
            id="liner",
        ),
        pytest.param(
            ((SLATE, Zone.OUTSIDE), (WATER, Zone.OUTSIDE)), "; Still Water over Wet Slate (outside); ", id="one zone"
        ),
        pytest.param(((WATER, Zone.INSIDE), (WATER, Zone.OUTSIDE)), "; Still Water; ", id="one glaze"),
        pytest.param(((WAX, Zone.FOOT),), "; unglazed; ", id="wax alone"),
    ],
)
def test_glazes_are_told_with_their_zones_and_wax_that_burned_off_is_not(
    room: Room, layers: tuple[tuple[Glaze, Zone], ...], told: str
) -> None:
    assert told in card(room, "mid-range", *layers)


def test_a_soda_mug_without_a_liner_is_told_what_vapor_leaves_inside(room: Room) -> None:
    outer = a_glaze("Ash Skin", cone_low="9", cone_high="10")

    bare, lined = (card(room, "soda", (outer, zone)) for zone in (Zone.OUTSIDE, Zone.INSIDE))

    assert "Vapor leaves the inside unevenly glazed" in bare
    assert "Vapor leaves" not in lined


@pytest.mark.parametrize("route", ["raku", "horsehair", "pit"])
def test_smoked_ware_is_porous_on_its_card_even_where_there_is_no_room_for_more(room: Room, route: str) -> None:
    told = card(room, route, use=Use.DECORATIVE)

    assert "It's porous: keep it dry." in told
    assert "porous" not in card(room, "mid-range", (WATER, Zone.INSIDE), use=Use.DECORATIVE)


def test_a_mug_that_waits_for_its_kiln_has_its_glaze_firing_to_come(room: Room) -> None:
    ref = room.bisqued(INES, what="mug", use=Use.FOOD, clay="Middle Gray").ref
    page, studio = room.store.read.pieces.page(room.piece(ref).id), room.store.read.studio()
    waits = replace(page.piece, layers=(Layer(WATER, Zone.INSIDE),), stage=Stage.QUEUED, route="mid-range")
    waits = replace(waits, fired_to=Cone.parse("06"))

    label = card_of(replace(page, row=replace(page.row, piece=waits)), studio, ANYONE)

    says = "\n".join(part.text for part in label.parts)
    assert "It still needs its glaze firing." in says
    assert "Nothing on record" not in says


def test_two_tested_glazes_where_food_touches_are_the_first_of_what_was_not_tested(room: Room) -> None:
    told = card(room, "mid-range", (SLATE, Zone.INSIDE), (WATER, Zone.INSIDE))

    not_tested = told.partition("Not tested")[2].strip()
    assert not_tested.replace("\n", " ").startswith("· Food touches Wet Slate and Still Water.")
    assert "Food touches" not in card(room, "mid-range", (SLATE, Zone.OUTSIDE), (WATER, Zone.INSIDE))
