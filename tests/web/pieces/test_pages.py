"""The pages of pieces, as a student, the shelf staff and the instructor use them, without any script."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from uuid import uuid4

import pytest
from werkzeug.test import TestResponse

from tests.reading import said
from tests.staffed import off_and_out
from tests.studio import ADA, INES, MIRA, TOM, a_test
from tests.web.conftest import Room
from tracker.domain.cones import Cone
from tracker.domain.firing.outlooks import Next
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Stage, Use
from tracker.domain.studio.materials import Layer, Zone
from tracker.usecases.firing import firings, starting
from tracker.usecases.pieces import editing, pickup, pieces, wishes
from tracker.usecases.rules import evidence, questions
from tracker.web.piece_presenters import food_words

A_CUP = {
    "what": "tall cup",
    "clay": "Doorstep Buff",
    "build": "thrown",
    "use": "decorative",
    "height": "120",
    "width": "80 mm",
    "depth": "3 1/8 in",
    "weight": "350 g",
    "wall": "6",
    "form": "open",
}


def words(answer: TestResponse) -> str:
    """What a page says, without its markup."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.text)).split())


def rows(answer: TestResponse) -> dict[str, tuple[str, str]]:
    """What a page says of each way of firing or glaze, by its name: the verdict's level and the words beside it."""
    found = re.findall(r'<li class="route (\w+)[^"]*">(.*?)</li>\s*(?=<li class="route|</ul>)', answer.text, re.DOTALL)
    named = {}
    for level, inside in found:
        name = re.search(r"<b>([^<]+)</b>", inside)
        assert name is not None
        named[html.unescape(name[1])] = (level, " ".join(html.unescape(re.sub(r"<[^>]+>", " ", inside)).split()))
    return named


def next_on(answer: TestResponse) -> Next:
    """What a piece's page says first is to be done."""
    found = re.search(r'<dl class="answer" data-next="([^"]+)"', answer.text)
    assert found is not None
    return Next(found[1])


# ---- registering -----------------------------------------------------------------------------------------------


def test_a_student_registers_a_piece_and_ends_with_its_ticket_number(room: Room) -> None:
    ines = room.visit(INES)

    answer = ines.post("/pieces/new", A_CUP, follow_redirects=True)

    (row,) = room.store.read.pieces.of(room.person(INES).id)
    assert (row.piece.height_mm, row.piece.width_mm, row.piece.depth_mm) == (120, 80, 79)
    assert answer.request.path == "/pieces/registered"
    assert f"W{row.piece.id} tall cup" in words(answer)
    assert f'name="things" value="W{row.piece.id}"' in answer.text, "its ticket is one button away"


def test_a_new_lid_is_tied_to_a_pot_of_ones_own_and_a_pot_of_another_is_refused(room: Room) -> None:
    pot, ines, tom = room.greenware(INES, what="teapot"), room.visit(INES), room.visit(TOM)

    assert f'<option value="{pot.ref}">{pot.ref}, teapot</option>' in ines.get("/pieces/new").text
    ines.post("/pieces/new", A_CUP | {"what": "lid", "belongs_with": pot.ref})
    refused = tom.post("/pieces/new", A_CUP | {"what": "lid", "belongs_with": pot.ref})

    assert {row.piece.set_name for row in room.store.read.pieces.of(room.person(INES).id)} == {"teapot"}
    assert refused.status_code == 422
    assert f"{pot.ref} has another maker. All pieces of a set have the same maker." in words(refused)


def test_ware_that_arrives_bisqued_has_its_code_at_once(room: Room) -> None:
    ines = room.visit(INES)

    answer = ines.post("/pieces/new", A_CUP | {"arrives_bisqued": "yes"}, follow_redirects=True)

    (row,) = room.store.read.pieces.of(room.person(INES).id)
    assert row.piece.stage is Stage.BISQUED
    assert f"{row.piece.code} tall cup" in words(answer)


def test_a_double_click_registers_one_piece(room: Room) -> None:
    ines = room.visit(INES)
    twice = A_CUP | {"key": str(uuid4())}

    first, second = ines.post("/pieces/new", twice), ines.post("/pieces/new", twice)

    assert first.headers["Location"] == second.headers["Location"]
    assert len(room.store.read.pieces.of(room.person(INES).id)) == 1


def test_looking_where_it_could_go_registers_nothing_and_loses_nothing_that_was_typed(room: Room) -> None:
    ines = room.visit(INES)

    answer = ines.post("/pieces/new", A_CUP | {"do": "look", "use": "food", "fragile": "yes"})

    assert room.store.read.pieces.of(room.person(INES).id) == ()
    found = rows(answer)
    assert found["High-fire"][0] == "clear"
    assert found["Outdoor, raku"][0] == "refuse"
    assert "ware from raku, horsehair and pit firings isn't food-safe" in found["Outdoor, raku"][1]
    assert "too porous for food" in found["Low-fire"][1]
    assert 'value="3 1/8 in"' in answer.text
    assert re.search(r'name="fragile" value="yes" checked', answer.text)
    assert re.search(r'<option value="Doorstep Buff" selected', answer.text)


def test_large_porcelain_is_warned_about_before_it_is_registered(room: Room) -> None:
    ines = room.visit(INES)

    answer = ines.post("/pieces/new", A_CUP | {"do": "look", "clay": "Lantern White", "height": "168"})

    level, says = rows(answer)["Outdoor, raku"]
    assert level == "warn"
    assert "150 mm" in says
    # It is pulled hot, and matures at cone 6.
    assert "982 °C" in says
    assert "cone 6, 1,222 °C" in says


@pytest.mark.parametrize("do", ["register", "look"])
def test_each_wrong_field_has_its_sentence_beside_it_and_the_rest_stays_as_typed(room: Room, do: str) -> None:
    ines = room.visit(INES)

    answer = ines.post("/pieces/new", A_CUP | {"do": do, "height": "tall", "build": "", "what": "my <b>cup</b>"})

    assert answer.status_code == 422
    beside = dict(re.findall(r'id="(\w+)-error">.*?<span>([^<]+)</span>', answer.text))
    assert set(beside) == {"height", "build"}
    assert "isn't a length" in html.unescape(beside["height"])
    assert 'value="my &lt;b&gt;cup&lt;/b&gt;"' in answer.text
    assert room.store.read.pieces.of(room.person(INES).id) == ()


def test_a_clay_that_is_not_on_the_list_is_refused_beside_the_field(room: Room) -> None:
    answer = room.visit(INES).post("/pieces/new", A_CUP | {"clay": "Moon dust"})

    assert answer.status_code == 422
    assert "Choose one of the clays" in answer.text


@pytest.mark.parametrize("picked", [f"Mira Tann, {MIRA.email}", MIRA.email, "mira tann", "tann"])
def test_staff_registers_a_piece_for_the_student_who_made_it(room: Room, picked: str) -> None:
    tom, mira = room.visit(TOM), room.person(MIRA)
    offered = tom.get("/pieces/new").text

    tom.post("/pieces/new", A_CUP | {"maker": picked})

    assert f'<option value="Mira Tann, {mira.email}"' in offered
    assert [row.piece.what for row in room.store.read.pieces.of(mira.id)] == ["tall cup"]


@pytest.mark.parametrize(
    ("typed", "says"), [("a", "More than one person is called"), ("Zed", "No one here is called “Zed”")]
)
def test_a_maker_nobody_can_tell_is_refused_beside_the_field(room: Room, typed: str, says: str) -> None:
    answer = room.visit(TOM).post("/pieces/new", A_CUP | {"maker": typed})

    assert answer.status_code == 422
    assert says in words(answer)


def test_a_student_registers_nothing_for_another_by_name(room: Room) -> None:
    answer = room.visit(INES).post("/pieces/new", A_CUP | {"maker": "Mira Tann"})

    assert answer.status_code == 403
    assert room.store.read.pieces.of(room.person(MIRA).id) == ()


def test_students_are_not_shown_who_else_is_in_the_studio(room: Room) -> None:
    assert "Mira" not in room.visit(INES).get("/pieces/new").text


# ---- my pieces -------------------------------------------------------------------------------------------------


def test_my_pieces_say_which_wait_for_me_and_what_the_others_wait_for(room: Room) -> None:
    cup, tile = room.bisqued(what="wide cup"), room.greenware(what="flat tile")
    room.bisqued(MIRA, what="not mine")
    ines = room.visit(INES)

    answer = ines.get("/pieces")

    mine, others = answer.text.split("<h2>Under way", 1)
    assert f"/p/{cup.code}" in mine
    assert f"/slip/{tile.id}" in others
    assert "not mine" not in answer.text


def test_many_pieces_are_searched_ordered_and_come_on_pages(room: Room) -> None:
    for count in range(20):
        room.greenware(what=f"test tile {count:02}")
    cup, ines = room.bisqued(what="wide cup"), room.visit(INES)

    first, second = ines.get("/pieces"), ines.get("/pieces?from=15")
    named, found = ines.get("/pieces?sort=name"), ines.get("/pieces?find=CUP")

    def codes(answer: TestResponse) -> list[str]:
        return re.findall(r'<li class="piece"><a href="([^"]+)"', answer.text)

    assert (len(codes(first)), len(codes(second))) == (15, 6)
    assert codes(first)[0] == codes(found)[0] == f"/p/{cup.code}"
    assert len(codes(found)) == 1
    assert f"/p/{cup.code}" not in codes(named)
    assert "from=15" in first.text


def test_finished_pieces_are_folded_and_have_a_page_of_their_own(room: Room) -> None:
    cups = [room.bisqued(what=f"old {what}") for what in ("cup", "bowl", "jar", "dish", "vase", "lamp")]
    for cup in cups:
        room.clock.pass_by(minutes=1)
        pickup.hand_over(room.store, room.asks(TOM), cup.ref)
    ines = room.visit(INES)

    under_way, finished = ines.get("/pieces"), ines.get("/pieces?finished=1")
    bowls = ines.get("/pieces?finished=1&find=bowl")

    folded = under_way.text.split("<summary>Finished pieces", 1)[1]
    assert "old lamp" in folded
    assert "old cup" not in folded
    assert all(f"/p/{cup.code}" in finished.text for cup in cups)
    assert "old bowl" in bowls.text
    assert "old jar" not in bowls.text


# ---- a piece ---------------------------------------------------------------------------------------------------


def test_a_code_written_by_hand_leads_to_the_piece(room: Room) -> None:
    cup = room.bisqued()
    ines = room.visit(INES)

    answer = ines.get(f"/p/{str(cup.code).lower()}", follow_redirects=True)

    assert answer.request.path == f"/p/{cup.code}"
    assert f'<span class="code big" translate="no">{cup.code}</span>' in answer.text


def test_the_slip_of_a_piece_that_has_a_code_leads_to_the_code(room: Room) -> None:
    cup = room.bisqued()

    answer = room.visit(INES).get(f"/slip/{cup.id}")

    assert answer.headers["Location"] == f"/p/{cup.code}"


def test_an_outdoor_glaze_closes_every_indoor_route_with_a_reason_and_a_way_out(room: Room) -> None:
    cup = room.bisqued()
    pieces.glaze(room.store, room.asks(INES), cup.ref, "Ember Luster", Zone.OUTSIDE)
    room.clock.pass_by(days=2)

    found = rows(room.visit(INES).get(f"/p/{cup.code}"))

    assert found["Outdoor, raku"][0] == "clear"
    for route in ("Low-fire", "Mid-range", "High-fire"):
        assert found[route][0] == "refuse"
        assert "Ember Luster is made for raku" in found[route][1]
        assert "Choose a raku firing." in found[route][1]


def test_a_glazed_piece_asks_its_maker_for_its_firing_and_then_waits_for_staff(room: Room) -> None:
    cup, ines = room.bisqued(), room.visit(INES)
    pieces.glaze(room.store, room.asks(INES), cup.ref, "Iron Gate", Zone.OUTSIDE)
    before = ines.get(f"/p/{cup.code}")
    wishes.wish(room.store, room.asks(INES), cup.ref, "mid-range")

    after, staff = ines.get(f"/p/{cup.code}"), room.visit(TOM).get(f"/p/{cup.code}")

    assert next_on(before) is Next.SAY_FIRING
    assert next_on(after) is Next.QUEUE
    assert "Mid-range" in words(after).partition(" Firings ")[0]
    assert 'value="queue"' not in after.text
    assert 'name="route" value="mid-range"' in staff.text


def test_staff_queues_a_piece_from_its_page_once_the_warning_is_accepted_by_name(room: Room) -> None:
    cup = room.bisqued(fragile=True)
    pieces.glaze(room.store, room.asks(INES), cup.ref, "Ember Luster", Zone.OUTSIDE)
    room.clock.pass_by(days=2)
    tom = room.visit(TOM)
    fields = {"step": "queue", "ref": cup.ref, "route": "raku", "seen": str(room.piece(cup.ref).version)}

    without = tom.post(f"/p/{cup.code}/step", fields)
    stage_without = room.piece(cup.ref).stage
    accepted = tom.post(f"/p/{cup.code}/step", fields | {"accepts": "fragile-outdoors"}, follow_redirects=True)

    assert without.status_code == 409
    assert "Thin parts" in words(without)
    assert stage_without is Stage.GLAZED
    assert room.piece(cup.ref).route == "raku"
    assert "Signed off: Thin parts" in words(accepted)


def test_no_glaze_gets_into_a_hotter_queue_from_a_page(room: Room) -> None:
    cup = room.bisqued(clay="Doorstep Buff")
    pieces.glaze(room.store, room.asks(INES), cup.ref, "Plum Gloss", Zone.OUTSIDE)
    fields = {"step": "queue", "ref": cup.ref, "route": "high-fire", "accepts": "glaze-melts-off"}

    answer = room.visit(TOM).post(f"/p/{cup.code}/step", fields)

    assert answer.status_code == 409
    assert "melts off the pot onto the shelf" in words(answer)
    assert room.piece(cup.ref).stage is Stage.GLAZED


def test_whoever_comes_second_is_told_so_on_the_piece_as_it_is_now(room: Room) -> None:
    cup = room.bisqued()
    tom = room.visit(TOM)
    seen = str(cup.version)
    pieces.wax(room.store, room.asks(INES), cup.ref)

    answer = tom.post(f"/p/{cup.code}/step", {"step": "wax", "ref": cup.ref, "seen": seen})

    assert answer.status_code == 409
    assert f"{cup.code} has just changed: it's waxed now." in words(answer)
    assert 'aria-current="step"' in answer.text
    assert f'name="seen" value="{room.piece(cup.ref).version}"' in answer.text


def test_a_double_click_takes_one_step(room: Room) -> None:
    cup = room.bisqued()
    ines = room.visit(INES)
    twice = {"step": "wax", "ref": cup.ref, "seen": str(cup.version), "key": str(uuid4())}

    answers = [ines.post(f"/p/{cup.code}/step", twice) for _ in range(2)]

    assert [answer.status_code for answer in answers] == [303, 303]
    assert [line.step for line in room.store.read.pieces.page(cup.id).history] == ["register", "wax"]


@pytest.mark.parametrize(
    ("step", "more", "stage"),
    [
        ("wax", {}, Stage.WAXED),
        ("lose", {"cause": "missing"}, Stage.LOST),
        ("correct", {"to": "greenware", "reason": "It was never fired."}, Stage.GREENWARE),
    ],
    ids=["wax", "lose", "correct"],
)
def test_the_instructor_takes_steps_from_the_page_of_a_piece(
    room: Room, step: str, more: dict[str, str], stage: Stage
) -> None:
    cup = room.bisqued()

    room.visit(ADA).post(f"/p/{cup.code}/step", {"step": step, "ref": cup.ref, "seen": str(cup.version), **more})

    assert room.piece(cup.ref).stage is stage


def test_a_lost_piece_that_is_found_goes_on_where_it_was(room: Room) -> None:
    cup = room.bisqued()
    pieces.lose(room.store, room.asks(TOM), cup.ref, "missing")
    tom = room.visit(TOM)
    shown = words(tom.get(f"/p/{cup.code}"))

    tom.post(f"/p/{cup.code}/step", {"step": "find", "ref": cup.ref})

    assert "bisqued, missing" in shown
    assert room.piece(cup.ref).stage is Stage.BISQUED


def test_a_correction_without_a_reason_is_refused_beside_its_field_and_stays_open(room: Room) -> None:
    cup = room.bisqued()

    answer = room.visit(ADA).post(f"/p/{cup.code}/step", {"step": "correct", "ref": cup.ref, "to": "greenware"})

    assert answer.status_code == 422
    assert 'id="why-correct-error"' in answer.text
    assert re.search(r'<details class="more" open><summary>Wrong stage', answer.text)
    assert room.piece(cup.ref).stage is Stage.BISQUED


def test_a_step_that_there_is_not_changes_nothing(room: Room) -> None:
    cup = room.bisqued()

    answer = room.visit(TOM).post(f"/p/{cup.code}/step", {"step": "varnish", "ref": cup.ref})

    assert answer.status_code == 422
    assert room.piece(cup.ref) == cup


def test_a_step_from_the_wrong_stage_says_what_is_possible_instead(room: Room) -> None:
    cup = room.bisqued()

    answer = room.visit(TOM).post(f"/p/{cup.code}/step", {"step": "pull back", "ref": cup.ref})

    assert answer.status_code == 409
    assert "It can't be taken out of a queue now. Glaze it next." in words(answer)


def test_history_tells_each_step_in_words_with_who_took_it(room: Room) -> None:
    _, (code,) = room.bisque_load(1)
    pieces.glaze(room.store, room.asks(INES), code, "Plum Gloss", Zone.LIP)
    pieces.queue(room.store, room.asks(TOM), code, "low-fire")
    number = int(
        starting.start(room.store, room.asks(TOM), "Front box", "low-fire", Cone.parse("04")).extra["firing"],
    )
    firings.put_in(room.store, room.asks(TOM), number, code)
    firings.light(room.store, room.asks(TOM), number)
    off_and_out(room.store, room.asks(TOM), number, {code: Outcome.of(Flaw.CRAZED)})

    shown = words(room.visit(INES).get(f"/p/{code}"))

    told = shown.partition(" History ")[2]
    for sentence in (
        f"Fired, Low-fire in Front box, firing {number}: crazed · recorded by Tom Abara",
        "Queued for Low-fire · recorded by Tom Abara",
        "Glazed with Plum Gloss (rim) · recorded by Ines Pell",
        "Bisque-fired in Front box, firing 1, and code issued · recorded by Tom Abara",
        "Registered · recorded by Ines Pell",
    ):
        assert sentence in told
        told = told.partition(sentence)[2]


def test_the_instructor_sends_a_fired_piece_back_with_a_reason(room: Room) -> None:
    _, (code,) = room.bisque_load(1)
    pieces.glaze(room.store, room.asks(INES), code, "Plum Gloss", Zone.LIP)
    pieces.queue(room.store, room.asks(TOM), code, "low-fire")
    started = starting.start(room.store, room.asks(TOM), "Front box", "low-fire", Cone.parse("04"))
    number = int(started.extra["firing"])
    firings.put_in(room.store, room.asks(TOM), number, code)
    firings.light(room.store, room.asks(TOM), number)
    off_and_out(room.store, room.asks(TOM), number, {code: Outcome.of(Flaw.CRAWLED)})
    ada = room.visit(ADA)

    answer = ada.post(
        f"/p/{code}/step", {"step": "fire again", "ref": code, "reason": "It crawled."}, follow_redirects=True
    )

    assert room.piece(code).stage is Stage.GLAZED
    assert "Reason: It crawled." in words(answer)


# ---- questions -------------------------------------------------------------------------------------------------


def test_a_question_and_its_answer_stay_with_the_piece(room: Room) -> None:
    cup = room.bisqued()
    ines = room.visit(INES)
    ines.post(f"/p/{cup.code}/ask", {"text": "Does it stand on its rim?"})
    (asked,) = room.store.read.questions.open()
    waiting = ines.get(f"/p/{cup.code}")

    questions.answer(room.store, room.asks(ADA), asked.id, "On its foot.", allows=False)

    answered = words(ines.get(f"/p/{cup.code}"))
    mine = words(ines.get("/pieces"))
    room.clock.pass_by(days=30)

    assert "On its foot." in mine
    assert "On its foot." not in words(ines.get("/pieces"))
    assert answered.count("Ada Quill") > words(ines.get(f"/p/{cup.code}")).count("Ada Quill")
    assert "Does it stand on its rim?" in words(waiting)
    assert next_on(waiting) is Next.ANSWER
    assert "Ada Quill: On its foot." in answered


def test_what_the_rules_leave_open_is_asked_from_the_row_of_the_route_and_opens_it_once_allowed(room: Room) -> None:
    cup = room.bisqued()
    pieces.glaze(room.store, room.asks(INES), cup.ref, "Plum Gloss", Zone.OUTSIDE)
    room.clock.pass_by(days=2)
    ines = room.visit(INES)
    before = rows(ines.get(f"/p/{cup.code}"))["Outdoor, raku"]
    ines.post(f"/p/{cup.code}/ask", {"text": "Can it go in raku?", "route": "raku"})
    (asked,) = room.store.read.questions.open()

    questions.answer(room.store, room.asks(ADA), asked.id, "In the last round.", allows=True)

    level, says = rows(ines.get(f"/p/{cup.code}"))["Outdoor, raku"]
    assert before[0] == "ask"
    assert level == "clear"
    assert "The instructor approved it." in says


def test_an_empty_question_is_refused_beside_its_field(room: Room) -> None:
    cup = room.bisqued()

    answer = room.visit(INES).post(f"/p/{cup.code}/ask", {"text": "  "})

    assert answer.status_code == 422
    assert 'id="text-error"' in answer.text
    assert room.store.read.questions.open() == ()


# ---- food ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("use", "glaze", "says"),
    [
        (Use.DECORATIVE, "Plum Gloss", "Decorative: not for food or drink."),
        (Use.FOOD, "Paper Lamp", "It still needs its glaze firing. Only a lab test can say whether it's food-safe."),
        (Use.FOOD, "Plum Gloss", "It still needs its glaze firing. Only a lab test can say whether it's food-safe."),
    ],
    ids=["decorative", "tested", "declared"],
)
def test_the_food_standing_of_a_piece_promises_nothing(room: Room, use: Use, glaze: str, says: str) -> None:
    cup = room.bisqued(use=use)
    worn = replace(cup, layers=(Layer(room.store.read.catalog().glaze(glaze), Zone.INSIDE),))

    told, _reasons = food_words(worn, room.store.read.catalog())

    assert says in said(told)


def test_a_mug_whose_glaze_fails_a_leach_test_says_so_at_the_top_of_its_page(room: Room) -> None:
    store, cup = room.store, room.bisqued(use=Use.FOOD)
    pieces.glaze(store, room.asks(INES), cup.ref, "Still Water", Zone.INSIDE)
    pieces.queue(store, room.asks(TOM), cup.ref, "mid-range")
    number = int(starting.start(store, room.asks(TOM), "Back box", "mid-range", Cone.parse("6")).extra["firing"])
    firings.put_in(store, room.asks(TOM), number, cup.ref)
    firings.light(store, room.asks(TOM), number)
    off_and_out(store, room.asks(TOM), number, {cup.ref: Outcome.GOOD})
    page = f"/p/{cup.ref}"
    before = words(room.visit(INES).get(page))

    evidence.add_release_test(store, room.asks(ADA), "Still Water", a_test(*[1.2] * 6))

    after = words(room.visit(INES).get(page))
    assert "Functional · yours" in before
    assert "Not for food or drink · yours" in after
    assert "Still Water failed a leach test" in after
    assert next_on(room.visit(INES).get(page)) is Next.PICK_UP
    pickup.hand_over(store, room.asks(TOM), cup.ref)
    assert next_on(room.visit(INES).get(page)) is Next.NO_FOOD


def test_a_refused_way_says_what_would_make_it_clear_and_each_way_names_its_kilns(room: Room) -> None:
    cup = room.bisqued()
    pieces.glaze(room.store, room.asks(INES), cup.ref, "Plum Gloss", Zone.OUTSIDE)

    answer = room.visit(INES).get(f"/p/{cup.code}")

    assert rows(answer)["High-fire"][0] == "refuse"
    assert "in Back box" in rows(answer)["High-fire"][1]
    assert "With Iron Gate instead of Plum Gloss, it can go in High-fire" in words(answer)


def test_greenware_of_clay_that_nobody_can_name_is_asked_about_before_its_bisque(room: Room) -> None:
    tile, ines = room.greenware(clay="Box of scraps"), room.visit(INES)

    level, says = rows(ines.get(f"/slip/{tile.id}"))["Bisque"]
    assert level == "ask"
    assert "Box of scraps hasn't been identified" in says
    ines.post(f"/p/{tile.ref}/ask", {"route": "bisque", "text": "Can it go in Bisque?"})
    (question,) = room.store.read.questions.open()
    room.visit(ADA).post(f"/questions/{question.id}", {"text": "Cone 06 is cool.", "allows": "yes"})

    level, says = rows(ines.get(f"/slip/{tile.id}"))["Bisque"]
    assert level == "clear"
    assert "The instructor approved it." in says


def test_greenware_that_may_go_into_the_bisque_hears_nothing_of_it(room: Room) -> None:
    tile = room.greenware()

    assert "Bisque" not in rows(room.visit(INES).get(f"/slip/{tile.id}"))


def test_a_piece_is_put_on_a_shelf_from_its_own_page_and_nowhere_by_a_shelf_without_a_name(room: Room) -> None:
    cup = room.bisqued()
    tom = room.visit(TOM)

    put = tom.post(f"/p/{cup.ref}/step", {"step": "shelve", "ref": cup.ref, "place": "rack 3", "new_shelf": "yes"})
    nowhere = tom.post(f"/p/{cup.ref}/step", {"step": "shelve", "ref": cup.ref})

    assert put.status_code == 303
    assert room.piece(cup.ref).place == "rack 3"
    assert nowhere.status_code == 422
    assert "Scan a shelf first." in nowhere.text


# ---- what to do now ----------------------------------------------------------------------------------------------


def test_a_no_to_the_bisque_is_said_with_its_reason_until_the_piece_changes(room: Room) -> None:
    ref = room.greenware(INES, clay="Box of scraps").ref
    number = int(questions.ask(room.store, room.asks(INES), ref, "May it?", route="bisque").extra["question"])
    questions.answer(room.store, room.asks(ADA), number, "It may be raku clay.", allows=False)

    told, listed = room.visit(INES).get(f"/slip/{ref[1:]}"), room.visit(INES).get("/pieces")
    room.clock.pass_by(minutes=1)
    editing.set_right(room.store, room.asks(INES), ref, Told(height_mm=118))
    changed = room.visit(INES).get(f"/slip/{ref[1:]}")

    assert next_on(told) is Next.CHANGE
    assert all("declined Bisque" in words(answer) for answer in (told, listed))
    assert "“It may be raku clay.”" in words(told)
    assert "the instructor about Bisque" not in words(told)
    assert "the instructor about Outdoor, raku" in words(told)
    assert next_on(changed) is Next.IDENTIFY


def test_the_nameless_clay_is_offered_last_in_words_of_its_own(room: Room) -> None:
    answer = room.visit(INES).get("/pieces/new").text

    offered = re.findall(r'<option value="([^"]+)"[^>]*>([^<]+)</option>', answer)
    clays = [one for one in offered if one[0] in room.store.read.catalog().clays]

    assert len(clays) == len(room.store.read.catalog().clays)
    assert clays[-1] == ("Box of scraps", "I don&#39;t know it")


def test_its_maker_says_on_its_page_that_a_ticket_was_a_mistake_and_takes_that_back(room: Room) -> None:
    raw, ines = room.greenware(INES), room.visit(INES)
    offered = re.findall(r'<option value="(broken|missing|discarded)"', ines.get(f"/slip/{raw.id}").text)

    ines.post(f"/p/{raw.ref}/step", {"step": "lose", "cause": "discarded", "ref": raw.ref})
    lost = room.piece(raw.ref).stage
    ines.post(f"/p/{raw.ref}/step", {"step": "find", "ref": raw.ref})

    assert offered == ["broken", "discarded"]
    assert (lost, room.piece(raw.ref).stage) == (Stage.LOST, Stage.GREENWARE)


def test_after_a_wash_off_no_day_stands_at_a_stage_to_come(room: Room) -> None:
    cup = room.bisqued(INES)
    pieces.glaze(room.store, room.asks(INES), cup.ref, "Still Water", Zone.OUTSIDE)
    pieces.wash_off(room.store, room.asks(INES), cup.ref)

    page = room.visit(INES).get(f"/p/{cup.ref}").text
    to_come = re.findall(r'<li class="to-come">.*?</li>', page, re.DOTALL)

    assert to_come
    assert not [ring for ring in to_come if "<small>" in ring]
