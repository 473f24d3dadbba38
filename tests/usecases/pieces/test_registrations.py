"""A registration that was a mistake is canceled or given to its maker, and the history keeps what it was."""

from __future__ import annotations

import pytest

from tests.staffed import INES, MIRA, TOM, asked_by, bisqued, fired, queued, the_piece
from tests.studio import a_new_piece
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.refusals import NotAllowed, NotAStep, Refusal, Unusable
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces import pieces, registrations
from tracker.usecases.pieces.lookup import find_row


def greenware(store: Store) -> str:
    """The ticket of a new piece of Mira's."""
    return pieces.register(store, asked_by(MIRA), a_new_piece()).ref


def test_a_piece_that_never_was_is_canceled_by_its_maker_and_comes_back_when_it_was_after_all(store: Store) -> None:
    ref = greenware(store)

    registrations.cancel(store, asked_by(MIRA), ref)

    piece = the_piece(store, ref)
    (*_, line) = store.read.pieces.page(piece.id).history
    assert (piece.stage, line.step, line.reason) == (Stage.LOST, StepName.LOSE, Loss.CANCELED)
    pieces.find(store, asked_by(MIRA), ref)
    assert the_piece(store, ref).stage is Stage.GREENWARE


def test_staff_cancel_what_was_registered_as_bisqued_and_nobody_what_was_fired_here(store: Store) -> None:
    ref = bisqued(store)
    with pytest.raises(NotAStep, match="not-canceled-now"):
        registrations.cancel(store, asked_by(MIRA), ref)

    registrations.cancel(store, asked_by(TOM), ref)

    assert the_piece(store, ref).stage is Stage.LOST
    with pytest.raises(NotAStep, match="not-canceled-now"):
        registrations.cancel(store, asked_by(TOM), fired(store))


@pytest.mark.parametrize("ready", [greenware, queued, fired])
def test_a_piece_is_given_to_its_maker_wherever_it_is(store: Store, ready: object) -> None:
    ref = ready(store)  # type: ignore[operator]  # one of the functions above
    before = the_piece(store, ref)

    registrations.give(store, asked_by(TOM), ref, INES.id)

    piece = the_piece(store, ref)
    (*_, line) = store.read.pieces.page(piece.id).history
    assert (piece.maker_id, piece.stage, piece.route) == (INES.id, before.stage, before.route)
    assert (line.facts["was"], line.facts["now"]) == ("Mira Tann", "Ines Pell")
    assert find_row(store.read, ref, INES).piece.id == piece.id
    with pytest.raises(Refusal):
        find_row(store.read, ref, MIRA)


def test_only_staff_give_a_piece_and_only_to_somebody_else(store: Store) -> None:
    ref = bisqued(store)

    with pytest.raises(NotAllowed):
        registrations.give(store, asked_by(MIRA), ref, INES.id)
    with pytest.raises(Unusable, match="is-the-maker"):
        registrations.give(store, asked_by(TOM), ref, MIRA.id)
