"""The words of a tag set into lines: warnings get their room first, names are shortened by measuring."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from printing.faces import ELLIPSIS, measure, printable, shortened
from printing.graphemes import letters_of, pieces_of
from printing.shapes import TRIANGLE, Face, Shape, Text, Triangle

if TYPE_CHECKING:
    from collections.abc import Iterable

    from printing.labels.places import Slot

NOT_FOR_FOOD = "not for food"
DECORATIVE = f"decorative, {NOT_FOR_FOOD}"
NO_CODE_YET = "no code until bisque"
REPRINT = "reprint"
NAMELESS = "maker: see page"
DOT = " · "
INDENT = TRIANGLE + 0.28
"""Where a warning's words begin after its triangle, in parts of the type size."""

Run = tuple[float, float, Face, str]
"""Text in one face: where it begins and how long it is, in parts of the type size, its face and its letters."""

LONGEST_FACT = 60
"""Letters of a name or a clay worth measuring; no label is wide enough for more."""


FEWEST_LETTERS = 8
"""A fact cut shorter than this says nothing and is left to the page."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a tag, led by a triangle or not, or the rest of a sentence begun above."""

    runs: tuple[Run, ...]
    is_care: bool = False
    runs_on: bool = False


@dataclass(frozen=True, slots=True)
class Care:
    """A sentence that must be read: with the triangle or without, and whether a label without it may be printed."""

    sentence: str
    has_sign: bool = True
    is_must: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """What a tag says, by rank: the cares first, then the facts from the maker on, then the route."""

    facts: tuple[tuple[str, Face], ...]
    cares: tuple[Care, ...]
    route: str


def words_on(
    *,
    maker: str,
    facts: Iterable[str],
    is_decorative: bool,
    is_slip: bool,
    warnings: tuple[str, ...],
    route: str,
    is_reprint: bool,
) -> Words:
    """Plain values as the words of a tag, in letters the faces have."""
    told = [(_begun(maker) or NAMELESS, Face.BOLD)]
    told += [(fact, Face.REGULAR) for text in facts if (fact := _begun(text))]
    cares = _cares(warnings, is_decorative=is_decorative, is_slip=is_slip)
    if is_reprint:
        told.insert(1, (REPRINT, Face.REGULAR))
    return Words(tuple(told), cares, printable(route))


def _begun(text: str) -> str:
    """As much of a name as could have room on any label."""
    said = printable(text)
    return said if len(said) <= LONGEST_FACT else "".join(letters_of(said)[:LONGEST_FACT]).rstrip()


@lru_cache(maxsize=4096)
def _cares(warnings: tuple[str, ...], *, is_decorative: bool, is_slip: bool) -> tuple[Care, ...]:
    """The sentences in their order: what the ware must not be used for, then what is missing, then the rest."""
    said = tuple(dict.fromkeys(sentence for warning in warnings if (sentence := printable(warning))))
    must = [sentence for sentence in said if NOT_FOR_FOOD in sentence.casefold()]
    if is_decorative and not must:
        must = [DECORATIVE]
    cares = [Care(sentence, is_must=True) for sentence in must]
    if is_slip:
        cares.append(Care(NO_CODE_YET, has_sign=False, is_must=True))
    return (*cares, *(Care(sentence) for sentence in said if sentence not in must))


def room_of(slots: tuple[Slot, ...], size: float) -> float:
    """How much text the slots hold, in parts of the type size."""
    return sum(slot.width for slot in slots) / size


def set_lines(words: Words, slots: tuple[Slot, ...], size: float, *, beside: int = 0) -> tuple[Shape, ...] | None:
    """The words as shapes in the slots, or None when a care that must be said has no room.

    The first `beside` slots stand beside the code and are the facts' while the cares have room below it.
    """
    rooms = tuple(slot.width / size for slot in slots)
    lines = _lines(words.facts, words.cares, words.route, rooms, beside, False)  # noqa: FBT003 - a cached function's key
    return None if lines is None else _shapes(lines, slots, size)


def broken_lines(words: Words, slots: tuple[Slot, ...], size: float, beside: int) -> int | None:
    """How many lines are the rest of a sentence begun above; None when the words do not stand there whole."""
    rooms = tuple(slot.width / size for slot in slots)
    lines = _lines(words.facts, words.cares, words.route, rooms, beside, True)  # noqa: FBT003 - as in set_lines
    return None if lines is None else sum(line.runs_on for line in lines)


def _shapes(lines: tuple[Line, ...], slots: tuple[Slot, ...], size: float) -> tuple[Shape, ...]:
    shapes: list[Shape] = []
    for line, slot in zip(lines, slots, strict=False):
        if line.is_care:
            shapes.append(Triangle(slot.x, slot.y, size))
        shapes += [
            Text(slot.x + x * size, slot.y, width * size, size, face, text) for x, width, face, text in line.runs
        ]
    return tuple(shapes)


@lru_cache(maxsize=8192)
def _lines(
    facts: tuple[tuple[str, Face], ...],
    cares: tuple[Care, ...],
    route: str,
    rooms: tuple[float, ...],
    beside: int,
    whole: bool,  # noqa: FBT001 - lru_cache tells positional from named keys
) -> tuple[Line, ...] | None:
    """Facts in the first lines, cares in the next, the route in the last: facts give way first, then the route."""
    told = _packed(facts, rooms)
    most = len(_packed_into(facts, rooms))
    if whole:
        return None if told is None else _set(facts, cares, route, rooms, _Share(most, most, beside, whole=True))
    for wants_route in (True, False) if route else (False,):
        for count in range(most, 0, -1):
            for start in dict.fromkeys((max(count, beside), count)):
                lines = _set(facts, cares, route if wants_route else "", rooms, _Share(count, start, beside))
                if lines is not None:
                    return lines
    return _only_musts(facts, cares, rooms, beside)


@dataclass(frozen=True, slots=True)
class _Share:
    """How the lines are shared out: `facts` lines for the facts, the cares from line `start` on.

    No sentence runs on from the lines beside the code, of which there are `beside`, to those below it.
    """

    facts: int
    start: int
    beside: int
    whole: bool = False


def _set(
    facts: tuple[tuple[str, Face], ...], cares: tuple[Care, ...], route: str, rooms: tuple[float, ...], share: _Share
) -> tuple[Line, ...] | None:
    """All cares and the route in the lines left to them, or None."""
    said = _all_said(cares, rooms[share.start :], share.beside - share.start)
    if said is None:
        return None
    left = rooms[share.start + len(said) :]
    way = _wrapped(route, left, 0.0)
    if way is None and not share.whole:
        way = _cut(route, left) or None
    if way is None:
        return None
    told = _packed_into(facts, rooms[: share.facts])
    return (*told, *(Line(()),) * (share.start - len(told)), *said, *way)


def _all_said(cares: tuple[Care, ...], rooms: tuple[float, ...], beside: int) -> tuple[Line, ...] | None:
    """Each care on lines of its own, none running on past the first `beside` rooms; None without the room for all."""
    said: list[Line] = []
    for care in cares:
        indent = INDENT if care.has_sign else 0.0
        lines = _wrapped(care.sentence, rooms[len(said) :], indent)
        if lines is not None and len(said) < beside < len(said) + len(lines):
            said += [Line(())] * (beside - len(said))
            lines = _wrapped(care.sentence, rooms[beside:], indent)
        if lines is None:
            return None
        said += lines
    return tuple(said)


def _only_musts(
    facts: tuple[tuple[str, Face], ...], cares: tuple[Care, ...], rooms: tuple[float, ...], beside: int
) -> tuple[Line, ...] | None:
    """The maker, every care that must be said, as many others as have room, and how many are to be read on the page."""
    musts = tuple(care for care in cares if care.is_must)
    others = tuple(care for care in cares if not care.is_must)
    for kept in range(len(others) - 1, -1, -1):
        more = Care(f"and {len(others) - kept} more: see page")
        for start in dict.fromkeys((max(1, beside), 1)):
            said = _all_said((*musts, *others[:kept], more), rooms[start:], beside - start)
            if said is not None:
                told = _packed_into(facts, rooms[:start])
                return (*told, *(Line(()),) * (start - len(told)), *said)
    return None


@lru_cache(maxsize=8192)
def _wrapped(sentence: str, rooms: tuple[float, ...], indent: float) -> tuple[Line, ...] | None:
    """A sentence over as many lines as it takes, "not for food" bold and never parted; None without the room."""
    lines: list[Line] = []
    words = _tokens(sentence)
    while words:
        if len(lines) == len(rooms):
            return None
        room = rooms[len(lines)] - indent
        taken = _as_many_as_fit(words, room)
        if not taken:
            words = _parted(words, room)
            taken = _as_many_as_fit(words, room)
        if not taken:
            return None
        lines.append(Line(_runs(words[:taken], indent), is_care=indent > 0 and not lines, runs_on=bool(lines)))
        words = words[taken:]
    return tuple(lines)


def _cut(route: str, rooms: tuple[float, ...]) -> tuple[Line, ...]:
    """A route too long for its lines, as many of its parts as one line holds; nothing when not even the first.

    A part is never cut within, for half a cone is another cone.
    """
    parts = route.split(", ")
    for kept in range(len(parts) - 1, 0, -1) if rooms else ():
        text = f"{', '.join(parts[:kept])}{ELLIPSIS}"
        width = measure(text, Face.REGULAR)
        if width <= rooms[0]:
            return (Line(((0.0, width, Face.REGULAR, text),)),)
    return ()


def _tokens(sentence: str) -> list[tuple[str, Face]]:
    """The words of a sentence with their faces."""
    before, found, after = sentence.partition(NOT_FOR_FOOD)
    tokens = [(word, Face.REGULAR) for word in before.split()]
    if found:
        punctuation = after[: len(after) - len(after.lstrip(",.;:"))]
        tokens.append((found + punctuation, Face.BOLD))
        after = after[len(punctuation) :]
    return [*tokens, *((word, Face.REGULAR) for word in after.split())]


def _parted(words: list[tuple[str, Face]], room: float) -> list[tuple[str, Face]]:
    """The same with the first word parted where its writing has no spaces; unchanged where it may not be parted."""
    (word, face), *rest = words
    pieces = tuple(piece for _, piece in pieces_of(word)) if face is Face.REGULAR else ()
    for count in range(len(pieces) - 1, 0, -1):
        begun = "".join(pieces[:count])
        if measure(begun, face) <= room:
            return [(begun, face), ("".join(pieces[count:]), face), *rest]
    return words


def _as_many_as_fit(words: list[tuple[str, Face]], room: float) -> int:
    at, space = 0.0, measure(" ", Face.REGULAR)
    for count, (word, face) in enumerate(words):
        at += measure(word, face) + (space if count else 0.0)
        if at > room:
            return count
    return len(words)


def _runs(words: list[tuple[str, Face]], indent: float) -> tuple[Run, ...]:
    """Neighbouring words of one face as one run."""
    runs: list[Run] = []
    at, space = indent, measure(" ", Face.REGULAR)
    for word, face in words:
        if runs and runs[-1][2] is face:
            x, _, _, before = runs.pop()
            text = f"{before} {word}"
        else:
            x, text = at, word
        width = measure(text, face)
        runs.append((x, width, face, text))
        at = x + width + space
    return tuple(runs)


def _packed(facts: tuple[tuple[str, Face], ...], rooms: tuple[float, ...]) -> tuple[Line, ...] | None:
    """The facts side by side, going on to the next line when the next does not fit whole; None when some never does."""
    lines = _packed_into(facts, rooms)
    whole = sum(text.removeprefix(DOT) == fact for fact, _ in facts for line in lines for *_, text in line.runs)
    return lines if whole >= len(facts) else None


@lru_cache(maxsize=8192)
def _packed_into(facts: tuple[tuple[str, Face], ...], rooms: tuple[float, ...]) -> tuple[Line, ...]:
    """The facts side by side in the lines there are: one too long for a line is shortened, the last give way.

    A number among the last is left out rather than cut, for a part of it is another number. A maker's name keeps room
    for the word that this is a reprint.
    """
    lines: list[tuple[Run, ...]] = []
    at = 0.0
    kept = measure(DOT + REPRINT, Face.REGULAR) if (REPRINT, Face.REGULAR) in facts[1:2] else 0.0
    for fact, face in facts:
        joined = DOT + fact
        width = measure(joined, face)
        if lines and at + width <= rooms[len(lines) - 1]:
            lines[-1] += ((at, width, face, joined),)
            at += width
        elif len(lines) < len(rooms):
            text = shortened(fact, face, rooms[len(lines)] - kept)
            at = measure(text, face)
            lines.append(((0.0, at, face, text),))
            kept = 0.0
        else:
            text = "" if any(map(str.isdigit, fact)) else shortened(joined, face, rooms[-1] - at)
            if len(text) >= FEWEST_LETTERS:
                lines[-1] += ((at, measure(text, face), face, text),)
            break
    return tuple(Line(runs) for runs in lines)
