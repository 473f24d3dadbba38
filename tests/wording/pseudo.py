"""A language that nobody speaks: English with accents, in brackets and 40 % longer, to find what isn't translated.

What a page or a paper still says in plain letters was never looked up, and what breaks its layout has no room for a
longer language.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from contextlib import chdir, contextmanager, suppress
from functools import cache
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from babel import Locale
from babel.messages.frontend import CommandLineInterface
from babel.messages.pofile import read_po
from babel.support import NullTranslations
from sqlalchemy import Connection

from tracker.domain.studio.absorption import Scheme
from tracker.domain.studio.leach_limits import Regime
from tracker.store.messages import ENUMS
from tracker.store.tables import metadata
from tracker.usecases.labels import specimens, tags
from tracker.web import wording
from tracker.wording import render
from tracker.wording.names import name_of

ROOT = Path(__file__).parents[2]
EXTRACTING = "-F pyproject.toml -k Plural:2,3"
"""The options with which every text is found that is marked for translation."""

_PLAIN, _ACCENTED = "AEIOUYCNSZaeiouycnsz", "ÀÉÎÕÜÝÇÑŠŽàéîõüýçñšž"
_ACCENTS = str.maketrans(_PLAIN, _ACCENTED)
_NO_ACCENTS = str.maketrans(_ACCENTED, _PLAIN, "[]")
# Names of facts, tags with their attributes, and entities stay as they are.
_KEPT = re.compile(r"(\{[^{}]*\}|%\([a-z_0-9]+\)[a-z]|%%|<[^<>]*>|&[a-z]+;)", re.IGNORECASE)


def pseudo(text: str) -> str:
    """`text` with accents, in brackets and 40 % longer; the facts named in it, its tags and entities as they were."""
    parts = _KEPT.split(text)
    letters = sum(len(part) for part in parts[::2])
    parts[::2] = [part.translate(_ACCENTS) for part in parts[::2]]
    # Longer by words, as sentences are in other languages; a label of one word grows by a second one.
    more = " ".join(["õõõõõ"] * round(letters * 0.4 / 6)) or "õ" * round(letters * 0.4)
    return f"[{''.join(parts)}{f' {more}' if more else ''}]" if text.strip() else text


def in_english(text: str) -> str:
    """A text in the language of `pseudo` as it was before, without what made it longer."""
    return re.sub(r" õ+(?=[ \]])", "", text).translate(_NO_ACCENTS)


class Pseudo(NullTranslations):
    """Every text that is looked up, in the language of `pseudo`; `asked` has them all as they were written."""

    def __init__(self) -> None:
        """Begin with nothing asked."""
        super().__init__()
        self.asked: set[str] = set()

    def gettext(self, message: str) -> str:
        """One text."""
        self.asked.add(message)
        return pseudo(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """The one of a pair that fits the count."""
        return self.gettext(msgid1 if n == 1 else msgid2)

    ugettext = gettext
    ungettext = ngettext


@contextmanager
def in_pseudo() -> Iterator[Pseudo]:
    """Every reader reads the language of `pseudo` until the block ends."""
    catalog = Pseudo()
    with pytest.MonkeyPatch.context() as patch:
        for room in (render, wording):
            patch.setattr(room, "translations", lambda _locale: catalog)
        _forget()
        yield catalog
    _forget()


def _forget() -> None:
    """Nothing that was put into words in one language is shown in another."""
    for made in (*vars(specimens).values(), *vars(tags).values()):
        if hasattr(made, "cache_clear"):
            made.cache_clear()


# ---- what was never looked up ------------------------------------------------------------------------------------

_WORD = re.compile(r"(?<![\w&%])[A-Za-z]*[AEIOUYaeiouy][A-Za-z]*(?!\w)")
_ENGLISH = Locale("en", "US")
_FROM_CLDR = {
    *(word for width in ("wide", "abbreviated") for word in _ENGLISH.months["format"][width].values()),
    *(word for width in ("wide", "abbreviated") for word in _ENGLISH.days["format"][width].values()),
    *("AM", "PM", "and", "or", "to", "at", "in", "oz", "in", "min", "hr", "sec", "gal"),
    *(form for unit in ("second", "minute", "hour", "day", "week", "month", "year") for form in (unit, f"{unit}s")),
}
"""Words of dates, lists and units, which follow the reader's locale without being looked up."""


def plain_words(text: str, names: AbstractSet[str]) -> list[str]:
    """The words of a text in the language of `pseudo` that were never looked up and are none of these names."""
    return [word for word in _WORD.findall(text) if len(word) > 1 and word not in names and word not in _FROM_CLDR]


def names_in(connection: Connection) -> set[str]:
    """Every word that somebody typed into this database: names, notes and places, but no value that the tool chose."""
    chosen = {str(one.value) for kind in ENUMS.values() for one in kind}
    words: set[str] = set()
    for table in metadata.sorted_tables:
        if table.name not in {"history", "requests"}:
            for row in connection.execute(table.select()).mappings():
                typed = [
                    text
                    for column, value in row.items()
                    for text in _texts(value)
                    if column == "name" or text not in chosen
                ]
                words.update(re.findall(r"[A-Za-z]+", " ".join(typed)))
    return words


def _texts(value: object) -> Iterator[str]:
    """Every text in a value, also in one that JSON holds, but for codes, templates and what an enum is called."""
    if isinstance(value, str):
        if value[:1] in {"{", "["}:
            with suppress(ValueError):
                yield from _texts(json.loads(value))
                return
        yield value
    elif isinstance(value, dict):
        for name, inside in value.items():
            if name not in {"template", "code", "enum"}:
                yield from _texts(inside)
    elif isinstance(value, list):
        for inside in value:
            yield from _texts(inside)


# ---- what a translator never gets --------------------------------------------------------------------------------


@cache
def marked() -> frozenset[str]:
    """Every text that is marked for translation, as `pybabel extract` finds them with the options of DEVELOPERS.md."""
    with TemporaryDirectory() as folder, chdir(ROOT):
        file = Path(folder, "texts.pot")
        CommandLineInterface().run(["pybabel", "-q", "extract", *EXTRACTING.split(), "-o", str(file), "."])
        catalog = read_po(StringIO(file.read_text(encoding="utf-8")))
    return frozenset(text for one in catalog for text in ([one.id] if isinstance(one.id, str) else one.id))


def unmarked(asked: AbstractSet[str]) -> set[str]:
    """The texts among these that were looked up and have words of their own, but are not marked."""
    return {text for text in asked - marked() - _EVERYWHERE if re.search("[A-Za-z]", _KEPT.sub("", text))}


_EVERYWHERE = {"mm", "g", "ml", "s", "min", "°F", "mg/L", "mg/dm²", *map(name_of, Regime), *map(str, Scheme)}
"""Symbols of units and names of standards, which no language changes."""
