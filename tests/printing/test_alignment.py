"""The page of crosses, measured on the page as it is drawn."""

from __future__ import annotations

import numpy as np
import pytest

from printing.alignment import ARM, alignment_pdf, crosses, true_length
from printing.stock import EVERY_STOCK, UNPRINTABLE_EDGE, Stock
from tests.printing.tags import ink_of, rendered

DOTS = 508
"""Twenty dots to a millimetre."""


@pytest.mark.parametrize("stock", EVERY_STOCK, ids=lambda stock: stock.name)
def test_every_cross_stands_on_a_labels_corner_where_a_printer_reaches_it(stock: Stock) -> None:
    found = crosses(stock)

    assert found
    corners = {
        (round(x + across, 3), round(y + down, 3))
        for x, y in map(stock.corner, range(stock.per_page))
        for across in (0.0, stock.label_width)
        for down in (0.0, stock.label_height)
    }
    for x, y in found:
        if stock.is_roll:
            assert (x, y) == (stock.label_width / 2, stock.label_height / 2)
            continue
        assert (round(x, 3), round(y, 3)) in corners
        assert UNPRINTABLE_EDGE + ARM <= x <= stock.page_width - UNPRINTABLE_EDGE - ARM
        assert UNPRINTABLE_EDGE + ARM <= y <= stock.page_height - UNPRINTABLE_EDGE - ARM


@pytest.mark.parametrize("stock", EVERY_STOCK[::3], ids=lambda stock: stock.name)
def test_the_crosses_are_where_they_say_to_a_twentieth_of_a_millimetre(stock: Stock) -> None:
    ink = np.asarray(ink_of(rendered(alignment_pdf(stock), DOTS)))

    for x, y in crosses(stock):
        column, row = round(x * 20), round(y * 20)
        arm = round((ARM - 0.5) * 20)
        # Both arms run through the point unbroken, one dot off at most.
        assert any(ink[row - arm : row + arm, at].all() for at in (column - 1, column, column + 1))
        assert any(ink[at, column - arm : column + arm].all() for at in (row - 1, row, row + 1))


@pytest.mark.parametrize("stock", EVERY_STOCK, ids=lambda stock: stock.name)
def test_the_line_to_measure_is_as_long_as_it_says(stock: Stock) -> None:
    length = true_length(stock)
    assert length in {100.0, 50.0, 20.0}
    ink = np.asarray(ink_of(rendered(alignment_pdf(stock), 254)))

    middle = round(stock.page_width * 5)
    lines = [
        row
        for row in range(ink.shape[0])
        if ink[row, middle - round(5 * length) + 3 : middle + round(5 * length) - 3].all()
    ]
    ends = []
    for row in lines:
        left, right = middle, middle
        while left > 0 and ink[row, left - 1]:
            left -= 1
        while right < ink.shape[1] - 1 and ink[row, right + 1]:
            right += 1
        ends.append((right - left + 1) / 10)
    assert any(abs(end - length) <= 0.3 for end in ends), ends
