"""The instructor's desk: what waits for the outdoor kiln, a question that is answered, a record that is put right."""

from __future__ import annotations

from datetime import timedelta

from playwright.sync_api import expect

from tests.journeys.visiting import LAPTOP, NOW, TABLET, Visits, answered, line, scan, texts
from tests.staffed import ADA, INES, TOM, asked_by, bisqued, glazed, the_piece
from tests.studio import a_new_piece
from tracker.domain.pieces.piece import Stage
from tracker.usecases.pieces import pieces
from tracker.usecases.rules import questions


def test_the_outdoor_list_says_what_to_look_at_first(visits: Visits) -> None:
    plain = glazed(visits.store, "Ember Luster")
    pieces.queue(visits.store, asked_by(TOM, NOW), plain, "raku")
    later = NOW + timedelta(minutes=5)
    visits.here.clock.moment = later
    large = glazed(visits.store, "Ember Luster", new=a_new_piece("moon jar", clay="Lantern White", height_mm=240))
    pieces.queue(visits.store, asked_by(TOM, later), large, "raku", accepts={"porcelain-outdoors"})
    page = visits.visit(ADA, "/outdoor", viewport=LAPTOP)

    first = page.locator(".route.warn", has_text=large)
    order = texts(page, "main .code")

    expect(first).to_contain_text("This porcelain measures 240 mm: over 150 mm it may crack when it is pulled hot.")
    assert order.index(large) < order.index(plain), "warnings first, though the other has waited longer"
    expect(page.locator("[data-danger=hot-ware]")).to_be_visible()
    expect(page.locator("[data-danger=gas]")).to_be_visible()
    expect(page.locator("[data-danger=authority]")).to_be_hidden()
    page.locator("aside.caution summary").click()
    expect(page.locator("[data-danger=authority]")).to_be_visible()


def test_after_the_instructor_allowed_it_the_staff_can_queue_what_the_rules_ask_about(visits: Visits) -> None:
    ref = glazed(visits.store, "Iron Gate", maker=INES)
    staff = visits.visit(TOM, "/scan?step=queue&route=mid-range", viewport=TABLET)
    scan(staff, ref)
    answered(staff, 1)
    before = line(staff).text_content() or ""
    questions.ask(visits.store, asked_by(INES), ref, "May it stay dry?", route="mid-range")
    desk = visits.visit(ADA, "/questions", viewport=LAPTOP)

    asked = desk.locator("article", has_text=ref)
    asked.get_by_label("Your answer and why").fill("It is a test tile, and it may stay dry.")
    asked.get_by_role("button", name="Allow firing").click()
    expect(desk.locator(".notice.good")).to_have_text(f"{ref}: approved.")
    scan(staff, ref)
    answered(staff, 2)

    assert "Iron Gate needs cone 9" in before
    assert "ask" in before.lower()
    expect(line(staff)).to_contain_text("Queued")
    assert the_piece(visits.store, ref).route == "mid-range"


def test_a_stage_is_corrected_with_a_reason_and_not_without(visits: Visits) -> None:
    ref = bisqued(visits.store)
    pieces.wax(visits.store, asked_by(TOM), ref)
    page = visits.visit(ADA, f"/p/{ref}", viewport=LAPTOP)

    page.get_by_role("heading", name="Fix the record").click()
    page.get_by_text("Wrong stage", exact=True).click()
    page.get_by_label("Actual stage").select_option("bisqued")
    page.get_by_role("button", name="Set the stage back").click()
    without = the_piece(visits.store, ref).stage
    page.get_by_label("Actual stage").select_option("bisqued")
    page.locator("#why-correct").fill("Scanned by mistake.")
    page.get_by_role("button", name="Set the stage back").click()

    assert without is Stage.WAXED
    expect(page.locator(".history")).to_contain_text("Scanned by mistake.")
    assert the_piece(visits.store, ref).stage is Stage.BISQUED
