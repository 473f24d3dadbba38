"""Quantities in the reader's units: millimeters or inches, grams or pounds, °C or °F."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Literal

from babel.numbers import format_currency, format_decimal, format_percent
from babel.units import format_unit

from tracker.domain.quantities import IN_US_UNITS, Quantity, Unit, Units, in_units, inches, pounds_and_ounces
from tracker.wording.reader import Reader

_CLDR = {
    Unit.MM: "length-millimeter",
    Unit.CM: "length-centimeter",
    Unit.GRAMS: "mass-gram",
    Unit.KILOGRAMS: "mass-kilogram",
    Unit.SECONDS: "duration-second",
    Unit.MINUTES: "duration-minute",
    Unit.HOURS: "duration-hour",
    Unit.DAYS: "duration-day",
    Unit.MILLILITERS: "volume-milliliter",
    Unit.KILOWATT_HOURS: "energy-kilowatt-hour",
}
_LONG = frozenset({Unit.HOURS, Unit.MINUTES, Unit.SECONDS, Unit.DAYS})
"""Read in whole words: "24 hours"."""
_KILO = 1_000


def quantity(fact: Quantity, reader: Reader) -> str:
    """A quantity as `reader` reads it: "168 mm" or "6 5/8 in", "1.2 kg" or "2 lb 10 oz", "700 °C" or "1,292 °F".

    Beside another that reads the same, it has as many more digits as tell them apart: "4 lb 0.1 oz", over "4 lb".
    No line breaks within it where `reader` reads in lines.
    """
    text = _told_apart(fact, reader)
    return text.replace(" ", NO_BREAK) if reader.in_lines else text


NO_BREAK = "\N{NO-BREAK SPACE}"
"""Between a number and its unit, as CLDR has it in many languages."""


def _told_apart(fact: Quantity, reader: Reader) -> str:
    text = _as_usual(fact, reader)
    if fact.beside is None or fact.beside == fact.value:
        return text
    other = replace(fact, value=fact.beside)
    if _as_usual(other, reader) != text:
        return text
    finer = ((_finer(fact, more, reader), _finer(other, more, reader)) for more in range(1, _MOST_MORE + 1))
    return next((own for own, others in finer if own != others), text)


_MOST_MORE = 6
"""A millionth of a unit is less than anybody weighs or measures."""


def _finer(fact: Quantity, more: int, reader: Reader) -> str:
    """A quantity with so many more decimals; inches in halves of their parts, ounces in tenths."""
    if reader.units is Units.US and fact.unit is Unit.GRAMS:
        return _pounds(fact.value, reader, more)
    if reader.units is Units.US and fact.unit in {Unit.MM, Unit.CM} and not _is_scaled_in_us(fact):
        return _inches(fact.value * (10 if fact.unit is Unit.CM else 1), reader, more)
    if reader.units is Units.US and fact.unit is Unit.KILOWATTS:
        return _btu_per_hour(fact.value, reader, more)
    if fact.unit is Unit.GRAMS and fact.value >= _KILO:
        return _as_usual(Quantity(fact.value / _KILO, Unit.KILOGRAMS, 2 + more), reader)
    return _as_usual(replace(fact, digits=fact.digits + more), reader)


def _as_usual(fact: Quantity, reader: Reader) -> str:
    if fact.unit in _SCALED or (reader.units is Units.US and _is_scaled_in_us(fact)):
        return _scaled(fact, reader)
    if reader.units is Units.US and fact.unit in _US:
        return _US[fact.unit](fact.value, reader)
    if fact.unit is Unit.GRAMS and fact.value >= _KILO:
        return _as_usual(Quantity(fact.value / _KILO, Unit.KILOGRAMS, 2), reader)
    return _as_cldr_says(fact, reader)


def _is_scaled_in_us(fact: Quantity) -> bool:
    """Propane is weighed in pounds and tenths, and lengths told to hundredths of a mm need more than an eighth."""
    return fact.unit in {Unit.KILOGRAMS, Unit.MILLILITERS} or (fact.unit is Unit.MM and fact.digits > 1)


def _as_cldr_says(fact: Quantity, reader: Reader) -> str:
    if fact.unit is Unit.PERCENT:
        return str(format_percent(round(fact.value, fact.digits) / 100, "#,##0.#########%", locale=reader.locale))
    if fact.unit is Unit.CENTS:
        return _money(fact.value / 100, reader)
    if fact.unit not in _CLDR:
        return f"{number(fact.value, fact.digits, reader)} {fact.unit}"
    length: Literal["long", "short"] = "long" if fact.unit in _LONG else "short"
    return str(format_unit(round(fact.value, fact.digits), _CLDR[fact.unit], length, locale=reader.locale))


def _money(amount: float, reader: Reader) -> str:
    """An amount in the studio's currency, or as a plain number where none was set."""
    if reader.currency:
        return str(format_currency(amount, reader.currency, locale=reader.locale))
    return str(format_decimal(amount, "#,##0.00", locale=reader.locale))


def number(value: float, digits: int, reader: Reader) -> str:
    """A number with at most so many decimals, as the locale writes it."""
    return _number(round(value, digits), reader.locale)


@lru_cache(maxsize=4096)
def _number(value: float, locale: str) -> str:
    """A number as a locale writes it; kept, for most are temperatures of cones and a page has many."""
    return str(format_decimal(value, "#,##0.#########", locale=locale))


def unit_name(unit: Unit, reader: Reader) -> str:
    """What `reader` calls the unit in which they read such a quantity: "mm" or "inches", "°C/h" or "°F/h"."""
    if reader.units is Units.US and unit in _US_WORDS:
        return _US_WORDS[unit]
    if reader.units is Units.US and unit in IN_US_UNITS:
        return IN_US_UNITS[unit][0]
    return _METRIC_NAMES.get(unit, str(unit))


_US_WORDS = {Unit.MM: "inches", Unit.CM: "inches"}
"""Alone, "in" would be read as the preposition."""

_METRIC_NAMES = {Unit.CELSIUS_STEP: "°C", Unit.CELSIUS_AS_READ: "°C"}


def _scaled(fact: Quantity, reader: Reader) -> str:
    """Temperatures, differences and rates, and in US units kilograms: a number with decimals and its unit."""
    value = in_units(fact.value, fact.unit, reader.units)
    # A hundredth of a millimeter is less than a thousandth of an inch.
    digits = fact.digits + (1 if fact.unit is Unit.MM else 0)
    name = "in" if fact.unit is Unit.MM else unit_name(fact.unit, reader)
    return f"{number(value, digits, reader)} {name}"


def _inches(mm: float, reader: Reader, more: int = 0) -> str:
    """A length in inches and their parts: "6 5/8 in", `more` times halved."""
    whole, rest = divmod(inches(mm, more), 1)
    words = [*([number(int(whole), 0, reader)] if whole or not rest else []), *([str(rest)] if rest else [])]
    return f"{' '.join(words)} in"


def _pounds(grams: float, reader: Reader, more: int = 0) -> str:
    """A mass in pounds and whole ounces: "2 lb 10 oz", with `more` decimals."""
    pounds, ounces = pounds_and_ounces(grams, more)
    many = [f"{number(pounds, 0, reader)} lb"] if pounds else []
    few = [f"{number(ounces, 2 + more, reader)} oz"] if ounces or not pounds else []
    return " ".join([*many, *few])


def _btu_per_hour(kw: float, reader: Reader, more: int = 0) -> str:
    """A power in thousands of Btu an hour, with `more` digits."""
    return f"{number(in_units(kw, Unit.KILOWATTS, Units.US), more - 3, reader)} Btu/h"


_SCALED = frozenset(
    {Unit.CELSIUS, Unit.CELSIUS_AS_READ, Unit.CELSIUS_STEP, Unit.CELSIUS_PER_HOUR, Unit.CELSIUS_PER_MINUTE}
)
_US: Mapping[Unit, Callable[[float, Reader], str]] = {
    Unit.MM: _inches,
    Unit.CM: lambda cm, reader: _inches(cm * 10, reader),
    Unit.GRAMS: _pounds,
    Unit.KILOWATTS: _btu_per_hour,
}
