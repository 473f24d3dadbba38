"""Weights in either unit system become grams, and what is no weight is refused in a sentence."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import said
from tracker.domain import quantities
from tracker.domain.quantities import Units
from tracker.forms.weights import HEAVIEST_G, BadWeight, read_weight, weight_written
from tracker.wording.reader import Reader
from tracker.wording.render import read

IN_US_UNITS = Reader(units=Units.US)


@pytest.mark.parametrize(
    ("written", "grams"),
    [
        ("350", 350),
        (" 350 g ", 350),
        ("1.2 kg", 1200),
        ("1,2kg", 1200),
        ("4.5 kg", 4500),
        # One pound is 453.59237 g, exact by the international agreement of 1959.
        ("1 lb", 454),
        ("10 lb", 4536),
        ("2 lb 3 oz", 992),
        ("2 pounds, 3 ounces", 992),
        ("12 OZ", 340),
        ("50 kg", HEAVIEST_G),
    ],
)
def test_a_weight_is_read_in_either_unit_system(written: str, grams: int) -> None:
    assert read_weight(written) == grams


@pytest.mark.parametrize(
    "written",
    ["", "heavy", "-3 g", "0", "0.4 g", "50.01 kg", "1.2", "3 stone", "2 kg 3 oz", "2 lb 3", "12oz 2 lb", "٣٥٠"],
)
def test_what_is_no_weight_is_refused_in_a_sentence(written: str) -> None:
    with pytest.raises(BadWeight) as refusal:
        read_weight(written)

    assert said(refusal.value.message).endswith(".")


@given(st.integers(29, HEAVIEST_G - 15))
def test_a_weight_told_in_pounds_reads_back_within_half_an_ounce(grams: int) -> None:
    assert abs(read_weight(read(quantities.grams(grams), IN_US_UNITS)) - grams) <= 15


@given(st.text(max_size=20))
def test_any_text_is_a_weight_or_a_sentence(text: str) -> None:
    try:
        grams, says = read_weight(text), ""
    except BadWeight as refusal:
        grams, says = 1, said(refusal.message)

    assert 1 <= grams <= HEAVIEST_G
    assert says == "" or says.endswith(".")


def test_a_bare_number_could_be_pounds_or_ounces_in_us_units() -> None:
    with pytest.raises(BadWeight) as refused:
        read_weight("12", Units.US)

    assert refused.value.message.code == "weight-without-unit"
    assert read_weight("12 oz", Units.US) == read_weight("340 g", Units.US) == 340


@given(st.integers(1, 50_000), st.sampled_from(Units))
def test_a_weight_reads_back_as_it_is_shown_to_be_changed(grams: int, units: Units) -> None:
    # Half an ounce is 14.2 g.
    assert abs(read_weight(weight_written(grams, units), units) - grams) <= (15 if units is Units.US else 0)
