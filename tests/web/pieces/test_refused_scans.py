"""What a page answers to the scan of a piece that a queue or a kiln's door refused."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.studio import ADA, TOM
from tests.web.conftest import Room
from tests.web.firing.test_firing_pages import queued, start
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

    assert answer["mend"].startswith("With its foot wiped 6 mm up the side, it can go in Mid-range")


@pytest.mark.parametrize(
    ("known", "ticks", "field"),
    [
        pytest.param({"wall_mm": None}, {}, "wall", id="a wall that nobody looked at"),
        pytest.param({"vented": None}, {"is_thin": "yes"}, "form", id="a form that may be closed"),
        pytest.param({"wall_mm": None}, {"is_thin": "yes"}, None, id="a wall that somebody looked at"),
    ],
)
def test_at_the_load_check_what_is_missing_leads_to_its_field(
    room: Room, known: dict[str, Any], ticks: dict[str, str], field: str | None
) -> None:
    slip, tom = room.greenware(**known).ref, room.visit(TOM)
    tom.post("/firings", {"at": "Front box / bisque", "target": ""})

    answer = tom.post("/firings/1/in", {"ref": slip, "dry": "yes"} | ticks, headers=JSON).get_json()

    assert answer["ok"] is (field is None)
    assert answer.get("tell_url") == (field and f"/p/{slip}/known#{field}")


def test_a_scan_for_a_firing_with_tongs_leads_to_the_weight_that_is_missing(room: Room) -> None:
    cup = room.bisqued(clay="Gravel Walk", burnished=True, weight_g=None)
    sent = {"step": "queue", "ref": cup.ref, "route": "horsehair"}

    answer = room.visit(TOM).post("/scan", sent, headers=JSON).get_json()

    assert answer["tell_url"] == f"/p/{cup.ref}/known#weight"


def test_a_scan_that_comes_after_the_start_names_its_piece_on_every_page_of_the_firing(room: Room) -> None:
    tom, late = room.visit(TOM), queued(room)
    here = start(tom)
    tom.post(f"{here}/in", {"ref": queued(room)})
    tom.post(f"{here}/light")

    answer = tom.post(f"{here}/in", {"ref": late}, headers=JSON).get_json()

    assert not answer["ok"]
    assert answer["code"] == late
    assert late in tom.get("/scan/refused").text
    for other in (here, f"{here}/unload"):
        page = room.visit(ADA).get(other).text
        assert late in page, other
        assert "Mark as dealt with" not in page, other
    tom.post(re.search(r"/scan/refused/[0-9a-f-]{36}", tom.get(here).text)[0])  # type: ignore[index]  # it is there
    assert late not in tom.get(here).text


def test_a_piece_that_is_in_the_kiln_is_not_late(room: Room) -> None:
    tom, ref = room.visit(TOM), queued(room)
    here = start(tom)
    tom.post(f"{here}/in", {"ref": ref})
    tom.post(f"{here}/light")

    tom.post(f"{here}/in", {"ref": ref}, headers=JSON)

    assert ref not in tom.get("/scan/refused").text


JSON = {"Accept": "application/json"}
