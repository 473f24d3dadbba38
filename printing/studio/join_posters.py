"""A poster by which a class joins: a QR to hold a phone at, the address in letters, and the day on which it ends."""

from __future__ import annotations

from dataclasses import dataclass

from printing.bars import QR_QUIET, qr, qr_form
from printing.lettering import At, lettered, words, wrapped_freely
from printing.pages import MARGIN, PAPERS, pages_pdf
from printing.shapes import Face, Ink, Picture, Shape, Symbol

_SIZES = tuple(part / 20 for part in range(20, 7, -1))
"""How much smaller than usual all of it is tried, for a section with a long name."""

_QR_SIDE = 110.0
_AIR = 9.0
_LEADING = 1.26


@dataclass(frozen=True, slots=True, kw_only=True)
class Poster:
    """What the poster says: the studio, whom it is for, what to do, the `address`, and until when."""

    studio: str
    title: str
    says: str
    address: str
    ends: str


def poster_page(poster: Poster, paper: str = "a4") -> Picture:
    """The poster on one upright page, as large as the page holds it."""
    width, height = PAPERS[paper]
    tried = (_drawn(poster, width, scale) for scale in _SIZES)
    shapes = next(some for some, foot in tried if foot <= height - 2 * MARGIN)
    return Picture(width, height, shapes)


def _drawn(poster: Poster, width: float, scale: float) -> tuple[tuple[Shape, ...], float]:
    """All of it at this part of its usual size, and where it ends."""
    shapes: list[Shape] = []
    y, air, side = 2.0 * MARGIN, _AIR * scale, _QR_SIDE * scale

    def put(said: str, usual: float, face: Face = Face.REGULAR, ink: Ink = Ink.INK) -> None:
        nonlocal y
        size = usual * scale
        for line in wrapped_freely(lettered(said, face), face, (width - 4 * MARGIN) / size):
            y += size
            shapes.append(words(width / 2, y, size, line, face, at=At.MIDDLE, ink=ink))
            y += (_LEADING - 1) * size

    put(poster.studio, 6.0, ink=Ink.SOFT)
    y += air / 2
    put(poster.title, 15.0, Face.BOLD)
    y += air
    put(poster.says, 6.5)
    form = qr_form(poster.address)
    module = side / form.modules
    y += air + QR_QUIET * module
    shapes.append(Symbol((width - side) / 2, y, module, module, form.modules, qr(poster.address, form), QR_QUIET))
    y += side + QR_QUIET * module + air
    put(poster.address, 5.0)
    y += air
    put(poster.ends, 8.0, Face.BOLD)
    return tuple(shapes), y


def poster_pdf(poster: Poster, paper: str = "a4") -> bytes:
    """The poster as a PDF; `paper` is "a4" or "letter"."""
    return pages_pdf([poster_page(poster, paper)], poster.title)
