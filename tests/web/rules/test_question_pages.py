"""Questions: what waits for the instructor is answered in place, with a reason, and changes what a piece may do."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tests.reading import said
from tests.studio import ADA, INES, MIRA, TOM
from tracker.domain.cones import Cone
from tracker.domain.findings import NeedsInstructor
from tracker.domain.pieces.piece import StepName, Use
from tracker.domain.studio.materials import Zone
from tracker.usecases.firing import firings, starting
from tracker.usecases.pieces import pieces
from tracker.usecases.pieces.revalidate import is_note_to_decide
from tracker.usecases.pieces.ways_out import possible_now
from tracker.usecases.rules import questions
from tracker.usecases.studio import catalog

if TYPE_CHECKING:
    from tests.web.conftest import Room


def crackled_mug(room: Room) -> tuple[str, int]:
    """A mug for food in a crackle glaze, and the number of the question whether it may be fired so."""
    ref = room.bisqued(use=Use.FOOD, what="mug").ref
    pieces.glaze(room.store, room.asks(TOM), ref, "Attic Window", Zone.OUTSIDE)
    asked = questions.ask(room.store, room.asks(INES), ref, "May it, for dry biscuits?", route="mid-range")
    return ref, int(asked.extra["question"])


def test_what_clay_it_is_is_a_field_on_the_question_and_on_no_other(room: Room) -> None:
    crackled_mug(room)
    ref = room.bisqued(clay="Box of scraps").ref
    asked = questions.ask(room.store, room.asks(INES), ref, "What clay is it?").extra["question"]
    ada = room.visit(ADA)

    page = ada.get("/questions").text
    ada.post(f"/questions/{asked}", {"text": "It has grog.", "allows": "no", "clay": "Gravel Walk"})

    assert page.count("Clay of this piece") == 1
    assert room.piece(ref).clay.name == "Gravel Walk"


def test_a_question_says_what_of_it_is_no_longer_so(room: Room) -> None:
    crackled_mug(room)
    glaze = room.store.read.catalog().glaze("Attic Window")
    catalog.change(room.store, room.asks(ADA), replace(glaze, traits=frozenset()), confirmed=True)

    page = room.visit(ADA).get("/questions").text

    assert "No longer applies: " in page
    assert "findings" not in page.split("No longer applies: ")[0].split("May it, for dry biscuits?")[1]


def test_a_free_question_about_a_loaded_piece_is_allowed_or_declined_and_names_the_kiln(room: Room) -> None:
    ref = room.bisqued().ref
    pieces.glaze(room.store, room.asks(INES), ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), ref, "mid-range")
    started = starting.start(room.store, room.asks(TOM), "Back box", "mid-range", Cone.parse("6"))
    firing = int(started.extra["firing"])
    firings.put_in(room.store, room.asks(TOM), firing, ref)
    questions.ask(room.store, room.asks(TOM), ref, "Is that crack new?")

    page = room.visit(ADA).get("/questions").text

    assert f"Already in Back box, firing {firing}. If you decline, it must come out." in page
    assert "Allow firing" in page
    assert "Decline" in page


def test_what_a_change_of_the_catalog_leaves_to_decide_is_asked_by_nobody(room: Room) -> None:
    ref = room.bisqued().ref
    pieces.glaze(room.store, room.asks(INES), ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), ref, "mid-range")
    route = room.store.read.catalog().routes["mid-range"]
    catalog.change(room.store, room.asks(ADA), replace(route, cone=Cone.parse("8")), confirmed=True)
    [left] = room.store.read.questions.open()

    pages = [room.visit(ADA).get(there).text.partition("<main")[2] for there in ("/questions", "/today")]

    assert is_note_to_decide(left)
    assert all(ref in page and "Ada Quill" not in page for page in pages)


def test_an_open_question_shows_the_piece_the_route_and_what_the_rules_say(room: Room) -> None:
    ref, _ = crackled_mug(room)

    page = room.visit(ADA).get("/questions").text

    assert all(words in page for words in (ref, "mug", "Ines Pell", "May it, for dry biscuits?", "cone 6, 1,222 °C"))
    assert "crackle" in page


def test_allowing_with_a_reason_opens_the_queue(room: Room) -> None:
    ref, number = crackled_mug(room)
    ada = room.visit(ADA)

    answer = ada.post(f"/questions/{number}", {"text": "Dry food only.", "allows": "yes"})
    page = ada.get(answer.location).text

    assert f"{ref}: approved." in page
    assert "No open questions" in page
    assert pieces.queue(room.store, room.asks(TOM), ref, "mid-range").ref == ref


def test_declining_keeps_the_queue_closed(room: Room) -> None:
    ref, number = crackled_mug(room)

    room.visit(ADA).post(f"/questions/{number}", {"text": "Not with this glaze.", "allows": "no"})

    with pytest.raises(NeedsInstructor):
        pieces.queue(room.store, room.asks(TOM), ref, "mid-range")
    other = room.bisqued().ref
    pieces.glaze(room.store, room.asks(TOM), other, "Still Water", Zone.OUTSIDE)
    declined, fine = (possible_now(room.store.read, room.piece(one), room.clock()) for one in (ref, other))
    assert set(fine["steps"]) - set(declined["steps"]) == {StepName.QUEUE}  # type: ignore[arg-type]  # names of steps
    waxed = room.visit(TOM).post("/scan", {"ref": ref, "step": "wax"}, headers={"Accept": "application/json"})
    assert waxed.get_json()["mend"] == said(declined)


@pytest.mark.parametrize("fields", [{"text": "", "allows": "yes"}, {"text": "Yes."}, {"text": "Yes.", "allows": "so"}])
def test_an_answer_without_its_reason_or_its_word_is_no_answer(room: Room, fields: dict[str, str]) -> None:
    _, number = crackled_mug(room)
    ada = room.visit(ADA)

    answer = ada.post(f"/questions/{number}", fields)

    assert 'class="notice stop"' in ada.get(answer.location).text
    assert len(room.store.read.questions.open()) == 1


def test_only_the_instructor_answers(room: Room) -> None:
    _, number = crackled_mug(room)

    for who in (TOM, INES):
        visitor = room.visit(who)
        assert visitor.get("/questions").status_code == 403
        assert visitor.post(f"/questions/{number}", {"text": "Yes.", "allows": "yes"}).status_code == 403
    assert len(room.store.read.questions.open()) == 1


def test_an_answer_pinned_to_a_glaze_is_read_beside_it_before_the_next_student_asks(room: Room) -> None:
    _, number = crackled_mug(room)
    room.visit(ADA).post(
        f"/questions/{number}", {"text": "Dry food only.", "allows": "yes", "pin": "glaze:Attic Window"}
    )
    other = room.bisqued(MIRA)
    pieces.glaze(room.store, room.asks(TOM), other.ref, "Attic Window", Zone.OUTSIDE)
    mira = room.visit(MIRA)

    glazing, page = mira.get(f"/p/{other.code}/glaze").text, mira.get(f"/p/{other.code}").text

    assert "Dry food only." in glazing[glazing.index("<b>Attic Window</b>") :]
    assert "Dry food only." in page[page.index("Others asked") :]


def test_an_answer_pinned_to_a_clay_is_read_where_a_new_piece_gets_its_clay(room: Room) -> None:
    ref = room.bisqued().ref
    number = int(questions.ask(room.store, room.asks(INES), ref, "Does it shrink much?").extra["question"])

    answer = room.visit(ADA).post(f"/questions/{number}", {"text": "A tenth or so.", "allows": "no", "pin": "clay"})
    page = room.visit(MIRA).get("/pieces/new").text

    assert answer.status_code == 303
    assert "A tenth or so." in page[page.index('class="asked-before"') :]
    assert "Doorstep Buff." in page


def test_an_answer_that_nobody_pinned_stays_with_its_piece(room: Room) -> None:
    ref = room.bisqued().ref
    number = int(questions.ask(room.store, room.asks(INES), ref, "Does it shrink much?").extra["question"])

    room.visit(ADA).post(f"/questions/{number}", {"text": "A tenth or so.", "allows": "no", "pin": ""})

    assert "A tenth or so." not in room.visit(MIRA).get("/pieces/new").text
    assert "A tenth or so." in room.visit(INES).get(f"/p/{ref}").text


@pytest.mark.parametrize("pin", ["glaze:", "kiln", "glaze:Moon Milk"])
def test_an_answer_is_pinned_to_what_there_is_or_not_given(room: Room, pin: str) -> None:
    _, number = crackled_mug(room)
    ada = room.visit(ADA)

    answer = ada.post(f"/questions/{number}", {"text": "Yes.", "allows": "yes", "pin": pin})

    assert 'class="notice stop"' in ada.get(answer.location).text
    assert len(room.store.read.questions.open()) == 1


def test_an_answer_by_mistake_is_taken_back_beside_the_open_questions(room: Room) -> None:
    ref, number = crackled_mug(room)
    ada = room.visit(ADA)
    ada.post(f"/questions/{number}", {"text": "No, it crazes.", "allows": "no"})
    offered = ada.get("/questions").text

    told = ada.post(f"/questions/{number}/take-back")

    assert f'action="/questions/{number}/take-back"' in offered
    assert told.status_code == 303
    page = ada.get("/questions").text
    assert f'id="question-{number}"' in page
    assert "take-back" not in page
    piece = room.visit(INES).get(f"/p/{ref}").text
    assert "No, it crazes." in piece.partition(f"taken back by {ADA.name}")[0]
