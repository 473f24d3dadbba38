"""What a label is drawn with: text, rules, the warning triangle and symbols, in mm from its top left corner, y down."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from printing.bars import Row


class Face(Enum):
    """A typeface in one weight; the value is its file's name in printing/fonts."""

    REGULAR = "next-regular"
    BOLD = "next-bold"
    CODE = "mono-bold"


CAP_HEIGHT = 0.668
"""The height of a capital, in parts of the type size (read from the faces)."""

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


@dataclass(frozen=True, slots=True)
class Rule:
    """A filled bar, such as the baseline under a code."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Triangle:
    """The sign for "with care": a filled triangle standing on the baseline `y`, beside text of size `size`."""

    x: float
    y: float
    size: float


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


Shape = Text | Rule | Triangle | Symbol


def box(shape: Shape) -> tuple[float, float, float, float]:
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
