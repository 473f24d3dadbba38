"""What stands around the labels: lines to cut along, a string's hole, and how to print the page."""

from __future__ import annotations

import numpy as np
import pypdfium2
import pytest

from printing.shapes import box
from printing.sheets import TRUE_SIZE, around, note
from printing.stock import EVERY_STOCK, PLAIN_PAPERS, UNPRINTABLE_EDGE, Stock
from printing.tags import stocks_for_tags, tags_pdf
from tests.printing.tags import INES, MIRA, SLIP, ink_of, label_of, rendered, symbols_read, text_of

SHEETS = [stock for stock in EVERY_STOCK if not stock.is_roll]
HAND = 254
"""Ten dots to a millimetre."""


@pytest.mark.parametrize("stock", EVERY_STOCK, ids=lambda stock: stock.name)
def test_what_stands_around_the_labels_touches_none_of_them(stock: Stock) -> None:
    for shape in (*around(stock), *note(stock)):
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

    said = list(note(stock))

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
