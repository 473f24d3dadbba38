"""A first day without an editor: from an empty folder to the first registered piece, all in the browser."""

from __future__ import annotations

import re
import signal
import subprocess
from typing import TYPE_CHECKING

import pytest

from tests.journeys.serving import FOOTRING, free_port

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, ViewportSize

PHONE: ViewportSize = {"width": 360, "height": 740}


@pytest.mark.slow
def test_a_studio_is_set_up_and_its_first_piece_registered_without_an_editor(browser: Browser, tmp_path: Path) -> None:
    server = subprocess.Popen(
        [FOOTRING, "--database", str(tmp_path / "studio.db"), "serve", "--port", str(free_port())],
        stdout=subprocess.PIPE,
        text=True,
        cwd=tmp_path,
    )
    assert server.stdout
    try:
        there = re.search(r"http\S+", server.stdout.readline())
        assert there
        context = browser.new_context(viewport=PHONE, timezone_id="America/Denver")
        page = context.new_page()
        page.goto(there[0])
        page.get_by_label("Your name").fill("Ada Quill")
        page.get_by_label("Email").fill("ada@studio.example")
        page.get_by_label("Password", exact=True).fill("seven wet sponges")
        page.get_by_label("Name of the studio").fill("Quayside clay")
        page.get_by_role("button", name="Set up the studio").click()
        page.wait_for_url(re.compile("/sign-in"))
        page.get_by_label("Email").fill("ada@studio.example")
        page.get_by_label("Password", exact=True).fill("seven wet sponges")
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url("**/today")
        base = page.url.removesuffix("/today")
        page.goto(f"{base}/pieces/new")
        page.get_by_label("Name", exact=True).fill("first bowl")
        page.get_by_label("Clay", exact=True).select_option("Mid-range stoneware")
        page.get_by_label("How it was made").select_option("thrown")
        page.locator("label.choice", has_text="decorative").click()
        page.get_by_label("Height", exact=True).fill("3 in")
        page.get_by_label("Width", exact=True).fill("6 in")
        page.get_by_role("button", name="Register", exact=True).click()
        page.wait_for_url(re.compile("/pieces/registered"))
        assert "first bowl" in page.content()
        context.close()
    finally:
        server.send_signal(signal.SIGTERM)
        server.communicate(timeout=20)
