"""What a round burns is learned from weighings, says how sure it is, and is shared to the gram."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import linregress, t

from tests.reading import said
from tracker.domain.firing.costs import KWH_PER_KG_PROPANE
from tracker.domain.message import Message
from tracker.domain.outdoor.fuel import _T_95, Enough, FuelGuess, SessionFuel, enough, kg_per_round
from tracker.domain.quantities import grams
from tracker.domain.refusals import Unusable
from tracker.domain.studio.settings import COMMON_FUEL, FuelPractice


def a_session(used_g: int, rounds: int) -> SessionFuel:
    """A session that burnt so much in so many rounds."""
    return SessionFuel(before_g=used_g + 8_000, after_g=8_000, rounds=rounds)


sessions = st.lists(st.builds(a_session, st.integers(1, 40_000), st.integers(1, 9)), max_size=12)


def test_what_was_burnt_is_what_was_there_and_brought_and_is_there_no_more() -> None:
    assert SessionFuel(before_g=20_000, after_g=14_500, rounds=3).used_g == 5_500
    assert SessionFuel(before_g=20_000, added_g=11_000, after_g=24_500, rounds=3).used_g == 6_500


def test_weighings_that_cannot_be_are_refused_with_every_reason() -> None:
    with pytest.raises(Unusable) as refused:
        SessionFuel(before_g=5_000, after_g=5_400, rounds=0)

    assert refused.value.problems == (Message("no-round", ""), Message("fuel-grew", "", more=grams(400)))
    with pytest.raises(Unusable, match="fuel-unused"):
        SessionFuel(before_g=5_000, after_g=5_000, rounds=1)
    with pytest.raises(Unusable, match="weighs-nothing"):
        SessionFuel(before_g=-1, after_g=0, rounds=1)


def test_before_there_are_sessions_it_is_a_first_guess_and_says_so() -> None:
    guess = kg_per_round([])

    assert (guess.learned_from, guess.low, guess.likely, guess.high) == (0, 1.0, 1.5, 2.2)
    assert "This is a first guess" in said(guess.message)


def test_the_first_guess_is_what_a_burner_of_its_size_burns_in_a_round() -> None:
    # 21,591 Btu/lb (LP-gas tables) and 3,412 Btu/kWh (EIA) make 13.95 kWh/kg. A round takes 25 minutes, the first 45
    # (common practice); burners of such kilns give some 30 to 75 kW, 100,000 to 250,000 Btu/h (common practice).
    kilowatts = [kg * float(KWH_PER_KG_PROPANE) / (25 / 60) for kg in (1.0, 1.5, 2.2)]

    assert kilowatts == pytest.approx([33.5, 50.2, 73.7], abs=0.2)
    assert pytest.approx(45 / 25) == COMMON_FUEL.first_counts


@pytest.mark.parametrize(("used", "says"), [([7_140], "From one session"), ([7_140, 6_700], "From two sessions")])
def test_one_or_two_sessions_say_that_they_show_no_spread(used: list[int], says: str) -> None:
    guess = kg_per_round([a_session(used_g, 4) for used_g in used])

    assert guess.likely == pytest.approx(sum(used) / len(used) / 1000 / 4.8)
    assert (guess.low, guess.high) == pytest.approx((0.7 * guess.likely, 1.3 * guess.likely))
    assert says in said(guess.message)
    assert guess.learned_from == len(used)


def test_two_sessions_far_apart_are_both_in_the_range() -> None:
    guess = kg_per_round([a_session(4_800, 4), a_session(14_400, 4)])

    assert (guess.low, guess.likely, guess.high) == pytest.approx((1.0, 2.0, 3.0))


def test_sessions_alike_leave_no_spread() -> None:
    guess = kg_per_round([a_session(4_800, 4)] * 4)

    assert (guess.low, guess.likely, guess.high) == pytest.approx((1.0, 1.0, 1.0))
    assert said(guess.message).startswith("About 1 kg of propane per round, between 1 kg and 1 kg. From 4 sessions")


def test_students_t_is_that_of_a_reference_library() -> None:
    # scipy.stats.t: the quantile that 95 % lie below.
    assert [float(t.ppf(0.95, free)) for free in range(1, len(_T_95) + 1)] == pytest.approx(_T_95, abs=5e-4)


def test_the_range_is_the_prediction_interval_of_the_textbook() -> None:
    each = [1.4, 1.7, 1.5, 1.6]
    guess = kg_per_round([a_session(round(1000 * kg * 3.8), 3) for kg in each])

    # mean ± t s √(1 + 1/n), with s² from n - 1.
    mean = sum(each) / 4
    deviation = (sum((kg - mean) ** 2 for kg in each) / 3) ** 0.5
    reach = float(t.ppf(0.95, 3)) * deviation * (1 + 1 / 4) ** 0.5
    assert (guess.low, guess.high) == pytest.approx((mean - reach, mean + reach), rel=1e-3)


def test_nine_sessions_in_ten_burn_what_lies_between_low_and_high() -> None:
    chance = random.Random(7)  # noqa: S311 - a seeded wobble, not a secret

    def a_day() -> SessionFuel:
        return a_session(round(max(0.0, chance.gauss(1_500, 200)) * 4.8), 4)

    inside = 0
    for _ in range(2_000):
        guess = kg_per_round([a_day() for _ in range(4)])
        low, _, high = guess.for_rounds(4)
        inside += low <= a_day().used_g / 1000 <= high
    assert inside / 2_000 == pytest.approx(0.9, abs=0.03)


def test_what_the_first_round_takes_is_learned_as_a_reference_library_does() -> None:
    weighed = [(1, 3_300), (2, 4_400), (3, 6_100), (4, 7_300), (5, 9_200), (3, 5_900)]

    guess = kg_per_round([a_session(used_g, rounds) for rounds, used_g in weighed])

    line = linregress([rounds for rounds, _ in weighed], [used_g for _, used_g in weighed])
    assert guess.first_is_learned
    assert guess.first_counts == pytest.approx(1 + line.intercept / line.slope)
    assert guess.likely == pytest.approx(line.slope / 1000, rel=0.03)
    assert "learned from these sessions" in said(guess.message)


def test_a_first_round_that_is_known_exactly_is_found_exactly() -> None:
    guess = kg_per_round([a_session(1_000 + 1_500 * rounds, rounds) for rounds in (1, 2, 3, 4, 5)])

    assert guess.first_counts == pytest.approx(1 + 1_000 / 1_500)
    assert guess.for_rounds(7) == pytest.approx((11.5, 11.5, 11.5))


@pytest.mark.parametrize(
    "weighed",
    [
        [(3, 6_000)] * 6,
        [(1, 9_000), (2, 8_000), (3, 7_000), (4, 6_000), (5, 5_000)],
        [(1, 1_000), (2, 4_000), (3, 7_000), (4, 10_000), (5, 13_000)],
        [(1, 9_000), (2, 9_100), (3, 9_200), (4, 9_300), (5, 9_400)],
        [(1, 2_700), (2, 4_200), (3, 5_700), (4, 7_200)],
    ],
    ids=["all as long", "less for more rounds", "a first one below the others", "nearly all in the first", "too few"],
)
def test_where_the_first_round_cannot_be_learned_it_counts_as_in_practice(weighed: list[tuple[int, int]]) -> None:
    guess = kg_per_round([a_session(used_g, rounds) for rounds, used_g in weighed])

    assert not guess.first_is_learned
    assert guess.first_counts == COMMON_FUEL.first_counts
    assert "counts as 1.8 rounds (common practice)" in said(guess.message)


@given(sessions)
def test_a_guess_runs_from_low_to_high_and_more_rounds_take_more(weighed: list[SessionFuel]) -> None:
    guess = kg_per_round(weighed)

    assert 0 <= guess.low <= guess.likely + 1e-12
    assert guess.likely <= guess.high + 1e-12
    assert guess.for_rounds(0) == (0, 0, 0)
    assert guess.for_rounds(4)[1] >= guess.for_rounds(3)[1]


GUESS = FuelGuess(1.0, 1.5, 2.0, 6, first_counts=2.0)


@pytest.mark.parametrize(
    ("on_hand", "word", "sure"),
    [
        (8.5, Enough.ENOUGH, 3),
        (8.4, Enough.PERHAPS, 2),
        (4.5, Enough.PERHAPS, 1),
        (4.4, Enough.NOT_ENOUGH, 0),
        (0.2, Enough.NOT_ENOUGH, 0),
    ],
)
def test_there_is_enough_perhaps_or_not(on_hand: float, word: Enough, sure: int) -> None:
    verdict = enough(on_hand, 3, GUESS)

    assert (verdict.word, verdict.sure_rounds) == (word, sure)
    assert said(verdict.message).startswith("3 rounds take about 6 kg, between 4 kg and 8 kg. On hand: ")


def test_tanks_keep_back_what_the_studio_says_it_does() -> None:
    assert enough(8.0, 3, GUESS, FuelPractice(reserve_kg=0.0)).word is Enough.ENOUGH
    assert enough(8.0, 3, GUESS, FuelPractice(reserve_kg=2.0)).word is Enough.PERHAPS


@given(st.floats(0, 60), st.integers(0, 12), sessions)
def test_more_fuel_never_makes_a_verdict_worse(on_hand: float, rounds: int, weighed: list[SessionFuel]) -> None:
    guess = kg_per_round(weighed)
    ranks = [Enough.NOT_ENOUGH, Enough.PERHAPS, Enough.ENOUGH]

    less, more = enough(on_hand, rounds, guess), enough(on_hand + 1.0, rounds, guess)

    assert ranks.index(less.word) <= ranks.index(more.word)
    assert less.sure_rounds <= more.sure_rounds
    # What is said to be sure is enough by its own word.
    assert enough(on_hand, less.sure_rounds, guess).word is Enough.ENOUGH
    assert enough(on_hand, less.sure_rounds + 1, guess).word is not Enough.ENOUGH
