"""The shelf staff's day with a scanner in the hand: a bisque, the shelves, the queues, a kiln's door and the pickup."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from tests.journeys.visiting import (
    NOW,
    PHONE,
    TABLET,
    Visits,
    all_sent,
    answered,
    came_out,
    line,
    made_pdf,
    on_page,
    read_back,
    scan,
    texts,
    words_in,
)
from tests.staffed import ADA, INES, MIRA, TOM, asked_by, bisqued, fired, glazed, queued, started, the_piece
from tests.studio import a_new_piece
from tracker.domain.cones import Cone
from tracker.domain.pieces.codes import is_valid
from tracker.domain.pieces.piece import Stage
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pieces
from tracker.wording.render import read

_LOW, _HIGH = read(Cone.parse("04")), read(Cone.parse("10"))


def _pick(page: Page, job: str) -> None:
    page.goto("/scan")
    page.get_by_role("link", name=job).first.click()


def test_a_bisque_load_is_scanned_in_unloaded_and_all_its_tags_printed_at_once(visits: Visits) -> None:
    slips = [pieces.register(visits.store, asked_by(INES), a_new_piece(f"tile {count}")).ref for count in range(7)]
    page = visits.visit(TOM, "/firings", viewport=TABLET)

    page.get_by_label("Kiln and firing type").select_option(label=f"Bisque in Front box, {on_page(Cone.parse('06'))}")
    page.get_by_role("button", name="Start loading").click()
    page.get_by_label("All greenware in this load is bone dry").check()
    page.get_by_label("Scan the piece in your hands").focus()
    scan(page, *slips)
    answered(page, 7)
    words = texts(page, ".scan-line .word")
    page.reload()
    page.get_by_role("button", name="Start the kiln").click()
    page.get_by_role("button", name="Mark kiln as off").click()
    page.get_by_role("link", name="Unload this firing").click()
    page.get_by_label("was fired").check()
    came_out(page, slips[0], "broke")
    all_sent(page, 1)
    page.get_by_role("button", name="Mark rest good and unload").click()
    page.get_by_role("link", name="Print all 6 tags").click()
    shown = sorted(texts(page, ".check .code"))
    bars, squares = read_back(made_pdf(page))

    assert words == ["GO"] * 7
    assert len(shown) == 6
    assert all(is_valid(code) for code in shown)
    assert bars == shown
    assert [address.rpartition("/p/")[2] for address in squares] == shown


def test_pieces_are_waxed_one_scan_after_the_other_and_the_last_is_undone(visits: Visits) -> None:
    refs = [bisqued(visits.store) for _ in range(3)]
    page = visits.visit(TOM, viewport=TABLET)

    _pick(page, "Wax")
    scan(page, *refs)
    answered(page, 3)
    said = texts(page, ".scan-line .code")[:3]
    line(page).get_by_role("button", name="Undo").click()
    expect(line(page)).to_contain_text("Undone")

    assert said == refs[::-1]
    assert [the_piece(visits.store, ref).stage for ref in refs] == [Stage.WAXED, Stage.WAXED, Stage.BISQUED]


def test_the_wrong_queue_is_refused_with_why_and_what_to_do(visits: Visits) -> None:
    ref = glazed(visits.store, "Plum Gloss")
    page = visits.visit(TOM, viewport=TABLET)

    _pick(page, "High-fire")
    scan(page, ref)
    answered(page, 1)
    said = words_in(line(page).locator("p"))
    _pick(page, "Low-fire")
    scan(page, ref)
    answered(page, 1)

    assert said == (
        f"Plum Gloss only goes to {_LOW}: at {_HIGH}, it melts off the pot onto the shelf. "
        "Put it on the Low-fire shelf."
    )
    expect(line(page)).to_contain_text(f"{ref}, tall cup: queued for Low-fire, {_LOW}.")
    assert the_piece(visits.store, ref).route == "low-fire"


def test_a_warning_is_accepted_by_name_in_its_own_line(visits: Visits) -> None:
    ref = glazed(visits.store, "Ember Luster", new=a_new_piece("winged vase", fragile=True))
    page = visits.visit(TOM, viewport=TABLET)

    _pick(page, "Outdoor, raku")
    scan(page, ref)
    answered(page, 1)
    said = words_in(line(page).locator("p"))
    before = the_piece(visits.store, ref).stage
    page.get_by_role("button", name="Accept this and move").click()
    expect(line(page)).to_contain_text("Queued")

    (row,) = [row for row in visits.store.read.pieces.waiting(["raku"]) if row.ref == ref]
    assert "Thin parts stick out and may break off in the tongs." in said
    assert before is Stage.GLAZED
    assert row.accepted == ("fragile-outdoors",)


def test_thirty_fast_scans_are_each_answered_in_their_own_line_in_order(visits: Visits) -> None:
    refs = [glazed(visits.store) for _ in range(30)]
    page = visits.visit(TOM, viewport=TABLET)

    _pick(page, "Mid-range")
    scan(page, *refs)
    answered(page, 30)

    assert texts(page, ".scan-line .code")[:30] == refs[::-1]
    assert texts(page, ".scan-line .word")[:30] == ["Queued"] * 30
    assert {the_piece(visits.store, ref).route for ref in refs} == {"mid-range"}


def test_a_wrong_code_is_answered_with_the_likeliest_piece(visits: Visits) -> None:
    ref = bisqued(visits.store, a_new_piece("lantern"))
    wrong = ref[1] + ref[0] + ref[2:] if ref[0] != ref[1] else ref[0] + ref[2] + ref[1] + ref[3:]
    page = visits.visit(TOM, viewport=TABLET)

    _pick(page, "Wax")
    scan(page, wrong)
    answered(page, 1)

    expect(line(page)).to_contain_text(f"“{wrong}” isn't a code.")
    expect(line(page)).to_contain_text(f"Did you mean {ref}, the lantern by Mira T.")
    assert the_piece(visits.store, ref).stage is Stage.BISQUED


def test_a_piece_that_somebody_else_moved_first_is_answered_as_it_stands_now(visits: Visits) -> None:
    moved, queued_already = bisqued(visits.store), queued(visits.store)
    page = visits.visit(TOM, viewport=TABLET)

    _pick(page, "Wax")
    pieces.wax(visits.store, asked_by(ADA), moved)
    scan(page, moved, queued_already)
    answered(page, 2)

    expect(line(page, 1)).to_contain_text("already waxed. Nothing was changed.")
    expect(line(page)).to_contain_text(f"{queued_already} is queued")
    assert the_piece(visits.store, queued_already).stage is Stage.QUEUED


def test_staff_glaze_a_piece_for_its_maker(visits: Visits) -> None:
    ref = bisqued(visits.store, maker=MIRA)
    page = visits.visit(TOM, f"/p/{ref}/glaze", viewport=TABLET)

    page.locator("label.choice", has_text="outside").click()
    page.locator("label.choice", has_text="wiped").click()
    page.locator("label.pick", has_text="Iron Gate").click()
    page.get_by_role("button", name="Apply").click()

    expect(page.locator(".layers")).to_contain_text("Iron Gate")
    assert the_piece(visits.store, ref).stage is Stage.GLAZED


def test_at_the_kilns_door_it_says_go_or_stop_and_the_kiln_is_unloaded(visits: Visits) -> None:
    mine, other = (
        queued(visits.store, "Iron Gate", route="high-fire"),
        queued(visits.store, "Plum Gloss", route="low-fire"),
    )
    page = visits.visit(TOM, "/firings", viewport=TABLET)

    page.get_by_label("Kiln and firing type").select_option(label=f"High-fire in Back box, {on_page(Cone.parse('10'))}")
    page.get_by_role("button", name="Start loading").click()
    scan(page, mine, other)
    answered(page, 2)
    go, stop = words_in(line(page, 1)), words_in(line(page))
    page.reload()
    page.get_by_role("button", name="Start the kiln").dblclick()
    page.get_by_role("button", name="Mark kiln as off").click()
    page.get_by_role("link", name="Unload this firing").click()
    page.get_by_label("was fired").check()
    page.get_by_role("button", name="Mark rest good and unload").dblclick()
    expect(page.get_by_text("Unloaded Thu, Mar 5")).to_be_visible()

    assert "GO" in go
    assert "STOP" in stop
    assert f"{other} is queued for Low-fire, {_LOW}, not for High-fire." in stop
    assert "Put it back on the Low-fire shelf." in stop
    assert the_piece(visits.store, mine).stage is Stage.FIRED
    assert the_piece(visits.store, other).route == "low-fire"


def test_a_fired_piece_is_handed_to_a_named_stand_in(visits: Visits) -> None:
    ref = fired(visits.store)
    page = visits.visit(TOM, "/pickup", viewport=PHONE)

    scan(page, ref)
    page.get_by_label("Picked up by").fill("Ines Pell")
    page.get_by_role("button", name="Hand out", exact=True).first.click()

    expect(page.locator(".notice.good")).to_contain_text(f"{ref}, tall cup: picked up by Ines Pell, for Mira Tann.")
    expect(page.locator(".notice.good")).to_contain_text("Decorative: not for food or drink.")
    assert the_piece(visits.store, ref).stage is Stage.CLAIMED


def test_what_was_put_into_the_kiln_is_taken_out_again_from_its_line(visits: Visits) -> None:
    ref = glazed(visits.store)
    pieces.queue(visits.store, asked_by(TOM, NOW), ref, "mid-range")
    firing = started(visits.store)
    page = visits.visit(TOM, f"/firings/{firing}", viewport=TABLET)

    scan(page, ref.lower())
    answered(page, 1)
    line(page).get_by_role("button", name=re.compile("Undo")).click()
    expect(line(page)).to_contain_text("out of the kiln")

    firings.call_off(visits.store, asked_by(TOM), firing)
    assert the_piece(visits.store, ref).route == "mid-range"
