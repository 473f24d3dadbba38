"""Which coats melt in a firing: what was fired once is glass, and melts again only where that firing is hot enough."""

from __future__ import annotations

from tracker.domain.cones import Cone
from tracker.domain.rules.rule import Case
from tracker.domain.studio.materials import GLASS, Coat, Layer

HOTTEST_OVERGLAZE = Cone.parse("014")
"""The hottest overglaze firing (common practice): up to here no glaze of a hotter cone melts, raw or fired."""

NEARLY_AS_HOT_C = 50
"""Clay softens, and is dense, no more than this below its top cone; and what bent in one firing goes on bending no more
than this below it (common practice)."""


def melting(case: Case) -> list[Layer]:
    """The layers of glaze and overglaze that melt in this firing.

    Slip, underglaze and terra sigillata never run. Hotter than an overglaze firing any glaze may soften enough to run
    or stick, fired or not; in one only that melts which matures there.
    """
    firing = case.route.cone
    return [
        layer
        for layer in case.ware.layers
        if layer.glaze.coat in GLASS and (firing > HOTTEST_OVERGLAZE or layer.glaze.cone_low <= firing)
    ]


def softening(case: Case) -> list[Layer]:
    """The layers of glaze that turn soft and sticky in this firing; luster is too thin to hold a pot to the shelf."""
    return [layer for layer in melting(case) if layer.glaze.coat is Coat.GLAZE]


def running(case: Case) -> list[Layer]:
    """The layers of glaze that turn so fluid that they may run: the firing reaches their cones."""
    return [layer for layer in softening(case) if layer.glaze.cone_low <= case.route.cone]
