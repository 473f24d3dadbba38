"""A picture becomes SVG for a page: real text, no script, no style of its own, and a name for who cannot see it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import escape

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
    Picture,
    Rule,
    Shape,
    Symbol,
    Text,
    Triangle,
)

_FACES = {
    Face.REGULAR: "",
    Face.BOLD: ' font-weight="700"',
    Face.CODE: """ font-family="'Atkinson Hyperlegible Mono',monospace" font-weight="700\"""",
}
_FAMILY = "'Atkinson Hyperlegible Next',sans-serif"
"""The families by the names that the site's stylesheet gives them."""

_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What no XML document may hold (XML 1.0, production 2): most control characters and lone surrogates."""

_AT_ENDS = re.compile("^ +| +$")
"""Spaces that a browser lets go of, so that the run would begin too far to the left."""


def svg(picture: Picture, *, name: str, says: str) -> str:
    """The picture as an SVG element that scales to its container's width.

    `name` and `says` are its accessible name and description. Colors are classes (the values of Ink and Ground) with
    the text's own color and the canvas behind it as what holds where no stylesheet names them.
    """
    wide, high = _short(picture.width), _short(picture.height)
    drawn = "\n".join(_drawn(picture.shapes))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" viewBox="0 0 {wide} {high}" role="img"'
        f' font-family="{_FAMILY}" fill="currentColor">\n'
        f"<title>{_said(name)}</title>\n<desc>{_said(says)}</desc>\n{drawn}\n</svg>"
    )


def _drawn(shapes: Iterable[Shape]) -> Iterable[str]:
    """Marks first and words over them, as on paper."""
    shapes = tuple(shapes)
    yield from (_mark(shape) for shape in shapes if not isinstance(shape, Text))
    yield from (_text(shape) for shape in shapes if isinstance(shape, Text))


def _mark(shape: Rule | Triangle | Symbol | Circle | Oblong | Line) -> str:
    match shape:
        case Rule():
            return f"<rect{_oblong(shape)}{_filled(shape.ink)}/>"
        case Triangle():
            wide, high = TRIANGLE * shape.size, CAP_HEIGHT * shape.size
            corners = ((shape.x, shape.y), (shape.x + wide, shape.y), (shape.x + wide / 2, shape.y - high))
            return f'<polygon points="{_points(corners)}"{_filled(shape.ink)}/>'
        case Symbol():
            return _symbol(shape)
        case Circle():
            place = f' cx="{_short(shape.x)}" cy="{_short(shape.y)}" r="{_short(shape.radius)}"'
            return f"<circle{place}{_painted(shape.pen, shape.ground)}/>"
        case Oblong():
            return f"<rect{_oblong(shape)}{_painted(shape.pen, shape.ground)}/>"
        case Line():
            kind = "polygon" if shape.closed else "polyline"
            return f'<{kind} points="{_points(shape.points)}"{_painted(shape.pen, shape.ground)}/>'


def _text(text: Text) -> str:
    place = f'x="{_short(text.x)}" y="{_short(text.y)}" font-size="{_short(text.size)}"'
    said = _AT_ENDS.sub(lambda spaces: "\N{NO-BREAK SPACE}" * len(spaces[0]), text.text)
    return f"<text {place}{_FACES[text.face]}{_filled(text.ink)}>{_said(said)}</text>"


def _symbol(symbol: Symbol) -> str:
    """The bars of a symbol as one path in whole modules."""
    rows = "".join(f"M{first} {y}h{wide}v1h-{wide}z" for y, row in enumerate(symbol.rows) for first, wide in row)
    place = f"translate({_short(symbol.x)} {_short(symbol.y)}) scale({symbol.module:g} {symbol.row_height:g})"
    return f'<path transform="{place}" d="{rows}"/>'


def _oblong(shape: Rule | Oblong) -> str:
    sides = {"x": shape.x, "y": shape.y, "width": shape.width, "height": shape.height}
    return "".join(f' {side}="{_short(length)}"' for side, length in sides.items())


def _filled(ink: Ink) -> str:
    """The ink of a shape that has no outline; plain ink is what it has anyway."""
    return "" if ink is Ink.INK else f' class="{ink.value}"'


def _painted(pen: Pen | None, ground: Ground | Ink | None) -> str:
    """Outline and ground: the pen's class sets the color that the outline takes, the ground's class the fill."""
    classes = [part.value for part in (pen.ink if pen else None, ground) if part]
    fill = {Ground: ' fill="Canvas"', Ink: "", type(None): ' fill="none"'}[type(ground)]
    line = ""
    if pen:
        dash = f' stroke-dasharray="{" ".join(map(_short, pen.dash))}"' if pen.dash else ""
        line = f' stroke="currentColor" stroke-width="{_short(pen.width)}" stroke-linejoin="round"{dash}'
    return (f' class="{" ".join(classes)}"' if classes else "") + fill + line


def _points(points: Iterable[tuple[float, float]]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)


def _short(length: float) -> str:
    return f"{length:.2f}".rstrip("0").rstrip(".")


def _said(words: str) -> str:
    """Words as XML text, without the characters that no XML document may hold."""
    return escape(_NOT_XML.sub("", words))
