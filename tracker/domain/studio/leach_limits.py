"""The published limits of lead and cadmium that ware may give off, as rows of values with their source.

Every row is compared with tests/reference/release_limits.csv, which says of each how it is known.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tracker.domain import quantities
from tracker.domain.quantities import Quantity
from tracker.domain.studio.metals import Metal


class Unit(StrEnum):
    """What results and limits are counted in: per litre of acid in a vessel, or per surface of flat ware."""

    MG_L = "mg/L"
    MG_DM2 = "mg/dm2"


class Regime(StrEnum):
    """Whose limits a studio goes by."""

    US_FDA = "us-fda"
    EU = "eu"
    ISO_6486_2 = "iso-6486-2"


class Decision(StrEnum):
    """Which figure of a test counts against the limit."""

    MEAN_OF_SIX = "the mean of six"
    ANY_ONE_OF_SIX = "each of six"
    MEAN = "the mean"
    ALL = "every specimen"


class WareClass(StrEnum):
    """How the regimes sort ware; which class belongs to which regime stands in `LIMITS`."""

    FLATWARE = "flatware"
    SMALL_HOLLOWWARE = "small hollowware"
    LARGE_HOLLOWWARE = "large hollowware"
    CUPS_AND_MUGS = "cups and mugs"
    PITCHERS = "pitchers"
    STORAGE_HOLLOWWARE = "storage hollowware"
    COOKING_WARE = "cooking ware"
    CATEGORY_1 = "category 1"
    CATEGORY_2 = "category 2"
    CATEGORY_3 = "category 3"


@dataclass(frozen=True, slots=True)
class Limit:
    """One row of a regime: the most of a metal that this class of ware may give off."""

    regime: Regime
    ware: WareClass
    metal: Metal
    value: float
    unit: Unit
    decision: Decision
    source: str

    def of(self, value: float) -> Quantity:
        """So much in this row's unit, to as many digits as a laboratory reports."""
        return Quantity(value, _UNITS[self.unit], 9)


_UNITS = {Unit.MG_L: quantities.Unit.MG_PER_L, Unit.MG_DM2: quantities.Unit.MG_PER_DM2}


def _rows(
    regime: Regime,
    source: str,
    *rows: tuple[WareClass, Metal, float, Unit, Decision],
) -> tuple[Limit, ...]:
    return tuple(Limit(regime, *row, source) for row in rows)


_PB, _CD = Metal.LEAD, Metal.CADMIUM
_L, _DM2 = Unit.MG_L, Unit.MG_DM2
_MEAN_OF_SIX, _ONE_OF_SIX = Decision.MEAN_OF_SIX, Decision.ANY_ONE_OF_SIX
_MEAN, _ALL = Decision.MEAN, Decision.ALL
_SMALL, _LARGE = WareClass.SMALL_HOLLOWWARE, WareClass.LARGE_HOLLOWWARE

LIMITS: tuple[Limit, ...] = (
    *_rows(
        Regime.US_FDA,
        "FDA CPG 545.450",
        (WareClass.FLATWARE, _PB, 3.0, _L, _MEAN_OF_SIX),
        (_SMALL, _PB, 2.0, _L, _ONE_OF_SIX),
        (_LARGE, _PB, 1.0, _L, _ONE_OF_SIX),
        (WareClass.CUPS_AND_MUGS, _PB, 0.5, _L, _ONE_OF_SIX),
        (WareClass.PITCHERS, _PB, 0.5, _L, _ONE_OF_SIX),
    ),
    *_rows(
        Regime.US_FDA,
        "FDA CPG 545.400",
        (WareClass.FLATWARE, _CD, 0.5, _L, _MEAN_OF_SIX),
        (_SMALL, _CD, 0.5, _L, _ONE_OF_SIX),
        (_LARGE, _CD, 0.25, _L, _ONE_OF_SIX),
    ),
    # The table names no decision rule for the directive: every specimen has to be within the limit, the careful
    # reading. (From memory, the directive forgives a slight excess when three more are tested; that is not used.)
    *_rows(
        Regime.EU,
        "Directive 84/500/EEC art. 2(4)",
        (WareClass.CATEGORY_1, _PB, 0.8, _DM2, _ALL),
        (WareClass.CATEGORY_1, _CD, 0.07, _DM2, _ALL),
        (WareClass.CATEGORY_2, _PB, 4.0, _L, _ALL),
        (WareClass.CATEGORY_2, _CD, 0.3, _L, _ALL),
        (WareClass.CATEGORY_3, _PB, 1.5, _L, _ALL),
        (WareClass.CATEGORY_3, _CD, 0.1, _L, _ALL),
    ),
    # All of ISO 6486-2 is from memory.
    *_rows(
        Regime.ISO_6486_2,
        "ISO 6486-2:1999",
        (WareClass.FLATWARE, _PB, 0.8, _DM2, _MEAN),
        (WareClass.FLATWARE, _CD, 0.07, _DM2, _MEAN),
        (_SMALL, _PB, 2.0, _L, _ALL),
        (_SMALL, _CD, 0.5, _L, _ALL),
        (_LARGE, _PB, 1.0, _L, _ALL),
        (_LARGE, _CD, 0.25, _L, _ALL),
        (WareClass.STORAGE_HOLLOWWARE, _PB, 0.5, _L, _ALL),
        (WareClass.STORAGE_HOLLOWWARE, _CD, 0.25, _L, _ALL),
        (WareClass.CUPS_AND_MUGS, _PB, 0.5, _L, _ALL),
        (WareClass.CUPS_AND_MUGS, _CD, 0.25, _L, _ALL),
        (WareClass.COOKING_WARE, _PB, 0.5, _L, _ALL),
        (WareClass.COOKING_WARE, _CD, 0.05, _L, _ALL),
    ),
)
"""Every published row there is here. Cups, mugs and pitchers have none for cadmium with the US FDA."""
