"""A length may be typed in millimetres, centimetres or inches."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import said
from tracker.domain.quantities import Units, mm
from tracker.forms.lengths import BadLength, length_written, read_length
from tracker.wording.reader import Reader
from tracker.wording.render import read

IN_US_UNITS = Reader(units=Units.US)


# 1 in is 25.4 mm exactly: ISO 80000-3, from memory.
@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        ("168", 168),
        (" 168 mm ", 168),
        ("168MM", 168),
        ("16.8 cm", 168),
        ("16,8cm", 168),
        ("0.5 mm", 1),
        ("6 5/8 in", 168),
        ("6-5/8 in", 168),
        ("6⅝ in", 168),
        ("6⅝″", 168),
        ('6.5"', 165),
        ("6.5''", 165),
        ("3/4 inch", 19),
        ("½ in", 13),
        ("1 inches", 25),
        ("2000", 2000),
    ],
)
def test_a_length_is_read_in_either_unit_system(text: str, millimetres: int) -> None:
    assert read_length(text) == millimetres


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "length-unreadable"),
        ("tall", "length-unreadable"),
        ("-5 mm", "length-unreadable"),
        ("5 feet", "length-unreadable"),
        ("168\nmm mm", "length-unreadable"),
        ("١٦٨", "length-unreadable"),
        ("1e3", "length-unreadable"),
        ("nan", "length-unreadable"),
        ("6.5", "length-without-unit"),
        ("6 5/8", "length-without-unit"),
        ("6.5 5/8 in", "point-and-fraction"),
        ("1/0 in", "divided-by-zero"),
        ("0", "length-outside"),
        ("0.4 mm", "length-outside"),
        ("80 in", "length-outside"),
        ("99999 cm", "length-outside"),
    ],
)
def test_what_is_no_length_is_refused_with_a_sentence(text: str, code: str) -> None:
    with pytest.raises(BadLength) as refused:
        read_length(text)

    assert refused.value.message.code == code
    assert said(refused.value.message).endswith(".")


@given(st.integers(2, 2_000))
def test_a_length_said_in_inches_reads_back_within_a_sixteenth(millimetres: int) -> None:
    assert abs(read_length(read(mm(millimetres), IN_US_UNITS)) - millimetres) <= 2


@given(st.text(max_size=30))
def test_any_text_is_a_length_or_refused(text: str) -> None:
    try:
        length = read_length(text)
    except BadLength:
        return

    assert 1 <= length <= 2_000


@pytest.mark.parametrize(
    ("text", "millimeters"),
    [("6 5/8", 168), ("6.625", 168), ("1/4", 6), ("18", 457), ("168 mm", 168), ("16.8 cm", 168)],
)
def test_a_bare_number_is_inches_in_us_units(text: str, millimeters: int) -> None:
    assert read_length(text, Units.US) == millimeters


@given(st.integers(1, 2_000), st.sampled_from(Units))
def test_a_length_reads_back_as_it_is_shown_to_be_changed(millimeters: int, units: Units) -> None:
    # The nearest eighth of an inch is off by at most 1/16 in, which is 1.6 mm.
    assert abs(read_length(length_written(millimeters, units), units) - millimeters) <= (2 if units is Units.US else 0)
