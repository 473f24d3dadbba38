"""A length may be typed in millimetres, centimetres or inches."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.forms.lengths import BadLength, in_inches, read_length


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
    ("text", "says"),
    [
        ("", "is no length"),
        ("tall", "is no length"),
        ("-5 mm", "is no length"),
        ("5 feet", "is no length"),
        ("168\nmm mm", "is no length"),
        ("١٦٨", "is no length"),
        ("1e3", "is no length"),
        ("nan", "is no length"),
        ("6.5", "of what"),
        ("6 5/8", "of what"),
        ("6.5 5/8 in", "not both"),
        ("1/0 in", "divided by 0"),
        ("0", "from 1 to 2000 mm"),
        ("0.4 mm", "from 1 to 2000 mm"),
        ("80 in", "from 1 to 2000 mm"),
        ("99999 cm", "from 1 to 2000 mm"),
    ],
)
def test_what_is_no_length_is_refused_with_a_sentence(text: str, says: str) -> None:
    with pytest.raises(BadLength, match=says):
        read_length(text)


@given(st.integers(2, 2_000))
def test_a_length_said_in_inches_reads_back_within_a_sixteenth(millimetres: int) -> None:
    assert abs(read_length(in_inches(millimetres)) - millimetres) <= 2


@given(st.text(max_size=30))
def test_any_text_is_a_length_or_refused(text: str) -> None:
    try:
        length = read_length(text)
    except BadLength:
        return

    assert 1 <= length <= 2_000
