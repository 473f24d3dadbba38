"""Numbers with commas: what is a thousand and what is a decimal is the locale's (CLDR, by way of Babel)."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tracker.domain.quantities import Unit, Units
from tracker.domain.refusals import BadValue
from tracker.forms.measures import read_measure
from tracker.forms.numbers import read_number
from tracker.forms.weights import read_weight


@pytest.mark.parametrize(
    ("written", "locale", "number"),
    [
        ("1,828", "en_US", "1828"),
        ("1,828.5", "en_US", "1828.5"),
        ("\u22121,200", "en_US", "-1200"),
        ("1828", "en_US", "1828"),
        ("1.828", "en_US", "1.828"),
        ("0.50", "en_US", "0.5"),
        ("007", "en_US", "7"),
        ("20,5", "en_US", "20.5"),
        ("20,55", "en_US", "20.55"),
        ("0,125", "en_US", "0.125"),
        ("1,828", "de", "1.828"),
        ("1.828", "de", "1828"),
        ("1,82,8", "en_US", None),
        ("1.8.2", "en_US", None),
        ("1,", "en_US", None),
        ("", "en_US", None),
    ],
)
def test_a_comma_before_three_digits_is_read_as_the_locale_writes_it(
    written: str, locale: str, number: str | None
) -> None:
    assert read_number(written, locale) == (None if number is None else Decimal(number))


@pytest.mark.parametrize(("written", "locale"), [("1828,500", "en_US"), ("1828.500", "de")])
def test_what_could_be_two_numbers_is_asked_about(written: str, locale: str) -> None:
    with pytest.raises(BadValue, match="number-either-way"):
        read_number(written, locale)


def test_every_measure_takes_thousands() -> None:
    assert read_measure("1,828 °F", Unit.CELSIUS, Units.US) == pytest.approx((1_828 - 32) / 1.8)
    assert read_weight("1,250 g") == 1_250
