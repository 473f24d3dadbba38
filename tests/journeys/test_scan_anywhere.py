"""A scan outside a field: from any page it opens the piece, and what was typed and not sent is not lost by it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.journeys.visiting import TABLET, Visits
from tests.staffed import INES, TOM, asked_by, fired, glazed, started, the_piece
from tests.studio import a_new_piece
from tracker.domain.pieces.piece import Stage
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pieces, ware_shelves

if TYPE_CHECKING:
    from playwright.sync_api import Page


SLOW = 150
"""Milliseconds between two keys of a scanner on a bad day: slower than a hand."""


def _scanned(page: Page, text: str) -> None:
    """What a USB scanner does: it types at once, wherever the focus is, and ends with Enter."""
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def test_a_scan_on_any_page_opens_the_piece_and_presses_nothing(visits: Visits) -> None:
    ref = glazed(visits.store)
    page = visits.visit(TOM, "/waiting", viewport=TABLET)
    page.locator(".who summary").focus()

    _scanned(page, ref)

    page.wait_for_url(f"**/p/{ref}")
    expect(page.locator(".notice")).to_have_count(1)


def test_a_scan_takes_nobody_away_from_a_form_that_is_begun(visits: Visits) -> None:
    ref = glazed(visits.store)
    page = visits.visit(TOM, "/pieces/new", viewport=TABLET)
    page.locator("main input[type=text]").first.fill("tall cup")
    page.locator("h1").click()

    _scanned(page, ref)

    assert page.url.endswith("/pieces/new")
    expect(page.get_by_role("searchbox")).to_have_value(ref)
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(rf"/p/{ref}$"))


def test_unloading_takes_a_scan_whatever_has_the_focus_and_however_slowly_it_comes(visits: Visits) -> None:
    slips = [pieces.register(visits.store, asked_by(INES), a_new_piece(f"tile {count}")).ref for count in range(3)]
    ware_shelves.add_shelf(visits.store, asked_by(TOM), "Rack 3")
    number = started(visits.store, "Front box", "bisque", "06")
    for slip in slips:
        firings.put_in(visits.store, asked_by(TOM), number, slip, dry=True)
    firings.light(visits.store, asked_by(TOM), number)
    firings.shut_off(visits.store, asked_by(TOM), number)
    page = visits.visit(TOM, f"/firings/{number}/unload", viewport=TABLET)
    good = [page.locator(f"[data-ref='{slip}'] [value=good]") for slip in slips]

    page.locator(f"[data-ref='{slips[0]}'] [value=broke]").focus()
    page.keyboard.type(f"{slips[1]}\n", delay=SLOW)
    expect(page.locator("[data-last] .code")).to_have_text(slips[1])
    expect(page.locator("#code")).to_be_focused()
    expect(page.locator("[name^=outcome-]:checked")).to_have_count(0)

    page.locator("[name=shelf]").fill("Rack 3")
    page.keyboard.type(f"{slips[2]}\n", delay=SLOW)
    expect(good[1]).to_be_checked()
    expect(page.locator("[name=shelf]")).to_have_value("Rack 3")

    page.evaluate("document.activeElement.blur()")
    _scanned(page, slips[0])
    expect(good[2]).to_be_checked()
    expect(good[0]).not_to_be_checked()


def test_a_code_scanned_into_the_name_of_a_stand_in_is_the_next_scan_at_pickup(visits: Visits) -> None:
    first, second = fired(visits.store), fired(visits.store)
    page = visits.visit(TOM, f"/pickup?ref={first}", viewport=TABLET)
    page.get_by_label("Picked up by", exact=True).focus()

    _scanned(page, second)

    page.wait_for_url(f"**/pickup?ref={second}")
    assert the_piece(visits.store, first).stage is Stage.FIRED
    page.evaluate("document.activeElement.blur()")
    _scanned(page, first)
    page.wait_for_url(f"**/pickup?ref={first}")


def test_tags_are_chosen_by_scans_outside_the_field(visits: Visits) -> None:
    refs = [glazed(visits.store), glazed(visits.store)]
    page = visits.visit(TOM, "/paper/tags", viewport=TABLET)
    page.evaluate("document.activeElement.blur()")

    _scanned(page, refs[0])
    page.evaluate("document.activeElement.blur()")
    _scanned(page, refs[1])

    expect(page.get_by_label("Codes or ticket numbers, one per line")).to_have_value("\n".join([*refs, ""]))
