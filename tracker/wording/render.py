"""The renderer: a message and a reader in, text out; purely, so that the same two always give the same words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from enum import Enum
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from babel.dates import format_date, format_skeleton, format_time, get_datetime_format
from babel.lists import format_list
from babel.numbers import format_decimal
from babel.support import NullTranslations, Translations

from tracker.domain.cones import Cone, ConeRange
from tracker.domain.findings import Finding
from tracker.domain.message import ByRole, Choice, Either, Fact, Message, Plural, Sentences, Template
from tracker.domain.quantities import Quantity, Unit, celsius
from tracker.domain.refusals import Refusal
from tracker.wording.names import name_of
from tracker.wording.quantities import quantity, unit_name
from tracker.wording.reader import ANYONE, Reader

CATALOGS = Path(__file__).parent / "locale"
"""Where translations are found, by locale; English needs none."""


def say(words: Message | None, reader: Reader = ANYONE) -> str:
    """`words` as text for `reader`; an empty text for None."""
    if words is None:
        return ""
    facts = dict(words.facts)
    template = _worded(words.template, facts, reader)
    return template.format_map({name: _Words(read(fact, reader)) for name, fact in facts.items()})


def say_all(many: list[Message] | tuple[Message, ...], reader: Reader = ANYONE) -> str:
    """Several messages one after another, each once."""
    return " ".join(dict.fromkeys(text for one in many if (text := say(one, reader))))


def say_refusal(refusal: Refusal, reader: Reader = ANYONE) -> str:
    """A refusal in one line: what is wrong, then the way out."""
    return say_all([one for one in (refusal.message, refusal.remedy) if one is not None], reader)


def say_finding(finding: Finding, reader: Reader = ANYONE) -> str:
    """A finding in one line: what is wrong, then what would fix it."""
    return say_all([one for one in (finding.message, finding.remedy) if one is not None], reader)


def read(fact: Fact, reader: Reader = ANYONE) -> str:
    """One fact as `reader` reads it: a cone with its word, a length in their units, a list with its "and"."""
    kind: Any = type(fact)
    return _reading(kind)(fact, reader)


@cache
def _reading(kind: type[Any]) -> Callable[[Any, Reader], str]:
    """How facts of a kind are read; None and what has no words read as nothing."""
    return next((how for one, how in _READ if issubclass(kind, one)), lambda _fact, _reader: "")


def _enum(fact: Enum, reader: Reader) -> str:
    return translations(reader.locale).gettext(name_of(fact))


def _cone(fact: Cone, reader: Reader) -> str:
    words = translations(reader.locale).gettext("cone {name}, {heat}")
    return words.format(name=fact, heat=quantity(celsius(fact.celsius), reader))


def _range(fact: ConeRange, reader: Reader) -> str:
    if fact.low == fact.high:
        return _cone(fact.low, reader)
    words = translations(reader.locale).gettext("cone {low} to {high}, {least} to {most}")
    least, most = (quantity(celsius(cone.celsius), reader) for cone in (fact.low, fact.high))
    return words.format(low=fact.low, high=fact.high, least=least, most=most)


def _moment(fact: datetime, reader: Reader) -> str:
    both = str(get_datetime_format("medium", reader.locale))
    return both.replace("{1}", short_day(fact, reader)).replace("{0}", clock(fact, reader))


_READ: tuple[tuple[type, Callable[[Any, Reader], str]], ...] = (
    (Unit, unit_name),
    (Enum, _enum),
    (str, lambda fact, _reader: str(fact)),
    (Message, say),
    (Sentences, lambda fact, reader: say_all(fact.messages, reader)),
    (Cone, _cone),
    (ConeRange, _range),
    (Quantity, quantity),
    (tuple, lambda fact, reader: listed([read(one, reader) for one in fact], reader)),
    (Either, lambda fact, reader: listed([read(one, reader) for one in fact.facts], reader, style="or")),
    (datetime, _moment),
    (date, lambda fact, reader: format_date(fact, "medium", locale=reader.locale)),
    # What only decides between wordings is never read, but every fact is made ready.
    (bool, lambda fact, _reader: str(fact)),
    (int, lambda fact, reader: format_decimal(fact, locale=reader.locale)),
    (float, lambda fact, reader: format_decimal(fact, locale=reader.locale)),
)
"""How each kind of fact is read; the first that fits counts, for a value of an enum may be text as well."""


def short_day(moment: datetime, reader: Reader) -> str:
    """A moment as a day: "Tue, Mar 3"."""
    return _short_day(moment.astimezone(reader.zone).date(), reader.locale)


def whole_day(moment: datetime, reader: Reader) -> str:
    """A moment as a day that paper keeps: "Monday, March 9, 2026"."""
    return _whole_day(moment.astimezone(reader.zone).date(), reader.locale)


# A list says many days, the same ones again and again, and CLDR's patterns are slow to follow.
@lru_cache(maxsize=2_048)
def _short_day(day: date, locale: str) -> str:
    return format_skeleton("MMMEd", datetime(day.year, day.month, day.day, tzinfo=UTC), locale=locale)


@lru_cache(maxsize=2_048)
def _whole_day(day: date, locale: str) -> str:
    return format_date(day, "full", locale=locale)


def clock(moment: datetime, reader: Reader) -> str:
    """A moment as the studio's clocks show it: "2:05 PM"."""
    return format_time(moment.astimezone(reader.zone), "short", locale=reader.locale)


def listed(texts: list[str], reader: Reader = ANYONE, *, style: str = "standard") -> str:
    """Texts as a sentence lists them, each once: "Plum, Moss, and Ash"; `style` "or" gives the other word."""
    return format_list(list(dict.fromkeys(texts)), style=style, locale=reader.locale)  # type: ignore[arg-type]  # CLDR's names


@lru_cache(maxsize=8)
def translations(locale: str) -> NullTranslations:
    """The catalog of a locale; English is what the code says itself."""
    found: NullTranslations = Translations.load(CATALOGS, [locale])
    return found


class _Words(str):
    """A fact that has been read, ready to be put into a sentence."""

    __slots__ = ()

    def __format__(self, spec: str) -> str:
        """The words as they are; with a capital where the template says that they begin a sentence."""
        return f"{self[:1].upper()}{self[1:]}" if spec == "capital" else str(self)


def _worded(template: Template, facts: dict[str, Fact], reader: Reader) -> str:
    """The one text of a template that fits these facts and this reader."""
    catalog = translations(reader.locale)
    if isinstance(template, str):
        return catalog.gettext(template)
    if isinstance(template, Plural):
        return catalog.ngettext(template.one, template.more, _count(facts[template.by]))
    if isinstance(template, ByRole):
        return _worded(template.roles.get(str(reader.role), template.everybody), facts, reader)
    return _chosen(template, facts, reader)


def _chosen(template: Choice, facts: dict[str, Fact], reader: Reader) -> str:
    fact = facts.get(template.by, "")
    return _worded(template.templates[str(fact.value) if isinstance(fact, Enum) else str(fact)], facts, reader)


def _count(fact: Fact) -> int:
    """How many a plural counts; a part of one, as of 1.5, reads like several."""
    if isinstance(fact, tuple):
        return len(dict.fromkeys(fact))
    number: Any = fact.value if isinstance(fact, Quantity) else fact
    return int(number) if number == int(number) else _SEVERAL


_SEVERAL = 2
