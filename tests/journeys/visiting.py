"""The studio behind a real address, and what a visitor's browser does and sees there."""

from __future__ import annotations

import re
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from random import Random
from typing import TYPE_CHECKING, Any

import pypdfium2
import zxingcpp
from werkzeug.serving import make_server

from tests.journeys.looking import AXE
from tests.staffed import PASSWORD
from tests.studio import NOON
from tracker.app import create_app
from tracker.settings import Settings
from tracker.store.unit_of_work import Store
from tracker.wording.quantities import NO_BREAK
from tracker.wording.reader import ANYONE
from tracker.wording.render import read

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Route

    from tracker.domain.message import Fact
    from tracker.domain.studio.people import Person

PHONE = {"width": 360, "height": 740}
TABLET = {"width": 1024, "height": 768}
LAPTOP = {"width": 1280, "height": 800}

PULSE = 3_000
"""Milliseconds between two looks of a kiln's page at what became of the kiln."""

NOW = NOON + timedelta(days=2)
"""When the visits take place: what tests lay ready was glazed two days before, so that it has dried."""

# Chromium writes every refusal of ours (403, 409, 422, 503 and so on) to its console, and each try at a server
# that is away; a page that broke says other things.
_REFUSED = re.compile(
    r"Failed to load resource: "
    r"(the server responded with a status of (4\d\d|503)|net::ERR_(CONNECT|CONTENT|EMPTY|INTERNET|NETWORK|FAILED))"
)


class Clock:
    """The studio's clock: it stands until a test moves it on."""

    def __init__(self) -> None:
        """Begin at noon, two days on."""
        self.moment = NOW

    def __call__(self) -> datetime:
        """The moment it shows."""
        return self.moment

    def pass_by(self, **how_long: float) -> None:
        """Move on by so many hours, minutes or days."""
        self.moment += timedelta(**how_long)


@dataclass(frozen=True)
class Here:
    """A studio that is being served: where, its store and its clock."""

    address: str
    store: Store
    clock: Clock


@contextmanager
def served(database: str) -> Iterator[Here]:
    """The pages over a database, served on a free port of this machine until the block ends."""
    clock = Clock()
    draw = Random(41).randrange  # noqa: S311 -- a test wants the same codes every time
    app = create_app(Settings(database=database), clock, draw)
    server = make_server("127.0.0.1", 0, app, threaded=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    store: Store = app.extensions["footring"].store
    try:
        yield Here(f"http://127.0.0.1:{server.server_port}", store, clock)
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
        store.close()


@dataclass
class Visits:
    """Everybody who is at a browser during one test."""

    browser: Browser
    here: Here
    _contexts: list[BrowserContext] = field(default_factory=list)
    _cookies: dict[str, Any] = field(default_factory=dict)
    _tabs: dict[str, Page] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    @property
    def store(self) -> Store:
        """The store behind the pages: to lay pieces ready, and to look at what became of them."""
        return self.here.store

    def stranger(self, **how: Any) -> Page:  # noqa: ANN401 -- whatever a browser context takes
        """A page of somebody who is not signed in, in a browser of their own."""
        context = self.browser.new_context(base_url=self.here.address, **how)
        context.set_default_timeout(10_000)
        self._contexts.append(context)
        context.on("page", self._watch)
        return context.new_page()

    def visit(self, who: Person, address: str = "/", *, anew: bool = False, **how: Any) -> Page:  # noqa: ANN401 -- as above
        """A page of somebody who is signed in, at `address`; `anew` begins a session that no other test shares."""
        page = self.stranger(**how)
        if anew or who.email not in self._cookies:
            sign_in(page, who.email, PASSWORD)
            if not anew:
                self._cookies[who.email] = page.context.cookies()
        else:
            page.context.add_cookies(self._cookies[who.email])
        page.goto(address)
        return page

    def tab(self, who: Person | None) -> Page:
        """A page that stays open for the next test, of somebody signed in or of a stranger: for looking only."""
        email = who.email if who else ""
        if email not in self._tabs:
            page = self.visit(who) if who else self.stranger()
            # It looks at page after page, and handed over with each one axe-core would take longer than it needs.
            page.context.add_init_script(path=AXE)
            self._tabs[email] = page
            self._contexts.pop()
        return self._tabs[email]

    def last(self) -> BrowserContext:
        """The browser that was opened last, for another tab of it."""
        return self._contexts[-1]

    def leave(self) -> None:
        """Close every browser but those of the tabs that stay; the test fails when one of its pages had an error."""
        for context in self._contexts:
            context.close()
        self._contexts.clear()
        faults, self.faults = self.faults, []
        assert not faults, faults

    def _watch(self, page: Page) -> None:
        page.on("pageerror", lambda error: self.faults.append(f"{page.url}: {error}"))
        page.on("console", self._listen)

    def _listen(self, said: ConsoleMessage) -> None:
        if said.type in {"error", "warning"} and not _REFUSED.match(said.text):
            self.faults.append(said.text)


def sign_in(page: Page, email: str, password: str) -> None:
    """Sign in through the page."""
    page.goto("/sign-in")
    page.get_by_label("Email").fill(email)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()


def at_a_kiln(visits: Visits, who: Person, firing: int) -> Page:
    """A kiln's page on a tablet whose clock may be put on."""
    page = visits.visit(who, anew=True, viewport=TABLET)
    page.clock.install()
    page.goto(f"/firings/{firing}")
    return page


def looks_again(page: Page) -> None:
    """Put the clock on to when a kiln's page looks again at what became of the kiln."""
    page.clock.fast_forward(PULSE)


def scan(page: Page, *texts: str) -> None:
    """What a scanner does: type each text and end it with Enter, without waiting for an answer.

    A person picks the scanner up only when the page with the field is there.
    """
    page.wait_for_function("() => document.activeElement?.name === 'ref' && document.readyState === 'complete'")
    for text in texts:
        page.keyboard.type(text)
        page.keyboard.press("Enter")


def came_out(page: Page, ref: str, *values: str) -> None:
    """Press what came of a piece on its line of the page for unloading: a result, or each of its flaws."""
    for value in values:
        page.locator(f"[data-ref='{ref}'] [value='{value}']").check()


def all_sent(page: Page, checked: int) -> None:
    """Wait until so many pieces of a kiln are checked, and everything that was said of them is on record."""
    page.wait_for_function(
        "many => document.querySelector(`[data-unload-count][data-checked='${many}'][data-waiting='0']`)", arg=checked
    )


def line(page: Page, number: int = 0) -> Any:  # noqa: ANN401 -- playwright's locator
    """The `number`-th line of answers, the newest being the first."""
    return page.locator(".scan-line").nth(number)


def words_in(there: Any) -> str:  # noqa: ANN401 -- playwright's locator
    """What somebody reads there: a no-break space as the space that it is."""
    return str(there.text_content() or "").replace(NO_BREAK, " ")


def on_page(fact: Fact) -> str:
    """A fact as a page has it."""
    return read(fact, replace(ANYONE, in_lines=True))


def answered(page: Page, many: int) -> None:
    """Wait until so many scans of this page have their answer."""
    page.wait_for_function(
        "many => document.querySelector(`[data-scan-count][data-answered='${many}'][data-waiting='0']`)", arg=many
    )


def made_pdf(page: Page, button: str = "Make the PDF") -> bytes:
    """Press the button that makes the PDF, and take what arrives instead of the browser's own viewer."""
    arrived: list[bytes] = []

    def take(route: Route) -> None:
        answer = route.fetch()
        assert answer.headers["content-type"] == "application/pdf"
        arrived.append(answer.body())
        route.fulfill(status=204)

    made_by = re.compile(r"/paper/tags(/now)?$")
    page.route(made_by, take)
    page.get_by_role("button", name=button).click()
    until = time.monotonic() + 15
    while not arrived and time.monotonic() < until:
        page.wait_for_timeout(20)
    page.unroute(made_by)
    return arrived[0]


def read_back(pdf: bytes) -> tuple[list[str], list[str]]:
    """What zxing-cpp, which shares no code with us, reads off the pages at 300 dpi: the bars' texts, and the QR's."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        found = [
            symbol
            for page in document
            for symbol in zxingcpp.read_barcodes(page.render(scale=300 / 72, grayscale=True).to_pil())
        ]
    finally:
        document.close()
    bars = sorted(one.text for one in found if one.format == zxingcpp.BarcodeFormat.Code128)
    return bars, sorted(one.text for one in found if one.format == zxingcpp.BarcodeFormat.QRCode)


def texts(page: Page, selector: str) -> Sequence[str]:
    """The text of each element, in the page's order, once the page that was asked for has come and has one."""
    page.locator(selector).first.wait_for(state="attached")
    return [text.strip() for text in page.locator(selector).all_text_contents()]
