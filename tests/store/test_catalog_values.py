"""Whatever can be chosen in the catalog can stand in a receipt, and a receipt can be kept."""

from __future__ import annotations

from dataclasses import replace
from enum import Enum

import pytest

from tests.staffed import ADA, asked_by
from tracker.domain.labels import stock
from tracker.domain.studio import absorption, kilns, leach_limits, leach_tests, materials
from tracker.domain.studio.kilns import Fuel
from tracker.domain.studio.materials import ClayKind
from tracker.store.messages import ENUMS
from tracker.store.unit_of_work import Store
from tracker.usecases.studio import catalog


def test_every_choice_of_the_catalog_can_stand_in_a_message() -> None:
    choices = {
        kind
        for module in (absorption, kilns, leach_limits, leach_tests, materials, stock)
        for kind in vars(module).values()
        if isinstance(kind, type) and issubclass(kind, Enum) and kind.__module__ == module.__name__
    }

    assert len(choices) > 12
    assert sorted(kind.__qualname__ for kind in choices - set(ENUMS.values())) == []


@pytest.mark.parametrize("kind", [ClayKind.PORCELAIN, ClayKind.GROGGED, ClayKind.UNKNOWN])
def test_a_clays_kind_is_changed_and_told(store: Store, kind: ClayKind) -> None:
    clay = store.read.catalog().clays["Doorstep Buff"]

    receipt = catalog.change(store, asked_by(ADA), replace(clay, kind=kind), confirmed=True)

    assert store.read.catalog().clays["Doorstep Buff"].kind is kind
    assert receipt.message.code


def test_a_kilns_fuel_is_changed_and_told(store: Store) -> None:
    kiln = next(iter(store.read.catalog().kilns.values()))

    catalog.change(store, asked_by(ADA), replace(kiln, fuel=Fuel.WOOD), confirmed=True)

    assert store.read.catalog().kilns[kiln.name].fuel is Fuel.WOOD
