"""Units are the studio's setting and each person's own choice, and every page follows them."""

from __future__ import annotations

from io import BytesIO

import pypdfium2
import pytest

from tests.studio import ADA, INES, TOM
from tests.web.conftest import Room, Visitor
from tracker.domain.labels.stock import Paper
from tracker.domain.quantities import Units
from tracker.forms.studio.studio_file import read_studio, write_studio


@pytest.fixture
def ada(room: Room) -> Visitor:
    """The instructor at her desk."""
    return room.visit(ADA)


def settle(room: Room, ada: Visitor, units: str, paper: str) -> int:
    """Save the studio's units and paper on the settings page; gives the answer's status."""
    fields = {"units": units, "paper": paper, "seen": room.store.read.version()}
    return ada.post("/catalogue/units", fields).status_code


def test_the_studios_units_are_saved_on_the_settings_page_and_read_by_all(room: Room, ada: Visitor) -> None:
    before = ada.get("/catalogue").text

    assert settle(room, ada, "us", "letter") == 303

    studio = room.store.read.studio()
    assert (studio.units, studio.paper) == (Units.US, Paper.LETTER)
    assert "1,222 °C" in before
    assert "2,232 °F" in (after := ada.get("/catalogue").text)
    assert "°C" not in after
    assert '<option value="us" selected>' in ada.get("/catalogue/practice").text


def test_units_that_do_not_exist_change_nothing(room: Room, ada: Visitor) -> None:
    assert settle(room, ada, "furlongs", "a4") == 422
    assert settle(room, ada, "us", "papyrus") == 422
    assert room.visit(INES).post("/me", {"units": "furlongs"}).status_code == 422

    assert room.store.read.studio().units is Units.METRIC


def test_a_change_of_units_that_somebody_else_went_before_is_refused(room: Room, ada: Visitor) -> None:
    assert ada.post("/catalogue/units", {"units": "us", "paper": "a4", "seen": "0"}).status_code == 409


def test_a_person_reads_in_units_of_their_own_until_they_follow_the_studio_again(room: Room, ada: Visitor) -> None:
    tom = room.visit(TOM)

    tom.post("/me", {"units": "us"})
    own, others = tom.get("/waiting").text, ada.get("/waiting").text
    tom.post("/me", {"units": ""})

    assert "2,232 °F" in own
    assert "°C" not in own
    assert "°F" not in others
    assert "°F" not in tom.get("/waiting").text


@pytest.mark.parametrize(("paper", "width"), [("a4", 210.0), ("letter", 215.9)])
def test_sheets_come_on_the_studios_paper(room: Room, ada: Visitor, paper: str, width: float) -> None:
    settle(room, ada, "metric", paper)

    chart = pypdfium2.PdfDocument(BytesIO(ada.get("/catalogue/chart.pdf").data))

    # A4 is 210 mm wide (ISO 216), US Letter 8.5 in (ANSI/ASME Y14.1); a PDF point is 1/72 in.
    assert chart[0].get_width() / 72 * 25.4 == pytest.approx(width, abs=0.05)


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
