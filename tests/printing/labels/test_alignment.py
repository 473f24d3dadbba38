"""The page of crosses, measured on the page as it is drawn."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from printing.labels.alignment import ARM, Spot, alignment_pdf, arm, belongs, crosses, inset, true_length
from printing.labels.stock import EVERY_STOCK, STOCKS, UNPRINTABLE_EDGE, Stock
from tests.printing.labels.tags import ink_of, rendered, text_of
from tests.printing.labels.words import TRUE_SIZE, alignment_words

DOTS = 508
"""Twenty dots to a millimetre."""

FULL_WIDTH = Stock("full width", 210, 297, 1, 2, 210, 148.5, 0, 0, 210, 148.5)
FULL_HEIGHT = Stock("full height", 210, 297, 3, 1, 70, 297, 0, 0, 70, 297)
ONE_LABEL = Stock("one on a page", 210, 297, 1, 1, 90, 60, 20, 30)
NARROW = Stock("narrow", 16, 60, 1, 3, 15, 15, 0.5, 0, 15, 15)
TINY_ROLL = Stock("tiny roll", 12, 12, 1, 1, 12, 12)


def corners_of(stock: Stock) -> set[tuple[float, float]]:
    return {
        (round(x + across, 3), round(y + down, 3))
        for x, y in map(stock.corner, range(stock.per_page))
        for across in (0.0, stock.label_width)
        for down in (0.0, stock.label_height)
    }


@pytest.mark.parametrize("stock", [one for one in EVERY_STOCK if not one.is_roll], ids=lambda stock: stock.name)
def test_every_cross_stands_on_a_labels_corner_where_a_printer_reaches_it(stock: Stock) -> None:
    found = crosses(stock)

    assert len(found) >= 1
    for x, y in found:
        assert (round(x, 3), round(y, 3)) in corners_of(stock)
        assert UNPRINTABLE_EDGE + ARM <= x <= stock.page_width - UNPRINTABLE_EDGE - ARM
        assert UNPRINTABLE_EDGE + ARM <= y <= stock.page_height - UNPRINTABLE_EDGE - ARM
    assert belongs(stock) is Spot.CORNER


def test_a_sheet_with_many_labels_has_four_crosses_around_and_one_amidst_them() -> None:
    sheet = STOCKS[0]

    found = crosses(sheet)

    assert len(found) == 5
    xs, ys = [x for x, _ in found[:4]], [y for _, y in found[:4]]
    # The first and the last corner that a cross of 5 mm fits on, 4.2 mm kept from the page's edge.
    assert (min(xs), max(xs)) == pytest.approx((7.2 + 63.5, 7.2 + 2 * 66.04))
    assert (min(ys), max(ys)) == pytest.approx((15.15, 15.15 + 7 * 38.1))
    assert min(xs) <= found[4][0] <= max(xs)
    # Nearer the middle than to either end.
    assert 297 / 4 < found[4][1] < 297 * 3 / 4


@pytest.mark.parametrize(
    ("stock", "on_edge", "spot"),
    [
        pytest.param(FULL_WIDTH, (False, True), Spot.TOP_OR_FOOT, id="full width"),
        pytest.param(FULL_HEIGHT, (True, False), Spot.SIDE, id="full height"),
        pytest.param(ONE_LABEL, (True, True), Spot.CORNER, id="one label on a page"),
        pytest.param(NARROW, (False, True), Spot.TOP_OR_FOOT, id="narrower than two crosses"),
        pytest.param(TINY_ROLL, (False, False), Spot.MIDDLE, id="tiny roll"),
    ],
)
def test_labels_that_reach_a_pages_ends_are_measured_half_way_along_their_edge(
    stock: Stock, on_edge: tuple[bool, bool], spot: Spot
) -> None:
    sides = [{round(corner[axis], 3) for corner in corners_of(stock)} for axis in (0, 1)]

    found = crosses(stock)

    assert found
    for place in found:
        for axis in (0, 1):
            assert (round(place[axis], 3) in sides[axis]) == on_edge[axis]
    assert belongs(stock) is spot
    assert alignment_pdf(stock, alignment_words(true_length(stock)))


@pytest.mark.parametrize("stock", [one for one in EVERY_STOCK if one.is_roll], ids=lambda stock: stock.name)
def test_the_crosses_of_a_roll_stand_a_whole_centimetre_from_its_edges_and_the_ticks_lead_there(stock: Stock) -> None:
    ink = np.asarray(ink_of(rendered(alignment_pdf(stock, alignment_words(true_length(stock))), DOTS)))
    assert inset(stock) == 10

    assert len(crosses(stock)) == 4
    for x, y in crosses(stock):
        assert min(x, stock.label_width - x) == min(y, stock.label_height - y) == 10
        side = 1 if x < stock.label_width / 2 else -1
        row = round((y - 0.6) * 20)
        for step in range(1, 10):
            column = round((x - side * step) * 20)
            assert ink[row, column - 2 : column + 3].any(), f"the tick {step} mm from the cross"
            assert not ink[row, column + 6 : column + 14].any(), f"beside the tick {step} mm from the cross"
    assert belongs(stock) is Spot.INSET


@pytest.mark.parametrize("stock", [*EVERY_STOCK[::3], FULL_WIDTH, ONE_LABEL], ids=lambda stock: stock.name)
def test_the_crosses_are_where_they_say_to_a_twentieth_of_a_millimetre(stock: Stock) -> None:
    ink = np.asarray(ink_of(rendered(alignment_pdf(stock, alignment_words(true_length(stock))), DOTS)))

    for x, y in crosses(stock):
        column, row = round(x * 20), round(y * 20)
        reach = round((2.0 if stock.is_roll else ARM) * 20) - 10
        # Both arms run through the point unbroken, one dot off at most.
        assert any(ink[row - reach : row + reach, at].all() for at in (column - 1, column, column + 1))
        assert any(ink[at, column - reach : column + reach].all() for at in (row - 1, row, row + 1))


@pytest.mark.parametrize("stock", EVERY_STOCK, ids=lambda stock: stock.name)
def test_the_line_to_measure_is_as_long_as_it_says(stock: Stock) -> None:
    length = true_length(stock)
    assert length in {100.0, 50.0, 20.0}
    pdf = alignment_pdf(stock, alignment_words(true_length(stock)))
    ink = np.asarray(ink_of(rendered(pdf, 254)))

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
    said = " ".join(text_of(pdf).split())
    assert f"This line is {length:g} mm long." in said
    assert TRUE_SIZE in said


_side = st.floats(5, 300)


@given(page=st.tuples(_side, _side), grid=st.tuples(st.integers(1, 6), st.integers(1, 12)), data=st.data())
def test_whatever_a_studio_measured_gets_crosses_on_its_page(
    page: tuple[float, float], grid: tuple[int, int], data: st.DataObject
) -> None:
    columns, rows = (max(1, min(count, int(side / 5))) for count, side in zip(grid, page, strict=True))
    width, height = data.draw(st.floats(5, page[0] / columns)), data.draw(st.floats(5, page[1] / rows))
    left = data.draw(st.floats(0, max(0.0, page[0] - columns * width)))
    top = data.draw(st.floats(0, max(0.0, page[1] - rows * height)))
    stock = Stock("any", page[0], page[1], columns, rows, width, height, left, top, width, height)

    found = crosses(stock)

    assert found
    assert len(found) == len(set(found)) <= 5
    assert all(0 < x < page[0] and 0 < y < page[1] for x, y in found)
    assert 1 <= arm(stock) <= ARM
    assert alignment_pdf(stock, alignment_words(true_length(stock)))
