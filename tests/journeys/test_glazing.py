"""Glazing on a phone among the demo's dozens of glazes: how long the page is, and how many taps it takes."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.journeys.visiting import PHONE, Visits, served
from tests.staffed import INES, asked_by, bisqued, open_studio, the_piece
from tests.studio import a_new_piece
from tracker.domain.pieces.piece import Foot, Use
from tracker.domain.studio.materials import Zone
from tracker.forms.studio.studio_file import read_studio
from tracker.usecases.pieces import pieces

if TYPE_CHECKING:
    from playwright.sync_api import Browser

A_BOWL = a_new_piece("soup bowl", clay="Wicket Speckle", use=Use.FOOD)
SCREENS = 3
TAPS = 8


@pytest.fixture(scope="module")
def visits(
    browser: Browser,
    sqlite_template: Path,
    tmp_path_factory: pytest.TempPathFactory,
    quick_pages: None,
) -> Iterator[Visits]:
    """The demo's catalog, served to the people of the small studio."""
    path = tmp_path_factory.mktemp("glazing") / "studio.sqlite"
    shutil.copyfile(sqlite_template, path)
    studio = read_studio(Path("demo_seed/studio.toml").read_text(encoding="utf-8"))
    open_studio(f"sqlite:///{path}", studio).close()
    with served(f"sqlite:///{path}") as here:
        yield Visits(browser, here)


@dataclass
class Taps:
    """A finger that counts."""

    count: int = 0

    def on(self, what: Locator) -> None:
        """Tap it once."""
        what.tap()
        self.count += 1


def _height(page: Page) -> int:
    return int(page.evaluate("document.documentElement.scrollHeight"))


def test_before_anything_is_unfolded_the_page_is_three_screens_long(visits: Visits) -> None:
    worn = {
        "bare": (),
        "one layer": (("Fogbell", Zone.ALL_OVER),),
        "warnings": (("Moth Wing", Zone.INSIDE), ("Kelp Stair", Zone.OUTSIDE)),
        "many layers": (
            *(("Sunday Ice", Zone.INSIDE), ("Emulsion wax", Zone.INSIDE), ("Ninth Rain", Zone.OUTSIDE)),
            *(("Emulsion wax", Zone.OUTSIDE), ("Ninth Rain", Zone.LIP)),
        ),
    }
    refs = {state: bisqued(visits.store, A_BOWL, maker=INES) for state in (*worn, "waxed")}
    for state, coats in worn.items():
        for glaze, zone in coats:
            pieces.glaze(
                visits.store, asked_by(INES), refs[state], glaze, zone, foot=Foot.WIPED, catch_plate=True, asks=True
            )
    pieces.wax(visits.store, asked_by(INES), refs["waxed"])
    # A bucket was scanned whose glaze asks for much.
    scanned = f"{refs['many layers']}/glaze?taken=Kelp+Stair"
    page = visits.visit(INES, "/pieces", viewport=PHONE)

    heights = {}
    for address in (*(f"{ref}/glaze" for ref in refs.values()), scanned):
        page.goto(f"/p/{address}")
        heights[address] = _height(page)

    assert len(visits.store.read.catalog().glazes) > 30
    assert max(heights.values()) <= SCREENS * PHONE["height"], heights


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without"])
def test_one_glaze_inside_another_outside_and_where_to_fire_it_takes_eight_taps(
    visits: Visits, *, script: bool
) -> None:
    ref, taps = bisqued(visits.store, A_BOWL, maker=INES), Taps()
    page = visits.visit(INES, f"/p/{ref}", viewport=PHONE, has_touch=True, java_script_enabled=script)

    taps.on(page.get_by_role("link", name=re.compile("^Glaze")).first)
    taps.on(page.locator(".pick", has_text="Fogbell"))
    taps.on(page.locator(".strip .choice", has_text="inside"))
    taps.on(page.locator(".strip .choice", has_text="wiped"))
    taps.on(page.get_by_role("button", name="Apply"))
    taps.on(page.locator(".pick", has_text="Gatehinge"))
    taps.on(page.get_by_role("button", name="Apply"))
    taps.on(page.get_by_role("button", name="Ask for Mid-range"))

    expect(page.locator(".notice.good")).to_contain_text("cart 2")
    on_the_cart = page.get_by_role("button", name="It's on cart 2")
    expect(on_the_cart).to_be_visible()
    on_the_cart.tap()
    expect(page.locator(".notice.good")).to_contain_text("now on cart 2")
    expect(on_the_cart).to_have_count(0)
    row = visits.store.read.pieces.row(code=ref)
    worn = [(one.glaze.name, one.zone) for one in the_piece(visits.store, ref).layers]
    assert worn == [("Fogbell", Zone.INSIDE), ("Gatehinge", Zone.OUTSIDE)]
    assert row is not None
    assert row.wish is not None
    assert (row.wish.route, row.piece.place) == ("mid-range", "cart 2")
    assert taps.count <= TAPS


def test_the_shelf_narrows_while_one_types_and_a_whole_name_picks_its_glaze(visits: Visits) -> None:
    ref = bisqued(visits.store, A_BOWL, maker=INES)
    page = visits.visit(INES, f"/p/{ref}/glaze", viewport=PHONE)
    find = page.locator("#find")

    find.press_sequentially("night f")
    shown = page.locator(".glaze:visible, .refused li:visible")
    expect(shown).to_have_count(1)
    expect(page.locator("[data-hits]")).to_have_text("1 glaze")
    find.fill("B.Night Ferry")
    find.press("Enter")

    expect(page.locator("input[name=glaze]:checked")).to_have_value("Night Ferry")
    expect(page.locator(".glaze:has(:checked) .about")).to_be_visible()
    assert page.locator(".glaze:visible").count() > 1


def test_a_tap_on_a_zone_checks_the_glazes_for_it_and_keeps_the_one_that_is_picked(visits: Visits) -> None:
    ref = bisqued(visits.store, A_BOWL, maker=INES)
    pieces.glaze(visits.store, asked_by(INES), ref, "Fogbell", Zone.ALL_OVER, foot=Foot.WIPED)
    page = visits.visit(INES, f"/p/{ref}/glaze?zone=outside&glaze=Kelp+Stair", viewport=PHONE)

    page.locator(".strip .choice", has_text="inside").click()

    expect(page.locator("input[name=checked_for]")).to_have_value("inside")
    expect(page.locator("input[name=glaze]:checked")).to_have_value("Kelp Stair")
    expect(page.locator(".glaze:has(:checked) .about")).to_contain_text("tested or declared alone")


def test_nothing_covers_the_zones(visits: Visits) -> None:
    page = visits.visit(INES, f"/p/{bisqued(visits.store, A_BOWL, maker=INES)}/glaze", viewport=PHONE)
    zones = page.locator("input[type=radio][name=zone]")

    for place in range(zones.count()):
        zone = zones.nth(place)
        zone.focus()
        is_on_top = "one => { const box = one.getBoundingClientRect(); return document.elementFromPoint("
        is_on_top += "box.x + box.width / 2, box.y + box.height / 2) === one }"
        assert zone.evaluate(is_on_top), place
