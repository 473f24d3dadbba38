"""The bundled faces as a typesetter sees them: how long a text is, which letters exist, how a line is shortened."""

from __future__ import annotations

import unicodedata
from functools import lru_cache

from printing.graphemes import JOINERS, is_mark, letters_of
from printing.pdf import glyph_widths
from printing.scripts import face_of, has, reach_of, runs_of, script_of
from printing.shapes import Face

ELLIPSIS = "…"

EUROPEAN = "european"
"""The face whose marks stand on Latin letters, its own and the house's."""

MOST_ABOVE, MOST_BELOW = 1.3, 0.75
"""How far the ink of a letter with marks may go from its line, in type sizes: as far as honest spelling does."""


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
            plain = (part for part in unicodedata.normalize("NFKD", character) if not unicodedata.combining(part))
            kept.extend(part for part in plain if _is_known(part) or _is_elsewhere(part, kept))
    line = " ".join("".join(kept).split())
    return line if line.isascii() else "".join(map(_held, letters_of(line))).rstrip(JOINERS)


@lru_cache(maxsize=4096)
def _held(letter: str) -> str:
    """A letter without those of its marks that would climb onto other lines, as many marks on one letter do."""
    while len(letter) > 1:
        script = face_of(letter, glyph_widths(Face.REGULAR))
        above, below = reach_of(letter, script) if script else (0.0, 0.0)
        if above <= MOST_ABOVE and below <= MOST_BELOW:
            break
        letter = letter[:-1]
    return letter


def _is_known(character: str) -> bool:
    """Whether regular and bold both have the letter and it leaves ink."""
    point = ord(character)
    visible = unicodedata.category(character)[0] not in "CZM"
    return visible and all(point in glyph_widths(face) for face in (Face.REGULAR, Face.BOLD))


def _is_elsewhere(character: str, before: list[str]) -> bool:
    """Whether the face of another script has the letter; a mark needs a letter of that script to stand on."""
    kind = unicodedata.category(character)[0]
    if is_mark(character):
        on = next((one for one in reversed(before) if not is_mark(one)), " ")
        script = (EUROPEAN if has(EUROPEAN, on) else "") if _is_known(on) and on.isalpha() else script_of(on)
        if character in JOINERS:
            return bool(script) and script != EUROPEAN
        return bool(script) and script_of(character) == script
    return kind not in "CZ" and bool(script_of(character))


@lru_cache(maxsize=16384)
def shortened(text: str, face: Face, room: float) -> str:
    """`text`, or as much of it as `room` (in parts of the type size) holds with an ellipsis; empty when none does."""
    if measure(text, face) <= room:
        return text
    letters = letters_of(text)
    for count in range(len(letters) - 1, 0, -1):
        short = "".join(letters[:count]).rstrip(" ,.;·") + ELLIPSIS
        if measure(short, face) <= room:
            return short
    return ""
