"""Lengths as people write them, in either unit system, and as millimetres."""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction

from tracker.domain.message import Message, _
from tracker.domain.quantities import Unit, Units, inches, mm
from tracker.domain.refusals import BadValue
from tracker.forms.numbers import read_number

LONGEST_MM = 2_000
"""The longest measure of a piece in mm that is taken; what is longer fits no kiln here (common practice)."""

_ROUNDED_MM = 2
"""How far off a length may be that is shown in eighths of an inch."""

_IN_MM = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "in": Fraction(254, 10),
}
_UNITS = {
    "mm": "mm", "millimetre": "mm", "millimeter": "mm", "millimetres": "mm", "millimeters": "mm",
    "cm": "cm", "centimetre": "cm", "centimeter": "cm", "centimetres": "cm", "centimeters": "cm",
    "in": "in", "in.": "in", "inch": "in", "inches": "in", '"': "in", "\u2033": "in", "\u201d": "in", "''": "in",
}  # fmt: skip

# 168 · 16.8 · 16,8 · 6 5/8 · 5/8, and then the unit.
_WRITTEN = re.compile(r"([0-9][0-9.,]{0,9})?(?:(?:^|[ -])([0-9]{1,2})/([0-9]{1,2}))? ?([a-z.\"'\u2033\u201d]*)")


LENGTH_HINT = Message(
    "length-hint", _("Default unit: {unit}. Or type the unit: 168 mm, 16.8 cm, 6 5/8 in."), unit=Unit.MM
)
"""What is said beside fields for lengths."""


class BadLength(BadValue):
    """Refused because something is not a length; its message tells how one is written."""


def read_length(text: str, units: Units = Units.METRIC, longest: int = LONGEST_MM) -> int:
    """The length written as `text`, in whole mm: "168", "168 mm", "16.8 cm", "6 5/8 in", '6.5"'.

    A number without a unit is whole millimeters, or inches in US units. Half a millimeter and more is rounded up.
    `BadLength` for anything else, for nothing and for more than `longest`.
    """
    match = _WRITTEN.fullmatch(_plain(text))
    whole, above, below, unit = match.groups() if match else (None, None, None, None)
    number = read_number(whole or "0")
    if number is None or (not whole and not above) or (unit and unit not in _UNITS):
        words = _("“{text}” isn't a length. Try 168 mm, 16.8 cm or 6 5/8 in.")
        raise BadLength(Message("length-unreadable", words, text=text[:20]))
    is_us = units is Units.US
    if not unit and not is_us and (above or not (whole or "").isdigit()):
        words = _("“{text}” needs a unit. Write mm, cm or in after it.")
        raise BadLength(Message("length-without-unit", words, text=text.strip()[:20]))
    if below is not None and int(below) == 0:
        raise BadLength(Message("divided-by-zero", _("The bottom of a fraction can't be 0.")))
    if above and whole and not whole.isdigit():
        raise BadLength(Message("point-and-fraction", _("Write a decimal point or a fraction, not both.")))
    count = Fraction(number) + (Fraction(f"{above}/{below}") if above else 0)
    length = int(count * _IN_MM[_UNITS[unit or ("in" if is_us else "mm")]] + Fraction(1, 2))
    if is_us and longest < length <= longest + _ROUNDED_MM:
        length = longest
    if not 1 <= length <= longest:
        words = _("A piece measures {least} to {most}.")
        raise BadLength(Message("length-outside", words, least=mm(1), most=mm(longest)))
    return length


def length_written(length_mm: int, units: Units) -> str:
    """A length as a form shows it to be changed: "168", or "6 5/8 in"."""
    if units is Units.METRIC:
        return str(length_mm)
    whole, rest = divmod(inches(length_mm), 1)
    return f"{' '.join(str(one) for one in (whole, rest) if one) or '0'} in"


def _plain(text: str) -> str:
    """`text` in small letters with single spaces, and signs such as ⅝ written as 5/8 apart from the number before."""
    spelled = "".join(
        f" {Fraction(unicodedata.numeric(one)).limit_denominator(16)}" if _is_fraction(one) else one for one in text
    )
    return " ".join(spelled.lower().replace("\u2044", "/").split())


def _is_fraction(one: str) -> bool:
    return unicodedata.category(one) == "No" and 0 < unicodedata.numeric(one, 0) < 1
