"""The pages of shelves: added, filled by an unknown label only once somebody says so, moved whole, and counted."""

from __future__ import annotations

import re

from tests.studio import ADA, INES, TOM
from tests.web.conftest import Room
from tracker.usecases.pieces import pieces, ware_shelves

JSON = {"Accept": "application/json"}


def test_an_unknown_label_is_asked_about_and_one_tap_adds_its_shelf(room: Room) -> None:
    cup, tom = room.bisqued(), room.visit(TOM)

    label = tom.post("/scan", {"ref": "S.rack 9", "step": "shelve"}, headers=JSON).get_json()
    piece = tom.post("/scan", {"ref": cup.ref, "step": "shelve", "place": "rack 9"}, headers=JSON).get_json()
    unplaced = room.piece(cup.ref).place
    added = tom.post("/scan", label["ways"][0]["fields"], headers=JSON).get_json()
    moved = tom.post("/scan", piece["ways"][0]["fields"], headers=JSON).get_json()

    assert (label["ok"], piece["ok"], unplaced) == (False, False, "")
    assert (added["ok"], added["place"], moved["ok"]) == (True, "rack 9", True)
    assert room.piece(cup.ref).place == "rack 9"


def test_a_piece_scanned_into_the_shelf_field_is_refused(room: Room) -> None:
    cup, dish, tom = room.bisqued(), room.bisqued(), room.visit(TOM)

    answer = tom.post("/scan", {"ref": cup.ref, "step": "shelve", "place": dish.ref, "new_shelf": "yes"}, headers=JSON)

    assert answer.status_code == 422
    assert room.piece(cup.ref).place == ""


def test_a_shelf_is_added_moved_and_removed_on_its_page(room: Room) -> None:
    cup, tom = room.bisqued(), room.visit(TOM)

    tom.post("/shelves/add", {"name": "rack 9"})
    pieces.shelve(room.store, room.asks(TOM), cup.ref, "rack 9")
    tom.post("/shelves/move", {"place": "rack 9", "to": "rack 10", "new_shelf": "yes"})
    tom.post("/shelves/remove", {"name": "rack 9"})

    assert room.piece(cup.ref).place == "rack 10"
    assert room.store.read.stocktakes.shelves() == ("rack 10",)


def test_everything_moved_to_a_shelf_goes_back_by_one_button_there_for_whoever_moved_it(room: Room) -> None:
    cups, tom = [room.bisqued(), room.bisqued()], room.visit(TOM)
    for cup in cups:
        pieces.shelve(room.store, room.asks(TOM), cup.ref, "rack 3")

    moved = tom.post("/shelves/move", {"place": "rack 3", "to": "board 12", "new_shelf": "yes"}, follow_redirects=True)
    (undo,) = re.findall(r'action="(/shelves/undo/\d+)"', moved.text)
    others = room.visit(ADA).get("/shelves?place=board+12").text
    back = tom.post(undo, {"place": "board 12"}, follow_redirects=True)

    assert {room.piece(cup.ref).place for cup in cups} == {"rack 3"}
    assert "/shelves/undo/" not in others + back.text
    assert back.request.args["place"] == "rack 3"


def test_a_shelf_is_counted_without_script_and_a_reload_loses_nothing(room: Room) -> None:
    here, gone, tom = room.bisqued(), room.bisqued(), room.visit(TOM)
    for piece in (here, gone):
        pieces.shelve(room.store, room.asks(TOM), piece.ref, "rack 3")

    page = tom.post("/shelves/stocktake", {"place": "rack 3"})
    tom.post(page.location, {"ref": here.ref})
    scanned = tom.get(page.location).text
    tom.post(f"{page.location}/end")
    ended = tom.get(page.location).text
    tom.post(f"{page.location}/missing", {"ref": gone.ref})

    assert "1 of 2 scanned" in scanned
    assert gone.ref in ended.partition('id="missing"')[2]
    assert [one.row.ref for one in room.store.read.shelves.missing(room.clock())] == [gone.ref]


def test_students_see_no_stocktake(room: Room) -> None:
    ware_shelves.add_shelf(room.store, room.asks(TOM), "rack 3")

    assert room.visit(INES).post("/shelves/stocktake", {"place": "rack 3"}).status_code == 403
    assert room.visit(INES).get("/shelves/stocktake/1").status_code == 403
