"""The parts of a firing's sheet: its head, the schedule, boxes for cones and readings, codes by shelf, cautions.

Every part is a column of blocks no higher than a line or two, so that what does not fit on one page goes on to the next
rather than being lost. Lengths are mm, each block drawn from its own top left corner.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from printing.lettering import POINT, At, words, wrapped_freely
from printing.loading.load_pictures import LoadSeen, in_order
from printing.pages import LEADING, air, beside, lines_of, stacked
from printing.shapes import CAP_HEIGHT, TRIANGLE, Face, Ink, Oblong, Pen, Picture, Rule, Shape, Text, Triangle

HAIR, THICK = 0.14, 0.5
FEWEST_NOTES = 2
TITLE_SIZE = 19.0 * POINT
FACT_SIZE = 10.5 * POINT
SMALL_SIZE = 8.0 * POINT
READING_HIGH = 6.4
"""A row to write a reading in: room for a hand in a glove."""

NOTE_HIGH = 8.0
"""From one line for notes to the next."""

READINGS_ACROSS = 5
CONE_BOX = 8.0, 6.0
"""A box to write how far a witness cone bent."""

SHARES = (0.07, 0.17, 0.15, 0.13, 0.14, 0.34)
"""The shares of the schedule's width that its columns have; those of numbers are bold."""

NUMBERS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWords:
    """The headings of a firing's sheet and what it says by itself.

    `columns` are the schedule's after its first; `no_pictures_from` has a place for {shelf}, `page` for {number} and
    {count}.
    """

    schedule: str
    columns: tuple[str, str, str, str, str]
    witness: str
    readings: str
    hour: str
    time: str
    degrees: str
    notes: str
    curve: str
    codes: str
    empty: str
    no_pictures: str
    no_pictures_from: str
    page: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentSaid:
    """One segment of a schedule in words: "1", "100 °C/h", "600 °C", "15 min", "13:40", "damper to half"."""

    segment: str
    rate: str
    to: str
    hold: str = ""
    note: str = ""
    clock: str = ""


@dataclass(frozen=True, slots=True)
class WitnessSaid:
    """Witness cones to be looked at: where they stand and what they are called."""

    where: str
    cones: tuple[str, ...]


def head(title: str, facts: Sequence[str], width: float, number: str) -> list[Picture]:
    """The firing's name, the page's number where there is more than one, and what it is, over a thick rule."""
    count = words(width, CAP_HEIGHT * TITLE_SIZE, FACT_SIZE, number, at=At.END)
    room = (width - count.width - (4.0 if number else 0.0)) / TITLE_SIZE
    blocks = []
    for place, line in enumerate(wrapped_freely(title, Face.BOLD, room)):
        name = words(0.0, CAP_HEIGHT * TITLE_SIZE, TITLE_SIZE, line, Face.BOLD)
        blocks.append(Picture(width, 1.15 * TITLE_SIZE, (name,) if place else (name, count)))
    blocks += lines_of(" · ".join(facts), width, FACT_SIZE)
    return [*blocks, Picture(width, 3.4, (Rule(0.0, 0.9, width, THICK),))]


def section(said: str, width: float) -> Picture:
    """The heading of a part."""
    size = 10.0 * POINT
    return Picture(width, 1.55 * size, (words(0.0, 0.95 * size, size, said, Face.BOLD, room=width),))


def note(said: str, width: float) -> list[Picture]:
    """A sentence between the parts."""
    return lines_of(said, width, SMALL_SIZE)


def schedule(segments: Sequence[SegmentSaid], width: float, size: float, said: SheetWords) -> list[Picture]:
    """The schedule as a table, a block for each of its lines."""
    if not segments:
        return []
    blocks = [section(said.schedule, width), _heads(said.columns, width, 0.9 * size)]
    for segment in segments:
        cells = (segment.segment, segment.rate, segment.to, segment.hold, segment.clock, segment.note)
        blocks += _row(cells, width, size)
    return blocks


def _heads(names: Sequence[str], width: float, size: float) -> Picture:
    columns = zip(names, _columns(width)[1:], strict=True)
    texts = [words(left, 0.9 * size, size, name, ink=Ink.SOFT, room=wide) for name, (left, wide) in columns]
    return Picture(width, 1.35 * size, (*texts, Rule(0.0, 1.3 * size, width, HAIR)))


def _columns(width: float) -> list[tuple[float, float]]:
    """Each column's left edge and the room in it."""
    return [(sum(SHARES[:place]) * width, share * width - 1.2) for place, share in enumerate(SHARES)]


def _row(said: Sequence[str], width: float, size: float) -> list[Picture]:
    """A segment's lines, the last over a hairline."""
    cells = [
        (left, face, wrapped_freely(text, face, wide / size))
        for place, (text, (left, wide)) in enumerate(zip(said, _columns(width), strict=True))
        for face in (Face.BOLD if place < NUMBERS else Face.REGULAR,)
    ]
    most = max(len(lines) for _, _, lines in cells)
    blocks = []
    for line in range(most):
        texts: list[Shape] = [
            words(left, 1.1 * size, size, lines[line], face) for left, face, lines in cells if line < len(lines)
        ]
        is_last = line == most - 1
        high = (1.55 if is_last else LEADING) * size
        blocks.append(Picture(width, high, (*texts, Rule(0.0, high - HAIR, width, HAIR)) if is_last else tuple(texts)))
    return blocks


def witness(said: Sequence[WitnessSaid], width: float, size: float, title: str, key: str) -> list[Picture]:
    """A box for each witness cone to write in how it stands: a row for each place and a column for each cone.

    Places with other cones have columns of their own. `key` says under the heading what is written into the boxes and
    what each cone is for.
    """
    if not any(place.cones for place in said):
        return []
    blocks = [*lines_of(title, width, 10.0 * POINT, Face.BOLD), *lines_of(key, width, SMALL_SIZE), air(0.6)]
    names = min(max(words(0.0, 0.0, size, place.where, Face.BOLD).width for place in said) + 3.0, 0.5 * width)
    for cones, places in groupby(said, key=lambda place: place.cones):
        blocks += _pack(tuple(places), cones, names, width, size)
    return blocks


def _pack(
    places: Sequence[WitnessSaid], cones: Sequence[str], names: float, width: float, size: float
) -> Iterator[Picture]:
    """The boxes of places with the same cones; `names` is the room for what the places are called."""
    column = max([words(0.0, 0.0, size, cone).width for cone in cones] + [CONE_BOX[0]]) + 3.0
    across = int((width - names) / column)
    if across < 1:
        yield from (block for place in places for block in _cone_list(place, width, size))
        return
    for start in range(0, len(cones), across):
        shown = cones[start : start + across]
        heads = [words(names + at * column, 0.95 * size, size, cone, ink=Ink.SOFT) for at, cone in enumerate(shown)]
        yield Picture(width, 1.4 * size, tuple(heads))
        yield from (_cone_row(place, shown, names, column, width, size) for place in places)


def _cone_row(
    place: WitnessSaid, cones: Sequence[str], names: float, column: float, width: float, size: float
) -> Picture:
    wide, high = CONE_BOX
    name = words(0.0, high / 2 + CAP_HEIGHT * size / 2, size, place.where, Face.BOLD, room=names - 1.0)
    boxes = [Oblong(names + at * column + 0.1, 0.1, wide, high, Pen(0.2)) for at in range(len(cones))]
    return Picture(width, high + 1.4, (name, *boxes))


def _cone_list(place: WitnessSaid, width: float, size: float) -> list[Picture]:
    """The cones of one place under one another, for names too long to stand beside each other."""
    wide, high = CONE_BOX
    blocks = lines_of(place.where, width, size, Face.BOLD)
    for cone in place.cones:
        lines = lines_of(cone, width - wide - 1.4, size)
        box = Picture(width, high + 1.2, (Oblong(0.1, 0.1, wide, high, Pen(0.2)),))
        blocks.append(beside([(0.0, box), (wide + 1.4, stacked(lines))], width))
    return blocks


def readings(width: float, rows: int, said: SheetWords, first: int = 1) -> list[Picture]:
    """Boxes for readings, hour by hour down the columns: rows under their heads, numbered from `first` on."""
    column = (width - 0.2) / READINGS_ACROSS
    heads: list[Shape] = []
    for place in range(READINGS_ACROSS):
        left = place * column
        heads += [
            words(left + 0.12 * column, 2.6, SMALL_SIZE, said.hour, at=At.MIDDLE, ink=Ink.SOFT),
            words(left + 0.28 * column, 2.6, SMALL_SIZE, said.time, ink=Ink.SOFT),
            words(left + 0.64 * column, 2.6, SMALL_SIZE, said.degrees, ink=Ink.SOFT),
        ]
    blocks = [section(said.readings, width), Picture(width, 3.4, tuple(heads))]
    for row in range(rows):
        hours = [first + place * rows + row for place in range(READINGS_ACROSS)]
        shapes = [shape for place, hour in enumerate(hours) for shape in _boxes(place * column + 0.1, column, hour)]
        blocks.append(Picture(width, READING_HIGH, tuple(shapes)))
    return blocks


def _boxes(left: float, column: float, hour: int) -> list[Shape]:
    """The boxes of one reading: its hour, and room for the time and the temperature."""
    pen, size = Pen(0.18, Ink.SOFT), SMALL_SIZE
    inner = column - 2.4
    base = READING_HIGH / 2 + CAP_HEIGHT * size / 2
    return [
        words(left + 0.12 * column, base, size, str(hour), at=At.MIDDLE, ink=Ink.SOFT),
        Oblong(left + 0.24 * column, 0.0, 0.36 * column, READING_HIGH, pen),
        Oblong(left + 0.6 * column, 0.0, inner - 0.6 * column, READING_HIGH, pen),
    ]


def ruled(width: float, height: float, notes: str) -> Picture:
    """Lines for notes over as much of `height` as holds two or more; nothing where it holds fewer."""
    title = section(notes, width)
    count = int((height - title.height - 2.0) / NOTE_HIGH)
    if count < FEWEST_NOTES:
        return air(height)
    lines = [Rule(0.0, title.height + (row + 0.9) * NOTE_HIGH, width, HAIR, Ink.SOFT) for row in range(count)]
    return Picture(width, height, (*title.shapes, *lines))


def cautions(said: Sequence[str], width: float, size: float) -> list[Picture]:
    """What to beware of, each with its sign, under a thick rule."""
    blocks = [Picture(width, 2.2, (Rule(0.0, 0.6, width, THICK),))] if said else []
    indent = (TRIANGLE + 0.45) * size
    for caution in said:
        for place, line in enumerate(wrapped_freely(caution, Face.REGULAR, (width - indent) / size)):
            text = words(indent, 0.95 * size, size, line)
            sign = () if place else (Triangle(0.0, 0.95 * size, size, Ink.IRON),)
            blocks.append(Picture(width, LEADING * size, (*sign, text)))
    return blocks


def codes_by_shelf(load: LoadSeen, width: float, size: float, empty: str) -> list[Picture]:
    """Every code of every shelf, from the lowest up."""
    blocks = []
    for level in load.levels:
        blocks += lines_of(level.name, width, size, Face.BOLD)
        blocks += _codes([piece.said for piece in in_order(level)], width, size) or lines_of(empty, width, size)
    return blocks


def _codes(codes: Sequence[str], width: float, size: float) -> list[Picture]:
    """Codes side by side, a block for each line."""
    rows: list[list[Text]] = []
    x = width
    for code in codes:
        text = words(0.0, 0.95 * size, size, code, Face.CODE, room=width)
        if not rows or x + text.width > width:
            rows.append([])
            x = 0.0
        rows[-1].append(words(x, 0.95 * size, size, code, Face.CODE, room=width))
        x += text.width + 1.2 * size
    return [Picture(width, LEADING * size, tuple(row)) for row in rows]
