"""Pages of paper: blocks under one another, lines of words, and pages that become a PDF. Lengths are mm.

Each block is drawn from its own top left corner.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from printing.lettering import words, wrapped_freely
from printing.pdf import Paper
from printing.shapes import Face, Picture, Shape, moved

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height of the upright page: ISO 216; ANSI/ASME Y14.1 size A."""

MARGIN = 10.0
LEADING = 1.26
"""From baseline to baseline, in type sizes."""


def stacked(blocks: Sequence[Picture]) -> Picture:
    """Blocks under one another as one."""
    shapes: list[Shape] = []
    y = 0.0
    for block in blocks:
        shapes += [moved(shape, 0.0, y) for shape in block.shapes]
        y += block.height
    return Picture(max((block.width for block in blocks), default=0.0), y, tuple(shapes))


def beside(blocks: Iterable[tuple[float, Picture]], width: float) -> Picture:
    """Blocks side by side, each from its own left edge on."""
    placed = tuple(blocks)
    shapes = tuple(moved(shape, left, 0.0) for left, block in placed for shape in block.shapes)
    return Picture(width, max((block.height for _, block in placed), default=0.0), shapes)


def air(height: float) -> Picture:
    """Nothing, so high."""
    return Picture(0.0, height, ())


def lines_of(said: str, width: float, size: float, face: Face = Face.REGULAR) -> list[Picture]:
    """Words in as many lines as they take."""
    return set_lines(wrapped_freely(said, face, width / size), size, face, width=width)


def set_lines(lines: Sequence[str], size: float, face: Face, indent: float = 0.0, width: float = 0.0) -> list[Picture]:
    """A block for each line."""
    return [Picture(width, LEADING * size, (words(indent, 0.95 * size, size, line, face),)) for line in lines]


def with_margins(blocks: Sequence[Picture], sides: tuple[float, float]) -> Picture:
    """A page of `sides` with the blocks between its margins."""
    return Picture(*sides, tuple(moved(shape, MARGIN, MARGIN) for shape in stacked(blocks).shapes))


def pages_pdf(pages: Sequence[Picture], title: str, dots_per_mm: float | None = None) -> bytes:
    """The pages as a PDF; equal pages give equal bytes."""
    paper = Paper(pages[0].width, pages[0].height, title=title, dots_per_mm=dots_per_mm)
    for number, page in enumerate(pages):
        if number:
            paper.turn_page()
        paper.place(page.shapes, 0.0, 0.0)
    return paper.finish()
