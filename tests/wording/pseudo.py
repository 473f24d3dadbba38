"""A language that nobody speaks: English with accents, in brackets and 40 % longer, to find what isn't translated.

What a page or a paper still says in plain letters was never looked up, and what breaks its layout has no room for a
longer language.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from babel.support import NullTranslations

from tracker.web import wording
from tracker.wording import render

_ACCENTS = str.maketrans("AEIOUYCNSZaeiouycnsz", "ÀÉÎÕÜÝÇÑŠŽàéîõüýçñšž")
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
        yield catalog
