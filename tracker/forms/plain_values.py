"""Single values out of JSON and TOML: each reader takes what stood in the file and gives a value or says what is wrong.

A `Shape` is what the schema of an entity becomes for a file or a line: one flat reader for each key (D13).
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from difflib import get_close_matches
from enum import StrEnum
from typing import Any, TypeVar

from tracker.domain.cones import CONES, BadCone, Cone
from tracker.domain.message import Either, Message, _
from tracker.domain.quantities import Quantity, Unit, celsius, grams, mm

Word = TypeVar("Word", bound=StrEnum)
Value = TypeVar("Value")
Reader = Callable[[object], Any]
Values = dict[str, Any]
Path = tuple[str | int, ...]

LONGEST_NAME = 60
"""Characters in the name of a clay, glaze, route, kiln or person: more does not fit on a shelf list."""

_LONGEST_SHOWN = 40
_REFUSED_KINDS = {"Cc", "Cs", "Zl", "Zp"}
# These turn the reading direction of what stands around them, so that a name could hide another one.
_TURNS_AROUND = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")

_A_NUMBER = Message("number", _("a number"))
_KINDS: dict[type, Message] = {
    bool: Message("flag", _("true or false")),
    int: _A_NUMBER,
    float: _A_NUMBER,
    str: Message("text", _("text")),
    dict: Message("object", _("an object")),
    list: Message("list", _("a list")),
    type(None): Message("null", _("nothing (null)")),
}
_A_MOMENT = Message("moment", _("a date or time"))

_BY_NAME = {str(cone): cone for cone in CONES}


class Wrong(Exception):
    """A value that cannot be used: `message` tells why, `path` where in the file it stood, outermost first.

    The message begins with a small letter, since a place may come before it. `key` is one that it names itself, so that
    its line can be found.
    """

    def __init__(self, message: Message, *path: str | int, key: str = "") -> None:
        """Keep what is wrong and the place."""
        super().__init__(message)
        self.message = message
        self.path = path
        self.key = key

    def inside(self, *path: str | int) -> Wrong:
        """The same answer about a value that stands inside another one."""
        return Wrong(self.message, *path, *self.path, key=self.key)


def as_sentence(what: Message) -> Message:
    """What is wrong as a sentence of its own, under the same code."""
    return Message(what.code, "{what:capital}", what=what)


def at_line(line: int, what: Message) -> Message:
    """What is wrong, after the number of its line in the file, under the same code."""
    return Message(what.code, _("line {line}: {what}"), line=line, what=what)


def _as_it_is(raw: Any) -> Any:  # noqa: ANN401 -- whatever stood in the file
    return raw


@dataclass(frozen=True, slots=True)
class Shape:
    """Which keys an object may have, with the reader of each, which of them it must have, and what it becomes.

    `names` are the facts that go by another name than their key; `unsaid` are those that hold where nothing is said.
    By just one of several `ways` its measures are told, each way some keys that go together.
    """

    keys: Mapping[str, Reader]
    needs: tuple[str, ...] = ()
    make: Callable[[Values], Any] = _as_it_is
    names: Mapping[str, str] = field(default_factory=dict)
    unsaid: Mapping[str, Any] = field(default_factory=dict)
    ways: tuple[tuple[str, ...], ...] = ()

    def __call__(self, raw: object) -> Any:  # noqa: ANN401 -- each shape makes its own value
        """What `raw` stands for; `Wrong` about the first key that is unknown, unusable or missing."""
        if type(raw) is not dict:
            raise Wrong(_no_object(raw))
        values = {}
        for key, value in raw.items():
            reader = self.keys.get(key)
            if reader is None:
                raise Wrong(not_a_key(key, self.keys), key=key)
            try:
                values[key] = reader(value)
            except Wrong as wrong:
                raise wrong.inside(key) from None
        for missing in self._absent(values):
            raise missing
        return self._made(values)

    def gather(self, raw: object, problems: list[Wrong], *path: str | int) -> Any:  # noqa: ANN401 -- as above
        """The same, but every problem is added to `problems`; None when there is one."""
        if type(raw) is not dict:
            problems.append(Wrong(_no_object(raw), *path))
            return None
        before, values = len(problems), {}
        for key, value in raw.items():
            reader = self.keys.get(key)
            if reader is None:
                problems.append(Wrong(not_a_key(key, self.keys), *path, key=key))
            else:
                values[key] = _gathered(reader, value, problems, *path, key)
        meant = {near for key in raw if key not in self.keys for near in nearest(key, self.keys)}
        problems += (missing.inside(*path) for missing in self._absent({*raw, *meant}))
        return None if len(problems) > before else _gathered(self._made, values, problems, *path)

    def _absent(self, told: Collection[str]) -> Iterator[Wrong]:
        """What is missing among the keys that are told."""
        for key in self.needs:
            if key not in told:
                yield Wrong(missing_key(key))
        if not self.ways:
            return
        chosen = [way for way in self.ways if any(key in told for key in way)]
        if len(chosen) != 1:
            ways = Either(tuple(tuple(map(quoted, way)) for way in self.ways))
            words = _("give exactly one of these: {ways}.")
            yield Wrong(Message("one-way-only", words, ways=ways))
        else:
            yield from (Wrong(missing_key(key)) for key in chosen[0] if key not in told)

    def _made(self, values: Values) -> Any:  # noqa: ANN401 -- as above
        for key, name in self.names.items():
            if key in values:
                values[name] = values.pop(key)
        return self.make({**self.unsaid, **values} if self.unsaid else values)


@dataclass(frozen=True, slots=True)
class Tables:
    """A list of at most `most` objects of one shape."""

    shape: Shape
    most: int

    def __call__(self, raw: object) -> tuple[Any, ...]:
        """What they stand for; `Wrong` about the first thing that is wrong."""
        return listed(self.shape, self.most)(raw)

    def gather(self, raw: object, problems: list[Wrong], *path: str | int) -> tuple[Any, ...]:
        """The same, but every problem is added to `problems`; None in the place of what has one."""
        some = _gathered(listed(_as_it_is, self.most), raw, problems, *path) or ()
        return tuple(self.shape.gather(one, problems, *path, place) for place, one in enumerate(some))


def _gathered(reader: Callable[[Any], Any], raw: Any, problems: list[Wrong], *path: str | int) -> Any:  # noqa: ANN401 -- as above
    if isinstance(reader, Shape | Tables):
        return reader.gather(raw, problems, *path)
    try:
        return reader(raw)
    except Wrong as wrong:
        problems.append(wrong.inside(*path))
        return None


def shown(text: str) -> str:
    """`text` for a sentence: shortened, and with everything that is not printable written as an escape."""
    short = text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 1]}…"
    return "".join(one if one.isprintable() else one.encode("unicode_escape").decode() for one in short)


def quoted(text: str) -> Message:
    """What stood in a file, or stands there, in quotes: one of several in a list."""
    return Message("quoted", _('"{text}"'), text=shown(text))


def kind_of(raw: object) -> Message:
    """What sort of thing stood in the file, in words: "a number", "nothing (null)"."""
    return _KINDS.get(type(raw), _A_MOMENT)


def _no_object(raw: object) -> Message:
    return Message("not-an-object", _("expected an object with keys, not {kind}."), kind=kind_of(raw))


def missing_key(key: str) -> Message:
    """`key` has to be there and is not."""
    return Message("key-missing", _('"{key}" is missing.'), key=key)


def not_a_key(key: str, known: Collection[str]) -> Message:
    """`key` is none there is; the nearest one is offered."""
    if near := nearest(key, known):
        words = _('"{key}" isn\'t a key here. Did you mean "{near}"?')
        return Message("key-misspelt", words, key=shown(key), near=near[0])
    return Message(
        "key-unknown", _('"{key}" isn\'t a key here. The keys are {known}.'), key=shown(key), known=tuple(known)
    )


def nearest(key: str, known: Collection[str]) -> list[str]:
    """The key that was most likely meant, or none."""
    return get_close_matches(key[:LONGEST_NAME], known, n=1, cutoff=0.7)


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
        raise Wrong(Message("name-missing", _("expected a name, not blank text.")))
    return text


def text_of(most: int) -> Callable[[object], str]:
    """A reader of text, perhaps empty: at most `most` characters, trimmed, on one line."""

    def read(raw: object) -> str:
        if type(raw) is not str:
            raise Wrong(Message("not-a-text", _("expected text, not {kind}."), kind=kind_of(raw)))
        if stray := stray_character(raw):
            words = _("the text has the character {character}, which can't be printed.")
            raise Wrong(Message("stray-character", words, character=stray))
        text = raw.strip()
        if len(text) > most:
            words = _('"{text}" is {long} characters long. The limit is {most}.')
            raise Wrong(Message("text-too-long", words, text=shown(text), long=len(text), most=most))
        return text

    return read


read_text = text_of(LONGEST_NAME)


def read_cone(raw: object) -> Cone:
    """A cone, written as text: "06"; a number is refused, because 06 and 6 would be the same one."""
    if type(raw) is not str:
        if isinstance(raw, int | float) and not isinstance(raw, bool):
            words = _('write a cone in quotes, not as a number: "06" and "6" are different cones.')
            raise Wrong(Message("cone-as-number", words))
        raise Wrong(Message("cone-not-text", _('write a cone as text such as "06", not {kind}.'), kind=kind_of(raw)))
    return _BY_NAME.get(raw) or cone_of(raw)


def cone_of(text: str) -> Cone:
    """The cone written as `text`, in any of the ways in which people write one."""
    try:
        return Cone.parse(text)
    except BadCone:
        coolest, hottest = CONES[0], CONES[-1]
        words = _(
            '"{text}" isn\'t a cone. Cones run from {coolest} ({least}) to {hottest} ({most}). '
            '"06" and "6" are different cones.'
        )
        heats = {"least": celsius(coolest.celsius), "most": celsius(hottest.celsius)}
        names = {"coolest": str(coolest), "hottest": str(hottest)}
        raise Wrong(Message("not-a-cone", words, text=shown(text), **names, **heats)) from None


def read_cone_or_nothing(raw: object) -> Cone | None:
    """A cone, or null for none."""
    return None if raw is None else read_cone(raw)


def read_flag(raw: object) -> bool:
    """A plain true or false: no number and no word stands for it."""
    if raw is True or raw is False:
        return raw
    raise Wrong(Message("not-a-flag", _("expected true or false without quotes, not {kind}."), kind=kind_of(raw)))


def read_date(raw: object) -> date:
    """A day of the calendar, written 2026-03-01 without quotes."""
    if isinstance(raw, date) and not isinstance(raw, datetime):
        return raw
    raise Wrong(Message("not-a-day", _("expected a date without quotes, like 2026-03-01.")))


def number(least: float, most: float) -> Callable[[object], float]:
    """A reader of finite numbers from `least` to `most`, both included."""

    def read_number(raw: object) -> float:
        if not isinstance(raw, int | float) or isinstance(raw, bool):
            words = _("expected a number without quotes, not {kind}.")
            raise Wrong(Message("not-a-number", words, kind=kind_of(raw)))
        # A whole number may be too large for a float, so it is compared before it becomes one.
        if not (least <= raw <= most) or not math.isfinite(raw):
            raise Wrong(number_outside(least, most))
        return float(raw)

    return read_number


def number_outside(least: float, most: float, measure: Unit | None = None) -> Message:
    """A number is needed that lies within these bounds, which are of the unit `measure` where one is given."""
    if measure is not None:
        words = _("use a value from {least} to {most}.")
        return Message("number-outside", words, least=Quantity(least, measure), most=Quantity(most, measure))
    return Message("number-outside", _("use a number from {least} to {most}."), least=least, most=most)


def choice(kind: type[Word]) -> Callable[[object], Word]:
    """A reader of one word out of the list that `kind` is."""
    by_word = {str(member): member for member in kind}
    words = Either(tuple(by_word))

    def read_choice(raw: object) -> Word:
        if type(raw) is not str:
            needed = _("expected one of {words}, not {kind}.")
            raise Wrong(Message("not-a-word", needed, words=words, kind=kind_of(raw)))
        member = by_word.get(raw)
        if member is None:
            raise Wrong(Message("none-of-these", _('"{text}" isn\'t one of {words}.'), text=shown(raw), words=words))
        return member

    return read_choice


def listed(reader: Callable[[object], Value], most: int) -> Callable[[object], tuple[Value, ...]]:
    """A reader of lists of at most `most` values, each read by `reader`."""

    def read_list(raw: object) -> tuple[Value, ...]:
        if type(raw) is not list:
            raise Wrong(Message("not-a-list", _("expected a list in [ ], not {kind}."), kind=kind_of(raw)))
        if len(raw) > most:
            words = _("expected a list of at most {most}. This has {count}.")
            raise Wrong(Message("list-too-long", words, most=most, count=len(raw)))
        values = []
        for place, one in enumerate(raw):
            try:
                values.append(reader(one))
            except Wrong as wrong:
                raise wrong.inside(place) from None
        return tuple(values)

    return read_list


def whole(least: int, most: int) -> Callable[[object], int]:
    """A reader of whole numbers from `least` to `most`, both included."""

    def read_whole(raw: object) -> int:
        if not isinstance(raw, int) or isinstance(raw, bool) or not least <= raw <= most:
            words = _("use a whole number from {least} to {most}.")
            raise Wrong(Message("whole-number-outside", words, least=least, most=most))
        return raw

    return read_whole


def set_of(reader: Callable[[object], Value], most: int) -> Callable[[object], frozenset[Value]]:
    """A reader of lists of at most `most` values, none of which stands twice."""
    read_all = listed(reader, most)

    def read_set(raw: object) -> frozenset[Value]:
        values = read_all(raw)
        if len(set(values)) < len(values):
            raise Wrong(Message("twice-in-list", _("something appears twice in this list.")))
        return frozenset(values)

    return read_set


LENGTH_NEEDED = Message("no-length", _("use a length over {none}."), none=mm(0))
WEIGHT_NEEDED = Message("no-weight", _("use a weight over {none}."), none=grams(0))


def above_zero(reader: Callable[[object], float], needed: Message) -> Callable[[object], float]:
    """A reader of the same numbers without 0, for which `needed` is said."""

    def read_amount(raw: object) -> float:
        amount = reader(raw)
        if amount <= 0:
            raise Wrong(needed)
        return amount

    return read_amount
