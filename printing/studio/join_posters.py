"""A poster by which a class joins: a QR to hold a phone at, the address in letters, and the day on which it ends."""

from __future__ import annotations

from dataclasses import dataclass

from printing.bars import QR_QUIET, qr, qr_form
from printing.lettering import At, lettered, words, wrapped_freely
from printing.pages import MARGIN, PAPERS, pages_pdf
from printing.shapes import Face, Ink, Picture, Shape, Symbol

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
    """The poster on one upright page."""
    width, height = PAPERS[paper]
    shapes: list[Shape] = []
    y = 2.0 * MARGIN

    def put(said: str, size: float, face: Face = Face.REGULAR, ink: Ink = Ink.INK) -> None:
        nonlocal y
        for line in wrapped_freely(lettered(said, face), face, (width - 4 * MARGIN) / size):
            y += size
            shapes.append(words(width / 2, y, size, line, face, at=At.MIDDLE, ink=ink))
            y += (_LEADING - 1) * size

    put(poster.studio, 6.0, ink=Ink.SOFT)
    put(poster.title, 15.0, Face.BOLD)
    y += _AIR
    put(poster.says, 6.5)
    form = qr_form(poster.address)
    module = _QR_SIDE / form.modules
    y += _AIR + QR_QUIET * module
    shapes.append(Symbol((width - _QR_SIDE) / 2, y, module, module, form.modules, qr(poster.address, form), QR_QUIET))
    y += _QR_SIDE + QR_QUIET * module + _AIR
    put(poster.address, 5.0)
    y += _AIR
    put(poster.ends, 8.0, Face.BOLD)
    return Picture(width, height, tuple(shapes))


def poster_pdf(poster: Poster, paper: str = "a4") -> bytes:
    """The poster as a PDF; `paper` is "a4" or "letter"."""
    return pages_pdf([poster_page(poster, paper)], poster.title)
