"""Layers are told zone by zone, and an old firing is shown with those that were on in it."""

from __future__ import annotations

import pytest

from tests.reading import said
from tests.studio import a_glaze
from tracker.domain.message import Fact
from tracker.domain.pieces.layers_then import layers_before
from tracker.domain.pieces.layers_told import layers_told
from tracker.domain.pieces.piece import StepName
from tracker.domain.studio.materials import Glaze, Layer, Zone

ASH, MOSS = a_glaze(name="Ash"), a_glaze(name="Moss")


@pytest.mark.parametrize(
    ("layers", "says"),
    [
        pytest.param([(ASH, "inside"), (MOSS, "outside")], "Ash (inside) and Moss (outside)", id="apart"),
        pytest.param([(ASH, "outside"), (MOSS, "outside")], "Moss over Ash (outside)", id="one over another"),
        pytest.param([(ASH, "all-over"), (MOSS, "lip")], "Ash (all over) and Moss (rim)", id="rim besides"),
        pytest.param([(ASH, "inside"), (ASH, "outside")], "Ash", id="alike"),
    ],
)
def test_one_glaze_is_over_another_only_in_one_zone(layers: list[tuple[Glaze, str]], says: str) -> None:
    told = layers_told(Layer(glaze, Zone(zone)) for glaze, zone in layers)

    assert told is not None
    assert said(told) == says


def test_layers_put_on_later_are_none_of_an_earlier_time() -> None:
    first, later = Layer(ASH, Zone.OUTSIDE), Layer(ASH, Zone.OUTSIDE)
    glazed = (StepName.GLAZE, {"glaze": "Ash", "zone": Zone.OUTSIDE})
    washed: tuple[StepName, dict[str, Fact]] = (
        StepName.WASH_OFF,
        {"glaze": "Moss", "zone": Zone.INSIDE, "wore": (("Ash", Zone.OUTSIDE),) * 2},
    )

    assert layers_before((first, later), [glazed]) == (first,)
    assert layers_before((first,), []) == (first,)
    # One more went on, and was washed off again.
    assert layers_before((first, later), [glazed, washed]) == (first,)
