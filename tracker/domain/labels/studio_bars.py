"""What the bars on the studio's own labels say: a letter for the sort of thing, a dot, and its name.

No code has these letters and no slip begins with one, so none of these bars is ever read as a piece, nor a piece as one
of them. The name is written out, so that a label works in any studio file and without any number to look up.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from enum import Enum

from tracker.domain.labels.scanner_prefixes import without_prefix


class Sort(Enum):
    """What a bar of the studio's own stands on; the value is the letter it begins with, which is in no code."""

    SHELF = "S"
    BUCKET = "B"
    BADGE = "U"


@dataclass(frozen=True, slots=True)
class Labelled:
    """A thing of the studio as its bar names it."""

    sort: Sort
    name: str


DOT = "."
_SIGN = "%"
_BEGINS = {one.value + DOT: one for one in Sort}
_LONGEST = 400


def bar_text(sort: Sort, name: str) -> str:
    """What the bar says: "S.rack 3". Letters that bars lack are written as their bytes in hexadecimal: "%C3%A9"."""
    return f"{sort.value}{DOT}{''.join(map(_written, _tidy(name)))}"


def read_bar(text: str) -> Labelled | None:
    """The thing that a scanned `text` names, forgiving case and spaces around it; None when it is no such bar."""
    trimmed = without_prefix(text[: _LONGEST + 1]).strip()
    sort = _BEGINS.get(trimmed[:2].upper())
    if sort is None or len(trimmed) > _LONGEST:
        return None
    name = _tidy(_unwritten(trimmed[2:]))
    return Labelled(sort, name) if name else None


def _tidy(name: str) -> str:
    return " ".join(unicodedata.normalize("NFC", name).split())


def _written(letter: str) -> str:
    if " " <= letter <= "~" and letter != _SIGN:
        return letter
    return "".join(f"{_SIGN}{byte:02X}" for byte in letter.encode(errors="ignore"))


def _unwritten(text: str) -> str:
    data = bytearray()
    at = 0
    while at < len(text):
        pair = text[at + 1 : at + 3]
        if text[at] == _SIGN and len(pair) == 2 and all(digit in "0123456789abcdefABCDEF" for digit in pair):  # noqa: PLR2004 -- two digits are one byte
            data.append(int(pair, 16))
            at += 3
        else:
            data += text[at].encode(errors="ignore")
            at += 1
    return "".join(letter for letter in data.decode(errors="ignore") if letter.isprintable())
