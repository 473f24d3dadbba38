"""Wax is put on record where it lies: on the foot, in lines on bare clay, or between two coats."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from tests.staffed import ADA, MIRA, TOM, asked_by, bisqued, glazed, open_studio, the_piece
from tests.studio import a_glaze, a_studio
from tracker.domain.cones import CONES
from tracker.domain.pieces.piece import Foot, Stage, StepName
from tracker.domain.refusals import NotAStep, Unusable
from tracker.domain.studio.catalog_changes import with_thing
from tracker.domain.studio.materials import Coat, Zone
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces import pieces, undoing
from tracker.usecases.studio import catalog

WAX = a_glaze("Line wax", coat=Coat.WAX, cone_low="06", cone_high="04")
STUDIO = with_thing(a_studio(), WAX)


@pytest.fixture
def waxed_store(database_url: str) -> Iterator[Store]:
    """The studio with wax on its shelf, on each engine in turn."""
    opened = open_studio(database_url, STUDIO)
    yield opened
    opened.close()


def put_on(store: Store, ref: str, glaze: str, zone: Zone = Zone.OUTSIDE) -> None:
    """Put one coat on a piece."""
    pieces.glaze(store, asked_by(MIRA), ref, glaze, zone)


def test_wax_between_coats_is_a_layer_that_takes_no_heat_away(waxed_store: Store) -> None:
    ref = glazed(waxed_store, "Still Water")
    before = the_piece(waxed_store, ref)

    put_on(waxed_store, ref, "Line wax")
    put_on(waxed_store, ref, "Attic Window")

    piece = the_piece(waxed_store, ref)
    assert piece.worn_names == ("Still Water", "Line wax", "Attic Window")
    assert piece.layers[1].glaze.coat is Coat.WAX
    assert piece.ceiling == before.ceiling
    pieces.queue(waxed_store, asked_by(TOM), ref, "mid-range")


def test_wax_in_lines_on_bare_clay_makes_a_piece_waxed_and_not_glazed(waxed_store: Store) -> None:
    ref = bisqued(waxed_store)

    put_on(waxed_store, ref, "Line wax")

    piece = the_piece(waxed_store, ref)
    (*_, line) = waxed_store.read.pieces.page(piece.id).history
    assert (piece.stage, piece.layers, piece.foot) == (Stage.WAXED, (), None)
    assert (line.step, line.facts) == (StepName.WAX, {"glaze": "Line wax", "zone": Zone.OUTSIDE})


@pytest.mark.parametrize("zone", Zone)
def test_wax_on_the_foot_alone_keeps_the_foot_clear(waxed_store: Store, zone: Zone) -> None:
    ref = bisqued(waxed_store)

    put_on(waxed_store, ref, "Line wax", zone)

    assert the_piece(waxed_store, ref).foot is (Foot.WAXED if zone is Zone.FOOT else None)


def test_waxed_ware_without_a_glaze_takes_no_second_wax(waxed_store: Store) -> None:
    ref = bisqued(waxed_store)
    put_on(waxed_store, ref, "Line wax")

    with pytest.raises(NotAStep, match="waxed-already"):
        put_on(waxed_store, ref, "Line wax")


def test_a_layer_of_wax_is_taken_back_alone(waxed_store: Store) -> None:
    ref = glazed(waxed_store, "Still Water")
    receipt = pieces.glaze(waxed_store, asked_by(MIRA), ref, "Line wax", Zone.OUTSIDE)

    undoing.undo(waxed_store, asked_by(MIRA), receipt.line or 0)

    assert the_piece(waxed_store, ref).worn_names == ("Still Water",)


def test_wax_stays_wax_in_the_store_whatever_is_said_of_its_heat(waxed_store: Store) -> None:
    kept = waxed_store.read.catalog().glaze("Line wax")

    assert kept == WAX
    assert (kept.cone_low, kept.cone_high) == (CONES[0], CONES[-1])


@pytest.mark.parametrize(("name", "coat"), [("Line wax", Coat.SLIP), ("Still Water", Coat.WAX)])
def test_neither_does_wax_become_a_glaze_nor_a_glaze_wax(waxed_store: Store, name: str, coat: Coat) -> None:
    old = waxed_store.read.catalog().glaze(name)

    with pytest.raises(Unusable, match=f"coat-stays.*{name}"):
        catalog.change(waxed_store, asked_by(ADA), replace(old, coat=coat))
