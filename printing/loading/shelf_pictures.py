"""Each shelf of a load seen from above, with every piece to be found.

A code stands on its piece where it is readable there. A piece too small for it carries a number, inside or at the end
of a line, and the list under the shelf says whose it is; where even that has no room the list says where it stands.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from printing.lettering import LEADING, NARROW, SAMPLE, SCREEN_SIZE, At, ink_box, legend, words
from printing.loading.from_above import FromAbove, box_of
from printing.loading.load_pictures import (
    LevelSeen,
    LoadSeen,
    LoadWords,
    PieceSeen,
    Post,
    piles,
    place_of,
)
from printing.shapes import (
    CAP_HEIGHT,
    TRIANGLE,
    Circle,
    Face,
    Ground,
    Ink,
    Line,
    Pen,
    Picture,
    Rule,
    Shape,
    Text,
    Triangle,
    box,
    moved,
)

_RING = 0.35
"""How far the outline of what is in or on another piece is within it, for each step up, in type sizes."""


def shelf_picture(
    load: LoadSeen,
    number: int,
    *,
    width: float = NARROW,
    size: float = SCREEN_SIZE,
    list_beside: float = 0.0,
    with_legend: bool = True,
) -> Picture:
    """Shelf `number` (1 is the lowest) from above, its front below, no letter smaller than `size`.

    `width`, `size` and `list_beside` are in pixels for a page and in mm for paper. So much of the width as
    `list_beside` is kept for the list at the shelf's right; a list too long for it stands below. Without its legend
    the picture stands beside others that share one.
    """
    level = load.levels[number - 1]
    head, top = _head(load, number, width, size)
    view = _View(plane=load.shelf, width=width - list_beside, size=size, edge=0.1 * size, top=top)
    for pile in piles(level):
        view.place(pile)
    for post in level.posts:
        view.place_post(post)
    numbered = view.name_pieces(piles(level))
    y = view.foot + 1.35 * size
    front = words(view.width / 2, y, size, load.said.front, at=At.MIDDLE, ink=Ink.SOFT)
    sides = ((front.x - 2.2 * size, 1.5), (front.x + front.width + 0.7 * size, 1.5))
    rules = [Rule(x, y - 0.3 * size, long * size, 0.07 * size, Ink.SOFT) for x, long in sides]
    shapes: list[Shape] = [*head, *view.shapes, front, *rules]
    y += 0.7 * size
    listed, wide, high = _list(numbered, load, list_beside or width, size)
    if wide <= list_beside - 0.6 * size and high <= y - top:
        shapes += [moved(shape, width - wide, top) for shape in listed]
    else:
        listed, _, high = _list(numbered, load, width, size)
        shapes += [moved(shape, 0.0, y) for shape in listed]
        y += high + (0.3 * size if high else 0.0)
    if with_legend:
        explained, high = legend(_signs([level], load.said, size), size, width)
        shapes += [moved(shape, 0.0, y) for shape in explained]
        y += high + (0.3 * size if high else 0.0)
    return Picture(width, y, tuple(shapes))


def shelves_legend(load: LoadSeen, *, width: float, size: float) -> Picture:
    """What the signs on all shelves of a load mean."""
    shapes, height = legend(_signs(load.levels, load.said, size), size, width)
    return Picture(width, height, shapes)


def _head(load: LoadSeen, number: int, width: float, size: float) -> tuple[list[Shape], float]:
    """The shelf's name, with what is on it beside it or, where that has no room, below."""
    large = 1.15 * size
    name = words(0.0, large, large, load.levels[number - 1].name, Face.BOLD, room=width)
    more = words(width, large, size, load.levels[number - 1].facts, at=At.END, ink=Ink.SOFT, room=width)
    if all(_stand_beside(load, shelf, width, size) for shelf in range(1, len(load.levels) + 1)):
        return [name, more], 2.0 * size
    return [name, words(0.0, large + LEADING * size, size, more.text, ink=Ink.SOFT)], 3.3 * size


def _stand_beside(load: LoadSeen, number: int, width: float, size: float) -> bool:
    """Whether a shelf's name and facts go on one line; all shelves of a load are headed alike."""
    name = words(0.0, 0.0, 1.15 * size, load.levels[number - 1].name, Face.BOLD)
    return name.width + words(0.0, 0.0, size, load.levels[number - 1].facts).width + size <= width


def _signs(levels: Sequence[LevelSeen], said: LoadWords, size: float) -> list[tuple[list[Shape], str]]:
    """The legend: only what the picture shows."""
    pieces = [piece for level in levels for piece in level.pieces]
    side, middle = 0.9 * size, SAMPLE * size / 2

    def ring(piece: PieceSeen) -> list[Shape]:
        marks = [_tick(middle, 0.5 * size, 0.8 * size)] if piece.is_in else []
        return [Circle(middle, 0.5 * size, side / 2, *_look(piece, size)), *marks]

    plain = PieceSeen(label="", x_mm=0, y_mm=0, height_mm=1, round_mm=1)
    is_in = PieceSeen(label="", x_mm=0, y_mm=0, height_mm=1, round_mm=1, is_in=True)
    some_in = any(piece.is_in for piece in pieces)
    signs = [(ring(is_in), said.is_in), (ring(plain), said.to_come)] if some_in else []
    if any(piece.with_care for piece in pieces):
        triangle = Triangle(middle - TRIANGLE * size / 2, (0.5 + CAP_HEIGHT / 2) * size, size, Ink.IRON)
        signs.append(([triangle], said.with_care))
    if any(piece.below for piece in pieces):
        rings: list[Shape] = [Circle(middle, 0.5 * size, part * side, *_look(plain, size)) for part in (0.5, 0.25)]
        signs.append((rings, said.nested))
    if any(piece.cookie_mm for piece in pieces):
        soft = Pen(0.1 * size, Ink.SOFT)
        cookie: list[Shape] = [*ring(plain), Circle(middle, 0.5 * size, side / 3, soft)]
        signs.append((cookie, said.on_cookie))
    if any(level.posts for level in levels):
        signs.append(([Circle(middle, 0.5 * size, 0.3 * size, ground=Ink.SOFT)], said.post))
    return signs


# ---- the pieces and what is written on them --------------------------------------------------------------------------


@dataclass(slots=True, kw_only=True)
class _View(FromAbove):
    """A shelf from above while it is drawn."""

    def __post_init__(self) -> None:
        x, y = self.at(0.0, 0.0)
        self.shapes.append(self.outline(self.plane, x, y, Pen(0.16 * self.size), Ground.SUNK))
        if self.plane.halves:
            deep = self.plane.deep * self.scale / 2
            self.shapes.append(Line(((x, y - deep), (x, y + deep)), Pen(0.1 * self.size)))

    def place(self, pile: tuple[PieceSeen, ...]) -> None:
        """Draw the outline of a piece, and inside it the outlines of what is in or on it."""
        for step, piece in enumerate(pile):
            pen, ground = _look(piece, self.size)
            within = pen.width / 2 + step * _RING * self.size
            self.shapes.append(self.outline(piece, *self.at(piece.x_mm, piece.y_mm), pen, ground, within))
            if piece.cookie_mm:
                self.shapes.append(self._foot_on(piece))
        self.cover(pile[0])

    def _foot_on(self, piece: PieceSeen) -> Shape:
        """The outline of a piece on its kiln cookie."""
        soft = Pen(0.1 * self.size, Ink.SOFT)
        x, y = self.at(piece.x_mm, piece.y_mm)
        return self.outline(piece, x, y, soft, Ground.LEAF, piece.cookie_mm * self.scale)

    def place_post(self, post: Post) -> None:
        """Draw a post as a dot."""
        x, y = self.at(post[0], post[1])
        dot = Circle(x, y, max(post[2] * self.scale, 0.12 * self.size), ground=Ink.SOFT)
        self.shapes.append(dot)
        self.covered.append(box(dot))

    def name_pieces(self, piles: tuple[tuple[PieceSeen, ...], ...]) -> list[tuple[str, PieceSeen]]:
        """Write each code on its piece, or a number; the answer is what the list must say, with its numbers.

        Pieces that share a place share a number.
        """
        unnamed = [
            pile
            for pile in piles
            if len(pile) > 1 or not self._write(pile[0], pile[0].code, (1.5, 1.25, 1.0), Face.CODE)
        ]
        listed, outside = [], []
        for number, pile in enumerate(unnamed, start=1):
            whole = replace(pile[0], is_in=all(one.is_in for one in pile), with_care=any(one.with_care for one in pile))
            if self._write(whole, str(number), (1.25, 1.0), Face.BOLD):
                listed += [(str(number), piece) for piece in pile]
            else:
                outside.append((number, pile))
        for number, pile in outside:
            mark = str(number) if self._point_at(pile[0], str(number)) else ""
            listed += [(mark, piece) for piece in pile]
        return sorted(listed, key=lambda entry: int(entry[0] or len(unnamed) + 1))

    def _write(self, piece: PieceSeen, said: str, sizes: tuple[float, ...], face: Face) -> bool:
        """Write on the piece in the largest of the sizes that it holds, with its signs as long as they have room."""
        # A code without its sign of care would say too little; with a number the list still shows the sign.
        for signed in (True, False) if face is Face.BOLD or not piece.with_care else (True,):
            for size in sizes:
                written = self._written(piece, words(0.0, 0.0, size * self.size, said, face), signed=signed)
                edges = box_of(written)
                if self.holds(piece, edges, 0.28 if size == 1.0 else 0.42) and not self.is_taken(edges):
                    self.keep(written, edges)
                    return True
        return False

    def _written(self, piece: PieceSeen, said: Text, *, signed: bool) -> list[Shape]:
        """The code in the middle of the piece, its signs above it."""
        x, y = self.at(piece.x_mm, piece.y_mm)
        signs = _signs_of(piece, 0.85 * self.size) if signed else []
        cap = CAP_HEIGHT * said.size
        high = cap + (0.95 * self.size if signs else 0.0)
        base = y + high / 2
        wide = sum(across for _, across in signs)
        placed: list[Shape] = [moved(said, x - said.width / 2, base)]
        start = x - wide / 2
        for sign, across in signs:
            placed.append(moved(sign, start, base - cap - 0.3 * self.size))
            start += across
        return placed

    def _point_at(self, piece: PieceSeen, said: str) -> bool:
        """Write beside the piece, with a line to it."""
        text = words(0.0, 0.0, self.size, said, Face.BOLD)
        around = self._around(*self.at(piece.x_mm, piece.y_mm), text)
        label = self.point_at(piece, [(ink_box(label), end, label) for label, end in around])
        if label is not None:
            self.keep([label], ink_box(label))
        return label is not None

    def _around(self, x: float, y: float, text: Text) -> Iterator[tuple[Text, tuple[float, float]]]:
        """Places around a point for a text, the nearest first, each with the end of the line that leads to it."""
        for right, down, step in DIRECTIONS:
            middle = x + right * (step * 0.8 * self.size + text.width / 2), y + down * (step * 0.8 + 0.4) * self.size
            label = moved(text, middle[0] - text.width / 2, middle[1] + CAP_HEIGHT * self.size / 2)
            end = middle[0] - right * (text.width / 2 + 0.1 * self.size), middle[1] - down * 0.45 * self.size
            yield label, end


DIRECTIONS = tuple(
    (math.cos(turn * math.pi / 8), math.sin(turn * math.pi / 8), step) for step in range(1, 9) for turn in range(16)
)
"""Right and down, and how many steps that way: the nearest all around first."""


def _look(piece: PieceSeen, size: float) -> tuple[Pen, Ground]:
    """The outline and the ground of a piece: thick when it is in, iron when it wants care."""
    pen = Pen((0.2 if piece.is_in or piece.with_care else 0.1) * size, Ink.IRON if piece.with_care else Ink.INK)
    return pen, Ground.CELADON if piece.is_in else Ground.LEAF


def _signs_of(piece: PieceSeen, size: float) -> list[tuple[Shape, float]]:
    """A piece's signs, each standing on the line from 0, 0, with the room it takes."""
    signs: list[tuple[Shape, float]] = []
    if piece.with_care:
        signs.append((Triangle(0.15 * size, 0.0, size, Ink.IRON), (TRIANGLE + 0.3) * size))
    if piece.is_in:
        signs.append((_tick(0.5 * size, -CAP_HEIGHT * size / 2, size), size))
    return signs


def _tick(x: float, y: float, size: float) -> Line:
    """The sign that a piece is in, around its middle."""
    steps = ((-0.32, 0.02), (-0.1, 0.26), (0.34, -0.26))
    points = tuple((x + right * size, y + down * size) for right, down in steps)
    return Line(points, Pen(0.17 * size, Ink.CELADON))


@dataclass(frozen=True, slots=True)
class _Entry:
    """A line of the list: a number where the piece carries one, the code and, without a number, where it stands."""

    number: str
    said: str
    signs: tuple[tuple[Shape, float], ...]


def _list(
    entries: list[tuple[str, PieceSeen]], load: LoadSeen, width: float, size: float
) -> tuple[list[Shape], float, float]:
    """The pieces that carry a number or nothing, in columns from 0, 0 down; how wide and how high they are."""
    said = [
        _Entry(
            number,
            piece.said if number or piece.below else f"{piece.code} {place_of(piece, load)}",
            tuple(_signs_of(piece, size)),
        )
        for number, piece in entries
    ]
    if not said:
        return [], 0.0, 0.0
    digits = words(0, 0, size, "0" * max(len(entry.number) for entry in said), Face.BOLD).width
    indent = digits + 0.5 * size if digits else 0.0
    wide = indent + max(_length(entry, size, width - indent) for entry in said)
    columns = max(1, int((width + 1.1 * size) / (wide + 1.1 * size)))
    rows = math.ceil(len(said) / columns)
    shapes: list[Shape] = []
    for place, entry in enumerate(said):
        column, row = divmod(place, rows)
        x, y = column * (wide + 1.1 * size), (row * LEADING + 0.95) * size
        shapes += [moved(shape, x + digits, y) for shape in _numbered(entry, indent - digits, size, width - indent)]
    used = math.ceil(len(said) / rows)
    return shapes, used * (wide + 1.1 * size) - 1.1 * size, rows * LEADING * size


def _length(entry: _Entry, size: float, room: float) -> float:
    """How long an entry is after its number."""
    signs = sum(wide for _, wide in entry.signs)
    return words(0.0, 0.0, size, entry.said, Face.CODE, room=room - signs).width + signs


def _numbered(entry: _Entry, gap: float, size: float, room: float) -> list[Shape]:
    """An entry on the line from 0, 0: its number ends there, code and signs follow after `gap`."""
    signs = sum(wide for _, wide in entry.signs)
    code = words(gap, 0.0, size, entry.said, Face.CODE, room=room - signs)
    shapes: list[Shape] = [words(0.0, 0.0, size, entry.number, Face.BOLD, at=At.END), code] if entry.number else [code]
    x = code.x + code.width
    for sign, wide in entry.signs:
        shapes.append(moved(sign, x, 0.0))
        x += wide
    return shapes
