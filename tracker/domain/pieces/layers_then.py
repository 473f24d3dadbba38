"""Which of its layers a piece had at an earlier time, by what was done with its layers since."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from tracker.domain.message import Fact
from tracker.domain.pieces.piece import StepName
from tracker.domain.studio.materials import Layer

OF_LAYERS = frozenset({StepName.DECORATE, StepName.GLAZE, StepName.WAX, StepName.WASH_OFF})
"""The steps that put layers on or take them off. A step that takes some off keeps what there was before (`wore`)."""


def layers_before(layers: Sequence[Layer], since: Sequence[tuple[StepName, Mapping[str, Fact]]]) -> tuple[Layer, ...]:
    """Those of the `layers` that were on before these steps, the oldest first, each with the facts of its line."""
    return layers_worn(layers, worn_before([(layer.glaze.name, str(layer.zone)) for layer in layers], since))


def layers_worn(layers: Sequence[Layer], worn: Sequence[tuple[str, str]]) -> tuple[Layer, ...]:
    """Those of the `layers` that are among the names of glazes `worn` with their zones."""
    left = Counter(worn)
    then: list[Layer] = []
    for layer in layers:
        key = (layer.glaze.name, str(layer.zone))
        if left[key]:
            left[key] -= 1
            then.append(layer)
    return tuple(then)


def worn_before(
    worn: Sequence[tuple[str, str]], since: Sequence[tuple[StepName, Mapping[str, Fact]]]
) -> list[tuple[str, str]]:
    """The same of the names of glazes with their zones, where nothing more is known of the layers."""
    before = list(worn)
    for step, facts in reversed(since):
        if step is StepName.WASH_OFF:
            before = _told(facts.get("wore")) or before
        elif (on := (str(facts.get("glaze")), str(facts.get("zone")))) in before:
            del before[len(before) - 1 - before[::-1].index(on)]
    return before


def _told(wore: Fact) -> list[tuple[str, str]]:
    pairs = wore if isinstance(wore, tuple) else ()
    return [(str(one[0]), str(one[1])) for one in pairs if isinstance(one, tuple)]
