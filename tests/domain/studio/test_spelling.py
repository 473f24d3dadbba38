"""Names are looked up without regard to case, accents and the order of words."""

from __future__ import annotations

import pytest

from tracker.domain.studio.spelling import holds, words_in


@pytest.mark.parametrize(
    ("text", "asked", "found"),
    [
        ("Søren Mølgaardsen", "soren MOLG", True),
        ("Þórdís Ægisdóttir", "aegis thor", True),
        ("Łukasz Đorđe", "dorde lukasz", True),
        ("cart for low-fire", "low fire", True),
        ("moon jar", "jar moon", True),
        ("moon jar", "oon", False),
        ("moon jar", "moon dish", False),
        ("moon jar", " ?! ", False),
        ("Mid-range", "midrange", True),
        ("cone 6", "cone 6", True),
        ("cone 06, firing 60", "cone 6", False),
    ],
)
def test_a_name_is_found_by_the_beginnings_of_its_words(text: str, asked: str, found: bool) -> None:  # noqa: FBT001 -- a column of the table
    assert holds(text, words_in(asked)) is found


def test_no_text_is_too_long_to_be_looked_up() -> None:
    assert len(words_in("many words " * 10_000)) == 8
