"""Waiting: each queue with how many, how long and what needs a decision, at a cost that finished ware leaves alone."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from sqlalchemy import event

from tests.studio import ADA, INES, TOM
from tracker.domain.pieces.piece import Use
from tracker.domain.studio.materials import Zone
from tracker.usecases.pieces import pickup, pieces
from tracker.usecases.rules import questions

if TYPE_CHECKING:
    from tests.web.conftest import Room


def queued(
    room: Room, *glazes: str, route: str = "mid-range", what: str = "tall cup", use: Use = Use.DECORATIVE
) -> str:
    """The code of a piece that waits for a route, its warnings accepted."""
    ref = room.bisqued(what=what, use=use).ref
    for name in glazes:
        pieces.glaze(room.store, room.asks(TOM), ref, name, Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), ref, route, accepts={"untested-for-food", "horsehair-unburnished"})
    return ref


def test_the_oldest_promise_stands_first_with_its_maker_glaze_and_wait(room: Room) -> None:
    first = queued(room, "Still Water", what="first cup")
    room.clock.pass_by(days=9)
    second = queued(room, "Still Water", what="second cup")
    room.clock.pass_by(hours=3)

    page = room.visit(TOM).get("/waiting?route=mid-range").text

    row = page[page.index(f"/p/{first}") : page.index(f"/p/{second}")]
    assert all(words in row for words in ("first cup", "Ines P.", "Still Water", "9 days"))
    assert "3 hours" in page[page.index(f"/p/{second}") :]


def test_the_queues_stand_from_cool_to_hot_with_cone_and_temperature(room: Room) -> None:
    page = room.visit(TOM).get("/waiting").text

    titles = re.findall(r'<h2><a href="/waiting\?route=([a-z-]+)">', page)
    assert titles == ["horsehair", "raku", "low-fire", "mid-range", "high-fire"]
    assert "to cone 10, 1,285 °C, high-fire range" in page


def test_an_accepted_warning_stands_in_its_row_with_its_sentence(room: Room) -> None:
    ref = queued(room, "Wet Slate", use=Use.FOOD)

    page = room.visit(TOM).get("/waiting?route=mid-range").text

    assert "1 with care" in page
    assert "Wet Slate" in page[page.index(f"/p/{ref}") :]
    assert "no leach test on file" in page[page.index('class="accepted"') :].partition("</tr>")[0]


def test_what_needs_a_decision_is_counted_with_its_queue_and_leads_the_instructor_to_the_questions(room: Room) -> None:
    ref = room.bisqued().ref
    questions.ask(room.store, room.asks(INES), ref, "May this go outdoors?", route="raku")

    seen_by_ada, seen_by_tom = (room.visit(who).get("/waiting").text for who in (ADA, TOM))

    assert "1 open question" in seen_by_ada
    assert "Answer 1 question" in seen_by_ada
    assert "waits for your answer" not in seen_by_tom


def test_a_queue_is_shown_with_its_pieces_where_it_is_asked_for(room: Room) -> None:
    refs = [queued(room, "Still Water", what=f"tile {count}") for count in range(6)]
    tom = room.visit(TOM)

    short, whole = tom.get("/waiting").text, tom.get("/waiting?route=mid-range").text

    assert not any(f"/p/{ref}" in short for ref in refs)
    assert all(f"/p/{ref}" in whole for ref in refs)


def test_a_student_does_not_see_who_waits(room: Room) -> None:
    assert room.visit(INES).get("/waiting").status_code == 403


def test_finished_pieces_cost_the_page_no_further_question_to_the_store(room: Room) -> None:
    queued(room, "Still Water")
    tom = room.visit(TOM)
    asked: list[str] = []
    event.listen(room.store._engine, "before_cursor_execute", lambda *told: asked.append(told[2]))
    tom.get("/waiting")
    with_none = len(asked)
    for _ in range(5):
        pickup.hand_over(room.store, room.asks(TOM), room.bisqued().ref)
    asked.clear()

    tom.get("/waiting")

    assert len(asked) == with_none
    assert not any("claimed" in question for question in asked)
