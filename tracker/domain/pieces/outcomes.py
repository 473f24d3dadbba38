"""What came of a piece in the fire: good, flawed or broken; and which flaws keep it from food."""

from __future__ import annotations

from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from tracker.domain.message import Fact, Message, Plural, _


class Flaw(StrEnum):
    """One fault of a fired piece; in this order several are told of one piece (common practice)."""

    CRAZED = "crazed"
    CRAWLED = "crawled"
    PINHOLED = "pinholed"
    BLISTERED = "blistered"
    SHIVERED = "shivered"
    DUNTED = "dunted"
    S_CRACK = "s-crack"
    CRACKED = "cracked"
    BLOATED = "bloated"
    WARPED = "warped"
    SLUMPED = "slumped"
    STUCK = "stuck"
    RAN = "ran"
    UNDERFIRED = "underfired"
    OVERFIRED = "overfired"
    COLOR_OFF = "color-off"


CRACKS = frozenset({Flaw.CRACKED, Flaw.DUNTED, Flaw.S_CRACK})
"""Cracks in the clay: they run on when a piece is pulled hot (common practice)."""

CLAY_FLAWS = (Flaw.DUNTED, Flaw.S_CRACK, Flaw.CRACKED, Flaw.BLOATED, Flaw.WARPED, Flaw.SLUMPED)
"""Faults of the clay; after a bisque there are no others but those of the firing."""

GLAZE_FLAWS = (Flaw.CRAZED, Flaw.CRAWLED, Flaw.PINHOLED, Flaw.BLISTERED, Flaw.SHIVERED, Flaw.RAN, Flaw.COLOR_OFF)
"""Faults of the glaze."""

FIRING_FLAWS = (Flaw.STUCK, Flaw.UNDERFIRED, Flaw.OVERFIRED)
"""Firing faults, of which clay and glaze both may have their part."""

OF_BISQUE_HEAT = (Flaw.UNDERFIRED, Flaw.OVERFIRED)
"""What says how bisque takes its glaze. The firing of that glaze is the one whose heat counts afterwards."""

AFTER_BISQUE = (*CLAY_FLAWS, *OF_BISQUE_HEAT)
"""What may be wrong with ware out of a bisque."""

NEVER_FOOD = CRACKS | {Flaw.UNDERFIRED, Flaw.SHIVERED}
"""Flaws that count wherever they show (common practice): they go through the whole wall, or shed slivers of glaze."""

SPOILS_FOOD = NEVER_FOOD | {Flaw.CRAZED, Flaw.CRAWLED, Flaw.PINHOLED, Flaw.BLISTERED}
"""Flaws with which a food surface (inside and rim) holds no food: it is bare, traps it, leaks or sheds glass."""

COUNT_BY_PLACE = SPOILS_FOOD - NEVER_FOOD
"""What spoils a food surface only where it shows there."""

SHARP = frozenset({Flaw.STUCK, Flaw.RAN, Flaw.BLISTERED})
"""Flaws whose glaze has sharp edges, which are ground off (common practice)."""

MENDED_BY_FIRE = frozenset({Flaw.CRAWLED, Flaw.PINHOLED, Flaw.BLISTERED, Flaw.UNDERFIRED})
"""Flaws that another firing often mends (common practice)."""

LASTING = CRACKS | {Flaw.SHIVERED, Flaw.BLOATED, Flaw.WARPED, Flaw.SLUMPED, Flaw.OVERFIRED}
"""Flaws that no other firing mends: they stay on record until staff take them off by name (common practice)."""


def came_out(flaws: Iterable[Flaw]) -> tuple[Fact, ...]:
    """Flaws as they follow "came out": "crazed", "with an S-crack"."""
    s_crack = Message("with-an-s-crack", _("with an S-crack"))
    return tuple(s_crack if one is Flaw.S_CRACK else one for one in flaws)


def without_result(refs: Iterable[str]) -> Message:
    """That nobody has said yet what came of these pieces, in one sentence for all."""
    words = Plural("pieces", "{pieces} has no result yet.", "{pieces} have no result yet.")
    return Message("no-result", words, pieces=tuple(refs))


def in_order(flaws: Iterable[Flaw]) -> tuple[Flaw, ...]:
    """These flaws in the order of `Flaw`, each once."""
    found = set(flaws)
    return tuple(one for one in Flaw if one in found)


_GOOD, _BROKE = "good", "broke"
WORDS = (_GOOD, _BROKE, *Flaw)
"""The words by which what came of a piece is told."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a piece in the fire: good where nothing is wrong, else its flaws; what broke is lost.

    `outside_only` says that its flaws show on its outside or foot and nowhere else; the careful side is that nobody
    has said. Clay faults and glaze faults have a note each.
    """

    flaws: tuple[Flaw, ...] = ()
    broke: bool = False
    outside_only: bool = False
    clay_note: str = ""
    glaze_note: str = ""

    GOOD: ClassVar[Outcome]
    BROKE: ClassVar[Outcome]

    def __post_init__(self) -> None:
        """Put the flaws in their order, each once."""
        object.__setattr__(self, "flaws", in_order(self.flaws))

    @classmethod
    def of(cls, *flaws: Flaw) -> Outcome:
        """A piece that came out with these flaws, of which nothing more is known."""
        return cls(flaws)

    @classmethod
    def parse(cls, text: str) -> Outcome:
        """The outcome in words with commas between them, as `str` writes it; ValueError for any other text."""
        words = text.split(",")
        if words == [_GOOD]:
            return cls()
        return cls(tuple(Flaw(word) for word in words if word != _BROKE), broke=_BROKE in words)

    def __str__(self) -> str:
        """Its words with commas between them: "good", "crazed,pinholed", "broke,dunted"."""
        return ",".join([*([_BROKE] if self.broke else []), *self.flaws]) or _GOOD

    @property
    def survives(self) -> bool:
        """Whether there is still a piece to hand over."""
        return not self.broke

    @property
    def is_good(self) -> bool:
        """Whether nothing is wrong with it."""
        return self.survives and not self.flaws

    @property
    def is_flawed(self) -> bool:
        """Whether it came out whole and not quite as hoped."""
        return self.survives and bool(self.flaws)

    @property
    def message(self) -> Message:
        """What came of it, in the words of a sentence."""
        if self.is_good:
            return Message("good", _("good"))
        if self.survives:
            return Message("flawed", "{flaws}", flaws=self.flaws)
        if self.flaws:
            return Message("broke-with", _("broke: {flaws}"), flaws=self.flaws)
        return Message("broke", _("broke"))

    @property
    def notes(self) -> tuple[Message, ...]:
        """What was noted about its clay and about its glaze."""
        clay = Message("clay-note", _("Clay: {note}"), note=self.clay_note) if self.clay_note else None
        glaze = Message("glaze-note", _("Glaze: {note}"), note=self.glaze_note) if self.glaze_note else None
        return tuple(one for one in (clay, glaze) if one is not None)

    def left_on(self, before: tuple[Flaw, ...], beyond: AbstractSet[Flaw] = LASTING) -> tuple[Flaw, ...]:
        """The flaws that count from now on of a piece that had these before it was fired again.

        A good result ends those that are not `beyond` that fire; until then they add up. What is known to show only
        outside leaves the inside alone.
        """
        if self.is_good:
            return tuple(one for one in before if one in beyond)
        new = self.flaws if not self.outside_only else [one for one in self.flaws if one not in COUNT_BY_PLACE]
        return in_order((*before, *new))

    @property
    def out_of_a_bisque(self) -> Outcome:
        """What of a bisque's result stays a flaw of the ware: what may be wrong with it then, and no note."""
        return Outcome(tuple(one for one in self.flaws if one in AFTER_BISQUE))


Outcome.GOOD, Outcome.BROKE = Outcome(), Outcome(broke=True)
