"""What labels and pictures are drawn with, in one unit (mm on paper) from their top left corner, y down."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from enum import Enum
from operator import attrgetter
from typing import TypeVar

from printing.bars import Row


class Face(Enum):
    """A typeface in one weight; the value is its file's name in printing/fonts."""

    REGULAR = "next-regular"
    BOLD = "next-bold"
    CODE = "mono-bold"


class Ink(Enum):
    """What a shape is drawn in: pages say in their stylesheet how each looks, and pdf.py says it for paper."""

    INK = "ink"
    SOFT = "ink-soft"
    LINE = "ink-line"
    IRON = "ink-iron"
    CELADON = "ink-celadon"
    COBALT = "ink-cobalt"


class Ground(Enum):
    """What the inside of a shape is filled with."""

    LEAF = "ground-leaf"
    SUNK = "ground-sunk"
    CELADON = "ground-celadon"


CAP_HEIGHT = 0.668
"""The height of a capital, in parts of the type size (read from the faces)."""

X_HEIGHT = 0.496
"""The height of a small letter without a stem, in parts of the type size (read from the faces)."""

ASCENT = 0.92
DESCENT = 0.252
"""How far the tallest and the deepest letter of the faces reach from the baseline, in parts of the type size."""

CODE_ASCENT = 0.692
CODE_DESCENT = 0.016
"""The same for the capitals and digits of a code, the only text set in the code's face."""

TRIANGLE = 0.74
"""The width of the warning triangle in parts of the type size beside it."""


@dataclass(frozen=True, slots=True)
class Text:
    """One run of text; `x` its left end, `y` its baseline, `width` its measured length, `size` its type size."""

    x: float
    y: float
    width: float
    size: float
    face: Face
    text: str
    ink: Ink = Ink.INK


@dataclass(frozen=True, slots=True)
class Rule:
    """A filled bar, such as the baseline under a code."""

    x: float
    y: float
    width: float
    height: float
    ink: Ink = Ink.INK


@dataclass(frozen=True, slots=True)
class Triangle:
    """The sign for "with care": a filled triangle standing on the baseline `y`, beside text of size `size`."""

    x: float
    y: float
    size: float
    ink: Ink = Ink.INK


@dataclass(frozen=True, slots=True)
class Pen:
    """How an outline is drawn: its width, its ink, and dash and gap when it is not solid."""

    width: float
    ink: Ink = Ink.INK
    dash: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle around its centre; without a pen it has no outline, without a ground one sees through it."""

    x: float
    y: float
    radius: float
    pen: Pen | None = None
    ground: Ground | Ink | None = None


@dataclass(frozen=True, slots=True)
class Oblong:
    """A rectangle from its top left corner; pen and ground as of a circle."""

    x: float
    y: float
    width: float
    height: float
    pen: Pen | None = None
    ground: Ground | Ink | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """A line through two or more points; closed, it goes back to the first and may have a ground."""

    points: tuple[tuple[float, float], ...]
    pen: Pen | None
    closed: bool = False
    ground: Ground | Ink | None = None


@dataclass(frozen=True, slots=True)
class Symbol:
    """Bars or a QR: its top left corner, the width of a module, the height of a row, and its rows of ink."""

    x: float
    y: float
    module: float
    row_height: float
    modules: int
    rows: tuple[Row, ...]
    quiet: int


Shape = Text | Rule | Triangle | Symbol | Circle | Oblong | Line

Edges = tuple[float, float, float, float]
"""Left, top, right and lower edge."""


@dataclass(frozen=True, slots=True)
class Picture:
    """Shapes on a ground of `width` by `height`, all of them inside it; later shapes lie on earlier ones."""

    width: float
    height: float
    shapes: tuple[Shape, ...]


def box(shape: Shape) -> Edges:
    """The left, top, right and lower edge of the ink of `shape`, as far as any letter may reach."""
    match shape:
        case Text():
            up, down = (CODE_ASCENT, CODE_DESCENT) if shape.face is Face.CODE else (ASCENT, DESCENT)
            return shape.x, shape.y - up * shape.size, shape.x + shape.width, shape.y + down * shape.size
        case Rule():
            return shape.x, shape.y, shape.x + shape.width, shape.y + shape.height
        case Triangle():
            return shape.x, shape.y - CAP_HEIGHT * shape.size, shape.x + TRIANGLE * shape.size, shape.y
        case Symbol():
            high = shape.row_height * len(shape.rows)
            return shape.x, shape.y, shape.x + shape.module * shape.modules, shape.y + high
        case Circle() | Oblong() | Line():
            return _outlined(shape)


def _outlined(shape: Circle | Oblong | Line) -> Edges:
    """The box around a shape's edge, and half its pen's width more on each side."""
    if isinstance(shape, Circle):
        across, down = (
            [shape.x - shape.radius, shape.x + shape.radius],
            [shape.y - shape.radius, shape.y + shape.radius],
        )
    elif isinstance(shape, Oblong):
        across, down = [shape.x, shape.x + shape.width], [shape.y, shape.y + shape.height]
    else:
        across, down = [x for x, _ in shape.points], [y for _, y in shape.points]
    out = shape.pen.width / 2 if shape.pen else 0.0
    return min(across) - out, min(down) - out, max(across) + out, max(down) + out


Moving = TypeVar("Moving", bound=Shape)

_BUT_ITS_PLACE: dict[type, Callable[[object], tuple[object, ...]]] = {
    kind: attrgetter(*(one.name for one in fields(kind)[2:])) for kind in (Text, Rule, Triangle, Symbol, Circle, Oblong)
}
"""What a shape of a kind is made of after its x and y."""


def moved(shape: Moving, right: float, down: float) -> Moving:
    """The same shape further right and down."""
    if not right and not down:
        return shape
    if isinstance(shape, Line):
        return replace(shape, points=tuple((x + right, y + down) for x, y in shape.points))
    # A sheet moves tens of thousands of shapes, and `replace` takes three times as long.
    kind: Callable[..., Moving] = type(shape)
    return kind(shape.x + right, shape.y + down, *_BUT_ITS_PLACE[type(shape)](shape))


def meet(one: Edges, other: Edges, apart: float = 0.0) -> bool:
    """Whether two boxes overlap or come nearer to each other than `apart`."""
    left, top, right, foot = one
    return left < other[2] + apart and other[0] < right + apart and top < other[3] + apart and other[1] < foot + apart
