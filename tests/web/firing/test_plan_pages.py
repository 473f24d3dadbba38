"""A firing planned on its page: which pieces, where they stand, what is left out, and the sheet for the clipboard."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO
from typing import TYPE_CHECKING

import pypdfium2
import pytest

from tests.studio import ADA, INES, TOM
from tests.web.firing.test_firing_pages import queued
from tests.web.pieces.test_pages import words
from tracker.domain.firing.firings import FiringStage
from tracker.domain.studio.kilns import Furniture
from tracker.domain.studio.kilns import Room as Chamber
from tracker.usecases.studio import catalog

if TYPE_CHECKING:
    from tests.web.conftest import Room, Visitor


def measured(room: Room) -> None:
    """Measure the shelves of the kiln that fires mid-range."""
    kiln = room.store.read.catalog().kiln("Back box")
    chamber = Chamber(height_mm=420, width_mm=440, depth_mm=440, clearance_mm=10)
    shelves = Furniture(width_mm=400, depth_mm=400, thickness_mm=20, posts_mm=(100, 150, 200))
    catalog.change(room.store, room.asks(ADA), replace(kiln, chamber=chamber, furniture=shelves))


def plan(visitor: Visitor, **fields: str) -> str:
    """The address of a firing that was just planned."""
    answer = visitor.post("/firings/plan", {"at": "Back box / mid-range", **fields})
    assert answer.status_code == 303
    return answer.location


def test_a_planned_firing_shows_its_shelves_and_every_piece_on_them(room: Room) -> None:
    measured(room)
    refs, tom = [queued(room) for _ in range(3)], room.visit(TOM)

    page = tom.get(plan(tom, day="2026-03-09")).text

    assert page.count("<svg") >= 2
    assert all(page.count(ref) >= 2 for ref in refs)
    assert "Planned for Mon, Mar 9" in page
    assert "Can it wait for more pieces?" in page
    assert room.store.read.firings.firing(1).stage is FiringStage.PLANNED  # type: ignore[union-attr]  # it was just planned


def test_a_plan_leads_through_its_door_to_its_results(room: Room) -> None:
    measured(room)
    ref, tom = queued(room), room.visit(TOM)
    here = plan(tom)

    tom.post(f"{here}/load")
    door = tom.get(here).text
    tom.post(f"{here}/in", {"ref": ref})
    tom.post(f"{here}/light")
    tom.unload(here, {f"outcome-{ref}": "good"})

    assert "0 in the kiln, 1 planned" in door
    results = tom.get(here).text
    assert 'data-label="Shelf">1<' in results
    assert "Load plan" in results
    assert re.search(rf"<svg.*?From the bottom up\. Shelf 1: {ref}\.", results, re.DOTALL)


def test_a_piece_is_left_out_on_the_page_and_the_plan_made_anew(room: Room) -> None:
    measured(room)
    ref, tom = queued(room), room.visit(TOM)
    here = plan(tom)

    left = tom.post(f"{here}/leave/{ref}", follow_redirects=True)
    anew = tom.post(f"{here}/anew", follow_redirects=True)

    assert "removed from the plan" in words(left)
    assert "is planned again, with 1 piece" in words(anew)


def test_what_the_door_would_stop_is_left_out_with_its_reason(room: Room) -> None:
    measured(room)
    queued(room)
    tom = room.visit(TOM)

    page = words(tom.get(plan(tom, target="8")))

    assert "Left out" in page
    assert "Still Water" in page.partition("Left out")[2]


@pytest.mark.parametrize("fields", [{"at": ""}, {"at": "Front box / high-fire"}, {"target": "600"}, {"day": "soon"}])
def test_a_plan_that_cannot_be_is_refused_in_a_sentence(room: Room, fields: dict[str, str]) -> None:
    tom = room.visit(TOM)

    answer = tom.post("/firings/plan", {"at": "Back box / mid-range", **fields})

    assert 'class="notice stop"' in tom.get(answer.location).text
    assert room.store.read.firings.listed(open_only=False) == ()


def test_the_sheet_for_the_clipboard_names_every_piece_and_says_who_comes_first(room: Room) -> None:
    measured(room)
    refs, tom = [queued(room) for _ in range(5)], room.visit(TOM)
    here = plan(tom, day="2026-03-09")

    answer = tom.get(f"{here}/sheet.pdf?paper=letter")
    document = pypdfium2.PdfDocument(BytesIO(answer.data))
    said = " ".join(page.get_textpage().get_text_range() for page in document)
    width, _ = document[0].get_size()
    document.close()

    assert answer.mimetype == "application/pdf"
    assert all(ref in said for ref in refs)
    assert "Monday, March 9, 2026" in said
    assert "local fire and burning rules" in " ".join(said.split())
    assert width == pytest.approx(612)


def test_a_sheet_of_no_firing_and_a_student_are_both_turned_away(room: Room) -> None:
    assert room.visit(TOM).get("/firings/9/sheet.pdf").status_code == 404
    assert room.visit(INES).get("/firings/plan").status_code == 403
