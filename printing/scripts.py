"""Names in the world's scripts: which bundled face has a letter, how letters join, and in which order they stand.

The three faces of the house are Latin. Whatever they lack is looked for in a face of its own script, which is read only
when somebody has such a name. HarfBuzz joins and places the letters; the order of mixed lines is that of UAX #9, with
every line read from left to right as the label is.
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

JOINERS = "\N{ZERO WIDTH NON-JOINER}\N{ZERO WIDTH JOINER}"
"""Two signs without ink that say how the letters beside them join, as Persian and Hindi names need them."""

_SCRIPTS: dict[str, tuple[tuple[int, int], ...]] = {
    "greek-cyrillic": ((0x0370, 0x052F), (0x1E00, 0x1FFF)),
    "armenian": ((0x0530, 0x058F), (0xFB13, 0xFB17)),
    "hebrew": ((0x0590, 0x05FF), (0xFB1D, 0xFB4F)),
    "arabic": ((0x0600, 0x06FF), (0x0750, 0x077F), (0x08A0, 0x08FF), (0xFB50, 0xFDFF), (0xFE70, 0xFEFC)),
    "devanagari": ((0x0900, 0x097F),),
    "bengali": ((0x0980, 0x09FF),),
    "gurmukhi": ((0x0A00, 0x0A7F),),
    "gujarati": ((0x0A80, 0x0AFF),),
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
    """How deep each letter is embedded (UAX #9): even ones are read from the left, odd ones from the right."""
    if not any(unicodedata.bidirectional(character) in _RIGHT_TO_LEFT for character in text):
        return [0] * len(text)
    storage = algorithm.get_empty_storage()
    storage["base_level"], storage["base_dir"] = 0, "L"
    algorithm.get_embedding_levels(text, storage)
    algorithm.explicit_embed_and_overrides(storage)
    algorithm.resolve_weak_types(storage)
    algorithm.resolve_neutral_types(storage, False)  # noqa: FBT003 -- the library's own signature
    algorithm.resolve_implicit_levels(storage, False)  # noqa: FBT003 -- as above
    # The algorithm leaves joiners out (rule X9); they go with the letter before them.
    kept, whole = (one["level"] for one in storage["chars"]), [0]
    for character in text:
        whole.append(whole[-1] if character in JOINERS else next(kept))
    return _paired(text, whole[1:])


_BRACKETS = {")": "(", "]": "[", "}": "{"}


def _paired(text: str, levels: list[int]) -> list[int]:
    """A bracket closes at the level at which it was opened (rule N0, which the library does not know)."""
    opened: list[tuple[str, int]] = []
    for place, character in enumerate(text):
        if character in _BRACKETS.values():
            opened.append((character, levels[place]))
        elif opened and opened[-1][0] == _BRACKETS.get(character):
            levels[place] = opened.pop()[1]
    return levels


Part = tuple[int, int, str, int]
"""From where to where, in which script's face (empty: the house's own), at which level."""


def _parts(text: str, levels: list[int], own: Container[int]) -> Iterator[Part]:
    """The stretches of one face and one level, as they are written."""
    first, script = 0, ""
    for place, character in enumerate(text):
        here = script if character in JOINERS else "" if ord(character) in own else script_of(character)
        if place and (here != script or levels[place] != levels[place - 1]):
            yield first, place, script, levels[first]
            first = place
        script = here
    if text:
        yield first, len(text), script, levels[first]


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
