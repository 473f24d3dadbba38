"""The bundled faces as a typesetter sees them: how long a text is, which letters exist, how a line is shortened."""

from __future__ import annotations

import unicodedata
from functools import lru_cache

from printing.pdf import glyph_widths
from printing.scripts import JOINERS, runs_of, script_of
from printing.shapes import Face

ELLIPSIS = "…"


@lru_cache(maxsize=65536)
def measure(text: str, face: Face) -> float:
    """The length of `text` in parts of its type size; every character must be one that some face has."""
    widths = glyph_widths(face)
    try:
        return sum(widths[ord(character)] for character in text)
    except KeyError:
        return sum(
            sum(glyph.advance for glyph in run.glyphs) if run.script else sum(widths[ord(one)] for one in run.text)
            for run in runs_of(text, widths)
        )


@lru_cache(maxsize=16384)
def printable(text: str) -> str:
    """`text` on one line with only the letters that a bundled face has, of the house's own or of another script.

    A letter that none has is printed without its accents when its plain letter exists, and left out otherwise, so that
    no empty box stands on a label. Signs that turn the order of reading are left out, for they could make a line say
    something else; of those without ink the joiners stay between letters that they join.
    """
    kept: list[str] = []
    for character in unicodedata.normalize("NFC", text):
        if character.isspace():
            kept.append(" ")
        elif _is_known(character) or _is_elsewhere(character, kept):
            kept.append(character)
        else:
            plain = unicodedata.normalize("NFKD", character)
            kept.extend(part for part in plain if _is_known(part) and not unicodedata.combining(part))
    return " ".join("".join(kept).split()).rstrip(JOINERS)


def _is_known(character: str) -> bool:
    """Whether regular and bold both have the letter and it leaves ink."""
    point = ord(character)
    visible = unicodedata.category(character)[0] not in "CZM"
    return visible and all(point in glyph_widths(face) for face in (Face.REGULAR, Face.BOLD))


def _is_elsewhere(character: str, before: list[str]) -> bool:
    """Whether the face of another script has the letter; a mark needs a letter of that script to stand on."""
    kind = unicodedata.category(character)[0]
    if character in JOINERS or kind == "M":
        on = next((one for one in reversed(before) if not is_mark(one)), " ")
        script = script_of(on) if on != " " and not _is_known(on) else ""
        return bool(script) and (character in JOINERS or script_of(character) == script)
    return kind not in "CZ" and bool(script_of(character))


def is_mark(character: str) -> bool:
    """Whether it stands on the letter before it, or joins it: text is never parted before such a one."""
    return character in JOINERS or unicodedata.category(character)[0] == "M"


@lru_cache(maxsize=16384)
def shortened(text: str, face: Face, room: float) -> str:
    """`text`, or as much of it as `room` (in parts of the type size) holds with an ellipsis; empty when none does."""
    if measure(text, face) <= room:
        return text
    for length in range(len(text) - 1, 0, -1):
        if is_mark(text[length]):
            continue
        short = text[:length].rstrip(" ,.;·") + ELLIPSIS
        if measure(short, face) <= room:
            return short
    return ""
