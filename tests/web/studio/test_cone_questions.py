"""The pages ask "04 or 4?", take the answer without script, and show who gave it."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from typing import Any

import pytest

from tests.studio import ADA, TOM
from tests.web.conftest import Room, Visitor
from tests.web.pieces.test_pages import words
from tests.web.studio.test_catalog_pages import in_queue, sent, still_water
from tracker.domain.cones import Cone
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.segments import Segment
from tracker.forms.entity import shown_entity
from tracker.forms.studio.studio_file import CATALOG
from tracker.usecases.firing import starting

CLAY = {"name": "Brick", "kind": "earthenware", "cone_low": "06", "cone_high": "4", "absorption_pct": "9"}
ROUTE = {"name": "slow-bisque", "title": "Slow bisque", "kind": "bisque", "cone": "5"}
LOW = {"family": "low-fire", "cone_low": "06", "cone_high": "4"}


@pytest.fixture
def ada(room: Room) -> Visitor:
    """The instructor at her desk."""
    return room.visit(ADA)


def asked_in(page: str) -> str:
    """The question that a page holds, as the form sends it back."""
    found = re.search(r'name="cone_asked" value="([^"]+)"', page)
    assert found is not None
    return found[1]


def answers_in(page: str) -> list[str]:
    """What can be answered, as the form sends it."""
    return re.findall(r'name="cone_meant" value="([^"]+)"', page)


@pytest.mark.parametrize(
    ("sort", "fields", "name", "offered", "title"),
    [
        ("glaze", LOW, "Tin Roof", ["cone_high 4 04", "cone_high 4 4"], "04 or 4?"),
        ("clay", CLAY, "Brick", ["cone_high 4 04", "cone_high 4 4"], "04 or 4?"),
        ("route", ROUTE, "slow-bisque", ["cone 5 05", "cone 5 5"], "05 or 5?"),
    ],
)
def test_a_form_asks_and_its_answer_is_kept_and_shown(
    room: Room, ada: Visitor, sort: str, fields: dict[str, str], name: str, offered: list[str], title: str
) -> None:
    form = sent(room, **fields)

    asked = ada.post(f"/catalog/{sort}", form)
    answer = {"cone_asked": asked_in(asked.text), "cone_meant": offered[0]}
    done = ada.post(f"/catalog/{sort}", form | answer)

    assert (asked.status_code, done.status_code) == (409, 303)
    assert title in words(asked)
    assert answers_in(asked.text) == offered
    thing = getattr(room.store.read.catalog(), sort)(name)
    fact, was, meant = offered[0].split()
    assert (getattr(thing, fact), thing.cones_checked) == (Cone.parse(meant), False)
    shown = words(ada.get(f"/catalog/{sort}/form?name={name}"))
    assert f"Cone {meant}," in shown
    assert f"was meant, not cone {was}," in shown
    assert f"Corrected by {ADA.name}, " in shown


def test_it_is_right_as_it_is_is_an_answer_too(room: Room, ada: Visitor) -> None:
    form = sent(room, **LOW)
    asked = ada.post("/catalog/glaze", form)

    ada.post("/catalog/glaze", form | {"cone_asked": asked_in(asked.text), "cone_meant": "cone_high 4 4"})

    glaze = room.store.read.catalog().glaze("Tin Roof")
    assert (glaze.cone_high, glaze.cones_checked) == (Cone.parse("4"), True)
    assert f"Confirmed by {ADA.name}, " in words(ada.get("/catalog/glaze/form?name=Tin+Roof"))


@pytest.mark.parametrize(
    "facts",
    [
        pytest.param({"cone_high": "6"}, id="another cone in the form"),
        pytest.param({"family": "outdoor"}, id="another family in the form"),
        pytest.param({"cone_meant": "cone_high 4 05"}, id="a cone that was not offered"),
        pytest.param({"cone_meant": "yes"}, id="no cone"),
        pytest.param({"cone_meant": "cone_high 4 40"}, id="no such cone"),
        pytest.param({"cone_meant": ""}, id="nothing picked"),
    ],
)
def test_an_answer_to_another_question_is_none(room: Room, ada: Visitor, facts: dict[str, Any]) -> None:
    form = sent(room, **LOW)
    asked = ada.post("/catalog/glaze", form)
    answer = {"cone_asked": asked_in(asked.text), "cone_meant": "cone_high 4 4"}

    again = ada.post("/catalog/glaze", form | answer | facts)

    assert again.status_code == 409
    assert "Tin Roof" not in room.store.read.catalog().glazes


def test_an_answer_stays_while_pieces_that_would_move_are_looked_at(room: Room, ada: Visitor) -> None:
    ref = in_queue(room)
    form = still_water(room, family="low-fire", cone_low="06", cone_high="4")
    asked = ada.post("/catalog/glaze", form)
    answer = {"cone_asked": asked_in(asked.text), "cone_meant": "cone_high 4 04"}

    moves = ada.post("/catalog/glaze", form | answer)
    done = ada.post("/catalog/glaze", form | answer | {"confirmed": "yes"})

    assert (asked.status_code, moves.status_code, done.status_code) == (409, 409, 303)
    assert ref in moves.text
    assert 'value="cone_high 4 04" id="cone_meant" checked' in moves.text
    assert room.piece(ref).stage is Stage.GLAZED
    assert room.store.read.catalog().glaze("Still Water").cone_high == Cone.parse("04")


def test_cones_from_before_there_were_questions_are_listed_until_somebody_answers(room: Room, ada: Visitor) -> None:
    with room.store.writing() as connection:
        connection.exec_driver_sql("UPDATE glazes SET family = 'low-fire' WHERE name = 'Wet Slate'")
        connection.exec_driver_sql("UPDATE house SET value = '7' WHERE name = 'catalog'")

    listed = words(ada.get("/catalog"))
    form = ada.get("/catalog/glaze/form?name=Wet+Slate")
    fields = still_water(room, old="Wet Slate", name="Wet Slate", food="untested", family="low-fire")
    answer = {"cone_asked": asked_in(form.text), "cone_meant": answers_in(form.text)[-1]}
    done = ada.post("/catalog/glaze", fields | answer)

    assert "Cones to check" in listed
    assert done.status_code == 303
    assert "Cones to check" not in words(ada.get("/catalog"))


@pytest.mark.parametrize("address", ["/firings", "/firings/plan"])
def test_a_bisque_to_cone_5_is_asked_about_before_it_begins(room: Room, address: str) -> None:
    tom = room.visit(TOM)
    form = {"at": "Front box / bisque", "target": "5"}

    asked = tom.post(address, form)
    none_began = room.store.read.firings.listed()
    done = tom.post(address, form | {"cone_asked": asked_in(asked.text), "cone_meant": "cone 5 05"})

    assert (asked.status_code, done.status_code) == (409, 303)
    assert "05 or 5?" in words(asked)
    assert '<option value="5" selected' in asked.text
    assert none_began == ()
    page = words(tom.get(done.headers["Location"]))
    assert "to cone 05," in page
    assert f"Corrected by {TOM.name}, " in page


def test_a_schedule_too_cool_for_its_cone_is_asked_about_and_names_the_firing_that_uses_it(
    room: Room, ada: Visitor
) -> None:
    route = room.store.read.catalog().routes["low-fire"]
    kiln = next(one.name for one in room.store.read.catalog().kilns.values() if one.serves(route))
    number = starting.start(room.store, room.asks(ADA), kiln, route.name, route.cone).extra["firing"]
    sent = shown_entity(CATALOG["route"], replace(route, segments=(Segment(100, 538), Segment(150, 573))))

    asked = ada.post("/catalog/route", {**sent, "old": route.name, "seen": room.store.read.version()})

    assert asked.status_code == 409
    text = html.unescape(asked.text)
    assert "Its schedule only goes to 573 °C" in text
    assert f"It's in use now: firing {number} in {kiln}." in text
    assert room.store.read.catalog().routes["low-fire"].segments == route.segments
