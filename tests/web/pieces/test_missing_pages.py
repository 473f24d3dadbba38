"""A missing piece in the browser: its maker says so, and says that it is there; a scan of it asks about it."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta

from tests.studio import INES, TOM
from tests.web.conftest import Room
from tracker.domain.cones import Cone
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.materials import Zone
from tracker.usecases.firing import starting
from tracker.usecases.pieces import found_again, pieces, ware_shelves

JSON = {"Accept": "application/json"}


def test_its_maker_reports_a_piece_missing_staff_see_it_and_the_maker_has_it_after_all(room: Room) -> None:
    cup, ines, tom = room.bisqued(INES), room.visit(INES), room.visit(TOM)

    asked = ines.get(f"/p/{cup.ref}").text
    ines.post(f"/p/{cup.ref}/step", {"step": "lose", "cause": "missing", "ref": cup.ref})
    listed, told = tom.get("/shelves/missing").text, ines.get("/pieces").text
    ines.post(f"/p/{cup.ref}/step", {"step": "find", "ref": cup.ref})
    turned_up = tom.get("/shelves/missing").text

    assert re.search(r'<input type="checkbox" name="looked"[^>]* required', asked)
    assert cup.ref in listed
    assert "reported by its maker" in listed
    assert 'value="find"' in told
    assert "Found by its maker" in turned_up
    assert room.piece(cup.ref).stage is Stage.BISQUED


def test_marking_a_piece_as_lost_speaks_of_its_queue_only_where_it_is_in_one(room: Room) -> None:
    cup, waits, tom = room.bisqued(), room.bisqued(), room.visit(TOM)
    pieces.glaze(room.store, room.asks(TOM), waits.ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), waits.ref, "mid-range")

    asked = [tom.get(f"/p/{ref}").text.partition("Mark it as lost?")[2][:200] for ref in (cup.ref, waits.ref)]

    assert ["leaves its queue" in one for one in asked] == [False, True]


def test_a_lost_piece_that_is_scanned_asks_whether_it_was_found_and_goes_on_the_shelf_being_filled(room: Room) -> None:
    cup, tom = room.bisqued(), room.visit(TOM)
    pieces.lose(room.store, room.asks(TOM), cup.ref, Loss.MISSING)
    ware_shelves.add_shelf(room.store, room.asks(TOM), "rack 3")

    answer = tom.post("/scan", {"ref": cup.ref, "step": "shelve", "place": "rack 3"}, headers=JSON).get_json()
    found = tom.post(answer["found_url"], headers=JSON).get_json()

    assert not answer["ok"]
    assert found["ok"]
    assert (room.piece(cup.ref).stage, room.piece(cup.ref).place) == (Stage.BISQUED, "rack 3")


def test_a_lost_piece_at_the_kiln_is_a_stop_with_the_same_question(room: Room) -> None:
    cup, tom = room.bisqued(), room.visit(TOM)
    pieces.lose(room.store, room.asks(TOM), cup.ref, Loss.DISCARDED)
    firing = starting.start(room.store, room.asks(TOM), "Back box", "mid-range", Cone.parse("6")).extra["firing"]

    answer = tom.post(f"/firings/{firing}/in", {"ref": cup.ref}, headers=JSON).get_json()
    tom.post(answer["found_url"])

    assert not answer["ok"]
    assert room.piece(cup.ref).stage is Stage.BISQUED


def test_staff_mark_a_piece_as_found_on_the_list(room: Room) -> None:
    cup, tom = room.bisqued(), room.visit(TOM)
    pieces.lose(room.store, room.asks(TOM), cup.ref, Loss.MISSING)

    page = tom.post("/shelves/missing/found", {"ref": cup.ref}, follow_redirects=True).text

    assert room.piece(cup.ref).stage is Stage.BISQUED
    assert "Found by" in page


def test_a_found_piece_keeps_the_days_of_its_stages(room: Room) -> None:
    cup, ines = room.bisqued(INES), room.visit(INES)
    days = re.findall(r"<small>([^<]*)</small></li>", ines.get(f"/p/{cup.ref}").text)
    pieces.lose(room.store, room.asks(INES), cup.ref, Loss.MISSING)
    later = room.asks(INES)
    found_again.find(room.store, replace(later, at=later.at + timedelta(days=9)), cup.ref)

    assert days
    assert re.findall(r"<small>([^<]*)</small></li>", ines.get(f"/p/{cup.ref}").text) == days
