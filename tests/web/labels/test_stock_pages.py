"""Labels of the studio's own, its line, and a printer that prints a little off."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.printing.labels.tags import text_of
from tests.studio import ADA, INES, TOM
from tests.web.labels.test_tag_pages import SHEET, codes_on, first_tag_at
from tracker.forms.studio.studio_file import read_studio

if TYPE_CHECKING:
    from tests.web.conftest import Room

OURS = {
    "name": "Ours, 2 x 5",
    "label_width_mm": "90",
    "label_height_mm": "50,5",
    "page_width_mm": "210",
    "page_height_mm": "297",
    "columns": "2",
    "rows": "5",
    "left_mm": "10",
    "top_mm": "12",
    "pitch_x_mm": "95 mm",
    "pitch_y_mm": "",
}


def test_labels_of_ones_own_are_offered_printed_on_and_stand_in_the_studio_file(room: Room) -> None:
    cup = room.bisqued()
    ada = room.visit(ADA)

    answer = ada.post("/paper/stock", OURS)
    offered = ada.get(f"/paper/tags?ref={cup.ref}").text
    printed = ada.prints("tags", {"things": cup.ref, "stock": "Ours, 2 x 5", "start_at": "4"})
    across, down = first_tag_at(printed.data)

    assert answer.status_code == 303
    assert '<option value="Ours, 2 x 5"' in offered
    assert codes_on(printed.data) == [cup.code]
    # The fourth label is the second in the second row.
    assert across * 210 > 10 + 95
    assert 12 + 50.5 < down * 297 < 12 + 2 * 50.5
    assert read_studio(ada.get("/catalog/studio.toml").text).labels == room.store.read.studio().labels


def test_the_catalog_leads_to_the_studios_labels(room: Room) -> None:
    assert 'href="/paper/stock"' in room.visit(ADA).get("/catalog").text


def test_a_sort_of_labels_is_changed_and_taken_away(room: Room) -> None:
    ada = room.visit(ADA)
    ada.post("/paper/stock", OURS)

    shown = ada.get("/paper/stock", query_string={"name": "Ours, 2 x 5"}).text
    ada.post("/paper/stock", OURS | {"old": "Ours, 2 x 5", "name": "Ours", "rows": "4"})
    kept = room.store.read.studio().labels
    ada.post("/paper/stock/remove", {"name": "Ours"})

    assert 'value="50.5"' in shown
    assert {name: one.rows for name, one in kept.items()} == {"Ours": 4}
    assert room.store.read.studio().labels == {}


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"name": ""}, "Enter a name."),
        ({"name": SHEET}, "There is already label stock called"),
        ({"label_width_mm": "wide"}, "Use a value from 0 mm to 1,000 mm."),
        ({"pitch_x_mm": "80"}, "overlap"),
        ({"pitch_y_mm": "0"}, "With a pitch of 0 mm, labels of 50.5 mm overlap."),
        ({"page_width_mm": "0"}, "A page is up to 1,000 mm wide and high"),
        ({"label_height_mm": "0"}, "A label is 5 mm to 1,000 mm wide and high."),
        ({"name": SHEET.upper()}, "There is already label stock called"),
        ({"left_mm": "60"}, "The labels run to"),
        ({"page_width_mm": "", "page_height_mm": ""}, "Several labels need a page"),
    ],
)
def test_a_wrong_measurement_is_said_beside_it_and_changes_nothing(
    room: Room, wrong: dict[str, str], says: str
) -> None:
    answer = room.visit(ADA).post("/paper/stock", OURS | wrong)

    assert answer.status_code == 422
    assert says in answer.text
    assert room.store.read.studio().labels == {}


def test_labels_and_line_are_the_instructors_to_set(room: Room) -> None:
    tom = room.visit(TOM)

    assert tom.get("/paper/stock").status_code == 403
    assert tom.post("/paper/stock", OURS).status_code == 403
    assert tom.post("/paper/line", {"line": "x"}).status_code == 403


def test_two_who_change_the_labels_at_once_are_told(room: Room) -> None:
    ada = room.visit(ADA)
    seen = room.store.read.version()
    ada.post("/paper/line", {"line": "Open on Tuesdays"})

    answer = ada.post("/paper/stock", OURS | {"seen": seen})

    assert answer.status_code == 409
    assert "Someone else changed the catalog" in answer.text


@pytest.mark.parametrize(
    ("sides", "moved"),
    [
        ({"across": "1.5", "is_right": "no", "along": "1", "is_below": "no"}, (1.5, 1.0)),
        ({"across": "0.5", "is_right": "yes", "along": "2", "is_below": "yes"}, (-0.5, -2.0)),
    ],
)
def test_a_cross_beside_its_corner_moves_every_print_on_that_stock_and_no_other(
    room: Room, sides: dict[str, str], moved: tuple[float, float]
) -> None:
    cup = room.bisqued()
    ines = room.visit(INES)

    ines.post("/paper/alignment", {"stock": SHEET} | sides)
    here = ines.get("/paper/tags", query_string={"ref": cup.ref, "stock": SHEET}).text
    there = ines.get("/paper/tags", query_string={"ref": cup.ref, "stock": "Roll, 57 x 32 mm"}).text

    assert f'<option value="{moved[0]:g}" selected' in here
    assert f'<option value="{moved[1]:g}" selected' in here
    assert there.count('<option value="0" selected') == 2


def test_the_page_of_crosses_is_a_pdf_that_says_how_to_print_it(room: Room) -> None:
    ines = room.visit(INES)

    answer = ines.get("/paper/alignment.pdf", query_string={"stock": SHEET})
    strange = ines.get("/paper/alignment", query_string={"stock": "Papyrus"})

    assert answer.mimetype == "application/pdf"
    assert "This line should measure 100 mm." in text_of(answer.data)
    assert strange.status_code == 404


@pytest.mark.parametrize(
    ("stock", "says"),
    [
        (SHEET, "exactly on the corner of its label"),
        ("Roll, 57 x 32 mm", "10 mm from the two nearest edges of the label"),
        ("Whole width", "along the top or bottom edge of its label"),
    ],
)
def test_every_stock_has_its_page_of_crosses_and_says_where_they_belong(room: Room, stock: str, says: str) -> None:
    wide = {
        "label_width_mm": "210",
        "label_height_mm": "148.5",
        "columns": "1",
        "rows": "2",
        "left_mm": "",
        "top_mm": "",
    }
    room.visit(ADA).post("/paper/stock", OURS | wide | {"name": "Whole width", "pitch_x_mm": "0"})
    ines = room.visit(INES)

    page = ines.get("/paper/alignment", query_string={"stock": stock})
    pdf = ines.get("/paper/alignment.pdf", query_string={"stock": stock})

    assert says in page.text
    assert (pdf.status_code, pdf.mimetype) == (200, "application/pdf")


@pytest.mark.parametrize(
    ("sides", "says"),
    [
        (
            {"across": "1.5", "along": "1", "is_below": "yes"},
            "will now be shifted: 1.5 mm right and 1 mm up",
        ),
        ({"across": "2", "is_right": "yes"}, "will now be shifted: 2 mm left"),
        ({}, "be shifted anymore"),
    ],
)
def test_what_was_put_right_is_said_in_words(room: Room, sides: dict[str, str], says: str) -> None:
    ines = room.visit(INES)

    ines.post("/paper/alignment", {"stock": SHEET} | sides)

    assert says in ines.get("/paper/alignment").text


def test_a_length_that_no_nudge_has_is_refused(room: Room) -> None:
    answer = room.visit(INES).post("/paper/alignment", {"stock": SHEET, "across": "0.3"})

    assert answer.status_code == 422
    assert "in steps of 0.5" in answer.text
