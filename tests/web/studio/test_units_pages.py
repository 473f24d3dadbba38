"""Units are the studio's setting and each person's own choice, and every page follows them."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO
from typing import Any

import pypdfium2
import pytest

from tests.studio import ADA, INES, TOM
from tests.web.conftest import Room, Visitor
from tests.web.firing.test_curve_pages import lit
from tracker.domain.labels.stock import Paper
from tracker.domain.quantities import Units
from tracker.forms.entity import shown_entity
from tracker.forms.studio.settings_schema import StudioSchema
from tracker.forms.studio.studio_file import read_studio, write_studio
from tracker.usecases.pieces import pickup


@pytest.fixture
def ada(room: Room) -> Visitor:
    """The instructor at her desk."""
    return room.visit(ADA)


def settle(room: Room, ada: Visitor, units: str, paper: str) -> int:
    """Save the studio's units and paper on the settings page; gives the answer's status."""
    fields = told(room) | {"units": units, "paper": paper, "seen": room.store.read.version()}
    return ada.post("/catalog/studio", fields).status_code


def told(room: Room) -> dict[str, Any]:
    """What the settings page shows of the studio itself."""
    return {**shown_entity(StudioSchema, room.store.read.studio())}


def test_the_studios_name_zone_address_and_footer_are_saved_on_the_settings_page(room: Room, ada: Visitor) -> None:
    new = {"name": "Kiln Yard", "timezone": "America/Denver", "address": "https://clay.example.edu/", "line": "Ask us."}

    saved = ada.post("/catalog/studio", told(room) | new | {"seen": room.store.read.version()})
    wrong = ada.post("/catalog/studio", told(room) | {"timezone": "Denver", "seen": room.store.read.version()})

    studio = room.store.read.studio()
    assert (saved.status_code, wrong.status_code) == (303, 422)
    assert (studio.name, studio.timezone, studio.address, studio.line) == (
        *("Kiln Yard", "America/Denver", "https://clay.example.edu", "Ask us."),
    )
    assert studio.units is Units.METRIC


def test_the_studios_units_are_saved_on_the_settings_page_and_read_by_all(room: Room, ada: Visitor) -> None:
    before = ada.get("/catalog").text

    assert settle(room, ada, "us", "letter") == 303

    studio = room.store.read.studio()
    assert (studio.units, studio.paper) == (Units.US, Paper.LETTER)
    assert "1,222 °C" in before
    assert "2,232 °F" in (after := ada.get("/catalog").text)
    assert "°C" not in after
    assert '<option value="us" selected>' in ada.get("/catalog/practice").text


def test_units_that_do_not_exist_change_nothing(room: Room, ada: Visitor) -> None:
    assert settle(room, ada, "furlongs", "a4") == 422
    assert settle(room, ada, "us", "papyrus") == 422
    assert room.visit(INES).post("/me", {"units": "furlongs"}).status_code == 422
    assert room.visit(INES).post("/me", {"paper": "papyrus"}).status_code == 422

    assert room.store.read.studio().units is Units.METRIC


def test_a_change_of_units_that_somebody_else_went_before_is_refused(room: Room, ada: Visitor) -> None:
    assert ada.post("/catalog/studio", told(room) | {"units": "us", "seen": "0"}).status_code == 409


def test_a_person_reads_in_units_of_their_own_until_they_follow_the_studio_again(room: Room, ada: Visitor) -> None:
    tom = room.visit(TOM)

    tom.post("/me", {"units": "us"})
    own, others = tom.get("/waiting").text, ada.get("/waiting").text
    tom.post("/me", {"units": ""})

    assert "2,232 °F" in own
    assert "°C" not in own
    assert "°F" not in others
    assert "°F" not in tom.get("/waiting").text


def width_of(visitor: Visitor, address: str) -> float:
    """How wide the first page of a PDF is, in mm; a PDF point is 1/72 in."""
    return float(pypdfium2.PdfDocument(BytesIO(visitor.get(address).data))[0].get_width()) / 72 * 25.4


@pytest.mark.parametrize(("paper", "width"), [("a4", 210.0), ("letter", 215.9)])
def test_sheets_come_on_the_studios_paper(room: Room, ada: Visitor, paper: str, width: float) -> None:
    settle(room, ada, "metric", paper)

    # A4 is 210 mm wide (ISO 216), US Letter 8.5 in (ANSI/ASME Y14.1).
    assert width_of(ada, "/catalog/chart.pdf") == pytest.approx(width, abs=0.05)


def test_each_persons_sheets_come_on_their_own_paper_and_their_labels_begin_with_it(room: Room, ada: Visitor) -> None:
    tom, cup = room.visit(TOM), room.bisqued()
    pickup.hand_over(room.store, room.asks(TOM), cup.ref)
    sheet = f"{lit(room, tom)}/sheet.pdf"
    settle(room, ada, "metric", "letter")

    tom.post("/me", {"paper": "a4"})

    first_card = [
        re.findall(r'<option value="([^"]*)"', who.get(f"/paper/care?ref={cup.ref}").text)[0] for who in (tom, ada)
    ]
    assert width_of(tom, sheet) == pytest.approx(210.0, abs=0.05)
    assert width_of(ada, sheet) == pytest.approx(215.9, abs=0.05)
    assert width_of(tom, f"{sheet}?paper=letter") == pytest.approx(215.9, abs=0.05)
    assert [card.partition(" ")[0].strip(",") for card in first_card] == ["A6", "Letter"]
    assert '<option value="a4" selected>' in tom.get("/me").text


@pytest.mark.parametrize(
    ("told", "units", "paper"),
    [
        ("", Units.METRIC, Paper.A4),
        ('units = "us"', Units.US, Paper.LETTER),
        ('units = "us"\npaper = "a4"', Units.US, Paper.A4),
        ('paper = "letter"', Units.METRIC, Paper.LETTER),
    ],
)
def test_a_studio_file_says_the_units_and_the_paper_goes_with_them(
    room: Room, told: str, units: Units, paper: Paper
) -> None:
    written = write_studio(room.store.read.studio()).replace('units = "metric"\npaper = "a4"\n', "")

    studio = read_studio(written.replace("[studio]", f"[studio]\n{told}", 1))

    assert (studio.units, studio.paper) == (units, paper)
    assert read_studio(write_studio(studio)) == studio


def fields_of(page: str) -> dict[str, str]:
    """The text fields of a page's last form with what they show, as a browser sends them back."""
    form = page.rpartition("<form")[0].rpartition("<form")[2] + page.rpartition("<form")[2]
    return dict(re.findall(r'<input[^>]*name="([a-z_]+)" type="text" value="([^"]*)"', form))


def test_a_piece_whose_form_is_sent_back_in_other_units_measures_what_it_did(room: Room) -> None:
    cup, ines = room.bisqued(height_mm=167, width_mm=91, depth_mm=93, wall_mm=7, weight_g=701), room.visit(INES)
    ines.post("/me", {"units": "us"})
    shown = fields_of(ines.get(f"/p/{cup.ref}/known").text)
    rest = {"use": str(cup.use), "form": "open", "seen": str(cup.version)}

    ines.post(f"/p/{cup.ref}/known", shown | rest | {"height": "7"})

    now = room.piece(cup.ref)
    assert shown["width"] == "3 5/8 in"
    # A bare number is inches, and 7 in are 177.8 mm.
    assert (now.height_mm, now.width_mm, now.depth_mm, now.wall_mm, now.weight_g) == (178, 91, 93, 7, 701)


def test_propane_is_weighed_in_pounds_and_what_was_weighed_in_kilograms_stays_so(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom)
    tom.post(f"{here}/cost", {"fuel_kg": "8.213"})
    tom.post("/me", {"units": "us"})

    page = tom.get(f"{here}/cost").text
    tom.post(f"{here}/cost", {"fuel_kg": "18.1"})
    before = room.store.read.firings.page(1)
    tom.post(f"{here}/cost", {"fuel_kg": "20"})
    after = room.store.read.firings.page(1)

    # 8.213 kg are 18.106 lb, and 20 lb 9.0718474 kg: a pound is 0.45359237 kg exactly.
    assert 'name="fuel_kg" type="text" value="18.1"' in page
    assert before is not None
    assert before.fuel_kg == 8.213
    assert after is not None
    assert after.fuel_kg == pytest.approx(9.0718474)


def test_a_kiln_whose_form_is_sent_back_in_other_units_is_as_it_was(room: Room, ada: Visitor) -> None:
    before = room.store.read.catalog().kiln("Yard drum")
    ada.post("/me", {"units": "us"})
    page = ada.get("/catalog/kiln/form?name=Yard+drum").text
    shown = fields_of(page)

    shape = "round" if before.chamber and before.chamber.round_mm else ""
    told = {"routes": sorted(before.routes), "outdoor": "yes", "old": before.name, "shape": shape, "place": "gate"}
    areas = dict(re.findall(r'<textarea[^>]*name="([a-z_]+)"[^>]*>([^<]*)</textarea>', page))
    answer = ada.post("/catalog/kiln", shown | areas | told | {"seen": room.store.read.version()})

    assert answer.status_code == 303
    assert room.store.read.catalog().kiln("Yard drum") == replace(before, place="gate")
