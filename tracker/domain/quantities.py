"""Quantities with their units, as messages carry them: stored metric, read in whatever units the reader uses."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


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
    CELSIUS_PER_HOUR = "°C/h"
    CELSIUS_PER_MINUTE = "°C/min"
    PERCENT = "%"
    SECONDS = "s"
    MINUTES = "min"
    HOURS = "h"
    DAYS = "days"
    MILLILITERS = "ml"
    LITERS = "l"
    MG_PER_L = "mg/L"
    MG_PER_DM2 = "mg/dm²"
    KILOWATT_HOURS = "kWh"
    CENTS = "cents"


@dataclass(frozen=True, slots=True)
class Quantity:
    """So much of one unit; `digits` is how many decimals are worth reading, at most."""

    value: float
    unit: Unit
    digits: int = 1


def mm(value: float, digits: int = 0) -> Quantity:
    """A length in millimeters."""
    return Quantity(value, Unit.MM, digits)


def grams(value: float) -> Quantity:
    """A mass in grams; large ones are read in kilograms."""
    return Quantity(value, Unit.GRAMS)


def celsius(value: float, digits: int = 0) -> Quantity:
    """A temperature."""
    return Quantity(value, Unit.CELSIUS, digits)


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
