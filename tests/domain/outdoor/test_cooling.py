"""A wall cools as the closed form and a reference integrator say, and an estimate of pulls keeps to that."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import constants
from scipy.integrate import solve_ivp

from tests.reading import said
from tracker.domain.outdoor.cooling import (
    ASSUMPTIONS,
    COMMON_PULLS,
    FAST_WALL,
    LIKELY_WALL,
    SLOW_WALL,
    STEFAN_BOLTZMANN,
    ZERO_C,
    Effect,
    PullPractice,
    Range,
    Wall,
    cool,
    pulls_in_time,
    seconds_to,
    seconds_until,
)
from tracker.domain.outdoor.setting_up import Opening
from tracker.domain.quantities import celsius
from tracker.wording.render import say_all

ABSOLUTE_ZERO_C = -273.15
# Radiation alone from one black face into surroundings at absolute zero, which send nothing back: no convection, an
# emissivity of 1 and one open face are what the closed form means for this model; then L is the whole wall.
RADIATION_ALONE = Wall(density=1800, heat_capacity=1100, emissivity=1.0, convection=0.0, sides=1)

walls = st.builds(
    Wall,
    density=st.floats(1500, 2500),
    heat_capacity=st.floats(800, 1300),
    emissivity=st.floats(0.3, 1.0),
    convection=st.floats(0, 60),
    sides=st.sampled_from((1.0, 1.5, 2.0)),
)
thicknesses = st.floats(1.0, 30.0)
airs = st.floats(-30.0, 45.0)


def test_the_constants_are_those_of_codata() -> None:
    # scipy.constants carries the CODATA values; radiation's constant follows from exact ones.
    assert pytest.approx(constants.Stefan_Boltzmann, rel=1e-9) == STEFAN_BOLTZMANN
    assert constants.zero_Celsius == ZERO_C


@pytest.mark.parametrize("wall_mm", [3.0, 6.0, 12.0])
@pytest.mark.parametrize("to_c", [900.0, 750.0, 700.0, 480.0])
def test_with_radiation_alone_the_time_is_the_closed_form(wall_mm: float, to_c: float) -> None:
    # t = rho c L / (3 eps sigma) · (1/T₁³ - 1/T₀³), from -rho c L dT/dt = eps sigma T⁴ (textbook).
    start, end = 982 + 273.15, to_c + 273.15
    factor = 1800 * 1100 * wall_mm / 1000 / (3 * constants.Stefan_Boltzmann)
    wanted = factor * (1 / end**3 - 1 / start**3)

    assert seconds_to(to_c, wall_mm, 982, ABSOLUTE_ZERO_C, RADIATION_ALONE) == pytest.approx(wanted, rel=1e-8)


def test_with_radiation_alone_every_second_is_the_closed_form() -> None:
    factor = 3 * constants.Stefan_Boltzmann / (1800 * 1100 * 0.006)

    temperatures = cool(6, 982, ABSOLUTE_ZERO_C, 60, wall=RADIATION_ALONE)

    wanted = [((982 + 273.15) ** -3 + factor * second) ** (-1 / 3) - 273.15 for second in range(1, 61)]
    assert temperatures == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize("wall", [FAST_WALL, LIKELY_WALL, SLOW_WALL], ids=["fast", "likely", "slow"])
@pytest.mark.parametrize(("wall_mm", "air_c"), [(1.0, -10.0), (4.0, 35.0), (6.0, 12.0), (15.0, 20.0)])
def test_every_second_is_what_a_reference_integrator_finds(wall: Wall, wall_mm: float, air_c: float) -> None:
    kept = wall.density * wall.heat_capacity * wall_mm / 1000 / wall.sides

    def rate(_: float, kelvin: NDArray[np.float64]) -> list[np.float64]:
        out = wall.emissivity * constants.Stefan_Boltzmann * (kelvin[0] ** 4 - (air_c + 273.15) ** 4)
        return [-(out + wall.convection * (kelvin[0] - 273.15 - air_c)) / kept]

    seconds = list(range(1, 91))
    # scipy's DOP853, an explicit method of the eighth order, held to eleven digits.
    found = solve_ivp(rate, (0, 90), [982 + 273.15], method="DOP853", t_eval=seconds, rtol=1e-11, atol=1e-8)

    assert cool(wall_mm, 982, air_c, 90, wall=wall) == pytest.approx(list(found.y[0] - 273.15), abs=1e-3)


@given(walls, thicknesses, airs)
def test_after_the_time_it_takes_to_cool_the_wall_is_at_that_temperature(
    wall: Wall, wall_mm: float, air_c: float
) -> None:
    at_20 = cool(wall_mm, 982, air_c, 20, wall=wall)[-1]

    if at_20 > air_c + 20:
        assert seconds_to(at_20, wall_mm, 982, air_c, wall) == pytest.approx(20, rel=1e-3)


@given(walls, thicknesses, airs, st.floats(0, 1))
def test_a_wall_only_cools_and_never_below_the_air(wall: Wall, wall_mm: float, air_c: float, exposed: float) -> None:
    temperatures = (982.0, *cool(wall_mm, 982, air_c, 30, exposed=exposed, wall=wall))

    assert all(after <= before for before, after in pairwise(temperatures))
    assert temperatures[-1] >= air_c


@given(walls, thicknesses, st.floats(1.01, 3.0), airs)
def test_a_thicker_wall_is_hotter_at_every_second(wall: Wall, wall_mm: float, thicker: float, air_c: float) -> None:
    thin, thick = (cool(mm, 982, air_c, 15, wall=wall) for mm in (wall_mm, wall_mm * thicker))

    assert all(one < other for one, other in zip(thin, thick, strict=True))


@given(thicknesses, airs, st.floats(0.5, 20))
def test_colder_air_and_more_of_the_wall_in_the_open_cool_it_sooner(
    wall_mm: float, air_c: float, colder: float
) -> None:
    plain = cool(wall_mm, 982, air_c, 15, exposed=0.6)

    assert cool(wall_mm, 982, air_c - colder, 15, exposed=0.6)[-1] < plain[-1]
    assert cool(wall_mm, 982, air_c, 15, exposed=0.9)[-1] < plain[-1]


def test_a_wall_half_in_the_open_cools_as_far_in_twice_the_time() -> None:
    half, whole = cool(6, 982, 15, 40, exposed=0.5), cool(6, 982, 15, 20)

    assert half[1::2] == pytest.approx(whole, abs=1e-6)


def test_a_wall_as_thin_as_paper_is_reckoned_too() -> None:
    temperatures = cool(0.05, 982, 20, 5)

    assert seconds_to(temperatures[-1], 0.05, 982, 20) == pytest.approx(5, rel=1e-3)
    assert list(temperatures) == sorted(temperatures, reverse=True)


@pytest.mark.parametrize(
    ("wall_mm", "air_c", "exposed"), [(0, 20, 1), (6, -300, 1), (6, 1000, 1), (6, 20, 1.1), (6, 20, -0.1)]
)
def test_what_there_is_not_is_refused(wall_mm: float, air_c: float, exposed: float) -> None:
    with pytest.raises(ValueError, match="not"):
        cool(wall_mm, 982, air_c, 5, exposed=exposed)


def test_no_wall_is_asked_when_it_is_cooler_than_the_air() -> None:
    with pytest.raises(ValueError, match="No wall cools"):
        seconds_to(20, 6, 982, 20)
    assert seconds_to(982, 6, 982, 20) == 0.0


def test_the_two_ends_of_a_range_hold_the_likely_time_between_them() -> None:
    time = seconds_until(700, 6, 982, 12)

    assert time.low < time.likely < time.high
    # Half a minute or so for a wall of 6 mm to be too cool for raku (common practice).
    assert 10 < time.low < 25 < time.likely < 40 < time.high < 60


def test_horsehair_has_its_minute_after_the_glow_is_gone() -> None:
    start, end = seconds_until(700, 6, 982, 15), seconds_until(480, 6, 982, 15)

    # Hair is laid on for about a minute, once the glow has gone (common practice).
    assert start.likely < 40
    assert 45 < end.likely - start.likely < 90


@pytest.mark.parametrize("opening", Opening)
@pytest.mark.parametrize("effect", Effect)
@pytest.mark.parametrize("wall_mm", [4.0, 6.0, 9.0])
def test_the_last_piece_counted_is_hot_enough_and_the_next_one_is_not(
    opening: Opening, effect: Effect, wall_mm: float
) -> None:
    practice = PullPractice(lid_s=2.0, pull_s=5.0)

    estimate = pulls_in_time(wall_mm, opening, 10, practice, effect=effect)

    limit, seen = practice.too_cool(effect), practice.exposed(opening)
    for count, wall, part, temp_c in (
        (estimate.low, FAST_WALL, seen.high, limit.high),
        (estimate.likely, LIKELY_WALL, seen.likely, limit.likely),
        (estimate.high, SLOW_WALL, seen.low, limit.low),
    ):
        ends = []
        for number in (count, count + 1):
            waited = 2 + (number - 1) * 5
            there = cool(wall_mm, 982, 10, waited, exposed=part, wall=wall)[-1] if waited > 0 else 982.0
            ends.append(cool(wall_mm, there, 10, 5, wall=wall)[-1])
        assert count == 0 or ends[0] >= temp_c
        assert ends[1] < temp_c


def test_a_kiln_that_keeps_its_heat_round_the_ware_gives_more_time_and_a_lifted_one_the_least() -> None:
    lifted, top, front = (pulls_in_time(6, opening, 12) for opening in (Opening.LIFT_OFF, Opening.TOP, Opening.FRONT))

    assert lifted.likely < top.likely <= front.likely
    # A handful of pieces to one puller: nobody gets a dozen out of a kiln that was lifted off (common practice).
    assert 1 <= lifted.low <= lifted.likely <= 4 <= lifted.high < 12


@given(thicknesses, airs, st.sampled_from(Opening), st.sampled_from(Effect))
def test_an_estimate_runs_from_low_to_high_and_names_its_ground(
    wall_mm: float, air_c: float, opening: Opening, effect: Effect
) -> None:
    estimate = pulls_in_time(wall_mm, opening, air_c, effect=effect)

    assert 0 <= estimate.low <= estimate.likely <= estimate.high
    sentences = list(map(said, estimate.assumptions))
    assert "estimate" in said(estimate.message)
    assert all(sentence[0].isupper() and sentence.endswith(".") for sentence in sentences)
    assert estimate.assumptions[0]["air"] == celsius(air_c, 1)
    assert estimate.by(2) == (2 * estimate.low, 2 * estimate.likely, 2 * estimate.high)


def test_a_wall_that_nobody_measured_is_taken_for_a_thin_one_and_the_estimate_says_so() -> None:
    unmeasured = pulls_in_time(None, Opening.LIFT_OFF, 12)
    thin = pulls_in_time(COMMON_PULLS.thin_mm, Opening.LIFT_OFF, 12)

    assert (unmeasured.low, unmeasured.likely, unmeasured.high) == (thin.low, thin.likely, thin.high)
    assert unmeasured.assumptions[0]["measured"] == "no"


def test_a_thick_wall_is_said_to_be_cooler_at_its_face() -> None:
    assert pulls_in_time(14, Opening.FRONT, 12).assumptions[-1].code == "thick-walls"
    assert pulls_in_time(6, Opening.FRONT, 12).assumptions[-1].code != "thick-walls"


def test_every_number_taken_is_said_with_its_ground() -> None:
    words = say_all(pulls_in_time(6, Opening.FRONT, 12).assumptions)

    assert all(said(one.message) in words for one in ASSUMPTIONS)
    assert "1,700 to 2,000 kg/m³ (common handbook value, from memory)" in words
    assert "50% to 70% in the open" in words


@pytest.mark.parametrize(
    ("wall_mm", "pull_s", "says"),
    [
        (6, 8.0, "An estimate: one puller gets 1 to 5 pieces out while they are hot enough, likely 2."),
        (2, 20.0, "An estimate: not even the first piece gets into its container hot enough."),
    ],
)
def test_an_estimate_is_said_in_a_sentence(wall_mm: float, pull_s: float, says: str) -> None:
    assert said(pulls_in_time(wall_mm, Opening.LIFT_OFF, 12, PullPractice(pull_s=pull_s)).message) == says


@pytest.mark.parametrize(
    "odd", [{"pull_s": 0}, {"lid_s": -1}, {"front": Range(0, 0.5, 0.7)}, {"top": Range(0.4, 0.6, 1.2)}]
)
def test_a_practice_that_no_pull_can_have_is_refused(odd: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="takes time"):
        PullPractice(**odd)  # type: ignore[arg-type]  # every key names a field
