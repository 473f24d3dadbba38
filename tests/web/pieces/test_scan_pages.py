"""Scan and move: the step picked once, piece after piece scanned, each answered in its line, the last taken back."""

from __future__ import annotations

import re
from threading import Thread
from typing import TYPE_CHECKING, Any
from uuid import uuid4

import pytest
from werkzeug.serving import make_server

from tests.staffed import started
from tests.studio import ADA, INES, TOM
from tests.web.conftest import PASSWORD, Room, Visitor
from tests.web.pieces.test_pickup_pages import fired
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.piece import Stage, Use
from tracker.domain.studio.materials import Zone
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pieces, ware_shelves
from tracker.usecases.rules import questions

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

    from tracker.domain.pieces.piece import Piece

JSON = {"Accept": "application/json"}


def scan(visitor: Visitor, ref: str, step: str, **fields: str) -> tuple[int, dict[str, Any]]:
    """One scan as the page's script sends it: the status and the answer."""
    answer = visitor.post("/scan", {"ref": ref, "step": step, **fields}, headers=JSON)
    return answer.status_code, answer.get_json()


def with_shelves(room: Room, *names: str) -> None:
    """These shelves are known before anything is on them."""
    for name in names:
        ware_shelves.add_shelf(room.store, room.asks(TOM), name)


def glazed(room: Room, *glazes: str, **facts: Any) -> Piece:  # noqa: ANN401 -- any fact of a piece
    """A piece that wears these glazes."""
    piece = room.bisqued(**facts)
    for name in glazes:
        pieces.glaze(room.store, room.asks(TOM), piece.ref, name, Zone.OUTSIDE)
    return room.piece(piece.ref)


def test_the_steps_to_pick_from_are_cool_to_hot_with_their_heat(room: Room) -> None:
    page = room.visit(TOM).get("/scan").text

    places = [
        page.index(f"step=queue&amp;route={name}") for name in ("horsehair", "low-fire", "mid-range", "high-fire")
    ]
    assert places == sorted(places)
    assert "to cone 04, 1,063 °C, low-fire range" in page.replace("To cone", "to cone")


def test_a_scan_for_a_step_that_nobody_knows_asks_for_the_step_again(room: Room) -> None:
    page = room.visit(TOM).get("/scan?step=queue&route=nowhere").text

    assert "Choose a step" in page


def test_a_scanned_piece_is_moved_and_its_line_can_be_taken_back(room: Room) -> None:
    piece, tom = room.bisqued(), room.visit(TOM)
    with_shelves(room, "B2")

    status, answer = scan(tom, piece.ref.lower(), "wax", place="B2")

    assert (status, answer["ok"], answer["word"], answer["code"]) == (200, True, "Waxed", piece.ref)
    assert (room.piece(piece.ref).stage, room.piece(piece.ref).place) == (Stage.WAXED, "B2")
    undone = tom.post(answer["undo_url"], headers=JSON).get_json()
    assert undone["word"] == "Undone"
    assert room.piece(piece.ref).stage is Stage.BISQUED


def test_the_address_in_a_tag_is_as_good_as_its_code(room: Room) -> None:
    piece = room.bisqued()

    _, answer = scan(room.visit(TOM), f"https://studio.example/p/{piece.ref}", "wax")

    assert answer["code"] == piece.ref
    assert room.piece(piece.ref).stage is Stage.WAXED


def test_the_same_scan_sent_twice_happens_once(room: Room) -> None:
    piece, tom = room.bisqued(), room.visit(TOM)
    fields = {"ref": piece.ref, "step": "wax", "key": str(uuid4())}

    first = tom.post("/scan", fields, headers=JSON).get_json()
    second = tom.post("/scan", fields, headers=JSON).get_json()

    assert first == second
    assert room.piece(piece.ref).version == piece.version + 1


def test_a_piece_scanned_once_more_is_said_to_be_there_already(room: Room) -> None:
    piece, tom = room.bisqued(), room.visit(TOM)
    scan(tom, piece.ref, "wax")

    status, answer = scan(tom, piece.ref, "wax")

    assert (status, answer["again"]) == (200, True)
    assert answer["says"] == f"{piece.ref}, tall cup is already waxed. Nothing was changed."
    assert room.piece(piece.ref).version == piece.version + 1


def test_a_low_fire_glaze_scanned_for_the_high_fire_queue_is_sent_to_its_own_shelf(room: Room) -> None:
    piece, tom = glazed(room, "Plum Gloss"), room.visit(TOM)

    status, answer = scan(tom, piece.ref, "queue", route="high-fire")

    assert (status, answer["ok"], answer["word"]) == (409, False, "Never")
    assert "Plum Gloss" in answer["says"]
    assert answer["mend"] == "Put it on the Low-fire shelf."
    assert room.piece(piece.ref).stage is Stage.GLAZED


def test_a_warning_is_accepted_by_name_from_its_line(room: Room) -> None:
    piece, tom = glazed(room, "Wet Slate", use=Use.FOOD), room.visit(TOM)

    _, warned = scan(tom, piece.ref, "queue", route="mid-range")
    _, accepted = scan(tom, piece.ref, "queue", route="mid-range", accepts=warned["needs"][0]["rule"])

    assert [need["rule"] for need in warned["needs"]] == ["untested-for-food"]
    assert accepted["ok"]
    assert room.store.read.pieces.waiting()[0].accepted == ("untested-for-food",)


def test_what_the_instructor_must_allow_leads_to_the_question_and_goes_on_after_the_answer(room: Room) -> None:
    piece, tom = glazed(room, "Attic Window", use=Use.FOOD), room.visit(TOM)

    status, held = scan(tom, piece.ref, "queue", route="mid-range")
    asked = questions.ask(room.store, room.asks(TOM), piece.ref, "", route="mid-range")
    questions.answer(room.store, room.asks(ADA), int(asked.extra["question"]), "For dry food only.", allows=True)
    _, queued = scan(tom, piece.ref, "queue", route="mid-range")

    assert (status, held["word"]) == (409, "Ask")
    assert "ask the instructor" in held["mend"]
    assert held["piece_url"] == f"/p/{piece.ref}?route=mid-range#ask"
    assert queued["ok"]


@pytest.mark.parametrize("text", ["K7R4", "", "hello world", "ẞ€", "K7R43\nK7R43"])
def test_what_is_no_code_is_answered_in_one_sentence_and_moves_nothing(room: Room, text: str) -> None:
    status, answer = scan(room.visit(TOM), text, "wax")

    assert status in {404, 422}
    assert answer["says"]
    assert answer["undo_url"] is None


def test_a_mistyped_code_is_answered_with_the_piece_it_was_meant_to_be(room: Room) -> None:
    piece = room.bisqued(what="tall vase")

    _, answer = scan(room.visit(TOM), piece.ref[:4], "wax")

    assert f"{piece.ref}, the tall vase by Ines P." in answer["mend"]


def test_a_lost_piece_keeps_its_cause_and_is_found_again(room: Room) -> None:
    piece, tom = room.bisqued(), room.visit(TOM)

    _, lost = scan(tom, piece.ref, "lose", cause="missing")
    _, found = scan(tom, piece.ref, "find")

    assert lost["says"] == f"{piece.ref}, tall cup: missing."
    assert found["ok"]
    assert room.piece(piece.ref).stage is Stage.BISQUED


def test_without_script_the_answer_waits_on_the_page_one_comes_back_to(room: Room) -> None:
    good, wrong, tom = glazed(room, "Iron Gate"), glazed(room, "Plum Gloss"), room.visit(TOM)
    job = {"step": "queue", "route": "high-fire", "place": "A1"}
    with_shelves(room, "A1")

    back = tom.post("/scan", {**job, "ref": good.ref})
    tom.post("/scan", {**job, "ref": wrong.ref})
    page = tom.get(back.location).text
    again = tom.get(back.location).text

    assert (back.status_code, back.location) == (303, "/scan?step=queue&route=high-fire&place=A1")
    lines = re.findall(r'<li class="scan-line (\w+)"', page)
    assert lines[:2] == ["stop", "good"]
    assert "Put it on the Low-fire shelf." in page
    assert 'name="place" type="text" value="A1"' in page
    assert "scan-line stop" not in again


def test_without_script_a_warning_is_accepted_and_the_last_step_undone_from_their_lines(room: Room) -> None:
    piece, tom = glazed(room, "Wet Slate", use=Use.FOOD), room.visit(TOM)
    here = "/scan?step=queue&route=mid-range"
    tom.post("/scan", {"step": "queue", "route": "mid-range", "ref": piece.ref})
    line = tom.get(here).text.partition("data-scan-accept>")[2].partition("</form>")[0]
    fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', line))

    tom.post("/scan", {name: fields[name] for name in ("step", "route", "ref", "accepts")})
    queued = room.piece(piece.ref)
    [undo] = re.findall(r'action="(/scan/undo/[^"]+)" data-scan-undo', tom.get(here).text)
    back = tom.post(undo.replace("&amp;", "&"))

    assert queued.stage is Stage.QUEUED
    assert back.location == here
    assert room.piece(piece.ref).stage is Stage.GLAZED
    assert 'class="scan-line undone"' in tom.get(here).text


def test_nobody_takes_back_what_somebody_else_did(room: Room) -> None:
    piece = room.bisqued()
    _, answer = scan(room.visit(TOM), piece.ref, "wax")

    refused = room.visit(ADA).post(answer["undo_url"], headers=JSON)

    assert (refused.status_code, refused.get_json()["says"]) == (403, "Someone else took that step.")
    assert room.piece(piece.ref).stage is Stage.WAXED


def test_a_student_moves_nothing(room: Room) -> None:
    piece, ines = room.bisqued(), room.visit(INES)

    status, answer = scan(ines, piece.ref, "wax")

    assert (status, answer["ok"]) == (403, False)
    assert room.piece(piece.ref).stage is Stage.BISQUED


# ---- in a browser ----------------------------------------------------------------------------------------------


@pytest.fixture
def address(room: Room) -> Iterator[str]:
    """Where a real browser finds the studio."""
    server = make_server("127.0.0.1", 0, room.app, threaded=True)
    running = Thread(target=server.serve_forever, daemon=True)
    running.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    running.join()
    server.server_close()


@pytest.fixture
def tablet(browser: Browser, address: str) -> Iterator[Page]:
    """The shared tablet, signed in as shelf staff."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.goto(f"{address}/sign-in")
    page.fill("[name=email]", TOM.email)
    page.fill("[name=password]", PASSWORD)
    page.press("[name=password]", "Enter")
    page.wait_for_url(lambda address: not address.endswith("/sign-in"))
    yield page
    context.close()


def wait_for_answers(page: Page) -> None:
    """Wait until no scan is on its way anymore."""
    page.locator(".scan-line").first.wait_for()
    while page.locator(".scan-line.sending").count():
        page.wait_for_timeout(20)


def test_of_thirty_scans_in_a_row_none_is_lost(room: Room, tablet: Page) -> None:
    codes = [room.bisqued(what=f"tile {count}").ref for count in range(30)]
    tablet.goto(tablet.url.rpartition("/")[0] + "/scan?step=wax")

    for code in codes:
        tablet.keyboard.type(code)
        tablet.keyboard.press("Enter")
    wait_for_answers(tablet)

    answered = [text.strip() for text in tablet.locator(".scan-line.good .code").all_inner_texts()]
    assert answered == list(reversed(codes))
    assert {room.piece(code).stage for code in codes} == {Stage.WAXED}
    assert tablet.locator("[data-scan-count]").get_attribute("data-answered") == "30"


def test_in_the_browser_a_warning_is_accepted_and_the_last_step_undone(room: Room, tablet: Page) -> None:
    piece = glazed(room, "Wet Slate", use=Use.FOOD)
    tablet.goto(tablet.url.rpartition("/")[0] + "/scan?step=queue&route=mid-range")

    tablet.keyboard.type(piece.ref)
    tablet.keyboard.press("Enter")
    tablet.locator("[data-scan-accept] button").click()
    tablet.locator(".scan-line.good").wait_for()
    queued = room.piece(piece.ref).stage
    tablet.locator("[data-scan-undo] button").click()
    tablet.locator(".scan-line.undone").wait_for()

    assert queued is Stage.QUEUED
    assert room.piece(piece.ref).stage is Stage.GLAZED


# ---- shelves ---------------------------------------------------------------------------------------------------


def test_a_scanned_shelf_is_where_the_next_pieces_stand_without_any_script(room: Room) -> None:
    cup, dish, tom = room.bisqued(), room.bisqued(), room.visit(TOM)
    with_shelves(room, "rack 3")

    shelf = tom.post("/scan", {"ref": "S.rack 3", "step": "shelve"})
    page = tom.get(shelf.location).text
    for piece in (cup, dish):
        tom.post("/scan", {"ref": piece.ref, "step": "shelve", "place": "rack 3"})

    assert "place=rack+3" in shelf.location
    assert "Everything you scan now goes on rack 3." in page
    assert 'name="place" type="text" value="rack 3"' in page
    assert {room.piece(piece.ref).place for piece in (cup, dish)} == {"rack 3"}
    assert f"{dish.ref}, tall cup: now on rack 3." in tom.get(shelf.location).text


def test_a_piece_scanned_before_any_shelf_asks_for_the_shelf(room: Room) -> None:
    cup = room.bisqued()

    status, answer = scan(room.visit(TOM), cup.ref, "shelve")

    assert status == 422
    assert answer["says"] == "Scan a shelf first."
    assert room.piece(cup.ref).place == ""


@pytest.mark.parametrize(("job", "asks"), [("wax", True), ("lose&cause=discarded", False), ("wash+off", False)])
def test_only_steps_that_end_on_a_shelf_ask_for_one(room: Room, job: str, asks: bool) -> None:  # noqa: FBT001 -- a column of the table
    page = room.visit(TOM).get(f"/scan?step={job}").text

    assert "data-takes-scans" in page
    assert ('name="place" type="text"' in page) is asks


def test_a_piece_in_a_kiln_is_on_no_shelf_and_can_take_no_step(room: Room) -> None:
    cup, tom = room.bisqued(), room.visit(TOM)
    with_shelves(room, "cart 1")
    scan(tom, cup.ref, "shelve", place="cart 1")
    pieces.glaze(room.store, room.asks(TOM), cup.ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), cup.ref, "mid-range")
    number = started(room.store)
    firings.put_in(room.store, room.asks(TOM), number, cup.ref)
    firings.light(room.store, room.asks(TOM), number)

    status, answer = scan(tom, cup.ref, "shelve", place="cart 1")

    assert (status, answer["ok"], answer["code"]) == (409, False, cup.ref)
    assert room.piece(cup.ref).possible.code == "possible-after-the-kiln"


def test_a_shelf_scan_can_be_taken_back(room: Room) -> None:
    cup, tom = room.bisqued(), room.visit(TOM)
    with_shelves(room, "rack 3", "board 12")
    scan(tom, cup.ref, "shelve", place="rack 3")
    _, answer = scan(tom, cup.ref, "shelve", place="board 12")

    undone = tom.post(answer["undo_url"], headers=JSON).get_json()

    assert undone["word"] == "Undone"
    assert room.piece(cup.ref).place == "rack 3"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("B.Still Water", "That's a glaze bucket's barcode."),
        ("U.Tom Abara", "That's a staff badge"),
    ],
)
def test_any_other_label_of_the_studios_moves_nothing_and_says_what_it_is(room: Room, text: str, says: str) -> None:
    status, answer = scan(room.visit(TOM), text, "wax")

    assert status == 422
    assert says in answer["says"]


def test_the_name_of_a_shelf_may_be_typed_and_a_name_that_no_shelf_has_is_asked_about(room: Room) -> None:
    cup, tom = room.bisqued(), room.visit(TOM)
    pieces.shelve(room.store, room.asks(TOM), cup.ref, "Pickup, low")

    _status, known = scan(tom, "pickup,  LOW", "shelve")
    status, unknown = scan(tom, "pickup, high", "shelve")

    assert (known["ok"], known["place"]) == (True, "Pickup, low")
    assert (status, unknown["ok"]) == (404, False)
    assert "new shelf" in unknown["mend"]


def test_a_shelf_is_answered_in_its_own_line(room: Room) -> None:
    with_shelves(room, "Régal 2")

    status, answer = scan(room.visit(TOM), "s.R%C3%A9gal 2", "shelve")

    assert (status, answer["ok"], answer["word"], answer["code"]) == (200, True, "Shelf", "Régal 2")


def test_pieces_scanned_right_after_a_shelf_stand_there_before_it_is_answered(room: Room, tablet: Page) -> None:
    codes = [room.bisqued(what=f"tile {count}").ref for count in range(4)]
    with_shelves(room, "rack 3", "Régal 2")
    tablet.goto(tablet.url.rpartition("/")[0] + "/scan?step=shelve")

    for text in ("S.rack 3", *codes[:2], "S.R%C3%A9gal 2", *codes[2:]):
        tablet.keyboard.type(text)
        tablet.keyboard.press("Enter")
    wait_for_answers(tablet)

    assert [room.piece(code).place for code in codes] == ["rack 3", "rack 3", "Régal 2", "Régal 2"]
    assert tablet.locator("[name=place]").input_value() == "Régal 2"


def test_a_scan_into_a_count_is_answered_in_its_line_and_what_cannot_be_there_says_look(
    room: Room, tablet: Page
) -> None:
    cup, away = room.bisqued(), room.bisqued()
    pieces.lose(room.store, room.asks(TOM), away.ref, Loss.MISSING)
    with_shelves(room, "rack 3")
    tablet.goto(tablet.url.rpartition("/")[0] + "/shelves?place=rack+3")
    tablet.get_by_role("button", name="Count this shelf").click()
    tablet.wait_for_url("**/shelves/stocktake/1")

    tablet.keyboard.type(cup.ref)
    tablet.keyboard.press("Enter")
    tablet.locator(".scan-line.good").wait_for()
    tablet.keyboard.type(away.ref)
    tablet.keyboard.press("Enter")
    tablet.locator(".last-answer.needs", has_text=away.ref).wait_for()

    assert room.store.read.stocktakes.scanned(1).keys() == {cup.id, away.id}


def test_scanners_that_end_with_tab_or_a_line_feed_and_name_the_bar_first_are_read_as_well(
    room: Room, tablet: Page
) -> None:
    first, second, third = (room.bisqued(what=f"tile {count}").ref for count in range(3))
    home = tablet.url.rpartition("/")[0]
    tablet.goto(f"{home}/scan?step=wax")

    tablet.keyboard.type(f"]C1{first}")
    tablet.keyboard.press("Tab")
    tablet.keyboard.type(second)
    tablet.keyboard.press("Enter")
    tablet.keyboard.press("Control+j")
    wait_for_answers(tablet)
    tablet.goto(f"{home}/shelves")
    tablet.keyboard.type(f"]C1{third}")
    tablet.keyboard.press("Tab")
    tablet.wait_for_url(f"**/p/{third}")

    assert {room.piece(ref).stage for ref in (first, second)} == {Stage.WAXED}


def test_a_piece_that_is_not_fired_yet_asks_for_a_look_on_a_shelf_of_fired_ones(room: Room) -> None:
    (done,), bare = fired(room, "tall cup"), room.bisqued().ref
    tom = room.visit(TOM)
    with_shelves(room, "Rack B")
    _, first = scan(tom, done, "shelve", place="Rack B")

    _, answer = scan(tom, bare, "shelve", place="Rack B")

    assert (first["looks"], answer["ok"], answer["looks"], answer["word"]) == (False, True, True, "Look")
    assert "only if its maker wants it so" in answer["says"]
    assert room.piece(bare).place == "Rack B"
