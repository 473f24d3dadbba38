"""A scan outside a field: from any page it opens the piece, and what was typed and not sent is not lost by it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.journeys.visiting import TABLET, Visits
from tests.staffed import TOM, glazed

if TYPE_CHECKING:
    from playwright.sync_api import Page


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
