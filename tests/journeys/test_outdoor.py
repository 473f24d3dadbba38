"""An outdoor session in a real browser: planned, run with gloves on, with and without a network, on two phones."""

from __future__ import annotations

import re
import time
from datetime import timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

from PIL import Image
from playwright.sync_api import Locator, Page, expect

from tests.journeys.visiting import LAPTOP, NOW, PHONE, Visits
from tests.staffed import ADA, TOM, asked_by, queued, the_piece
from tests.yard import planned_session, refs_in, the_session
from tracker.domain.firing.firings import FiringStage
from tracker.domain.outdoor.event_log import Did
from tracker.domain.outdoor.sessions import SessionStage
from tracker.domain.pieces.piece import Stage
from tracker.usecases.outdoor import sessions as outdoor

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tracker.domain.studio.people import Person

RAKU = "Ember Luster"
GLOVE = 1_200
"""Milliseconds in which the page takes a second tap on a piece for a thick glove's."""
PAUSE = 1_000
"""Milliseconds until a phone first tries again."""
LOOKS = 5_000
"""Milliseconds until a phone looks again at what the others have said."""

KEPT = """async () => {
    const parts = [location.href, ...Array.from(document.scripts, (one) => one.src).filter(Boolean)];
    return (await Promise.all(parts.map((one) => caches.match(one)))).every(Boolean);
}"""
"""Whether the phone has kept the page and its scripts, to open it again without a network."""


def laid_ready(visits: Visits, many: int = 4) -> int:
    """A session with so many pieces in rounds of two."""
    refs = [queued(visits.store, RAKU, route="raku") for _ in range(many)]
    number = planned_session(visits.store, starts_at=NOW)
    outdoor.choose(visits.store, asked_by(TOM, NOW), number, refs)
    return number


def on_a_phone(visits: Visits, who: Person, number: int) -> Page:
    """The page from which a session is run, on somebody's phone, whose clock may be put on."""
    page = visits.visit(who, anew=True, viewport=PHONE)
    page.clock.install()
    page.goto(f"/outdoor/{number}/run")
    # Without a network what it fetches to work without one would not arrive.
    page.evaluate("() => navigator.serviceWorker.ready")
    return page


def piece(page: Page, ref: str) -> Locator:
    """The line of a piece."""
    return page.locator(f'[data-piece="{ref}"]')


def press(page: Page, ref: str, *words: str) -> None:
    """Tap a piece's button for each word, slowly enough for a glove by the phone's clock."""
    line = piece(page, ref)
    for word in words:
        page.clock.fast_forward(GLOVE)
        expect(line).not_to_have_attribute("data-just", "yes", timeout=30_000)
        if word in {"good", "broke", "cracked"}:
            line.get_by_text("Record the result").click()
        line.get_by_role("button", name=re.compile(rf"^{word}")).click()


def arrived(page: Page) -> None:
    """Wait until everything that was tapped has arrived."""
    expect(page.locator("[data-run-state]")).to_have_attribute("data-unsent", "0", timeout=30_000)


def until(holds: Callable[[], bool]) -> None:
    """Wait a little for something to hold in the store."""
    for _ in range(300):
        if holds():
            return
        time.sleep(0.1)
    assert holds()


def test_an_instructor_plans_a_session_chooses_from_it_and_prints_its_sheet(visits: Visits) -> None:
    refs = [queued(visits.store, RAKU, route="raku") for _ in range(3)]
    page = visits.visit(ADA, "/outdoor", viewport=LAPTOP)

    page.get_by_role("link", name="Plan a session").click()
    page.get_by_label("First round starts at").fill("14:00")
    page.get_by_label("Pullers").fill("Tom, Mira")
    page.get_by_label("Bins and lids").fill("Ines")
    page.get_by_label("Timekeeper").fill("Ines")
    page.get_by_label("Water hose").fill("Ada")
    page.get_by_label("Number of bins").fill("2")
    page.get_by_label("Propane on hand").fill("20")
    page.get_by_role("button", name="Plan the rounds").click()

    expect(page.get_by_role("heading", level=1)).to_contain_text("Outdoor session")
    expect(page.locator(".floor svg").first).to_be_visible()
    page.get_by_role("link", name="Choose the pieces").click()
    page.get_by_role("checkbox", name=re.compile(refs[0])).uncheck()
    page.get_by_role("button", name="Plan rounds from these").click()
    expect(page.locator(".pulls")).not_to_contain_text(refs[0])
    assert the_piece(visits.store, refs[0]).planned_in is None
    page.set_viewport_size({"width": PHONE["width"], "height": PHONE["height"]})
    expect(page.locator(".pulls").get_by_role("link", name=refs[1])).to_be_visible()

    with page.context.expect_page() as opened:
        page.get_by_role("link", name="Print the session sheet").click(modifiers=["Control"])
    opened.value.close()
    answer = page.request.get(page.get_by_role("link", name="Print the session sheet").get_attribute("href") or "")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.body().startswith(b"%PDF")
    page.get_by_role("button", name="Cancel the session").click()
    expect(page.locator(".notice.good")).to_contain_text("canceled")


def test_a_session_run_with_the_network_cut_in_its_second_round_arrives_whole_and_in_order(visits: Visits) -> None:
    number = laid_ready(visits)
    first, second = refs_in(visits.store, number, 1), refs_in(visits.store, number, 2)
    page = visits.visit(TOM, f"/outdoor/{number}/run", anew=True, viewport=PHONE)
    until(lambda: bool(page.evaluate(KEPT)))
    # A clock that is put on knows no more of which files a page was made of, so it comes once they are kept.
    page.clock.install()

    page.get_by_role("button", name="Start round 1").click()
    page.get_by_role("button", name="Mark as up to temperature").click()
    for word in ("Mark pulled", "Mark lid on", "Mark out", "good"):
        for ref in first:
            press(page, ref, word)
    arrived(page)
    assert {the_piece(visits.store, ref).stage for ref in first} == {Stage.FIRED}

    page.get_by_role("button", name="Start round 2").click()
    arrived(page)
    page.context.set_offline(True)
    page.get_by_role("button", name="Mark as up to temperature").click()
    for word in ("Mark pulled", "Mark lid on", "Mark out"):
        for ref in second:
            press(page, ref, word)
    page.reload()
    expect(piece(page, second[0])).to_have_attribute("data-stands", "out")
    press(page, second[0], "good")
    press(page, second[1], "broke")
    expect(page.locator("[data-run-state]")).to_have_attribute("data-unsent", "9")
    expect(page.locator("[data-run-state]")).to_have_attribute("data-trouble", "away", timeout=30_000)
    assert {the_piece(visits.store, ref).stage for ref in second} == {Stage.QUEUED}

    visits.here.clock.pass_by(seconds=30)
    page.context.set_offline(False)
    arrived(page)

    assert the_piece(visits.store, second[0]).stage is Stage.FIRED
    assert the_piece(visits.store, second[1]).stage is Stage.LOST
    taps = [tap for tap in visits.store.read.outdoors.taps(number) if tap.firing_id == the_firing(visits, number, 2)]
    said = [(tap.did, tap.piece_id) for tap in taps]
    ids = [the_piece(visits.store, ref).id for ref in second]
    each = [(did, one) for did in (Did.PULLED, Did.CLOSED, Did.OUT) for one in ids]
    assert said == [(Did.START, None), (Did.AT_HEAT, None), *each, (Did.RESULT, ids[0]), (Did.RESULT, ids[1])]
    # Each piece's taps are apart in time as they were on the phone, though all of them arrived together.
    for one in ids:
        kept = [tap.at for tap in taps if tap.piece_id == one]
        assert all(earlier < later for earlier, later in pairwise(kept))
        assert kept[-1] - kept[0] >= timedelta(seconds=2)
    page.get_by_role("link", name="End the session").click()
    page.get_by_label("Propane left").fill("16.5")
    page.get_by_role("button", name="End the session").click()
    expect(page.locator(".notice.good")).to_contain_text("has ended: 4 pieces fired")
    assert the_session(visits.store, number).stage is SessionStage.ENDED


def the_firing(visits: Visits, session: int, round_number: int) -> int:
    """The number of a round as a firing."""
    return the_session(visits.store, session).rounds[round_number - 1].id


def test_while_the_studios_computer_is_busy_taps_are_kept_and_go_again(visits: Visits) -> None:
    number = laid_ready(visits, 1)
    page = on_a_phone(visits, TOM, number)
    state = page.locator("[data-run-state]")

    with visits.here.store.writing():
        page.get_by_role("button", name="Start round 1").click()
        expect(state).to_have_attribute("data-trouble", "busy", timeout=30_000)
        expect(state).to_have_attribute("data-unsent", "1")

    page.clock.fast_forward(PAUSE)
    arrived(page)
    expect(state).to_have_attribute("data-trouble", "")
    assert [tap.did for tap in visits.store.read.outdoors.taps(number)] == [Did.START]


def test_two_phones_that_record_the_same_piece_are_reconciled_with_a_sentence(visits: Visits) -> None:
    number = laid_ready(visits, 2)
    one, other = refs_in(visits.store, number)
    tom = on_a_phone(visits, TOM, number)
    tom.get_by_role("button", name="Start round 1").click()
    arrived(tom)
    ada = on_a_phone(visits, ADA, number)
    ada.context.set_offline(True)
    press(ada, one, "Mark pulled", "Mark lid on", "Mark out", "cracked")

    press(tom, one, "Mark pulled", "Mark lid on", "Mark out", "good")
    arrived(tom)
    ada.context.set_offline(False)
    arrived(ada)
    tom.clock.fast_forward(LOOKS)

    expect(ada.locator("[data-run-refused]")).to_contain_text("“good”, Ada Q. entered “cracked”", timeout=30_000)
    expect(tom.locator("[data-run-differs]")).to_contain_text("The first entry was kept", timeout=30_000)
    assert the_piece(visits.store, one).stage is Stage.FIRED
    press(ada, other, "Mark pulled", "Mark lid on", "Mark out", "good")
    until(lambda: the_session(visits.store, number).rounds[0].stage is FiringStage.UNLOADED)


def test_a_slip_of_the_glove_is_taken_back_before_and_after_it_was_sent(visits: Visits) -> None:
    number = laid_ready(visits, 2)
    ref, _ = refs_in(visits.store, number)
    page = on_a_phone(visits, TOM, number)
    page.get_by_role("button", name="Start round 1").click()
    press(page, ref, "Mark pulled")
    arrived(page)

    page.get_by_role("button", name="Undo the last tap").click()
    arrived(page)
    expect(piece(page, ref)).to_have_attribute("data-stands", "")

    page.context.set_offline(True)
    press(page, ref, "Mark pulled")
    page.get_by_role("button", name="Undo the last tap").click()
    expect(piece(page, ref)).to_have_attribute("data-stands", "")
    page.context.set_offline(False)
    arrived(page)
    assert [tap.did for tap in visits.store.read.outdoors.taps(number)] == [Did.START, Did.PULLED, Did.TAKE_BACK]


def test_a_photo_taken_without_a_network_waits_in_the_phone(visits: Visits, tmp_path: Path) -> None:
    number = laid_ready(visits, 1)
    (ref,) = refs_in(visits.store, number)
    picture = tmp_path / "pot.jpg"
    Image.new("RGB", (60, 40), "peru").save(picture)
    page = on_a_phone(visits, TOM, number)
    page.get_by_role("button", name="Start round 1").click()
    press(page, ref, "Mark pulled", "Mark lid on", "Mark out")
    arrived(page)

    page.context.set_offline(True)
    piece(page, ref).locator("input[type=file]").set_input_files(picture)
    expect(piece(page, ref).locator("[data-run-photo]")).to_have_attribute("data-state", "photo-kept")
    page.context.set_offline(False)

    expect(piece(page, ref).locator("[data-run-photo]")).to_have_attribute("data-state", "photo-sent", timeout=30_000)
    assert len(visits.store.read.album.of(the_piece(visits.store, ref).id)) == 1


def test_a_session_is_run_without_script(visits: Visits) -> None:
    number = laid_ready(visits, 1)
    (ref,) = refs_in(visits.store, number)
    page = visits.visit(TOM, f"/outdoor/{number}/run", anew=True, viewport=PHONE, java_script_enabled=False)

    page.get_by_role("button", name="Start round 1").click()
    page.get_by_role("button", name="Mark as up to temperature").click()
    for word in ("Mark pulled", "Mark lid on", "Mark out"):
        piece(page, ref).get_by_role("button", name=re.compile(f"^{word}")).click()
    piece(page, ref).get_by_text("Record the result").click()
    piece(page, ref).get_by_role("button", name=re.compile("^good")).click()

    assert the_piece(visits.store, ref).stage is Stage.FIRED
