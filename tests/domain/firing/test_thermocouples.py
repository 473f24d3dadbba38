"""mV become °C by the NIST ITS-90 reference functions."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import said
from tracker.domain.firing.thermocouples import Couple, OutOfRange, celsius_of, emf_of, range_of

# NIST ITS-90 tables; mV with the cold junction at 0 °C, printed to three decimals.
TABLE = Path(__file__).parents[2] / "reference" / "thermocouple_emf.csv"
HALF_A_DIGIT_MV = 0.0005

couples = st.sampled_from(Couple)


def published() -> list[tuple[Couple, float, float]]:
    with TABLE.open(newline="", encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    return [(Couple(row["type"]), float(row["temp_c"]), float(row["emf_mv_reference_0c"])) for row in rows]


@pytest.mark.parametrize(("couple", "celsius", "millivolts"), published())
def test_the_mv_are_those_of_the_table_to_its_last_digit(couple: Couple, celsius: float, millivolts: float) -> None:
    assert emf_of(couple, celsius) == pytest.approx(millivolts, abs=HALF_A_DIGIT_MV * 1.0001)


@pytest.mark.parametrize(("couple", "celsius", "millivolts"), published())
def test_the_temperature_is_that_of_the_table_within_a_twentieth_of_a_degree(
    couple: Couple, celsius: float, millivolts: float
) -> None:
    # Type S gives so little when cool that the last digit of the table alone is worth 0.09 °C at 0 °C.
    per_degree = emf_of(couple, celsius + 0.5) - emf_of(couple, celsius - 0.5)
    rounding = HALF_A_DIGIT_MV / per_degree

    assert celsius_of(couple, millivolts, 0.0) == pytest.approx(celsius, abs=max(0.05, rounding))


@pytest.mark.parametrize(
    ("couple", "celsius", "millivolts"),
    # From memory: the ends of the ranges, and two points below 0 °C, as NIST prints them.
    [
        (Couple.K, -200, -5.891),
        (Couple.K, -100, -3.554),
        (Couple.K, 1372, 54.886),
        (Couple.S, -50, -0.236),
        (Couple.S, 1768, 18.693),
    ],
)
def test_the_ends_of_a_range_are_as_printed(couple: Couple, celsius: float, millivolts: float) -> None:
    assert emf_of(couple, celsius) == pytest.approx(millivolts, abs=HALF_A_DIGIT_MV)


@pytest.mark.parametrize(("couple", "joint"), [(Couple.K, 0.0), (Couple.S, 1064.18), (Couple.S, 1664.5)])
def test_two_pieces_of_a_function_meet(couple: Couple, joint: float) -> None:
    assert emf_of(couple, joint) == pytest.approx(emf_of(couple, joint + 1e-9), abs=1e-7)


@given(couple=couples, part=st.floats(0.001, 0.999), junction=st.floats(-20, 80))
def test_there_and_back_is_the_same_temperature(couple: Couple, part: float, junction: float) -> None:
    low, high = range_of(couple)
    celsius = low + (high - low) * part

    measured = emf_of(couple, celsius) - emf_of(couple, junction)

    assert celsius_of(couple, measured, junction) == pytest.approx(celsius, abs=1e-5)


@given(couple=couples, low=st.floats(0, 1), high=st.floats(0, 1))
def test_hotter_gives_more_mv(couple: Couple, low: float, high: float) -> None:
    bottom, top = range_of(couple)
    one, other = sorted((bottom + (top - bottom) * low, bottom + (top - bottom) * high))

    assert emf_of(couple, one) <= emf_of(couple, other)


def test_a_cold_junction_in_a_warm_room_counts() -> None:
    # 24.905 mV is 600 °C above a junction at 0 °C (NIST); a junction at 25 °C takes 1.000 mV of it (from memory).
    assert celsius_of(Couple.K, 24.905 - 1.000, 25) == pytest.approx(600, abs=0.05)
    assert celsius_of(Couple.K, 24.905, 25) > 620


@pytest.mark.parametrize(
    ("millivolts", "junction", "code"),
    [
        pytest.param(60.0, 25.0, "no-such-voltage", id="too much"),
        pytest.param(-7.0, 25.0, "no-such-voltage", id="too little"),
        pytest.param(math.nan, 25.0, "no-such-voltage", id="no number"),
        pytest.param(20.0, 81.0, "junction-outside", id="hot junction"),
        pytest.param(20.0, math.nan, "junction-outside", id="no junction"),
    ],
)
def test_what_no_thermocouple_gives_is_refused(millivolts: float, junction: float, code: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        celsius_of(Couple.K, millivolts, junction)

    assert refused.value.message.code == code
    assert said(refused.value.message).endswith(".")


@pytest.mark.parametrize(("couple", "celsius"), [(Couple.K, 1373.0), (Couple.K, -201.0), (Couple.S, 1769.0)])
def test_nothing_is_said_beyond_the_range(couple: Couple, celsius: float) -> None:
    with pytest.raises(OutOfRange, match="couple-not-read"):
        emf_of(couple, celsius)
