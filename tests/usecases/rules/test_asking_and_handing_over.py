"""Questions for the instructor and the leave they may give, handing pieces over, and printing their tags."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.reading import said
from tests.staffed import (
    ADA,
    INES,
    MIRA,
    TOM,
    asked_by,
    bisqued,
    fired,
    glazed,
    off_and_out,
    started,
    tags_printed,
    the_piece,
)
from tests.studio import NOON, a_new_piece
from tracker.domain.findings import NeedsInstructor, Unfit
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Stage, Use
from tracker.domain.refusals import ChangedMeanwhile, NotAllowed, NotAStep, Unknown, Unusable
from tracker.domain.studio.materials import Zone
from tracker.store import backup as keeping
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pickup, pieces
from tracker.usecases.pieces.revalidate import declined
from tracker.usecases.pieces.ways import ways_for
from tracker.usecases.rules import questions
from tracker.usecases.rules.answers_taken_back import recently_answered, take_back_answer


def asked(store: Store, ref: str, text: str = "May it?", route: str | None = "raku") -> int:
    """The number of a question on a piece."""
    return int(questions.ask(store, asked_by(MIRA), ref, text, route=route).extra["question"])


# ---- questions


def test_with_the_instructors_leave_a_piece_goes_where_the_rules_ask(store: Store) -> None:
    ref = glazed(store, "Plum Gloss")
    number = asked(store, ref)
    with pytest.raises(NeedsInstructor):
        pieces.queue(store, asked_by(TOM), ref, "raku")

    receipt = questions.answer(store, asked_by(ADA), number, "On the top shelf it may.", allows=True)
    pieces.queue(store, asked_by(TOM), ref, "raku")

    assert said(receipt.message) == f"{ref}: approved."
    assert the_piece(store, ref).route == "raku"
    assert store.read.questions.open() == ()


def test_a_leave_ends_when_there_is_something_new_to_ask(store: Store) -> None:
    ref = glazed(store, "Plum Gloss")
    questions.answer(store, asked_by(ADA), asked(store, ref), "It may.", allows=True)
    pieces.glaze(store, asked_by(MIRA), ref, "Paper Lamp", Zone.LIP)

    with pytest.raises(NeedsInstructor, match="Paper Lamp"):
        pieces.queue(store, asked_by(TOM), ref, "raku")


def test_a_leave_holds_for_its_route_only(store: Store) -> None:
    ref = glazed(store, "Plum Gloss", new=a_new_piece(clay="Box of scraps"))
    questions.answer(store, asked_by(ADA), asked(store, ref, route="low-fire"), "It may.", allows=True)

    with pytest.raises(NeedsInstructor):
        pieces.queue(store, asked_by(TOM), ref, "raku")
    pieces.queue(store, asked_by(TOM), ref, "low-fire")


def test_a_question_that_is_declined_gives_no_leave(store: Store) -> None:
    ref = glazed(store, "Plum Gloss")

    receipt = questions.answer(store, asked_by(ADA), asked(store, ref), "Not with that foot.", allows=False)

    assert said(receipt.message) == f"{ref}: declined."
    with pytest.raises(NeedsInstructor):
        pieces.queue(store, asked_by(TOM), ref, "raku")


def test_a_declined_firing_is_closed_for_that_piece_until_the_answer_changes(store: Store) -> None:
    ref = glazed(store, "Still Water")
    questions.answer(store, asked_by(ADA), asked(store, ref, route="mid-range"), "That crack is new.", allows=False)
    page = store.read.pieces.page(the_piece(store, ref).id)
    known = store.read.catalog()

    (way,) = [one for one in ways_for(page.piece, known, page.leaves, page.questions) if one.route == "mid-range"]
    with pytest.raises(NeedsInstructor) as refused:
        pieces.queue(store, asked_by(TOM), ref, "mid-range")
    questions.answer(store, asked_by(ADA), asked(store, ref, route="mid-range"), "A pencil line.", allows=True)
    pieces.queue(store, asked_by(TOM), ref, "mid-range")

    assert (way.verdict, way.is_open) == ("ask", False)
    assert said(way.findings[0].message) == "Declined by the instructor: “That crack is new.”"
    assert said(refused.value.message) == "Declined by the instructor: “That crack is new.”"
    assert the_piece(store, ref).route == "mid-range"


def test_a_no_counts_on_its_own_firing_alone_and_a_question_that_is_open_takes_none_back(store: Store) -> None:
    ref = glazed(store)
    questions.answer(store, asked_by(ADA), asked(store, ref, route="mid-range"), "That crack is new.", allows=False)
    asked(store, ref, route="mid-range")
    piece = the_piece(store, ref).id

    assert [one.rule for one in declined(store.read, piece, "mid-range", ())] == ["instructor-declined"]
    assert declined(store.read, piece, "high-fire", ()) == ()


def test_a_declined_piece_that_waits_leaves_that_queue(store: Store) -> None:
    ref = glazed(store, "Still Water")
    pieces.queue(store, asked_by(TOM), ref, "mid-range")

    receipt = questions.answer(store, asked_by(ADA), asked(store, ref, route="mid-range"), "No.", allows=False)

    assert said(receipt.message) == f"{ref}: declined. 1 piece left the Mid-range queue: {ref}."
    assert the_piece(store, ref).stage is Stage.GLAZED


# ---- answers taken back


def test_a_no_that_is_taken_back_puts_the_piece_back_into_its_queue_with_its_question(store: Store) -> None:
    ref = glazed(store, "Still Water")
    pieces.queue(store, asked_by(TOM), ref, "mid-range")
    before = store.read.pieces.row(code=ref)
    number = asked(store, ref, route="mid-range")
    questions.answer(store, asked_by(ADA, NOON + timedelta(hours=1)), number, "No.", allows=False)

    receipt = take_back_answer(store, asked_by(ADA, NOON + timedelta(hours=2)), number)

    after = store.read.pieces.row(code=ref)
    assert before is not None
    assert after is not None
    assert said(receipt.message).endswith("It is back in the Mid-range queue.")
    assert (after.piece.route, after.waiting_since) == ("mid-range", before.waiting_since)
    assert [one.id for one in store.read.questions.open()] == [number]
    (kept,) = store.read.questions.taken_back(after.piece.id)
    assert (kept.allowed, kept.answer, kept.taken_back_by) == (False, "No.", ADA.name)


def test_a_no_taken_back_leaves_the_piece_in_the_kiln_it_was_in(store: Store, database_url: str) -> None:
    ref = glazed(store, "Still Water")
    pieces.queue(store, asked_by(TOM), ref, "mid-range")
    firing = started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)
    number = asked(store, ref, route=None)
    questions.answer(store, asked_by(ADA), number, "No.", allows=False)
    out = the_piece(store, ref)

    take_back_answer(store, asked_by(ADA), number)

    assert out.in_firing is None
    assert (the_piece(store, ref).in_firing, the_piece(store, ref).route) == (firing, "mid-range")
    assert keeping.check(database_url) == ()


def test_a_yes_that_is_taken_back_takes_the_piece_out_of_the_queue_it_allowed(store: Store) -> None:
    ref = glazed(store, "Plum Gloss")
    number = asked(store, ref)
    questions.answer(store, asked_by(ADA), number, "It may.", allows=True)
    pieces.queue(store, asked_by(TOM), ref, "raku")

    take_back_answer(store, asked_by(ADA), number)

    assert the_piece(store, ref).stage is Stage.GLAZED
    with pytest.raises(NeedsInstructor):
        pieces.queue(store, asked_by(TOM), ref, "raku")


def test_an_answer_is_taken_back_by_the_instructor_while_no_fire_has_used_it(store: Store) -> None:
    ref = glazed(store, "Still Water")
    number = asked(store, ref, route="mid-range")
    with pytest.raises(NotAStep):
        take_back_answer(store, asked_by(ADA), number)
    questions.answer(store, asked_by(ADA), number, "It may.", allows=True)
    with pytest.raises(NotAllowed):
        take_back_answer(store, asked_by(TOM), number)
    with pytest.raises(Unknown):
        take_back_answer(store, asked_by(ADA), 99)
    pieces.queue(store, asked_by(TOM), ref, "mid-range")
    firing = started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)
    firings.light(store, asked_by(TOM), firing)

    with pytest.raises(NotAStep) as hot:
        take_back_answer(store, asked_by(ADA), number)
    off_and_out(store, asked_by(TOM), firing, {ref: Outcome.GOOD})
    with pytest.raises(NotAStep) as fired_since:
        take_back_answer(store, asked_by(ADA), number)

    assert {one.value.message.code for one in (hot, fired_since)} == {"answer-was-fired"}
    assert recently_answered(store.read, NOON) == ()


def test_what_nobody_may_override_is_not_even_asked(store: Store) -> None:
    ref = glazed(store, "Plum Gloss")

    with pytest.raises(Unfit):
        questions.ask(store, asked_by(MIRA), ref, "Please?", route="high-fire")


def test_what_has_come_to_be_refused_is_not_allowed(store: Store) -> None:
    ref = glazed(store, "Still Water")
    number = asked(store, ref, route="mid-range")
    pieces.wash_off(store, asked_by(MIRA), ref)
    pieces.glaze(store, asked_by(MIRA), ref, "Plum Gloss", Zone.LIP)

    with pytest.raises(Unfit):
        questions.answer(store, asked_by(ADA), number, "It may.", allows=True)


def test_a_question_needs_words_and_an_answer_its_reason(store: Store) -> None:
    ref = bisqued(store)
    with pytest.raises(Unusable, match="question-blank"):
        asked(store, ref, "  ", None)
    number = asked(store, ref, "Is this yours?", None)

    with pytest.raises(Unusable, match="answer-blank"):
        questions.answer(store, asked_by(ADA), number, " ", allows=True)
    with pytest.raises(Unknown, match="no-such-question"):
        questions.answer(store, asked_by(ADA), 10**20, "Yes.", allows=True)

    assert said(questions.answer(store, asked_by(ADA), number, "Yes.", allows=True).message) == f"{ref}: answered."


def test_a_question_is_answered_once_and_by_the_instructor(store: Store) -> None:
    number = asked(store, bisqued(store), "Is this yours?", None)
    with pytest.raises(NotAllowed):
        questions.answer(store, asked_by(TOM), number, "Yes.", allows=True)
    questions.answer(store, asked_by(ADA), number, "Yes.", allows=True)

    with pytest.raises(ChangedMeanwhile, match="answered-already"):
        questions.answer(store, asked_by(ADA), number, "No.", allows=False)


def test_a_student_asks_about_their_own_pieces_only(store: Store) -> None:
    ref = bisqued(store, maker=INES)

    with pytest.raises(Unknown, match="none-of-yours"):
        asked(store, ref)


# ---- pickup


def test_a_fired_pot_goes_to_its_maker(store: Store) -> None:
    ref = fired(store)

    receipt = pickup.hand_over(store, asked_by(TOM), ref)

    assert said(receipt.message) == f"{ref}, tall cup: picked up by Mira Tann. Decorative: not for food or drink."
    assert the_piece(store, ref).stage is Stage.CLAIMED


def test_a_stand_in_is_named_on_the_record(store: Store) -> None:
    ref = fired(store)

    pickup.hand_over(store, asked_by(TOM), ref, to=" Leo Tann ")

    last = store.read.pieces.page(the_piece(store, ref).id).history[-1]
    assert last.facts == {"taker": "Leo Tann", "maker": "Mira Tann"}


def test_ware_taken_home_unglazed_is_handed_over_bisqued(store: Store) -> None:
    ref = bisqued(store, a_new_piece(use=Use.FOOD))

    receipt = pickup.hand_over(store, asked_by(TOM), ref)

    assert said(receipt.message) == f"{ref}, tall cup: picked up by Mira Tann."


def test_nothing_is_handed_over_before_it_is_fired_nor_twice_nor_by_a_student(store: Store) -> None:
    waiting, done = glazed(store), fired(store)
    pickup.hand_over(store, asked_by(TOM), done)

    with pytest.raises(NotAStep, match="not-a-step-now"):
        pickup.hand_over(store, asked_by(TOM), waiting)
    with pytest.raises(NotAStep, match="not-a-step-now"):
        pickup.hand_over(store, asked_by(TOM), done)
    with pytest.raises(NotAllowed):
        pickup.hand_over(store, asked_by(MIRA), waiting)


# ---- tags


def test_a_tag_printed_again_is_a_reprint(store: Store) -> None:
    first, second = bisqued(store), bisqued(store)

    once = tags_printed(store, asked_by(TOM), first)
    again = tags_printed(store, asked_by(TOM), first, second)

    assert [once.job.reprints, again.job.reprints] == [frozenset(), frozenset({first})]
    assert once.layout.pdf().startswith(b"%PDF-")
    assert store.read.pieces.page(the_piece(store, first).id).times_printed == 2


def test_a_double_click_prints_the_same_tags_and_counts_once(store: Store) -> None:
    ref, request = bisqued(store), asked_by(TOM)

    first = tags_printed(store, request, ref)
    second = tags_printed(store, request, ref)

    assert (first.job, first.layout.pdf()) == (second.job, second.layout.pdf())
    assert store.read.pieces.page(the_piece(store, ref).id).times_printed == 1


def test_tags_are_printed_of_ones_own_pieces_only_and_of_some(store: Store) -> None:
    ref = bisqued(store)

    with pytest.raises(Unknown, match="none-of-yours"):
        tags_printed(store, asked_by(INES), ref)
    with pytest.raises(Unusable, match="nothing-chosen"):
        tags_printed(store, asked_by(TOM))
    with pytest.raises(Unknown):
        tags_printed(store, asked_by(TOM), ref, "22222")

    assert store.read.pieces.page(the_piece(store, ref).id).times_printed == 0


# ---- clay that nobody can name, before its first fire


def test_nameless_clay_goes_into_a_bisque_once_the_instructor_has_allowed_it(store: Store) -> None:
    slip = pieces.register(store, asked_by(MIRA), a_new_piece(clay="Box of scraps")).ref
    firing = started(store, "Front box", "bisque", "06")

    with pytest.raises(NeedsInstructor, match="nameless-material"):
        firings.put_in(store, asked_by(TOM), firing, slip, dry=True)
    questions.answer(store, asked_by(ADA), asked(store, slip, route="bisque"), "Cone 06 is cool.", allows=True)
    firings.put_in(store, asked_by(TOM), firing, slip, dry=True)

    assert the_piece(store, slip).id in store.read.firings.firing(firing).piece_ids  # type: ignore[union-attr]  # it was just started


def test_a_bisque_that_nameless_clay_may_not_stand_is_nobodys_to_allow(store: Store) -> None:
    slip = pieces.register(store, asked_by(MIRA), a_new_piece(clay="Box of scraps")).ref
    questions.answer(store, asked_by(ADA), asked(store, slip, route="bisque"), "Yes.", allows=True)

    with pytest.raises(Unfit, match="clay-slumps"):
        firings.put_in(store, asked_by(TOM), started(store, "Front box", "bisque", "03"), slip, dry=True)
