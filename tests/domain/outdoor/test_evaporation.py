"""Propane evaporates as the published chart says, on the careful side outside of it, and the air's warmth counts."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import RegularGridInterpolator

from tests.reading import said
from tracker.domain.outdoor.evaporation import (
    CHART_BTU_PER_H,
    CHART_F,
    CHART_LB,
    KG_PER_LB,
    Draw,
    Tanks,
    keeps_up,
)
from tracker.domain.outdoor.fuel import Enough, FuelGuess
from tracker.domain.quantities import BTU_PER_KWH
from tracker.domain.refusals import Unusable

# Flame Engineering's propane vaporization chart, as a generator maker's manual (TP-6727, appendix D) prints it too.
CHART = Path(__file__).parents[2] / "reference" / "propane_vaporization.csv"
LINES = [line for line in CHART.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
PUBLISHED = {(float(row["propane_lb"]), float(row["temp_f"])): float(row["btu_per_h"]) for row in csv.DictReader(LINES)}


def one(size_lb: float = 100, count: int = 1) -> Tanks:
    """Tanks of a size in pounds."""
    return Tanks(count=count, size_kg=size_lb * KG_PER_LB)


def btu_per_h(tanks: Tanks, propane_lb: float, temp_f: float) -> float:
    """What tanks give, in the units of the chart."""
    return tanks.gives_kw(propane_lb * KG_PER_LB, (temp_f - 32) / 1.8) * BTU_PER_KWH


def test_the_chart_is_the_published_one_and_every_number_of_it_comes_back() -> None:
    drawn = {
        (lb, temp_f): btu
        for lb, row in zip(CHART_LB, CHART_BTU_PER_H, strict=True)
        for temp_f, btu in zip(CHART_F, row, strict=True)
    }

    assert drawn == PUBLISHED
    for (lb, temp_f), btu in PUBLISHED.items():
        assert btu_per_h(one(), lb, temp_f) == pytest.approx(btu)


@given(st.floats(10, 100), st.floats(0, 70))
def test_between_its_numbers_it_is_linear_as_a_reference_library_reckons(lb: float, temp_f: float) -> None:
    grid = RegularGridInterpolator((CHART_LB, CHART_F), CHART_BTU_PER_H)

    assert btu_per_h(one(), lb, temp_f) == pytest.approx(float(grid((lb, temp_f))), rel=1e-6)


def test_outside_of_it_the_careful_side_counts() -> None:
    assert btu_per_h(one(), 100, -1) == 0
    assert btu_per_h(one(), 100, 95) == pytest.approx(300_000)
    assert btu_per_h(one(), 5, 70) == pytest.approx(33_000)
    assert btu_per_h(one(), 0, 70) == 0
    assert btu_per_h(one(), 130, 60) == pytest.approx(277_000)


def test_tanks_that_are_joined_share_the_propane_and_add_up() -> None:
    assert btu_per_h(one(count=2), 100, 40) == pytest.approx(2 * 125_000)
    assert btu_per_h(one(count=2), 200, 40) == pytest.approx(2 * 214_000)


def test_another_size_is_scaled_by_the_surface_that_the_liquid_wets() -> None:
    # A full 20 lb tank, 12.2 in wide, wets a bottom and sides of some 0.31 m², a 100 lb one, 14.5 in wide, some
    # 1.07 m² (liquid of 4.24 lb to the gallon; widths from memory): 0.29 of it.
    assert btu_per_h(one(20), 20, 60) == pytest.approx(0.28 * 277_000)
    # Of the same shape, eight times as much wets four times the surface.
    assert btu_per_h(one(800), 800, 60) == pytest.approx(4 * 277_000)


@given(st.floats(5, 500), st.integers(1, 4), st.floats(0, 1), st.floats(-20, 30), st.floats(0, 10))
def test_more_propane_warmer_air_and_more_tanks_never_give_less(
    size_lb: float, count: int, part: float, air_c: float, warmer: float
) -> None:
    tanks, propane = one(size_lb, count), part * count * size_lb * KG_PER_LB

    gives = tanks.gives_kw(propane, air_c)

    assert tanks.gives_kw(propane, air_c + warmer) >= gives
    assert tanks.gives_kw(propane * 1.1, air_c) >= gives * (1 - 1e-9)
    # One more tank as full as the others gives its share; spread thinner, the chart's rounding may give a little less.
    more = (count + 1) / count
    assert one(size_lb, count + 1).gives_kw(propane * more, air_c) == pytest.approx(gives * more)


def test_the_worked_example_of_the_manual_holds() -> None:
    # TP-6727, appendix D: 200,000 Btu/h at 0 °F takes four tanks of 100 lb. By its own chart, half full, three do not.
    draw = Draw(kw=200_000 / BTU_PER_KWH, from_plate=True)

    word = {count: keeps_up(one(count=count), count * 50 * KG_PER_LB, 0, -17.7, draw).word for count in (3, 4)}

    assert word == {3: Enough.NOT_ENOUGH, 4: Enough.ENOUGH}


def test_the_same_tank_keeps_up_in_warm_air_and_not_in_cold() -> None:
    draw = Draw(kw=40, from_plate=True)

    told = {air_c: keeps_up(one(), 30.0, 8.0, air_c, draw) for air_c in (15.0, 3.0, -10.0)}

    assert [one.word for one in told.values()] == [Enough.ENOUGH, Enough.PERHAPS, Enough.NOT_ENOUGH]
    assert said(told[3.0].message) == (
        "At 3 °C, 1 tank evaporates up to 43 kW at the start and 35 kW at the end. The burner "
        "draws 40 kW (from its plate). Toward the end the tanks get too cold to keep up. Join "
        "another tank. Never heat a tank. From manufacturers' vaporization charts for a 100 lb "
        "tank."
    )
    assert "an approximation" in said(keeps_up(one(20), 5.0, 1.0, 10.0, draw).message)


def test_colder_than_the_chart_goes_is_told() -> None:
    told = keeps_up(one(), 40.0, 8.0, -20.0, Draw(kw=1, from_plate=True))

    # The chart tells nothing there, so neither that it is enough nor that it isn't.
    assert (told.word, told.message.code) == (None, "colder-than-chart")


def test_what_is_not_known_is_asked_for_and_nothing_is_promised() -> None:
    draw = Draw(kw=50, from_plate=True)

    assert keeps_up(one(), 30.0, 8.0, None, draw).word is None
    assert said(keeps_up(None, None, 8.0, None, draw).message) == (
        "Not checked: can the tanks evaporate propane fast enough? "
        "Enter the size and number of tanks, the propane on hand, and the air temperature."
    )


def test_without_a_plate_the_draw_is_what_a_round_takes_at_most() -> None:
    # 2 kg in 25 minutes are 4.8 kg/h, of 13.95 kWh each (21,591 Btu/lb, 3,412 Btu to the kWh).
    learned = Draw.of(None, FuelGuess(1.0, 1.5, 2.0, 6), 25)

    assert learned.kw == pytest.approx(4.8 * 21_591 / 3_412 / 0.45359237)
    assert not learned.from_plate
    assert Draw.of(40.0, FuelGuess(1.0, 1.5, 2.0, 6), 25) == Draw(kw=40.0, from_plate=True)


def test_more_propane_than_goes_into_the_tanks_is_refused() -> None:
    with pytest.raises(Unusable, match="tanks-overfull"):
        one(20, 2).must_hold(19)
    one(20, 2).must_hold(18)
