"""What the cones in the kiln say, beside the curve."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.firing.test_cone_model import steady
from tests.reading import said
from tracker.domain.cones import Cone, Kind
from tracker.domain.firing.cone_model import fits
from tracker.domain.firing.heat_work import Reached, heat_work, step_of
from tracker.domain.firing.witness_cones import Span, Stands, WitnessCone, correction, witnessed
from tracker.domain.refusals import Unusable
from tracker.domain.studio.settings import CorrectionPractice

KIND: Kind = "self-supporting"


def seen(name: str, stands: Stands, kind: Kind = KIND) -> WitnessCone:
    return WitnessCone(Cone.parse(name), stands, kind)


def reached_at(celsius: float) -> Reached:
    return heat_work(steady(60, celsius)).reached


def test_a_cone_that_touches_says_that_its_end_point_is_reached_give_or_take() -> None:
    span = seen("6", Stands.DOWN).span

    assert span.low < step_of(Cone.parse("6")) < span.high
    assert span.high - span.low < 0.6
    assert said(span.message) == "about cone 6, 1,222 °C"


@pytest.mark.parametrize("kind", ["self-supporting", "large"])
def test_the_more_a_cone_has_bent_the_more_heat_it_saw(kind: Kind) -> None:
    for cone in fits(kind):
        spans = [WitnessCone(cone, stands, kind).span for stands in Stands]
        assert [one.low for one in spans] == sorted(one.low for one in spans)
        assert [one.high for one in spans] == sorted(one.high for one in spans)


def test_an_upright_cone_says_only_less_and_a_flat_one_only_more() -> None:
    upright, flat = seen("6", Stands.STANDING).span, seen("6", Stands.FLAT).span

    assert upright.low == -math.inf
    assert flat.high == math.inf
    assert said(upright.message) == "less than cone 6, 1,222 °C"
    assert said(flat.message) == "at least cone 6, 1,222 °C"
    assert (upright.middle, flat.middle) == (upright.high, flat.low)


@pytest.mark.parametrize(
    ("low", "high", "says"),
    [
        (-5.0 + 0.58, -5.0 + 0.9, "cone 05, 1,031 °C, and 74% of the way to cone 04"),
        (4.9, 5.1, "about cone 6, 1,222 °C"),
        (3.9, 5.1, "about cone 5, 1,186 °C to cone 6, 1,222 °C"),
    ],
)
def test_what_several_cones_bound_is_said_by_the_cones_nearest_to_it(low: float, high: float, says: str) -> None:
    assert said(Span(KIND, low, high).message) == says


def test_three_cones_together_say_more_than_one() -> None:
    pack = [seen("5", Stands.FLAT), seen("6", Stands.HALF), seen("7", Stands.STANDING)]

    span = witnessed(pack)

    assert span == seen("6", Stands.HALF).span


def test_neighbors_that_both_bend_are_taken_and_distant_ones_are_said_to_be_too_far_apart() -> None:
    span = witnessed([seen("07", Stands.HALF), seen("06", Stands.TIP)])

    assert step_of(Cone.parse("08")) < span.low < span.high < step_of(Cone.parse("06"))
    with pytest.raises(Unusable) as refusal:
        witnessed([seen("6", Stands.HALF), seen("9", Stands.TIP)])
    (problem,) = refusal.value.problems
    assert said(problem).endswith("These two are too far apart for that.")


def test_cones_that_no_one_heat_explains_are_named() -> None:
    with pytest.raises(Unusable) as refusal:
        witnessed([seen("5", Stands.STANDING), seen("7", Stands.DOWN)])

    (problem,) = refusal.value.problems
    assert said(problem) == (
        "Cone 7 touches with its tip, but cone 5 stands upright. A hotter cone can't bend more than a cooler one."
    )


@pytest.mark.parametrize(
    ("cones", "says"),
    [
        pytest.param([], "no-witness", id="none"),
        pytest.param([seen("6", Stands.DOWN), seen("6", Stands.DOWN, "large")], "two-kinds-of-cone", id="two kinds"),
    ],
)
def test_witnesses_of_nothing_or_of_two_kinds_are_refused(cones: list[WitnessCone], says: str) -> None:
    with pytest.raises(Unusable, match=says):
        witnessed(cones)


def test_a_curve_that_reads_too_cool_is_off_by_cones_above_0() -> None:
    down = seen("6", Stands.DOWN).span

    assert down.off_from(reached_at(1_222)) == pytest.approx(0, abs=0.2)
    assert 0.7 < down.off_from(reached_at(1_190)) < 1.2
    assert -1.9 < down.off_from(reached_at(1_247)) < -1.5


def test_within_an_open_span_there_is_nothing_off() -> None:
    upright = seen("6", Stands.STANDING).span

    assert upright.off_from(reached_at(1_100)) == 0
    assert upright.off_from(reached_at(1_222)) == pytest.approx(upright.high - 5, abs=0.01)
    assert seen("6", Stands.FLAT).span.off_from(reached_at(1_300)) == 0


# ---- a kiln's correction ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("offsets", "cones", "firings", "agreed"),
    [
        pytest.param([], 0, 0, False, id="nothing yet"),
        pytest.param([0.4, 0.5], 0, 2, False, id="two firings"),
        pytest.param([0.4, 0.5, 0.6], 0.5, 3, True, id="three that agree"),
        pytest.param([0.4, 0.5, 1.6], 0, 1, False, id="the last does not agree"),
        pytest.param([-2.0, 0.4, 0.5, 0.6], 0.5, 3, True, id="an old one does not agree"),
        pytest.param([0.3, 0.4, 0.8, 0.5], 0.45, 4, True, id="just as far apart as may be"),
        pytest.param([-0.5, -0.4, -0.6], -0.5, 3, True, id="too hot a curve"),
    ],
)
def test_a_kiln_is_corrected_once_three_firings_agree(
    offsets: list[float], cones: float, firings: int, *, agreed: bool
) -> None:
    answer = correction(offsets)

    assert answer.cones == pytest.approx(cones)
    assert (answer.firings, answer.agreed) == (firings, agreed)


def test_a_studio_may_want_more_agreement() -> None:
    strict = CorrectionPractice(firings=4, within_cones=0.1)

    assert not correction([0.4, 0.5, 0.6, 0.5], strict).agreed
    assert correction([0.45, 0.5, 0.5, 0.52], strict).cones == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("offsets", "says"),
    [
        ([0.4, 0.5, 0.6], "In the last 3 firings the cones read 0.5 cones hotter than the curve."),
        ([-0.4, -0.5, -0.6], "In the last 3 firings the cones read 0.5 cones cooler than the curve."),
        ([], "No correction yet: nothing to compare."),
        ([0.4], "No correction yet: only 1 firing counts."),
        ([0.4, 0.4], "No correction yet: only 2 firings agree."),
    ],
)
def test_a_correction_says_on_what_it_rests(offsets: list[float], says: str) -> None:
    assert said(correction(offsets).message) == says


@given(offsets=st.lists(st.floats(-3, 3), max_size=8))
def test_a_correction_lies_among_the_newest_firings(offsets: list[float]) -> None:
    answer = correction(offsets)

    newest = offsets[len(offsets) - answer.firings :]
    assert not answer.agreed or min(newest) <= answer.cones <= max(newest)
    assert not newest or max(newest) - min(newest) <= 0.5


def test_a_corrected_curve_agrees_with_the_cones() -> None:
    model, span = reached_at(1_203), seen("6", Stands.DOWN).span
    off = span.off_from(model)

    assert isinstance(span, Span)
    assert model.moved(correction([off, off, off]).cones).step == pytest.approx(span.middle)


def test_a_cone_that_is_down_says_only_how_much_at_least_once_a_hotter_one_bends() -> None:
    # Common practice: a pack reads "5 down, 6 half", and the hotter cone tells how far it went.
    pack = [WitnessCone(Cone.parse("5"), Stands.DOWN), WitnessCone(Cone.parse("6"), Stands.HALF)]

    assert witnessed(pack) == witnessed(pack[1:])
