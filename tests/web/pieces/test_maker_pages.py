"""One maker's page: what is ready, under way, asked and finished, with a note that the maker never sees."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.studio import ADA, INES, MIRA, TOM
from tests.web.pieces.test_pickup_pages import fired
from tracker.usecases.pieces import pickup
from tracker.usecases.rules import questions

if TYPE_CHECKING:
    from tests.web.conftest import Room


def test_staff_see_all_of_one_makers_pieces_and_keep_a_note(room: Room) -> None:
    here, home, other = room.bisqued(what="tall cup").ref, room.bisqued(what="gift bowl").ref, room.bisqued(MIRA).ref
    [ready] = fired(room, "low dish")
    pickup.hand_over(room.store, room.asks(TOM), home)
    questions.ask(room.store, room.asks(INES), here, "May it go first?")
    tom, there = room.visit(TOM), f"/makers/{room.person(INES).id}"

    tom.post(f"{there}/note", {"note": "Comes on\nFridays only"})
    shown = tom.get(there).text

    assert "Comes on Fridays only" in shown
    assert "May it go first?" in shown
    assert all(f"/p/{ref}" in shown for ref in (here, home, ready))
    assert f"/p/{other}" not in shown
    assert f"/pickup?maker={room.person(INES).id}" in shown
    assert there in tom.get("/find?q=ines").text


def test_a_note_can_be_taken_off_and_one_too_long_is_refused(room: Room) -> None:
    ada, there = room.visit(ADA), f"/makers/{room.person(INES).id}"
    ada.post(f"{there}/note", {"note": "allergic to dust"})

    ada.post(f"{there}/note", {"note": "x" * 401})
    kept = ada.get(there).text
    ada.post(f"{there}/note", {"note": " "})

    assert "allergic to dust" in kept
    assert "allergic to dust" not in ada.get(there).text


def test_no_maker_opens_it_and_nobodys_number_is_said_so(room: Room) -> None:
    there = f"/makers/{room.person(INES).id}"

    assert room.visit(INES).get(there).status_code == 403
    assert room.visit(INES).post(f"{there}/note", {"note": "x"}).status_code == 403
    assert room.visit(TOM).get("/makers/999").status_code == 404
