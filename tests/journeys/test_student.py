"""The student's way: from a first password, through a new piece and its slip, to glaze and a question."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from uuid import uuid4

from playwright.sync_api import expect

from tests.journeys.visiting import PHONE, Visits, made_pdf, read_back, sign_in, texts
from tests.reading import said
from tests.staffed import ADA, INES, MIRA, asked_by, bisqued, the_piece
from tests.studio import NOON, a_new_piece
from tracker.domain.pieces.history import Request
from tracker.domain.pieces.piece import Stage, Use
from tracker.domain.studio.people import NewPerson
from tracker.usecases.pieces.pieces import register
from tracker.usecases.studio.membership import enrol


def test_a_first_password_opens_nothing_but_the_choice_of_ones_own(visits: Visits) -> None:
    newcomer = NewPerson(name="Odo Blank", email="odo@studio.example", section="Friday")
    ((_, first),) = enrol(visits.store, Request(uuid4(), ADA, NOON), [newcomer]).added
    page = visits.stranger(viewport=PHONE)

    sign_in(page, newcomer.email, first)
    page.goto("/pieces/new")
    asked_at = page.url
    page.get_by_label("Current password").fill(first)
    page.get_by_label("New password").fill("my own five short words")
    page.get_by_role("button", name="Change password").click()
    sign_in(page, newcomer.email, first)
    refused = page.locator(".problems").text_content()
    sign_in(page, newcomer.email, "my own five short words")

    assert asked_at.endswith("/password")
    assert refused is not None
    assert "Wrong email or password." in refused
    expect(page.get_by_role("heading", level=1)).to_have_text("My pieces")
    expect(page.get_by_text("No pieces in the studio")).to_be_visible()


def test_a_student_registers_a_piece_on_a_phone_and_prints_its_slip(visits: Visits) -> None:
    page = visits.visit(INES, "/pieces/new", viewport=PHONE, has_touch=True)

    page.locator(".cards-usual label", has_text="bowl").tap()
    page.get_by_label("Name", exact=True).fill("soup bowl")
    page.get_by_label("Clay", exact=True).select_option("Roof Tile Red")
    page.get_by_label("How it was made").select_option("thrown")
    page.locator("label.choice", has_text="functional").tap()
    page.get_by_label("Height", exact=True).fill("8 cm")
    page.get_by_label("Width", exact=True).fill("wide")
    page.get_by_role("button", name="Register", exact=True).tap()
    problem = page.locator("#width-error").text_content()
    expect(page.locator(".problems")).to_be_focused()
    page.get_by_label("Width", exact=True).fill("160")
    page.get_by_label("Depth").fill("")
    page.locator("button[value=look]").tap()
    page.locator("#where").wait_for()
    ways = {
        way.locator(".name b").text_content(): (way.locator(".verdict").first.text_content() or "").strip()
        for way in page.locator("#where .route").all()
    }
    height = page.get_by_label("Height", exact=True).input_value()
    page.get_by_role("button", name="Register", exact=True).dblclick()
    page.wait_for_url(re.compile(r"/pieces/registered"))
    slip = page.locator(".registered .code").text_content()
    bars, squares = read_back(made_pdf(page, "Print the ticket"))

    mine = [row.piece for row in visits.store.read.pieces.of(INES.id) if row.piece.what == "soup bowl"]
    assert problem
    # The clay matures at cone 04 and stays porous: nothing it could go to after its bisque makes ware for food.
    assert (next(iter(ways)), ways.pop("Bisque")) == ("Bisque", "clear")
    assert set(ways.values()) == {"never"}
    assert height == "8 cm"
    assert [(piece.height_mm, piece.width_mm, piece.depth_mm, piece.use) for piece in mine] == [
        (80, 160, 160, Use.FOOD)
    ], "pressed twice, registered once"
    assert bars == [slip]
    assert len(squares) == 1
    assert squares[0].endswith(f"/slip/{slip[1:]}" if slip else "")


def test_a_mug_like_the_last_takes_six_taps_and_one_typed_field_with_its_ticket(visits: Visits) -> None:
    register(visits.store, asked_by(INES, datetime.now(UTC)), a_new_piece("old mug"))
    page = visits.visit(INES, "/pieces", viewport=PHONE, has_touch=True)
    page.evaluate(COUNT_TAPS)
    page.context.add_init_script(f"({COUNT_TAPS})()")

    page.get_by_role("link", name="Register a piece").tap()
    page.get_by_label("Name", exact=True).tap()
    page.keyboard.type("tall mug")
    page.locator("label.choice", has_text="mug").tap()
    page.locator("form.alive").wait_for()  # A card may be tapped before the script that fills it in has come.
    page.get_by_role("button", name="Register", exact=True).tap()
    bars, _squares = read_back(made_pdf(page, "Print the ticket"))

    (mug,) = [row for row in visits.store.read.pieces.of(INES.id) if row.piece.what == "tall mug"]
    assert bars == [mug.ref]
    assert (mug.piece.clay.name, mug.piece.height_mm) == ("Doorstep Buff", 100)
    taps, typed = page.evaluate("[sessionStorage.taps, sessionStorage.typed]")
    assert int(taps) <= 6
    assert typed.split() == ["what"]


COUNT_TAPS = """() => {
  const seen = sessionStorage;
  addEventListener("pointerdown", (event) => { if (event.isTrusted) seen.taps = Number(seen.taps || 0) + 1; }, true);
  addEventListener("keydown", (event) => {
    const names = new Set((seen.typed || "").split(" ").filter(Boolean));
    seen.typed = [...names.add(event.target.name)].join(" ");
  }, true);
}"""
"""Counts every tap and the fields that are typed into, in the page, across its pages."""


def test_a_new_piece_is_asked_for_in_one_phone_screen(visits: Visits) -> None:
    like = register(visits.store, asked_by(INES), a_new_piece("old mug", use=Use.FOOD)).ref
    for by, address in ((MIRA, "/pieces/new"), (INES, f"/pieces/new?like={like}")):
        page = visits.visit(by, address, viewport=PHONE, has_touch=True)

        asked_to, button = page.evaluate(REACH)

        assert asked_to <= button, "the last that is asked lies above the button, and both are in the window"
        assert button <= PHONE["height"] - 48
        page.close()


REACH = """() => {
  const last = document.querySelector("[data-more] > summary").getBoundingClientRect().bottom;
  return [last, document.querySelector("form .btn.main").getBoundingClientRect().top];
}"""
"""How far down the form asks, and where its main button begins, as the page opens."""


def test_a_student_waxes_and_glazes_and_reads_why_a_glaze_cannot_go(visits: Visits) -> None:
    ref = bisqued(visits.store, a_new_piece("tall cup", use=Use.FOOD), maker=INES)
    page = visits.visit(INES, f"/p/{ref}", viewport=PHONE)

    page.get_by_role("button", name="Mark foot as waxed").click()
    expect(page.locator(".notice.good")).to_have_text(f"{ref}, tall cup: waxed.")
    page.get_by_role("link", name="Glaze it").click()
    gilt = page.locator(".refused li", has=page.get_by_text("Gilt Edge", exact=True))
    why = gilt.locator(".findings").text_content() or ""
    can_be_taken = gilt.get_by_role("radio").count()
    page.locator("label.choice", has_text="inside").click()
    page.locator("label.pick", has_text="Still Water").click()
    page.get_by_role("button", name="Apply").click()
    expect(page.locator(".notice.good")).to_have_text(f"{ref}, tall cup: Still Water applied (inside).")

    now = the_piece(visits.store, ref)
    assert can_be_taken == 0
    assert "Gilt Edge is decorative only, and this piece is functional." in why
    assert "Choose a glaze made for functional ware, or make the piece decorative." in why
    assert (now.stage, now.worn_names) == (Stage.GLAZED, ("Still Water",))
    assert texts(page, ".layers b") == ["Still Water"]


def test_a_student_asks_the_instructor_and_sees_that_the_question_waits(visits: Visits) -> None:
    ref = bisqued(visits.store, maker=INES)
    page = visits.visit(INES, f"/p/{ref}", viewport=PHONE)

    page.get_by_role("heading", name="Questions").click()
    page.get_by_label("Your question").fill("May I pick it up on Friday?")
    page.get_by_role("button", name="Send the question").dblclick()
    expect(page.locator(".notice.good")).to_contain_text("the instructor has your question")

    asked = [one for one in visits.store.read.questions.open() if one.ref == ref]
    assert [said(one.text) for one in asked] == ["May I pick it up on Friday?"]
    expect(page.locator(".qa")).to_contain_text("waiting for an answer")


def test_a_student_is_not_shown_somebody_elses_piece(visits: Visits) -> None:
    ref = bisqued(visits.store, a_new_piece("secret jar"), maker=MIRA)

    page = visits.visit(INES, f"/p/{ref}", viewport=PHONE)

    expect(page.get_by_role("heading", level=1)).to_contain_text(ref)
    assert "secret jar" not in page.content()
