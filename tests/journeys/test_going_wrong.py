"""What goes wrong in a day: pages gone stale, sessions ended, a server that dies. One clear sentence, nothing lost."""

from __future__ import annotations

import re
import shutil
import signal
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Page, expect

from tests.journeys.serving import free_port, serving
from tests.journeys.visiting import (
    TABLET,
    Clock,
    Here,
    Visits,
    answered,
    at_a_kiln,
    line,
    looks_again,
    scan,
    sign_in,
    texts,
)
from tests.staffed import ADA, INES, PASSWORD, TOM, asked_by, bisqued, glazed, open_studio, queued, started, the_piece
from tracker.domain.pieces.piece import Stage
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pieces

if TYPE_CHECKING:
    from playwright.sync_api import Browser

_MEANWHILE = "has just changed"
WAITS = 2_000
"""Milliseconds that a page waits before it asks again a server that was busy, as the server tells it to."""


def _lines_of(visits: Visits, ref: str) -> list[str]:
    return [str(one.step) for one in visits.store.read.pieces.page(the_piece(visits.store, ref).id).history]


def test_going_back_after_a_step_shows_the_piece_as_it_is_now(visits: Visits) -> None:
    ref = bisqued(visits.store, maker=INES)
    page = visits.visit(INES, f"/p/{ref}", anew=True)

    page.get_by_role("button", name="Mark foot as waxed").click()
    expect(page.locator(".notice.good")).to_be_visible()
    page.go_back()

    expect(page.locator("[aria-current=step]")).to_contain_text("waxed")
    assert page.get_by_role("button", name="Mark foot as waxed").count() == 0
    assert sorted(_lines_of(visits, ref)) == ["register", "wax"]


def test_a_step_from_a_page_that_has_gone_stale_says_so_and_changes_nothing(visits: Visits) -> None:
    ref = bisqued(visits.store, maker=INES)
    page = visits.visit(INES, f"/p/{ref}", anew=True)
    pieces.wax(visits.store, asked_by(TOM), ref)
    pieces.not_waxed(visits.store, asked_by(TOM), ref)

    page.get_by_role("button", name="Mark foot as waxed").click()

    expect(page.locator(".notice.stop")).to_contain_text(f"{ref} {_MEANWHILE}")
    assert the_piece(visits.store, ref).stage is Stage.BISQUED


def test_of_two_tabs_the_later_one_is_told_and_puts_nothing_on(visits: Visits) -> None:
    ref = bisqued(visits.store, maker=INES)
    first = visits.visit(INES, f"/p/{ref}/glaze", anew=True)
    second = first.context.new_page()
    second.goto(f"/p/{ref}/glaze")

    for page in (first, second):
        page.locator("label.choice", has_text="wiped").click()
        page.locator("label.pick", has_text="Still Water").click()
        page.get_by_role("button", name="Apply").click()

    expect(first.locator(".notice.good")).to_be_visible()
    expect(second.locator(".problems")).to_contain_text("Nothing was changed")
    expect(second.locator(".problems")).to_contain_text(_MEANWHILE)
    assert the_piece(visits.store, ref).worn_names == ("Still Water",)


def test_a_page_from_before_signing_out_and_in_again_is_answered_in_a_sentence(visits: Visits) -> None:
    ref = bisqued(visits.store, maker=INES)
    old = visits.visit(INES, f"/p/{ref}", anew=True)
    other = old.context.new_page()
    other.goto("/pieces")
    other.locator(".who summary").click()
    other.get_by_role("button", name="Sign out").click()
    sign_in(other, INES.email, PASSWORD)

    old.get_by_role("button", name="Mark foot as waxed").click()

    expect(old.locator("main [role=status]")).to_contain_text("nothing was changed")
    assert the_piece(visits.store, ref).stage is Stage.BISQUED


def _sign_out_elsewhere(page: Page, _: Visits) -> None:
    other = page.context.new_page()
    other.goto("/pieces")
    other.locator("form[action='/sign-out']").first.evaluate("form => form.submit()")
    other.wait_for_url("**/sign-in")


def _let_the_session_end(_: Page, visits: Visits) -> None:
    visits.here.clock.pass_by(hours=15)


@pytest.mark.parametrize(
    "end",
    [
        pytest.param(_sign_out_elsewhere, id="signed out"),
        pytest.param(_let_the_session_end, id="ended by time"),
    ],
)
def test_scans_after_the_session_are_kept_and_go_on_once_signed_in_again(
    visits: Visits, end: Callable[[Page, Visits], None]
) -> None:
    refs = [bisqued(visits.store) for _ in range(3)]
    page = visits.visit(TOM, "/scan?step=wax", anew=True, viewport=TABLET)

    end(page, visits)
    scan(page, *refs)
    expect(page.locator(".scan-stopped")).to_be_visible()
    expect(page.locator(".last-answer.stop").get_by_role("link", name="Sign in again")).to_be_visible()
    meanwhile = [the_piece(visits.store, ref).stage for ref in refs]
    sign_in(page, TOM.email, PASSWORD)
    page.wait_for_url("**/today")
    expect(page.locator("[data-unsent-box]")).to_contain_text("3 saved scans were sent.")

    assert meanwhile == [Stage.BISQUED] * 3
    assert [the_piece(visits.store, ref).stage for ref in refs] == [Stage.WAXED] * 3
    assert [_lines_of(visits, ref).count("wax") for ref in refs] == [1, 1, 1]


def test_a_form_sent_after_the_session_asks_to_sign_in_and_changes_nothing(visits: Visits) -> None:
    ref = bisqued(visits.store, maker=INES)
    page = visits.visit(INES, f"/p/{ref}", anew=True)

    visits.here.clock.pass_by(days=31)
    page.get_by_role("button", name="Mark foot as waxed").click()

    expect(page.get_by_role("button", name="Sign in")).to_be_visible()
    assert the_piece(visits.store, ref).stage is Stage.BISQUED


def test_scans_while_the_server_is_killed_and_started_again_happen_once_each(
    browser: Browser, sqlite_template: Path, tmp_path: Path
) -> None:
    database = f"sqlite:///{shutil.copyfile(sqlite_template, tmp_path / 'studio.sqlite')}"
    store = open_studio(database)
    refs = [glazed(store) for _ in range(40)]
    port = free_port()
    visits = Visits(browser, Here(f"http://127.0.0.1:{port}", store, Clock()))

    with ExitStack() as servers:
        first = servers.enter_context(serving(database, port, tmp_path))
        page = visits.visit(TOM, "/scan?step=queue&route=mid-range", viewport=TABLET)
        scan(page, *refs[:20])
        first.send_signal(signal.SIGKILL)
        scan(page, *refs[20:])
        first.wait()
        servers.enter_context(serving(database, port, tmp_path))
        answered(page, 40)
        codes, words = texts(page, ".scan-line .code"), texts(page, ".scan-line .word")
        visits.leave()

    assert codes == refs[::-1]
    assert set(words) == {"Queued"}
    assert [_lines_of(visits, ref).count("queue") for ref in refs] == [1] * 40
    store.close()


def test_a_scan_without_a_network_waits_in_its_line_and_goes_by_itself(visits: Visits) -> None:
    ref = bisqued(visits.store)
    page = visits.visit(TOM, "/scan?step=wax", anew=True, viewport=TABLET)

    page.route("**/scan", lambda route: route.abort("connectionfailed") if route.request.method == "POST" else None)
    scan(page, ref)
    expect(line(page)).to_have_class(re.compile("kept"))
    page.unroute("**/scan")
    answered(page, 1)

    assert the_piece(visits.store, ref).stage is Stage.WAXED


def test_a_scan_that_the_server_is_too_busy_for_waits_in_its_line_and_goes_by_itself(visits: Visits) -> None:
    ref = bisqued(visits.store)
    page = visits.visit(TOM, "/scan?step=wax", anew=True, viewport=TABLET)
    page.clock.install()

    with visits.store.writing():
        scan(page, ref)
        expect(line(page)).to_have_class(re.compile("kept"))
        expect(line(page)).to_contain_text("busy")
    page.clock.fast_forward(WAITS)
    answered(page, 1)

    assert the_piece(visits.store, ref).stage is Stage.WAXED
    assert _lines_of(visits, ref).count("wax") == 1


def test_a_kiln_door_that_loses_the_network_says_so_at_once_and_shows_nothing_as_go(visits: Visits) -> None:
    inside, next_one = queued(visits.store), queued(visits.store)
    page = at_a_kiln(visits, TOM, started(visits.store))
    scan(page, inside)
    answered(page, 1)
    expect(line(page).locator(".word")).to_have_text("GO")
    stop, door = page.locator("[data-door-away]"), str(page.locator("[data-door]").get_attribute("data-door"))

    # As a web server in front answers while Footring starts.
    page.route(f"**{door}", lambda route: route.fulfill(status=503, body="<p>No upstream</p>"))
    looks_again(page)
    expect(stop).to_contain_text("busy", timeout=10_000)
    page.unroute(f"**{door}")
    looks_again(page)
    expect(stop).to_be_hidden(timeout=10_000)

    page.context.set_offline(True)

    expect(stop).to_be_visible(timeout=5_000)
    expect(page.get_by_text("GO", exact=True)).to_be_hidden()
    scan(page, next_one)
    expect(line(page)).to_have_class(re.compile("kept"))
    assert the_piece(visits.store, next_one).in_firing is None

    page.context.set_offline(False)

    expect(stop).to_be_hidden(timeout=10_000)
    expect(line(page).locator(".word")).to_have_text("GO", timeout=10_000)
    assert the_piece(visits.store, next_one).in_firing is not None


def test_a_kiln_door_says_stop_once_somebody_else_has_lit_the_kiln(visits: Visits) -> None:
    firing = started(visits.store, "Front box", "low-fire", "04")
    firings.put_in(visits.store, asked_by(TOM), firing, queued(visits.store, "Plum Gloss", route="low-fire"))
    page = at_a_kiln(visits, TOM, firing)

    firings.light(visits.store, asked_by(ADA), firing)
    looks_again(page)

    expect(page.locator("[data-door-away]")).to_contain_text("the kiln is closed", timeout=6_000)
