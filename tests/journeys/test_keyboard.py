"""By keyboard alone: no mouse, no finger, only Tab, arrows, Space, Enter and letters."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.journeys.looking import faults
from tests.journeys.visiting import LAPTOP, PHONE, TABLET, Visits, answered, line, scan
from tests.staffed import INES, TOM, bisqued, the_piece
from tracker.domain.pieces.piece import Build, Stage, Use

MOST_STOPS = 80

_IS_HERE = "one => one === document.activeElement"
_SHOWS_FOCUS = """() => {
    const one = document.activeElement;
    const isChoice = one.matches("[type=radio], [type=checkbox]");
    const shown = isChoice ? [one, one.nextElementSibling, one.parentElement] : [one];
    return shown.filter(Boolean).some((part) => {
        const style = getComputedStyle(part);
        return (style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2) || style.boxShadow !== "none";
    });
}"""


def _tab_to(page: Page, target: Locator, key: str = "Tab") -> None:
    """Press Tab until `target` has the focus, and see on every stop where one is."""
    for _ in range(MOST_STOPS):
        if target.evaluate(_IS_HERE):
            return
        page.keyboard.press(key)
        assert page.evaluate(_SHOWS_FOCUS), page.evaluate("() => document.activeElement.outerHTML")
    pytest.fail(f"{MOST_STOPS} stops did not lead to {target}")


def test_a_new_piece_is_registered_by_keyboard_alone(visits: Visits) -> None:
    page = visits.visit(INES, "/pieces/new", viewport=LAPTOP)

    _tab_to(page, page.get_by_label("Name", exact=True))
    page.keyboard.type("keyed cup")
    _tab_to(page, page.get_by_label("Clay", exact=True))
    page.keyboard.type("Middle Gray")
    _tab_to(page, page.get_by_label("How it was made"))
    page.keyboard.type("slab")
    for measure, written in (("Height", "90"), ("Width", "8 cm"), ("Depth", "80")):
        _tab_to(page, page.get_by_label(measure, exact=True))
        page.keyboard.type(written)
    _tab_to(page, page.locator("[name=use]").first)
    page.keyboard.press("Space")
    _tab_to(page, page.locator("summary", has_text="More"))
    page.keyboard.press("Enter")
    _tab_to(page, page.get_by_role("checkbox", name="Already bisque-fired"))
    page.keyboard.press("Space")
    _tab_to(page, page.get_by_role("button", name="Register", exact=True))
    page.keyboard.press("Enter")
    expect(page.locator(".registered")).to_contain_text("keyed cup")

    (made,) = [row.piece for row in visits.store.read.pieces.of(INES.id) if row.piece.what == "keyed cup"]
    assert (made.clay.name, made.build, made.use, made.stage) == (
        "Middle Gray",
        Build.SLAB,
        Use.FOOD,
        Stage.BISQUED,
    )
    assert (made.height_mm, made.width_mm, made.depth_mm) == (90, 80, 80)


def test_pieces_are_moved_and_the_last_undone_by_keyboard_alone(visits: Visits) -> None:
    refs = [bisqued(visits.store) for _ in range(2)]
    page = visits.visit(TOM, "/scan", viewport=TABLET)

    _tab_to(page, page.get_by_role("link", name=re.compile("^Wax")))
    page.keyboard.press("Enter")
    scan(page, *refs)
    answered(page, 2)
    _tab_to(page, line(page).get_by_role("button", name="Undo"))
    page.keyboard.press("Enter")
    expect(line(page)).to_contain_text("Undone")

    assert [the_piece(visits.store, ref).stage for ref in refs] == [Stage.WAXED, Stage.BISQUED]
    assert page.locator("#code").evaluate(_IS_HERE), "the next scan goes into the field again"


def test_the_first_stop_leads_past_the_head_to_the_page(visits: Visits) -> None:
    page = visits.visit(TOM, "/waiting", viewport=LAPTOP)

    page.keyboard.press("Tab")
    said = page.evaluate("() => document.activeElement.textContent")
    page.keyboard.press("Enter")

    assert said == "Skip to main content"
    assert page.locator("#main").evaluate(_IS_HERE)


def test_the_eyes_of_these_tests_see_what_is_wrong(visits: Visits) -> None:
    page = visits.stranger(viewport=PHONE)

    page.set_content(
        "<html lang=en><title>Bad</title><main><h1>Bad</h1><p style='color:#ccc;background:#fff'>Pale</p>"
        "<div style='width:900px'>Wide</div><button style='height:9px;width:9px;padding:0'></button></main>"
    )
    found = faults(page)

    assert any(one.startswith("color-contrast") for one in found["360, axe"])
    assert any(one.startswith("button-name") for one in found["360, axe"])
    assert found["320, wide"][0].startswith("9")
    assert found["360, small"] == ['button "" 9x9']
