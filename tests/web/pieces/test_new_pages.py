"""New pieces on the pages: what is remembered, usual sizes, doubts, several at once, photos, what is asked later."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tests.photographed import written
from tests.reading import tells
from tests.studio import ADA, INES, TOM
from tests.web.pieces.test_pages import A_CUP, next_on, words
from tests.web.pieces.test_photo_pages import multipart
from tracker.domain.firing.outlooks import Next
from tracker.domain.message import Either
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.piece import Use
from tracker.domain.studio.materials import ClayKind
from tracker.usecases.pieces import editing
from tracker.usecases.pieces.outlooks import outlook_of
from tracker.usecases.studio import catalog

if TYPE_CHECKING:
    from tests.web.conftest import Room


def test_what_the_last_piece_was_of_is_remembered_and_all_of_it_for_another_like_it(room: Room) -> None:
    ines = room.visit(INES)
    ines.post("/pieces/new", A_CUP | {"clay": "Middle Gray", "build": "coil", "fragile": "yes"})
    (row,) = room.store.read.pieces.of(room.person(INES).id)

    remembered, like = ines.get("/pieces/new").text, ines.get(f"/pieces/new?like={row.ref}").text
    first_clay = re.search(r"<option value=.([^>]*?)[^ a-zA-Z]", remembered)

    assert f'href="/pieces/new?like={row.ref}"' in ines.get(f"/slip/{row.piece.id}").text
    for page in (remembered, like):
        assert all(f'<option value="{one}" selected' in page for one in ("Middle Gray", "coil"))
        assert re.search(r'value="decorative"[^>]* checked', page)
    assert first_clay is not None
    assert first_clay[1] == "Middle Gray"
    assert 'value="tall cup"' in like
    assert all(f'value="{size}"' in like for size in ("120 mm", "80 mm", "79 mm"))
    assert re.search(r'name="fragile" value="yes" checked', like)
    assert re.search(r'name="weight" type="text" value=""', like), "each piece is weighed for itself"


def test_without_script_a_form_alone_fills_in_its_usual_size_to_be_corrected(room: Room) -> None:
    ines = room.visit(INES)
    blank = A_CUP | dict.fromkeys(("height", "width", "depth", "form"), "") | {"usual": "jar"}

    asked = ines.post("/pieces/new", blank)
    filled = {
        name: html.unescape(text) for name, text in re.findall(r'name="(\w+)" type="text" value="([^"]*)"', asked.text)
    }
    done = ines.post("/pieces/new", blank | {side: filled[side] for side in filled if "h" in side and filled[side]})

    assert asked.status_code == 422
    assert "common practice" in words(asked)
    assert done.status_code == 303
    pots = [row.piece for row in room.store.read.pieces.last_registered(room.person(INES).id)]
    assert [(pot.height_mm, pot.vented) for pot in pots] == [(40, True), (150, True)]
    assert pots[0].set_key == pots[1].set_key, "the lid came in one go with its jar"


@pytest.mark.parametrize(("answer", "height"), [("in", 76), ("mm", 3)])
def test_a_size_that_makes_no_sense_is_asked_about_and_one_tap_answers(room: Room, answer: str, height: int) -> None:
    ines = room.visit(INES)
    typed = A_CUP | {"height": "3", "width": "2 1/2 in", "depth": "2 1/2 in", "wall": "2"}

    asked = ines.post("/pieces/new", typed)
    before = room.store.read.pieces.of(room.person(INES).id)
    ines.post("/pieces/new", typed | {"meant": answer})

    assert asked.status_code == 422
    assert re.findall(r'name="meant" value="(\w+)"', asked.text) == ["in", "mm"]
    assert 'value="tall cup"' in asked.text
    assert before == ()
    assert [row.piece.height_mm for row in room.store.read.pieces.of(room.person(INES).id)] == [height]


def test_a_pot_smaller_than_a_bead_is_confirmed_before_it_is_registered(room: Room) -> None:
    ines = room.visit(INES)
    typed = A_CUP | {"height": "8 mm", "width": "5 mm", "depth": "5 mm", "wall": "2"}

    asked = ines.post("/pieces/new", typed)
    before = room.store.read.pieces.of(room.person(INES).id)
    ines.post("/pieces/new", typed | {"meant": re.findall(r'name="meant" value="(\w+)"', asked.text)[0]})

    assert (asked.status_code, before) == (422, ())
    assert [row.piece.height_mm for row in room.store.read.pieces.of(room.person(INES).id)] == [8]


def test_six_of_these_end_with_one_button_for_all_their_tickets(room: Room) -> None:
    answer = room.visit(INES).post("/pieces/new", A_CUP | {"count": "6"}, follow_redirects=True)

    refs = {row.ref for row in room.store.read.pieces.of(room.person(INES).id)}
    button = re.search(r'name="things" value="([^"]+)"', answer.text)
    assert len(refs) == 6
    assert button is not None
    assert set(button[1].split()) == refs


def test_a_photo_comes_with_a_new_piece_or_is_a_problem_of_its_field(room: Room) -> None:
    ines = room.visit(INES)

    refused = multipart(ines, "/pieces/new", b"no picture", "cup.jpg", **A_CUP)
    multipart(ines, "/pieces/new", written(), "cup.jpg", **A_CUP)

    (row,) = room.store.read.pieces.of(room.person(INES).id)
    assert refused.status_code == 422
    assert 'id="photo-error"' in refused.text
    assert 'value="tall cup"' in refused.text
    assert len(room.store.read.album.of(row.piece.id)) == 1


@pytest.mark.parametrize(
    "more", [{"do": "look"}, {"height": "8 mm", "width": "5 mm", "depth": "5 mm"}, {"what": ""}], ids=str
)
def test_a_form_that_comes_back_says_that_its_photo_is_lost(room: Room, more: dict[str, str]) -> None:
    ines = room.visit(INES)

    without = ines.post("/pieces/new", A_CUP | more)
    back = multipart(ines, "/pieces/new", written(), "cup.jpg", **A_CUP | more)

    assert 'id="photo-error"' in back.text
    assert 'id="photo-error"' not in without.text


def test_an_answer_about_a_size_registers_nothing_while_the_photo_sent_before_it_is_missing(room: Room) -> None:
    ines = room.visit(INES)
    tiny = A_CUP | {"height": "8 mm", "width": "5 mm", "depth": "5 mm", "wall": "2"}

    def kept(page: str) -> dict[str, str]:
        return dict(re.findall(r'type="hidden" name="(sure_of|photo_lost)"\s+value="([^"]*)"', page))

    asked = multipart(ines, "/pieces/new", written(), "cup.jpg", **tiny)
    answered = ines.post("/pieces/new", tiny | kept(asked.text) | {"meant": "sure"})
    before = room.store.read.pieces.of(room.person(INES).id)
    done = multipart(ines, "/pieces/new", written(), "cup.jpg", **tiny | kept(answered.text))

    (row,) = room.store.read.pieces.of(room.person(INES).id)
    assert (answered.status_code, before, done.status_code) == (422, (), 303)
    assert 'id="photo-error"' in answered.text
    assert len(room.store.read.album.of(row.piece.id)) == 1


def test_a_clay_that_nobody_can_name_is_not_taken_for_the_next_piece(room: Room) -> None:
    ines = room.visit(INES)
    ines.post("/pieces/new", A_CUP)
    known = re.findall(r'<option value="([^"]+)" selected', ines.get("/pieces/new").text)
    nameless = next(one.name for one in room.store.read.catalog().clays.values() if one.kind is ClayKind.UNKNOWN)
    ines.post("/pieces/new", A_CUP | {"clay": nameless})

    page = ines.get("/pieces/new").text

    assert A_CUP["clay"] in known
    assert f'<option value="{nameless}" selected' not in page


def test_a_clay_that_never_holds_food_is_told_as_soon_as_it_is_chosen(room: Room) -> None:
    ines, cup = room.visit(INES), A_CUP | {"use": "food"}
    porous, dense = "Roof Tile Red", "Middle Gray"

    first = ines.post("/pieces/new", cup | {"clay": porous}, follow_redirects=True).text
    second = ines.post("/pieces/new", cup | {"clay": dense}, follow_redirects=True).text
    vase = ines.post("/pieces/new", cup | {"clay": porous, "use": "decorative"}, follow_redirects=True).text

    assert [f"No firing here makes {porous} dense enough" in page for page in (first, second, vase)] == [
        True,
        False,
        False,
    ]
    assert "Mid-range" in second
    red, gray = (
        next(
            row
            for row in room.store.read.pieces.of(room.person(INES).id)
            if row.piece.clay.name == clay and row.piece.use is Use.FOOD
        )
        for clay in (porous, dense)
    )
    page = ines.get(f"/slip/{red.piece.id}")
    # What to do now says it, once; the pot is made, so no other clay is named.
    assert next_on(page) is Next.UNFIT
    assert "dense enough" not in page.text
    receipt = editing.set_right(room.store, room.asks(INES), gray.ref, Told(), clay=porous)
    assert tells([receipt.message], "never-for-food", clay=porous, clays=Either(()))


def test_what_never_holds_food_is_told_on_the_form_and_is_made_decorative_with_one_tap(room: Room) -> None:
    ines, porous = room.visit(INES), {"clay": "Roof Tile Red", "use": "food"}
    again = ines.post("/pieces/new", A_CUP | porous | {"height": ""}).text
    receipt = ines.post("/pieces/new", A_CUP | porous | {"count": "2"}, follow_redirects=True).text
    form = receipt.partition('action="/pieces/registered/decorative"')[2].partition("</form>")[0]
    refs = re.findall(r'name="piece" value="([^"]+)"', form)

    done = ines.post("/pieces/registered/decorative", {"piece": refs, "shown": refs}, follow_redirects=True).text

    told = r'data-never-for-food="[^"]*" hidden'
    assert (bool(re.search(told, ines.get("/pieces/new").text)), bool(re.search(told, again))) == (True, False)
    assert [room.piece(ref).use for ref in refs] == [Use.DECORATIVE] * 2
    assert "/pieces/registered/decorative" not in done


def test_a_clay_whose_absorption_is_not_known_leads_to_who_can_find_it_out(room: Room) -> None:
    clay = room.store.read.catalog().clay("Middle Gray")
    catalog.change(room.store, room.asks(ADA), replace(clay, absorption_pct=None), confirmed=True)
    cup = A_CUP | {"use": "food", "clay": clay.name}
    form, ask = "/catalog/clay/form?name=Middle+Gray#absorption_pct", "about=absorption#text"

    for who, link in ((INES, ask), (ADA, form)):
        mine = room.visit(who)
        receipt = mine.post("/pieces/new", cup, follow_redirects=True).text
        (row,) = room.store.read.pieces.of(room.person(who).id)
        address = f"/slip/{row.piece.id}"
        piece, glazing, new = (mine.get(one).text for one in (address, f"/p/{row.ref}/glaze", "/pieces/new"))

        assert outlook_of(room.store.read, row, room.clock()).next is Next.MEASURE
        assert [link in page for page in (receipt, piece, glazing)] == [True] * 3
        assert (form in new) is (link == form)
        assert 'action="/pieces/registered/decorative"' in receipt
        assert [f'action="/p/{row.ref}/known"' in page for page in (piece, glazing)] == [True] * 2
        begun = mine.get(f"{address}?about=absorption").text
        assert re.search(r'<textarea[^>]*name="text"[^>]*>[^<]+</textarea>', begun)
    catalog.change(room.store, room.asks(ADA), clay, confirmed=True)
    (row,) = room.store.read.pieces.of(room.person(ADA).id)
    assert outlook_of(room.store.read, row, room.clock()).next is not Next.MEASURE


def test_a_clay_that_nobody_can_name_leads_from_its_receipt_to_the_question(room: Room) -> None:
    ines = room.visit(INES)

    receipt = ines.post("/pieces/new", A_CUP | {"clay": "Box of scraps"}, follow_redirects=True).text
    (asks,) = re.findall(r'href="([^"#]+about=clay)#text"', receipt)

    assert re.search(r'<textarea[^>]*name="text"[^>]*>[^<]+</textarea>', ines.get(asks).text)


def test_greenware_goes_to_the_shelf_of_the_bisque_where_the_studio_named_one(room: Room) -> None:
    ines, tile = room.visit(INES), room.greenware(INES)
    addresses = (f"/slip/{tile.id}", f"/pieces/registered?piece={tile.ref}")
    before = [ines.get(one).text for one in addresses]
    bisque = room.store.read.catalog().route("bisque")
    catalog.change(room.store, room.asks(ADA), replace(bisque, shelf="drying rack"))

    after = [ines.get(one).text for one in addresses]

    assert ["drying rack" in page for page in (*before, *after)] == [False, False, True, True]


def test_a_closed_form_is_told_of_its_hole_with_its_makers_name_and_no_firing(room: Room) -> None:
    sealed, open_form = (room.greenware(INES, vented=vented) for vented in (False, True))
    tom, ines = room.visit(TOM), room.visit(INES)

    receipts = [tom.get(f"/pieces/registered?piece={one.ref}").text for one in (sealed, open_form)]
    pages = [ines.get(f"/slip/{one.id}").text for one in (sealed, open_form)]

    assert ["notice stop" in page for page in receipts] == [True, False]
    assert [room.store.read.catalog().route("mid-range").title in page for page in receipts] == [False, True]
    assert all(INES.name in page for page in receipts)
    assert ["form=open#form" in page for page in pages] == [True, False]
    assert ['id="firings"' in page for page in pages] == [False, True]


def test_a_piece_without_its_ticket_has_the_button_in_sight_with_what_it_prints_on(room: Room) -> None:
    ines = room.visit(INES)
    nameless = room.greenware(INES, clay="Box of scraps")

    before = ines.get(f"/slip/{nameless.id}").text
    ines.post("/paper/tags/now", {"things": nameless.ref})
    after = ines.get(f"/slip/{nameless.id}").text

    assert ['action="/paper/tags/now"' in page.partition('class="folds-of-piece"')[0] for page in (before, after)] == [
        True,
        False,
    ]
    assert "Prints on" in before


def test_more_pieces_than_go_in_one_go_are_refused_and_never_cut(room: Room) -> None:
    ines = room.visit(INES)
    field = re.search(r'<input[^>]* name="count"[^>]*>', ines.get("/pieces/new").text)

    answer = ines.post("/pieces/new", A_CUP | {"count": "200"})

    assert field is not None
    assert 'maxlength="2"' not in field[0]
    assert (answer.status_code, 'id="count-error"' in answer.text) == (422, True)
    assert room.store.read.pieces.of(room.person(INES).id) == ()


def test_where_a_firing_needs_to_know_more_the_page_of_the_piece_leads_to_the_field(room: Room) -> None:
    ines = room.visit(INES)
    unknown = dict.fromkeys(("weight", "wall", "form"), "")
    ines.post("/pieces/new", A_CUP | unknown)
    (row,) = room.store.read.pieces.of(room.person(INES).id)

    page = ines.get(f"/slip/{row.piece.id}").text

    for field in ("weight", "form"):
        address = f"/p/{row.ref}/known"
        assert f'href="{address}#{field}"' in page
        assert f'id="{field}"' in ines.get(address).text


def test_another_like_a_jar_has_its_lid_and_is_offered_of_the_jar(room: Room) -> None:
    ines = room.visit(INES)
    ines.post("/pieces/new", A_CUP | {"what": "jar", "lid_height": "30", "lid_width": "70"})
    lid, jar = (row.piece for row in room.store.read.pieces.last_registered(room.person(INES).id))

    offered, like = ines.get("/pieces/new").text, ines.get(f"/pieces/new?like={jar.ref}").text

    assert f'href="/pieces/new?like={jar.ref}"' in offered
    assert re.search(r'name="lid_height" type="text" value="30 mm"', like)
    assert re.search(r'name="lid_width" type="text" value="70 mm"', like)
    assert 'name="lid_width" type="text" value=""' in ines.get(f"/pieces/new?like={lid.ref}").text


@pytest.mark.parametrize(("build", "status"), [("pinch", 303), ("coil", 303), ("slab", 422), ("carved", 422)])
def test_what_has_no_corners_is_as_deep_as_wide(room: Room, build: str, status: int) -> None:
    ines = room.visit(INES)

    answer = ines.post("/pieces/new", A_CUP | {"build": build, "depth": ""})

    assert answer.status_code == status
    sizes = [(row.piece.width_mm, row.piece.depth_mm) for row in room.store.read.pieces.of(room.person(INES).id)]
    assert sizes == ([(80, 80)] if status == 303 else [])


def test_a_form_says_how_it_is_made_and_the_last_piece_only_where_no_form_is_picked(room: Room) -> None:
    ines = room.visit(INES)
    ines.post("/pieces/new", A_CUP | {"build": "slab", "use": "food"})
    blank = A_CUP | dict.fromkeys(("height", "width", "depth"), "") | {"build": "slab", "use": "food"}

    mug = ines.post("/pieces/new", blank | {"usual": "mug"}).text
    tile = ines.post("/pieces/new", blank | {"usual": "test-tile"}).text
    told = ines.post("/pieces/new", blank | {"usual": "mug", "build": "coil"}).text

    assert '<option value="thrown" selected' in mug
    assert '<option value="coil" selected' in told
    assert re.search(r'value="decorative"[^>]* checked', tile)


def test_what_has_to_be_told_is_asked_for_by_its_name(room: Room) -> None:
    blank = A_CUP | dict.fromkeys(("what", "height", "width"), "")

    answer = room.visit(INES).post("/pieces/new", blank)

    said = re.findall(r'id="(?:what|height|width)-error">.*?<span>([^<]+)</span>', answer.text, re.DOTALL)
    assert len(set(said)) == 3


@pytest.mark.parametrize("form", ["mug", "bowl", "plate"])
def test_what_one_eats_from_is_for_food_unless_somebody_says_otherwise(room: Room, form: str) -> None:
    ines = room.visit(INES)
    ines.post("/pieces/new", A_CUP | {"use": "decorative"})

    page = ines.post("/pieces/new", {"usual": form, "what": "one", "clay": A_CUP["clay"], "use": "decorative"}).text

    assert re.search(r'name="use" value="food"[^>]* checked', page)


def test_a_wall_thicker_than_its_pot_is_asked_about_where_it_is_registered_and_edited(room: Room) -> None:
    ines = room.visit(INES)

    asked = ines.post("/pieces/new", A_CUP | {"wall": "9 in"})
    ines.post("/pieces/new", A_CUP)
    (row,) = room.store.read.pieces.of(room.person(INES).id)
    edited = ines.post(f"/p/{row.ref}/known", {"wall": "9 in", "seen": str(row.piece.version)})

    assert [(answer.status_code, "thickest wall: 9 in" in answer.text) for answer in (asked, edited)] == [
        (422, True),
        (422, True),
    ]


def test_what_was_registered_names_clear_firings_before_those_that_need_care(room: Room) -> None:
    ines = room.visit(INES)
    receipt = ines.post("/pieces/new", A_CUP | {"fragile": "yes"}, follow_redirects=True)

    told = words(receipt).partition("After the bisque and before any glaze, it could be fired in:")[2]
    clear, _said, careful = told.partition("With care:")

    assert "Mid-range" in clear
    assert "Outdoor, raku" not in clear
    assert "Outdoor, raku" in careful
