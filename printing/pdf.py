"""Shapes become a PDF: the only file that knows reportlab, its units and its upside-down page."""

from __future__ import annotations

import math
import struct
from functools import lru_cache
from importlib.resources import files
from io import BytesIO
from typing import TYPE_CHECKING

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from printing.bars import Row
from printing.shapes import CAP_HEIGHT, TRIANGLE, Face, Rule, Shape, Symbol, Text, Triangle

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

POINTS = 72 / 25.4
"""PDF points in a millimetre."""


@lru_cache(maxsize=len(Face))
def _font(face: Face) -> TTFont:
    """The face's font, read from its file the first time it is asked for."""
    with (files("printing") / "fonts" / f"{face.value}.ttf").open("rb") as file:
        font = TTFont(face.value, BytesIO(file.read()))
    pdfmetrics.registerFont(font)
    return font


@lru_cache(maxsize=len(Face))
def glyph_widths(face: Face) -> Mapping[int, float]:
    """The advance of every character the face has, by code point, in parts of the type size."""
    font = _font(face)
    return {point: font.face.charWidths[point] / 1000 for point in font.face.charToGlyph if point >= ord(" ")}


@lru_cache(maxsize=1024)
def left_bearing(character: str, face: Face) -> float:
    """The blank before the ink of a letter, in parts of the type size (read from the face's hmtx table)."""
    font = _font(face).face
    glyph = font.charToGlyph[ord(character)]
    table: bytes = font.get_table("hmtx")  # type: ignore[no-untyped-call]  # the library leaves it untyped
    bearing: int = struct.unpack_from(">h", table, 4 * glyph + 2)[0]
    return bearing / int(font.unitsPerEm)


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
        self._canvas.setTitle(title)
        self._canvas.setAuthor("")
        self._canvas.setSubject("")
        self._canvas.setCreator("")
        self._words: dict[tuple[Face, str], tuple[tuple[str, str], ...]] = {}

    def turn_page(self) -> None:
        """End this page and begin the next."""
        self._canvas.showPage()

    def place(self, shapes: Iterable[Shape], left: float, top: float) -> None:
        """Draw a label's shapes with its top left corner at `left`, `top` mm from the page's."""
        marks, words = [], []
        for shape in shapes:
            if isinstance(shape, Text):
                words.append(self._text(shape, left, top))
            elif isinstance(shape, Symbol):
                marks.append(self._symbol(shape, left, top))
            elif isinstance(shape, Rule):
                marks.append(self._rule(shape, left, top))
            else:
                marks.append(self._triangle(shape, left, top))
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
        runs = [f"{font} {size:.3f} Tf {said_in} Tj" for font, said_in in said]
        return f"1 0 0 1 {x:.3f} {y:.3f} Tm {' '.join(runs)}"

    def _say(self, face: Face, text: str) -> tuple[tuple[str, str], ...]:
        """A text as (font name, hexadecimal string) for this document; kept, since names and clays come again."""
        font, document = _font(face), self._canvas._doc  # type: ignore[attr-defined] # noqa: SLF001 - reportlab's recipe for subset fonts
        said = tuple(
            (font.getSubsetInternalName(subset, document), f"<{bytes(chunk).hex()}>")
            for subset, chunk in font.splitString(text, document)
        )
        self._words[face, text] = said
        return said

    def _symbol(self, symbol: Symbol, left: float, top: float) -> str:
        """One path in whole modules under one transform, so that no bar is rounded by itself."""
        x, y = self._on_a_dot(left + symbol.x), self._on_a_dot(top + symbol.y)
        across, up = symbol.module * POINTS, symbol.row_height * POINTS
        at_x, at_y = self._point(x, y)
        rows = "\n".join(_path(row, -down) for down, row in enumerate(symbol.rows, start=1))
        return f"q {across:.6f} 0 0 {up:.6f} {at_x:.4f} {at_y:.4f} cm\n{rows} f Q"

    def _on_a_dot(self, length: float) -> float:
        return length if self._dots is None else math.floor(length * self._dots + 0.5) / self._dots

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
