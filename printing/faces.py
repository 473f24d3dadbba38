"""The bundled faces as a typesetter sees them: how long a text is, which letters exist, how a line is shortened."""

from __future__ import annotations

import unicodedata
from functools import lru_cache

from printing.pdf import glyph_widths
from printing.shapes import Face

ELLIPSIS = "…"


@lru_cache(maxsize=65536)
def measure(text: str, face: Face) -> float:
    """The length of `text` in parts of its type size; every character must be one the face has."""
    widths = glyph_widths(face)
    return sum(widths[ord(character)] for character in text)


@lru_cache(maxsize=16384)
def printable(text: str) -> str:
    """`text` on one line with only the letters the faces have.

    A letter they lack is printed without its accents when its plain letter exists, and left out otherwise, so that
    no empty box stands on a label; a text in another script comes out empty.
    """
    kept = []
    for character in unicodedata.normalize("NFC", text):
        if character.isspace():
            kept.append(" ")
        elif _is_known(character):
            kept.append(character)
        else:
            plain = unicodedata.normalize("NFKD", character)
            kept.extend(part for part in plain if _is_known(part) and not unicodedata.combining(part))
    return " ".join("".join(kept).split())


def _is_known(character: str) -> bool:
    """Whether regular and bold both have the letter and it leaves ink."""
    point = ord(character)
    visible = unicodedata.category(character)[0] not in "CZM"
    return visible and all(point in glyph_widths(face) for face in (Face.REGULAR, Face.BOLD))


@lru_cache(maxsize=16384)
def shortened(text: str, face: Face, room: float) -> str:
    """`text`, or as much of it as `room` (in parts of the type size) holds with an ellipsis; empty when none does."""
    if measure(text, face) <= room:
        return text
    for length in range(len(text) - 1, 0, -1):
        short = text[:length].rstrip(" ,.;·") + ELLIPSIS
        if measure(short, face) <= room:
            return short
    return ""
