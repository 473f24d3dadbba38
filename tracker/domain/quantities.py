"""Quantities with their units, as messages carry them: stored metric, read in whatever units the reader uses."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

LOCALE = "en_US"
"""The CLDR locale in which numbers are read and written for whoever chose no other."""


class Units(StrEnum):
    """In which units lengths, masses and temperatures are read and typed."""

    METRIC = "metric"
    US = "us"


class Unit(StrEnum):
    """What a quantity is measured in."""

    MM = "mm"
    CM = "cm"
    GRAMS = "g"
    KILOGRAMS = "kg"
    CELSIUS = "°C"
    CELSIUS_STEP = "°C of difference"
    CELSIUS_AS_READ = "°C as read"
    CELSIUS_PER_HOUR = "°C/h"
    CELSIUS_PER_MINUTE = "°C/min"
    PERCENT = "%"
    SECONDS = "s"
    MINUTES = "min"
    HOURS = "h"
    DAYS = "days"
    MILLILITERS = "ml"
    MG_PER_L = "mg/L"
    MG_PER_DM2 = "mg/dm²"
    KILOWATT_HOURS = "kWh"
    KILOWATTS = "kW"
    CENTS = "cents"


_MM_PER_INCH, _G_PER_LB, _OZ_PER_LB = 25.4, 453.59237, 16
"""Exact by the international yard and pound agreement of 1959."""

GRAMS_AN_OUNCE = _G_PER_LB / _OZ_PER_LB

MILLILITERS_A_FLUID_OUNCE = 29.5735295625
"""A US fluid ounce is a 128th of the gallon of 231 cubic inches."""

BTU_PER_KWH = 3_412
"""Btu to the kWh (EIA)."""

IN_US_UNITS: Mapping[Unit, tuple[str, float, float]] = {
    Unit.MM: ("in", 1 / _MM_PER_INCH, 0.0),
    Unit.CM: ("in", 10 / _MM_PER_INCH, 0.0),
    Unit.GRAMS: ("lb", 1 / _G_PER_LB, 0.0),
    Unit.KILOGRAMS: ("lb", 1_000 / _G_PER_LB, 0.0),
    Unit.MILLILITERS: ("fl oz", 1 / MILLILITERS_A_FLUID_OUNCE, 0.0),
    Unit.CELSIUS: ("°F", 1.8, 32.0),
    Unit.CELSIUS_STEP: ("°F", 1.8, 0.0),
    Unit.CELSIUS_PER_HOUR: ("°F/h", 1.8, 0.0),
    Unit.CELSIUS_PER_MINUTE: ("°F/min", 1.8, 0.0),
    Unit.KILOWATTS: ("Btu/h", BTU_PER_KWH, 0.0),
}
"""What a US reader uses in place of each unit: its name, how many make one, and where its scale begins."""


def in_units(value: float, unit: Unit, units: Units) -> float:
    """A value of `unit` as a number in what people of these units use."""
    if units is Units.METRIC or unit not in IN_US_UNITS:
        return value
    _name, many, zero = IN_US_UNITS[unit]
    return value * many + zero


def out_of_units(number: float, unit: Unit, units: Units) -> float:
    """The value of `unit` that people of these units write as `number`."""
    if units is Units.METRIC or unit not in IN_US_UNITS:
        return number
    _name, many, zero = IN_US_UNITS[unit]
    return (number - zero) / many


def inches(length_mm: float, more: int = 0) -> Fraction:
    """A length to the nearest eighth of an inch; under two inches to a sixteenth, under half an inch to a 32nd.

    `more` is how often these parts are halved.
    """
    exact = length_mm / _MM_PER_INCH
    parts = (32 if exact < _SMALL else 16 if exact < _MIDDLING else 8) << more
    return Fraction(round(exact * parts), parts)


_SMALL, _MIDDLING = 0.5, 2.0


def pounds_and_ounces(weight_g: float, more: int = 0) -> tuple[int, float]:
    """A mass in pounds and ounces, whole or with `more` decimals; what is under two ounces in hundredths and more."""
    ounces = weight_g / _G_PER_LB * _OZ_PER_LB
    if ounces < _LIGHT:
        return 0, round(ounces, 2 + more)
    pounds, rest = divmod(round(ounces, more), _OZ_PER_LB)
    return int(pounds), round(rest, more)


_LIGHT = 2.0


@dataclass(frozen=True, slots=True)
class Quantity:
    """So much of one unit; `digits` is how many decimals are worth reading, at most.

    One that is told `beside` another value of that unit reads otherwise than that one: with the digits that differ.
    """

    value: float
    unit: Unit
    digits: int = 1
    beside: float | None = field(default=None, compare=False)


def compared(value: Quantity, bound: Quantity) -> tuple[Quantity, Quantity]:
    """A value and the bound that it is over or under, so that nobody reads the same of both: "4 lb is over 4 lb"."""
    return _beside(value, bound), _beside(bound, value)


def _beside(one: Quantity, other: Quantity) -> Quantity:
    return Quantity(one.value, one.unit, one.digits, other.value)


def mm(value: float, digits: int = 0) -> Quantity:
    """A length in millimeters."""
    return Quantity(value, Unit.MM, digits)


def grams(value: float) -> Quantity:
    """A mass in grams; large ones are read in kilograms."""
    return Quantity(value, Unit.GRAMS)


def celsius(value: float, digits: int = 0) -> Quantity:
    """A temperature."""
    return Quantity(value, Unit.CELSIUS, digits)


def celsius_as_read(value: float, digits: int = 1) -> Quantity:
    """A number that was read as °C and may not be: everyone reads it as °C, or nobody could find it in the log."""
    return Quantity(value, Unit.CELSIUS_AS_READ, digits)


def celsius_step(value: float) -> Quantity:
    """A difference of temperatures, which has no zero of its own."""
    return Quantity(value, Unit.CELSIUS_STEP, 0)


def celsius_per_hour(value: float) -> Quantity:
    """How fast a kiln rises or falls, by the hour."""
    return Quantity(value, Unit.CELSIUS_PER_HOUR, 0)


def celsius_per_minute(value: float) -> Quantity:
    """How fast a kiln rises or falls, by the minute."""
    return Quantity(value, Unit.CELSIUS_PER_MINUTE)


def kilograms(value: float, digits: int = 1) -> Quantity:
    """A mass in kilograms."""
    return Quantity(value, Unit.KILOGRAMS, digits)


def kilowatts(value: float) -> Quantity:
    """A power, as of a burner."""
    return Quantity(value, Unit.KILOWATTS, 0)


def percent(value: float, digits: int = 2) -> Quantity:
    """A share of 100."""
    return Quantity(value, Unit.PERCENT, digits)


def hours(value: float, digits: int = 1) -> Quantity:
    """A time in hours."""
    return Quantity(value, Unit.HOURS, digits)


def minutes(value: float, digits: int = 0) -> Quantity:
    """A time in minutes."""
    return Quantity(value, Unit.MINUTES, digits)


def seconds(value: float, digits: int = 0) -> Quantity:
    """A time in seconds."""
    return Quantity(value, Unit.SECONDS, digits)


def days(value: float) -> Quantity:
    """A time in days."""
    return Quantity(value, Unit.DAYS, 0)
