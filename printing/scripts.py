"""Names in the world's scripts: which bundled face has a letter, how letters join, and in which order they stand.

The three faces of the house are Latin. Whatever they lack is looked for in a face of its own script, which is read only
when somebody has such a name. HarfBuzz joins and places the letters; the order of mixed lines is that of UAX #9, read
from left to right as the label is unless no letter of the line is.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Container, Iterator
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

import uharfbuzz
from bidi import algorithm
from bidi.mirror import MIRRORED

from printing.graphemes import JOINERS, letters_of

_SCRIPTS: dict[str, tuple[tuple[int, int], ...]] = {
    "european": ((0x00A0, 0x052F), (0x1D00, 0x1DBF), (0x1E00, 0x1FFF), (0x2C60, 0x2C7F), (0xA720, 0xA7FF)),
    "armenian": ((0x0530, 0x058F), (0xFB13, 0xFB17)),
    "hebrew": ((0x0590, 0x05FF), (0xFB1D, 0xFB4F)),
    "arabic": ((0x0600, 0x06FF), (0x0750, 0x077F), (0x08A0, 0x08FF), (0xFB50, 0xFDFF), (0xFE70, 0xFEFC)),
    "thaana": ((0x0780, 0x07BF),),
    "devanagari": ((0x0900, 0x097F),),
    "bengali": ((0x0980, 0x09FF),),
    "gurmukhi": ((0x0A00, 0x0A7F),),
    "gujarati": ((0x0A80, 0x0AFF),),
    "odia": ((0x0B00, 0x0B7F),),
    "tamil": ((0x0B80, 0x0BFF),),
    "telugu": ((0x0C00, 0x0C7F),),
    "kannada": ((0x0C80, 0x0CFF),),
    "malayalam": ((0x0D00, 0x0D7F),),
    "sinhala": ((0x0D80, 0x0DFF),),
    "thai": ((0x0E00, 0x0E7F),),
    "lao": ((0x0E80, 0x0EFF),),
    "myanmar": ((0x1000, 0x109F),),
    "georgian": ((0x10A0, 0x10FF), (0x1C90, 0x1CBF), (0x2D00, 0x2D2F)),
    "east-asian": (
        (0x1100, 0x11FF),
        (0x2E80, 0x9FFF),
        (0xAC00, 0xD7AF),
        (0xF900, 0xFAFF),
        (0xFE30, 0xFE4F),
        (0xFF00, 0xFFEF),
    ),
    "ethiopic": ((0x1200, 0x139F), (0x2D80, 0x2DDF)),
    "khmer": ((0x1780, 0x17FF), (0x19E0, 0x19FF)),
}
"""Each bundled face and the blocks of Unicode that are looked for in it."""

_RIGHT_TO_LEFT = {"R", "AL", "AN"}


@dataclass(frozen=True, slots=True)
class Glyph:
    """One glyph of a face by its number, and where it stands: its advance and offsets in parts of the type size."""

    number: int
    advance: float
    right: float = 0.0
    up: float = 0.0


@dataclass(frozen=True, slots=True)
class Run:
    """Letters of one face, in the order in which they stand: `text` of the house's own, or `glyphs` of a `script`.

    Some stand the other way round than they are written: those that are read `from_right`.
    """

    text: str
    script: str = ""
    glyphs: tuple[Glyph, ...] = ()
    from_right: bool = False


def script_of(character: str) -> str:
    """The bundled face, by its script, that has this letter; empty when none has."""
    point = ord(character)
    for script, blocks in _SCRIPTS.items():
        if any(first <= point <= last for first, last in blocks):
            return script if _face(script).get_nominal_glyph(point) is not None else ""
    return ""


def advance_of(script: str, glyph: int) -> float:
    """How wide a glyph is by itself, in parts of the type size."""
    font = _face(script)
    return float(font.get_glyph_h_advance(glyph) / font.face.upem)


def font_file(script: str) -> bytes:
    """The bytes of a script's face."""
    return (files("printing") / "fonts" / f"other-{script}.ttf").read_bytes()


@lru_cache(maxsize=len(_SCRIPTS))
def _loaded(script: str) -> tuple[bytes, uharfbuzz.Blob, uharfbuzz.Face, uharfbuzz.Font]:
    """A script's face as HarfBuzz has it, with the bytes that it goes on reading from."""
    held = font_file(script)
    blob = uharfbuzz.Blob(held)
    face = uharfbuzz.Face(blob)
    return held, blob, face, uharfbuzz.Font(face)


def _face(script: str) -> uharfbuzz.Font:
    return _loaded(script)[3]


def runs_of(text: str, own: Container[int]) -> tuple[Run, ...]:
    """`text` in runs from left to right; `own` are the code points that the house's face has.

    Every letter must be one that some face has, as `faces.printable` leaves them.
    """
    levels = _levels(text)
    parts = list(_parts(text, levels, own))
    return tuple(_run(text[first:last], script, level) for first, last, script, level in _from_left(parts))


def _levels(text: str) -> list[int]:
    """How deep each letter is embedded (UAX #9): even ones are read from the left, odd ones from the right.

    A line is read from the left like the label, and from the right only where none of its letters is read from the
    left: so a full stop stands at the end of a name in Hebrew, and no name turns the sentence around that it stands in.
    The dot that parts it from what stands before is no part of it.
    """
    kinds = {unicodedata.bidirectional(character) for character in text}
    if not kinds & _RIGHT_TO_LEFT:
        return [0] * len(text)
    base = int("L" not in kinds)
    led = len(text) - len(text.lstrip(" ·")) if base else 0
    return [0] * led + embedded(text[led:], base)


def embedded(text: str, base: int) -> list[int]:
    """The levels of letters in a line of level `base` (UAX #9) that holds no signs for embedding or isolating."""
    storage = algorithm.get_empty_storage()
    storage["base_level"], storage["base_dir"] = base, "LR"[base]
    algorithm.get_embedding_levels(text, storage)
    algorithm.explicit_embed_and_overrides(storage)
    algorithm.resolve_weak_types(storage)
    _pair_brackets(storage["chars"], "LR"[base])
    algorithm.resolve_neutral_types(storage, False)  # noqa: FBT003 -- the library's own signature
    algorithm.resolve_implicit_levels(storage, False)  # noqa: FBT003 -- as above
    # The algorithm leaves joiners out (rule X9); they go with the letter before them.
    kept, whole = (one["level"] for one in storage["chars"]), [base]
    for character in text:
        whole.append(whole[-1] if unicodedata.bidirectional(character) == "BN" else next(kept))
    return whole[1:]


_STRONG = {"L": "L", "R": "R", "EN": "R", "AN": "R"}
"""What counts as a direction beside and within brackets; numbers count as read from the right."""

_MOST_OPEN = 63


def _pair_brackets(letters: list[dict[str, str]], base: str) -> None:
    """Two brackets of a pair face the same way (rule N0, which the library does not know).

    They go the line's way when something within them does, else the other way when what stands before them does.
    """
    for first, last in _pairs(letters):
        within = {_STRONG.get(one["type"], "") for one in letters[first + 1 : last]} - {""}
        before = next((way for one in reversed(letters[:first]) if (way := _STRONG.get(one["type"]))), base)
        if not within:
            continue
        way = base if base in within or before == base else before
        for place in (first, last):
            letters[place]["type"] = way
            for mark in letters[place + 1 :]:
                if unicodedata.bidirectional(mark["ch"]) != "NSM":
                    break
                mark["type"] = way


def _pairs(letters: list[dict[str, str]]) -> list[tuple[int, int]]:
    """The places of brackets that belong together (definition BD16), by where they open."""
    opened: list[tuple[str, int]] = []
    pairs = []
    for place, one in enumerate(letters):
        bracket = unicodedata.normalize("NFC", one["ch"])
        kind = unicodedata.category(bracket[0])
        if one["type"] != "ON" or bracket not in MIRRORED:
            continue
        if kind == "Ps":
            if len(opened) == _MOST_OPEN:
                break
            opened.append((MIRRORED[bracket], place))
        elif kind == "Pe":
            match = next((n for n in range(len(opened) - 1, -1, -1) if opened[n][0] == bracket), None)
            if match is not None:
                pairs.append((opened[match][1], place))
                del opened[match:]
    return sorted(pairs)


Part = tuple[int, int, str, int]
"""From where to where, in which script's face (empty: the house's own), at which level."""


def _parts(text: str, levels: list[int], own: Container[int]) -> Iterator[Part]:
    """The stretches of one face and one level, as they are written."""
    first = place = 0
    script = ""
    for letter in letters_of(text):
        here = face_of(letter, own)
        if place and (here != script or levels[place] != levels[place - 1]):
            yield first, place, script, levels[first]
            first = place
        script = here
        place += len(letter)
    if text:
        yield first, len(text), script, levels[first]


def face_of(letter: str, own: Container[int]) -> str:
    """The script's face that has the whole letter with its marks; empty for the house's own."""
    return next((script_of(one) for one in letter if ord(one) not in own and one not in JOINERS), "")


def has(script: str, character: str) -> bool:
    """Whether a script's face has this very character, in whichever block it stands."""
    return _face(script).get_nominal_glyph(ord(character)) is not None


def reach_of(letter: str, script: str) -> tuple[float, float]:
    """How far the ink of one letter goes above and below the line, in parts of the type size."""
    font = _face(script)
    em, up, down = font.face.upem, 0.0, 0.0
    from_right = unicodedata.bidirectional(letter[0]) in _RIGHT_TO_LEFT
    for glyph in _shaped(letter, script, from_right=from_right):
        ink = font.get_glyph_extents(glyph.number)
        if ink is not None and ink.height:
            up = max(up, ink.y_bearing / em + glyph.up)
            down = max(down, -(ink.y_bearing + ink.height) / em - glyph.up)
    return up, down


def _from_left(parts: list[Part]) -> list[Part]:
    """The stretches as they stand on the line (UAX #9, rule L2): each deeper level turns around what it holds."""
    for level in range(max((part[3] for part in parts), default=0), 0, -1):
        place = 0
        while place < len(parts):
            end = place
            while end < len(parts) and parts[end][3] >= level:
                end += 1
            parts[place:end] = reversed(parts[place:end])
            place = max(end, place + 1)
    return parts


def _run(text: str, script: str, level: int) -> Run:
    from_right = bool(level % 2)
    if script:
        return Run(text, script, _shaped(text, script, from_right=from_right), from_right)
    if from_right:
        text = "".join(MIRRORED.get(character, character) for character in reversed(text))
    return Run(text, from_right=from_right)


@lru_cache(maxsize=4096)
def _shaped(text: str, script: str, *, from_right: bool) -> tuple[Glyph, ...]:
    """The glyphs from left to right, joined and placed by HarfBuzz."""
    font = _face(script)
    buffer = uharfbuzz.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    buffer.direction = "rtl" if from_right else "ltr"
    uharfbuzz.shape(font, buffer)
    em = font.face.upem
    return tuple(
        Glyph(info.codepoint, at.x_advance / em, at.x_offset / em, at.y_offset / em)
        for info, at in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True)
    )
