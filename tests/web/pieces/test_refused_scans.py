"""What a page answers to the scan of a piece that a queue or a kiln's door refused."""

from __future__ import annotations

from tests.studio import TOM
from tests.web.conftest import Room
from tests.web.pieces.test_details_pages import glazed
from tracker.domain.pieces.piece import Foot


def test_a_piece_without_a_queue_is_sent_to_the_shelf_where_it_may_wait(room: Room) -> None:
    cup = glazed(room, "Plum Gloss", foot=Foot.WAXED)
    tom = room.visit(TOM)
    tom.post("/firings", {"at": "Back box / mid-range", "target": ""})

    answer = tom.post("/firings/1/in", {"ref": cup.ref}, headers={"Accept": "application/json"}).get_json()

    assert answer["word"] == "STOP"
    assert answer["mend"].endswith("Put it on the Low-fire shelf.")


def test_the_page_of_a_refused_scan_says_what_would_open_the_queue(room: Room) -> None:
    cup = glazed(room, "Still Water", foot=Foot.BARE)
    sent = {"step": "queue", "ref": cup.ref, "route": "mid-range"}

    answer = room.visit(TOM).post("/scan", sent, headers={"Accept": "application/json"}).get_json()

    assert answer["mend"].startswith("With its foot wiped clear 6 mm up the side, it could go to Mid-range")
