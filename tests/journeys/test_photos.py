"""A photo's way on a phone: taken on the piece's page, seen in My pieces and at pickup, found again by looks."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.journeys.looking import faults
from tests.journeys.visiting import LAPTOP, PHONE, TABLET, Visits, answered, scan
from tests.photographed import CORNERS, a_picture, photographed, written
from tests.staffed import ADA, INES, MIRA, TOM, asked_by, bisqued, fired, glazed, queued, started
from tests.studio import a_new_piece
from tracker.usecases.firing import firings


def is_shown(page: Page, alt: str) -> bool:
    """Whether a picture with these words has arrived and is drawn."""
    picture = page.get_by_alt_text(alt).first
    picture.scroll_into_view_if_needed()
    expect(picture).to_be_visible()
    return bool(picture.evaluate("one => one.decode().then(() => one.naturalWidth > 0)"))


def test_a_photo_taken_on_a_phone_is_seen_in_my_pieces_and_at_pickup(visits: Visits, tmp_path: Path) -> None:
    ref = fired(visits.store)
    photo = tmp_path / "IMG_0001.jpg"
    photo.write_bytes(written(a_picture(3000, 4000)))
    mira = visits.visit(MIRA, f"/p/{ref}", viewport=PHONE)

    mira.get_by_role("heading", name="Photos").click()
    mira.get_by_label("Photo", exact=True).set_input_files(photo)
    expect(mira.locator("[data-photo-shown] img")).to_be_visible()
    assert faults(mira) == {}
    mira.set_viewport_size({"width": 360, "height": 740})
    mira.get_by_label("Caption").fill("from above")
    mira.get_by_role("button", name="Add the photo").click()
    expect(mira.locator(".notice")).to_contain_text("photo saved")
    words = f"from above: tall cup by {MIRA.short_name}, fired, Thu, Mar 5"
    assert is_shown(mira, words)
    mira.goto("/pieces")
    assert is_shown(mira, words)

    tom = visits.visit(TOM, "/pickup", viewport=PHONE)
    tom.get_by_label("Code or maker's name").fill(ref)
    tom.get_by_role("button", name="Find").click()
    assert is_shown(tom, words)
    assert faults(tom) == {}


def test_a_test_tile_is_cropped_before_it_is_sent(visits: Visits, tmp_path: Path) -> None:
    photo = tmp_path / "IMG_0003.jpg"
    photo.write_bytes(written(a_picture(1600, 1200)))
    ada = visits.visit(ADA, "/catalog/glaze/form?name=Still+Water", viewport=PHONE)

    ada.get_by_text("Add a test tile", exact=True).click()
    ada.get_by_label("Photo", exact=True).set_input_files(photo)
    # Half as wide as the photo is high: dragged to its upper left corner, then moved to the lower one.
    ada.get_by_label("Zoom").fill("200")
    ada.locator("canvas").scroll_into_view_if_needed()
    box = ada.locator("canvas").bounding_box()
    assert box is not None
    ada.mouse.move(box["x"] + 5, box["y"] + 5)
    ada.mouse.down()
    ada.mouse.move(box["x"] + box["width"] - 5, box["y"] + box["height"] - 5, steps=150)
    ada.mouse.up()
    ada.get_by_label("Up or down").fill("100")
    assert faults(ada) == {}
    ada.get_by_label("Clay").select_option("Doorstep Buff")
    ada.get_by_role("button", name="Add test tile").click()

    assert is_shown(ada, "Still Water on Doorstep Buff, cone 6")
    (tile,) = visits.store.read.tiles.of_glaze("Still Water")
    assert tile.side == 600
    assert (tile.swatch.red, tile.swatch.green, tile.swatch.blue) == pytest.approx(CORNERS["bottom left"], abs=4)


def test_a_photo_that_is_too_heavy_is_refused_before_it_is_sent(visits: Visits, tmp_path: Path) -> None:
    ref = bisqued(visits.store)
    photo = tmp_path / "IMG_0002.jpg"
    photo.write_bytes(written() + b"\0" * 10_000_001)
    page = visits.visit(MIRA, f"/p/{ref}", viewport=PHONE)
    sent: list[str] = []
    page.on("request", lambda one: sent.append(one.method))

    page.get_by_role("heading", name="Photos").click()
    page.get_by_label("Photo", exact=True).set_input_files(photo)
    expect(page.get_by_role("alert")).to_contain_text("larger than 10 MB")
    page.get_by_role("button", name="Add the photo").click()
    (lighter := tmp_path / "IMG_0003.jpg").write_bytes(written())
    page.get_by_label("Photo", exact=True).set_input_files(lighter)
    expect(page.get_by_role("alert")).to_be_hidden()
    assert "POST" not in sent
    page.get_by_role("button", name="Add the photo").click()

    expect(page.locator(".notice")).to_contain_text("photo saved")


def test_without_script_a_plain_form_sends_it_and_another_page_removes_it(visits: Visits, tmp_path: Path) -> None:
    ref = bisqued(visits.store)
    photo = tmp_path / "x.png"
    photo.write_bytes(written(kind="PNG"))
    page = visits.visit(MIRA, f"/p/{ref}", viewport=PHONE, java_script_enabled=False)

    page.get_by_role("heading", name="Photos").click()
    page.get_by_label("Photo", exact=True).set_input_files(photo)
    page.get_by_role("button", name="Add the photo").click()
    page.locator(".face").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Photo")
    page.get_by_text("Remove this photo", exact=True).click()
    page.get_by_role("button", name="Remove photo").click()

    expect(page.locator(".notice")).to_contain_text("photo removed")
    expect(page.locator(".shots")).to_have_count(0)


def test_the_kilns_door_shows_the_piece_that_was_scanned(visits: Visits) -> None:
    good, stopped = queued(visits.store), glazed(visits.store, "Plum Gloss", maker=INES)
    photographed(visits.store, good, MIRA)
    photographed(visits.store, stopped, INES)
    number = started(visits.store)
    tom = visits.visit(TOM, f"/firings/{number}", viewport=TABLET)

    scan(tom, good)
    answered(tom, 1)
    assert is_shown(tom, f"Photo: tall cup by {MIRA.short_name}, queued, Tue, Mar 3")
    assert faults(tom) == {}
    tom.set_viewport_size({"width": 360, "height": 740})
    scan(tom, stopped)
    answered(tom, 2)

    assert is_shown(tom, f"Photo: tall cup by {INES.short_name}, glazed, Tue, Mar 3")
    assert faults(tom) == {}
    firings.take_out(visits.store, asked_by(TOM), number, good)
    firings.call_off(visits.store, asked_by(TOM), number)


def test_a_nameless_piece_is_found_by_what_one_sees(visits: Visits) -> None:
    ref = bisqued(visits.store, a_new_piece("moon jar", clay="Lantern White", height_mm=244), maker=INES)
    photographed(visits.store, ref, INES)
    tom = visits.visit(TOM, "/whose", viewport=LAPTOP)

    tom.get_by_label("Height").fill("25 cm")
    tom.get_by_label("Clay").select_option("any porcelain")
    tom.get_by_role("button", name="Find the piece").click()

    found = tom.locator(".lookalikes li").filter(has_text=ref)
    expect(found).to_contain_text("Ines Pell")
    assert is_shown(tom, f"Photo: moon jar by {INES.short_name}, bisqued, Tue, Mar 3")
    assert faults(tom) == {}
    found.get_by_role("link").click()
    expect(tom.get_by_role("heading", level=1)).to_have_text("moon jar")
