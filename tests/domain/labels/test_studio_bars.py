"""What the studio's own bars say is never read as a piece, and no piece as one of them."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as some

from tracker.domain.labels.studio_bars import Labelled, Sort, bar_text, read_bar
from tracker.domain.pieces.codes import ALPHABET, LENGTHS, code_number, read, read_slip, slip_text, space

names = some.text(some.characters(codec="utf-8", categories=["L", "N", "P", "S"]), min_size=1, max_size=40)
sorts = some.sampled_from(Sort)


@given(sorts, names)
def test_a_bar_says_just_the_thing_it_stands_on(sort: Sort, name: str) -> None:
    text = bar_text(sort, name)

    assert read_bar(text) == Labelled(sort, unicodedata.normalize("NFC", name))
    assert all(" " <= letter <= "~" for letter in text)


@given(sorts, some.one_of(names, some.text(f"{ALPHABET}.- ", max_size=6)))
def test_no_bar_of_the_studios_is_a_code_or_a_slip(sort: Sort, name: str) -> None:
    text = bar_text(sort, name)

    assert read(text).code is None
    assert read_slip(text) is None


@given(some.integers(0, space(min(LENGTHS)) - 1), some.integers(1, 10**8))
def test_no_code_and_no_slip_is_a_bar_of_the_studios(number: int, piece: int) -> None:
    for text in (code_number(number), slip_text(piece), f"http://127.0.0.1:8000/p/{code_number(number)}"):
        assert read_bar(text) is None
        assert read_bar(text.lower()) is None


def test_the_letters_that_bars_begin_with_are_in_no_code_and_begin_no_slip() -> None:
    assert not {sort.value for sort in Sort} & set(ALPHABET)
    assert slip_text(1)[0] not in {sort.value for sort in Sort}


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("S.rack 3", "rack 3"),
        (" s.rack 3\r\n", "rack 3"),
        ("S.R%C3%A9gal", "Régal"),
        ("S.r%c3%a9gal", "régal"),
        ("S.50 % off", "50 % off"),
        ("S.%ZZ", "%ZZ"),
        ("S.%", "%"),
    ],
)
def test_a_shelf_is_read_as_scanners_send_it(text: str, name: str) -> None:
    assert read_bar(text) == Labelled(Sort.SHELF, name)


@pytest.mark.parametrize(
    "text", ["", "S", "S.", "S. ", "K7R43", "W1042", "Q.rack", "rack 3", "S.%00", "S." + "x" * 400]
)
def test_what_is_no_bar_of_the_studios_is_none(text: str) -> None:
    assert read_bar(text) is None
