"""Three weighings give absorption, porosity and density, and each scheme its own word for them."""

from __future__ import annotations

import csv
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.rules.truth import REFERENCE
from tests.domain.rules.wares import cones
from tests.reading import said
from tests.studio import a_clay
from tracker.domain.cones import Cone
from tracker.domain.studio.absorption import (
    CLASSES,
    Absorption,
    BadWeighing,
    Scheme,
    Soak,
    Weighing,
    at_least,
    at_most,
    classes_of,
    means,
)

# ANSI A137.1 and ISO 13006 as read, ASTM C242 from memory; each row says itself how it is known.
TABLE = REFERENCE / "absorption_classes.csv"

SIX = Cone.parse("6")


def _weighing(dry: float, saturated: float, suspended: float, cone: Cone = SIX) -> Weighing:
    return Weighing(dry_g=dry, saturated_g=saturated, suspended_g=suspended, cone=cone)


def test_the_worked_example_comes_out() -> None:
    # ASTM C373, formulas from memory: D 100.00, M 102.00, S 60.00 g.
    weighing = _weighing(100.00, 102.00, 60.00)

    assert weighing.absorption_pct == 2.0
    assert weighing.porosity_pct == pytest.approx(4.762, abs=5e-4)
    assert weighing.bulk_density == pytest.approx(2.381, abs=5e-4)


@pytest.mark.parametrize(
    ("weights", "code"),
    [
        pytest.param((102.0, 100.0, 60.0), "lighter-when-wet", id="lighter when wet"),
        pytest.param((100.0, 102.0, 102.0), "no-lift", id="no lift"),
        pytest.param((100.0, 102.0, 110.0), "no-lift", id="pulled down"),
        pytest.param((100.0, 102.0, 100.0), "not-carried", id="solid without room"),
        pytest.param((100.0, 201.0, 60.0), "a-sponge", id="a sponge"),
        pytest.param((0.0, 1.0, 0.5), "weight-is-nothing", id="nothing dry"),
        pytest.param((100.0, 102.0, 0.0), "weight-is-nothing", id="nothing suspended"),
        pytest.param((100.0, float("nan"), 60.0), "weight-is-nothing", id="no number"),
        pytest.param((100.0, float("inf"), 60.0), "weight-is-nothing", id="endless"),
    ],
)
def test_weights_that_cannot_be_are_refused(weights: tuple[float, float, float], code: str) -> None:
    with pytest.raises(BadWeighing) as refused:
        _weighing(*weights)

    assert refused.value.message.code == code
    assert said(refused.value.message).endswith(".")


def test_a_specimen_that_takes_up_nothing_is_dense() -> None:
    weighing = _weighing(100.0, 100.0, 58.0)

    assert (weighing.absorption_pct, weighing.porosity_pct) == (0.0, 0.0)


@given(st.floats(1, 1_000), st.floats(0, 0.9), st.floats(0.1, 0.95))
def test_absorption_is_porosity_over_density_and_never_more_than_all(dry: float, water: float, floats: float) -> None:
    weighing = _weighing(dry, dry * (1 + water), dry * floats)

    porosity, density = weighing.porosity_pct, weighing.bulk_density
    assert porosity is not None
    assert density is not None
    # P = A x B follows from the three formulas, whatever is weighed.
    assert porosity == pytest.approx(weighing.absorption_pct * density, abs=1e-6)
    assert 0 <= porosity < 100


def _measured(cone: str, pct: float, method: Soak = Soak.BOIL) -> Absorption:
    return Absorption(cone=Cone.parse(cone), pct=pct, method=method)


def test_of_fewer_than_five_specimens_the_highest_counts() -> None:
    # Two numbers on either side of a limit of 3 % have no mean that shows anything (five specimens: ASTM C373, from
    # memory).
    assert a_clay(absorption=(_measured("6", 0.5), _measured("6", 5.0))).measured == (_measured("6", 5.0),)
    assert a_clay(weighings=(_weighing(100.0, 100.5, 60.0), _weighing(100.0, 105.0, 60.0))).measured == (
        _measured("6", 5.0),
    )


def test_five_specimens_of_one_cone_and_method_count_by_their_mean_and_a_data_sheet_stays_what_it_is() -> None:
    boiled = tuple(_weighing(100.0, saturated, 60.0) for saturated in (102.0, 103.0, 102.0, 103.0, 102.5))
    soaked = Weighing(dry_g=100.0, saturated_g=101.5, cone=SIX, method=Soak.COLD)
    gone = replace(_weighing(100.0, 109.0, 60.0), withdrawn="another bag of clay")

    clay = a_clay(absorption_pct=9.0, absorption=(_measured("04", 12.0),), weighings=(*boiled, soaked, gone))

    assert clay.absorption_pct == 9.0
    assert clay.measured == (_measured("04", 12.0), _measured("6", 2.5), _measured("6", 1.5, Soak.COLD))


def test_a_specimen_that_was_not_weighed_in_water_has_an_absorption_alone() -> None:
    soaked = Weighing(dry_g=100.0, saturated_g=101.5, cone=SIX, method=Soak.COLD)

    assert (soaked.absorption_pct, soaked.porosity_pct, soaked.bulk_density, soaked.volume_cm3) == (
        1.5,
        None,
        None,
        None,
    )


@given(
    st.lists(st.builds(Absorption, cone=cones, pct=st.floats(0, 20), method=st.sampled_from(Soak)), max_size=6), cones
)
def test_only_a_boiled_specimen_fired_no_hotter_bounds_clay_from_above(measured: list[Absorption], cone: Cone) -> None:
    # Clay takes up less the hotter it was fired, and a cold soak understates it (common practice).
    most, least = at_most(measured, cone), at_least(measured, cone)

    boiled = [one.pct for one in measured if one.method is Soak.BOIL and one.cone <= cone]
    hotter = [one.pct for one in measured if one.cone >= cone]
    assert (most.pct if most else None) == (min(boiled) if boiled else None)
    assert (least.pct if least else None) == (max(hotter) if hotter else None)
    assert {one.cone: one.pct for one in means(measured) if one.method is Soak.BOIL}.keys() == {
        one.cone for one in measured if one.method is Soak.BOIL
    }


# ---- classes --------------------------------------------------------------------------------------------------------


def _rows() -> list[dict[str, str]]:
    with TABLE.open(newline="", encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def _scheme(row: dict[str, str]) -> Scheme:
    return next(scheme for scheme in Scheme if row["scheme"].startswith(scheme))


def _named(scheme: Scheme, absorption: float) -> list[str]:
    return [one.name for one in classes_of(absorption) if one.scheme is scheme]


def test_every_class_is_a_published_one_and_none_is_missing() -> None:
    published = [
        (
            _scheme(row),
            row["class"].partition(" (")[0],
            float(row["above_pct"]),
            float(row["up_to_pct"]) if row["up_to_pct"] else None,
        )
        for row in _rows()
    ]

    assert published == [(one.scheme, one.name, one.above_pct, one.up_to_pct) for one in CLASSES]


@pytest.mark.parametrize("row", _rows(), ids=lambda row: f"{row['scheme']} {row['class']}")
def test_each_class_holds_its_upper_bound_and_not_its_lower(row: dict[str, str]) -> None:
    scheme, name = _scheme(row), row["class"].partition(" (")[0]
    above, up_to = float(row["above_pct"]), row["up_to_pct"]

    # The densest class of each scheme begins at 0 and holds it.
    assert (name in _named(scheme, above)) is (above == 0)
    assert _named(scheme, above + 0.001) == [name]
    if up_to:
        assert _named(scheme, float(up_to)) == [name]
        assert _named(scheme, float(up_to) + 0.001) != [name]


@given(st.floats(0, 100))
def test_every_clay_has_one_class_in_each_scheme(absorption: float) -> None:
    assert [one.scheme for one in classes_of(absorption)] == list(Scheme)


def test_vitreous_is_said_with_whose_word_it_is() -> None:
    told = {said(one.message) for one in (*classes_of(2.0), *classes_of(0.4)) if one.name == "vitreous"}

    assert told == {"vitreous in ANSI A137.1 (tile)", "vitreous in ASTM C242 (whiteware terms)"}
