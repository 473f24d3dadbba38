"""What came out with a flaw where food comes is decorative everywhere, until it is fired again and comes out well."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.staffed import off_and_out
from tests.studio import ADA, INES, TOM
from tests.web.pieces.test_pages import next_on
from tracker.domain.cones import Cone
from tracker.domain.firing.outlooks import Next
from tracker.domain.pieces.disposal import Disposal
from tracker.domain.pieces.outcomes import SPOILS_FOOD, Flaw, Outcome
from tracker.domain.pieces.piece import Stage, Use
from tracker.domain.refusals import NotAStep, Unusable
from tracker.domain.studio.materials import Zone
from tracker.usecases.firing import firings, starting
from tracker.usecases.firing.results import correct_result
from tracker.usecases.labels.home_papers import card_of, needs_a_warning, stick_on_of
from tracker.usecases.labels.tags import tag_of
from tracker.usecases.pieces import disposing, pickup, pieces
from tracker.wording.reader import ANYONE

if TYPE_CHECKING:
    from tests.web.conftest import Room
    from tracker.store.pieces.queries import PiecePage


def a_mug(room: Room) -> str:
    """The code of a mug for food that waits for the mid-range kiln."""
    ref = room.bisqued(INES, what="mug", use=Use.FOOD, clay="Middle Gray").ref
    pieces.glaze(room.store, room.asks(TOM), ref, "Still Water", Zone.INSIDE)
    pieces.queue(room.store, room.asks(TOM), ref, "mid-range")
    return ref


def fire(room: Room, ref: str, came: Outcome) -> None:
    """Fire what waits, and take it out so."""
    number = int(starting.start(room.store, room.asks(TOM), "Back box", "mid-range", Cone.parse("6")).extra["firing"])
    firings.put_in(room.store, room.asks(TOM), number, ref)
    firings.light(room.store, room.asks(TOM), number)
    off_and_out(room.store, room.asks(TOM), number, {ref: came})


def page_of(room: Room, ref: str) -> PiecePage:
    """All that is known of a piece."""
    return room.store.read.pieces.page(room.piece(ref).id)


def told(room: Room, ref: str) -> dict[str, str]:
    """What each place tells of a piece."""
    tom, page, studio = room.visit(TOM), page_of(room, ref), room.store.read.studio()
    return {
        "page": tom.get(f"/p/{ref}").text,
        "pickup": tom.get(f"/pickup?ref={ref}").text,
        "card": repr(card_of(page, studio, ANYONE)),
        "tag": repr(tag_of(page.row, studio.catalog, "http://here", ANYONE, is_reprint=False)),
    }


def test_a_crazed_mug_is_decorative_on_its_page_at_pickup_and_on_paper_with_the_reason(room: Room) -> None:
    ref = a_mug(room)
    fire(room, ref, Outcome.of(Flaw.CRAZED, Flaw.STUCK))

    says = told(room, ref)

    why = "It came out crazed: not for food or drink until a refire comes out well."
    assert all(why in says[place] for place in ("page", "card"))
    assert "Decorative because of its flaws: not for food or drink." in says["page"]
    assert "Not for food" in says["pickup"]
    assert "Not for Food Use. May Poison Food." in says["card"]
    assert "Decorative because of its flaws" in says["card"]
    # What a refire may heal gets no hole drilled through it.
    assert "until a later firing comes out well" in says["card"]
    assert "drill" not in says["card"]
    assert "decorative, not for food" in says["tag"]
    assert all(f"/paper/not-for-food?ref={ref}" in says[place] for place in ("page", "pickup"))
    assert "Not for Food Use. May Poison Food." in repr(
        stick_on_of(page_of(room, ref), room.store.read.studio(), ANYONE)
    )


def test_whoever_takes_it_is_told_so(room: Room) -> None:
    ref, tom = a_mug(room), room.visit(TOM)
    fire(room, ref, Outcome.of(Flaw.CRAZED))

    answer = tom.post("/pickup", {"ref": ref}, follow_redirects=True)

    assert "Decorative: not for food or drink." in answer.text


def test_what_shivered_is_bagged_and_only_the_instructor_hands_it_out_and_says_so(room: Room) -> None:
    bagged, asked_for = a_mug(room), a_mug(room)
    for ref in (bagged, asked_for):
        fire(room, ref, Outcome.of(Flaw.SHIVERED))
    tom, ada = room.visit(TOM), room.visit(ADA)

    assert next_on(tom.get(f"/p/{bagged}")) is Next.BAG
    assert "step=shelve" not in tom.get(f"/p/{bagged}").text.partition('class="more')[0]
    assert "knows" not in tom.get(f"/pickup?ref={bagged}").text
    assert bagged not in tom.get("/pickup").text
    assert tom.post("/paper/care", {"ref": bagged}).status_code == 422
    for visitor, knows in ((tom, ""), (tom, "yes"), (ada, "")):
        visitor.post("/pickup", {"ref": bagged, "knows": knows})
        assert room.piece(bagged).stage is Stage.FIRED
    with pytest.raises(NotAStep, match="sheds-slivers"):
        disposing.dispose(room.store, room.asks(TOM), Disposal.DONATE, [(bagged, room.piece(bagged).version)])

    discards = {"ref": bagged, "step": "lose", "cause": "discarded", "seen": str(room.piece(bagged).version)}
    tom.post(f"/p/{bagged}/step", discards)
    assert 'name="knows"' in ada.get(f"/pickup?ref={asked_for}").text
    ada.post("/pickup", {"ref": asked_for, "knows": "yes"})

    assert (room.piece(bagged).stage, room.piece(asked_for).stage) == (Stage.LOST, Stage.CLAIMED)


def test_it_may_be_fired_again_without_any_leave_for_its_flaw_and_is_for_food_once_it_comes_out_well(
    room: Room,
) -> None:
    ref = a_mug(room)
    fire(room, ref, Outcome.of(Flaw.PINHOLED))
    pieces.fire_again(room.store, room.asks(ADA), ref, "pinholes inside")
    pieces.queue(room.store, room.asks(TOM), ref, "mid-range")
    fire(room, ref, Outcome.GOOD)

    says = told(room, ref)

    assert not any("came out" in text for text in says.values())
    assert "functional" in says["tag"]
    assert "decorative" not in says["tag"]
    with pytest.raises(Unusable, match="meant-for-food"):
        stick_on_of(page_of(room, ref), room.store.read.studio(), ANYONE)


@pytest.mark.parametrize("flaw", Flaw)
def test_just_the_flaws_that_spoil_a_food_surface_ask_for_the_mark(room: Room, flaw: Flaw) -> None:
    ref = a_mug(room)
    fire(room, ref, Outcome.of(flaw))

    assert needs_a_warning(page_of(room, ref), room.store.read.studio()) is (flaw in SPOILS_FOOD)


def test_a_flaw_that_shows_only_outside_leaves_the_food_surface_alone(room: Room) -> None:
    ref = a_mug(room)
    fire(room, ref, Outcome((Flaw.PINHOLED,), outside_only=True))

    assert not needs_a_warning(page_of(room, ref), room.store.read.studio())


def test_an_underfired_piece_says_that_another_firing_may_mend_it_and_a_claimed_one_says_no_place(room: Room) -> None:
    ref, ines = a_mug(room), room.visit(INES)
    fire(room, ref, Outcome.of(Flaw.UNDERFIRED))
    pieces.shelve(room.store, room.asks(TOM), ref, "pickup, middle")

    fired = ines.get(f"/p/{ref}")
    pickup.hand_over(room.store, room.asks(TOM), ref)
    claimed = ines.get(f"/p/{ref}")

    assert next_on(fired) is Next.FIRE_AGAIN
    assert "<dd>pickup, middle</dd>" in fired.text
    assert "<dd>pickup, middle</dd>" not in claimed.text


def test_an_s_crack_comes_out_with_its_article(room: Room) -> None:
    ref = a_mug(room)
    fire(room, ref, Outcome.of(Flaw.S_CRACK))

    assert "It came out with an S-crack: not for food or drink" in told(room, ref)["page"]


def test_crazing_that_its_maker_finds_at_home_makes_a_mug_decorative_and_only_staff_take_it_off_again(
    room: Room,
) -> None:
    ref, ines = a_mug(room), room.visit(INES)
    fire(room, ref, Outcome.GOOD)
    pickup.hand_over(room.store, room.asks(TOM), ref)

    found = ines.post(f"/p/{ref}/flaws", {"flaw": "crazed", "glaze_note": "fine net inside"}, follow_redirects=True)
    again = ines.post(f"/p/{ref}/flaws", {})
    after = room.piece(ref).flaws
    room.visit(TOM).post(f"/p/{ref}/flaws", {})

    assert "decorative" in found.text
    assert "Found later: crazed" in found.text
    assert "Glaze: fine net inside" in found.text
    assert again.status_code == 422
    assert after == (Flaw.CRAZED,)
    assert room.piece(ref).flaws == ()
    assert needs_a_warning(page_of(room, ref), room.store.read.studio()) is False


@pytest.mark.parametrize(("where", "holds_food"), [({"outside": "yes"}, True), ({}, False)])
def test_pinholes_found_later_spoil_food_only_where_food_comes(
    room: Room, where: dict[str, str], *, holds_food: bool
) -> None:
    ref = a_mug(room)
    fire(room, ref, Outcome.GOOD)

    room.visit(TOM).post(f"/p/{ref}/flaws", {"flaw": "pinholed", **where})

    assert room.piece(ref).holds_food is holds_food
    assert "inholed" in room.visit(TOM).get(f"/pickup?ref={ref}").text


def ticked(room: Room, ref: str) -> set[str]:
    """What the form for flaws opens with."""
    boxes = re.findall(r'<input type="checkbox"[^>]*>', room.visit(TOM).get(f"/p/{ref}/flaws").text)
    found = [re.search(r'name="(\w+)" value="([\w-]+)"', box) for box in boxes if " checked" in box]
    return {one[1] if one[1] == "outside" else one[2] for one in found if one}


def test_the_form_for_flaws_opens_with_what_is_recorded_and_sent_so_changes_nothing(room: Room) -> None:
    ref, tom = a_mug(room), room.visit(TOM)
    fire(room, ref, Outcome((Flaw.PINHOLED, Flaw.STUCK), outside_only=True))

    opened = ticked(room, ref)
    as_before = tom.post(f"/p/{ref}/flaws", {"flaw": ["pinholed", "stuck"], "outside": "yes"})
    tom.post(f"/p/{ref}/flaws", {"flaw": ["pinholed", "stuck", "crazed"]})
    counting, of_both = room.piece(ref).flaws, ticked(room, ref)
    tom.post(f"/p/{ref}/flaws", {"flaw": ["stuck"]})

    assert opened == {"pinholed", "stuck", "outside"}
    assert as_before.status_code == 422
    assert counting == (Flaw.CRAZED, Flaw.PINHOLED, Flaw.STUCK)
    assert of_both == {"crazed", "pinholed", "stuck"}
    assert (room.piece(ref).flaws, ticked(room, ref)) == ((Flaw.STUCK,), {"stuck"})


def test_what_shows_only_outside_stays_so_when_another_flaw_is_found_inside(room: Room) -> None:
    ref, tom = a_mug(room), room.visit(TOM)
    fire(room, ref, Outcome.of(Flaw.CRAZED))
    tom.post(f"/p/{ref}/flaws", {"flaw": ["crazed", "pinholed"], "outside": "yes"})

    opened = ticked(room, ref)
    tom.post(f"/p/{ref}/flaws", {"flaw": ["crazed", "pinholed", "blistered"]})

    assert opened == {"crazed", "pinholed"}
    assert room.piece(ref).flaws == (Flaw.CRAZED, Flaw.BLISTERED)


def test_shivering_that_shows_only_outside_counts_and_is_seen_wherever_the_piece_is_handed_out(room: Room) -> None:
    # A shivered glaze sheds slivers wherever it is (common practice).
    ref = a_mug(room)
    fire(room, ref, Outcome.GOOD)

    room.visit(TOM).post(f"/p/{ref}/flaws", {"flaw": "shivered", "outside": "yes"})

    assert room.piece(ref).flaws == (Flaw.SHIVERED,)
    assert needs_a_warning(page_of(room, ref), room.store.read.studio())
    assert all("shivered" in room.visit(TOM).get(page).text for page in (f"/p/{ref}/flaws", f"/pickup?ref={ref}"))
    tom, maker = room.visit(TOM), room.person(INES).id
    assert 'data-danger="shivered"' in tom.get(f"/pickup?ref={ref}").text
    # It is bagged: no list of what is ready has it, and no shelf.
    assert ref not in tom.get(f"/pickup?maker={maker}").text
    assert "/pickup?maker" not in tom.get(f"/makers/{maker}").text
    with pytest.raises(NotAStep, match="sheds-slivers"):
        pieces.shelve(room.store, room.asks(TOM), ref, "pickup, low")


def test_flaws_are_recorded_of_fired_pieces_alone(room: Room) -> None:
    ref = a_mug(room)

    assert room.visit(TOM).post(f"/p/{ref}/flaws", {"flaw": "crazed"}).status_code == 409
    assert "/flaws" not in room.visit(TOM).get(f"/p/{ref}").text


def test_the_page_of_bisque_that_went_wrong_says_so_before_it_is_glazed_and_so_does_its_glazing_page(
    room: Room,
) -> None:
    number, refs = room.bisque_load(3)
    came = (Outcome.GOOD, Outcome.of(Flaw.SLUMPED), Outcome.of(Flaw.WARPED, Flaw.OVERFIRED))
    for ref, outcome in zip(refs, came, strict=True):
        if outcome.flaws:
            correct_result(room.store, room.asks(TOM), number, ref, outcome)

    ines = room.visit(INES)
    pages = [ines.get(f"/p/{ref}").text for ref in refs]
    glazing = [ines.get(f"/p/{ref}/glaze").text for ref in refs]

    bent, dense = "Its bisque came out slumped.", "takes too little glaze"
    assert [(bent in page, dense in page) for page in pages] == [(False, False), (True, False), (False, True)]
    assert "Its bisque came out warped." in pages[2]
    assert [dense in page for page in glazing] == [False, False, True]
