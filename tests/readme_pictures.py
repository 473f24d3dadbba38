"""The pictures of pages in README: `python -m tests.readme_pictures` draws them again, out of a demo studio of its own.

It takes some minutes and is no part of the gate: a demo ends on the day it is played, so its pictures differ each time.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from tests.machine import chromium
from tests.serving import serving
from tests.staffed import studio_store
from tracker.domain.firing.firings import FiringStage
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.people import Person
from tracker.store.queries import Queries

FOLDER = Path(__file__).parents[1] / ".pictures"
WIDTH, HEIGHT = 800, 1034
_COLORS = 128
"""So few tell our pages' colors and the edges of their letters, and keep a picture below 150 kB."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A page as one role sees it: its address, what is done on it first, and what is scrolled to the top."""

    name: str
    role: str
    address: str
    first: Callable[[Page], object] = lambda _page: None
    top: str = ""


def pictures(read: Queries, student: Person) -> list[Picture]:
    """The most used pages of a demo studio, with codes and numbers that it has."""
    own = read.pieces.of(student.id)
    firings = read.firings.listed(open_only=False, rounds=False, limit=100)
    planned = next(one.id for one in firings if one.stage is FiringStage.PLANNED)
    unloaded = next(
        one.id
        for one in firings
        if one.stage is FiringStage.UNLOADED and read.catalog().routes[one.route].kind is RouteKind.SHELF
    )
    at_hand = [row.ref for row in own if row.piece.stage in {Stage.GLAZED, Stage.FIRED}]
    bare = next(row.ref for row in own if row.piece.stage is Stage.BISQUED)
    queued = next(row.ref for row in own if row.piece.stage is Stage.QUEUED)
    tags = "&".join(f"ref={row.ref}" for row in [one for one in own if one.piece.code][:2])
    return [
        Picture("today", "instructor", "/today"),
        Picture("mine", "student", "/pieces"),
        Picture("new-piece", "student", "/pieces/new"),
        Picture("glazing", "student", f"/p/{bare}/glaze"),
        Picture("piece", "student", f"/p/{queued}"),
        Picture(
            "scan",
            "staff",
            "/scan?step=queue&route=low-fire",
            lambda page: _scan(page, at_hand),
            top="form:has([name=ref])",
        ),
        Picture("waiting", "staff", "/waiting"),
        Picture("outdoor", "staff", "/outdoor"),
        Picture("load", "staff", f"/firings/{planned}", top="h2:text-is('Load plan')"),
        Picture("fire", "staff", f"/firings/{unloaded}", top="h2:text-is('Firing curve')"),
        Picture("print-desk", "instructor", f"/paper/tags?{tags}"),
    ]


def _scan(page: Page, refs: list[str]) -> None:
    """Scan these pieces, one after the other, as a scanner types them."""
    for ref in refs[:4]:
        page.locator("[name=ref]").first.fill(ref)
        page.keyboard.press("Enter")
        page.get_by_role("link", name=ref).first.wait_for()
    page.wait_for_timeout(500)


def draw(browser: Browser, at: str, people: dict[str, dict[str, str]], all_of_them: list[Picture]) -> None:
    """Open each page as its role and keep its picture; `at` is where the studio is served."""
    doors = {role: _signed_in(browser, at, who) for role, who in people.items()}
    for one in all_of_them:
        page = doors[one.role]
        page.goto(at + one.address)
        one.first(page)
        if one.top:
            page.locator(one.top).first.evaluate("it => it.scrollIntoView()")
        page.wait_for_timeout(300)
        seen = Image.open(BytesIO(page.screenshot(animations="disabled", caret="hide"))).convert("RGB")
        few = seen.quantize(_COLORS, dither=Image.Dither.NONE)
        few.save(FOLDER / f"{one.name}.png", optimize=True)


def _signed_in(browser: Browser, at: str, who: dict[str, str]) -> Page:
    page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT}, color_scheme="light", reduced_motion="reduce")
    page.goto(f"{at}/sign-in")
    page.fill("[name=email]", who["email"])
    page.fill("[name=password]", who["password"])
    page.press("[name=password]", "Enter")
    page.wait_for_url(lambda address: "sign-in" not in address)
    return page


def main() -> None:
    """Play a demo, serve it, and draw every picture of it."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-c", "from tracker.cli import main; main()"]
        played = subprocess.run(
            [*command, "demo", "--no-serve", "--keep", folder, "--json"], check=True, capture_output=True, text=True
        )
        told = json.loads(played.stdout)
        people = {one["role"]: one for one in told["sign_ins"]}
        read = studio_store(told["database"]).read
        [student] = read.people.named(people["student"]["name"])
        with serving(told["database"]) as (_server, port), sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium(), args=["--no-sandbox", "--disable-gpu"])
            draw(browser, f"http://127.0.0.1:{port}", people, pictures(read, student))
            browser.close()


if __name__ == "__main__":
    main()
