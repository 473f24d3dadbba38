"""Labels to print in tests, plain and hard, and how one looks at them."""

from __future__ import annotations

import math
import subprocess
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np
import zxingcpp
from numpy.typing import NDArray

from printing.labels.stock import EVERY_STOCK, Stock
from printing.shapes import CAP_HEIGHT, Edges, Shape, Symbol, Text, box
from tests.printing.labels.tags import label_of, rendered

if TYPE_CHECKING:
    from pathlib import Path

ALL_STOCKS = EVERY_STOCK
HARD = (
    "",
    "Mira T.",
    "Bartholomew-Alexander Konstantinopolous Q.",
    "W" * 60,
    "Ŵ" * 8,
    "李明",
    "محمد",
    "\u202eright to left",
    "🏺",
    "a\u0301\u0302\u0303",
    "line\nbreak",
    "<b>(\\)</b>",
)
"""Names as people have them and as nobody has them."""


def said(shapes: tuple[Shape, ...]) -> str:
    """All text of a label, run after run."""
    return " ".join(shape.text for shape in shapes if isinstance(shape, Text))


def size_of(shapes: tuple[Shape, ...], words: str) -> float:
    """The type size in which the run that begins with these words is set."""
    return next(shape.size for shape in shapes if isinstance(shape, Text) and shape.text.startswith(words))


def must_stand_apart(shapes: tuple[Shape, ...], stock: Stock) -> None:
    """Every shape lies on the label, none on another, and none in a symbol's quiet zone (ISO/IEC 15417)."""
    for shape in shapes:
        left, top, right, foot = box(shape)
        assert left >= -1e-6
        assert top >= -1e-6
        assert right <= stock.label_width + 1e-6
        assert foot <= stock.label_height + 1e-6
    for one, other in combinations(shapes, 2):
        assert not _overlap(_edges(one), _edges(other)), (one, other)
    for symbol in (shape for shape in shapes if isinstance(shape, Symbol)):
        left, _, right, _ = _edges(symbol)
        assert left >= -1e-6
        assert right <= stock.label_width + 1e-6
        assert symbol.row_height >= max(12.0, 0.25 * symbol.module * symbol.modules) - 1e-6


def _edges(shape: Shape) -> Edges:
    left, top, right, foot = box(shape)
    if isinstance(shape, Symbol):
        quiet = shape.quiet * shape.module
        return left - quiet, top, right + quiet, foot
    return left, top, right, foot


def _overlap(one: Edges, other: Edges) -> bool:
    slack = 1e-6
    return (
        one[0] < other[2] - slack
        and other[0] < one[2] - slack
        and one[1] < other[3] - slack
        and other[1] < one[3] - slack
    )


def cap_height(shapes: tuple[Shape, ...], words: str) -> float:
    """How high the capitals of the run that begins with these words are, in mm."""
    return CAP_HEIGHT * size_of(shapes, words)


def read_at_203(pdf: bytes, page: int = 0) -> set[str]:
    """What zxing-cpp reads from a page as a thermal printer of 203 dpi prints it: one bit a dot, no gray."""
    gray = np.asarray(rendered(pdf, 203.2, page))
    return {found.text for found in zxingcpp.read_barcodes(np.where(gray < 128, 0, 255).astype(np.uint8))}


def ink_outside(pdf: bytes, stock: Stock, used: int) -> bool:
    """Whether the first page has ink but on its first `used` labels and where a sheet has its own."""
    page = rendered(pdf, 100)
    ink = np.array(np.asarray(page) < 250)
    without_margins(ink, stock, 100)
    for place in range(used):
        assert (np.asarray(label_of(page, stock, place, 100)) < 250).any()
        x, y = stock.corner(place)
        edges = (x, y, x + stock.label_width, y + stock.label_height)
        left, top, right, foot = (round(edge * 100 / 25.4) for edge in edges)
        ink[top:foot, left:right] = False
    return bool(ink.any())


def without_margins(ink: NDArray[np.bool_], stock: Stock, dots_per_inch: float) -> None:
    """Overlook what a sheet has of its own: above and below all labels, and between those of plain paper."""
    foot = stock.corner(stock.per_page - 1)[1] + stock.label_height
    ink[: int(stock.top * dots_per_inch / 25.4)] = False
    ink[math.ceil(foot * dots_per_inch / 25.4) :] = False
    if stock.is_cut:
        on_labels = np.zeros_like(ink)
        for place in range(stock.per_page):
            x, y = stock.corner(place)
            edges = (x, y, x + stock.label_width, y + stock.label_height)
            left, top, right, below = (round(edge * dots_per_inch / 25.4) for edge in edges)
            on_labels[top:below, left:right] = True
        ink &= on_labels


def must_be_a_whole_pdf(pdf: bytes, folder: Path) -> None:
    """Qpdf finds nothing to complain of."""
    (folder / "paper.pdf").write_bytes(pdf)
    done = subprocess.run(["qpdf", "--check", "paper.pdf"], cwd=folder, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
