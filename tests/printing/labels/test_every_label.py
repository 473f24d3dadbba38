"""Every stock with every paper that has a code on it, under names easy and hard, measured on the page as it is drawn.

Nothing here asks the layout where it put a thing: a reader that shares no code with us finds the bars and the QR, and
the rest is dots that are black or white.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
import pytest
import zxingcpp
from numpy.typing import NDArray

from printing.labels.home_papers import PickupSlip, SlipLine, StickOn, care_card, pickup_slips, stick_on
from printing.labels.label_parts import Label
from printing.labels.labels import refuses
from printing.labels.stock import EVERY_STOCK, Stock, TooSmall
from printing.labels.studio_labels import KilnDoor, badge, bucket_label, container_label, kiln_card, shelf_label
from printing.labels.tags import Tag, usual_tag
from tests.printing.labels.printed import labels_pdf, tags_pdf
from tests.printing.labels.tags import INES, MIRA, SLIP, label_of, rendered
from tests.printing.labels.test_home_papers import VASE
from tests.printing.labels.test_studio_labels import SLATE
from tests.printing.labels.thousands import HEADS
from tests.printing.labels.words import SLIP_WORDS, UNREADABLE, USUAL

Ink = NDArray[np.bool_]
Case = TypeVar("Case")

FIELDS = {
    "short": ("Mira T.", "tall cup"),
    "long": ("Bartholomew-Alexander Konstantin-Emanuel Quillfeather-Ostrander", "covered jar on three feet " * 3),
    "one long word": ("W" * 60, "Ŵ" * 40),
    "Greek": ("Ελένη Παπαδοπούλου", "κύπελλο"),
    "Hebrew": ("נועה לוי", "ספל"),
    "Arabic": ("محمد الأمين", "إبريق"),
    "Devanagari": ("प्रिया शर्मा", "प्याला"),
    "Chinese": ("李明 (Ming L.)", "茶碗"),
    "no letters at all": ("🏺\u202e\u200b", "\ud800"),
    "empty": ("", ""),
}
"""A maker's name and what was made, as people have them and as nobody has them."""

OURS = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.Code128, zxingcpp.BarcodeFormat.QRCode])
"""What the reader looks for: here it is asked where these stand; what else might be read, by the tests of reading."""

SHADE = 128
"""Darker than this a dot burns."""

LARGE = 12_000
"""Square millimetres: a larger label is a page, or half of one."""

EDGE = 0.5
"""Millimetres along a label's edge that stay white, though marks over letters lean into its margin."""


def tags_with_all_fields() -> list[Tag]:
    """Every sort of tag under every pair of fields."""
    sorts = (MIRA, INES, SLIP, replace(MIRA, reprint=True))
    return [
        replace(tag, maker=maker, what=what, clay=what)
        for maker, what in FIELDS.values()
        for tag in sorts
        if maker.isascii() or tag is not INES
    ]


TAGS = tags_with_all_fields()


@dataclass(frozen=True, slots=True)
class Symbol:
    """A symbol where the reader found it, in dots: its text, whether it is a row of bars, and the box it says."""

    text: str
    is_bars: bool
    left: int
    top: int
    right: int
    foot: int


def symbols_on(ink: Ink) -> list[Symbol]:
    """What the reader finds, and where."""
    found = []
    gray = np.where(ink, 0, 255).astype(np.uint8)
    for one in zxingcpp.read_barcodes(gray, OURS, try_rotate=False, try_downscale=False, try_invert=False):
        corners = [getattr(one.position, name) for name in ("top_left", "top_right", "bottom_right", "bottom_left")]
        xs, ys = [corner.x for corner in corners], [corner.y for corner in corners]
        is_bars = one.format == zxingcpp.BarcodeFormat.Code128
        found.append(Symbol(one.text, is_bars, min(xs), min(ys), max(xs), max(ys)))
    return found


def some_of(cases: Sequence[Case], stock: Stock, dpi: int) -> Sequence[Case]:
    """All cases on the labels of the coarsest head, where room is scarcest; else every ninth, or 18th on a whole page.

    Fine heads and large papers take longest, and have most room. Cases of four sorts take turns, so that a ninth has
    each sort under other fields.
    """
    is_large = stock.label_width * stock.label_height > LARGE
    if dpi == min(HEADS):
        return cases[::5] if is_large else cases
    return cases[dpi // 100 % 9 :: 18 if is_large else 9]


def labels_drawn(pdf: bytes, stock: Stock, count: int, dpi: int) -> Iterator[Ink]:
    """Each label as the head's own dots: black or white."""
    for first in range(0, count, stock.per_page):
        page = rendered(pdf, HEADS[dpi], first // stock.per_page)
        for place in range(min(stock.per_page, count - first)):
            yield np.asarray(label_of(page, stock, place, HEADS[dpi])) < SHADE


def must_keep_its_edge(ink: Ink, dpi: int) -> None:
    """No ink reaches the label's edge, so none has left it."""
    edge = round(EDGE * HEADS[dpi] / 25.4)
    inner = ink[edge:-edge, edge:-edge]
    assert inner.any()
    assert inner.sum() == ink.sum()


def must_be_true_bars(ink: Ink, symbol: Symbol, dpi: int) -> None:
    """Bars of whole dots, high enough, with ten blank modules on either side all along (ISO/IEC 15417)."""
    middle = (symbol.top + symbol.foot) // 2
    row = ink[middle]
    (dark,) = np.nonzero(row[symbol.left - 3 : symbol.right + 4])
    first, last = symbol.left - 3 + int(dark[0]), symbol.left - 3 + int(dark[-1])
    pattern = row[first : last + 1]
    turns = np.flatnonzero(np.diff(pattern.astype(np.int8)))
    widths = np.diff(np.concatenate(([-1], turns, [len(pattern) - 1])))
    module = int(widths.min())
    assert set((widths % module).tolist()) == {0}, "an element is no whole number of modules, or a module of dots"
    assert len(pattern) == module * (11 * len(symbol.text) + 35)

    same = (ink[:, first : last + 1] == pattern).all(axis=1)
    top = middle - int(np.argmin(same[middle::-1])) + 1
    foot = middle + int(np.argmin(same[middle:])) - 1
    millimetres = (foot - top + 1) * 25.4 / HEADS[dpi]
    # A dot of the grid may be lost at either end.
    assert millimetres >= max(12.0, 0.25 * len(pattern) * 25.4 / HEADS[dpi]) - 2 * 25.4 / HEADS[dpi]

    quiet = 10 * module
    assert min(first, ink.shape[1] - last - 1) >= quiet - 1
    assert not ink[top : foot + 1, max(0, first - quiet) : first].any()
    assert not ink[top : foot + 1, last + 1 : last + 1 + quiet].any()


def must_be_a_true_qr(ink: Ink, symbol: Symbol) -> None:
    """A square of whole dots, with four blank modules all around (ISO/IEC 18004)."""
    inside = ink[symbol.top - 2 : symbol.foot + 3, symbol.left - 2 : symbol.right + 3]
    (rows,) = np.nonzero(inside.any(axis=1))
    (columns,) = np.nonzero(inside.any(axis=0))
    top, foot = symbol.top - 2 + int(rows[0]), symbol.top - 2 + int(rows[-1])
    left, right = symbol.left - 2 + int(columns[0]), symbol.left - 2 + int(columns[-1])
    side = right - left + 1
    assert foot - top + 1 == side
    finder = ink[top, left : right + 1]
    module = int(np.argmin(finder)) // 7
    assert side % module == 0
    # The label was cut out along the nearest dots, so a blank that ends where the label does may lack one.
    quiet = 4 * module
    assert min(top, left, ink.shape[0] - foot - 1, ink.shape[1] - right - 1) >= quiet - 1
    around = ink[max(0, top - quiet) : foot + 1 + quiet, max(0, left - quiet) : right + 1 + quiet]
    assert around.sum() == ink[top : foot + 1, left : right + 1].sum()


@pytest.mark.parametrize("dpi", HEADS)
@pytest.mark.parametrize("stock", EVERY_STOCK, ids=lambda stock: stock.name)
def test_a_tag_of_any_fields_keeps_to_its_label_and_its_symbols_are_true(stock: Stock, dpi: int) -> None:
    if reasons := refuses(usual_tag(USUAL), stock, dpi):
        assert all(reasons)
        return
    tags = some_of(TAGS, stock, dpi)
    drawn = labels_drawn(tags_pdf(tags, stock, dpi=dpi), stock, len(tags), dpi)

    for tag, ink in zip(tags, drawn, strict=True):
        must_keep_its_edge(ink, dpi)
        found = {symbol.text: symbol for symbol in symbols_on(ink)}
        assert set(found) == {tag.name, tag.address}
        must_be_true_bars(ink, found[tag.name], dpi)
        must_be_a_true_qr(ink, found[tag.address])


def labels_with_all_fields() -> list[Label]:
    """A shelf, a bucket, a badge and a care card under every name, each with short bars."""
    return [
        label
        for name, more in FIELDS.values()
        for label in (
            shelf_label(name, "S.rack 3", "Scan this, then each piece you put here.", unreadable=UNREADABLE),
            bucket_label(replace(SLATE, name=name, stands=more, bar="B.slate")),
            badge(name, "staff", more, "U.Mira", unreadable=UNREADABLE),
            care_card(replace(VASE, whose=f"{more} {name}", made_of=more, studio=f"{more} {name}")),
        )
    ]


def labels_without_bars(stock: Stock, dpi: int) -> list[Label]:
    """A stick-on, a container's number, a kiln's card and a pickup slip under every name, as this stock holds them."""
    made: list[Label] = []
    for name, more in FIELDS.values():
        slip = PickupSlip(
            maker=name,
            when=f"Mar 3, 2026, {name}",
            said=SLIP_WORDS,
            lines=(SlipLine(code="K7R43", what=more, warning="Decorative, not for food or drink"),) * 3,
        )
        with suppress(TooSmall):
            made += pickup_slips(slip, stock, dpi)
        made += [
            stick_on(StickOn(warning="NOT FOR FOOD OR DRINK", why="Decorative piece.", code=f"K7R43, {name}")),
            container_label(name, more, unreadable=UNREADABLE),
            kiln_card(
                KilnDoor(
                    name=name,
                    place=more,
                    fires=("mid-range, cone 6, 1222 °C",),
                    never_head="Do not fire in this kiln",
                    never=("Low-fire glazes melt off the pot.",),
                    cautions_head="In every firing",
                    cautions=("The kiln is hot for a day: whoever is trained opens it.",),
                    studio=name,
                    unreadable=UNREADABLE,
                )
            ),
        ]
    return [label for label in made if not refuses(label, stock, dpi)]


@pytest.mark.parametrize("dpi", HEADS)
@pytest.mark.parametrize("stock", EVERY_STOCK, ids=lambda stock: stock.name)
def test_a_studio_label_of_any_fields_keeps_to_its_label_and_its_bars_are_true(stock: Stock, dpi: int) -> None:
    every = some_of(labels_with_all_fields(), stock, dpi)
    labels: Sequence[Label] = [label for label in every if not refuses(label, stock, dpi)]
    if not labels:
        assert refuses(shelf_label("rack 3", "S.rack 3"), stock, dpi)
        return
    drawn = labels_drawn(labels_pdf(labels, stock, dpi=dpi), stock, len(labels), dpi)

    for label, ink in zip(labels, drawn, strict=True):
        must_keep_its_edge(ink, dpi)
        (symbol,) = symbols_on(ink)
        assert symbol.text == label.bar
        must_be_true_bars(ink, symbol, dpi)


@pytest.mark.parametrize("dpi", HEADS)
@pytest.mark.parametrize("stock", EVERY_STOCK, ids=lambda stock: stock.name)
def test_a_paper_without_bars_keeps_to_its_label_whatever_its_fields(stock: Stock, dpi: int) -> None:
    labels = some_of(labels_without_bars(stock, dpi), stock, dpi)
    drawn = labels_drawn(labels_pdf(labels, stock, dpi=dpi), stock, len(labels), dpi)

    for ink in drawn:
        must_keep_its_edge(ink, dpi)
