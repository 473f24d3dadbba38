"""What can be undone is undone whole, and what can't isn't offered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from tests.staffed import MIRA, TOM, asked_by, bisqued, fired, glazed, queued, started, the_piece, unload
from tests.studio import NOON, a_new_piece
from tracker.domain.findings import Unsettled
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Foot, Stage, StepName, Use
from tracker.domain.refusals import NotAllowed, Refusal
from tracker.domain.studio.materials import Zone
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import editing, found_again, layers, pickup, pieces, registrations, undoing, wishes
from tracker.usecases.rules import questions


def offered(store: Store, line: int | None) -> bool:
    """Whether shelf staff are shown the button that undoes this line."""
    return undoing.can_undo(store.read, line or 0, TOM, NOON)


def greenware(store: Store) -> str:
    """The ticket of a new piece."""
    return pieces.register(store, asked_by(MIRA), a_new_piece()).ref


def waxed(store: Store) -> str:
    """The code of a new piece with a waxed foot."""
    return pieces.wax(store, asked_by(TOM), bisqued(store)).ref


def wished(store: Store) -> str:
    """The code of a new piece that its maker wants in the mid-range firing."""
    ref = glazed(store)
    wishes.wish(store, asked_by(MIRA, NOON - timedelta(hours=5)), ref, "mid-range")
    return ref


def lost(store: Store) -> str:
    """The code of a new piece that nobody can find; it was last on board 12."""
    ref = bisqued(store)
    pieces.shelve(store, asked_by(TOM), ref, "board 12")
    return pieces.lose(store, asked_by(MIRA), ref, Loss.MISSING).ref


def glaze(store: Store, request: Request, ref: str) -> Receipt:
    """One more layer, and with it a wiped foot and a cookie."""
    return pieces.glaze(store, request, ref, "Attic Window", Zone.OUTSIDE, foot=Foot.WIPED, catch_plate=True)


def at_rack_3(step: Callable[..., Receipt], *given: str) -> Callable[..., Receipt]:
    """A step that puts a piece on rack 3, as after a scan of that shelf's label."""
    return lambda store, request, ref: step(store, request, ref, *given, place="rack 3")


@pytest.mark.parametrize(
    ("ready", "step"),
    [
        pytest.param(bisqued, at_rack_3(pieces.wax), id="wax"),
        pytest.param(bisqued, glaze, id="first glaze"),
        pytest.param(wished, glaze, id="glaze"),
        pytest.param(wished, at_rack_3(pieces.queue, "mid-range"), id="queue"),
        pytest.param(queued, at_rack_3(pieces.pull_back), id="take out of the queue"),
        pytest.param(queued, lambda store, request, ref: pieces.shelve(store, request, ref, "rack 3"), id="shelf"),
        pytest.param(lost, at_rack_3(found_again.find), id="find"),
        pytest.param(wished, at_rack_3(pieces.wash_off), id="wash off what was asked for"),
        pytest.param(wished, lambda store, request, ref: layers.take_off(store, request, ref, 0), id="its only layer"),
        pytest.param(greenware, registrations.cancel, id="cancel"),
        pytest.param(bisqued, registrations.cancel, id="cancel bisqued"),
        pytest.param(lambda store: glazed(store, "Still Water", "Attic Window"), pieces.wash_off, id="wash off"),
        pytest.param(
            lambda store: glazed(store, "Still Water", "Attic Window"),
            lambda store, request, ref: layers.take_off(store, request, ref, 0),
            id="one layer",
        ),
        pytest.param(waxed, at_rack_3(pieces.not_waxed), id="not waxed"),
        pytest.param(queued, lambda store, request, ref: pieces.lose(store, request, ref, "dropped"), id="lose"),
        pytest.param(fired, pickup.hand_over, id="hand out"),
        pytest.param(bisqued, pickup.hand_over, id="hand out bisqued"),
    ],
)
def test_an_undo_leaves_a_piece_as_it_was_and_the_history_longer(
    store: Store, ready: Callable[[Store], str], step: Callable[..., Receipt]
) -> None:
    ref = ready(store)
    before, row = the_piece(store, ref), store.read.pieces.row(number=the_piece(store, ref).id)
    line = step(store, asked_by(TOM, NOON + timedelta(hours=1)), ref).line

    assert offered(store, line)
    undoing.undo(store, asked_by(TOM, NOON + timedelta(hours=2)), line or 0)

    now, is_now = the_piece(store, ref), store.read.pieces.row(number=the_piece(store, ref).id)
    assert row is not None
    assert is_now is not None
    assert now == replace(before, version=now.version)
    assert replace(is_now, piece=before) == replace(row, piece=before)
    assert line in [one.undoes for one in store.read.pieces.page(now.id).history]


def test_a_foot_is_as_it_was_told_before_a_wash_off(store: Store) -> None:
    ref = bisqued(store)
    pieces.glaze(store, asked_by(TOM), ref, "Still Water", Zone.OUTSIDE, foot=Foot.WIPED, catch_plate=True)
    line = pieces.wash_off(store, asked_by(TOM), ref).line

    undoing.undo(store, asked_by(TOM), line or 0)

    assert (the_piece(store, ref).foot, the_piece(store, ref).catch_plate) == (Foot.WIPED, True)


def test_layers_that_never_came_off_are_back_on_the_record_whatever_the_rules_have_against_them(store: Store) -> None:
    ref = bisqued(store, a_new_piece(use=Use.FOOD))
    pieces.glaze(store, asked_by(TOM), ref, "Still Water", Zone.OUTSIDE, foot=Foot.WIPED)
    editing.set_right(store, asked_by(TOM), ref, Told(), clay="Roof Tile Red")
    line = pieces.wash_off(store, asked_by(TOM), ref).line or 0

    assert undoing.can_undo(store.read, line, TOM, NOON)
    undoing.undo(store, asked_by(TOM), line)

    assert [layer.glaze.name for layer in the_piece(store, ref).layers] == ["Still Water"]


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
    pickup.take_back(store, asked_by(TOM, NOON + timedelta(days=1)), ref)

    piece = the_piece(store, ref)
    steps = [line.step for line in store.read.pieces.page(piece.id).history][-2:]
    assert (piece.stage, steps) == (Stage.FIRED, [StepName.CLAIM, StepName.TAKE_BACK])
    assert [(row.ref, row.since) for row in store.read.pieces.ready_for_pickup(MIRA.id)] == [(ref, NOON)]
    with pytest.raises(Refusal, match="not-a-step-now"):
        pickup.take_back(store, asked_by(TOM), ref)
