"""Several pieces alike in one go, a lid with its jar, and what a later step asks that registering left open."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Any

import pytest

from tests.staffed import INES, MIRA, TOM, asked_by, started, the_piece
from tests.studio import a_new_piece
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.new_pieces import MOST_AT_ONCE, Batch, Lid
from tracker.domain.pieces.piece import Stage
from tracker.domain.refusals import Unknown, Unusable
from tracker.domain.rules.untold import NotTold
from tracker.usecases.firing import firings
from tracker.usecases.pieces import editing, pieces
from tracker.usecases.pieces.registering import register_all

if TYPE_CHECKING:
    from tracker.store.unit_of_work import Store

PLAIN_WARE: dict[str, Any] = {"clay": "Gravel Walk", "burnished": True}


def test_six_of_these_are_six_pieces_with_a_number_each(store: Store) -> None:
    receipt = register_all(store, asked_by(INES), Batch(one=a_new_piece("mug"), count=6))

    names = [the_piece(store, ref).what for ref in receipt.refs]
    assert names == [f"mug {number}" for number in range(1, 7)]


def test_a_jar_and_its_lid_are_a_set_of_their_own_each_time(store: Store) -> None:
    batch = Batch(one=a_new_piece("jar"), count=2, lid=Lid("lid of jar", 40, 110))
    receipt = register_all(store, asked_by(INES), batch)

    pots = [the_piece(store, ref) for ref in receipt.refs]
    assert [pot.what for pot in pots] == ["jar 1", "lid of jar 1", "jar 2", "lid of jar 2"]
    assert [pot.set_key == other.set_key for pot, other in pairwise(pots)] == [True, False, True]
    assert (pots[1].height_mm, pots[1].width_mm, pots[1].depth_mm) == (40, 110, 110)
    assert (pots[1].weight_g, pots[1].wall_mm) == (None, None), "what is measured on the jar isn't known of its lid"


def test_a_batch_is_registered_whole_or_not_at_all(store: Store) -> None:
    for wrong in (
        Batch(one=a_new_piece(belongs_with="W999"), count=3),
        Batch(one=a_new_piece(), count=MOST_AT_ONCE + 1),
    ):
        with pytest.raises((Unknown, Unusable)):
            register_all(store, asked_by(MIRA), wrong)

    assert store.read.pieces.last_registered(MIRA.id) == ()


def test_a_piece_that_nobody_weighed_waits_for_no_firing_with_tongs(store: Store) -> None:
    new = a_new_piece(**PLAIN_WARE, weight_g=None, arrives_bisqued=True)
    ref = pieces.register(store, asked_by(INES), new).ref

    with pytest.raises(NotTold) as refused:
        pieces.queue(store, asked_by(TOM), ref, "horsehair")
    editing.set_right(store, asked_by(INES), ref, Told(weight_g=900))
    pieces.queue(store, asked_by(TOM), ref, "horsehair")

    assert [one.fact for one in refused.value.facts] == ["weight_g"]
    assert the_piece(store, ref).stage is Stage.QUEUED


def test_greenware_that_may_be_closed_is_kept_out_of_a_bisque_until_somebody_says(store: Store) -> None:
    ref = pieces.register(store, asked_by(INES), a_new_piece(vented=None)).ref
    firing = started(store, "Front box", "bisque", "06")

    with pytest.raises(NotTold) as refused:
        firings.put_in(store, asked_by(TOM), firing, ref, dry=True)
    editing.set_right(store, asked_by(INES), ref, Told(vented=True))
    firings.put_in(store, asked_by(TOM), firing, ref, dry=True)

    assert [one.fact for one in refused.value.facts] == ["vented"]
    assert the_piece(store, ref).in_firing == firing


def test_a_wall_that_nobody_measured_is_looked_at_by_whoever_loads_the_bisque(store: Store) -> None:
    ref = pieces.register(store, asked_by(INES), a_new_piece(wall_mm=None)).ref
    firing = started(store, "Front box", "bisque", "06")

    with pytest.raises(NotTold) as refused:
        firings.put_in(store, asked_by(TOM), firing, ref, dry=True)
    firings.put_in(store, asked_by(TOM), firing, ref, dry=True, is_thin=True)

    assert [one.fact for one in refused.value.facts] == ["wall_mm"]
    assert the_piece(store, ref).wall_mm is None, "to have looked is no measure"
