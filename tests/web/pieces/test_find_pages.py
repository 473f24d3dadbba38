"""Looking up: a code opens its piece, a name gives a list, and nobody finds what they may not see."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.studio import ADA, INES, MIRA, TOM
from tracker.domain.cones import Cone
from tracker.domain.pieces.codes import ALPHABET, is_valid
from tracker.domain.studio.materials import Zone
from tracker.domain.studio.spelling import holds, words_in
from tracker.usecases.firing import starting
from tracker.usecases.pieces import pickup, pieces
from tracker.web.pieces.find_pages import MOST_SHOWN

if TYPE_CHECKING:
    from tests.web.conftest import Room, Visitor


def _codes(page: str) -> list[str]:
    return re.findall(r'href="/p/([A-Z0-9]{5})"', page)


def test_a_code_or_a_ticket_opens_its_piece_however_it_is_written(room: Room) -> None:
    ref, slip = room.bisqued().ref, room.greenware().ref
    tom = room.visit(TOM)

    assert tom.get(f"/find?q=+{ref[:2].lower()}-{ref[2:]}+").headers["Location"] == f"/p/{ref}"
    assert tom.get(f"/find?q=https://studio.example/p/{ref}").headers["Location"] == f"/p/{ref}"
    assert tom.get(f"/find?q={slip.lower()}").headers["Location"] == f"/slip/{slip[1:]}"


def test_whoever_moves_pieces_is_told_where_the_scanned_one_goes(room: Room) -> None:
    ref = room.bisqued().ref
    pieces.glaze(room.store, room.asks(TOM), ref, "Still Water", Zone.OUTSIDE)
    tom = room.visit(TOM)

    page = tom.get(tom.get(f"/find?q={ref}").headers["Location"]).text

    assert '<div class="notice note">' in page
    assert "Mid-range" in page.partition('<div class="notice note">')[2].partition("</div>")[0]


def test_a_scanned_piece_offers_the_two_likeliest_things_to_do(room: Room) -> None:
    ref, tom = room.bisqued().ref, room.visit(TOM)
    pieces.glaze(room.store, room.asks(TOM), ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), ref, "mid-range")

    waiting = _actions(tom, ref)
    here = tom.post("/firings", {"at": "Back box / mid-range", "target": ""}).location
    loading = _actions(tom, ref)
    tom.post(f"{here}/in", {"ref": ref})
    tom.post(f"{here}/light")
    tom.unload(here, {f"outcome-{ref}": "crazed"})
    fired = _actions(tom, ref)

    assert waiting == ["Take out of the queue", "Put on a shelf"]
    assert loading == ["Load it in Back box", "Take out of the queue"]
    assert fired == ["Hand it out", "Put on a shelf"]
    assert "<dt>Check</dt><dd>Crazed.</dd>" in tom.get(f"/p/{ref}").text


def test_a_piece_is_loaded_from_its_page_by_the_load_check(room: Room) -> None:
    slip, tom = room.greenware().ref, room.visit(TOM)
    tom.prints("tags", {"things": slip, "stock": "Roll, 57 x 32 mm"})
    here = tom.post("/firings", {"at": "Front box / bisque", "target": ""}).location
    page = tom.get(f"/slip/{slip[1:]}").text

    tom.post(f"{here}/in", {"ref": slip})

    assert f'action="{here}/in"' in page
    assert "data-scan-dry" in tom.get(here).text.partition('class="at-door"')[2].partition("<template")[0]


def _actions(visitor: Visitor, ref: str) -> list[str]:
    """The buttons that a scan of a piece leads to, the main one first."""
    page = visitor.get(visitor.get(f"/find?q={ref}").headers["Location"]).text
    actions = page.partition('<div class="actions">')[2].partition("</div>")[0]
    buttons = re.findall(r'class="btn[^"]*"[^>]*>(.*?)</(?:a|button)>', actions)
    return [re.sub(r"<[^>]+>", "", one).strip() for one in buttons]


def test_a_shelfs_label_opens_the_shelf(room: Room) -> None:
    ref = room.bisqued().ref
    pieces.shelve(room.store, room.asks(TOM), ref, place="rack 3")
    tom = room.visit(TOM)

    answer = tom.get("/find?q=S.rack+3")

    assert _codes(tom.get(answer.headers["Location"]).text) == [ref]


def test_a_piece_is_found_by_its_name_its_maker_its_shelf_and_its_glaze(room: Room) -> None:
    ref = room.bisqued(what="émail dish").ref
    room.bisqued(MIRA, what="tall cup")
    pieces.glaze(room.store, room.asks(TOM), ref, "Still Water", Zone.OUTSIDE)
    pieces.shelve(room.store, room.asks(TOM), ref, place="rack 3")
    tom = room.visit(TOM)

    for asked in ("EMAIL", "ines", "dish+pell", "rack", "still+water"):
        assert _codes(tom.get(f"/find?q={asked}").text) == [ref], asked


def test_a_shelf_finds_only_what_is_on_it_now(room: Room) -> None:
    here, gone = room.bisqued().ref, room.bisqued().ref
    for ref in (here, gone):
        pieces.shelve(room.store, room.asks(TOM), ref, place="cart 1")
    pickup.hand_over(room.store, room.asks(TOM), gone)

    assert _codes(room.visit(TOM).get("/find?q=cart+1").text) == [here]


def test_more_pieces_with_a_glaze_than_fit_are_counted_and_all_of_them_can_be_shown(room: Room) -> None:
    refs = {room.bisqued().ref for _ in range(14)}
    for ref in refs:
        pieces.glaze(room.store, room.asks(TOM), ref, "Still Water", Zone.OUTSIDE)
    tom = room.visit(TOM)

    page = tom.get("/find?q=still+water").text
    [there] = re.findall(r'href="(/find\?[^"]*all=1[^"]*)"', page)

    assert len(set(_codes(page))) < len(refs)
    assert set(_codes(tom.get(there.replace("&amp;", "&")).text)) == refs


def test_more_pieces_of_a_name_than_fit_have_further_pages(room: Room) -> None:
    refs = {room.bisqued(what="tall cup").ref for _ in range(MOST_SHOWN + 2)}
    tom = room.visit(TOM)

    page = tom.get("/find?q=tall").text
    [there] = re.findall(r'href="([^"]+)"\s+rel="next"', page)
    further = tom.get(there.replace("&amp;", "&")).text

    assert len(set(_codes(page))) == MOST_SHOWN
    assert set(_codes(page)) | set(_codes(further)) == refs
    assert 'rel="next"' not in further


def test_a_name_is_found_without_its_apostrophe() -> None:
    for asked in ("herons egg", "heron's", "heron egg", "HERON\u2019S"):
        assert holds("Heron's Egg", words_in(asked)), asked


def test_a_mistyped_code_leads_to_the_piece_it_was_meant_to_be(room: Room) -> None:
    ref = room.bisqued().ref
    slips = (f"{ref[:2]}{symbol}{ref[3:]}" for symbol in ALPHABET)
    mistyped = next(one for one in slips if one != ref and not is_valid(one))

    assert ref in _codes(room.visit(TOM).get(f"/find?q={mistyped}").text)
    assert _codes(room.visit(MIRA).get(f"/find?q={mistyped}").text) == []


@pytest.mark.parametrize("asked", ["dish", "ines", "rack", "still+water", "S.rack+3"])
def test_a_student_finds_nothing_of_anybody_else(room: Room, asked: str) -> None:
    ref = room.bisqued(what="low dish").ref
    own = room.bisqued(MIRA, what="own dish").ref
    pieces.glaze(room.store, room.asks(TOM), ref, "Still Water", Zone.OUTSIDE)
    pieces.shelve(room.store, room.asks(TOM), ref, place="rack 3")

    page = room.visit(MIRA).get(f"/find?q={asked}").text

    assert set(_codes(page)) <= {own}
    assert "Ines" not in page
    assert room.visit(MIRA).get(f"/find?q={ref}").headers.get("Location") is None


def test_kilns_firings_and_clays_are_found_by_those_who_may_see_them(room: Room) -> None:
    number = starting.start(room.store, room.asks(TOM), "Front box", "bisque", Cone.parse("04")).extra["firing"]
    began = room.store.read.firings.listed()[0].began_at
    found = {
        (who, asked): room.visit(who).get(f"/find?q={asked}").text
        for who in (MIRA, TOM, ADA)
        for asked in ("front", f"firing+{number}", f"{began:%Y-%m-%d}", "middle+gray")
    }

    to_firing, to_kiln = f'href="/firings/{number}"', 'href="/catalog/kiln/form?name=Front+box"'
    by_firing = {who for (who, asked), page in found.items() if asked != "middle+gray" and to_firing in page}
    assert all(to_firing in page for (who, asked), page in found.items() if who != MIRA and asked != "middle+gray")
    assert by_firing == {TOM, ADA}
    assert [who for who in (MIRA, TOM, ADA) if to_kiln in found[who, "front"]] == [ADA]
    assert all("Middle Gray" in found[who, "middle+gray"] for who in (MIRA, TOM, ADA))
    assert "Front box" not in found[MIRA, "front"]


def test_the_digits_of_a_ticket_find_it_for_its_maker_and_staff_and_a_near_miss_is_shown_once(room: Room) -> None:
    slip, fired = room.greenware().ref, room.bisqued().ref
    pages = [room.visit(who).get(f"/find?q={slip[1:]}").text for who in (INES, TOM)]
    strange = room.visit(MIRA).get(f"/find?q={slip[1:]}").text

    assert all(f'href="/slip/{slip[1:]}"' in page for page in pages)
    assert f'href="/slip/{slip[1:]}"' not in strange
    assert _codes(room.visit(TOM).get(f"/find?q={fired[:4]}").text) == [fired]


def test_a_clay_finds_ones_own_pieces_in_it_and_any_word_leads_to_the_help(room: Room) -> None:
    mine, hers = room.bisqued(INES, clay="Middle Gray"), room.bisqued(MIRA, clay="Middle Gray")
    other = room.bisqued(INES, clay="Roof Tile Red")

    clay, word = room.visit(INES).get("/find?q=middle+gray").text, room.visit(TOM).get("/find?q=mid-range").text

    assert [f'href="/p/{one.code}"' in clay for one in (mine, hers, other)] == [True, False, False]
    assert 'href="/help?q=middle' in clay
    assert 'href="/waiting?route=mid-range"' in word


def test_a_maker_who_looks_up_a_firing_is_led_to_their_pieces_that_wait_for_it(room: Room) -> None:
    waits, other = room.bisqued().ref, room.bisqued().ref
    pieces.glaze(room.store, room.asks(TOM), waits, "Still Water", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), waits, "mid-range")
    ines = room.visit(INES)

    [there] = re.findall(r'href="(/pieces\?find=[^"]+)"', ines.get("/find?q=midrange").text)
    led_to = _codes(ines.get(there).text)

    assert waits in led_to
    assert other not in led_to
