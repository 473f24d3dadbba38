"""The print desk: choosing heaps of pieces, the sheet before it is printed, the record, and a long printing."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from uuid import uuid4

import pytest

from tests.printing.labels.tags import text_of
from tests.studio import ADA, INES, MIRA, TOM
from tests.web.labels.test_tag_pages import SHEET, codes_on
from tracker.usecases.pieces import pieces
from tracker.web.labels import desk_pages as pages_paper

if TYPE_CHECKING:
    from tests.web.conftest import Room


def test_a_heap_of_pieces_is_chosen_by_a_link_with_its_count(room: Room) -> None:
    _, codes = room.bisque_load(3)
    tom = room.visit(TOM)

    desk = tom.get("/paper/tags").text
    links = dict(re.findall(r'<a href="(/paper/tags\?[^"]+)"><b>[^<]*</b><small>(\d+) pieces?<', desk))

    assert links["/paper/tags?today=bisqued"] == "3"
    assert any(link.startswith("/paper/tags?firing=") and count == "3" for link, count in links.items())
    assert any(link.startswith("/paper/tags?section=") for link in links)
    for link in links:
        shown = tom.get(link.replace("&amp;", "&")).text
        assert all(f'value="{code}"' in shown for code in codes)


def test_codes_are_typed_one_to_a_line_and_a_wrong_one_is_a_sentence(room: Room) -> None:
    one, other = room.bisqued(), room.bisqued()
    tom = room.visit(TOM)

    shown = tom.get("/paper/tags", query_string={"codes": f"{one.code}\r\n {str(other.code).lower()}\n"}).text
    wrong = tom.get("/paper/tags", query_string={"codes": f"{one.code}\nQQQQQ"})

    assert f'value="{one.code}" checked' in shown
    assert f'value="{other.code}" checked' in shown
    assert f'value="{one.code}" checked' in wrong.text
    assert "“QQQQQ” isn&#39;t a code." in wrong.text


@pytest.mark.parametrize(
    ("asked", "status"),
    [
        ("firing=1", 403),
        ("place=rack+3", 403),
        ("section=Tuesday", 403),
        ("maker=1", 403),
        ("today=yesterday", 404),
        ("job=9", 404),
        ("job=ten", 404),
    ],
)
def test_a_student_chooses_no_heap_but_their_own(room: Room, asked: str, status: int) -> None:
    assert room.visit(INES).get(f"/paper/tags?{asked}").status_code == status


def test_a_students_today_is_their_own(room: Room) -> None:
    room.bisque_load(2, by=INES)
    ines, mira = room.visit(INES), room.visit(MIRA)

    assert "today=bisqued" in ines.get("/paper/tags").text
    assert "today=bisqued" not in mira.get("/paper/tags").text


def test_the_sheet_is_shown_before_it_is_printed_and_nothing_counts(room: Room) -> None:
    cup = room.bisqued()
    tom = room.visit(TOM)

    first = tom.get(f"/paper/tags?ref={cup.ref}").text
    moved = tom.post("/paper/tags/look", {"things": cup.ref, "stock": SHEET, "shown": SHEET, "start_at": "9"}).text

    assert f">{cup.code}</text>" in first
    assert "the first on label 1 of" in first
    assert f">{cup.code}</text>" in moved
    assert "the first on label 9 of 21" in moved
    assert 'name="start_at" value="9" checked' in moved
    assert room.store.read.papers.jobs() == ()


def test_a_printing_leads_to_its_pdf_which_reloading_does_not_print_again(room: Room) -> None:
    cup = room.bisqued()
    tom = room.visit(TOM)

    answer = tom.post("/paper/tags", {"things": cup.ref, "stock": SHEET})
    there = answer.headers["Location"]
    once, again = tom.get(there), tom.get(there)

    assert answer.status_code == 303
    assert once.data == again.data
    assert codes_on(once.data) == [cup.code]
    assert room.store.read.pieces.page(cup.id).times_printed == 1


def test_a_printing_is_found_by_what_it_holds_its_paper_and_who_printed_it(room: Room) -> None:
    cup, tom = room.bisqued(), room.visit(TOM)
    tom.prints("tags", {"things": cup.ref, "stock": SHEET})
    tom.prints("shelves", {"things": "rack 3", "stock": SHEET})

    def found(words: str) -> set[str]:
        return set(re.findall(r'href="/printed/(\d+)"', tom.get("/printed", query_string={"find": words}).text))

    assert found(cup.ref.lower()) == found("TAGS") == {"1"}
    assert found("rack") == {"2"}
    assert found("tom") == {"1", "2"}
    assert found("tom rack") == {"2"}
    assert found("%") == found("kettle") == set()


def test_what_was_printed_is_listed_and_can_be_printed_once_more(room: Room) -> None:
    cup = room.bisqued()
    tom, ines = room.visit(TOM), room.visit(INES)
    tom.prints("tags", {"things": cup.ref, "stock": SHEET, "nudge_x": "1.5", "dpi": "203"})
    tom.prints("shelves", {"things": "rack 3", "stock": SHEET})

    listed, job = tom.get("/printed").text, tom.get("/printed/1").text
    again = tom.get("/paper/tags?job=1").text

    assert listed.index("/printed/2") < listed.index("/printed/1")
    assert re.search(r">1 . Tags</a>", listed)
    assert "moved 1.5 mm to the right" in job
    assert "203 dpi" in job
    assert f'value="{cup.code}" checked' in again
    assert "Nothing printed yet" in ines.get("/printed").text
    assert ines.get("/printed/1").status_code == 404
    assert ines.get("/printed/1.pdf").status_code == 404


def test_a_right_that_was_needed_to_print_is_needed_to_see_it_again(room: Room) -> None:
    ada = room.visit(ADA)
    number = room.person(TOM).id
    ada.prints("badges", {"things": str(number), "stock": SHEET})

    assert ada.get("/printed/1.pdf").status_code == 200
    assert room.visit(TOM).get("/printed/1.pdf").status_code == 403


def test_a_long_printing_says_how_far_it_is_and_then_is_the_same_pdf(
    room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    names = "\n".join(f"rack {number}" for number in range(1, 61))
    monkeypatch.setattr(pages_paper, "AT_A_GLANCE", 50)
    tom = room.visit(TOM)

    answer = tom.post("/paper/shelves", {"things": names, "stock": SHEET})
    page, told = tom.get(answer.headers["Location"]), tom.get("/printed/1/making").data
    lines, _, pdf = told.partition(b"\n\n")

    assert answer.headers["Location"].endswith("/printed/1")
    assert 'data-labels="60"' in page.text
    assert lines == b"25\n50"
    assert pdf == tom.get("/printed/1.pdf").data
    assert len(codes_on(pdf)) == 21


def test_a_double_click_is_one_printing_with_the_same_bytes(room: Room) -> None:
    ref, key = room.bisqued().ref, str(uuid4())
    tom = room.visit(TOM)

    first, second = (
        tom.prints("pickup-slip", {"things": ref, "key": key, "stock": "A6 paper, 105 x 148 mm"}) for _ in "12"
    )

    assert first.data == second.data
    assert len(room.store.read.papers.jobs()) == 1


def test_a_printing_on_labels_that_are_gone_is_a_sentence(room: Room) -> None:
    ada = room.visit(ADA)
    ada.post("/paper/stock", {"name": "Ours", "label_width_mm": "70", "label_height_mm": "40"})
    ada.prints("tags", {"things": room.bisqued().ref, "stock": "Ours"})
    assert ada.get("/printed/1.pdf").status_code == 200

    ada.post("/paper/stock/remove", {"name": "Ours"})
    answer = ada.get("/printed/1.pdf")

    assert answer.status_code == 422
    assert "This studio has no labels called" in answer.text


def test_a_pickup_slip_keeps_the_day_it_was_printed(room: Room) -> None:
    cup = room.bisqued()
    pieces.shelve(room.store, room.asks(TOM), cup.ref, "rack 3")
    tom = room.visit(TOM)
    first = tom.prints("pickup-slip", {"things": cup.ref, "stock": "A6 paper, 105 x 148 mm"})
    room.clock.pass_by(days=3)

    assert text_of(first.data) == text_of(room.visit(TOM).get("/printed/1.pdf").data)
