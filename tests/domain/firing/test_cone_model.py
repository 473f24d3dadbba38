"""The model gives the published end points back, and its integrals are those of a reference library."""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from itertools import pairwise
from pathlib import Path
from typing import cast

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import expn

from tests.domain.firing.test_curves import curves
from tracker.domain.cones import END_POINTS, Cone, Kind
from tracker.domain.firing.cone_model import DOWN, Fit, fit_cones, fits
from tracker.domain.firing.curves import Curve
from tracker.domain.quantities import celsius, celsius_step

# The Orton chart; its column how_known tells which rows were read there and which are from memory.
CHART = Path(__file__).parents[2] / "reference" / "cone_end_points.csv"
HOUR = 3_600.0
KELVIN = 273.15

KINDS: tuple[Kind, ...] = ("self-supporting", "large")
every_fit = st.sampled_from([fit for kind in KINDS for fit in fits(kind).values()])


def published() -> list[tuple[Kind, Cone, int, int]]:
    with CHART.open(newline="", encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    return [
        (cast("Kind", row["kind"]), Cone.parse(row["cone"]), int(row["rate_c_per_h"]), int(row["temp_c"]))
        for row in rows
    ]


def steady(rate: float, top: float, start: float = 20.0) -> Curve:
    """Heating at one rate from `start` to `top` °C."""
    return Curve.of([(0, start), ((top - start) / rate * HOUR, top)])


@pytest.mark.parametrize("row", published(), ids=lambda row: " ".join(map(str, row)))
def test_every_published_end_point_comes_back_at_its_rate(row: tuple[Kind, Cone, int, int]) -> None:
    kind, cone, rate, celsius = row
    fit = fits(kind)[cone]

    assert fit.end_point(rate) == pytest.approx(celsius, abs=1e-6)
    assert fit.work(steady(rate, celsius)) == pytest.approx(1, abs=1e-6)
    assert fit.work(steady(rate, celsius - 0.5)) < DOWN < fit.work(steady(rate, celsius + 0.5))


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_has_its_own_cones_and_no_others(kind: Kind) -> None:
    assert list(fits(kind)) == sorted(END_POINTS[kind, 60])
    assert {fit.kind for fit in fits(kind).values()} == {kind}


def test_large_and_self_supporting_cones_are_different_cones() -> None:
    six = Cone.parse("6")

    assert fits("large")[six].end_point(60) == pytest.approx(1220)
    assert fits("self-supporting")[six].end_point(60) == pytest.approx(1222)
    assert Cone.parse("5.5") not in fits("large")


@pytest.mark.parametrize("kind", KINDS)
def test_a_faster_rate_moves_every_end_point_up(kind: Kind) -> None:
    for fit in fits(kind).values():
        ends = [fit.end_point(rate) for rate in (5, 15, 60, 108, 150, 300)]
        assert ends == sorted(ends)
        assert ends[2] < ends[3] < ends[4]


@pytest.mark.parametrize("kind", KINDS)
def test_how_fast_the_kiln_was_before_the_last_hundred_degrees_moves_an_end_point_by_little(kind: Kind) -> None:
    for fit in fits(kind).values():
        end = fit.end_point(60)
        bare = fit.work(steady(60, end, start=end - 100))
        off_c = (1 - bare) / (fit.speed(end) * HOUR / 60)
        assert 0 <= off_c < 1.2
        assert bare > 0.96


# ---- the integral, against scipy -------------------------------------------------------------------------------


@given(fit=every_fit, celsius=st.floats(500, 1_400), rate=st.floats(1, 600))
def test_heating_from_cold_is_the_exponential_integral(fit: Fit, celsius: float, rate: float) -> None:
    kelvin = celsius + KELVIN
    x = fit.energy_k / kelvin
    wanted = math.exp(fit.log_a) * kelvin * float(expn(2, x)) / rate * HOUR

    assert fit.heated_to(celsius, rate) == pytest.approx(wanted, rel=2e-7)


@given(fit=every_fit, start=st.floats(500, 1_350), moves=st.floats(-150, 150), seconds=st.floats(10, 30_000))
def test_the_work_of_a_ramp_or_a_hold_is_its_integral(fit: Fit, start: float, moves: float, seconds: float) -> None:
    curve = Curve.of([(0, start), (seconds, start + moves)])

    wanted, _ = quad(lambda second: fit.speed(curve.at(second)), 0, seconds, epsabs=0, epsrel=1e-10, limit=200)

    assert fit.work(curve) == pytest.approx(wanted, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("moves", [0.0, 1e-9, 1e-5, 0.99e-3, 1.01e-3, 0.1, -1.01e-3])
def test_a_step_of_almost_nothing_loses_no_digits(moves: float) -> None:
    fit = fits("self-supporting")[Cone.parse("6")]
    curve = Curve.of([(0, 1200.0), (60, 1200.0 + moves)])

    assert fit.work(curve) == pytest.approx(60 * fit.speed(1200.0 + moves / 2), rel=1e-6)


def test_the_work_of_a_whole_firing_is_its_integral() -> None:
    corners = [(0, 20), (4 * HOUR, 600), (8 * HOUR, 1_150), (9 * HOUR, 1_150), (10 * HOUR, 1_215), (11 * HOUR, 900)]
    curve = Curve.of(corners)
    fit = fits("self-supporting")[Cone.parse("6")]

    parts = [
        quad(lambda second: fit.speed(curve.at(second)), start, end, epsabs=0, epsrel=1e-10, limit=200)[0]
        for start, end in pairwise(curve.seconds)
        if curve.at(end) > 700
    ]

    assert fit.work(curve) == pytest.approx(sum(parts), rel=1e-6)


# ---- laws ------------------------------------------------------------------------------------------------------


@given(fit=every_fit, curve=curves(), part=st.floats(0.01, 0.99))
def test_a_curve_in_two_parts_does_the_same_work(fit: Fit, curve: Curve, part: float) -> None:
    second = curve.lasts_s * part

    parts = fit.work(curve.until(second)) + fit.work(curve.since(second))

    assert parts == pytest.approx(fit.work(curve), rel=1e-6, abs=1e-9)


@given(fit=every_fit, curve=curves(), hotter=st.floats(0, 50))
def test_more_heat_never_does_less_work(fit: Fit, curve: Curve, hotter: float) -> None:
    warmed = Curve(curve.seconds, tuple(celsius + hotter for celsius in curve.celsius))

    assert fit.work(warmed) >= fit.work(curve) * (1 - 1e-6) - 1e-9


@given(fit=every_fit, curve=curves(), more=st.floats(1, 20_000), at=st.floats(0, 1_400))
def test_longer_never_does_less_work(fit: Fit, curve: Curve, more: float, at: float) -> None:
    longer = Curve((*curve.seconds, curve.seconds[-1] + more), (*curve.celsius, at))

    assert fit.work(longer) >= fit.work(curve)


# ---- when it falls ---------------------------------------------------------------------------------------------


@given(fit=every_fit, below=st.floats(1, 60), work=st.floats(0, 0.99), rate=st.floats(-5, 200) | st.sampled_from([0.0]))
def test_a_cone_falls_when_the_curve_goes_on_like_that_and_not_before(
    fit: Fit, below: float, work: float, rate: float
) -> None:
    now_c = fit.end_point(60) - below

    seconds = fit.falls_in(work, now_c, rate)

    if seconds is None:
        # Even a long week brings too little, or the kiln has cooled down before.
        lasts = min(7 * 24 * HOUR, (now_c / -rate * HOUR) if rate < 0 else math.inf)
        top = Curve.of([(0, now_c), (lasts, now_c + rate * lasts / HOUR)])
        assert work + fit.work(top) < 1 + 1e-6
    else:
        on = Curve.of([(0, now_c), (seconds, now_c + rate * seconds / HOUR)])
        assert work + fit.work(on) == pytest.approx(1, abs=1e-5)


def test_a_cone_that_is_down_needs_no_time_and_a_cold_kiln_all_of_it() -> None:
    six = fits("self-supporting")[Cone.parse("6")]

    assert six.falls_in(1.0, 900, -100) == 0
    assert six.falls_in(0.0, 600, 0.0) is None
    assert six.falls_in(0.0, 20, 0.0) is None
    assert six.falls_in(0.5, 1_200, -200) is None
    assert six.hold_for(0.0, 700) is None


# ---- odd fits --------------------------------------------------------------------------------------------------


def test_an_energy_out_of_line_with_its_neighbours_is_told_and_the_others_are_not() -> None:
    told = {(kind, str(cone)) for kind in KINDS for cone, fit in fits(kind).items() if fit.note}

    # 022 has two end points only 4 °C apart; 021 stands beside it; large 04 jumps by half between 05 and 03.
    assert told == {("self-supporting", "022"), ("self-supporting", "021"), ("large", "04")}
    note = fits("self-supporting")[Cone.parse("022")].note
    assert note is not None
    assert (note["slow"], note["fast"], note["apart"]) == (celsius(586), celsius(590), celsius_step(4))
    assert (note["own"], note["around"]) == (1_398, 420)


def _points(**given: float) -> Mapping[Cone, float]:
    return {Cone.parse(name.removeprefix("c")): float(celsius) for name, celsius in given.items()}


@pytest.mark.parametrize(
    ("slow", "fast"),
    [
        pytest.param(_points(c5=1186, c6=1222, c7=1239), _points(c5=1207, c7=1257), id="no fast end point"),
        pytest.param(_points(c5=1186, c7=1239), _points(c5=1207, c6=1243, c7=1257), id="no slow end point"),
        pytest.param(_points(c5=1186, c6=1243, c7=1239), _points(c5=1207, c6=1222, c7=1257), id="the wrong way round"),
    ],
)
def test_a_cone_without_two_usable_end_points_goes_by_its_neighbours_and_says_so(
    slow: Mapping[Cone, float], fast: Mapping[Cone, float]
) -> None:
    fitted = fit_cones("large", slow, fast)
    six = Cone.parse("6")

    assert (note := fitted[six].note) is not None
    assert note.code == "taken-as-neighbors"
    assert fitted[six].energy_k == pytest.approx(
        (fitted[Cone.parse("5")].energy_k + fitted[Cone.parse("7")].energy_k) / 2
    )
    known, rate = (slow[six], 60) if six in slow else (fast[six], 150)
    assert fitted[six].end_point(rate) == pytest.approx(known)
