"""The trade's values never change once they are made, so that any of them can be kept, compared and handed on."""

from __future__ import annotations

import pkgutil
from dataclasses import is_dataclass
from importlib import import_module

from tracker import domain
from tracker.domain.loading.stacking import Level

FILLED = {Level}
"""What is filled piece by piece while one function plans a load, and never leaves it."""


def test_values_are_frozen_and_have_room_for_their_fields_alone() -> None:
    modules = [import_module(found.name) for found in pkgutil.walk_packages(domain.__path__, f"{domain.__name__}.")]
    values = {
        value
        for module in modules
        for value in vars(module).values()
        if isinstance(value, type) and is_dataclass(value)
    }

    assert len(values) > 100
    thawed = {value for value in values if not value.__dataclass_params__.frozen}  # type: ignore[attr-defined]  # dataclass makes it
    assert thawed == FILLED
    assert [value for value in values if "__slots__" not in vars(value)] == []
