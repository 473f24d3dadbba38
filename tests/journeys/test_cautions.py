"""On a phone the nearest danger is in view, the others open, and the main action stays on the first screen."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.journeys.visiting import PHONE, Visits
from tests.pages import lay_out
from tests.staffed import TOM
from tracker.domain.studio.cautions import Danger


@pytest.fixture(scope="module")
def laid_out(visits: Visits) -> dict[str, object]:
    """Something of everything, that no test of this file moves."""
    return lay_out(visits.store)


@pytest.mark.parametrize(
    ("address", "nearest", "folded", "action"),
    [
        ("/firings/{loading}", Danger.ELECTRICITY, Danger.HOT_KILN, "input[name=ref]"),
        ("/firings/{lit}/unload", Danger.OPENING, Danger.DUST, "main .btn.main"),
        ("/outdoor/{session}/run", Danger.HOT_WARE, Danger.GAS, "main .run-heat .btn.main"),
    ],
)
def test_the_nearest_danger_and_the_main_action_are_on_the_first_screen_of_a_phone(
    visits: Visits, laid_out: dict[str, object], address: str, nearest: Danger, folded: Danger, action: str
) -> None:
    page = visits.visit(TOM, address.format(**laid_out), viewport=PHONE)
    page.evaluate("scrollTo(0, 0)")
    caution = page.locator("aside.caution")

    expect(caution.locator(f"[data-danger={nearest}]")).to_be_in_viewport(ratio=1)
    expect(page.locator(action).first).to_be_in_viewport(ratio=0.5)
    expect(caution.locator(f"[data-danger={folded}]")).to_be_hidden()
    caution.locator("summary").click()
    expect(caution.locator(f"[data-danger={folded}]")).to_be_visible()


def test_at_a_kiln_that_fires_carbon_monoxide_heat_and_the_main_action_are_on_the_first_screen(
    visits: Visits, laid_out: dict[str, object]
) -> None:
    page = visits.visit(TOM, "/firings/{lit}".format(**laid_out), viewport=PHONE)
    page.evaluate("scrollTo(0, 0)")

    for danger in (Danger.CARBON_MONOXIDE, Danger.HOT_KILN):
        expect(page.locator(f"aside.caution [data-danger={danger}]")).to_be_in_viewport(ratio=1)
    expect(page.locator("main .btn.main").first).to_be_in_viewport(ratio=0.5)
