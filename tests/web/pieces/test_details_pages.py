"""The page on which what is known of a piece is put right, and what leads there."""

from __future__ import annotations

import html
import re

import pytest

from tests.studio import INES, MIRA, TOM
from tests.web.conftest import Room
from tests.web.pieces.test_pages import A_CUP, words
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.piece import Build, Foot, Piece, Use
from tracker.domain.studio.materials import Zone
from tracker.usecases.pieces import editing, pieces
from tracker.usecases.pieces.sets_apart import fires_apart
from tracker.wording.quantities import NO_BREAK


def a_form(piece: Piece, **told: str) -> dict[str, str]:
    """The form as the page of this piece holds it, but for what is told."""
    plain = {"use": str(piece.use), "height": "120 mm", "width": "80 mm", "depth": "80 mm", "form": "open"}
    return {**plain, "seen": str(piece.version), **told}


def glazed(room: Room, *glazes: str, foot: Foot | None = None, **facts: object) -> Piece:
    """A piece of Ines that wears these glazes."""
    ref = room.bisqued(INES, **facts).ref
    for name in glazes:
        pieces.glaze(room.store, room.asks(INES), ref, name, Zone.OUTSIDE, foot=foot)
    return room.piece(ref)


def would_open(page: str) -> list[tuple[str, str]]:
    """The changes that the page of a piece suggests: the sentence and where it leads, if anywhere."""
    found = re.findall(r'<li>(?:<a href="([^"]+)">)?((?:With|Made) [^<]+\.)(?:</a>)?</li>', page)
    return [(html.unescape(says), html.unescape(href)) for href, says in found]


def test_the_page_of_a_piece_leads_to_a_form_that_shows_what_is_known(room: Room) -> None:
    cup, ines = room.bisqued(INES, weight_g=700, fragile=True), room.visit(INES)

    assert f'href="/p/{cup.ref}/known"' in ines.get(f"/p/{cup.ref}").text
    form = ines.get(f"/p/{cup.ref}/known").text

    assert 'name="height" type="text" value="120 mm"' in form
    assert 'name="weight" type="text" value="700 g"' in form
    assert re.search(r'name="fragile" value="yes" checked', form)
    assert 'name="foot"' not in form


def test_a_page_keeps_a_measure_on_one_line_and_a_field_has_it_in_plain_spaces(room: Room) -> None:
    cup = room.bisqued()

    page, form = (room.visit(INES).client.get(f"/p/{cup.code}{end}").text for end in ("", "/known"))

    assert f"{cup.height_mm}{NO_BREAK}mm" in page
    assert f'value="{cup.height_mm} mm"' in form


def test_what_is_told_is_kept_and_said_in_the_history(room: Room) -> None:
    cup, ines = glazed(room, "Still Water", foot=Foot.BARE), room.visit(INES)

    answer = ines.post(f"/p/{cup.ref}/known", a_form(cup, foot="wiped", weight="1 kg"), follow_redirects=True)

    now = room.piece(cup.ref)
    assert (now.foot, now.weight_g, now.stage) == (Foot.WIPED, 1000, cup.stage)
    assert "Details changed: form from unknown to open or with a hole" not in words(ines.get(f"/p/{cup.ref}/known"))
    assert "weight from 400 g to 1 kg" in words(answer)


def test_a_field_that_is_wrong_has_its_sentence_and_nothing_changes(room: Room) -> None:
    cup, ines = room.bisqued(INES), room.visit(INES)

    answer = ines.post(f"/p/{cup.ref}/known", a_form(cup, height="tall"))

    assert answer.status_code == 422
    assert 'id="height-error"' in answer.text
    assert room.piece(cup.ref) == cup


def test_a_use_that_its_glaze_forbids_is_refused_in_the_rules_words(room: Room) -> None:
    cup, ines = glazed(room, "Gilt Edge"), room.visit(INES)

    answer = ines.post(f"/p/{cup.ref}/known", a_form(cup, use="food"))

    assert answer.status_code == 409
    assert "Gilt Edge is decorative only, and this piece is functional." in words(answer)
    assert room.piece(cup.ref).use is Use.DECORATIVE


def test_a_form_that_is_out_of_date_changes_nothing(room: Room) -> None:
    cup, ines = room.bisqued(INES), room.visit(INES)
    ines.post(f"/p/{cup.ref}/known", a_form(cup, fragile="yes"))

    answer = ines.post(f"/p/{cup.ref}/known", a_form(cup, height="90"))

    assert answer.status_code == 409
    assert room.piece(cup.ref).height_mm == 120


def test_a_queued_piece_is_pulled_back_first(room: Room) -> None:
    cup, ines = glazed(room, "Still Water", foot=Foot.WAXED), room.visit(INES)
    pieces.queue(room.store, room.asks(TOM), cup.ref, "mid-range")

    page = words(ines.get(f"/p/{cup.ref}/known"))

    assert "Take it out of the queue first." in page
    assert room.visit(MIRA).get(f"/p/{cup.ref}/known").status_code == 404


@pytest.mark.parametrize(
    ("glaze", "foot", "facts", "starts"),
    [
        ("Still Water", Foot.BARE, {}, "With its foot wiped 6 mm up the side, it can go in Mid-range"),
        ("Ember Luster", Foot.WAXED, {"clay": "Gravel Walk"}, "With 24 hours for the glaze to dry"),
        ("Attic Window", Foot.WAXED, {"use": Use.FOOD}, "Made decorative"),
        ("Plum Gloss", Foot.WAXED, {}, "With Iron Gate instead of Plum Gloss"),
    ],
    ids=["foot", "time", "use", "glaze"],
)
def test_a_suggestion_leads_to_where_it_is_followed(
    room: Room, glaze: str, foot: Foot, facts: dict[str, object], starts: str
) -> None:
    cup, ines = glazed(room, glaze, foot=foot, **facts), room.visit(INES)

    suggested = [(says, href) for says, href in would_open(ines.get(f"/p/{cup.ref}").text) if says.startswith(starts)]

    assert suggested
    says, href = suggested[0]
    if "dry" in starts:
        assert href == ""
    else:
        page = ines.get(href)
        if "Wash off the raw glaze" in page.text:
            again = {"step": "wash off", "ref": cup.ref, "seen": str(cup.version), "glazing": "Iron Gate"}
            page = ines.post(f"/p/{cup.ref}/step", again, follow_redirects=True)
        assert page.status_code == 200
        picked = re.findall(r'<input type="radio" name="(\w+)" value="([^"]+)"(?: id="\w+")? checked', page.text)
        wanted = {
            "With its foot": ("foot", "wiped"),
            "Made": ("use", "decorative"),
            "With Iron": ("glaze", "Iron Gate"),
        }
        assert next(one for start, one in wanted.items() if says.startswith(start)) in picked


def test_a_lid_is_tied_to_its_pot_on_its_own_page_and_let_go_again(room: Room) -> None:
    pot, lid, ines = room.bisqued(INES, what="teapot"), room.bisqued(INES, what="lid"), room.visit(INES)

    assert f'<option value="{pot.ref}">{pot.ref}, teapot</option>' in ines.get(f"/p/{lid.ref}/known").text
    ines.post(f"/p/{lid.ref}/known", a_form(lid, set="", belongs_with=pot.ref))

    shown = ines.get(f"/p/{lid.ref}").text
    assert "Set: teapot" in shown
    assert f'href="/p/{pot.ref}"' in shown
    assert words(ines.get("/pieces")).count("set: teapot") == 2

    ines.post(f"/p/{lid.ref}/known", a_form(room.piece(lid.ref), set=""))

    assert (room.piece(lid.ref).set_name, room.piece(pot.ref).set_name) == (None, "teapot")


def test_a_corrected_clay_is_offered_for_the_lid_and_a_set_that_no_firing_suits_says_so(room: Room) -> None:
    ines = room.visit(INES)
    ines.post("/pieces/new", A_CUP | {"use": "food", "fragile": "yes", "lid_height": "30", "lid_width": "70"})
    lid, jar = (row.piece for row in room.store.read.pieces.last_registered(room.person(INES).id))

    def offered(page: str) -> dict[str, str]:
        form = page.partition(f'action="/p/{lid.ref}/known"')[2].partition("</form>")[0]
        return dict(re.findall(r'name="(\w+)"\s+value="([^"]*)"', form))

    def is_apart(ref: str) -> bool:
        read = room.store.read
        return fires_apart(read.pieces.page(room.piece(ref).id), read.catalog()) is not None

    before = offered(ines.get(f"/slip/{jar.id}").text), is_apart(lid.ref)
    editing.set_right(room.store, room.asks(INES), jar.ref, Told(), clay="Roof Tile Red")
    fields, between = offered(ines.get(f"/slip/{jar.id}").text), is_apart(lid.ref)
    done = ines.post(f"/p/{lid.ref}/known", fields)
    after = offered(ines.get(f"/slip/{jar.id}").text), is_apart(lid.ref)

    assert (before, between, after) == (({}, False), True, ({}, False))
    assert done.status_code == 303
    assert (room.piece(lid.ref).clay.name, room.piece(lid.ref).fragile) == ("Roof Tile Red", lid.fragile)


def test_a_field_for_the_set_that_was_not_sent_lets_nothing_go(room: Room) -> None:
    pot, ines = room.bisqued(INES, what="teapot", set_name="tea"), room.visit(INES)

    ines.post(f"/p/{pot.ref}/known", a_form(pot, weight="1 kg"))

    assert (room.piece(pot.ref).set_name, room.piece(pot.ref).weight_g) == ("tea", 1000)


def test_a_new_size_far_from_the_old_one_is_asked_about(room: Room) -> None:
    cup, ines = room.bisqued(INES), room.visit(INES)

    asked = ines.post(f"/p/{cup.ref}/known", a_form(cup, height="13"))
    before = room.piece(cup.ref).height_mm
    ines.post(f"/p/{cup.ref}/known", a_form(cup, height="13", meant="cm"))

    assert asked.status_code == 422
    assert re.findall(r'name="meant" value="(\w+)"', asked.text) == ["cm", "mm"]
    assert (before, room.piece(cup.ref).height_mm) == (120, 130)


def test_a_mistyped_clay_is_changed_on_greenware_and_asked_about_after_the_bisque(room: Room) -> None:
    raw, fired, ines = room.greenware(INES), room.bisqued(INES), room.visit(INES)
    after_bisque = ines.get(f"/p/{fired.ref}/known").text

    ines.post(f"/p/{raw.ref}/known", a_form(raw, what="mug", clay="Middle Gray", build="coil"))

    now = room.piece(raw.ref)
    assert (now.what, now.clay.name, now.build) == ("mug", "Middle Gray", Build.COIL)
    assert 'name="clay"' not in after_bisque
    assert f'href="/p/{fired.ref}?about=clay#text"' in after_bisque
    begun = re.search(r'<textarea[^>]* name="text"[^>]*>([^<]*)', ines.get(f"/p/{fired.ref}?about=clay").text)
    assert begun is not None
    assert fired.clay.name in begun[1]


def test_staff_edit_a_piece_in_its_queue_and_its_maker_does_not(room: Room) -> None:
    ref = room.bisqued(INES).ref
    pieces.glaze(room.store, room.asks(INES), ref, "Still Water", Zone.OUTSIDE)
    room.clock.pass_by(days=2)
    pieces.queue(room.store, room.asks(TOM), ref, "mid-range")
    tom, ines = room.visit(TOM), room.visit(INES)

    form = tom.get(f"/p/{ref}/known").text
    answer = tom.post(f"/p/{ref}/known", {"what": "pitcher", "clay": "Middle Gray"})

    assert 'name="clay"' in form
    assert answer.status_code == 303
    assert (room.piece(ref).what, room.piece(ref).route) == ("pitcher", "mid-range")
    assert 'name="use"' not in ines.get(f"/p/{ref}/known").text
    assert ines.post(f"/p/{ref}/known", {"what": "mine"}).status_code == 409
