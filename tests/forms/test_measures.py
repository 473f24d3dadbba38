"""Measures with a unit typed after them, whatever units the page is in."""

from __future__ import annotations

import pytest

from tracker.domain.quantities import Unit, Units
from tracker.forms.measures import read_measure


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize(
    ("written", "measure", "kept"),
    [
        # 0 °C is 32 °F, and a degree Celsius 1.8 degrees Fahrenheit (by definition).
        ("5 °C", Unit.CELSIUS, 5),
        ("-5c", Unit.CELSIUS, -5),
        ("41 °F", Unit.CELSIUS, 5),
        ("\u221240 f", Unit.CELSIUS, -40),
        ("9 °F", Unit.CELSIUS_STEP, 5),
        ("180 °F/h", Unit.CELSIUS_PER_HOUR, 100),
        ("100 °C/h", Unit.CELSIUS_PER_HOUR, 100),
        ("50 kW", Unit.KILOWATTS, 50),
        ("170600 Btu/h", Unit.KILOWATTS, 50),
        ("5 °C", Unit.KILOGRAMS, None),
        ("5 °C/h", Unit.CELSIUS, None),
        ("5 kg", Unit.CELSIUS, None),
    ],
)
def test_a_unit_that_is_typed_counts_on_every_page(
    units: Units, written: str, measure: Unit, kept: float | None
) -> None:
    assert read_measure(written, measure, units) == (None if kept is None else pytest.approx(kept))
