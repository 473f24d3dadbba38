"""Staff say what is true of a piece wherever it is; it is judged there again, and leaves where it is unfit."""

from __future__ import annotations

import pytest

from tests.reading import tells
from tests.staffed import ADA, MIRA, TOM, asked_by, bisqued, fired, queued, started, the_piece
from tests.studio import a_new_piece
from tracker.domain.findings import Unfit
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.piece import Build, Stage, Use
from tracker.domain.refusals import NotAStep
from tracker.store import backup
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import editing, pickup
from tracker.usecases.rules import questions

LOW = "Roof Tile Red"
"""An earthenware to cone 04: it melts in a mid-range firing."""


def test_a_name_a_clay_and_a_build_are_edited_after_the_bisque_with_both_on_record(store: Store) -> None:
    ref = bisqued(store)
    was = the_piece(store, ref)

    editing.set_right(store, asked_by(TOM), ref, Told(what="vase", build=Build.COIL), clay="Gravel Walk")

    piece = the_piece(store, ref)
    (*_, line) = store.read.pieces.page(piece.id).history
    assert (piece.what, piece.clay.name, piece.build) == ("vase", "Gravel Walk", Build.COIL)
    assert line.facts["changes"] == (
        ("what", was.what, "vase"),
        ("clay", was.clay.name, "Gravel Walk"),
        ("build", was.build, Build.COIL),
    )


def test_what_waits_stays_where_it_is_fit_and_leaves_its_queue_where_it_is_not(store: Store, database_url: str) -> None:
    fit, unfit = queued(store), queued(store)

    editing.set_right(store, asked_by(TOM), fit, Told(what="jar", height_mm=90))
    editing.set_right(store, asked_by(TOM), unfit, Told(), clay=LOW)

    assert (the_piece(store, fit).stage, the_piece(store, fit).route) == (Stage.QUEUED, "mid-range")
    held = the_piece(store, unfit)
    assert (held.stage, held.route, held.clay.name) == (Stage.GLAZED, None, LOW)
    (question,) = store.read.questions.open()
    assert question.piece_id == held.id
    assert backup.check(database_url) == ()


def test_what_becomes_unfit_in_a_kiln_is_named_and_must_be_confirmed_to_be_out(store: Store) -> None:
    ref, other, firing = queued(store), queued(store), started(store)
    for one in (ref, other):
        firings.put_in(store, asked_by(TOM), firing, one)

    receipt = editing.set_right(store, asked_by(TOM), ref, Told(), clay=LOW)

    (_said, *more) = dict(receipt.message.facts)["sentences"].messages  # type: ignore[union-attr]  # several sentences
    found = store.read.firings.firing(firing)
    assert found is not None
    assert "Back box" in str(more)
    assert found.leaving_ids == (the_piece(store, ref).id,)
    with pytest.raises(NotAStep, match="take-out-now"):
        firings.light(store, asked_by(TOM), firing)
    firings.take_out(store, asked_by(TOM), firing, ref)
    firings.light(store, asked_by(TOM), firing)


def test_a_clay_corrected_while_its_kiln_is_hot_is_told_until_it_is_right_again(store: Store) -> None:
    ref, firing = queued(store), started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)
    firings.light(store, asked_by(TOM), firing)

    wrong = editing.set_right(store, asked_by(TOM), ref, Told(), clay=LOW)
    kept = store.read.firings.caught(firing_id=firing)
    right = editing.set_right(store, asked_by(TOM), ref, Told(), clay="Doorstep Buff")

    assert tells([wrong.message], "in-a-hot-kiln", firing=str(firing))
    assert "clay-slumps" in [found.rule for one in kept for found in one.findings]
    assert tells([right.message], "fit-again", pieces=(ref,))
    assert store.read.firings.caught() == ()
    assert (the_piece(store, ref).route, the_piece(store, ref).in_firing) == ("mid-range", firing)


def test_a_clay_is_on_record_though_the_rules_refuse_it(store: Store) -> None:
    ref = fired(store)
    pickup.hand_over(store, asked_by(TOM), ref)

    editing.set_right(store, asked_by(TOM), ref, Told(), clay=LOW)

    piece = the_piece(store, ref)
    assert (piece.stage, piece.clay.name) == (Stage.CLAIMED, LOW)


def test_a_decorative_glaze_is_not_for_food_whoever_says_so(store: Store) -> None:
    ref = queued(store, "Gilt Edge", route="high-fire", new=a_new_piece(clay="Gravel Walk"))

    with pytest.raises(Unfit, match="decorative-glaze-for-food"):
        editing.set_right(store, asked_by(TOM), ref, Told(use=Use.FOOD))


def test_the_answer_to_what_clay_is_it_is_the_clay(store: Store) -> None:
    ref = bisqued(store, a_new_piece(clay="Box of scraps"))
    asked = questions.ask(store, asked_by(MIRA), ref, "What clay is it?").extra["question"]

    questions.answer(store, asked_by(ADA), int(asked), "The gritty one.", allows=False, clay="Gravel Walk")

    piece = the_piece(store, ref)
    (answered,) = store.read.questions.of_piece(piece.id)
    assert (piece.clay.name, answered.answer) == ("Gravel Walk", "The gritty one.")
