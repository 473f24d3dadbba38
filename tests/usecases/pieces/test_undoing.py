"""What can be undone is undone whole, and what can't isn't offered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from tests.staffed import MIRA, TOM, asked_by, bisqued, fired, glazed, queued, started, the_piece, unload
from tests.studio import NOON
from tracker.domain.findings import Unsettled
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Foot, Stage, StepName
from tracker.domain.refusals import NotAllowed, Refusal
from tracker.domain.studio.materials import Zone
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import layers, pickup, pieces, undoing
from tracker.usecases.rules import questions


def offered(store: Store, line: int | None) -> bool:
    """Whether shelf staff are shown the button that undoes this line."""
    return undoing.can_undo(store.read, line or 0, TOM, NOON)


@pytest.mark.parametrize(
    ("ready", "step"),
    [
        pytest.param(lambda store: glazed(store, "Still Water", "Attic Window"), pieces.wash_off, id="wash off"),
        pytest.param(
            lambda store: glazed(store, "Still Water", "Attic Window"),
            lambda store, request, ref: layers.take_off(store, request, ref, 0),
            id="one layer",
        ),
        pytest.param(
            lambda store: pieces.wax(store, asked_by(TOM), bisqued(store)).ref, pieces.not_waxed, id="not waxed"
        ),
        pytest.param(queued, lambda store, request, ref: pieces.lose(store, request, ref, "dropped"), id="lose"),
        pytest.param(fired, pickup.hand_over, id="hand out"),
        pytest.param(bisqued, pickup.hand_over, id="hand out bisqued"),
    ],
)
def test_an_undo_leaves_a_piece_as_it_was_and_the_history_longer(
    store: Store, ready: Callable[[Store], str], step: Callable[..., Receipt]
) -> None:
    ref = ready(store)
    before = the_piece(store, ref)
    line = step(store, asked_by(TOM), ref).line

    assert offered(store, line)
    undoing.undo(store, asked_by(TOM), line or 0)

    now = the_piece(store, ref)
    assert now == replace(before, version=now.version)
    assert line in [one.undoes for one in store.read.pieces.page(now.id).history]


def test_a_foot_is_as_it_was_told_before_a_wash_off(store: Store) -> None:
    ref = bisqued(store)
    pieces.glaze(store, asked_by(TOM), ref, "Still Water", Zone.OUTSIDE, foot=Foot.WIPED, catch_plate=True)
    line = pieces.wash_off(store, asked_by(TOM), ref).line

    undoing.undo(store, asked_by(TOM), line or 0)

    assert (the_piece(store, ref).foot, the_piece(store, ref).catch_plate) == (Foot.WIPED, True)


def test_no_undo_is_offered_for_what_its_step_would_be_refused(store: Store) -> None:
    in_a_kiln, asked_about, broke = queued(store), queued(store), queued(store)
    line = store.read.pieces.last_line(the_piece(store, in_a_kiln).id)
    firing = started(store)
    firings.put_in(store, asked_by(TOM), firing, in_a_kiln)
    questions.ask(store, asked_by(MIRA), asked_about, "Is the handle loose?")
    pulled = pieces.pull_back(store, asked_by(TOM), asked_about).line

    assert not offered(store, line)
    assert not offered(store, pulled)
    with pytest.raises(Unsettled):
        undoing.undo(store, asked_by(TOM), pulled or 0)

    firings.put_in(store, asked_by(TOM), firing, broke)
    unload(store, firing, {in_a_kiln: Outcome.GOOD, broke: Outcome.BROKE})
    lost = store.read.pieces.last_line(the_piece(store, broke).id)
    assert not offered(store, lost)


def test_an_undo_is_not_undone(store: Store) -> None:
    line = pieces.wax(store, asked_by(TOM), bisqued(store)).line
    undone = undoing.undo(store, asked_by(TOM), line or 0).line

    assert not offered(store, undone)
    with pytest.raises(Refusal, match="not-taken-back"):
        undoing.undo(store, asked_by(TOM), undone or 0)


def test_a_hand_out_is_undone_by_any_of_the_staff_and_by_no_student(store: Store) -> None:
    ref = fired(store)
    pickup.hand_over(store, asked_by(TOM), ref, to="Ines Pell")

    with pytest.raises(NotAllowed):
        pickup.take_back(store, asked_by(MIRA), ref)
    pickup.take_back(store, asked_by(TOM), ref)

    piece = the_piece(store, ref)
    steps = [line.step for line in store.read.pieces.page(piece.id).history][-2:]
    assert (piece.stage, steps) == (Stage.FIRED, [StepName.CLAIM, StepName.TAKE_BACK])
    assert [row.ref for row in store.read.pieces.ready_for_pickup(MIRA.id)] == [ref]
    with pytest.raises(Refusal, match="not-a-step-now"):
        pickup.take_back(store, asked_by(TOM), ref)
