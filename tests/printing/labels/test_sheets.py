"""What stands around the labels: lines to cut along, a string's hole, and how to print the page."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st

from printing.labels.labels import refuses
from printing.labels.sheets import HOLE, around, note
from printing.labels.stock import BAR_PAPERS, EVERY_STOCK, PLAIN_PAPERS, STOCKS, UNPRINTABLE_EDGE, Stock, TooSmall
from printing.labels.tags import usual_tag
from printing.shapes import box
from tests.drawn import examples
from tests.printing.labels.papers import without_margins
from tests.printing.labels.printed import stocks_for_tags, tags_pdf
from tests.printing.labels.tags import INES, MIRA, SLIP, ink_of, label_of, rendered, symbols_read, text_of
from tests.printing.labels.words import TRUE_SIZE, USUAL

SHEETS = [stock for stock in EVERY_STOCK if not stock.is_roll]
HAND = 254
"""Ten dots to a millimetre."""


@pytest.mark.parametrize("stock", EVERY_STOCK, ids=lambda stock: stock.name)
def test_what_stands_around_the_labels_touches_none_of_them(stock: Stock) -> None:
    for shape in (*around(stock), *note(stock, TRUE_SIZE)):
        left, top, right, foot = box(shape)
        for place in range(stock.per_page):
            x, y = stock.corner(place)
            assert (
                right <= x + 1e-6
                or left >= x + stock.label_width - 1e-6
                or foot <= y + 1e-6
                or top >= y + stock.label_height - 1e-6
            ), shape


@pytest.mark.parametrize("stock", SHEETS, ids=lambda stock: stock.name)
def test_a_sheet_says_how_to_print_it_where_a_printer_reaches_its_margin(stock: Stock) -> None:
    foot = stock.corner(stock.per_page - 1)[1] + stock.label_height
    has_room = max(stock.top, stock.page_height - foot) >= UNPRINTABLE_EDGE + 2.6

    said = list(note(stock, TRUE_SIZE))

    assert bool(said) == has_room
    for shape in said:
        left, top, right, foot = box(shape)
        assert left >= UNPRINTABLE_EDGE
        assert right <= stock.page_width - UNPRINTABLE_EDGE
        assert top >= UNPRINTABLE_EDGE - 0.3
        assert foot <= stock.page_height - UNPRINTABLE_EDGE + 0.3


def test_the_words_about_true_size_can_be_read_on_the_sheet_and_a_viewer_is_told_too() -> None:
    pdf = tags_pdf([MIRA], SHEETS[0])

    assert TRUE_SIZE in " ".join(text_of(pdf).split())
    # PDF 1.6 (ISO 32000-1, table 150): the viewer's print dialogue begins without scaling.
    document = pypdfium2.PdfDocument(pdf)
    assert pypdfium2.raw.FPDF_VIEWERREF_GetPrintScaling(document) == 0
    document.close()


@pytest.mark.parametrize("stock", PLAIN_PAPERS, ids=lambda stock: stock.name)
def test_tags_of_plain_paper_are_read_and_the_lines_to_cut_run_between_them(stock: Stock) -> None:
    assert stock in stocks_for_tags(300)
    tags = [MIRA, INES, SLIP]

    page = rendered(tags_pdf(tags, stock, dpi=300), 300)
    for place, tag in enumerate(tags):
        assert symbols_read(label_of(page, stock, place, 300)) == {tag.name, tag.address}

    ink = ink_of(rendered(tags_pdf(tags, stock), HAND))
    for row in range(1, stock.rows):
        line = round(row * stock.pitch_y * HAND / 25.4)
        assert ink[line - 2 : line + 3].any(axis=0).mean() > 0.4
    for column in range(1, stock.columns):
        line = round(column * stock.pitch_x * HAND / 25.4)
        assert ink[:, line - 2 : line + 3].any(axis=1).mean() > 0.4


def test_a_tag_to_tie_on_has_a_ring_for_its_hole_that_nothing_crosses() -> None:
    stock = next(one for one in PLAIN_PAPERS if one.strip)
    ink = np.asarray(ink_of(rendered(tags_pdf([MIRA] * stock.per_page, stock), HAND)))

    for place in range(stock.per_page):
        x, y = (round(length * 10) for length in stock.corner(place))
        strip = ink[y : y + round(stock.label_height * 10), x - round(stock.strip * 10) + 10 : x]
        (rows,), (columns,) = (np.nonzero(strip.any(axis=1)), np.nonzero(strip.any(axis=0)))
        # A ring of 5 mm and nothing else.
        assert rows[-1] - rows[0] == pytest.approx(50, abs=4)
        assert columns[-1] - columns[0] == pytest.approx(50, abs=4)


def test_a_page_too_narrow_for_the_whole_sentence_says_none_of_it() -> None:
    narrow = Stock("narrow", 40, 120, 1, 3, 30, 30, 5, 15, 30, 30)

    assert list(note(narrow, TRUE_SIZE)) == []
    assert list(note(replace(narrow, page_width=60), TRUE_SIZE))


def test_one_label_on_a_larger_page_is_a_sheet_and_says_how_to_print_it() -> None:
    one = Stock("one on a page", 210, 297, 1, 1, 90, 60, 20, 30)

    assert not one.is_roll
    assert list(note(one, TRUE_SIZE))
    assert all(stock.is_roll for stock in STOCKS if stock.name.startswith("Roll"))


def test_a_nudge_moves_the_lines_to_cut_along_with_the_labels() -> None:
    stock = PLAIN_PAPERS[0]
    first, moved = (
        np.asarray(ink_of(rendered(tags_pdf([MIRA], stock, nudge_mm=nudge), HAND)))
        for nudge in ((0.0, 0.0), (1.5, -1.0))
    )

    # Between two columns, in a row of empty labels: the one line down, a dot wide or two.
    middle = round(2.5 * stock.pitch_y * 10)
    band = slice(middle - 200, middle + 200)
    (before,), (after,) = (np.nonzero(ink[band, 900:1200].any(axis=0)) for ink in (first, moved))
    assert after.mean() - before.mean() == pytest.approx(15, abs=1)


@pytest.mark.parametrize(
    "stock", [one for one in EVERY_STOCK if one.is_cut and one not in BAR_PAPERS], ids=lambda stock: stock.name
)
def test_between_and_beside_the_labels_of_plain_paper_there_is_only_what_is_said(stock: Stock) -> None:
    ink = np.array(ink_of(rendered(tags_pdf([MIRA] * stock.per_page, stock), HAND)))
    for place in range(stock.per_page):
        x, y = stock.corner(place)
        # Ink on the label keeps a millimetre from its edge, and so from every line.
        left, top = math.ceil(x * 10), math.ceil(y * 10)
        right, foot = int((x + stock.label_width) * 10), int((y + stock.label_height) * 10)
        label = ink[top:foot, left:right]
        assert label[10:-10, 10:-10].sum() == label.sum() > 0
        ink[top:foot, left:right] = False
    for column in range(1, stock.columns):
        line = round(column * stock.pitch_x * 10)
        ink[:, line - 3 : line + 4] = False
    for row in range(1, stock.rows):
        line = round(row * stock.pitch_y * 10)
        ink[line - 3 : line + 4] = False
    for place in range(stock.per_page) if stock.strip else ():
        x, y = stock.corner(place)
        middle, centre = round((y + stock.label_height / 2) * 10), round((x - 1.5 - HOLE) * 10)
        # Within the ring a punch finds nothing to cut through.
        assert not ink[middle - 15 : middle + 16, centre - 15 : centre + 16].any()
        ink[middle - 27 : middle + 28, centre - 27 : centre + 28] = False
    assert not ink.any()


@given(width=st.floats(20, 150), height=st.floats(15, 120), gap=st.floats(0, 8), edge=st.floats(0, 12))
@examples(40)
def test_on_labels_of_any_size_a_tag_is_whole_or_refused_by_what_would_not_fit(
    width: float, height: float, gap: float, edge: float
) -> None:
    pages = (2 * (edge + width) + gap, 2 * (edge + height) + gap)
    stock = Stock("ours", *pages, 2, 2, width, height, edge, edge, width + gap, height + gap)

    missing = refuses(usual_tag(USUAL), stock)
    if missing:
        with pytest.raises(TooSmall) as refused:
            tags_pdf([MIRA], stock)
        assert refused.value.reasons == missing
        return

    pdf = tags_pdf([MIRA, INES, SLIP, MIRA], stock)
    page = rendered(pdf, HAND)
    ink = np.array(ink_of(page))
    without_margins(ink, stock, HAND)
    for place in range(4):
        assert ink_of(label_of(page, stock, place, HAND)).any()
        x, y = stock.corner(place)
        ink[int(y * 10) : math.ceil((y + height) * 10), int(x * 10) : math.ceil((x + width) * 10)] = False
    assert not ink.any()
