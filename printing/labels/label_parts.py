"""What a label says, part by part, and what of it gives way first where there is no room. Lengths are mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from printing.bars import QrForm
from printing.lettering import POINT, lettered
from printing.shapes import Face, Ink

SIZES = tuple(half / 2 * POINT for half in range(36, 11, -1))
"""The label's type sizes that are tried, from 18 down to 6 points."""


class Gives(Enum):
    """How a part gives way on a small label, in this order: first the facts, then what leaves, then what is counted."""

    NEVER = "is there whole, or the label is refused"
    SHRINKS = "takes fewer lines, down to one, and its facts are shortened or dropped"
    LEAVES = "is left to the page, the last part first"
    COUNTED = "is counted: and so many more, see page"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One thing a label says; its letters are `scale` of the label's type sizes.

    `instead` is said where the faces have none of the text's letters. `also` are further facts that stand beside the
    first as long as there is room; it leaves room for the next of them where it `keeps_next`. The words `strong` are
    bold and never parted. A part that `grows` takes the room that is left; `gives` is how it gives way, and one that is
    counted says `rest` for itself and those after it where they have no room; `lines` is how many it may take before it
    is cut, 0 for all it needs; one with `cut_at` is cut only there. A `care` has its sign, one with a `rule` a thick
    line under it, one `to_write` a line to write on. `least` is the smallest type, in mm, that it may be said in. A
    `code` stands before the text, which never pushes it aside. One that stands `apart` has more room above it; so has a
    `head`, which goes when what it heads goes. One that is `centred` stands in the middle of its width.
    """

    text: str
    face: Face = Face.REGULAR
    scale: float = 1.0
    instead: str = ""
    also: tuple[str, ...] = ()
    keeps_next: bool = False
    strong: str = ""
    grows: bool = False
    gives: Gives = Gives.NEVER
    lines: int = 0
    cut_at: str = ""
    care: bool = False
    rule: bool = False
    to_write: bool = False
    at_foot: bool = False
    least: float = SIZES[-1]
    code: str = ""
    head: bool = False
    apart: bool = False
    centred: bool = False
    ink: Ink = Ink.INK
    rest: str = ""

    @property
    def said(self) -> str:
        """The text in the letters that its face has."""
        return lettered(self.text, self.face) or lettered(self.instead, self.face)

    @property
    def facts(self) -> tuple[tuple[str, Face], ...]:
        """The text and what stands beside it, each with its face."""
        return ((self.said, self.face), *((fact, Face.REGULAR) for fact in self.also))


Parts = tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Qr:
    """A QR that leads to `address`, in the form that all of one printing share."""

    address: str
    form: QrForm


@dataclass(frozen=True, slots=True, eq=False)
class Usual:
    """What a usual label of a kind says, all of it first, then less and less: it settles where things stand on a stock.

    The arrangement with the largest type in which the first of these stands whole is taken for all labels of the kind.
    On a large label that is `at_length`, which has a long name, as long as its type is read at arm's length.
    """

    says: tuple[Parts, ...]
    at_length: Parts = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """What one label says, from top to foot, with the text of its bars.

    Its type is at most `largest`, in mm, but for the part that grows. Where all labels of the kind shall look alike,
    `usual` is what one says, the text of the bars is also a code to copy, with room for `letters`, and a `qr` stands
    beside it.
    """

    parts: Parts
    bar: str = ""
    most_growth: float = 9.0
    largest: float = 12.0 * POINT
    usual: Usual | None = None
    letters: int = 0
    qr: Qr | None = None


def versions(parts: Parts) -> Iterator[Parts]:
    """All that is said, then less and less, in the order in which parts give way."""
    for count in range(sum(part.gives is Gives.LEAVES for part in parts) + 1):
        yield _without(parts, count)
    others = [part for part in parts if part.gives is Gives.COUNTED]
    musts = _without(tuple(part for part in parts if part.gives is not Gives.COUNTED), len(parts))
    for kept in range(len(others) - 1, -1, -1):
        yield (*musts, *others[:kept], Part(text=others[kept].rest, care=True))


def _without(parts: Parts, count: int) -> Parts:
    """Those that say something, but for the last `count` of those that may leave."""
    kept: list[Part] = []
    for part in reversed(parts):
        if part.gives is Gives.LEAVES and count:
            count -= 1
        elif part.head and (not kept or kept[-1].head or kept[-1].at_foot):
            continue
        elif part.said or part.to_write:
            kept.append(part)
    return tuple(reversed(kept))
