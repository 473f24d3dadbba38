"""The parts of an outdoor session's sheet: head, cautions, crew and facts, rounds with their rows, the page's foot.

Everything is made for a clipboard in harsh light and a hand in a glove: codes and numbers large, boxes to write in.
Lengths are mm, each block drawn from its own top left corner.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from printing.bars import BAR_QUIET, Bars, Unprintable, bar_modules, bars
from printing.faces import ELLIPSIS, measure, printable
from printing.firing.blocks import THICK, TITLE_SIZE
from printing.lettering import NAMELESS, POINT, SMALLEST_PRINT, At, words, wrapped_freely
from printing.outdoor.floor_pictures import RoundWords, SheetPiece, SheetRound, badge, floor_picture
from printing.pages import LEADING, air, beside, lines_of, set_lines, stacked
from printing.pdf import left_bearing
from printing.shapes import (
    CAP_HEIGHT,
    TRIANGLE,
    Face,
    Ink,
    Oblong,
    Pen,
    Picture,
    Rule,
    Shape,
    Symbol,
    Text,
    Triangle,
    moved,
)

HAIR = 0.16
DOTS_PER_MM = 8.0
"""Of a printer head of 203 dots to the inch."""

MODULES = (3 / DOTS_PER_MM, 2 / DOTS_PER_MM)
"""A module of bars, in whole dots of such a head: 0.375 mm, or 0.25 mm for a text too long for that."""

WIDEST_BARS = 50.0
"""Bars wider than this, with their quiet zones, leave a row no room for words."""

MOST_LINES = 9
"""Lines that a warning or a container may take before the rest is left to the page."""

MOST_NOTE_LINES = 40
"""A round's note tells the pullers what to do, so it is cut only where it would fill the page."""

WIDEST_CELL = 58.0
TO_WRITE_ON = 34.0
"""Crew and facts: the widest one, and the line for a name that is not there yet."""

SUBTITLE_SIZE = 11.0 * POINT
LABEL_SIZE = 7.0 * POINT
ROUND_HEAD = 7.8
AFTER_ROUND = 2.0
PAD = 0.9
"""Above and under what stands in a row."""


@dataclass(frozen=True, slots=True)
class Look:
    """How large the rounds are: their type, the floor's drawing, the height of bars and the type of codes.

    By `stretch` mm every row is higher than it must be: what room a page has left goes into bars and boxes.
    """

    points: float
    floor: float
    bar_high: float
    code_points: float
    stretch: float = 0.0

    @property
    def size(self) -> float:
        """The type size in mm."""
        return self.points * POINT


LOOKS = (
    Look(11.0, 56.0, 10.0, 20.0),
    Look(10.5, 54.0, 9.5, 19.0),
    Look(10.0, 52.0, 9.0, 18.5),
    Look(9.5, 50.0, 8.5, 18.0),
    Look(9.0, 48.0, 8.0, 17.5),
    Look(8.5, 46.0, 7.5, 17.0),
    Look(8.0, 43.0, 7.0, 16.0),
    Look(7.5, 40.0, 6.4, 15.5),
    Look(7.0, 37.0, 6.0, 15.0),
)
"""From generous to the least that is read at arm's length outdoors."""


def session_head(title: str, subtitle: str, width: float) -> Picture:
    """The session's name and what it is, over a thick rule: for the first page."""
    lines = [
        Picture(width, 1.15 * TITLE_SIZE, (words(0.0, CAP_HEIGHT * TITLE_SIZE, TITLE_SIZE, line, Face.BOLD),))
        for line in wrapped_freely(title, Face.BOLD, width / TITLE_SIZE)
    ]
    lines += lines_of(subtitle, width, SUBTITLE_SIZE)
    return stacked([*lines, Picture(width, 3.2, (Rule(0.0, 0.9, width, THICK),))])


def next_head(title: str, subtitle: str, width: float) -> Picture:
    """The same in one line, for the pages after the first."""
    size = 1.15 * SUBTITLE_SIZE
    name = words(0.0, 0.95 * size, size, title, Face.BOLD, room=0.55 * width)
    more = words(width, 0.95 * size, SUBTITLE_SIZE, subtitle, at=At.END, room=0.42 * width)
    return Picture(width, 1.3 * size + 3.2, (name, more, Rule(0.0, 1.3 * size + 0.7, width, THICK)))


def foot(footer: str, goes_on: str, number: str, width: float) -> Picture:
    """The page's last line: what the sheet is, where it goes on, and which page this is."""
    size = 8.5 * POINT
    y = 0.95 * size + 1.6
    page = words(width, y, size, number, Face.BOLD, at=At.END)
    on = words(page.x - 4.0, y, size, goes_on, Face.BOLD, at=At.END, room=0.5 * width)
    left = words(0.0, y, 0.85 * size, footer, ink=Ink.SOFT, room=on.x - 4.0)
    return Picture(width, y + 0.32 * size, (Rule(0.0, 0.6, width, HAIR), left, on, page))


# ---- the cautions ----------------------------------------------------------------------------------------------------


def first_cautions(before: str, said: Sequence[str], width: float, size: float) -> list[Picture]:
    """What to beware of, each with a box to tick, in two columns within a frame."""
    ticked = [block for caution in said if (block := _caution(caution, (width - 10.0) / 2, size)).height]
    if not ticked:
        return []
    left, right = _halves(ticked)
    columns = beside([(3.0, stacked(left)), (width / 2 + 2.0, stacked(right))], width)
    large = 1.25 * size
    sign = Triangle(3.0, 1.9 + CAP_HEIGHT * large, 1.1 * large, Ink.IRON)
    title = words(3.0 + 1.25 * large, 1.9 + CAP_HEIGHT * large, large, before, Face.BOLD)
    inner = stacked([Picture(width, 2.6 + 1.1 * large, (sign, title)), columns, air(1.6)])
    frame = Oblong(THICK / 2, THICK / 2, width - THICK, inner.height - THICK, Pen(THICK))
    return [Picture(width, inner.height, (frame, *inner.shapes)), air(2.6)]


def flowing_cautions(before: str, said: Sequence[str], width: float, size: float) -> list[Picture]:
    """The same line by line, for more of them than a frame should hold."""
    blocks = [Picture(width, 1.5 * size, (words(0.0, 0.95 * size, size, before, Face.BOLD),))]
    for caution in said:
        blocks += _caution_lines(caution, width, size)
    return [*blocks, air(2.6)]


def _caution(said: str, width: float, size: float) -> Picture:
    lines = _caution_lines(said, width, size)
    return stacked([*lines, air(0.25 * size)]) if lines else air(0.0)


def _caution_lines(said: str, width: float, size: float) -> list[Picture]:
    """A caution's lines, the first behind a box to tick."""
    indent, side = 1.3 * size, 0.78 * size
    lines = wrapped_freely(said, Face.REGULAR, (width - indent) / size)
    tick = Oblong(0.1, 0.95 * size - CAP_HEIGHT * size / 2 - side / 2, side, side, Pen(0.2))
    return [
        Picture(width, LEADING * size, ((tick,) if place == 0 else ()) + (words(indent, 0.95 * size, size, line),))
        for place, line in enumerate(lines)
    ]


def _halves(blocks: Sequence[Picture]) -> tuple[Sequence[Picture], Sequence[Picture]]:
    """The blocks in their order as two columns of about the same height."""
    tall = [(max(stacked(blocks[:at]).height, stacked(blocks[at:]).height), at) for at in range(1, len(blocks) + 1)]
    _, at = min(tall)
    return blocks[:at], blocks[at:]


# ---- crew and facts --------------------------------------------------------------------------------------------------


def cells(said: Sequence[tuple[str, str]], width: float, size: float, face: Face, see_page: str) -> list[Picture]:
    """Names over values side by side; a value that is not there yet is a line to write it on."""
    lines: list[list[tuple[float, Picture]]] = [[]]
    x = 0.0
    for name, value in said:
        cell = _cell(name, value, size, face, see_page)
        if lines[-1] and x + cell.width > width:
            lines.append([])
            x = 0.0
        lines[-1].append((x, cell))
        x += cell.width + 5.0
    return [part for line in lines if line for part in (beside(line, width), air(0.8))]


def _cell(name: str, value: str, size: float, face: Face, see_page: str) -> Picture:
    label = words(0.0, 0.95 * LABEL_SIZE, LABEL_SIZE, name, ink=Ink.SOFT, room=WIDEST_CELL)
    top = Picture(label.width, LEADING * LABEL_SIZE, (label,))
    if not value.strip():
        wide = max(TO_WRITE_ON, label.width)
        return stacked([top, Picture(wide, 1.5 * size, (Rule(0.0, 1.4 * size, wide, HAIR, Ink.SOFT),))])
    lines = _most(wrapped_freely(value, face, WIDEST_CELL / size) or (see_page,), see_page)
    texts = [words(0.0, 0.95 * size, size, line, face) for line in lines]
    return stacked([top, *(Picture(text.width, LEADING * size, (text,)) for text in texts)])


def _most(lines: Sequence[str], see_page: str, most: int = MOST_LINES) -> Sequence[str]:
    """The lines, or as many as there may be, the last saying where the rest is."""
    return lines if len(lines) <= most else (*lines[: most - 1], f"{ELLIPSIS} {see_page}")


# ---- a round ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Columns:
    """Where the parts of a row stand, from the row's left end: code and bars, the words, the boxes."""

    width: float
    words: float
    boxes: float
    module: float

    @property
    def quiet(self) -> float:
        """The blank beside the bars."""
        return BAR_QUIET * self.module


def columns(pieces: Sequence[SheetPiece], width: float, look: Look) -> Columns:
    """The columns of all rows of a sheet, by its longest bars; boxes and words share what the bars leave."""
    longest = max((len(piece.bar_text) for piece in pieces), default=5)
    module = next((one for one in MODULES if _wide(longest, one) <= WIDEST_BARS), MODULES[-1])
    bars_wide = min(max(_wide(longest, module), _wide(5, MODULES[0])), WIDEST_BARS)
    room = width - look.floor - 2.0
    return Columns(room, bars_wide + 0.5, room - 0.43 * (room - bars_wide), module)


def _wide(letters: int, module: float) -> float:
    return (bar_modules(letters) + 2 * BAR_QUIET) * module


@dataclass(frozen=True, slots=True)
class Part:
    """So many of a round's pieces as stand on one page; `goes_on` where the round began on a page before."""

    round: SheetRound
    pieces: tuple[SheetPiece, ...]
    goes_on: bool = False


def round_height(part: Part, look: Look, at: Columns) -> float:
    """How high the block of a part is."""
    _, _, body = _arranged(part, look, at)
    return ROUND_HEAD + body + AFTER_ROUND


def round_block(part: Part, width: float, look: Look, at: Columns) -> Picture:
    """A round, or a part of it: its head, the floor with what to mind at the left, a row for each piece."""
    left, below, high = _arranged(part, look, at)
    rows = stacked([*(row(piece, look, at, part.round.said) for piece in part.pieces), below])
    body = beside([(0.0, left), (look.floor + 2.0, rows)], width)
    head = round_head(part.round, width, look, goes_on=part.goes_on)
    return stacked([head, Picture(width, high, body.shapes), air(AFTER_ROUND)])


def _arranged(part: Part, look: Look, at: Columns) -> tuple[Picture, Picture, float]:
    """What stands left of the rows and below them, and how high all of it is: the lowest way, the floor always left."""
    rows = sum(row(piece, look, at, part.round.said).height for piece in part.pieces)
    if part.goes_on:
        floor = _left(part.round, look, 0)
        # A drawing higher than the last few rows would only cost a page: it is on the page before.
        left = floor if floor.height <= rows else air(0.0)
        return left, air(0.0), max(left.height, rows)
    ways = [(_left(part.round, look, said), _below(part.round, look, at, said)) for said in (2, 1, 0)]
    heights = [max(left.height, rows + below.height) for left, below in ways]
    best = heights.index(min(heights))
    return (*ways[best], heights[best])


def round_head(kiln_round: SheetRound, width: float, look: Look, *, goes_on: bool) -> Picture:
    """The round's name and planned time over a rule, and boxes for when it began, was hot and was done."""
    high, size = ROUND_HEAD - 0.2, 1.35 * look.size
    boxes: list[Shape] = []
    wide, gap = 21.0, 1.2
    left = width - 3 * wide - 2 * gap
    said = kiln_round.said
    for place, label in enumerate((said.started, said.at_heat, said.all_out)):
        boxes += _box(left + place * (wide + gap), 1.1, wide, high - 1.2, label)
    room = left - 3.0
    title = said.continued.format(round=kiln_round.title) if goes_on else kiln_round.title
    # Smaller rather than cut: a round's name says how hot it is pulled.
    ems = words(0.0, 0.0, 1.0, title, Face.BOLD).width + 1.0 + words(0.0, 0.0, 1.0, kiln_round.times).width
    size = max(min(size, room / ems), SMALLEST_PRINT)
    y = 0.6 + high / 2 + CAP_HEIGHT * size / 2
    times = words(0.0, y, size, kiln_round.times).width
    name = words(0.0, y, size, title, Face.BOLD, room=max(0.62 * room, room - times - 0.9 * size))
    indent = name.width + (0.9 * size if name.text else 0.0)
    planned = words(indent, y, size, kiln_round.times, room=room - indent)
    # Under a rule of its own each round is found at a glance.
    return Picture(width, ROUND_HEAD, (Rule(0.0, 0.0, width, 0.4), name, planned, *([] if goes_on else boxes)))


@lru_cache(maxsize=512)
def _left(kiln_round: SheetRound, look: Look, said: int) -> Picture:
    """The floor's drawing, and under it the first `said` of what to mind and what to warm up for the next round."""
    small = max(0.85 * look.size, SMALLEST_PRINT)
    floor = floor_picture(kiln_round, look.floor - 1.0, small, with_codes=False, with_legend=False)
    sentences = (kiln_round.note, kiln_round.warm_up)[:said]
    return stacked(
        [air(1.0), floor, air(0.6), *_sentences(sentences, look.floor - 1.0, look, kiln_round.said.see_page)]
    )


@lru_cache(maxsize=512)
def _below(kiln_round: SheetRound, look: Look, at: Columns, said: int) -> Picture:
    """The others, under the rows."""
    sentences = _sentences(
        (kiln_round.note, kiln_round.warm_up)[said:], at.width - at.quiet, look, kiln_round.said.see_page
    )
    return (
        stacked([air(0.8), *(beside([(at.quiet, block)], at.width) for block in sentences)]) if sentences else air(0.0)
    )


def _sentences(sentences: Sequence[str], width: float, look: Look, see_page: str) -> list[Picture]:
    size = max(0.9 * look.size, 7.0 * POINT)
    blocks: list[Picture] = []
    for sentence in sentences:
        lines = _most(wrapped_freely(sentence, Face.REGULAR, width / size), see_page, MOST_NOTE_LINES)
        blocks += [*set_lines(lines, size, Face.REGULAR), air(0.25 * size)] if lines else []
    return blocks


@lru_cache(maxsize=2048)
def row(piece: SheetPiece, look: Look, at: Columns, said: RoundWords) -> Picture:
    """A piece: its number, code and bars, whose it is and what it wants, and boxes to write in."""
    told = _told(piece, at.boxes - at.words - 2.0, look.size, said)
    marks, low = _marks(piece, look, at, piece.label(said))
    high = max(low, told.height + 2 * PAD + look.stretch)
    boxes = _boxes(at.boxes, PAD, at.width - at.boxes, high - 2 * PAD, said)
    shapes = [*marks, *(moved(shape, at.words, PAD) for shape in told.shapes), *boxes]
    return Picture(at.width, high, (*shapes, Rule(0.0, high - HAIR / 2, at.width, HAIR)))


def _marks(piece: SheetPiece, look: Look, at: Columns, label: str) -> tuple[list[Shape], float]:
    """The number's disc, the code and under both the bars, beginning on one line; and how far down they go."""
    size = look.code_points * POINT
    cap = CAP_HEIGHT * size
    radius = 0.68 * cap
    x, y = at.quiet, PAD + radius
    room = at.words - x - 2 * radius - 1.6 - ((0.8 * TRIANGLE * size + 1.0) if piece.apart else 0.0)
    size = min(size, room / measure(label, Face.CODE))
    left = x + 2 * radius + 1.6 - left_bearing(label[0], Face.CODE) * size
    code = words(left, y + CAP_HEIGHT * size / 2, size, label, Face.CODE)
    shapes: list[Shape] = [*badge(x + radius, y, radius, piece), code]
    if piece.apart:
        shapes.append(Triangle(code.x + code.width + 0.9, code.y, 0.8 * size, Ink.IRON))
    top = PAD + 2 * radius + 1.0
    symbol = _bars(piece.bar_text)
    if symbol is None or symbol.modules * at.module + 2 * at.quiet > at.words:
        return shapes, top
    shapes.append(Symbol(x, top, at.module, look.bar_high + look.stretch, symbol.modules, (symbol.row,), BAR_QUIET))
    return shapes, top + look.bar_high + look.stretch + PAD


def _bars(text: str) -> Bars | None:
    """The bars, or None for a text that none can carry: its code is there in letters."""
    try:
        return bars(text)
    except Unprintable:
        return None


def _told(piece: SheetPiece, room: float, size: float, said: RoundWords) -> Picture:
    """The maker and where the piece goes, what it is and wears, and its warning with the sign."""
    small = max(0.94 * size, 7.0 * POINT)
    blocks = _maker(piece, room, size, said)
    what = ", ".join(one for one in (printable(piece.what), printable(piece.glaze)) if one)
    blocks += set_lines(_most(wrapped_freely(what, Face.REGULAR, room / small), said.see_page, 3), small, Face.REGULAR)
    if piece.warning.strip():
        indent = (TRIANGLE + 0.35) * small
        warning = printable(piece.warning) or said.warning
        lines = _most(wrapped_freely(warning, Face.BOLD, (room - indent) / small), said.see_page)
        first, *others = set_lines(lines, small, Face.BOLD, indent)
        sign = Triangle(0.0, 0.95 * small, small, Ink.IRON)
        blocks += [Picture(room, first.height, (sign, *first.shapes)), *others]
    return stacked(blocks)


def _maker(piece: SheetPiece, room: float, size: float, said: RoundWords) -> list[Picture]:
    """The maker with the container at the right end of the line, beside the box for it; else in lines of its own."""
    maker = words(0.0, 0.95 * size, size, printable(piece.maker) or NAMELESS, Face.BOLD, room=room)
    into = (printable(piece.container) or said.container) if piece.container.strip() else ""
    container = words(room, maker.y, size, into, Face.BOLD, at=At.END)
    if maker.width + 1.2 * size + container.width <= room:
        return [Picture(room, LEADING * size, (maker, container) if into else (maker,))]
    lines = _most(wrapped_freely(into, Face.BOLD, room / size), said.see_page)
    return [Picture(room, LEADING * size, (maker,)), *set_lines(lines, size, Face.BOLD)]


def _boxes(left: float, top: float, wide: float, high: float, said: RoundWords) -> list[Shape]:
    """Boxes for the times of a piece and, under them, for what came of it."""
    gap = 0.9
    row_high, column = (high - gap) / 2, (wide - 2 * gap) / 3
    shapes: list[Shape] = []
    for place, label in enumerate((said.pulled, said.closed, said.out)):
        shapes += _box(left + place * (column + gap), top, column, row_high, label)
    return [*shapes, *_box(left, top + row_high + gap, wide, row_high, said.result)]


def _box(left: float, top: float, wide: float, high: float, label: str) -> list[Shape]:
    """A box to write in, its label small in the corner."""
    size = SMALLEST_PRINT
    text: Text = words(left + 0.7, top + 0.5 + CAP_HEIGHT * size + 0.2, size, label, ink=Ink.SOFT, room=wide - 1.2)
    return [Oblong(left, top, wide, high, Pen(0.2)), text]
