"""The print desk in a browser: tags from the picture of a used sheet, printed once however often one presses."""

from __future__ import annotations

from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.journeys.visiting import PHONE, TABLET, made_pdf, read_back
from tests.staffed import INES, TOM, asked_by, bisqued, fired
from tracker.usecases.pieces import pieces

if TYPE_CHECKING:
    from tests.journeys.visiting import Visits

SHEET = "A4, 3 x 7, 63.5 x 38.1 mm"


def test_the_pieces_of_a_shelf_are_printed_from_the_seventh_label_of_a_used_sheet(visits: Visits) -> None:
    refs = [bisqued(visits.store) for _ in range(3)]
    for ref in refs:
        pieces.shelve(visits.store, asked_by(TOM), ref, "rack 3")
    page = visits.visit(TOM, "/paper", viewport=TABLET)

    page.get_by_role("link", name="Tags").click()
    page.get_by_role("link", name="Rack 3").click()
    page.get_by_label("Start at label 7", exact=True).check(force=True)
    page.get_by_text("the first on label 7 of 21").wait_for(state="attached")
    drawn = page.locator("[data-sheet] text").all_text_contents()
    page.get_by_role("checkbox").first.uncheck()
    page.get_by_text("2 of 2 labels, the first on label 7").wait_for(state="attached")
    bars, _ = read_back(made_pdf(page))

    assert all(ref in drawn for ref in refs)
    assert len(bars) == 2
    assert set(bars) < set(refs)
    job = visits.store.read.papers.jobs()[0]
    assert (job.order.start_at, set(job.order.things)) == (7, set(bars))


def test_a_double_click_prints_once(visits: Visits) -> None:
    ref = bisqued(visits.store, maker=INES)
    page = visits.visit(INES, f"/paper/tags?ref={ref}", viewport=PHONE)
    # The browser's own PDF viewer is no page: what it would show is let go of.
    page.route("**/printed/*.pdf", lambda route: route.fulfill(status=204))

    with page.expect_response("**/printed/*.pdf"):
        page.get_by_role("button", name="Make the PDF").dblclick()
    page.wait_for_timeout(600)  # Time for a second printing, if there were one.

    printed = [job for job in visits.store.read.papers.jobs() if job.order.things == (ref,)]
    assert [job.reprints for job in printed] == [frozenset()]


def test_without_script_the_sheet_is_shown_again_by_its_button(visits: Visits) -> None:
    ref = bisqued(visits.store, maker=INES)
    page = visits.visit(INES, f"/paper/tags?ref={ref}", viewport=PHONE, java_script_enabled=False)

    page.get_by_label("Start at label 4", exact=True).check(force=True)
    page.get_by_role("button", name="Update the preview").click()

    expect(page.get_by_text("the first on label 4 of")).to_have_count(1)
    assert not any(job.order.things == (ref,) for job in visits.store.read.papers.jobs())
    bars, _ = read_back(made_pdf(page))
    assert bars == [ref]


def test_sheets_are_leafed_through_with_script_and_without(visits: Visits) -> None:
    for java_script_enabled in (True, False):
        page = visits.visit(TOM, "/paper/shelves", viewport=TABLET, java_script_enabled=java_script_enabled)
        page.get_by_label("one per line").fill("\n".join(f"board {number}" for number in range(1, 31)))
        page.get_by_role("combobox", name="Labels or paper in the printer").select_option("A4, 3 x 7, 63.5 x 38.1 mm")
        if not java_script_enabled:
            page.get_by_role("button", name="Update the preview").click()
        expect(page.locator("[data-sheet]")).to_contain_text("21 of 3")  # Other tests may have a shelf of their own.

        page.get_by_role("button", name="Next").click()
        expect(page.locator("[data-sheet]")).to_contain_text("Sheet 2 of 2")
        expect(page.get_by_role("button", name="Next")).to_be_disabled()
        expect(page.locator("[data-sheet] text").filter(has_text="board 30")).to_have_count(1)
        page.get_by_role("button", name="Previous").click()
        expect(page.get_by_label("Start at label 1", exact=True)).to_be_checked()

    assert not any("board 1" in job.order.things for job in visits.store.read.papers.jobs())


def test_without_script_enter_in_a_field_shows_the_sheets_and_prints_nothing(visits: Visits) -> None:
    refs = [fired(visits.store) for _ in range(2)]
    address = f"/paper/care?ref={refs[0]}&ref={refs[1]}&stock=A6 paper, 105 x 148 mm"
    page = visits.visit(TOM, address, viewport=TABLET, java_script_enabled=False)

    page.get_by_label("Card footer").fill("Open on Sundays")
    page.get_by_label("Card footer").press("Enter")

    expect(page.locator("[data-sheet] text").filter(has_text="Open on Sundays")).to_have_count(1)
    assert not any(job.order.line == "Open on Sundays" for job in visits.store.read.papers.jobs())


def test_a_long_printing_shows_how_far_it_is_and_opens_its_pdf(visits: Visits) -> None:
    page = visits.visit(TOM, "/paper/shelves", viewport=TABLET)
    page.get_by_label("More names, one per line").or_(page.get_by_label("Names, one per line")).fill(
        "\n".join(f"rack {number}" for number in range(1, 231))
    )

    page.get_by_role("button", name="Make the PDF").click()
    page.get_by_role("heading", level=1, name="230").wait_for()
    # What opens a PDF is not the page's: a window shows it, a browser without one lays it on the disk.
    page.evaluate("() => { URL.createObjectURL = (made) => { window.made = made; return '#made'; }; }")
    page.get_by_role("link", name="Open the PDF").click()
    page.wait_for_url("**#made")
    pdf = bytes(page.evaluate("async () => Array.from(new Uint8Array(await window.made.arrayBuffer()))"))

    assert pdf == page.request.get(page.get_by_role("link", name="Open the PDF").get_attribute("href") or "").body()
    assert pdf.startswith(b"%PDF")
    assert visits.store.read.papers.jobs()[0].order.labels == 230
