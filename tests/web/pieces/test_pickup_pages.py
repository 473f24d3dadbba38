"""Pickup: a piece by its code or its maker's name, handed to the maker or a stand-in, with a word about food."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.reading import all_in
from tests.staffed import off_and_out
from tests.studio import INES, MIRA, TOM
from tests.web.pieces.test_pages import words
from tracker.domain.cones import Cone
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Stage, Use
from tracker.domain.studio.materials import Zone
from tracker.usecases.firing import firings, starting
from tracker.usecases.pieces import pickup, pieces
from tracker.usecases.pieces.later_flaws import note_flaws

if TYPE_CHECKING:
    from tests.web.conftest import Room
    from tracker.domain.studio.people import NewPerson


def fired(
    room: Room,
    *whats: str,
    by: NewPerson = INES,
    use: Use = Use.DECORATIVE,
    zone: Zone = Zone.OUTSIDE,
    came: Outcome = Outcome.GOOD,
) -> list[str]:
    """The codes of pieces that came so out of one mid-range firing."""
    refs = []
    number = int(starting.start(room.store, room.asks(TOM), "Back box", "mid-range", Cone.parse("6")).extra["firing"])
    for what in whats:
        ref = room.bisqued(by, what=what, use=use, clay="Middle Gray").ref
        pieces.glaze(room.store, room.asks(TOM), ref, "Still Water", zone)
        pieces.queue(room.store, room.asks(TOM), ref, "mid-range")
        firings.put_in(room.store, room.asks(TOM), number, ref)
        refs.append(ref)
    firings.light(room.store, room.asks(TOM), number)
    off_and_out(room.store, room.asks(TOM), number, dict.fromkeys(refs, came))
    return refs


def test_a_scanned_piece_says_whose_it_is_and_what_else_of_theirs_is_ready(room: Room) -> None:
    first, second = fired(room, "tall cup", "low dish")
    [other] = fired(room, "mask", by=MIRA)

    page = room.visit(TOM).get(f"/pickup?ref={first}").text

    assert all(
        words in page for words in ("tall cup", "Ines Pell", "Still Water", "Also ready, made by Ines Pell", second)
    )
    assert other not in page
    assert "Decorative: not for food or drink." in page
    assert "Only a lab test, not this software" in page


@pytest.mark.parametrize(
    ("use", "came", "told"),
    [
        (Use.DECORATIVE, Outcome.GOOD, {"taken-decorative"}),
        (Use.FOOD, Outcome.GOOD, set()),
        (Use.FOOD, Outcome.of(Flaw.CRAZED), {"taken-decorative"}),
    ],
)
def test_whoever_takes_a_decorative_piece_is_told_that_it_is_not_for_food(
    room: Room, use: Use, came: Outcome, told: set[str]
) -> None:
    [ref] = fired(room, "tall cup", use=use, zone=Zone.INSIDE, came=came)

    receipt = pickup.hand_over(room.store, room.asks(TOM), ref)

    assert {one.code for one in all_in([receipt.message])} & {"taken-decorative", "taken-not-for-food"} == told


def test_a_maker_is_found_by_a_part_of_the_name(room: Room) -> None:
    [ref], tom = fired(room, "tall cup"), room.visit(TOM)

    found = tom.get("/pickup?ref=pell").text
    [there] = re.findall(r'href="(/pickup\?maker=\d+)"', found)

    assert "Ines Pell" in found
    assert ref in tom.get(there).text


def test_neither_a_code_nor_a_name_is_answered_in_one_sentence(room: Room) -> None:
    page = room.visit(TOM).get("/pickup?ref=zzzz9").text

    assert "isn&#39;t a code." in page


def test_a_piece_goes_to_its_maker_and_the_page_goes_on_with_the_rest(room: Room) -> None:
    (first, second), tom = fired(room, "tall cup", "low dish"), room.visit(TOM)
    form = tom.get(f"/pickup?ref={first}").text.partition('class="hand-over"')[2].partition("</form>")[0]
    fields = dict(re.findall(r'name="(ref|seen|maker)" value="([^"]*)"', form))

    answer = tom.post("/pickup", fields)
    page = tom.get(answer.location).text

    assert answer.status_code == 303
    assert f"{first}, tall cup: picked up by Ines Pell. Decorative: not for food or drink." in page
    assert second in page
    assert room.piece(first).stage is Stage.CLAIMED


def test_a_stand_in_is_named_in_the_history(room: Room) -> None:
    [ref] = fired(room, "tall cup")

    room.visit(TOM).post("/pickup", {"ref": ref, "to": "Leo from the office"})

    history = room.store.read.pieces.page(room.piece(ref).id).history
    assert history[-1].facts == {"taker": "Leo from the office", "maker": "Ines Pell"}


def test_a_code_scanned_as_the_name_of_a_stand_in_hands_nothing_out(room: Room) -> None:
    (first, second), tom = fired(room, "tall cup", "low dish"), room.visit(TOM)

    for scanned in (second, second.lower(), f"https://studio.example/p/{second}", "W420", "420"):
        tom.post("/pickup", {"ref": first, "to": scanned})

        assert room.piece(first).stage is Stage.FIRED, scanned


def test_what_is_not_ready_is_not_handed_over(room: Room) -> None:
    ref, tom = room.greenware().ref, room.visit(TOM)

    page = words(tom.get(f"/pickup?ref={ref}"))
    answer = tom.post("/pickup", {"ref": ref})

    assert "This piece is greenware, so it can't be handed out yet." in page
    assert 'class="notice stop"' in tom.get(answer.location).text
    assert room.piece(ref).stage is Stage.GREENWARE


def test_a_piece_that_somebody_else_handed_over_first_is_not_handed_over_again(room: Room) -> None:
    [ref], tom = fired(room, "tall cup"), room.visit(TOM)
    seen = str(room.piece(ref).version)
    tom.post("/pickup", {"ref": ref, "seen": seen})

    answer = tom.post("/pickup", {"ref": ref, "seen": seen})

    assert "has just changed" in tom.get(answer.location).text


def test_ware_for_food_is_promised_nothing(room: Room) -> None:
    [lined], [bare] = (fired(room, "mug", use=Use.FOOD, zone=zone) for zone in (Zone.ALL_OVER, Zone.OUTSIDE))
    tom = room.visit(TOM)

    assert "This piece itself wasn&#39;t tested." in tom.get(f"/pickup?ref={lined}").text
    assert "not shown to be food-safe" in tom.get(f"/pickup?ref={bare}").text


def test_a_flaw_found_after_unloading_is_part_of_the_result_and_what_waits_has_none(room: Room) -> None:
    [ref] = fired(room, "mug", use=Use.FOOD)
    cup = room.bisqued(what="cup", clay="Middle Gray").ref
    tom = room.visit(TOM)

    before = words(tom.get(f"/pickup?ref={ref}"))
    note_flaws(room.store, room.asks(TOM), ref, [Flaw.CRAZED])
    after = words(tom.get(f"/pickup?ref={ref}"))

    assert "Result: good." in before
    assert "Result: good." not in after
    assert "crazed (found after unloading)" in after
    assert "Result:" not in words(tom.get(f"/pickup?ref={cup}"))


def test_a_crack_of_the_bisque_is_told_as_such_and_not_as_found_after_unloading(room: Room) -> None:
    slip = room.greenware().ref
    bisque = int(starting.start(room.store, room.asks(TOM), "Front box", "bisque", Cone.parse("04")).extra["firing"])
    firings.put_in(room.store, room.asks(TOM), bisque, slip, dry=True)
    firings.light(room.store, room.asks(TOM), bisque)
    off_and_out(room.store, room.asks(TOM), bisque, {slip: Outcome.of(Flaw.CRACKED)})
    (ref,) = (row.ref for row in room.store.read.pieces.standing(Stage.BISQUED))
    pieces.glaze(room.store, room.asks(TOM), ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), ref, "mid-range")
    firing = int(starting.start(room.store, room.asks(TOM), "Back box", "mid-range", Cone.parse("6")).extra["firing"])
    firings.put_in(room.store, room.asks(TOM), firing, ref)
    firings.light(room.store, room.asks(TOM), firing)
    off_and_out(room.store, room.asks(TOM), firing, {ref: Outcome.GOOD})
    tom = room.visit(TOM)

    said_of_it = words(tom.get(f"/pickup?ref={ref}"))

    assert "cracked (since its bisque)" in said_of_it
    assert "found after unloading" not in said_of_it


def test_a_lost_piece_is_marked_as_found_where_it_is_scanned_and_has_no_papers_until_then(room: Room) -> None:
    [ref], tom = fired(room, "tall cup"), room.visit(TOM)
    pieces.lose(room.store, room.asks(TOM), ref, "missing")

    page = tom.get(f"/pickup?ref={ref}").text
    assert 'action="/pickup/found"' in page
    assert f"/paper/care?ref={ref}" not in page
    tom.post("/pickup/found", {"ref": ref})

    assert room.piece(ref).stage is Stage.FIRED
    assert f"/paper/care?ref={ref}" in tom.get(f"/pickup?ref={ref}").text


@pytest.mark.parametrize(
    ("came", "is_ground"),
    [
        (Outcome.of(Flaw.RAN), True),
        (Outcome.of(Flaw.STUCK, Flaw.CRAZED), True),
        (Outcome((Flaw.BLISTERED,), outside_only=True), True),
        (Outcome.of(Flaw.CRAZED), False),
        # Shivered ware is bagged, not ground.
        (Outcome.of(Flaw.SHIVERED, Flaw.STUCK), False),
    ],
    ids=str,
)
def test_sharp_glaze_is_ground_by_staff_before_it_is_handed_out(room: Room, came: Outcome, *, is_ground: bool) -> None:
    # Staff grind sharp glaze wet, with eye protection, before anyone handles it (common practice).
    first, *_ = fired(room, "tall cup", "low dish", came=came)

    tom, maker = room.visit(TOM), room.person(INES).id
    scanned, listed = (tom.get(f"/pickup?{asked}").text for asked in (f"ref={first}", f"maker={maker}"))

    assert ("Staff grind it smooth" in scanned) is is_ground
    assert ("Grind wet, with goggles" in listed) is is_ground
    assert ('data-danger="sharp-glaze"' in scanned) is (is_ground or Flaw.STUCK in came.flaws)
