"""Printing tags from the pages: one piece or a whole bisque load, from any label of a used sheet."""

from __future__ import annotations

from uuid import uuid4

import pypdfium2
import pytest
import zxingcpp

from tests.studio import ADA, INES, TOM
from tests.web.conftest import Room

SHEET = "A4, 3 x 7, 63.5 x 38.1 mm"
ROLL = "Roll, 100 x 50 mm"


def codes_on(pdf: bytes, page: int = 0) -> list[str]:
    """The Code 128 symbols on one page of a PDF, as an independent reader reads them at 300 dots per inch."""
    document = pypdfium2.PdfDocument(pdf)
    image = document[page].render(scale=300 / 72, grayscale=True).to_numpy()
    document.close()
    found = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.Code128]))
    return sorted(one.text for one in found)


def first_tag_at(pdf: bytes) -> tuple[float, float]:
    """Where the upper left corner of the first symbol stands, as a share of the page's width and height."""
    document = pypdfium2.PdfDocument(pdf)
    image = document[0].render(scale=300 / 72, grayscale=True).to_numpy()
    document.close()
    (found,) = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.Code128]))
    corner = found.position.top_left
    return corner.x / image.shape[1], corner.y / image.shape[0]


def test_a_students_tag_is_a_pdf_with_a_symbol_that_reads_as_the_code(room: Room) -> None:
    cup = room.bisqued()
    ines = room.visit(INES)

    answer = ines.prints("tags", {"things": cup.ref, "stock": ROLL})

    assert answer.status_code == 200
    assert answer.mimetype == "application/pdf"
    assert answer.headers["Content-Disposition"] == f"inline; filename={cup.code}.pdf"
    assert codes_on(answer.data) == [cup.code]


def test_the_tags_of_a_whole_bisque_load_come_on_one_sheet(room: Room) -> None:
    number, codes = room.bisque_load(5)
    tom = room.visit(TOM)
    shown = tom.get(f"/paper/tags?firing={number}")

    answer = tom.prints("tags", {"things": list(codes), "stock": SHEET})

    assert all(f'name="things" value="{code}"' in shown.text for code in codes)
    assert codes_on(answer.data) == sorted(codes)


def test_a_student_may_not_print_a_whole_load(room: Room) -> None:
    number, _ = room.bisque_load(2)

    assert room.visit(INES).get(f"/paper/tags?firing={number}").status_code == 403


def test_printing_begins_at_the_label_that_was_pressed(room: Room) -> None:
    cup = room.bisqued()
    ines = room.visit(INES)

    first = ines.prints("tags", {"things": cup.ref, "stock": SHEET, "start_at": "1"})
    ninth = ines.prints("tags", {"things": cup.ref, "stock": SHEET, "start_at": "9"})

    across, down = (b - a for a, b in zip(first_tag_at(first.data), first_tag_at(ninth.data), strict=True))
    # The ninth label is third in the third row; labels are 66.04 mm apart across and 38.1 mm down, on 210 x 297 mm.
    assert across * 210 == pytest.approx(2 * 66.04, abs=0.3)
    assert down * 297 == pytest.approx(2 * 38.1, abs=0.3)


def test_a_nudge_moves_the_print_by_half_millimetres(room: Room) -> None:
    cup = room.bisqued()
    ines = room.visit(INES)
    fields = {"things": cup.ref, "stock": SHEET}

    plain = ines.prints("tags", fields)
    nudged = ines.prints("tags", fields | {"nudge_x": "1.5", "nudge_y": "-0.5"})

    across, down = (b - a for a, b in zip(first_tag_at(plain.data), first_tag_at(nudged.data), strict=True))
    assert across * 210 == pytest.approx(1.5, abs=0.2)
    assert down * 297 == pytest.approx(-0.5, abs=0.2)


def test_the_next_free_label_and_the_stock_are_remembered(room: Room) -> None:
    cup = room.bisqued()
    ines = room.visit(INES)
    ines.prints("tags", {"things": cup.ref, "stock": SHEET, "start_at": "9"})

    answer = ines.get(f"/paper/tags?ref={cup.ref}")

    assert f'<option value="{SHEET}" selected' in answer.text
    assert 'name="start_at" value="10" checked' in answer.text


def test_the_picture_of_the_sheet_has_one_button_for_each_label_and_a_roll_has_none(room: Room) -> None:
    cup = room.bisqued()
    ines = room.visit(INES)

    sheet, roll = (ines.get("/paper/tags", query_string={"ref": cup.ref, "stock": stock}) for stock in (SHEET, ROLL))

    assert sheet.text.count('type="radio" name="start_at"') == 21
    assert roll.text.count('type="radio" name="start_at"') == 0


def test_a_tag_printed_again_is_noted_as_a_reprint(room: Room) -> None:
    cup = room.bisqued()
    ines = room.visit(INES)
    fields = {"things": cup.ref, "stock": ROLL}
    first = ines.prints("tags", fields)

    again = ines.prints("tags", fields)

    assert "reprint" not in _text(first.data)
    assert "reprint" in _text(again.data)
    assert room.store.read.pieces.page(cup.id).times_printed == 2
    assert "The new one will say “reprint”" in ines.get(f"/paper/tags?ref={cup.ref}").text


def test_a_double_click_prints_the_same_tag_and_counts_once(room: Room) -> None:
    cup = room.bisqued()
    ines = room.visit(INES)
    twice = {"things": cup.ref, "stock": ROLL, "key": str(uuid4())}

    first, second = ines.prints("tags", twice), ines.prints("tags", twice)

    assert first.data == second.data
    assert room.store.read.pieces.page(cup.id).times_printed == 1


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"stock": "Papyrus"}, "Choose a label from the list."),
        ({"start_at": "22"}, "This sheet has 21 labels."),
        ({"start_at": "0"}, "Use a whole number from 1 to 200."),
        ({"nudge_x": "0.3"}, "in steps of 0.5"),
        ({"nudge_y": "11"}, "in steps of 0.5"),
        ({"dpi": "many"}, "Choose one of"),
    ],
    ids=["no such stock", "past the sheet", "before the sheet", "a third", "too far", "no number"],
)
def test_what_cannot_be_printed_is_said_beside_its_field_and_counts_as_nothing(
    room: Room, wrong: dict[str, str], says: str
) -> None:
    cup = room.bisqued()

    answer = room.visit(INES).prints("tags", {"things": cup.ref, "stock": SHEET} | wrong)

    assert answer.status_code == 422
    assert says in answer.text
    assert room.store.read.pieces.page(cup.id).times_printed == 0


def test_a_label_too_small_for_a_tag_is_not_offered_and_refused_when_asked_for(room: Room) -> None:
    cup = room.bisqued()
    ada = room.visit(ADA)
    small = "A4, 5 x 13, 38.1 x 21.17 mm"

    offered = ada.get(f"/paper/tags?ref={cup.ref}").text
    answer = ada.prints("tags", {"things": cup.ref, "stock": small})

    assert f'<option value="{small}"' not in offered
    assert f"<b>{small}:</b>" in offered
    assert answer.status_code == 422
    assert "too small for a tag" in answer.text


def test_printing_no_piece_is_a_sentence(room: Room) -> None:
    answer = room.visit(INES).prints("tags", {"stock": SHEET})

    assert answer.status_code == 422
    assert "Nothing is selected." in answer.text


def _text(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    said = str(document[0].get_textpage().get_text_bounded())
    document.close()
    return said


def test_one_button_prints_the_ticket_of_a_new_piece_on_the_usual_labels_one_after_another(room: Room) -> None:
    ines, tickets = room.visit(INES), [room.greenware().ref for _ in range(2)]

    pages = [ines.get(f"/slip/{ticket[1:]}").text for ticket in tickets]
    printed = [ines.post("/paper/tags/now", {"things": ticket}, follow_redirects=True) for ticket in tickets]
    jobs = room.store.read.papers.jobs()

    assert all('action="/paper/tags/now"' in page for page in pages)
    assert [answer.mimetype for answer in printed] == ["application/pdf"] * 2
    assert [codes_on(answer.data) for answer in printed] == [[ticket] for ticket in tickets]
    assert [job.order.start_at for job in reversed(jobs)] == [1, 2]
    assert 'action="/paper/tags/now"' not in ines.get(f"/slip/{tickets[0][1:]}").text


def test_the_button_pressed_again_gives_the_same_printing(room: Room) -> None:
    ines, form = room.visit(INES), {"things": room.greenware().ref, "key": str(uuid4())}

    first, again = (ines.post("/paper/tags/now", form).headers["Location"] for _ in range(2))

    assert first == again
    assert len(room.store.read.papers.jobs()) == 1


def test_what_one_button_cannot_print_is_said_at_the_print_desk(room: Room) -> None:
    answer = room.visit(INES).post("/paper/tags/now", {})

    assert answer.headers["Location"] == "/paper/tags"
