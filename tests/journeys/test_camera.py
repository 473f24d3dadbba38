"""The camera scans: a page reads a printed tag off a video, in a browser that has no reader of its own."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from playwright.sync_api import expect

from tests.bench.tags import many_tags
from tests.journeys.visiting import PHONE, Visits
from tests.staffed import INES, TOM, asked_by, bisqued, glazed, the_piece
from tests.tag_photos import SHOTS, as_a_camera, label_of, photo
from tracker.usecases.pieces.ware_shelves import add_shelf


def test_a_tag_held_before_the_camera_is_scanned_once_and_the_camera_stays_open(visits: Visits) -> None:
    ref = glazed(visits.store)
    label = label_of(replace(many_tags(1)[0], code=ref, address=f"http://footring.example/p/{ref}"))
    page = visits.visit(TOM, "/scan", viewport=PHONE)
    page.add_init_script(as_a_camera(photo(label, SHOTS["tilted"], np.random.default_rng(7))))
    add_shelf(visits.store, asked_by(TOM), "rack 3")
    page.goto("/scan?step=shelve&place=rack+3")

    page.get_by_role("button", name="Camera").click()

    answer = page.locator("dialog.camera p")
    expect(answer).to_contain_text(ref)
    expect(answer).to_contain_text("rack 3")
    assert the_piece(visits.store, ref).place == "rack 3"
    page.wait_for_timeout(500)  # Long enough for the same tag to be read again.
    expect(page.locator(".scan-line")).to_have_count(1)
    page.get_by_role("button", name="Close camera").click()
    expect(page.locator("dialog.camera")).to_have_count(0)


def test_a_page_whose_camera_may_not_be_used_says_why(visits: Visits) -> None:
    page = visits.visit(INES, f"/p/{bisqued(visits.store, maker=INES)}/glaze", viewport=PHONE)

    page.get_by_role("button", name="Camera").click()

    expect(page.locator("[data-camera-off]")).to_be_visible()
