"""Bars of the scan sheet, and scanners on other keyboards, as a page takes them from a browser without script."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.staffed import started
from tests.studio import ADA, INES, TOM
from tests.web.conftest import Room, Visitor
from tests.web.pieces.test_scan_pages import scan, with_shelves
from tracker.domain.labels.keyboards import Layout, as_typed
from tracker.domain.labels.studio_bars import Sort, bar_text
from tracker.domain.labels.trial_bars import TrialBar
from tracker.domain.pieces.command_bars import command_text
from tracker.domain.pieces.piece import Stage
from tracker.usecases.firing import firings
from tracker.usecases.labels.command_bars import Does, commands_of

if TYPE_CHECKING:
    from werkzeug.test import TestResponse

SCAN = {"step": "wax", "route": "", "cause": ""}


def bar_of(room: Room, does: Does, value: str) -> str:
    """The text of the bar that does this."""
    return next(text for text, one in commands_of(room.store.read).items() if (one.does, one.value) == (does, value))


def sent(visitor: Visitor, ref: str, **fields: str) -> TestResponse:
    """A scan as a browser without script sends it."""
    return visitor.post("/scan", {**SCAN, "ref": ref, **fields})


def set_up(visitor: Visitor, layout: Layout) -> TestResponse:
    """Scan the three test bars at a computer with this layout."""
    arrived = {bar.value: as_typed(bar.text, layout) for bar in TrialBar}
    return visitor.post("/scanner", {**arrived, "ref": arrived["signs"], "ending": "enter"})


def test_a_bar_changes_the_step_and_the_shelf_and_undoes_the_last_scan(room: Room) -> None:
    with_shelves(room, "rack y")
    piece, tom = room.bisqued(), room.visit(TOM)

    to_shelf = sent(tom, bar_of(room, Does.SHELF, "rack y").lower())
    assert to_shelf.location == "/scan?step=wax&place=rack+y"
    to_step = sent(tom, f"]C1{bar_of(room, Does.STEP, 'queue low-fire')}", place="rack y")
    assert to_step.location == "/scan?step=queue&route=low-fire&place=rack+y"

    sent(tom, piece.ref)
    assert room.piece(piece.ref).stage is Stage.WAXED
    sent(tom, bar_of(room, Does.UNDO, ""))
    assert room.piece(piece.ref).stage is Stage.BISQUED


def test_the_undo_bar_stops_where_another_step_was_scanned_before(room: Room) -> None:
    waxed, gone, tom = room.bisqued(), room.bisqued(), room.visit(TOM)
    sent(tom, gone.ref, step="lose", cause="missing")
    sent(tom, waxed.ref)

    for _bar in range(3):
        sent(tom, bar_of(room, Does.UNDO, ""))

    assert room.piece(waxed.ref).stage is Stage.BISQUED
    assert room.piece(gone.ref).stage is Stage.LOST


@pytest.mark.parametrize(
    ("does", "value", "there"),
    [
        (Does.STEP, "queue raku", "/scan?step=queue&route=raku"),
        (Does.SHELF, "rack y", "/shelves?place=rack+y"),
        (Does.KILN, "Back box", "/firings?at=Back+box"),
    ],
)
def test_a_bar_that_is_scanned_anywhere_opens_its_page(room: Room, does: Does, value: str, there: str) -> None:
    with_shelves(room, "rack y")

    assert room.visit(TOM).get(f"/find?q={bar_of(room, does, value)}").location == there


def test_a_kilns_bar_opens_its_load_and_once_it_is_hot_its_unloading(room: Room) -> None:
    tom, bar = room.visit(TOM), bar_of(room, Does.KILN, "Front box")
    number, piece = started(room.store, "Front box", "bisque", "06"), room.greenware()
    firings.put_in(room.store, room.asks(TOM), number, piece.ref)

    assert tom.get(f"/find?q={bar}").location == f"/firings/{number}"
    firings.light(room.store, room.asks(TOM), number)
    assert tom.get(f"/find?q={bar}").location == f"/firings/{number}/unload"


def test_what_a_bar_cannot_do_here_is_said_and_a_bar_from_elsewhere_too(room: Room) -> None:
    tom = room.visit(TOM)

    for text in (bar_of(room, Does.RESULT, "crazed"), command_text("what nobody here has")):
        assert tom.get(f"/find?q={text}").status_code == 404
        status, answer = scan(tom, text, "wax")
        assert (status, answer["ok"]) == (404, False)
    assert room.visit(INES).get(f"/find?q={bar_of(room, Does.UNDO, '')}").status_code == 200


def test_a_station_that_was_set_up_reads_labels_and_tickets_of_its_scanner(room: Room) -> None:
    with_shelves(room, "rack y", "rack z")
    slip, tom = room.greenware().ref, room.visit(TOM)

    page = set_up(tom, Layout.FRENCH)
    assert "French" in page.text

    answer = scan(tom, as_typed(bar_text(Sort.SHELF, "rack y"), Layout.FRENCH), "shelve")[1]
    assert (answer["ok"], answer["place"]) == (True, "rack y")
    answer = scan(tom, as_typed(slip, Layout.FRENCH), "shelve", place="rack z")[1]
    assert (answer["ok"], answer["code"], room.piece(slip).place) == (True, slip, "rack z")

    tom.post("/scanner/forget", {})
    assert not scan(tom, as_typed(slip, Layout.FRENCH), "shelve", place="rack y")[1]["ok"]


def test_where_nobody_set_the_scanner_up_a_code_is_read_and_what_has_no_check_symbol_is_asked(room: Room) -> None:
    with_shelves(room, "rack y", "rack z")
    slip, piece, tom = room.greenware().ref, room.bisqued(), room.visit(TOM)

    answer = scan(tom, as_typed(f"]C1{piece.ref}", Layout.FRENCH), "wax")[1]
    assert (answer["ok"], answer["code"]) == (True, piece.ref)

    for text, meant in (
        (as_typed(slip, Layout.FRENCH), slip),
        (as_typed(bar_text(Sort.SHELF, "rack y"), Layout.GERMAN), "S.rack y"),
        (as_typed(bar_text(Sort.SHELF, "rack y"), Layout.FRENCH), "S.rack y"),
    ):
        answer = scan(tom, text, "shelve", place="rack z")[1]
        assert not answer["ok"]
        way = next(one["fields"] for one in answer["ways"] if one["fields"]["ref"] == meant)
        assert tom.post("/scan", way, headers={"Accept": "application/json"}).get_json()["ok"]


def test_the_search_box_asks_about_a_ticket_and_a_shelf_of_another_keyboard(room: Room) -> None:
    with_shelves(room, "rack y")
    slip, tom = room.greenware().ref, room.visit(TOM)

    assert f"/slip/{slip[1:]}" in tom.get("/find", query_string={"q": as_typed(slip, Layout.FRENCH)}).text
    assert (
        "place=rack"
        in tom.get("/find", query_string={"q": as_typed(bar_text(Sort.SHELF, "rack y"), Layout.FRENCH)}).text
    )


def test_a_label_scanned_into_the_shelf_field_is_read_at_a_station_that_was_set_up(room: Room) -> None:
    with_shelves(room, "rack y")
    piece, tom = room.bisqued(), room.visit(TOM)
    set_up(tom, Layout.FRENCH)

    scan(tom, piece.ref, "wax", place=as_typed(bar_text(Sort.SHELF, "rack y"), Layout.FRENCH))

    assert room.piece(piece.ref).place == "rack y"


@pytest.mark.parametrize(
    ("ending", "sign"), [("enter", "good"), ("tab", "good"), ("none", "stop")], ids=["enter", "tab", "nothing"]
)
def test_the_set_up_page_says_how_a_bar_ends_and_what_comes_before_it(room: Room, ending: str, sign: str) -> None:
    page = room.visit(TOM).post("/scanner", {"ref": f"]C1{TrialBar.DIGITS.text}", "ending": ending}).text

    assert page.count(f'class="sign {sign}"') == (3 if sign == "good" else 1)
    assert "]C1" in page


def test_the_set_up_page_asks_to_turn_off_caps_lock_and_keeps_nothing_that_fits_no_keyboard(room: Room) -> None:
    ada = room.visit(ADA)
    locked = {bar.value: bar.text.swapcase() for bar in TrialBar}

    assert "Caps Lock" in ada.post("/scanner", {**locked, "ref": locked["letters"]}).text
    mixed = {"letters": as_typed(TrialBar.LETTERS.text, Layout.GERMAN), "digits": "&é\"'(-è_çà"}
    ada.post("/scanner", {**mixed, "signs": "", "ref": TrialBar.SIGNS.text})
    assert ada.client.get_cookie("footring_keys") is None
    assert "“K7R43”" in ada.post("/scanner", {"ref": "K7R43"}).text
