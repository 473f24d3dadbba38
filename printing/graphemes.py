"""Letters as a reader counts them, and where a line of them may be parted.

A letter with its marks is one (UAX #29, with some more that must not be torn apart in a name: what a virama joins, and
a Thai or Lao vowel with the letter it is written before). Lines part at spaces; Chinese, Japanese, Thai, Lao, Khmer and
Burmese, which are written without, part between letters.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import lru_cache

JOINERS = "\N{ZERO WIDTH NON-JOINER}\N{ZERO WIDTH JOINER}"
"""Two signs without ink that say how the letters beside them join, as Persian and Hindi names need them."""

_LIKE_MARKS = "\u0e33\u0eb3\uff9e\uff9f"
"""Letters by their kind that stand on another all the same: Thai and Lao am, the small kana's voicing marks."""

_LINKERS = "\u094d\u09cd\u0a4d\u0acd\u0b4d\u0c4d\u0ccd\u0d4d\u1039\u17d2"
"""Viramas that join the letter after them to the one before; those of Tamil and Thai only silence a vowel."""

_WRITTEN_BEFORE = "เแโใไເແໂໃໄ"
"""Thai and Lao vowels that stand before the letter after which they are spoken."""

_NOT_FIRST = "、。\uff0c\uff0e・\uff1a\uff1b\uff1f\uff01゛゜ーぁぃぅぇぉっゃゅょゎァィゥェォッャュョヮヵヶ々ๆໆ｡､･ｰ"
"""What no line begins with (JIS X 4051, from memory), closing brackets apart."""

_LEADS, _VOWELS, _TAILS, _SYLLABLES = (0x1100, 0x115F), (0x1160, 0x11A7), (0x11A8, 0x11FF), (0xAC00, 0xD7A3)
_TAILS_IN_A_ROW = 28

_WITHOUT_SPACES = (
    (0x0E00, 0x0EFF),
    (0x1000, 0x109F),
    (0x1780, 0x17FF),
    (0x2E80, 0x312F),
    (0x31A0, 0x9FFF),
    (0xF900, 0xFAFF),
    (0xFF01, 0xFF9F),
)


def is_mark(character: str) -> bool:
    """Whether it stands on the letter before it, or joins it."""
    return character in JOINERS or unicodedata.category(character)[0] == "M"


@lru_cache(maxsize=16384)
def letters_of(text: str) -> tuple[str, ...]:
    """`text` in letters with all that belongs to each; nothing is lost."""
    letters: list[str] = []
    for character in text:
        if letters and _belongs(letters[-1], character):
            letters[-1] += character
        else:
            letters.append(character)
    return tuple(letters)


def _belongs(letter: str, character: str) -> bool:
    """Whether `character` goes with the letter before it."""
    if letter.isspace():
        return False
    if is_mark(character) or character in _LIKE_MARKS:
        return True
    is_linked = letter[-1] in _WRITTEN_BEFORE or _is_joined(letter, character)
    # No letter is joined to one of another script, which another face writes; each of these has 128 places.
    if is_linked and ord(letter[0]) // 128 == ord(character) // 128:
        return True
    return _is_one_syllable(ord(letter[-1]), ord(character))


def _is_joined(letter: str, character: str) -> bool:
    """Whether a virama joins them; Sinhala writes a joiner after its own where it does."""
    plain = letter.rstrip(JOINERS)
    links = plain[-1:] in _LINKERS if plain else False
    return character.isalpha() and (links or letter.endswith("\u0dca\N{ZERO WIDTH JOINER}"))


def _is_one_syllable(before: int, after: int) -> bool:
    """Korean letters written one by one (UAX #29, rules GB6 to GB8)."""
    if _within(before, _LEADS):
        return _within(after, _LEADS) or _within(after, _VOWELS) or _within(after, _SYLLABLES)
    is_open = _within(before, _SYLLABLES) and (before - _SYLLABLES[0]) % _TAILS_IN_A_ROW == 0
    if _within(before, _VOWELS) or is_open:
        return _within(after, _VOWELS) or _within(after, _TAILS)
    return (_within(before, _TAILS) or _within(before, _SYLLABLES)) and _within(after, _TAILS)


def _within(point: int, block: tuple[int, int]) -> bool:
    return block[0] <= point <= block[1]


def pieces_of(text: str) -> Iterator[tuple[str, str]]:
    """What a line must not part, each with what stands before it: a space, or nothing within a word."""
    for word in text.split(" "):
        gap = " "
        for piece in _pieces(word):
            yield gap, piece
            gap = ""


@lru_cache(maxsize=16384)
def _pieces(word: str) -> tuple[str, ...]:
    if not any(map(_needs_no_space, word)):
        return (word,)
    pieces: list[str] = []
    for letter in letters_of(word):
        if pieces and not _may_part(pieces[-1], letter):
            pieces[-1] += letter
        else:
            pieces.append(letter)
    return tuple(pieces)


def _needs_no_space(character: str) -> bool:
    return any(_within(ord(character), block) for block in _WITHOUT_SPACES)


def _may_part(before: str, after: str) -> bool:
    closes = unicodedata.category(after[0]) in {"Pe", "Pf"} or after[0] in _NOT_FIRST
    opens = unicodedata.category(before[-1]) in {"Ps", "Pi"}
    return not closes and not opens and (_needs_no_space(before[-1]) or _needs_no_space(after[0]))
