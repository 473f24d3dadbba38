"""Where makers want their pieces fired: asked for, put on the cart for it, withdrawn, ended."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from tests.staffed import (
    INES,
    MIRA,
    TOM,
    asked_by,
    bisqued,
    glazed,
    open_studio,
    queued,
    started,
    the_piece,
    unload,
)
from tests.studio import NOON, a_new_piece, a_studio
from tracker.domain.findings import Unfit
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Foot, Stage, StepName, Use
from tracker.domain.refusals import NotAllowed, NotAStep, Unknown
from tracker.domain.studio.materials import Zone
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import layers, pieces, wishes


def test_a_wish_is_on_record_with_who_and_when_and_the_last_one_counts(store: Store) -> None:
    ref = glazed(store, "Still Water", maker=MIRA)
    wishes.wish(store, asked_by(TOM), ref, "raku")

    wishes.wish(store, asked_by(MIRA), ref, "mid-range")

    row = store.read.pieces.row(code=ref)
    assert row is not None
    assert row.wish is not None
    assert (row.wish.route, row.wish.by) == ("mid-range", MIRA.name)
    assert [one.ref for one in store.read.pieces.wished()] == [ref]


def test_a_firing_that_the_rules_refuse_cannot_be_wished_for(store: Store) -> None:
    cup = glazed(store, "Plum Gloss", maker=MIRA)

    with pytest.raises(Unfit):
        wishes.wish(store, asked_by(MIRA), cup, "high-fire")
    with pytest.raises(NotAStep):
        wishes.wish(store, asked_by(MIRA), cup, "bisque")
    with pytest.raises(NotAStep):
        wishes.wish(store, asked_by(TOM), queued(store), "mid-range")


def test_staff_hear_of_a_wish_when_they_queue_the_piece_elsewhere(store: Store) -> None:
    here, elsewhere = glazed(store), glazed(store)
    wishes.wish(store, asked_by(MIRA), here, "mid-range")
    wishes.wish(store, asked_by(MIRA), elsewhere, "raku")

    told = [pieces.queue(store, asked_by(TOM), ref, "mid-range").message for ref in (here, elsewhere)]

    wanted = store.read.catalog().route("raku").title
    assert [one["wanted"] for one in told] == [None, wanted]
    assert store.read.pieces.wished() == ()


@pytest.mark.parametrize("step", ["take off", "wash off"])
def test_a_wish_ends_when_a_dish_for_food_loses_the_glaze_inside(store: Store, step: str) -> None:
    ref = bisqued(store, a_new_piece(use=Use.FOOD), maker=MIRA)
    for zone in (Zone.INSIDE, Zone.OUTSIDE):
        pieces.glaze(store, asked_by(MIRA), ref, "Still Water", zone, foot=Foot.WIPED)
    wishes.wish(store, asked_by(MIRA), ref, "mid-range")
    layers.take_off(store, asked_by(MIRA), ref, 1)
    kept = store.read.pieces.wish(the_piece(store, ref).id)

    if step == "take off":
        pieces.glaze(store, asked_by(MIRA), ref, "Still Water", Zone.OUTSIDE)
        layers.take_off(store, asked_by(MIRA), ref, 0)
    else:
        pieces.wash_off(store, asked_by(MIRA), ref)

    page = store.read.pieces.page(the_piece(store, ref).id)
    assert kept == "mid-range"
    assert page.row.wish is None
    assert page.history[-1].facts["ended_wish"] == store.read.catalog().routes["mid-range"].title


def test_a_wish_ends_with_the_firing(store: Store) -> None:
    ref = glazed(store)
    wishes.wish(store, asked_by(MIRA), ref, "mid-range")
    pieces.queue(store, asked_by(TOM), ref, "mid-range")
    firing = started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)
    unload(store, firing, {ref: Outcome.GOOD})

    row = store.read.pieces.row(code=ref)

    assert row is not None
    assert (row.piece.stage, row.wish) == (Stage.FIRED, None)


def test_the_receipt_names_the_cart_that_the_studio_keeps_for_the_firing(fresh_url: Callable[[], str]) -> None:
    studio = a_studio()
    mid = replace(studio.catalog.routes["mid-range"], shelf="Cart 2")
    catalog = replace(studio.catalog, routes={**studio.catalog.routes, "mid-range": mid})
    store = open_studio(fresh_url(), replace(studio, catalog=catalog))

    ref = glazed(store, maker=MIRA)
    receipt = wishes.wish(store, asked_by(MIRA), ref, "mid-range")

    assert receipt.message["shelf"] == wishes.shelf_of(mid, the_piece(store, ref))
    assert wishes.shelf_of(mid, the_piece(store, ref))["shelf"] == "Cart 2"
    assert store.read.catalog().routes["mid-range"].shelf == "Cart 2"
    store.close()


def test_what_is_asked_for_and_withdrawn_are_lines_of_history_with_who_and_when(store: Store) -> None:
    ref = glazed(store, maker=MIRA)
    asked, withdrew = asked_by(MIRA), asked_by(TOM, NOON + timedelta(days=1))

    wishes.wish(store, asked, ref, "mid-range")
    wishes.wish(store, asked_by(MIRA), ref, "mid-range")
    wishes.withdraw(store, withdrew, ref)

    page = store.read.pieces.page(the_piece(store, ref).id)
    last = [(line.step, line.route, line.by_id, line.at) for line in page.history[-2:]]
    assert last == [
        (StepName.WISH, "mid-range", MIRA.id, asked.at),
        (StepName.WITHDRAW, "mid-range", TOM.id, withdrew.at),
    ]
    assert page.row.wish is None
    assert store.read.pieces.wished() == ()
    with pytest.raises(NotAStep):
        wishes.withdraw(store, asked_by(MIRA), ref)


def test_makers_put_their_own_pieces_on_the_cart_of_the_firing_they_asked_for_and_nowhere_else(store: Store) -> None:
    ref = glazed(store, maker=MIRA)
    with pytest.raises(NotAStep):
        wishes.put_away(store, asked_by(MIRA), ref)
    wishes.wish(store, asked_by(MIRA), ref, "mid-range")

    wishes.put_away(store, asked_by(MIRA), ref)

    page = store.read.pieces.page(the_piece(store, ref).id)
    cart = wishes.place_for(store.read.catalog().route("mid-range"))
    assert (page.piece.place, page.history[-1].step, page.history[-1].by_id) == (cart, StepName.SHELVE, MIRA.id)
    with pytest.raises(Unknown):
        wishes.put_away(store, asked_by(INES), ref)
    with pytest.raises(NotAllowed):
        pieces.shelve(store, asked_by(MIRA), ref, "rack 3")
