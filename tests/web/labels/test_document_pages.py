"""Paper from the pages: what goes home with a piece, in words fit for it."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import product
from time import perf_counter
from typing import TYPE_CHECKING

import pypdfium2
import pytest
import zxingcpp
from sqlalchemy import event

from tests.printing.labels.tags import text_of
from tests.reading import said
from tests.studio import ADA, INES, MIRA, TOM
from tests.web.labels.test_tag_pages import codes_on
from tests.web.pieces.test_pickup_pages import fired
from tracker.domain.pieces.piece import Use
from tracker.domain.rules.food_standing import FoodWord
from tracker.domain.studio.cautions import food_on
from tracker.domain.studio.materials import Zone
from tracker.usecases.labels.home_papers import FIRST
from tracker.usecases.pieces import pieces, ware_shelves
from tracker.usecases.pieces.lookup import find_rows

if TYPE_CHECKING:
    from tests.web.conftest import Room

A6 = "A6 paper, 105 x 148 mm"
ROLL = "Roll, 57 x 32 mm"
SHEET = "A4, 3 x 7, 63.5 x 38.1 mm"


def test_a_decorative_piece_goes_home_with_its_warning_first(room: Room) -> None:
    [ref] = fired(room, "tall cup")

    answer = room.visit(INES).prints("care", {"things": ref, "stock": A6, "line": "Open on Tuesdays"})
    text = text_of(answer.data)

    assert answer.mimetype == "application/pdf"
    assert " ".join(text.split()).startswith("Not for Food Use. May Poison Food.")
    assert all(words in text for words in (ref, "tall cup", "Open on Tuesdays, Cinder Lane studio", "Mark the base"))
    assert "Decorative: not for food or drink." in text
    assert codes_on(answer.data) == [ref]


def test_a_piece_for_food_says_what_was_tested_and_promises_nothing(room: Room) -> None:
    [ref] = fired(room, "soup bowl", use=Use.FOOD)

    text = text_of(room.visit(TOM).prints("care", {"things": ref, "stock": A6}).data)

    first = said(FIRST[FoodWord.NOT_SHOWN])
    assert text.startswith(first)
    assert all(words in text for words in ("Not tested", "This particular piece.", "Only a lab test, not this card"))
    laboratory = said(food_on("card"))
    told = " ".join(text.split()).replace(laboratory, "").lower()
    assert "safe" not in told.replace(first.lower(), "")
    assert "dishwasher-safe" not in text.lower()


def test_the_stick_on_is_for_ware_not_for_food_only(room: Room) -> None:
    [vase] = fired(room, "vase")
    [bowl] = fired(room, "bowl", use=Use.FOOD)
    tom = room.visit(TOM)

    answer = tom.prints("not-for-food", {"things": vase, "stock": ROLL})
    refused = tom.prints("not-for-food", {"things": bowl, "stock": ROLL})

    assert " ".join(text_of(answer.data).split()).startswith("Not for Food Use. May Poison Food.")
    assert refused.status_code == 422
    assert f"{bowl} is functional" in refused.text


def test_the_pickup_slip_lists_all_that_is_ready_of_one_maker(room: Room) -> None:
    refs = fired(room, "tall cup", "low dish")
    tom, number = room.visit(TOM), room.person(INES).id
    page = tom.get(f"/paper/pickup-slip?maker={number}").text

    text = text_of(tom.prints("pickup-slip", {"things": refs, "stock": A6}).data)

    assert all(f'value="{ref}" checked' in page for ref in refs)
    assert all(
        words in text for words in (*refs, "Ines Pell", "Mar 3, 2026", "Picked up by", "Decorative, not for food")
    )


def test_pickup_and_a_fired_pieces_page_lead_to_its_papers(room: Room) -> None:
    [ref] = fired(room, "tall cup")
    tom = room.visit(TOM)

    for page in (tom.get(f"/pickup?ref={ref}").text, tom.get(f"/p/{ref}").text):
        assert f"/paper/care?ref={ref}" in page
        assert f"/paper/not-for-food?ref={ref}" in page
    assert "/paper/care" not in tom.get(f"/p/{room.bisqued().ref}").text


def test_nobody_prints_the_papers_of_another_makers_piece(room: Room) -> None:
    [ref] = fired(room, "mask", by=MIRA)
    ines = room.visit(INES)

    assert ines.prints("care", {"things": ref, "stock": A6}).status_code == 404
    assert ines.get(f"/paper/care?ref={ref}").status_code == 404
    assert ines.get(f"/paper/care?maker={room.person(MIRA).id}").status_code == 403
    assert ines.get("/paper/pickup-slip").status_code == 403


def test_the_next_free_label_is_remembered_but_of_plain_paper_and_the_studios_line_is_there(room: Room) -> None:
    [ref] = fired(room, "tall cup")
    room.visit(ADA).post("/paper/line", {"line": "Open on Tuesdays"})
    four, eight, tom = "A4 paper, 4 cards to cut", "A4, 2 x 4, 99.06 x 67.73 mm", room.visit(TOM)
    tom.prints("care", {"things": ref, "stock": four, "start_at": "2"})
    whole = tom.get(f"/paper/care?ref={ref}").text
    tom.prints("care", {"things": ref, "stock": eight, "start_at": "2"})

    page = tom.get(f"/paper/care?ref={ref}").text

    assert f'<option value="{eight}" selected' in page
    assert 'name="start_at" value="3" checked' in page
    # Plain paper is cut up, and the next sheet is whole.
    assert f'<option value="{four}" selected' in whole
    assert re.search(r'name="start_at"\s+value="1"[^>]* checked', whole)
    assert 'value="Open on Tuesdays"' in page


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"stock": "Papyrus"}, "Choose a label from the list."),
        ({"start_at": "22"}, "This sheet has 1 label."),
        ({"stock": "Letter, 4 x 20, 44.45 x 12.7 mm"}, "is too small for a care card"),
        ({"dpi": "many"}, "Choose one of"),
    ],
    ids=["no such stock", "past the sheet", "too small", "no printer"],
)
def test_what_cannot_be_printed_is_said(room: Room, wrong: dict[str, str], says: str) -> None:
    [ref] = fired(room, "tall cup")

    answer = room.visit(TOM).prints("care", {"things": ref, "stock": A6} | wrong)

    assert answer.status_code == 422
    assert says in answer.text


def test_one_bad_code_keeps_the_list_and_can_be_corrected(room: Room) -> None:
    refs, tom = fired(room, "tall cup", "low dish"), room.visit(TOM)
    typed = "\n".join([refs[0], "smudge", refs[1]])

    page = tom.get("/paper/tags", query_string={"codes": typed})
    alone = tom.get("/paper/tags?codes=smudge")

    assert page.status_code == 200
    assert all(f'value="{ref}" checked' in page.text for ref in refs)
    assert re.search(r'<textarea[^>]* id="missing"[^>]*>smudge</textarea>', page.text)
    assert all(f'<input type="hidden" name="ref" value="{ref}"' in page.text for ref in refs)
    assert alone.status_code == 404
    assert ">smudge</textarea>" in alone.text


@pytest.mark.parametrize("kind", ["care", "pickup-slip", "not-for-food"])
def test_what_does_not_go_home_gets_no_paper_for_it(room: Room, kind: str) -> None:
    [cup], raw, tom = fired(room, "tall cup"), room.greenware().ref, room.visit(TOM)

    page = tom.get(f"/paper/{kind}?ref={cup}&ref={raw}").text
    refused = tom.prints(kind, {"things": [cup, raw], "stock": ROLL if kind == "not-for-food" else A6})

    assert f'value="{cup}" checked' in page
    assert f'value="{raw}" checked' not in page
    assert raw in page.partition('id="left-out"')[2].partition("</div>")[0]
    assert refused.status_code == 422


def test_a_care_card_waits_for_the_glaze_firing_or_for_the_hand_out(room: Room) -> None:
    bare, tom = room.bisqued().ref, room.visit(TOM)
    glazed = room.bisqued().ref
    pieces.glaze(room.store, room.asks(TOM), glazed, "Still Water", Zone.OUTSIDE)

    assert [tom.prints("care", {"things": ref, "stock": A6}).status_code for ref in (bare, glazed)] == [422, 422]

    tom.post("/pickup", {"ref": bare, "key": "bare"})
    assert tom.prints("care", {"things": bare, "stock": A6}).status_code == 200


def test_a_lost_piece_gets_no_tag(room: Room) -> None:
    ref, tom = room.bisqued().ref, room.visit(TOM)
    pieces.lose(room.store, room.asks(TOM), ref, "broken")

    assert tom.prints("tags", {"things": ref, "stock": ROLL}).status_code == 422


def test_a_tags_qr_carries_the_port_in_use(room: Room) -> None:
    house = room.pages.app.extensions["footring"]
    room.pages.app.extensions["footring"] = replace(house, port=8123)
    ref, tom = room.bisqued().ref, room.visit(TOM)

    label = pypdfium2.PdfDocument(tom.prints("tags", {"things": ref, "stock": ROLL}).data)[0]
    image = label.render(scale=300 / 72, grayscale=True).to_numpy()
    seen = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode]))
    assert [one.text for one in seen] == [f"http://127.0.0.1:8123/p/{ref}"]


def test_a_page_without_a_piece_or_of_no_kind_says_so(room: Room) -> None:
    tom = room.visit(TOM)

    assert "Codes or ticket numbers, one per line" in tom.get("/paper/care").text
    assert "Nothing is selected." in tom.prints("care", {"stock": A6}).text
    assert tom.get("/paper/papyrus").status_code == 404


def test_the_catalog_leads_to_the_list_of_papers(room: Room) -> None:
    ada = room.visit(ADA)

    assert 'href="/paper"' in ada.get("/catalog").text
    assert all(title in ada.get("/paper").text for title in ("Care card", "Not-for-food label", "Pickup list"))


def test_what_is_unticked_leaves_the_sheet_and_stays_in_the_list(room: Room) -> None:
    refs = fired(room, "tall cup", "low dish")
    tom = room.visit(TOM)

    page = tom.post("/paper/care/look", {"offered": refs, "things": refs[1], "stock": A6, "shown": A6}).text
    text = text_of(tom.prints("care", {"offered": refs, "things": refs[1], "stock": A6}).data)

    assert f'value="{refs[0]}"><' in page
    assert f'value="{refs[1]}" checked' in page
    assert "1 of 1 label," in page
    assert (refs[0] in text, refs[1] in text) == (False, True)


def test_every_sheet_can_be_looked_at_before_it_is_printed(room: Room) -> None:
    racks = [f"rack {number}" for number in range(1, 26)]
    tom = room.visit(TOM)

    def shown(sheet: str) -> str:
        form = {"things": "\n".join(racks), "stock": SHEET, "shown": SHEET, "start_at": "20", "sheet": sheet}
        return tom.post("/paper/shelves/look", form).text

    first, second, third = shown("1"), shown("2"), shown("3")

    assert "2 of 25 labels, the first on label 20 of 21." in first
    assert "21 of 25 labels, the first on label 1 of 21." in second
    assert "2 of 25 labels, the first on label 1 of 21." in third
    assert [f">{rack}<" in second for rack in racks] == [2 <= place < 23 for place in range(25)]
    assert "Sheet 3 of 3" in third
    assert "Sheet 3 of 3" in shown("99")
    assert "Sheet 1 of 3" in shown("no number")
    assert "rack 24\nrack 25</textarea>" in first, "what was typed stays typed"


# ---- the studio's own labels -----------------------------------------------------------------------------------------


def test_shelf_labels_are_picked_from_where_pieces_stand_or_typed(room: Room) -> None:
    pieces.shelve(room.store, room.asks(TOM), room.bisqued().ref, "rack 3")
    tom = room.visit(TOM)
    page = tom.get("/paper/shelves?ref=rack+3").text

    answer = tom.prints("shelves", {"things": ["rack 3", "board 12\nboard 13"], "stock": SHEET})

    assert 'value="rack 3" checked' in page
    assert "More names, one per line" in page
    assert codes_on(answer.data) == ["S.board 12", "S.board 13", "S.rack 3"]


def test_a_shelf_label_from_the_page_is_understood_by_the_scan_page(room: Room) -> None:
    tom, cup = room.visit(TOM), room.bisqued()
    ware_shelves.add_shelf(room.store, room.asks(TOM), "rack 3")
    [bar] = codes_on(tom.prints("shelves", {"things": "rack 3", "stock": SHEET, "dpi": "203"}).data)

    there = tom.post("/scan", {"ref": bar, "step": "shelve"}).location
    tom.post("/scan", {"ref": cup.ref, "step": "shelve", "place": "rack 3"})

    assert "place=rack+3" in there
    assert room.piece(cup.ref).place == "rack 3"


def test_no_shelf_at_all_is_said_in_a_sentence(room: Room) -> None:
    answer = room.visit(TOM).prints("shelves", {"stock": SHEET})

    assert answer.status_code == 422
    assert "Nothing is selected." in answer.text


def test_a_kilns_card_says_what_it_fires_and_what_never_goes_in(room: Room) -> None:
    tom = room.visit(TOM)
    kilns = room.store.read.catalog().kilns.values()
    indoors = next(kiln for kiln in kilns if not kiln.outdoor and "mid-range" in kiln.routes)
    outdoors = next(kiln for kiln in kilns if kiln.outdoor)

    inside, outside = (
        text_of(tom.prints("kiln-doors", {"things": kiln.name, "stock": A6}).data) for kiln in (indoors, outdoors)
    )

    assert all(
        words in inside
        for words in (indoors.name, "Mid-range: cone 6, 1,222", "Do not fire in this kiln", "Raku glazes")
    )
    assert "carbon monoxide" in " ".join(inside.split())
    assert all(
        words in " ".join(outside.split())
        for words in ("raku. Pull at 982", "Pieces for food or drink", "shaded eye protection")
    )
    for text in (inside, outside):
        assert "local fire and burning rules" in " ".join(text.split())


def test_a_badge_says_name_and_role_and_nothing_secret(room: Room) -> None:
    ada = room.visit(ADA)
    page = ada.get("/paper/badges").text

    answer = ada.prints("badges", {"things": str(room.person(TOM).id), "stock": SHEET})
    text = text_of(answer.data)

    assert "Tom Abara" in page
    assert "Ines Pell" not in page
    assert all(words in text for words in ("Tom Abara", "staff"))
    assert TOM.email not in text
    assert codes_on(answer.data) == ["U.Tom Abara"]


def test_a_badge_finds_its_owner_at_pickup_and_signs_nobody_in(room: Room) -> None:
    assert "Ines Pell" in room.visit(TOM).get("/pickup?ref=U.Ines+Pell").text
    stranger = room.stranger()
    assert stranger.post("/sign-in", {"email": "U.Tom Abara", "password": "U.Tom Abara"}).status_code != 302


def test_badges_are_for_those_who_may_see_who_is_here_and_for_staff_only(room: Room) -> None:
    assert room.visit(TOM).get("/paper/badges").status_code == 403
    answer = room.visit(ADA).prints("badges", {"things": str(room.person(INES).id), "stock": SHEET})
    assert answer.status_code == 404


def test_container_numbers_are_those_of_outdoor_sessions_or_typed(room: Room) -> None:
    answer = room.visit(TOM).prints("containers", {"things": ["A1", "A2\nC7"], "stock": SHEET})

    text = text_of(answer.data)
    assert all(name in text for name in ("A1", "A2", "C7"))


def test_the_list_of_papers_shows_each_person_what_they_may_print(room: Room) -> None:
    ada, tom = room.visit(ADA).get("/paper").text, room.visit(TOM).get("/paper").text

    assert all(f"/paper/{name}" in ada for name in ("shelves", "buckets", "kiln-doors", "containers", "badges"))
    assert "/paper/badges" not in tom
    ines = room.visit(INES).get("/paper").text
    assert all(f"/paper/{name}" in ines for name in ("tags", "care", "not-for-food"))
    assert not any(f'/paper/{name}"' in ines for name in ("shelves", "pickup-slip", "badges", "stock"))


def spellings(ref: str) -> list[str]:
    """Thousands of ways to write one code."""
    gaps = ["".join(gap) for many in range(8) for gap in product(".-", repeat=many)]
    return [gap.join(letters) for letters in product(*((one, one.lower()) for one in ref)) for gap in gaps]


@pytest.mark.parametrize("kind", ["shelves", "tags"])
def test_more_than_a_printer_takes_is_refused_before_anything_is_looked_up_or_laid_out(room: Room, kind: str) -> None:
    ref = room.bisqued().ref
    typed = spellings(ref) if kind == "tags" else [f"rack {number}" for number in range(40_000)]
    things = "\n".join(typed)
    staff = room.visit(TOM)
    form = {"things": things, "stock": "A4, 3 x 7, 63.5 x 38.1 mm", "start_at": "1"}

    began = perf_counter()
    answers = [staff.post(f"/paper/{kind}", form), staff.post(f"/paper/{kind}/look", form)]

    assert [answer.status_code for answer in answers] == [422, 422 if kind == "tags" else 200]
    assert all("Print 5,000 or fewer" in answer.text for answer in answers)
    assert perf_counter() - began < 8


def test_thousands_of_spellings_of_a_code_are_looked_up_together(room: Room) -> None:
    ref = room.bisqued().ref
    asked: list[str] = []
    event.listen(room.store._engine, "before_cursor_execute", lambda *told: asked.append(told[2]))

    rows = find_rows(room.store.read, spellings(ref)[:3_000], room.person(TOM))

    assert [row.ref for row in rows] == [ref]
    assert len(asked) < 20
