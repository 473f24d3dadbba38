"""Measures as people write them, perhaps with a unit, as a number in the unit in which they are kept."""

from __future__ import annotations

import re
from collections.abc import Mapping

from tracker.domain.message import Message, _
from tracker.domain.quantities import GRAMS_AN_OUNCE, IN_US_UNITS, MILLILITERS_A_FLUID_OUNCE, Unit, Units, out_of_units
from tracker.domain.refusals import BadValue
from tracker.forms.numbers import NUMBER, read_number

_OZ, _FL_OZ = GRAMS_AN_OUNCE, MILLILITERS_A_FLUID_OUNCE
_TYPED: Mapping[Unit, Mapping[str, float]] = {
    Unit.MM: {"mm": 1, "cm": 10, "in": 25.4, "in.": 25.4, "inch": 25.4, "inches": 25.4, '"': 25.4, "\u2033": 25.4},
    Unit.GRAMS: {"g": 1, "kg": 1_000, "oz": _OZ, "lb": 16 * _OZ},
    Unit.KILOGRAMS: {"g": 0.001, "kg": 1, "oz": _OZ / 1_000, "lb": 16 * _OZ / 1_000},
    Unit.MILLILITERS: {"ml": 1, "cl": 10, "l": 1_000, "fl oz": _FL_OZ, "oz": _FL_OZ},
}
"""How many of the unit that is kept make one of the unit that was typed."""

_WRITTEN = re.compile(
    rf"({NUMBER})?(?:(?:^|[ -])([0-9]{{1,2}})/([1-9][0-9]?))? ?([a-z.\"\u2033\u00b0/ ]*)",
    re.ASCII,
)


def read_measure(text: str, measure: Unit, units: Units = Units.METRIC) -> float | None:
    """The measure written as `text`, in the unit `measure`: "85", "85 mm", "3 3/8 in"; None for anything else.

    A number alone is in what people of these units use. In US units that could be pounds or ounces for a weight kept
    in grams: `BadValue` for one without its unit.
    """
    found = _WRITTEN.fullmatch(" ".join(text.replace("\u2212", "-").lower().split()))
    if found is None or (found[1] is None and found[2] is None):
        return None
    whole, unit = read_number(found[1] or "0"), found[4].strip()
    if whole is None:
        return None
    value = float(whole) + (float(found[2]) / float(found[3]) if found[2] else 0.0)
    if unit:
        many = _TYPED.get(measure, {}).get(unit)
        return value * many if many is not None else _by_its_name(value, unit, measure)
    if measure is Unit.GRAMS and units is Units.US:
        raise BadValue(Message("measure-without-unit", _("Write the unit after it: g or oz.")))
    return out_of_units(value, measure, units) if measure in IN_US_UNITS else value


def _by_its_name(value: float, unit: str, measure: Unit) -> float | None:
    """A value written with the name that its unit has in either system: "5 °C", "41 F", "90 °F/h"; else None."""
    written = unit.replace(" ", "").removeprefix("\u00b0")
    if measure not in IN_US_UNITS:
        return value if written == str(measure).lower() else None
    us_name = IN_US_UNITS[measure][0]
    if written == us_name.lower().removeprefix("\u00b0"):
        return out_of_units(value, measure, Units.US)
    metric_name = us_name.replace("F", "C", 1) if us_name.startswith("\u00b0") else str(measure)
    return value if written == metric_name.lower().removeprefix("\u00b0") else None
