"""A morning of shelf staff on a small tablet: eighty scans, a kiln loaded and unloaded, and what goes wrong."""

from __future__ import annotations

import shutil
from contextlib import ExitStack
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.journeys.serving import free_port, serving
from tests.journeys.visiting import Clock, Here, Visits, all_sent, answered, came_out, line, scan
from tests.staffed import TOM, asked_by, bisqued, glazed, open_studio, the_piece
from tracker.usecases.pieces import ware_shelves

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page

    from tracker.store.unit_of_work import Store

SMALL_TABLET = {"width": 820, "height": 1180}
_EACH = 40
_LOAD = 12


def _undo_the_last(page: Page) -> None:
    line(page).get_by_role("button", name="Undo").click()
    expect(line(page)).to_have_class("scan-line undone")


def _scan_all_but_the_last(page: Page, address: str, refs: list[str]) -> None:
    """Scan pieces for a step, and undo the last, which was a mistake."""
    page.goto(address)
    scan(page, *refs)
    answered(page, len(refs))
    _undo_the_last(page)


def _load_and_fire(page: Page, *refs: str) -> None:
    """Load the kiln, take the last piece out again, and fire it."""
    page.goto("/firings")
    page.get_by_label("Kiln and firing type").select_option("Back box / mid-range")
    page.get_by_role("button", name="Start loading").click()
    scan(page, *refs)
    answered(page, len(refs))
    _undo_the_last(page)
    page.get_by_role("button", name="Start the kiln").click()
    page.get_by_role("button", name="Mark kiln as off").click()
    page.get_by_role("link", name="Unload this firing").click()


def _take_out(page: Page, *texts: str) -> None:
    """Scan what is taken out of the kiln, one after the other."""
    page.wait_for_function("() => document.activeElement?.id === 'code' && document.readyState === 'complete'")
    for text in texts:
        page.keyboard.type(f"{text}\n")


def _lines(store: Store, ref: str) -> list[str]:
    """What the store has of a piece: its steps in their order, with what it came out as and where it was put."""
    history = store.read.pieces.page(the_piece(store, ref).id).history
    return [" ".join(filter(None, (str(one.step), str(one.outcome or ""), one.place))) for one in history]


def test_a_morning_of_eighty_scans_and_a_kiln_is_on_record_line_by_line(
    browser: Browser, sqlite_template: Path, tmp_path: Path
) -> None:
    database = f"sqlite:///{shutil.copyfile(sqlite_template, tmp_path / 'studio.sqlite')}"
    store, port = open_studio(database), free_port()
    for name in ("Cart 2", "Rack 3"):
        ware_shelves.add_shelf(store, asked_by(TOM), name)
    waxed, queued = ([lay(store) for _ in range(_EACH)] for lay in (bisqued, glazed))
    load, put_back = queued[:_LOAD], queued[_LOAD]
    cart, rack = load[:6], load[6:]
    cracked, broken, absent, last = cart[1], rack[1], rack[4], rack[5]
    laid = {ref: _lines(store, ref) for ref in (*waxed, *queued)}
    visits = Visits(browser, Here(f"http://127.0.0.1:{port}", store, Clock()))

    with ExitStack() as servers:
        server = servers.enter_context(serving(database, port, tmp_path))
        page = visits.visit(TOM, viewport=SMALL_TABLET)
        _scan_all_but_the_last(page, "/scan?step=wax", waxed)
        _scan_all_but_the_last(page, "/scan?step=queue&route=mid-range", queued)
        _load_and_fire(page, *load, put_back)
        _take_out(page, "S.Cart 2", *cart[:2])
        came_out(page, cracked, "cracked", "crazed")
        _take_out(page, *cart[2:4])
        page.reload()
        _take_out(page, *cart[4:])
        all_sent(page, 5)
        server.kill()
        server.wait()
        _take_out(page, "S.Rack 3", *rack[:2])
        came_out(page, broken, "broke")
        _take_out(page, rack[2])
        expect(page.locator("[data-unload-count][data-checked='8'][data-saved='3']")).to_be_visible()
        page.close()
        servers.enter_context(serving(database, port, tmp_path))
        page = visits.last().new_page()
        page.goto("/firings/1/unload")
        all_sent(page, 8)
        _take_out(page, rack[3], put_back, absent)
        came_out(page, absent, "absent")
        _take_out(page, last)
        came_out(page, last, "good")
        expect(page.locator(f"[data-wrong='{put_back}']")).to_be_visible()
        page.get_by_label("was fired").check()
        page.get_by_role("button", name=f"Unload {_LOAD} pieces").click()
        expect(page.get_by_role("heading", level=1)).to_contain_text("Firing 1")
        visits.leave()

    done = {ref: ["wax"] for ref in waxed} | {ref: ["queue"] for ref in queued}
    done[waxed[-1]].append("not waxed")
    done[queued[-1]].append("pull back")
    for ref in load:
        done[ref] += ["fire good", "shelve Cart 2" if ref in cart else "shelve Rack 3"]
    done[cracked][1] = "fire crazed,cracked"
    done[broken][1:] = ["fire broke", "lose broke"]
    done[absent][1:] = ["take out"]
    assert {ref: _lines(store, ref) for ref in done} == {ref: laid[ref] + done[ref] for ref in done}
    store.close()
