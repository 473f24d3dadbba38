"""A morning without a touch: the bars of the scan sheet do what the buttons do, on the pages that scan."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.journeys.visiting import TABLET, Visits
from tests.staffed import INES, TOM, asked_by, bisqued, glazed, queued, started, the_piece
from tests.studio import a_new_piece
from tracker.domain.labels.keyboards import Layout, as_typed
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.outcomes import Flaw
from tracker.domain.pieces.piece import Stage, StepName, Use
from tracker.usecases.firing import firings
from tracker.usecases.labels.command_bars import Does, commands_of
from tracker.usecases.pieces import pieces, ware_shelves

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tracker.store.unit_of_work import Store


def _scanned(page: Page, text: str) -> None:
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def _bar(store: Store, does: Does, value: str = "") -> str:
    return next(text for text, one in commands_of(store.read).items() if (one.does, one.value) == (does, value))


def test_steps_shelves_undo_and_yes_are_scanned_and_nothing_is_pressed(visits: Visits) -> None:
    store = visits.store
    ware_shelves.add_shelf(store, asked_by(TOM), "rack 3")
    first, second = bisqued(store), bisqued(store)
    page = visits.visit(TOM, "/today", viewport=TABLET)

    _scanned(page, _bar(store, Does.STEP, "shelve"))
    page.wait_for_url("**/scan?step=shelve")
    _scanned(page, _bar(store, Does.SHELF, "rack 3"))
    _scanned(page, first)
    expect(page.locator(".scan-line.good", has_text=first).first).to_be_visible()
    assert the_piece(store, first).place == "rack 3"

    # The step and two pieces come one right after the other; no page is loaded in between.
    _scanned(page, _bar(store, Does.STEP, "wax"))
    _scanned(page, first)
    _scanned(page, second)
    expect(page.locator("[data-scan-count]")).to_have_attribute("data-answered", "3")
    expect(page.locator("h1")).to_have_text("Wax foot")
    assert page.url.endswith("/scan?step=wax&place=rack+3")
    assert {the_piece(store, ref).stage for ref in (first, second)} == {Stage.WAXED}

    for ref in (second, first):
        _scanned(page, _bar(store, Does.UNDO))
        expect(page.locator(".scan-line.undone", has_text=ref)).to_have_count(1)
    assert {the_piece(store, ref).stage for ref in (first, second)} == {Stage.BISQUED}

    _scanned(page, _bar(store, Does.RESULT, "good"))
    expect(page.locator(".last-answer")).to_have_class(re.compile("stop"))


def test_undo_takes_back_what_yes_found_and_yes_accepts_no_warning(visits: Visits) -> None:
    store = visits.store
    gone, waxed = bisqued(store), bisqued(store)
    mug = glazed(store, "Wet Slate", new=a_new_piece(use=Use.FOOD))
    pieces.lose(store, asked_by(TOM), gone, Loss.MISSING)
    page = visits.visit(TOM, "/scan?step=wax", viewport=TABLET)

    _scanned(page, waxed)
    _scanned(page, gone)
    expect(page.locator(".scan-line.stop", has_text=gone)).to_have_count(1)
    _scanned(page, _bar(store, Does.YES))
    expect(page.locator(".scan-line", has_text=gone).first).to_have_class(re.compile("good"))
    for _each in (gone, waxed):
        _scanned(page, _bar(store, Does.UNDO))
    for ref in (gone, waxed):
        expect(page.locator(".scan-line.undone", has_text=ref)).to_have_count(1)
    assert (the_piece(store, gone).stage, the_piece(store, waxed).stage) == (Stage.LOST, Stage.BISQUED)
    # What was lost before this page is of another step.
    _scanned(page, _bar(store, Does.UNDO))
    expect(page.locator(".last-answer")).to_have_class(re.compile("stop"))
    assert the_piece(store, gone).stage is Stage.LOST

    _scanned(page, _bar(store, Does.STEP, "queue mid-range"))
    _scanned(page, mug)
    expect(page.locator("[data-scan-accept]")).to_have_count(1)
    _scanned(page, _bar(store, Does.YES))
    expect(page.locator(".last-answer")).to_have_class(re.compile("stop"))
    assert the_piece(store, mug).stage is Stage.GLAZED


def test_an_undo_without_network_waits_for_its_scan(visits: Visits) -> None:
    store, ref = visits.store, bisqued(visits.store)
    page = visits.visit(TOM, "/scan?step=wax", viewport=TABLET)

    page.context.set_offline(True)
    _scanned(page, ref)
    expect(page.locator(".scan-line.kept")).to_have_count(1)
    _scanned(page, _bar(store, Does.UNDO))
    page.context.set_offline(False)

    expect(page.locator(".scan-line.undone", has_text=ref)).to_have_count(1)
    steps = [line.step for line in store.read.pieces.page(the_piece(store, ref).id).history]
    assert (the_piece(store, ref).stage, steps.count(StepName.WAX), steps.count(StepName.NOT_WAXED)) == (
        Stage.BISQUED,
        1,
        1,
    )


def test_a_kiln_is_loaded_and_unloaded_with_a_scanner_alone(visits: Visits) -> None:
    store = visits.store
    slips = [pieces.register(store, asked_by(INES), a_new_piece(f"tile {count}")).ref for count in range(2)]
    number = started(store, "Front box", "bisque", "06")
    page = visits.visit(TOM, "/today", viewport=TABLET)

    _scanned(page, _bar(store, Does.KILN, "Front box"))
    page.wait_for_url(f"**/firings/{number}")
    _scanned(page, slips[0])
    # It asks whether the load is dry.
    expect(page.locator("form[data-scan-dry]")).to_have_count(1)
    _scanned(page, _bar(store, Does.YES))
    expect(page.locator("[data-door-inside]")).to_have_text("1")
    _scanned(page, slips[1])
    expect(page.locator("[data-door-inside]")).to_have_text("2")
    _scanned(page, _bar(store, Does.UNDO))
    expect(page.locator("[data-door-inside]")).to_have_text("1")
    _scanned(page, slips[1])
    expect(page.locator("[data-door-inside]")).to_have_text("2")
    _scanned(page, _bar(store, Does.TAKE, "out"))
    expect(page.get_by_role("button", name="Take out of kiln")).to_be_visible()
    expect(page.get_by_role("button", name="Add to kiln")).to_have_count(0)
    _scanned(page, slips[0])
    expect(page.locator("[data-door-inside]")).to_have_text("1")
    _scanned(page, _bar(store, Does.TAKE, "in"))
    _scanned(page, slips[0])
    expect(page.locator("[data-door-inside]")).to_have_text("2")

    firings.light(store, asked_by(TOM), number)
    firings.shut_off(store, asked_by(TOM), number)
    page.goto(f"/firings/{number}/unload")
    result = page.locator(f"[data-ref='{slips[0]}']")
    good, broke, cracked = (result.locator(f"[value={came}]") for came in ("good", "broke", "cracked"))
    _scanned(page, slips[0])
    _scanned(page, _bar(store, Does.RESULT, "good"))
    expect(good).to_be_checked()
    _scanned(page, _bar(store, Does.RESULT, Flaw.CRACKED))
    expect(cracked).to_be_checked()
    expect(good).not_to_be_checked()
    _scanned(page, _bar(store, Does.RESULT, "broke"))
    expect(broke).to_be_checked()
    _scanned(page, _bar(store, Does.UNDO))
    expect(broke).not_to_be_checked()
    expect(cracked).to_be_checked()
    # A bisque has no glaze to craze.
    _scanned(page, _bar(store, Does.RESULT, Flaw.CRAZED))
    expect(page.locator(".last-answer")).to_have_class(re.compile("stop"))
    expect(page.locator("[data-unload-count]")).to_have_attribute("data-waiting", "0")
    page.get_by_role("checkbox", name=re.compile("was fired")).check()
    _scanned(page, _bar(store, Does.FINISH, "rest"))
    page.wait_for_url(f"**/firings/{number}")
    firing = store.read.firings.page(number)
    assert firing is not None
    assert sorted(str(row.outcome) for row in firing.pieces) == ["cracked", "good"]


def test_on_an_unknown_keyboard_a_piece_is_read_at_the_unloading_as_everywhere(visits: Visits) -> None:
    store = visits.store
    ref = queued(store)
    number = started(store)
    firings.put_in(store, asked_by(TOM), number, ref)
    firings.light(store, asked_by(TOM), number)
    firings.shut_off(store, asked_by(TOM), number)
    page = visits.visit(TOM, f"/firings/{number}/unload", viewport=TABLET)

    page.locator("#code").fill(as_typed(f"]C1{ref}", Layout.FRENCH))
    page.keyboard.press("Enter")

    expect(page.locator("[data-last] .code")).to_have_text(ref)
