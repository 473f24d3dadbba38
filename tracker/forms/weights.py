"""Weights as people write them, in either unit system, and as grams."""

from __future__ import annotations

import re
from fractions import Fraction

from tracker.domain.message import Message, _
from tracker.domain.quantities import Units, grams, pounds_and_ounces
from tracker.domain.refusals import BadValue
from tracker.forms.numbers import read_number

HEAVIEST_G = 50_000
"""The heaviest piece in g that is taken: more than two people lift into a kiln (common practice)."""

_ROUNDED_G = 15
"""How far off a weight may be that is shown in whole ounces."""

# The pound and the ounce are those of 1959, exact by definition: 453.59237 g, and a sixteenth of it.
_IN_G = {"g": Fraction(1), "kg": Fraction(1000), "lb": Fraction("453.59237"), "oz": Fraction("453.59237") / 16}
_UNITS = {
    "g": "g", "gram": "g", "grams": "g", "gramme": "g", "grammes": "g",
    "kg": "kg", "kilo": "kg", "kilos": "kg", "kilogram": "kg", "kilograms": "kg",
    "lb": "lb", "lb.": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb",
    "oz": "oz", "oz.": "oz", "ounce": "oz", "ounces": "oz",
}  # fmt: skip

_ONE = r"([0-9][0-9.,]{0,11}) ?([a-z.]*)"
_WRITTEN = re.compile(rf"{_ONE}(?:,? (?:and )?{_ONE})?")


class BadWeight(BadValue):
    """Refused because something is not a weight; its message tells how one is written."""


def read_weight(text: str, units: Units = Units.METRIC, heaviest: int = HEAVIEST_G) -> int:
    """The weight written as `text`, in whole g: "350", "350 g", "1.2 kg", "2 lb 3 oz".

    A number without a unit is whole grams; in US units it could be pounds or ounces and is refused. Half a gram and
    more is rounded up. `BadWeight` for anything else, for nothing and for more than `heaviest`.
    """
    plain = " ".join(text.lower().split())
    match = _WRITTEN.fullmatch(plain)
    if not match:
        raise _unreadable(text)
    count, unit, ounces, of_ounces = match.groups()
    if not unit and (units is Units.US or not count.isdigit()):
        words = _("“{text}” needs a unit. Write g, kg, lb or oz after it.")
        raise BadWeight(Message("weight-without-unit", words, text=text.strip()[:20]))
    known = _UNITS.get(unit or "g")
    if known is None or (ounces and (known != "lb" or _UNITS.get(of_ounces) != "oz")):
        raise _unreadable(text)
    exact = _number(count) * _IN_G[known] + (_number(ounces) * _IN_G["oz"] if ounces else 0)
    weight = int(exact + Fraction(1, 2))
    if units is Units.US and heaviest < weight <= heaviest + _ROUNDED_G:
        weight = heaviest
    if not 1 <= weight <= heaviest:
        words = _("A piece weighs {least} to {most}.")
        raise BadWeight(Message("weight-outside", words, least=grams(1), most=grams(heaviest)))
    return weight


def weight_written(weight_g: int, units: Units) -> str:
    """A weight as a form shows it to be changed: "4500", or "9 lb 15 oz"."""
    if units is Units.METRIC:
        return str(weight_g)
    pounds, ounces = pounds_and_ounces(weight_g)
    return " ".join([*([f"{pounds} lb"] if pounds else []), *([f"{ounces:g} oz"] if ounces or not pounds else [])])


def _unreadable(text: str) -> BadWeight:
    words = _("“{text}” isn't a weight. Try 350 g, 1.2 kg or 2 lb 3 oz.")
    return BadWeight(Message("weight-unreadable", words, text=text.strip()[:20]))


def _number(text: str) -> Fraction:
    number = read_number(text)
    if number is None:
        raise _unreadable(text)
    return Fraction(number)
