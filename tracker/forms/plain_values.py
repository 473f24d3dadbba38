"""Single values out of JSON and TOML: each reader takes what stood in the file and gives a value or says what is wrong.

Plain functions rather than schemas: for a line of `footring judge`, of which ten thousand come at a time, nested
marshmallow schemas took 3.4 times as long to check the same keys, before a single value was made.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from difflib import get_close_matches
from enum import StrEnum
from typing import Any, TypeVar

from tracker.domain.cones import CONES, BadCone, Cone

Choice = TypeVar("Choice", bound=StrEnum)
Value = TypeVar("Value")

LONGEST_NAME = 60
LONGEST_LINE = 80
"""Characters in the name of a clay, glaze, route, kiln or person: more does not fit on a shelf list."""

LONGEST_REMARK = 300
"""Characters in a sentence that says who said something, when and why."""

_LONGEST_SHOWN = 40
_REFUSED_KINDS = {"Cc", "Cs", "Zl", "Zp"}
# These turn the reading direction of what stands around them, so that a name could hide another one.
_TURNS_AROUND = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")

_KINDS: dict[type, str] = {
    bool: "true or false",
    int: "a number",
    float: "a number",
    str: "a text",
    dict: "an object",
    list: "a list",
}

_BY_NAME = {str(cone): cone for cone in CONES}


class Wrong(Exception):
    """A value that cannot be used: `says` in one sentence why, `path` where in the file it stood, outermost first."""

    def __init__(self, says: str, *path: str | int) -> None:
        """Keep the sentence and the place."""
        super().__init__(says)
        self.says = says
        self.path = path

    def inside(self, *path: str | int) -> Wrong:
        """The same answer about a value that stands inside another one."""
        return Wrong(self.says, *path, *self.path)


@dataclass(frozen=True, slots=True)
class Shape:
    """Which keys an object may have, with the reader of each, and which of them it must have."""

    keys: Mapping[str, Callable[[object], Any]]
    needs: tuple[str, ...] = ()

    def read(self, raw: object) -> dict[str, Any]:
        """The values of all keys in `raw`; `Wrong` about the first that is unknown, unusable or missing."""
        if type(raw) is not dict:
            raise Wrong(f"an object with keys is needed here, not {kind_of(raw)}.")
        values = {}
        for key, value in raw.items():
            reader = self.keys.get(key)
            if reader is None:
                raise Wrong(not_a_key(key, self.keys))
            try:
                values[key] = reader(value)
            except Wrong as wrong:
                raise wrong.inside(key) from None
        for key in self.needs:
            if key not in values:
                raise Wrong(f'"{key}" is missing.')
        return values


def shown(text: str) -> str:
    """`text` in quotes for a sentence: shortened, and with everything that is not printable written as an escape."""
    short = text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 1]}…"
    return '"{}"'.format("".join(one if one.isprintable() else one.encode("unicode_escape").decode() for one in short))


def kind_of(raw: object) -> str:
    """What sort of thing stood in the file, in words: "a number", "nothing (null)"."""
    if raw is None:
        return "nothing (null)"
    words = {
        bool: "true or false",
        int: "a number",
        float: "a number",
        str: "a text",
        dict: "an object",
        list: "a list",
    }
    return words.get(type(raw), "a date or time")


def not_a_key(key: str, known: Collection[str]) -> str:
    """The sentence that refuses `key` by name and offers the nearest one there is."""
    near = get_close_matches(key[:LONGEST_NAME], known, n=1, cutoff=0.7)
    return f"{shown(key)} is not a key here; " + (
        f'did you mean "{near[0]}"?' if near else f"known are {', '.join(known)}."
    )


def stray_character(text: str) -> str:
    """The first character of `text` that no name or sentence holds, as U+ and its number; empty when there is none.

    Control characters, line and paragraph separators, lone surrogates and turners of the reading direction are
    refused; a database, a tag or a log would choke on them or be deceived.
    """
    if text.isprintable():
        return ""
    for one in text:
        if one in _TURNS_AROUND or unicodedata.category(one) in _REFUSED_KINDS:
            return f"U+{ord(one):04X}"
    return ""


def read_name(raw: object) -> str:
    """A name: text of 1 to 60 characters, trimmed, on one line."""
    text = read_text(raw)
    if not text:
        raise Wrong("a name is needed, not an empty text.")
    return text


def read_line(raw: object) -> str:
    """A sentence for the foot of a card, perhaps empty: at most 80 characters, trimmed, on one line."""
    return _line_of(raw, LONGEST_LINE)


def read_text(raw: object) -> str:
    """A short text, perhaps empty: at most 60 characters, trimmed, on one line."""
    return _line_of(raw, LONGEST_NAME)


def read_remark(raw: object) -> str:
    """A sentence or two on one line: who said when why, at most 300 characters."""
    return _line_of(raw, LONGEST_REMARK)


def _line_of(raw: object, most: int) -> str:
    if type(raw) is not str:
        raise Wrong(f"a text is needed, not {kind_of(raw)}.")
    if stray := stray_character(raw):
        raise Wrong(f"the text holds the character {stray}, which cannot be printed.")
    text = raw.strip()
    if len(text) > most:
        raise Wrong(f"{shown(text)} is {len(text)} characters long; at most {most} fit.")
    return text


def read_cone(raw: object) -> Cone:
    """A cone, written as text: "06"; a number is refused, because 06 and 6 would be the same one."""
    if type(raw) is not str:
        if isinstance(raw, int | float) and not isinstance(raw, bool):
            raise Wrong('a cone is written in quotes, not as a number: "06" and "6" are different cones.')
        raise Wrong(f'a cone is a text such as "06", not {kind_of(raw)}.')
    try:
        return _BY_NAME.get(raw) or Cone.parse(raw)
    except BadCone as refusal:
        raise Wrong(str(refusal)) from None


def read_cone_or_nothing(raw: object) -> Cone | None:
    """A cone, or null for none."""
    return None if raw is None else read_cone(raw)


def read_flag(raw: object) -> bool:
    """A plain true or false: no number and no word stands for it."""
    if raw is True or raw is False:
        return raw
    raise Wrong(f"true or false is needed, without quotes, not {kind_of(raw)}.")


def read_date(raw: object) -> date:
    """A day of the calendar, written 2026-03-01 without quotes."""
    if isinstance(raw, date) and not isinstance(raw, datetime):
        return raw
    raise Wrong("a day is needed, written like 2026-03-01 without quotes.")


def number(least: float, most: float) -> Callable[[object], float]:
    """A reader of finite numbers from `least` to `most`, both included."""

    def read_number(raw: object) -> float:
        if not isinstance(raw, int | float) or isinstance(raw, bool):
            raise Wrong(f"a number is needed, without quotes, not {kind_of(raw)}.")
        # A whole number may be too large for a float, so it is compared before it becomes one.
        if not (least <= raw <= most) or not math.isfinite(raw):
            raise Wrong(f"a number from {least:g} to {most:g} is needed.")
        return float(raw)

    return read_number


def millimetres(most: int) -> Callable[[object], int]:
    """A reader of lengths over 0 and up to `most` mm; a broken millimetre counts as a whole one, the careful way."""
    read_number = number(0, most)

    def read_length(raw: object) -> int:
        length = read_number(raw)
        if length <= 0:
            raise Wrong("a length over 0 mm is needed.")
        return math.ceil(length)

    return read_length


def choice(kind: type[Choice]) -> Callable[[object], Choice]:
    """A reader of one word out of the list that `kind` is."""
    by_word = {str(member): member for member in kind}

    def read_choice(raw: object) -> Choice:
        if type(raw) is not str:
            raise Wrong(f"one of {', '.join(by_word)} is needed, not {kind_of(raw)}.")
        member = by_word.get(raw)
        if member is None:
            raise Wrong(f"{shown(raw)} is none of {', '.join(by_word)}.")
        return member

    return read_choice


def listed(reader: Callable[[object], Value], most: int) -> Callable[[object], tuple[Value, ...]]:
    """A reader of lists of at most `most` values, each read by `reader`."""

    def read_list(raw: object) -> tuple[Value, ...]:
        if type(raw) is not list:
            raise Wrong(f"a list in [ ] is needed, not {kind_of(raw)}.")
        if len(raw) > most:
            raise Wrong(f"a list of at most {most} is needed; this has {len(raw)}.")
        values = []
        for place, one in enumerate(raw):
            try:
                values.append(reader(one))
            except Wrong as wrong:
                raise wrong.inside(place) from None
        return tuple(values)

    return read_list


def must_rise(low: Cone, high: Cone, low_key: str = "cone_low", high_key: str = "cone_high") -> None:
    """Refuse two cones of which the lower one is hotter, naming both with their temperatures."""
    if low > high:
        raise Wrong(f"{low_key} {low} ({low.celsius} °C) is hotter than {high_key} {high} ({high.celsius} °C).")
