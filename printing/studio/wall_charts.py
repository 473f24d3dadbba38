"""The glaze shelf as a chart for the wall: one page while it can be read there, more where the shelf is longer.

The largest type that keeps everything on one page is taken, upright or lying; below the smallest a second page begins,
and each page says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from printing.faces import printable
from printing.lettering import POINT, At, in_lines, words, wrapped_freely
from printing.pages import MARGIN, PAPERS, pages_pdf
from printing.shapes import CAP_HEIGHT, TRIANGLE, Face, Picture, Rule, Shape, Triangle, moved

TYPE_SIZES = (15.0, 14.0, 13.0, 12.0, 11.0, 10.5, 10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0)
"""Points, from a chart of few glazes to the least that is read at arm's length."""

LEADING = 1.24
GAP = 0.6
"""Between columns, in type sizes."""

ROW_AIR = 0.4
"""Above and under the lines of a row together, in type sizes."""

_SHARES = (0.15, 0.225, 0.09, 0.115, 0.15, 0.27)
_HAIR, _THICK = 0.12, 0.55
_TITLE = 2.1
_GROUP = 1.25
_HEAD = 0.82
_CAUTION_SIZE = 7.5 * POINT
_MM_BY_TITLE = 13.0
_SIGN = TRIANGLE + 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Glaze:
    """One glaze in the words of the chart; `limits` says what must not be done with it and what it asks for."""

    name: str
    matures: str
    goes_on: str
    stands: str
    food: str
    limits: str


@dataclass(frozen=True, slots=True)
class Shelf:
    """What the chart shows: its title, whose it is, the groups with their glazes, and the caution at the foot.

    `heads` are the names of a glaze's facts in their order; `numbered` says whose it is on one of several pages, with
    places for {studio}, {number} and {count}.
    """

    title: str
    studio: str
    numbered: str
    heads: tuple[str, ...]
    groups: tuple[tuple[str, tuple[Glaze, ...]], ...]
    caution: str


@dataclass(frozen=True, slots=True)
class _Block:
    """A group's heading or a glaze's row, laid out from its own top left corner; a heading stays with what follows."""

    shapes: tuple[Shape, ...]
    height: float
    is_heading: bool = False


def pages(shelf: Shelf, paper: str = "a4") -> tuple[Picture, ...]:
    """The pages of the chart on `paper` ("a4" or "letter")."""
    narrow, high = PAPERS[paper]
    for points in TYPE_SIZES:
        for width, height in ((narrow, high), (high, narrow)):
            columns = _flow(shelf, points * POINT, width, height)
            if len(columns) == 1:
                return (_page(shelf, columns[0], points * POINT, (width, height), shelf.studio),)
    size = TYPE_SIZES[-1] * POINT
    flow = _flow(shelf, size, narrow, high)
    return tuple(
        _page(
            shelf,
            blocks,
            size,
            (narrow, high),
            shelf.numbered.format(studio=shelf.studio, number=number, count=len(flow)),
        )
        for number, blocks in enumerate(flow, start=1)
    )


def chart_pdf(shelf: Shelf, paper: str = "a4") -> bytes:
    """The chart as a PDF; equal shelves give equal bytes."""
    return pages_pdf(pages(shelf, paper), shelf.title)


# ---- what goes where ------------------------------------------------------------------------------------------------


def _flow(shelf: Shelf, size: float, width: float, height: float) -> list[list[_Block]]:
    """The blocks page by page; a heading is never the last on its page."""
    room = (
        height
        - 2 * MARGIN
        - _MM_BY_TITLE
        - _head_height(shelf, size, width - 2 * MARGIN)
        - _caution_height(shelf, width)
    )
    flow: list[list[_Block]] = [[]]
    used = 0.0
    blocks = list(_blocks(shelf, size, width - 2 * MARGIN))
    for place, block in enumerate(blocks):
        needs = block.height + (blocks[place + 1].height if block.is_heading and place + 1 < len(blocks) else 0.0)
        if used + needs > room and flow[-1]:
            flow.append([])
            used = 0.0
        flow[-1].append(block)
        used += block.height
    return flow


def _blocks(shelf: Shelf, size: float, width: float) -> Iterator[_Block]:
    for group, glazes in shelf.groups:
        yield _heading(group, size, width)
        for glaze in glazes:
            yield _row(glaze, size, width)


def _heading(group: str, size: float, width: float) -> _Block:
    large = _GROUP * size
    text = words(0.0, 1.25 * large, large, group, Face.BOLD, room=width)
    line = Rule(0.0, 1.6 * large, width, _THICK)
    return _Block((text, line), 1.6 * large + _THICK, is_heading=True)


def _row(glaze: Glaze, size: float, width: float) -> _Block:
    """One glaze: its cells beside each other, each broken into as many lines as it needs, over a hairline."""
    cells = (glaze.name, glaze.matures, glaze.goes_on, glaze.stands, glaze.food)
    columns = _columns(width)
    shapes: list[Shape] = []
    most = 1
    for (x, wide), said, face in zip(columns, cells, (Face.BOLD, *[Face.REGULAR] * 4), strict=False):
        lines = wrapped_freely(said, face, wide / size - GAP)
        shapes += _lines(x, lines, size, face)
        most = max(most, len(lines))
    x, wide = columns[-1]
    lines = wrapped_freely(glaze.limits, Face.REGULAR, wide / size - _SIGN)
    if lines:
        shapes += [Triangle(x, _baseline(0, size), size), *_lines(x + _SIGN * size, lines, size, Face.REGULAR)]
    height = (max(most, len(lines)) * LEADING + ROW_AIR) * size
    shapes.append(Rule(0.0, height - _HAIR, width, _HAIR))
    return _Block(tuple(shapes), height)


def _columns(width: float) -> list[tuple[float, float]]:
    """Where each column begins and how wide it is."""
    starts = [sum(_SHARES[:place]) for place in range(len(_SHARES))]
    return [(start * width, share * width) for start, share in zip(starts, _SHARES, strict=True)]


def _baseline(line: int, size: float) -> float:
    return (ROW_AIR / 2 + 0.95 + line * LEADING) * size


def _lines(x: float, lines: Sequence[str], size: float, face: Face) -> list[Shape]:
    return [words(x, _baseline(number, size), size, line, face) for number, line in enumerate(lines)]


def _page(shelf: Shelf, blocks: Sequence[_Block], size: float, sides: tuple[float, float], whose: str) -> Picture:
    width, height = sides
    inner = width - 2 * MARGIN
    shapes = [*_title(shelf, inner, whose), *_heads(shelf, size, inner)]
    y = MARGIN + _MM_BY_TITLE + _head_height(shelf, size, inner)
    placed = [moved(shape, MARGIN, 0.0) for shape in shapes]
    for block in blocks:
        placed += [moved(shape, MARGIN, y) for shape in block.shapes]
        y += block.height
    foot = height - MARGIN - _caution_height(shelf, width)
    placed += [moved(shape, MARGIN, foot) for shape in _caution(shelf, inner)]
    return Picture(width, height, tuple(placed))


def _title(shelf: Shelf, width: float, whose: str) -> list[Shape]:
    large, small = _TITLE * 10 * POINT, 9.5 * POINT
    base = MARGIN + CAP_HEIGHT * large
    return [
        words(0.0, base, large, shelf.title, Face.BOLD, room=0.5 * width),
        words(width, base, small, printable(whose), at=At.END, room=0.45 * width),
    ]


def _heads(shelf: Shelf, size: float, width: float) -> list[Shape]:
    small = _HEAD * size
    y = MARGIN + _MM_BY_TITLE + 0.9 * small
    return [line for x, wide, head in _headed(shelf, width) for line in in_lines(x, y, small, head, room=wide)]


def _headed(shelf: Shelf, width: float) -> list[tuple[float, float, str]]:
    """Where each head begins, how wide its column is, and what it says."""
    return [(x, wide, head) for (x, wide), head in zip(_columns(width), shelf.heads, strict=True)]


def _head_height(shelf: Shelf, size: float, width: float) -> float:
    small = _HEAD * size
    most = max(len(wrapped_freely(head, Face.REGULAR, wide / small)) for _x, wide, head in _headed(shelf, width))
    return 1.2 * size + (most - 1) * LEADING * size


def _caution(shelf: Shelf, width: float) -> list[Shape]:
    """The caution with its sign, under a rule, from the top of its own strip."""
    size = _CAUTION_SIZE
    lines = wrapped_freely(shelf.caution, Face.REGULAR, width / size - 2 * _SIGN)
    sign = Triangle(0.0, 2.0 + 0.95 * size, size)
    texts = [
        words(_SIGN * size, 2.0 + (0.95 + number * LEADING) * size, size, line) for number, line in enumerate(lines)
    ]
    return [Rule(0.0, 0.6, width, _THICK), sign, *texts]


def _caution_height(shelf: Shelf, width: float) -> float:
    lines = wrapped_freely(shelf.caution, Face.REGULAR, (width - 2 * MARGIN) / _CAUTION_SIZE - 2 * _SIGN)
    return 2.0 + (len(lines) * LEADING + 0.3) * _CAUTION_SIZE
