"""A maker card finds its maker wherever staff scan it, and signs nobody in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.studio import ADA, INES, TOM
from tests.web.labels.test_document_pages import SHEET
from tests.web.labels.test_tag_pages import codes_on
from tests.web.pieces.test_pages import A_CUP
from tests.web.pieces.test_scan_pages import scan
from tracker.domain.studio.people import NewPerson, Person
from tracker.usecases.studio import membership

if TYPE_CHECKING:
    from tests.web.conftest import Room

KID = NewPerson(name="Lía Paz", email="", section="Saturday", supervised=True)


def _with_card(room: Room) -> tuple[Person, str]:
    """A child without an email, and what the card of theirs says that was printed."""
    lia, _password = membership.add(room.store, room.asks(ADA), KID)
    return lia, _printed(room, lia)


def _printed(room: Room, someone: Person) -> str:
    (card,) = codes_on(room.visit(TOM).prints("maker-cards", {"things": str(someone.id), "stock": SHEET}).data)
    return card


def test_a_card_fills_in_the_maker_opens_their_page_and_shows_their_pieces_at_pickup(room: Room) -> None:
    lia, card = _with_card(room)
    tom, there = room.visit(TOM), f"/makers/{lia.id}"

    made = tom.post("/pieces/new", A_CUP | {"maker": card})
    again = tom.post("/pieces/new", A_CUP | {"maker": card, "clay": ""})
    status, answer = scan(tom, card, "wax")

    assert made.status_code == 303
    assert len(room.store.read.pieces.of(lia.id)) == 1
    assert f'value="{lia.called}"' in again.text
    assert f'value="{lia.called}"' in tom.get(f"/pieces/new?maker={lia.id}").text
    assert tom.get(f"/find?q={card.lower()}").location == there
    assert lia.name in tom.get(f"/pickup?ref={card}").text
    assert (status, answer["piece_url"]) == (422, there)


def test_a_card_says_nothing_to_makers_and_signs_nobody_in(room: Room) -> None:
    lia, card = _with_card(room)
    ines, stranger = room.visit(INES), room.stranger()

    assert lia.name not in ines.get(f"/find?q={card}").text
    assert ines.get("/paper/maker-cards").status_code == 403
    assert stranger.post("/sign-in", {"email": card, "password": card}).status_code != 302
    room.visit(ADA).post("/badge/tablet", {"shared": "yes"})
    assert stranger.post("/badge", {"badge": card}).status_code == 403


def test_a_lost_card_is_replaced_and_finds_nobody_anymore(room: Room) -> None:
    lia, lost = _with_card(room)
    tom = room.visit(TOM)

    assert room.visit(INES).post(f"/makers/{lia.id}/card", {}).status_code == 403
    tom.post(f"/makers/{lia.id}/card", {})
    new = _printed(room, lia)

    assert tom.get(f"/find?q={lost}").status_code == 200
    assert tom.get(f"/find?q={new}").location == f"/makers/{lia.id}"
