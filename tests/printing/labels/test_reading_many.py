"""Pieces of a year, printed on every sort of head, drawn by PDFium and by poppler, and read by zxing-cpp.

Here a share of them for every change; `python -m tests.bench reading` does the same with 2,000.
"""

import pytest

from tests.printing.labels.thousands import PRINTS, Print, pieces_of_a_year, read_clean, read_stressed

EACH = 14
PIECES = pieces_of_a_year(EACH * len(PRINTS))
LEAST_READ = 0.97


def sheet_of(how: Print) -> slice:
    """Some of the pieces for each way of printing, so that no two read the same."""
    first = EACH * PRINTS.index(how)
    return slice(first, first + EACH)


@pytest.mark.parametrize("how", PRINTS, ids=str)
def test_every_bar_and_every_qr_of_a_clean_print_is_read(how: Print) -> None:
    count = read_clean(PIECES[sheet_of(how)], how)

    assert count.wrong == []
    assert count.missed == []
    assert count.read == EACH


@pytest.mark.parametrize("how", PRINTS, ids=str)
def test_a_tag_that_a_studio_ill_treats_is_still_read_and_never_as_another(how: Print) -> None:
    counts = read_stressed(PIECES[sheet_of(how)], how, each=3)

    assert [one for count in counts.values() for one in count.wrong] == []
    read = sum(count.read for count in counts.values())
    shown = sum(count.shown for count in counts.values())
    assert read >= LEAST_READ * shown, [one for count in counts.values() for one in count.missed]
