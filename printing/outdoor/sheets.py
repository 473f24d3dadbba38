"""An outdoor session on one or two pages for the clipboard: cautions first, then round by round what is pulled.

The largest type in which everything stands on one page is taken, while it stays comfortable; then the largest on two.
What is more goes on to further pages, whole rounds where they fit, and each page says where it goes on.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

from printing.firing.blocks import ruled
from printing.lettering import POINT, lettered
from printing.outdoor.blocks import (
    DOTS_PER_MM,
    LOOKS,
    Columns,
    Look,
    Part,
    cells,
    columns,
    first_cautions,
    flowing_cautions,
    foot,
    next_head,
    round_block,
    round_height,
    session_head,
)
from printing.outdoor.floor_pictures import RoundWords, SheetPiece, SheetRound, floor_picture
from printing.pages import MARGIN, PAPERS, air, pages_pdf, stacked
from printing.shapes import Face, Picture, moved

__all__ = [
    "RoundWords",
    "SessionSheet",
    "SheetPiece",
    "SheetRound",
    "SheetWords",
    "floor_picture",
    "session_pages",
    "session_pdf",
]

COMFORTABLE = 8.5
"""Points of type for the sake of which a second page is begun."""

USUAL_PAGES = 2
MOST_STRETCH = 3.5
"""Millimetres by which a row may be higher than it must be, where the page has room."""

CAUTION_SHARE = 0.4
"""Cautions higher than this part of a page flow line by line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWords:
    """What a session's sheet says by itself: over its cautions, over the lines for notes, and at the page's foot.

    `page` has a place for {number} and {count}, `goes_on` for {number}, `round_goes_on` and `round_next` for {round}
    and {number}. `see_page` is said in place of what can't be lettered.
    """

    before: str
    notes: str
    page: str
    goes_on: str
    round_goes_on: str
    round_next: str
    see_page: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionSheet:
    """What stands on a session's sheet, in words; `crew` are duties with names, `facts` names with values.

    A crew's name or a fact that is empty becomes a line to write on. The cautions are whole sentences.
    """

    title: str
    subtitle: str
    said: SheetWords
    crew: tuple[tuple[str, str], ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    cautions: tuple[str, ...] = ()
    rounds: tuple[SheetRound, ...] = ()
    footer: str = ""


@dataclass(frozen=True, slots=True)
class _Block:
    """A block on a page before it is drawn, its rows stretched by some mm, and which part of a round it is, if any."""

    height: float
    draw: Callable[[float], Picture]
    part: Part | None = None

    @classmethod
    def of(cls, picture: Picture) -> _Block:
        """A block that is drawn already."""
        return cls(picture.height, lambda _: picture)


def session_pages(sheet: SessionSheet, paper: str = "a4") -> tuple[Picture, ...]:
    """The pages of the sheet on `paper` ("a4" or "letter"), in mm."""
    sides = PAPERS[paper]
    measured = _Sheet(sheet, sides[0] - 2 * MARGIN, sides[1] - 2 * MARGIN)
    flow = _best(measured)
    return tuple(_page(measured, flow, number, sides) for number in range(1, len(flow) + 1))


def session_pdf(sheet: SessionSheet, paper: str = "a4") -> bytes:
    """The sheet as a PDF; equal sheets give equal bytes. Bars begin on whole dots of a printer of 203 to the inch."""
    return pages_pdf(session_pages(sheet, paper), sheet.title, DOTS_PER_MM)


# ---- which size, and what stands on which page -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A sheet with the width and height that its pages have between their margins."""

    said: SessionSheet
    width: float
    height: float

    @property
    def room(self) -> float:
        """The height above the page's foot."""
        return self.height - foot("x", "x", "x", self.width).height - 1.0

    @property
    def pieces(self) -> Sequence[SheetPiece]:
        """Every piece of every round."""
        return [piece for kiln_round in self.said.rounds for piece in kiln_round.pieces]

    def front(self, look: Look) -> list[Picture]:
        """What stands before the rounds: the head, the cautions, crew and facts."""
        size = max(look.size, 7.5 * POINT)
        said, words = self.said, self.said.said
        framed = first_cautions(words.before, said.cautions, self.width, size)
        if framed and stacked(framed).height > CAUTION_SHARE * self.height:
            framed = flowing_cautions(words.before, said.cautions, self.width, size)
        return [
            session_head(said.title, said.subtitle, self.width),
            *framed,
            *cells(said.crew, self.width, 1.15 * size, Face.BOLD, words.see_page),
            *cells(said.facts, self.width, size, Face.REGULAR, words.see_page),
            air(1.2),
        ]


def _best(sheet: _Sheet) -> list[list[_Block]]:
    """The pages in the largest type that needs no more of them than it should."""
    for pages, looks in ((1, [one for one in LOOKS if one.points >= COMFORTABLE]), (USUAL_PAGES, LOOKS)):
        for parted in (False, True):
            for look in looks:
                flow = _flow(sheet, look, parted=parted)
                if len(flow) <= pages:
                    return flow
    return _flow(sheet, next(look for look in LOOKS if look.points == COMFORTABLE), parted=False)


@dataclass(slots=True)
class _Pages:
    """Pages while they are filled: the head of all but the first, the room on each, how much of the last is used."""

    head: Picture
    room: float
    pages: list[list[_Block]] = field(default_factory=lambda: [[]])
    used: float = 0.0

    @property
    def left(self) -> float:
        """The room left on the last page."""
        return self.room - self.used

    @property
    def is_fresh(self) -> bool:
        """Whether nothing but a head stands on the last page."""
        return self.used <= self.head.height

    def put(self, block: _Block) -> None:
        """Set a block under what stands there."""
        self.pages[-1].append(block)
        self.used += block.height

    def turn(self) -> None:
        """Begin a page."""
        self.pages.append([_Block.of(self.head)])
        self.used = self.head.height


def _flow(sheet: _Sheet, look: Look, *, parted: bool) -> list[list[_Block]]:
    """The blocks page by page; a round is parted where it must be, or, `parted`, wherever a page ends."""
    at = columns(sheet.pieces, sheet.width, look)
    pages = _Pages(next_head(sheet.said.title, sheet.said.subtitle, sheet.width), sheet.room)
    for block in sheet.front(look):
        if block.height > pages.left and not pages.is_fresh:
            pages.turn()
        pages.put(_Block.of(block))
    for kiln_round in sheet.said.rounds:
        whole = round_height(Part(kiln_round, kiln_round.pieces), look, at)
        fits_a_page = pages.head.height + whole <= pages.room
        if whole > pages.left and not parted and (fits_a_page or pages.left < pages.room / 2):
            pages.turn()
        _lay(kiln_round, pages, sheet.width, look, at)
    return pages.pages


def _lay(kiln_round: SheetRound, pages: _Pages, width: float, look: Look, at: Columns) -> None:
    """Set a round on the last page and, as far as it has no room there, on as many more as it takes."""
    rest = Part(kiln_round, kiln_round.pieces)
    while True:
        part = _fitting(rest, pages.left, look, at)
        if part is None and not pages.is_fresh:
            pages.turn()
            continue
        part = part or replace(rest, pieces=rest.pieces[:1])
        draw = partial(_drawn, part, width, look, at)
        pages.put(_Block(round_height(part, look, at), draw, part))
        if len(part.pieces) == len(rest.pieces):
            return
        rest = Part(kiln_round, rest.pieces[len(part.pieces) :], goes_on=True)
        pages.turn()


def _drawn(part: Part, width: float, look: Look, at: Columns, stretch: float) -> Picture:
    return round_block(part, width, replace(look, stretch=stretch), at)


def _fitting(rest: Part, room: float, look: Look, at: Columns) -> Part | None:
    """As much of a round as stands within `room`; None when not even its first piece does."""
    counts = range(len(rest.pieces), 0, -1) if rest.pieces else (0,)
    parts = (replace(rest, pieces=rest.pieces[:count]) for count in counts)
    return next((part for part in parts if round_height(part, look, at) <= room), None)


def _page(sheet: _Sheet, flow: Sequence[Sequence[_Block]], number: int, sides: tuple[float, float]) -> Picture:
    """A page with its foot; on the last one, lines for notes over what room remains."""
    count = len(flow)
    blocks = flow[number - 1]
    rows = sum(len(block.part.pieces) for block in blocks if block.part)
    spare = sheet.room - sum(block.height for block in blocks)
    stretch = max(0.0, min(MOST_STRETCH, spare / rows)) if rows else 0.0
    column = stacked([block.draw(stretch) for block in blocks])
    if number == count:
        column = stacked([column, ruled(sheet.width, max(sheet.room - column.height, 0.0), sheet.said.said.notes)])
    page = sheet.said.said.page.format(number=number, count=count)
    last = foot(sheet.said.footer, _next(flow, number, sheet.said.said), page, sheet.width)
    below = [moved(shape, 0.0, sheet.height - last.height) for shape in last.shapes]
    return Picture(*sides, tuple(moved(shape, MARGIN, MARGIN) for shape in (*column.shapes, *below)))


def _next(flow: Sequence[Sequence[_Block]], number: int, said: SheetWords) -> str:
    """What the next page begins with: "Round 3 continues on page 2"."""
    if number == len(flow):
        return ""
    part = next((block.part for block in flow[number] if block.part is not None), None)
    if part is None or not lettered(part.round.title, Face.BOLD):
        return said.goes_on.format(number=number + 1)
    template = said.round_goes_on if part.goes_on else said.round_next
    return template.format(round=part.round.title, number=number + 1)
