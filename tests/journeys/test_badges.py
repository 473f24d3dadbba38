"""A shared tablet: staff come and go by their badges, and each scan is that of whoever made it, also one sent late."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.journeys.visiting import TABLET, Visits
from tests.staffed import ADA, MIRA, TOM, asked_by, bisqued, the_piece
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.people import NewPerson, Person, Role
from tracker.usecases.studio import badges, membership

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tracker.store.unit_of_work import Store


def _scanned(page: Page, text: str) -> None:
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def _badge(store: Store, person: Person) -> tuple[str, str]:
    pin = badges.issue_badge(store, asked_by(ADA), person.id)
    badge = store.badges.of(person.id)
    assert badge is not None
    return badge.number, pin


def _comes(page: Page, badge: tuple[str, str]) -> None:
    _scanned(page, badge[0])
    page.get_by_label("PIN").fill(badge[1])
    page.keyboard.press("Enter")
    expect(page.locator(".notice.good")).to_be_visible()


def _card_finds(page: Page, store: Store, maker: Person) -> None:
    card = store.read.people.cards([maker.id])[maker.id]
    _scanned(page, card)
    page.wait_for_url(f"**/makers/{maker.id}")
    page.goto("/pieces/new")
    _scanned(page, card)
    expect(page.get_by_label("Maker")).to_have_value(maker.called)


def _waxed_by(store: Store, ref: str) -> list[int | None]:
    return [line.by_id for line in store.read.pieces.page(the_piece(store, ref).id).history if line.step == "wax"]


def test_each_scan_on_a_shared_tablet_is_that_of_whoever_scanned_it(visits: Visits) -> None:
    store = visits.store
    membership.add(store, asked_by(ADA), NewPerson(name="Pat Orrin", email="pat@studio.example", role=Role.STAFF))
    pat = store.read.people.person(email="pat@studio.example")
    assert pat is not None
    toms, pats = _badge(store, TOM), _badge(store, pat)
    first, second = bisqued(store), bisqued(store)
    page = visits.visit(ADA, "/people", viewport=TABLET)
    page.get_by_role("button", name="Turn on badges here").click()
    page.locator(".who summary").click()
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_label("Scan your badge")).to_be_focused()

    _comes(page, toms)
    page.goto("/scan?step=wax")
    page.route("**/scan", lambda route: route.abort())
    _scanned(page, first)
    expect(page.locator("[data-scan-count]")).to_have_attribute("data-saved", "1")

    # The next one's badge, scanned into the field of the page.
    _comes(page, pats)
    page.unroute("**/scan")
    expect(page.locator(".notice.unsent")).to_be_visible()
    assert page.url.endswith("/scan?step=wax")
    _scanned(page, second)
    expect(page.locator(".scan-line.good", has_text=second)).to_be_visible()
    assert (_waxed_by(store, second), the_piece(store, first).stage) == ([pat.id], Stage.BISQUED)

    _comes(page, toms)
    expect(page.locator(".scan-line.good", has_text=first)).to_be_visible()
    assert _waxed_by(store, first) == [TOM.id]

    # A maker card opens its maker's page where a scan would wax a piece, and fills the maker in where one is new.
    _card_finds(page, store, MIRA)

    # A page that takes no scans, and one that isn't there; a wrong PIN and a piece, and then the right PIN.
    for there in ("/today", "/no-such-page"):
        page.goto(there)
        _comes(page, pats)
        assert page.url.endswith(there)
    _scanned(page, toms[0])
    expect(page.get_by_label("PIN")).to_be_focused()
    page.keyboard.type(f"{(int(toms[1]) + 1) % 10_000:04}")
    page.keyboard.press("Enter")
    page.wait_for_url("**/badge/pin")
    expect(page.get_by_role("heading", name=TOM.short_name)).to_be_visible()
    expect(page.get_by_label("PIN")).to_be_focused()
    _scanned(page, first)
    expect(page.get_by_label("PIN")).to_have_value("")
    expect(page.locator("[data-pin-scanned]")).to_contain_text(first)
    page.keyboard.type(toms[1])
    page.keyboard.press("Enter")
    expect(page.locator(".notice.good")).to_be_visible()

    # Nothing is scanned for ten minutes, and the page shows by itself that nobody is signed in.
    page.clock.install()
    page.goto("/waiting")
    visits.here.clock.moment += timedelta(minutes=11)
    page.clock.fast_forward("10:06")
    page.wait_for_url("**/sign-in?next=/waiting")
