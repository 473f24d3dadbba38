"""A wrong maker and a piece that never was are put right from the piece's page."""

from __future__ import annotations

import html

from tests.studio import INES, MIRA, TOM
from tests.web.conftest import Room
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.materials import Zone
from tracker.usecases.pieces import pieces


def glazed(room: Room, glaze: str) -> str:
    """The code of a piece that wears this glaze outside."""
    ref = room.bisqued().ref
    pieces.glaze(room.store, room.asks(TOM), ref, glaze, Zone.OUTSIDE)
    return ref


def test_staff_give_a_piece_to_the_maker_they_name_and_the_page_tells_both(room: Room) -> None:
    ref = room.bisqued(INES).ref
    tom = room.visit(TOM)
    assert f"/p/{ref}/registered" in tom.get(f"/p/{ref}").text

    nobody = tom.post(f"/p/{ref}/registered", {"maker": "Nobody Here"})
    given = tom.post(f"/p/{ref}/registered", {"maker": f"{MIRA.name}, {MIRA.email}"}, follow_redirects=True)

    assert nobody.status_code == 422
    assert f"Given from {INES.name} to {MIRA.name}" in given.text
    assert room.piece(ref).maker_id == room.person(MIRA).id
    assert room.visit(INES).get(f"/p/{ref}/registered").status_code == 403


def test_a_maker_says_on_the_page_that_a_piece_was_registered_by_mistake(room: Room) -> None:
    slip, code = room.greenware(INES).ref, room.bisqued(INES).ref
    ines = room.visit(INES)

    assert 'value="canceled"' in ines.get(f"/slip/{slip[1:]}").text
    assert 'value="canceled"' not in ines.get(f"/p/{code}").text
    done = ines.post(f"/p/{slip}/step", {"step": "lose", "ref": slip, "cause": "canceled"}, follow_redirects=True)

    assert room.piece(slip).stage is Stage.LOST
    assert "registered by mistake" in done.text


def test_a_piece_registered_twice_is_merged_on_the_page_and_the_old_ticket_opens_the_other(room: Room) -> None:
    slip, ref = room.greenware(INES).ref, room.bisqued(INES).ref
    tom = room.visit(TOM)

    asked = tom.post(f"/p/{ref}/registered/twice", {"other": slip})
    shown = tom.get(asked.location).text
    tom.post(f"/p/{ref}/registered/twice", {"other": slip, "other_seen": room.piece(slip).version})
    page = tom.get(f"/p/{ref}/registered").text

    assert 'name="other_seen"' in shown
    assert 'name="sure"' not in shown
    assert tom.get(f"/slip/{slip[1:]}").location == f"/p/{ref}"
    assert "It's a separate piece" in html.unescape(page)
    assert tom.post(f"/p/{ref}/registered/{slip[1:]}").status_code == 303
    assert room.piece(slip).stage is Stage.GREENWARE


def test_two_pots_in_unlike_glazes_cannot_be_merged_on_the_page_and_it_names_their_glazes(room: Room) -> None:
    low, waits = (glazed(room, name) for name in ("Plum Gloss", "Still Water"))
    tom = room.visit(TOM)

    shown = html.unescape(tom.get(f"/p/{waits}/registered/twice?other={low}").text)
    forged = {"other": low, "other_seen": room.piece(low).version, "sure": "yes"}
    refused = tom.post(f"/p/{waits}/registered/twice", forged)

    assert "These can't be one piece" in shown
    assert "Plum Gloss (" in shown
    assert 'name="other_seen"' not in shown
    assert refused.status_code == 422
    assert room.piece(low).stage is Stage.GLAZED


def test_whichever_registration_was_opened_the_glazed_one_stays(room: Room) -> None:
    bare, other = room.bisqued().ref, glazed(room, "Still Water")

    shown = room.visit(TOM).get(f"/p/{bare}/registered/twice?other={other}").text

    assert f'action="/p/{other}/registered/twice"' in shown
