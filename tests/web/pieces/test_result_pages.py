"""A result is corrected on a page of its own, by staff, from the piece or from its firing."""

from __future__ import annotations

from tests.studio import INES, TOM
from tests.web.conftest import Room
from tracker.domain.pieces.outcomes import Flaw
from tracker.domain.pieces.piece import Stage


def test_staff_correct_a_result_from_the_firing_and_the_page_shows_what_is_on_record(room: Room) -> None:
    number, (ref, other) = room.bisque_load(2)
    tom = room.visit(TOM)
    firing = tom.get(f"/firings/{number}").text

    assert f"/p/{ref}/result?firing={number}" in firing
    form = tom.get(f"/p/{ref}/result?firing={number}")
    answer = tom.post(f"/p/{ref}/result", {"firing": number, "broke": "no", "flaw": Flaw.CRACKED, "clay_note": "rim"})

    assert form.status_code == 200
    assert answer.status_code == 303
    assert (room.piece(ref).mended, room.piece(other).mended) == (True, False)
    assert 'value="cracked" checked' in tom.get(f"/p/{ref}/result").text


def test_a_result_as_it_was_is_refused_on_the_form_and_one_of_nothing_is_not_found(room: Room) -> None:
    _number, (ref,) = room.bisque_load(1)
    tom, bare = room.visit(TOM), room.bisqued().ref

    assert tom.post(f"/p/{ref}/result", {"broke": "no"}).status_code == 422
    assert tom.get(f"/p/{bare}/result").status_code == 404
    assert tom.post(f"/p/{ref}/result", {"broke": "yes"}).status_code == 303
    assert room.piece(ref).stage is Stage.LOST
    assert 'value="find"' not in tom.get(f"/p/{ref}").text


def test_no_student_corrects_a_result(room: Room) -> None:
    _number, (ref,) = room.bisque_load(1, by=INES)
    ines = room.visit(INES)

    assert "/result" not in ines.get(f"/p/{ref}").text
    assert ines.get(f"/p/{ref}/result").status_code == 403
    assert ines.post(f"/p/{ref}/result", {"broke": "yes"}).status_code == 403
