"""A closed tab, a dead server and a restarted browser lose no scan: any page of the tool sends what was kept."""

from __future__ import annotations

import shutil
import signal
from contextlib import ExitStack
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.conftest import CHROMIUM_WORDS
from tests.journeys.serving import free_port, serving
from tests.journeys.visiting import scan, sign_in
from tests.machine import chromium
from tests.staffed import PASSWORD, TOM, bisqued, open_studio, the_piece
from tracker.domain.pieces.piece import Stage

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, BrowserContext

    from tests.journeys.visiting import Visits


def _browser(browser: Browser, folder: Path, address: str) -> BrowserContext:
    """A browser that keeps what it knows in `folder` when it is closed."""
    return browser.browser_type.launch_persistent_context(
        folder, executable_path=chromium(), args=CHROMIUM_WORDS, base_url=address
    )


def test_scans_outlive_a_dead_server_a_closed_tab_and_a_restarted_browser(
    browser: Browser, sqlite_template: Path, tmp_path: Path
) -> None:
    database = f"sqlite:///{shutil.copyfile(sqlite_template, tmp_path / 'studio.sqlite')}"
    store, port = open_studio(database), free_port()
    refs = [bisqued(store) for _ in range(6)]
    address, profile = f"http://127.0.0.1:{port}", tmp_path / "profile"

    with ExitStack() as servers:
        first = servers.enter_context(serving(database, port, tmp_path))
        before = _browser(browser, profile, address)
        page = before.new_page()
        sign_in(page, TOM.email, PASSWORD)
        page.goto("/scan?step=wax")
        first.send_signal(signal.SIGKILL)
        first.wait()
        scan(page, *refs)
        expect(page.locator("[data-scan-count]")).to_have_attribute("data-saved", "6")
        page.close()
        before.close()
        servers.enter_context(serving(database, port, tmp_path))
        after = _browser(browser, profile, address)
        page = after.new_page()
        page.goto("/today")
        expect(page.locator("[data-unsent-box]")).to_contain_text("6 saved scans were sent.", timeout=20_000)
        page.reload()
        expect(page.locator("[data-unsent-box]")).to_have_count(0)
        after.close()

    assert [the_piece(store, ref).stage for ref in refs] == [Stage.WAXED] * 6
    lines = [[str(one.step) for one in store.read.pieces.page(the_piece(store, ref).id).history] for ref in refs]
    assert [steps.count("wax") for steps in lines] == [1] * 6
    store.close()


def test_without_network_the_large_answer_says_that_the_newest_scan_waits(visits: Visits) -> None:
    sent, *kept = [bisqued(visits.store) for _ in range(3)]
    page = visits.visit(TOM, "/scan?step=wax", viewport={"width": 360, "height": 740})
    last = page.locator("[data-last]")

    scan(page, sent)
    expect(last).to_contain_text(sent)
    page.context.set_offline(True)
    scan(page, *kept)
    expect(last).to_contain_text(kept[-1])
    expect(last).to_contain_text("Waiting")
    expect(last).to_contain_text("No network. This scan is saved")
    expect(last).to_have_class("last-answer needs")
    expect(last).to_be_in_viewport()
    page.context.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    expect(last).to_have_class("last-answer good", timeout=20_000)
    expect(last).to_contain_text(kept[-1])
