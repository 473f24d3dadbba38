"""Numbers as people write them, for every field: the one place where a point or a comma in one is understood."""

from __future__ import annotations

import re
from decimal import Decimal

from babel.numbers import NumberFormatError, get_group_symbol, parse_decimal

from tracker.domain.message import Message, _
from tracker.domain.quantities import LOCALE
from tracker.domain.refusals import BadValue

NUMBER = r"[+-]?[0-9][0-9.,]{0,15}"
"""What may be a number, within a longer expression; `read_number` says whether it is one."""

_PLAIN = re.compile(r"([+-]?[0-9]{1,16})(?:([.,])([0-9]{1,6}))?", re.ASCII)
_THOUSAND = 3


def read_number(text: str, locale: str = LOCALE) -> Decimal | None:
    """The number written as `text`, read as people of this CLDR `locale` write it; None where it isn't one.

    Babel's strict reading decides first: in American English "1,828" is one thousand eight hundred twenty-eight. A
    mark that can't stand between thousands is a decimal mark in any locale: "20,5" and "0,125". `BadValue` for what
    could be either: "1828,500".
    """
    written = text.strip().replace("\u2212", "-")
    if not re.fullmatch(NUMBER, written, re.ASCII):
        return None
    try:
        return parse_decimal(written.removeprefix("+"), locale=locale, strict=True)
    except NumberFormatError:
        plain = _PLAIN.fullmatch(written)
    if plain is None:
        return None
    whole, mark, part = plain.groups()
    if mark == get_group_symbol(locale) and len(part) == _THOUSAND and int(whole) != 0:
        words = _("“{text}” could be two numbers. Write it with a point for decimals and without a comma.")
        raise BadValue(Message("number-either-way", words, text=written))
    return Decimal(f"{whole}.{part}" if part else whole)
