"""Which of its layers a piece had at an earlier time, by what was done with its layers since."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from tracker.domain.pieces.piece import StepName

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from tracker.domain.message import Fact
    from tracker.domain.studio.materials import Layer

OF_LAYERS = frozenset({StepName.DECORATE, StepName.GLAZE, StepName.WAX, StepName.WASH_OFF})
"""The steps that put layers on or take them off. A step that takes some off keeps what there was before (`wore`)."""


def layers_before(layers: Sequence[Layer], since: Sequence[tuple[StepName, Mapping[str, Fact]]]) -> tuple[Layer, ...]:
    """Those of the `layers` that were on before these steps, the oldest first, each with the facts of its line."""
    worn = [(layer.glaze.name, str(layer.zone)) for layer in layers]
    for step, facts in reversed(since):
        if step is StepName.WASH_OFF:
            worn = _told(facts.get("wore")) or worn
        elif (on := (str(facts.get("glaze")), str(facts.get("zone")))) in worn:
            del worn[len(worn) - 1 - worn[::-1].index(on)]
    left = Counter(worn)
    then: list[Layer] = []
    for layer in layers:
        key = (layer.glaze.name, str(layer.zone))
        if left[key]:
            left[key] -= 1
            then.append(layer)
    return tuple(then)


def _told(wore: Fact) -> list[tuple[str, str]]:
    pairs = wore if isinstance(wore, tuple) else ()
    return [(str(one[0]), str(one[1])) for one in pairs if isinstance(one, tuple)]
