"""A refused scan stays on its person's list, on every device, until the piece has moved on or it is marked."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from uuid import uuid4

from tests.studio import ADA, TOM
from tests.web.pieces.test_scan_pages import glazed, scan
from tracker.domain.pieces.piece import Stage
from tracker.usecases.pieces import pieces

if TYPE_CHECKING:
    from tests.web.conftest import Room


def _listed(room: Room) -> list[str]:
    return [one.ref for one in room.store.refused_scans.open_of(room.asks(TOM).by.id)]


def test_a_refused_scan_is_kept_once_for_its_person_alone_and_shown_on_another_device(room: Room) -> None:
    ref, key = glazed(room, "Plum Gloss").ref, str(uuid4())
    first, second = room.visit(TOM), room.visit(TOM)

    _, answer = scan(first, ref, "queue", route="high-fire", key=key)
    scan(first, ref, "queue", route="high-fire", key=key)
    scan(first, ref, "queue", route="high-fire")

    assert answer["todo"] == 1
    assert _listed(room) == [ref]
    assert ref in second.get("/scan/refused").text
    assert 'href="/scan/refused"' in second.get("/today").text
    assert ref not in room.visit(ADA).get("/scan/refused").text


def test_its_way_out_is_a_button_that_settles_it(room: Room) -> None:
    ref, tom = glazed(room, "Plum Gloss").ref, room.visit(TOM)

    _, refused = scan(tom, ref, "queue", route="high-fire")
    tom.post("/scan", refused["ways"][0]["fields"])

    assert [way["fields"]["route"] for way in refused["ways"]] == ["low-fire"]
    assert (room.piece(ref).stage, room.piece(ref).route) == (Stage.QUEUED, "low-fire")
    assert _listed(room) == []


def test_the_list_has_the_same_buttons_as_the_line(room: Room) -> None:
    ref, gone, meant = glazed(room, "Plum Gloss").ref, room.bisqued().ref, room.bisqued().ref
    tom = room.visit(TOM)
    off = next(f"{meant[:4]}{last}" for last in "34679ACDEFHJKMNPRTXY" if last != meant[4])
    pieces.lose(room.store, room.asks(TOM), gone, "missing")
    for scanned in (gone, off):
        scan(tom, scanned, "wax")
    scan(tom, ref, "queue", route="high-fire")

    page = tom.get("/scan/refused").text
    assert f'action="/scan/found/{gone}' in page
    assert f"{meant}</button>" in page
    form = next(one for one in page.split("<form")[1:] if 'value="low-fire"' in one).partition("</form>")[0]
    tom.post("/scan", dict(re.findall(r'name="(\w+)" value="([^"]*)"', form)))

    assert (room.piece(ref).stage, room.piece(ref).route) == (Stage.QUEUED, "low-fire")
    assert ref not in _listed(room)


def test_a_code_one_letter_off_offers_the_piece_it_may_have_been(room: Room) -> None:
    piece, tom = room.bisqued(), room.visit(TOM)
    off = next(f"{piece.ref[:4]}{last}" for last in "34679ACDEFHJKMNPRTXY" if last != piece.ref[4])

    _, refused = scan(tom, off, "wax")
    tom.post("/scan", refused["ways"][0]["fields"])

    assert room.piece(piece.ref).stage is Stage.WAXED
    assert _listed(room) == []


def test_what_somebody_else_did_with_the_piece_settles_it_and_so_does_marking_it(room: Room) -> None:
    moved, marked, tom = room.bisqued().ref, room.bisqued().ref, room.visit(TOM)
    scan(tom, moved, "find")
    scan(tom, marked, "find")

    pieces.wax(room.store, room.asks(ADA), moved)
    page = tom.get("/scan/refused").text
    (done,) = re.findall(r'action="(/scan/refused/[^"]+)"', page)
    tom.post(done)

    assert moved not in page
    assert _listed(room) == []
