"""What a student is told of other makers' pieces: as much as of pieces that aren't there."""

from __future__ import annotations

import re
from random import Random

from tests.photographed import photographed
from tests.studio import INES, MIRA, TOM
from tests.web.conftest import Room
from tracker.domain.pieces.codes import draw_code

OF_PIECE = ("/p/{}", "/p/{}/glaze", "/p/{}/known", "/find?q={}", "/paper/tags?ref={}")
OF_PHOTO = ("/photos/{}", "/photos/{}/small", "/outdoor/examples/{}")
FORMS_OF_PIECE = tuple(f"/p/{{}}/{form}" for form in ("step", "glaze", "known", "ask", "photos"))
FORMS_OF_PHOTO = ("/photos/{}/remove", "/photos/{}/share")
JSON = {"Accept": "application/json"}


def test_every_door_answers_a_code_of_another_maker_in_the_words_of_an_unknown_one(room: Room) -> None:
    slip, cup = room.greenware(MIRA), room.bisqued(MIRA)
    photo = photographed(room.store, cup.ref, room.person(MIRA))
    ines = room.visit(INES)
    nobodys = draw_code(Random(99).randrange, 5)  # noqa: S311 -- a code of a test may be guessed

    def answered(door: str, ref: str, headers: dict[str, str]) -> tuple[int, str]:
        sent = {"step": "wax", "text": "May I?", "shared": "yes"}
        is_form = door in (*FORMS_OF_PIECE, *FORMS_OF_PHOTO)
        there, how = door.format(ref), {"headers": headers, "follow_redirects": True}
        answer = ines.post(there, sent, **how) if is_form else ines.get(there, **how)
        told = re.search(r"<main.*</main>|\{.*\}", answer.text, re.DOTALL)
        return answer.status_code, told[0].replace(ref, "") if told else ""

    pieces = [(str(cup.code), nobodys), (slip.ref, "W99999")]
    differ = [
        (door, theirs, headers)
        for pairs, doors in (
            (pieces, (*OF_PIECE, *FORMS_OF_PIECE)),
            ([(photo, "0" * 32)], (*OF_PHOTO, *FORMS_OF_PHOTO)),
        )
        for theirs, unknown in pairs
        for door in doors
        for headers in ({}, JSON)
        if answered(door, theirs, headers) != answered(door, unknown, headers)
    ]

    assert differ == []


def test_a_printing_of_another_is_told_of_like_one_that_is_none(room: Room) -> None:
    room.visit(TOM).prints("tags", {"things": room.bisqued(MIRA).ref, "stock": "Roll, 100 x 50 mm"})
    ines = room.visit(INES)

    theirs, none = (ines.get(f"/printed/{number}").text.replace(f"print job {number}", "") for number in (1, 2))

    assert theirs == none
