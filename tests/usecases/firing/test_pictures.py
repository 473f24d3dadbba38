"""A firing's chart as it is told to those who cannot see it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from printing.firing.curves import CurveSeen
from tests.printing.firing.words import CURVE_WORDS
from tracker.usecases.firing.pictures import curve_told
from tracker.wording.reader import ANYONE, Reader

SEEN = CurveSeen(said=CURVE_WORDS, points=((0, 20), (9, 1010), (10, 990)), marks=((8.5, 985, "cone 06"),))


@pytest.mark.parametrize(
    ("reader", "told"),
    [
        (
            ANYONE,
            "Measured over 10 hours, highest 1,010 °C at 9 hours. cone 06: cone reached at 8.5 hours, 985 °C.",
        ),
        (
            replace(ANYONE, locale="de_DE"),
            "Measured over 10 Stunden, highest 1.010 °C at 9 Stunden. cone 06: cone reached at 8,5 Stunden, 985 °C.",
        ),
    ],
    ids=["American", "German"],
)
def test_who_cannot_see_the_chart_is_told_its_peak_and_its_cones(reader: Reader, told: str) -> None:
    assert curve_told(SEEN, reader) == told


def test_a_target_and_a_programme_are_told_where_nothing_was_measured() -> None:
    seen = CurveSeen(said=CURVE_WORDS, programme=((0, 20), (8, 1000)), target=(998, "target: cone 06"))

    assert curve_told(seen, ANYONE) == "The programme goes to 1,000 °C. Target: cone 06."
