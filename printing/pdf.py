"""Shapes become a PDF: the only file that knows reportlab, its units and its upside-down page."""

from __future__ import annotations

import math
import struct
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from io import BytesIO

from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from printing.bars import Row
from printing.scripts import Run, advance_of, font_file, runs_of
from printing.shapes import (
    CAP_HEIGHT,
    TRIANGLE,
    Circle,
    Face,
    Ground,
    Ink,
    Line,
    Oblong,
    Pen,
    Rule,
    Shape,
    Symbol,
    Text,
    Triangle,
)

# Streams are bytes: to write them in letters as well takes a third of the time and a fifth of the file.
rl_config.useA85 = 0

POINTS = 72 / 25.4
"""PDF points in a millimetre."""

_COLORS: Mapping[Ink | Ground, tuple[float, float, float]] = {
    Ink.INK: (0, 0, 0),
    Ink.SOFT: (0.294, 0.353, 0.400),
    Ink.LINE: (0.660, 0.720, 0.740),
    Ink.IRON: (0.647, 0.145, 0.110),
    Ink.CELADON: (0.122, 0.392, 0.314),
    Ink.COBALT: (0.110, 0.275, 0.525),
    Ground.LEAF: (1, 1, 1),
    Ground.SUNK: (0.914, 0.937, 0.933),
    Ground.CELADON: (0.851, 0.922, 0.890),
}
"""Red, green and blue of each ink and ground on white paper: the pages' colors, the grounds light to spare toner."""

_ROUND = 0.5522847498
"""How far a quarter circle's handles reach, in radii: 4/3 (sqrt 2 - 1), the usual fit of a cubic curve."""


@lru_cache(maxsize=len(Face))
def _font(face: Face) -> TTFont:
    """The face's font, read from its file the first time it is asked for."""
    with (files("printing") / "fonts" / f"{face.value}.ttf").open("rb") as file:
        font = TTFont(face.value, BytesIO(file.read()))
    pdfmetrics.registerFont(font)
    return font


@lru_cache(maxsize=len(Face))
def glyph_widths(face: Face) -> Mapping[int, float]:
    """The advance of every character the face has, by code point, in parts of the type size.

    Its few marks that stand on other letters are left to a face that can place them.
    """
    font = _font(face)
    return {
        point: font.face.charWidths[point] / 1000
        for point in font.face.charToGlyph
        if point >= ord(" ") and not unicodedata.combining(chr(point))
    }


@lru_cache(maxsize=1024)
def left_bearing(character: str, face: Face) -> float:
    """The blank before the ink of a letter, in parts of the type size (read from the face's hmtx table).

    Of a letter that the face itself lacks nobody asks to the tenth of a millimetre, so it has none.
    """
    font = _font(face).face
    glyph = font.charToGlyph.get(ord(character))
    if glyph is None:
        return 0.0
    table: bytes = font.get_table("hmtx")  # type: ignore[no-untyped-call]  # the library leaves it untyped
    bearing: int = struct.unpack_from(">h", table, 4 * glyph + 2)[0]
    return bearing / int(font.unitsPerEm)


_Piece = tuple[str, str, float]
"""A font's name in the document, the operator that shows a string, and how far it is raised in parts of the size."""


@dataclass(frozen=True, slots=True)
class _Said:
    """A text in pieces, with what goes before and after them."""

    pieces: tuple[_Piece, ...]
    before: str = ""
    after: str = ""


@lru_cache(maxsize=32)
def _other_font(script: str) -> TTFont:
    """The face of another script, read the first time that somebody has such a name."""
    font = TTFont(f"other-{script}", BytesIO(font_file(script)))
    pdfmetrics.registerFont(font)
    return font


_PRIVATE, _LAST_PRIVATE = 0xE000, 0xF8FF


def _stand_in(font: TTFont, glyph: int) -> tuple[str, float]:
    """A character that stands for a glyph in subsets of its font, and the glyph's width in parts of the type size.

    A glyph that joins or changes letters has no character of its own, and gets one of those kept for private use.
    """
    face = font.face
    characters: Mapping[int, list[int]] = face.glyphToChar  # type: ignore[attr-defined]  # the stubs leave it out
    point = characters[glyph][0] if glyph in characters else _PRIVATE + glyph
    if glyph not in characters and face.charToGlyph.get(point) != glyph:
        if point > _LAST_PRIVATE or point in face.charToGlyph:
            raise ValueError(f"{font.fontName} has no room to show its glyph {glyph}.")
        face.charWidths[point] = round(1000 * advance_of(font.fontName.removeprefix("other-"), glyph))
        face.charToGlyph[point] = glyph
    return chr(point), face.charWidths[point] / 1000


def _risen(said: str, rise: float) -> str:
    """A string that is raised by so much, and what follows not."""
    return f"{rise:.3f} Ts {said} 0 Ts" if rise else said


class Paper:
    """A PDF in the making: pages of `width` by `height` mm, on which shapes are placed a label at a time."""

    def __init__(self, width: float, height: float, *, title: str, dots_per_mm: float | None = None) -> None:
        """Begin with one blank page; symbols start on whole printer dots when `dots_per_mm` is given."""
        self._height = height
        self._dots = dots_per_mm
        self._out = BytesIO()
        self._canvas = Canvas(
            self._out,
            pagesize=(width * POINTS, height * POINTS),
            pageCompression=1,
            invariant=1,
            initialFontName=_font(Face.REGULAR).fontName,  # type: ignore[arg-type] # The stubs take a name for a number.
            lang="en",
        )
        self._canvas.setTitle(title.encode(errors="ignore").decode())  # half a character has no place in a PDF
        self._canvas.setAuthor("")
        self._canvas.setSubject("")
        self._canvas.setCreator("")
        # A viewer that knows the word does not fit the page to the paper by itself (PDF 1.6).
        self._canvas.setViewerPreference("PrintScaling", "None")
        self._words: dict[tuple[Face, str], _Said] = {}

    def turn_page(self) -> None:
        """End this page and begin the next."""
        self._canvas.showPage()

    def place(self, shapes: Iterable[Shape], left: float, top: float) -> None:
        """Draw a label's shapes with its top left corner at `left`, `top` mm from the page's."""
        marks, words = [], []
        for shape in shapes:
            if isinstance(shape, Text):
                words.append(_inked(self._text(shape, left, top), shape.ink, "0 0 0 rg"))
            else:
                marks.append(self._mark(shape, left, top))
        self._canvas.addLiteral("\n".join([*marks, "BT", *words, "ET"]))

    def finish(self) -> bytes:
        """The whole document: equal shapes give equal bytes."""
        self._canvas.showPage()
        self._canvas.save()
        return self._out.getvalue()

    def _point(self, x: float, y: float) -> tuple[float, float]:
        return x * POINTS, (self._height - y) * POINTS

    def _text(self, text: Text, left: float, top: float) -> str:
        x, y = self._point(left + text.x, top + text.y)
        size = text.size * POINTS
        said = self._words.get((text.face, text.text)) or self._say(text.face, text.text)
        runs = [f"{font} {size:.3f} Tf {_risen(said_in, rise * size)}" for font, said_in, rise in said.pieces]
        return f"1 0 0 1 {x:.3f} {y:.3f} Tm {said.before}{' '.join(runs)}{said.after}"

    def _say(self, face: Face, text: str) -> _Said:
        """A text as this document says it; kept, since names and clays come again."""
        own = glyph_widths(face)
        if all(ord(character) in own for character in text):
            said = _Said(tuple(self._own(face, text)))
        else:
            runs = runs_of(text, own)
            pieces = tuple(
                piece for run in runs for piece in (self._shaped(run) if run.script else self._own(face, run.text))
            )
            # Letters that were joined are found and copied as they were written (ISO 32000-1, 14.9.4). What is read
            # from the right is left as it stands: readers turn it around by themselves, and would turn this as well.
            actual = "" if any(run.from_right for run in runs) else text.encode("utf-16-be").hex()
            said = _Said(pieces, f"/Span <</ActualText <feff{actual}>>> BDC ", " EMC") if actual else _Said(pieces)
        self._words[face, text] = said
        return said

    def _own(self, face: Face, text: str) -> Iterator[_Piece]:
        font, document = _font(face), self._canvas._doc  # type: ignore[attr-defined] # noqa: SLF001 - reportlab's recipe for subset fonts
        for subset, chunk in font.splitString(text, document):
            yield font.getSubsetInternalName(subset, document), f"<{bytes(chunk).hex()}> Tj", 0.0

    def _shaped(self, run: Run) -> Iterator[_Piece]:
        """Glyphs of another script, each moved to its place; a new piece where the subset or the height changes."""
        font, document = _other_font(run.script), self._canvas._doc  # type: ignore[attr-defined] # noqa: SLF001 - as above
        here: tuple[str, float] | None = None
        said: list[str] = []
        owed = 0.0
        for glyph in run.glyphs:
            character, wide = _stand_in(font, glyph.number)
            ((subset, chunk),) = font.splitString(character, document)
            there = (font.getSubsetInternalName(subset, document), glyph.up)
            if here is not None and there != here:
                yield here[0], f"[{' '.join(said)}] TJ", here[1]
                said = []
            here = there
            # TJ moves back by thousandths of the size.
            if moved := round(1000 * (owed + glyph.right), 2):
                said.append(f"{-moved:g}")
            said.append(f"<{bytes(chunk).hex()}>")
            owed = glyph.advance - glyph.right - wide
        if here is not None:
            if moved := round(1000 * owed, 2):
                said.append(f"{-moved:g}")
            yield here[0], f"[{' '.join(said)}] TJ", here[1]

    def _symbol(self, symbol: Symbol, left: float, top: float) -> str:
        """One path in whole modules under one transform, so that no bar is rounded by itself."""
        x, y = self._on_a_dot(left + symbol.x), self._on_a_dot(top + symbol.y)
        across, up = symbol.module * POINTS, symbol.row_height * POINTS
        at_x, at_y = self._point(x, y)
        rows = "\n".join(_path(row, -down) for down, row in enumerate(symbol.rows, start=1))
        return f"q {across:.6f} 0 0 {up:.6f} {at_x:.4f} {at_y:.4f} cm\n{rows} f Q"

    def _on_a_dot(self, length: float) -> float:
        return length if self._dots is None else math.floor(length * self._dots + 0.5) / self._dots

    def _mark(self, shape: Rule | Triangle | Symbol | Circle | Oblong | Line, left: float, top: float) -> str:
        match shape:
            case Symbol():
                return self._symbol(shape, left, top)
            case Rule():
                return _inked(self._rule(shape, left, top), shape.ink)
            case Triangle():
                return _inked(self._triangle(shape, left, top), shape.ink)
            case _:
                return _painted(self._edge(shape, left, top), shape.pen, shape.ground)

    def _edge(self, shape: Circle | Oblong | Line, left: float, top: float) -> str:
        """The path along the edge of a shape."""
        if isinstance(shape, Circle):
            return _circle(*self._point(left + shape.x, top + shape.y), shape.radius * POINTS)
        if isinstance(shape, Oblong):
            x, y = self._point(left + shape.x, top + shape.y + shape.height)
            return f"{x:.3f} {y:.3f} {shape.width * POINTS:.3f} {shape.height * POINTS:.3f} re"
        points = [self._point(left + x, top + y) for x, y in shape.points]
        steps = " ".join(f"{x:.2f} {y:.2f} {'l' if place else 'm'}" for place, (x, y) in enumerate(points))
        return f"{steps} h" if shape.closed else steps

    def _rule(self, rule: Rule, left: float, top: float) -> str:
        x, y = self._point(left + rule.x, top + rule.y + rule.height)
        return f"{x:.3f} {y:.3f} {rule.width * POINTS:.3f} {rule.height * POINTS:.3f} re f"

    def _triangle(self, triangle: Triangle, left: float, top: float) -> str:
        x, y = self._point(left + triangle.x, top + triangle.y)
        wide, high = TRIANGLE * triangle.size * POINTS, CAP_HEIGHT * triangle.size * POINTS
        return f"{x:.3f} {y:.3f} m {x + wide:.3f} {y:.3f} l {x + wide / 2:.3f} {y + high:.3f} l f"


@lru_cache(maxsize=65536)
def _path(row: Row, y: int) -> str:
    return " ".join(f"{first} {y} {width} 1 re" for first, width in row)


def _inked(drawn: str, ink: Ink, after: str = "") -> str:
    """What is drawn in black as it stands; in another ink, with black set again afterwards."""
    if ink is Ink.INK:
        return drawn
    return f"{_color(ink)} rg {drawn} {after}" if after else f"q {_color(ink)} rg {drawn} Q"


def _painted(edge: str, pen: Pen | None, ground: Ground | Ink | None) -> str:
    """A path with its outline and its ground."""
    filled = f"{_color(ground)} rg " if ground else ""
    if pen is None:
        return f"q {filled}{edge} {'f' if ground else 'n'} Q"
    dash = " ".join(f"{part * POINTS:.3f}" for part in pen.dash or ())
    stroke = f"{_color(pen.ink)} RG {pen.width * POINTS:.3f} w [{dash}] 0 d 1 j "
    return f"q {filled}{stroke}{edge} {'B' if ground else 'S'} Q"


def _color(ink: Ink | Ground) -> str:
    return " ".join(f"{part:g}" for part in _COLORS[ink])


def _circle(x: float, y: float, radius: float) -> str:
    """Four quarter circles from the rightmost point on, each as one cubic curve."""
    far, near = radius, radius * _ROUND
    quarters = (
        ((far, near), (near, far), (0.0, far)),
        ((-near, far), (-far, near), (-far, 0.0)),
        ((-far, -near), (-near, -far), (0.0, -far)),
        ((near, -far), (far, -near), (far, 0.0)),
    )
    curves = (" ".join(f"{x + right:.3f} {y + up:.3f}" for right, up in quarter) for quarter in quarters)
    return f"{x + far:.3f} {y:.3f} m {' '.join(f'{curve} c' for curve in curves)} h"
