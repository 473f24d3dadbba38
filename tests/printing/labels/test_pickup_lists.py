"""The list for a pickup day: nobody's pieces are parted from the line they sign, unless they fill a page alone."""

from __future__ import annotations

import pytest

from printing.labels.home_papers import SlipLine
from printing.labels.pickup_lists import ListedPiece, PickupList, pickup_lists
from printing.labels.stock import LIST_PAPERS, Stock


def listed(*counts: int) -> PickupList:
    """So many pieces of each maker."""
    pieces = [
        ListedPiece(maker=f"Maker {maker}", line=SlipLine(code=f"C{maker}{number:03}", what="bowl"))
        for maker, count in enumerate(counts)
        for number in range(count)
    ]
    return PickupList(
        numbered="{number} of {count}",
        day="",
        when="Printed today",
        signs="Picked up by",
        pieces=tuple(pieces),
        nameless="maker: see page",
        unreadable="see its page",
    )


@pytest.mark.parametrize("stock", LIST_PAPERS, ids=lambda stock: stock.name)
def test_a_makers_pieces_stay_on_one_page_with_the_line_to_sign(stock: Stock) -> None:
    for counts in ((3,) * 40, (1, 4, 2, 5) * 10):
        for page in pickup_lists(listed(*counts), stock):
            texts = [part.text for part in page.parts]
            makers = [text for text in texts if text.startswith("Maker ")]
            assert texts.count("Picked up by") == len(makers)


def test_a_maker_with_more_than_a_page_goes_on_to_the_next_and_signs_once() -> None:
    pages = pickup_lists(listed(2, 200, 1), LIST_PAPERS[0])

    texts = [part.text for page in pages for part in page.parts]
    codes = [part.code for page in pages for part in page.parts if part.code]
    assert len(codes) == len(set(codes)) == 203
    assert texts.count("Picked up by") == 3
