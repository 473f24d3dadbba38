"""Which coats melt in a firing, or did in the last one: fired glass melts again only where it is hot enough."""

from __future__ import annotations

from tracker.domain.cones import Cone
from tracker.domain.pieces.piece import Coats, Ware
from tracker.domain.rules.rule import Case
from tracker.domain.studio.materials import GLASS, Coat, Layer

HOTTEST_OVERGLAZE = Cone.parse("014")
"""The hottest overglaze firing (common practice): up to here no glaze of a hotter cone melts, raw or fired."""

NEARLY_AS_HOT_C = 50
"""Clay softens, and is dense, no more than this below its top cone; and what bent in one firing goes on bending no more
than this below it (common practice)."""


def last_fired_to(ware: Ware) -> Cone | None:
    """The cone of its last firing, as far as its coats tell: one over another went on last, overglaze after all glaze.

    Flaws on record may be older than the last coat, so that its hottest firing counts, on the careful side; in a
    what-if they are those of the last firing alone.
    """
    fired = _fired_glass(ware)
    if not fired or ware.coats is Coats.ON_RECORD:
        return ware.fired_to
    over = [one for one in fired if one.glaze.coat is Coat.OVERGLAZE]
    return (over or fired)[-1].fired_to


def of_last_firing(ware: Ware) -> list[Layer]:
    """The fired glaze and overglaze that came out of the last firing underfired or overfired, if any did.

    What a hotter firing matured before, and that one doesn't melt, came through as it was.
    """
    last = last_fired_to(ware)
    return [one for one in _fired_glass(ware) if last is None or not _was_spared(one, last)]


def spared_its_clay(ware: Ware) -> bool:
    """Whether its last firing was too cool to change the clay, which a hotter one fired before."""
    last, hottest = last_fired_to(ware), ware.fired_to
    return last is not None and hottest is not None and last < hottest and not ware.clay.is_mature_at(last)


def _fired_glass(ware: Ware) -> list[Layer]:
    return [one for one in ware.layers if one.glaze.coat in GLASS and one.fired_to is not None]


def _was_spared(layer: Layer, last: Cone) -> bool:
    low, hottest = layer.glaze.cone_low, layer.fired_to
    return low > last and hottest is not None and hottest >= low


def melting(case: Case) -> list[Layer]:
    """The layers of glaze and overglaze that melt in this firing.

    Slip, underglaze and terra sigillata never run. Hotter than an overglaze firing any glaze may soften enough to run
    or stick, fired or not; in one only that melts which matures there.
    """
    firing = case.route.cone
    glass = [layer for layer in case.ware.layers if layer.glaze.coat in GLASS]
    return glass if firing > HOTTEST_OVERGLAZE else [layer for layer in glass if layer.glaze.cone_low <= firing]


def softening(case: Case) -> list[Layer]:
    """The layers of glaze that turn soft and sticky in this firing; luster is too thin to hold a pot to the shelf."""
    return [layer for layer in melting(case) if layer.glaze.coat is Coat.GLAZE]


def running(case: Case) -> list[Layer]:
    """The layers of glaze that turn so fluid that they may run: the firing reaches their cones."""
    return [layer for layer in softening(case) if layer.glaze.cone_low <= case.route.cone]
