"""Layers taken off one at a time, and questions that ask themselves."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from functools import partial

import pytest

from tests.staffed import (
    ADA,
    INES,
    MIRA,
    TOM,
    asked_by,
    bisqued,
    fired,
    glazed,
    queued,
    the_piece,
)
from tests.studio import NOON, a_new_piece
from tracker.domain.findings import NeedsInstructor
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.refusals import ChangedMeanwhile, NotAStep, Unknown
from tracker.domain.studio.materials import Zone
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces import layers, pieces, undoing
from tracker.usecases.rules import questions
from tracker.usecases.rules.answers_taken_back import take_back_answer


def test_one_layer_comes_off_and_the_others_stay(store: Store) -> None:
    ref = glazed(store, "Still Water", "Wet Slate", "Attic Window")

    receipt = layers.take_off(store, asked_by(MIRA), ref, 1, seen=the_piece(store, ref).version)

    piece = the_piece(store, ref)
    line = store.read.pieces.page(piece.id).history[-1]
    assert piece.worn_names == ("Still Water", "Attic Window")
    assert (piece.stage, line.step, line.id) == (Stage.GLAZED, StepName.WASH_OFF, receipt.line)
    assert (line.facts["glaze"], line.facts["zone"]) == ("Wet Slate", Zone.OUTSIDE)


def test_without_its_last_layer_a_piece_is_bisqued_again_or_waxed_where_it_was(store: Store) -> None:
    bare, waxed = glazed(store), bisqued(store)
    pieces.wax(store, asked_by(MIRA), waxed)
    pieces.glaze(store, asked_by(MIRA), waxed, "Still Water", Zone.ALL_OVER)

    for ref in (bare, waxed):
        layers.take_off(store, asked_by(MIRA), ref, 0)

    assert (the_piece(store, bare).stage, the_piece(store, bare).layers) == (Stage.BISQUED, ())
    assert (the_piece(store, waxed).stage, the_piece(store, waxed).layers) == (Stage.WAXED, ())


def test_a_fired_layer_or_one_of_a_piece_that_waits_stays(store: Store) -> None:
    again, waits = fired(store), queued(store)
    pieces.fire_again(store, asked_by(ADA), again, "pinholes")
    pieces.glaze(store, asked_by(TOM), again, "Still Water", Zone.LIP)

    for ref, place in ((again, 0), (waits, 0), (again, 7)):
        with pytest.raises(NotAStep):
            layers.take_off(store, asked_by(TOM), ref, place)
    layers.take_off(store, asked_by(TOM), again, 1)

    assert (the_piece(store, again).stage, len(the_piece(store, again).layers)) == (Stage.GLAZED, 1)


def test_nobody_takes_a_layer_off_somebody_elses_piece_or_off_one_they_saw_otherwise(store: Store) -> None:
    ref = glazed(store, maker=MIRA)

    with pytest.raises(Unknown):
        layers.take_off(store, asked_by(INES), ref, 0)
    with pytest.raises(ChangedMeanwhile):
        layers.take_off(store, asked_by(MIRA), ref, 0, seen=1)


def test_a_glaze_that_needs_leave_asks_the_instructor_by_itself_once(store: Store) -> None:
    ref = bisqued(store, a_new_piece(clay="Roof Tile Red"))

    for zone in (Zone.INSIDE, Zone.OUTSIDE):
        pieces.glaze(store, asked_by(MIRA), ref, "Iron Gate", zone, asks=True)

    (question,) = store.read.questions.of_piece(the_piece(store, ref).id)
    assert (question.route, {one.rule for one in question.findings}) == ("low-fire", {"glaze-underfired"})
    with pytest.raises(NeedsInstructor):
        pieces.queue(store, asked_by(TOM), ref, "low-fire")
    questions.answer(store, asked_by(ADA), question.id, "A dry surface is what you want.", allows=True)
    assert pieces.queue(store, asked_by(TOM), ref, "low-fire").ref == ref


@pytest.mark.parametrize("how", ["take off", "wash off", "undo"])
def test_what_was_asked_by_itself_is_taken_back_with_the_layer(store: Store, how: str) -> None:
    ref = bisqued(store, a_new_piece(clay="Roof Tile Red"))
    done = pieces.glaze(store, asked_by(MIRA), ref, "Iron Gate", Zone.INSIDE, asks=True)
    (by_itself,) = store.read.questions.of_piece(the_piece(store, ref).id)
    questions.ask(store, asked_by(MIRA), ref, "Could this be fired before the eleventh?")

    if how == "take off":
        layers.take_off(store, asked_by(MIRA), ref, 0)
    elif how == "wash off":
        pieces.wash_off(store, asked_by(MIRA), ref)
    else:
        undoing.undo(store, asked_by(MIRA), done.line or 0)

    (left,) = store.read.questions.of_piece(the_piece(store, ref).id)
    assert left.id != by_itself.id, "what a person asked stays"


def test_whoever_asked_a_question_withdraws_it_and_nobody_else(store: Store) -> None:
    ref = glazed(store, "Still Water", maker=MIRA)
    number = int(
        questions.ask(store, asked_by(MIRA), ref, "Could this be fired before the eleventh?").extra["question"]
    )

    for person in (TOM, ADA):
        with pytest.raises(NotAStep):
            questions.withdraw(store, asked_by(person), ref, number)
    with pytest.raises(Unknown):
        questions.withdraw(store, asked_by(INES), ref, number)
    held = the_piece(store, ref).has_question
    questions.withdraw(store, asked_by(MIRA), ref, number)

    assert (held, the_piece(store, ref).has_question) == (True, False)
    (gone,) = store.read.questions.withdrawn(the_piece(store, ref).id)
    assert gone.withdrawn_by == MIRA.name
    with pytest.raises(NotAStep):
        questions.withdraw(store, asked_by(MIRA), ref, number)


def test_a_question_whose_answer_was_taken_back_stays_for_the_instructor(store: Store) -> None:
    ref = bisqued(store, a_new_piece(clay="Roof Tile Red"))
    pieces.glaze(store, asked_by(MIRA), ref, "Iron Gate", Zone.INSIDE, asks=True)
    (asked,) = store.read.questions.of_piece(the_piece(store, ref).id)
    questions.answer(store, asked_by(ADA), asked.id, "A dry surface is what you want.", allows=True)
    take_back_answer(store, asked_by(ADA), asked.id)

    layers.take_off(store, asked_by(MIRA), ref, 0)

    (left,) = store.read.questions.of_piece(the_piece(store, ref).id)
    assert (left.id, left.answered_at) == (asked.id, None)
    with pytest.raises(NotAStep):
        questions.withdraw(store, asked_by(MIRA), ref, asked.id)


def test_a_glaze_that_goes_into_a_firing_without_leave_asks_nothing(store: Store) -> None:
    ref = bisqued(store)

    pieces.glaze(store, asked_by(MIRA), ref, "Still Water", Zone.ALL_OVER, asks=True)

    assert store.read.questions.of_piece(the_piece(store, ref).id) == ()


@pytest.mark.parametrize("step", [pieces.wash_off, partial(layers.take_off, place=0)], ids=["wash off", "one layer"])
def test_what_a_layer_asked_is_asked_again_when_it_did_not_come_off_after_all(
    store: Store, step: Callable[..., Receipt]
) -> None:
    ref = bisqued(store, a_new_piece(clay="Roof Tile Red"))
    pieces.glaze(store, asked_by(MIRA), ref, "Iron Gate", Zone.INSIDE, asks=True)
    (before,) = store.read.questions.open()
    off = step(store, asked_by(MIRA, NOON + timedelta(hours=1)), ref)
    assert store.read.questions.open() == ()

    undoing.undo(store, asked_by(MIRA, NOON + timedelta(hours=2)), off.line or 0)

    (now,) = store.read.questions.open()
    assert now == replace(before, id=now.id)
