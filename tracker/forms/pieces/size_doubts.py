"""Sizes that make no sense as they were typed: "3" beside "2 1/2 in" and a pot of 0.3 in are asked about first."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from math import log

from tracker.domain.message import Choice, Message, _
from tracker.domain.quantities import Units
from tracker.domain.refusals import BadValue
from tracker.forms.lengths import LONGEST_MM, read_length

SIDES = ("height", "width", "depth")
LID = "lid_width"
LID_SIDES = ("lid_height", LID)
WALL = "wall"
MEASURES = ("mm", "cm", "in")
_OTHERS = {"mm": ("cm", "in"), "in": ("mm", "cm")}
"""What else may have been meant, the likeliest first."""

_BARE = re.compile(r"[0-9]{1,4}(?:[.,][0-9]{1,3})?|(?:[0-9]{1,2} )?[0-9]{1,2}/[0-9]{1,2}")
_FAR_OFF = 5
"""How many times larger or smaller than expected a side without a unit is asked about (common practice: no source)."""
_FAR_FROM_USUAL = 3
"""How many times larger or smaller than usual for its form a side is asked about, unit and all (common practice)."""
_WIDER_LID = 1.25
"""A lid more than so many times as wide as its pot is asked about (common practice: it sits on the rim or in it)."""
_NARROW_LID = 0.25
"""A lid less than this share of its pot's width is asked about (common practice: even a stopper is wider)."""
_SMALLEST_MM, _LARGEST_MM = 15, 1_000
"""Between these lies the longest side of nearly every piece (common practice)."""
_TINY_MM = {Units.METRIC: 20, Units.US: 25}
"""A piece with every side under this is asked about, whatever unit was typed (common practice)."""
_HUGE_MM = 600
"""A side over this is asked about: few studio kilns take it (common practice)."""
SURE = "sure"
"""The answer that sizes far out of the ordinary are meant as they were typed."""


@dataclass(frozen=True, slots=True)
class SizeDoubt:
    """Sides that were typed without a unit and are hardly meant in the one that was taken for granted.

    `sides` names their fields; `typed` and `meant` are the units, of which one is to be picked.
    """

    sides: tuple[str, ...]
    typed: str
    meant: str
    texts: tuple[str, ...]

    @property
    def message(self) -> Message:
        """The question."""
        words = _("{sides:capital}: {typed}? Did you mean {meant}?")
        told = {"typed": self.read_as(self.typed), "meant": self.read_as(self.meant)}
        return Message("size-doubted", words, sides=_named(self.sides), **told)

    @property
    def key(self) -> str:
        """Nothing by which to tell that it was answered before: an answer goes into its field."""
        return ""

    @property
    def answers(self) -> tuple[tuple[str, bool, tuple[str, ...]], ...]:
        """What may be picked: the unit that is sent, whether it says yes to the question, and the sizes in it."""
        return (self.meant, True, self.read_as(self.meant)), (self.typed, False, self.read_as(self.typed))

    def settled(self, sent: Mapping[str, str], unit: str) -> dict[str, str]:
        """The sides in doubt with the unit that was picked behind them."""
        return {side: f"{sent.get(side, '').strip()} {unit}" for side in self.sides}

    def read_as(self, unit: str) -> tuple[str, ...]:
        """What was typed, with this unit behind it."""
        return tuple(f"{text} {unit}" for text in self.texts)


@dataclass(frozen=True, slots=True)
class FarOut:
    """Sides that were typed in a known unit and hardly fit a pot: to be confirmed as they are, or corrected.

    Without `texts` it is a lid that was left out of a form that has one.
    """

    sides: tuple[str, ...]
    texts: tuple[str, ...]

    @property
    def message(self) -> Message:
        """The question."""
        words = Choice("of", {"piece": _("Check the {sides}: {typed}. Is that right?"), "lid": _LID_DOUBTED})
        if not self.texts:
            return Message("no-lid", _("Register without a lid?"))
        of = "lid" if self.sides == (LID,) else "piece"
        return Message("size-far-out", words, sides=_named(self.sides), typed=self.texts, of=of)

    @property
    def key(self) -> str:
        """What is asked, to tell whether the same was answered before."""
        return " ".join((*self.sides, *self.texts))

    @property
    def answers(self) -> tuple[tuple[str, bool, tuple[str, ...]], ...]:
        """What may be picked, as of a `SizeDoubt`: that it is right. To correct it is done in its field."""
        return ((SURE, True, self.texts),)

    def settled(self, sent: Mapping[str, str], answer: str) -> dict[str, str]:  # noqa: ARG002 -- as of a SizeDoubt
        """The sides in doubt, which stay as they were typed."""
        return {side: sent.get(side, "") for side in self.sides}


_LID_DOUBTED = _("Lid width: {typed}. Is that right for this jar?")
_NAMES = {
    "height": Message("height-of-piece", _("height")),
    "width": Message("width-of-piece", _("width")),
    "depth": Message("depth-of-piece", _("depth")),
    LID: Message("lid-width", _("lid width")),
    WALL: Message("thickest-wall", _("thickest wall")),
}


def _named(sides: tuple[str, ...]) -> tuple[Message, ...]:
    """What the fields of these sides are called."""
    return tuple(_NAMES[side] for side in sides)


def size_question(
    sent: Mapping[str, str],
    units: Units,
    usual_mm: Mapping[str, int],
    lid_mm: int | None = None,
    sure_of: Collection[str] = (),
) -> SizeDoubt | FarOut | None:
    """The first thing to ask about the sizes in a form; None where nothing is odd.

    `lid_mm` is the usual width of a lid, of a form that has one; `sure_of` are the keys of what was confirmed before.
    """
    asked = (
        size_doubt(sent, units, usual_mm),
        far_out(sent, units, usual_mm),
        odd_wall(sent, units, usual_mm),
        _odd_lid(sent, units, usual_mm.get("width"), lid_mm),
        _no_lid(sent) if lid_mm is not None else None,
    )
    return next((one for one in asked if one is not None and one.key not in sure_of), None)


def odd_wall(sent: Mapping[str, str], units: Units, known_mm: Mapping[str, int]) -> SizeDoubt | FarOut | None:
    """Ask about a wall thicker than its piece is high, or than half of what it is wide or deep.

    `known_mm` are the sides that aren't in the form.
    """
    text = " ".join(sent.get(WALL, "").split())
    own = "in" if units is Units.US else "mm"
    told = f"{text} {own}" if _BARE.fullmatch(text) else text
    wall = _length(told, units)
    sides = {side: _length(" ".join(sent.get(side, "").split()), units) or known_mm.get(side) for side in SIDES}
    most = [length if side == "height" else length // 2 for side, length in sides.items() if length]
    if wall is None or not most or wall <= min(most):
        return None
    fitting = [unit for unit in _OTHERS[own] if (_length(f"{text} {unit}", units) or LONGEST_MM) <= min(most)]
    return SizeDoubt((WALL,), own, fitting[0], (text,)) if told != text and fitting else FarOut((WALL,), (told,))


def _odd_lid(sent: Mapping[str, str], units: Units, usual_mm: int | None, lid_mm: int | None) -> FarOut | None:
    """Ask about a lid far wider or narrower than its pot, or one left as usual where its pot was corrected."""
    text = " ".join(sent.get(LID, "").split())
    lid, pot = _length(text, units), _length(" ".join(sent.get("width", "").split()), units)
    if lid is None or pot is None:
        return None
    is_left = lid == lid_mm and usual_mm is not None and pot != usual_mm
    own = "in" if units is Units.US else "mm"
    told = f"{text} {own}" if _BARE.fullmatch(text) else text
    fits = pot * _NARROW_LID <= lid <= pot * _WIDER_LID
    return FarOut((LID,), (told,)) if is_left or not fits else None


def _no_lid(sent: Mapping[str, str]) -> FarOut | None:
    """Ask about a lid that has no size where its pot has one: with no size at all the usual ones are filled in."""
    has_lid = any(sent.get(field, "").strip() for field in LID_SIDES)
    return FarOut(LID_SIDES, ()) if not has_lid and any(sent.get(side, "").strip() for side in SIDES) else None


def size_doubt(sent: Mapping[str, str], units: Units, usual_mm: Mapping[str, int]) -> SizeDoubt | None:
    """What to ask about the sizes in a form, None where they make sense; `usual_mm` are those of the form picked."""
    texts = {side: " ".join(sent.get(side, "").split()) for side in SIDES}
    bare = {side: text for side, text in texts.items() if _BARE.fullmatch(text)}
    own = "in" if units is Units.US else "mm"
    told = {side: _length(text, units) for side, text in texts.items() if text and side not in bare}
    named = next((unit for text in texts.values() for unit in MEASURES if text.rstrip(".").endswith(unit)), None)
    expected = {side: _expected(side, told, usual_mm) for side in bare}
    odd = [side for side, text in bare.items() if _is_odd(_length(f"{text} {own}", units), expected[side])]
    if odd and not any(expected.values()):
        # With nothing to go by, only the longest side tells: a tile may be as thin as it likes.
        longest = max((_length(f"{text} {own}", units) or LONGEST_MM for text in bare.values()), default=0)
        odd = odd if not _SMALLEST_MM <= longest <= _LARGEST_MM else []
    if not odd:
        return None
    others = dict.fromkeys(unit for unit in (named, *_OTHERS[own]) if unit not in {None, own})

    def lengths(unit: str | None) -> dict[str, int | None]:
        return {side: _length(f"{bare[side]} {unit}", units) for side in odd}

    fitting = [one for one in others if not any(_is_odd(mm, expected[side]) for side, mm in lengths(one).items())]
    if not fitting:
        return None
    nearest = min(fitting, key=lambda one: sum(_off(mm, expected[side]) for side, mm in lengths(one).items()))
    meant = named if named in fitting else nearest
    return SizeDoubt(tuple(odd), own, str(meant), tuple(bare[side] for side in odd))


def far_out(sent: Mapping[str, str], units: Units, usual_mm: Mapping[str, int]) -> FarOut | None:
    """What to ask about sizes that are readable but far out of the ordinary, None where they aren't.

    A piece may be tiny or huge where `usual_mm` already is.
    """
    own = "in" if units is Units.US else "mm"
    texts = {side: " ".join(sent.get(side, "").split()) for side in SIDES}
    texts = {side: f"{text} {own}" if _BARE.fullmatch(text) else text for side, text in texts.items() if text}
    lengths = {side: length for side, text in texts.items() if (length := _length(text, units)) is not None}
    tiny = [side for side, length in lengths.items() if max(length, usual_mm.get(side, 0)) < _TINY_MM[units]]
    odd = {side for side, length in lengths.items() if side in usual_mm and _is_far(length, usual_mm[side])}
    odd |= {side for side, length in lengths.items() if length > _HUGE_MM >= usual_mm.get(side, 0)}
    if len(tiny) == len(lengths) > 1 and not usual_mm:
        odd |= set(tiny)
    sides = tuple(side for side in texts if side in odd)
    return FarOut(sides, tuple(texts[side] for side in sides)) if sides else None


def _expected(side: str, told: Mapping[str, int | None], usual_mm: Mapping[str, int]) -> int | None:
    """About how long a side is: as long as usual, or else as the longest of those that were given with their unit."""
    return usual_mm.get(side) or max((mm for mm in told.values() if mm is not None), default=None)


def _is_odd(length: int | None, expected: int | None) -> bool:
    if length is None:
        return True
    if expected is None:
        return not _SMALLEST_MM <= length <= _LARGEST_MM
    return not expected <= length * _FAR_OFF <= expected * _FAR_OFF**2


def _is_far(length: int, usual: int) -> bool:
    return not usual <= length * _FAR_FROM_USUAL <= usual * _FAR_FROM_USUAL**2


def _off(length: int | None, expected: int | None) -> float:
    """How far off a length is from what is expected; 0 where nothing is."""
    return abs(log((length or 1) / expected)) if expected else 0.0


def _length(text: str, units: Units) -> int | None:
    """The length in mm, None where it is none."""
    try:
        return read_length(text, units)
    except BadValue:
        return None
