"""What goes home with a piece: its care card, the pickup slip, and the stick-on for ware that is not for food.

What must not be used for food says so first and largest; nothing is promised of what may be. Lengths are mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from printing.labels.label_parts import Gives, Label, Part
from printing.labels.several import on_several
from printing.labels.stock import Stock
from printing.shapes import CAP_HEIGHT, X_HEIGHT, Face, Ink

CONSPICUOUS = 3.2
"""The least height of the letters of a label for ware not for food, in mm: an eighth of an inch (21 CFR 109.16,
from memory)."""

MOST_ON_A_SLIP = 12


def conspicuous_size(text: str) -> float:
    """The type size, in mm, at which even the lowest letter of `text` is conspicuous."""
    return CONSPICUOUS / (CAP_HEIGHT if text.isupper() else X_HEIGHT)


@dataclass(frozen=True, slots=True, kw_only=True)
class CareWords:
    """The headings of a care card, and what it says of what cannot be printed."""

    tested: str
    untested: str
    care: str
    nameless: str
    made_of: str
    unreadable: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CareCard:
    """What a care card says: `first` is said largest; each of `tested`, `untested` and `care` is a sentence.

    `whose` names the piece and its maker; `base` says what to write on the base, empty for ware that needs no mark
    there. `code` is what the bars say, `studio` stands at the foot.
    """

    first: str
    is_warning: bool
    says: str
    code: str
    whose: str
    made_of: str
    said: CareWords
    tested: tuple[str, ...] = ()
    untested: tuple[str, ...] = ()
    care: tuple[str, ...] = ()
    base: str = ""
    caution: str = ""
    studio: str = ""


def care_card(card: CareCard) -> Label:
    """The card as a label: the warning or the standing, the piece, what was tested and what was not, how to keep it."""
    return Label(parts=tuple(_care_parts(card)), bar=card.code, most_growth=1.5 if card.is_warning else 1.0)


def _care_parts(card: CareCard) -> Iterator[Part]:
    said = card.said
    least = conspicuous_size(card.first) if card.is_warning else 0.0
    yield Part(
        text=card.first, face=Face.BOLD, scale=1.9, grows=card.is_warning, care=card.is_warning, rule=True, least=least
    )
    yield Part(text=card.code, face=Face.CODE, scale=1.5)
    yield Part(text=card.whose, face=Face.BOLD, instead=said.nameless, lines=2)
    yield Part(text=card.made_of, instead=said.made_of, ink=Ink.SOFT, gives=Gives.LEAVES)
    yield Part(text=card.says)
    for head, sentences in ((said.tested, card.tested), (said.untested, card.untested)):
        if sentences:
            yield Part(text=head, face=Face.BOLD, head=True)
            yield from (Part(text=f"· {one}", instead=said.unreadable) for one in sentences)
    if card.base:
        yield Part(text=card.base)
    if card.care:
        yield Part(text=said.care, face=Face.BOLD, head=True)
    yield from (Part(text=f"· {one}", gives=Gives.LEAVES) for one in card.care)
    yield Part(text=card.caution, scale=0.85, at_foot=True)
    yield Part(text=card.studio, scale=0.85, ink=Ink.SOFT, at_foot=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class StickOn:
    """The label that ware not for food carries: the warning, why it is not, and its code with whose studio says so."""

    warning: str
    why: str
    code: str


def stick_on(label: StickOn) -> Label:
    """The warning as large as the label allows, no letter lower than 3.2 mm; the code in small beneath."""
    parts = (
        Part(
            text=label.warning,
            face=Face.BOLD,
            scale=2.0,
            grows=True,
            care=True,
            least=conspicuous_size(label.warning),
        ),
        Part(text=label.why, gives=Gives.LEAVES, lines=2),
        Part(text=label.code, gives=Gives.LEAVES, lines=1, ink=Ink.SOFT),
    )
    return Label(parts=parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipWords:
    """The titles and lines of a pickup slip; `numbered` has places for {number} and {count}.

    `nameless` and `unreadable` are said of a name that cannot be printed.
    """

    title: str
    numbered: str
    taken_by: str
    date: str
    nameless: str
    unreadable: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipLine:
    """One piece on a pickup slip; `warning` is empty where nothing must be said of it."""

    code: str
    what: str
    warning: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PickupSlip:
    """Who takes which pieces home; each line is one piece, and `when` is the day with the studio's name."""

    maker: str
    when: str
    lines: tuple[SlipLine, ...]
    said: SlipWords
    caution: str = ""


def pickup_slips(slip: PickupSlip, stock: Stock, dots_per_inch: int | None = None) -> tuple[Label, ...]:
    """The slip on as few pieces of `stock` as hold it, numbered; TooSmall when not one piece fits on one."""

    def one(lines: Sequence[SlipLine], number: int, of: int) -> Label:
        return _slip(slip, lines, number, of)

    return on_several(slip.lines, one, stock, dots_per_inch, most=MOST_ON_A_SLIP)


def _slip(slip: PickupSlip, lines: Sequence[SlipLine], number: int, of: int) -> Label:
    said = slip.said
    title = said.numbered.format(number=number, count=of) if of > 1 else said.title
    parts = [
        Part(text=title, face=Face.BOLD, scale=1.6, rule=True),
        Part(text=slip.maker, instead=said.nameless, face=Face.BOLD, scale=1.2, lines=2),
        Part(text=slip.when, ink=Ink.SOFT, gives=Gives.LEAVES, lines=2),
    ]
    for line in lines:
        parts.append(Part(text=line.what, instead=said.unreadable, lines=2, code=line.code, apart=True))
        if line.warning:
            parts.append(Part(text=line.warning, face=Face.BOLD, care=True))
    parts += [
        Part(text=slip.caution, scale=0.85, at_foot=True, gives=Gives.LEAVES),
        Part(text=said.taken_by, to_write=True, at_foot=True),
        Part(text=said.date, to_write=True, at_foot=True),
    ]
    return Label(parts=tuple(parts))
