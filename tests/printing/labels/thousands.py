"""Many pieces' tags as a studio prints them, drawn by two programs, ill-treated, and read by a third."""

from __future__ import annotations

import random
import subprocess
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import cycle, islice, product
from tempfile import TemporaryDirectory

from PIL import Image, ImageFilter

from printing.labels.stock import Stock, stock_named
from printing.labels.tags import Tag
from tests.printing.labels.papers import HARD
from tests.printing.labels.printed import tags_pdf
from tests.printing.labels.tags import INES, MIRA, PLACE, SLIP, label_of, rendered, symbols_read
from tracker.domain.pieces.codes import draw_code

SHEET = stock_named("A4, 3 x 7, 63.5 x 38.1 mm")
HEADS = {203: 203.2, 300: 300.0, 600: 600.0}
"""Dots to an inch of each sort of print head: one of "203" has 8 to the millimetre."""

CAMERA = 300.0
"""A phone held over a tag sees about so many dots to an inch (common practice)."""

INK, PAPER = 95, 175
"""Black and white of a worn print under a weak lamp: a symbol contrast of 31 %, the second lowest grade that passes in
ISO/IEC 15416 (20 to 40 %; from memory)."""

Picture = Image.Image


@dataclass(frozen=True, slots=True)
class Print:
    """One way to put tags on paper: the head's dots, the program that draws the page, and whether it knows gray."""

    dpi: int
    drawn_by: str
    is_gray: bool

    @property
    def head(self) -> float:
        """The head's true dots to an inch."""
        return HEADS[self.dpi]

    def labels(self, tags: Sequence[Tag], stock: Stock) -> Iterator[Picture]:
        """Each tag's label as it comes out of the printer."""
        pdf = tags_pdf(tags, stock, dpi=self.dpi)
        pages = DRAWN_BY[self.drawn_by](pdf, self.head, self.is_gray, -(-len(tags) // stock.per_page))
        for first, page in zip(range(0, len(tags), stock.per_page), pages, strict=True):
            for place in range(min(stock.per_page, len(tags) - first)):
                yield label_of(page, stock, place, self.head)


def _by_pdfium(pdf: bytes, head: float, is_gray: bool, pages: int) -> Iterator[Picture]:  # noqa: FBT001 -- one of DRAWN_BY
    """Gray as it is drawn; without gray a dot burns where the page is darker than half."""
    for number in range(pages):
        page = rendered(pdf, head, number)
        yield page if is_gray else page.point(lambda gray: 255 if gray >= 128 else 0)


def _by_poppler(pdf: bytes, head: float, is_gray: bool, pages: int) -> Iterator[Picture]:  # noqa: FBT001 -- one of DRAWN_BY
    """As `pdftoppm` draws it in gray, or in its own one bit."""
    with TemporaryDirectory() as folder:
        words = ["pdftoppm", "-r", f"{head:g}", "-gray" if is_gray else "-mono", "-", f"{folder}/page"]
        subprocess.run(words, input=pdf, check=True)
        ending = "pgm" if is_gray else "pbm"
        digits = len(str(pages))
        for number in range(1, pages + 1):
            with Image.open(f"{folder}/page-{number:0{digits}}.{ending}") as page:
                yield page.convert("L")


DRAWN_BY: dict[str, Callable[[bytes, float, bool, int], Iterator[Picture]]] = {
    "pdfium": _by_pdfium,
    "poppler": _by_poppler,
}
PRINTS = tuple(Print(*one) for one in product(HEADS, DRAWN_BY, (False, True)))


# ---- what a studio does to a tag -------------------------------------------------------------------------------------


def seen(label: Picture, head: float) -> Picture:
    """The label as a camera has it, which sees no finer than itself."""
    if head <= CAMERA:
        return label
    width, height = label.size
    return label.resize((round(width * CAMERA / head), round(height * CAMERA / head)), Image.Resampling.BOX)


def turned(label: Picture, degrees: int) -> Picture:
    """The label as a hand holds it, on white."""
    return label.rotate(degrees, resample=Image.Resampling.BICUBIC, expand=True, fillcolor=255)


def blurred(label: Picture, head: float, millimetres: float = 0.1) -> Picture:
    """Out of focus or smeared, every edge spread by `millimetres`."""
    return label.filter(ImageFilter.GaussianBlur(millimetres * min(head, CAMERA) / 25.4))


def faint(label: Picture) -> Picture:
    """Of little contrast: gray on gray."""
    return label.point(lambda gray: INK + gray * (PAPER - INK) // 255)


STRESSES: dict[str, Callable[[Picture, float], Picture]] = {
    "turned 5 degrees": lambda label, _: turned(label, 5),
    "turned 12 degrees": lambda label, _: turned(label, 12),
    "blurred 0.1 mm": blurred,
    "faint": lambda label, _: faint(label),
    "turned 5 degrees, blurred and faint": lambda label, head: faint(blurred(turned(label, 5), head)),
    "turned 12 degrees, blurred and faint": lambda label, head: faint(blurred(turned(label, 12), head)),
}


# ---- the pieces ------------------------------------------------------------------------------------------------------

_WARNINGS = (
    (),
    ("porcelain, slab-built: may crack in raku",),
    ("porcelain over 150 mm: may crack in raku", "thin parts: lift from below"),
)
_ROUTES = (None, "mid-range, cone 6, 1222 °C", "outdoor kiln, raku, cone 06, 998 °C", "low-fire, cone 04, 1063 °C")


def pieces_of_a_year(count: int, seed: int = 20_000) -> list[Tag]:
    """`count` tags of pieces with codes as they are drawn, some still greenware, under names easy and hard."""
    chance = random.Random(seed)  # noqa: S311 -- the same pieces every time
    return [_piece(chance, number) for number in range(count)]


def _piece(chance: random.Random, number: int) -> Tag:
    slip = f"W{number + 1}"
    like = chance.choice((MIRA, INES, SLIP))
    code = draw_code(chance.randrange, chance.choice((5, 5, 5, 6))) if like.code else None
    return replace(
        like,
        code=code,
        slip=slip,
        maker=chance.choice((*HARD, "Mira T.", "Ines P.", "Asa L.")),
        what=chance.choice(("tall cup", "soup bowl", "jar with a lid and a rather long name", "", "tile")),
        warnings=chance.choice(_WARNINGS) if like.never else (),
        route=chance.choice(_ROUTES) if code else None,
        address=f"{PLACE}{code}" if code else f"{PLACE.removesuffix('p/')}slip/{number + 1}",
        reprint=chance.random() < 0.1,
    )


# ---- reading them ----------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class Count:
    """How many labels were shown to the reader, how many it read by bars or QR, and each wrong or missing one.

    Wrong is a text that does not stand on its tag.
    """

    shown: int = 0
    read: int = 0
    wrong: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)

    @property
    def share(self) -> float:
        """The part that was read."""
        return self.read / self.shown

    def note(self, tag: Tag, found: set[str], how: str) -> None:
        """Count one label by what was read from it."""
        self.shown += 1
        self.read += bool(found & {tag.name, tag.address})
        if strange := found - {tag.name, tag.address}:
            self.wrong.append(f"{tag.name} {how}: {sorted(strange)}")
        if not found:
            self.missed.append(f"{tag.name} {how}")


def read_clean(tags: Sequence[Tag], how: Print, stock: Stock = SHEET) -> Count:
    """Every label of a print as it comes out; one that lacks either its bars or its QR counts as missed."""
    count = Count()
    for tag, label in zip(tags, how.labels(tags, stock), strict=True):
        found = symbols_read(label)
        count.note(tag, found if found >= {tag.name, tag.address} else found - {tag.name, tag.address}, str(how))
    return count


def read_stressed(tags: Sequence[Tag], how: Print, stock: Stock = SHEET, each: int = len(STRESSES)) -> dict[str, Count]:
    """Every label of a print under `each` of the stresses, which take turns when those are not all."""
    counts = {name: Count() for name in STRESSES}
    turns = cycle(STRESSES.items())
    for tag, label in zip(tags, how.labels(tags, stock), strict=True):
        picture = seen(label, how.head)
        for name, stress in islice(turns, each):
            counts[name].note(tag, symbols_read(stress(picture, how.head)), f"{how}, {name}")
    return counts


def together(counts: Iterable[Count]) -> Count:
    """Several counts as one."""
    whole = Count()
    for count in counts:
        whole.shown += count.shown
        whole.read += count.read
        whole.wrong += count.wrong
        whole.missed += count.missed
    return whole
