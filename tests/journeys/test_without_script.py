"""The main walks with script turned off: the pages are plain forms first."""

from __future__ import annotations

import re
from typing import Any

from playwright.sync_api import Page, expect

from tests.journeys.visiting import PHONE, TABLET, Visits, line
from tests.staffed import INES, TOM, asked_by, bisqued, glazed, the_piece
from tests.studio import a_new_piece
from tracker.domain.pieces.piece import Stage
from tracker.usecases.pieces import pieces

PLAIN: dict[str, Any] = {"java_script_enabled": False, "viewport": TABLET}


def _scan(page: Page, text: str) -> None:
    field = page.locator("[name=ref][autofocus]")
    field.press_sequentially(text)
    field.press("Enter")


def test_a_student_registers_prints_waxes_and_glazes(visits: Visits) -> None:
    page = visits.visit(INES, "/pieces/new", **PLAIN | {"viewport": PHONE})

    page.get_by_label("Name", exact=True).fill("plain cup")
    page.get_by_label("Clay", exact=True).select_option("Doorstep Buff")
    page.get_by_label("How it was made").select_option("slab")
    page.locator("label.choice", has_text="mug").click()
    page.locator("label.choice", has_text="decorative").click()
    page.get_by_role("button", name="Register", exact=True).click()
    expect(page.get_by_label("Height", exact=True)).to_have_value("100 mm")
    page.get_by_label("Depth").fill("")
    page.locator("summary", has_text="More").click()
    page.get_by_text("Already bisque-fired").click()
    page.locator("button[value=look]").click()
    expect(page.locator(".problems")).to_contain_text("Depth")
    page.get_by_label("Depth").fill("90")
    page.locator("button[value=look]").click()
    expect(page.locator("#where")).to_contain_text("Outdoor, raku")
    page.get_by_role("button", name="Register", exact=True).click()
    page.get_by_role("link", name="plain cup").click()
    page.get_by_role("button", name="Mark foot as waxed").click()
    page.get_by_role("link", name="Glaze it").click()
    page.locator("label.choice", has_text="inside").click()
    page.locator("label.pick", has_text="Still Water").click()
    page.get_by_role("button", name="Apply").click()
    expect(page.locator(".notice.good")).to_contain_text("Still Water applied (inside).")

    (made,) = [row.piece for row in visits.store.read.pieces.of(INES.id) if row.piece.what == "plain cup"]
    assert (made.stage, made.worn_names) == (Stage.GLAZED, ("Still Water",))


def test_staff_scan_are_refused_accept_a_warning_and_undo(visits: Visits) -> None:
    low, winged = (
        glazed(visits.store, "Plum Gloss"),
        glazed(visits.store, "Ember Luster", new=a_new_piece(fragile=True)),
    )
    page = visits.visit(TOM, "/scan", **PLAIN)

    page.get_by_role("link", name="Outdoor, raku").click()
    _scan(page, low)
    expect(line(page)).to_contain_text("indoor glaze")
    assert the_piece(visits.store, low).stage is Stage.GLAZED
    _scan(page, winged)
    expect(line(page)).to_contain_text("Thin parts stick out and may break off in the tongs.")
    page.get_by_role("button", name="Accept this and move").click()
    expect(line(page)).to_contain_text(f"{winged}, tall cup: queued for")
    assert the_piece(visits.store, winged).route == "raku"
    line(page).get_by_role("button", name=re.compile("Undo")).click()

    expect(line(page)).to_contain_text("Undone")
    assert the_piece(visits.store, winged).stage is Stage.GLAZED


def test_staff_load_and_unload_a_kiln_and_hand_the_piece_over(visits: Visits) -> None:
    ref = glazed(visits.store, "Still Water")
    pieces.queue(visits.store, asked_by(TOM), ref, "mid-range")
    other = bisqued(visits.store)
    page = visits.visit(TOM, "/firings", **PLAIN)

    page.get_by_label("Kiln and firing type").select_option("Back box / mid-range")
    page.get_by_role("button", name="Start loading").click()
    _scan(page, other)
    expect(page.locator(".scan-line")).to_contain_text("STOP")
    _scan(page, ref)
    expect(page.locator(".scan-line")).to_contain_text("GO")
    page.get_by_role("button", name="Start the kiln").click()
    page.get_by_role("button", name="Mark kiln as off").click()
    page.get_by_role("link", name="Unload this firing").click()
    page.get_by_label("was fired").check()
    page.get_by_role("button", name="Mark rest good and unload").click()
    page.goto("/pickup")
    _scan(page, ref)
    page.get_by_role("button", name="Hand out", exact=True).first.click()

    expect(page.locator(".notice.good")).to_contain_text("Mira Tann")
    assert the_piece(visits.store, ref).stage is Stage.CLAIMED
