"""Names as people look them up: without regard to case, accents and the order of words."""

from __future__ import annotations

import re
import unicodedata

_MOST_WORDS = 8
_LONGEST = 200
# Letters with a stroke or joined ones, which Unicode does not take apart.
_TAKEN_APART = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe"})

_JOINED = str.maketrans("", "", "'\u2019\u02bc-\u2010\u2011")


def plain(text: str) -> str:
    """`text` in small letters without accents: "Zoë Škoda" gives "zoe skoda"."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in apart if not unicodedata.combining(letter)).translate(_TAKEN_APART)


def words_in(text: str) -> tuple[str, ...]:
    """What is looked for: the words of `text`, plain; at most 8 of its first 200 characters."""
    return tuple(re.findall(r"[^\W_]+", plain(text[:_LONGEST])))[:_MOST_WORDS]


def holds(text: str, words: tuple[str, ...]) -> bool:
    """Whether some word of `text` begins with each of these plain words; False where there are none.

    A number is found whole: "6" is neither 60 nor 06. A word with an apostrophe or a hyphen is also found without it:
    "Heron's" by "herons", "mid-range" by "midrange".
    """
    told = plain(text)
    padded = " " + " ".join(re.findall(r"[^\W_]+", f"{told} {told.translate(_JOINED)}")) + " "
    return bool(words) and all((f" {word} " if word.isdigit() else f" {word}") in padded for word in words)
