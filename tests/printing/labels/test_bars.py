"""Bars and QR against published symbol values and against an encoder and a reader of others."""

import csv
from pathlib import Path

import pytest
import segno
from hypothesis import given
from hypothesis import strategies as st

from printing.bars import Row, Unprintable, bar_modules, bars, qr, qr_form, read_back

VECTORS = Path(__file__).parents[2] / "reference" / "code128_vectors.csv"


def published_set_b() -> list[tuple[str, tuple[int, ...], int, int]]:
    """Text, symbol values from start to stop, check and width of the rows that are in set B throughout.

    Source: worked examples of Code 128 (ISO/IEC 15417) as gathered in the file.
    """
    with VECTORS.open(encoding="utf-8", newline="") as file:
        return [
            (
                row["text"].removesuffix(" (start B)"),
                tuple(int(value) for value in row["symbol_values_start_to_stop"].split()),
                int(row["check"]),
                int(row["modules_without_quiet_zone"]),
            )
            for row in csv.DictReader(file)
            if row["text"].endswith("(start B)")
        ]


@pytest.mark.parametrize(("text", "values", "check", "modules"), published_set_b(), ids=lambda value: str(value)[:8])
def test_bars_have_the_published_symbol_values_and_check(
    text: str, values: tuple[int, ...], check: int, modules: int
) -> None:
    symbol = bars(text)

    assert symbol.values == values
    assert symbol.check == check
    assert symbol.modules == modules == bar_modules(len(text))


def test_at_least_three_published_examples_are_looked_at() -> None:
    examples = published_set_b()

    assert len(examples) >= 3


@given(st.text(st.characters(min_codepoint=32, max_codepoint=126), min_size=1, max_size=20))
def test_bars_read_back_as_their_text(text: str) -> None:
    symbol = bars(text)

    assert read_back(symbol.row) == text
    assert sum(width for _, width in symbol.row) < symbol.modules


@pytest.mark.parametrize("text", ["", "é", "K7\n", "\x7f", "\uff19"])
def test_a_text_that_bars_cannot_carry_is_refused(text: str) -> None:
    with pytest.raises(Unprintable, match="printable ASCII"):
        bars(text)


def test_damaged_bars_do_not_read_back() -> None:
    whole = bars("K7R43").row
    swapped = bars("7KR43").row
    mixed: Row = (*swapped[:9], *whole[9:])

    for damaged in ((), whole[:-1], whole[:6], (*whole[:4], (whole[4][0], whole[4][1] + 1), *whole[5:]), mixed):
        with pytest.raises(Unprintable):
            read_back(damaged)


@given(st.text("23457ACDEFGHJKLMNPRTVXY", min_size=1, max_size=6), st.integers(0, 40))
def test_a_qr_is_module_for_module_the_one_segno_draws(code: str, host: int) -> None:
    address = f"https://{'h' * host}.example/p/{code}"

    form = qr_form(address)
    ours = qr(address, form)

    theirs = segno.make_qr(
        address, mode="byte", version=form.version, error=form.error, mask=form.mask, boost_error=False
    )
    inked = {(x, y) for y, row in enumerate(ours) for first, width in row for x in range(first, first + width)}
    assert inked == {(x, y) for y, row in enumerate(theirs.matrix) for x, module in enumerate(row) if module}


def test_a_qr_has_a_phones_size_and_grows_with_the_address() -> None:
    short, long = qr_form("http://a/p/K7R43"), qr_form("http://a/p/K7R43", longest=90)

    assert short.modules == 29
    assert long.modules > short.modules


def test_an_address_no_qr_can_hold_is_refused() -> None:
    with pytest.raises(Unprintable, match="too long"):
        qr_form("http://a/" + "x" * 3000)
