"""What came of a piece: the flaws that studios name, several at a time, and which still count after a refire."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import said
from tests.studio import OUTCOMES
from tracker.domain.pieces.outcomes import (
    CLAY_FLAWS,
    CRACKS,
    FIRING_FLAWS,
    GLAZE_FLAWS,
    NEVER_FOOD,
    SPOILS_FOOD,
    WORDS,
    Flaw,
    Outcome,
)

# The flaws that studios name, in their own words (common practice).
NAMED = [
    "crazed",
    "crawled",
    "pinholed",
    "blistered",
    "shivered",
    "dunted",
    "S-crack",
    "cracked",
    "bloated",
    "warped",
    "slumped",
    "stuck",
    "ran",
    "underfired",
    "overfired",
    "color off",
]

outcomes = st.builds(Outcome, st.lists(st.sampled_from(Flaw), max_size=5).map(tuple), st.booleans())


def test_the_flaws_are_those_that_studios_name() -> None:
    assert [said(Outcome.of(flaw).message) for flaw in Flaw] == NAMED
    assert [flaw.value for flaw in Flaw] == [name.lower().replace(" ", "-") for name in NAMED]


def test_each_flaw_is_one_of_the_clay_of_the_glaze_or_of_the_firing() -> None:
    assert sorted((*CLAY_FLAWS, *GLAZE_FLAWS, *FIRING_FLAWS)) == sorted(Flaw)


@given(outcomes)
def test_an_outcome_is_read_back_from_its_words(outcome: Outcome) -> None:
    assert Outcome.parse(str(outcome)) == outcome


@pytest.mark.parametrize("text", ["", "fine", "good,crazed", "crazed,", "Crazed", "broke crazed"])
def test_other_words_are_no_outcome(text: str) -> None:
    with pytest.raises(ValueError, match="is not a valid Flaw"):
        Outcome.parse(text)


@pytest.mark.parametrize("word", WORDS)
def test_a_single_word_says_itself(word: str) -> None:
    assert str(Outcome.parse(word)) == word


@given(outcomes)
def test_flaws_stand_in_one_order_each_once(outcome: Outcome) -> None:
    assert outcome == Outcome(tuple(reversed((*outcome.flaws, *outcome.flaws))), broke=outcome.broke)


def test_what_broke_says_so_before_its_flaws() -> None:
    assert said(Outcome((Flaw.DUNTED,), broke=True).message) == "broke: dunted"
    assert said(Outcome.of(Flaw.PINHOLED, Flaw.CRAZED).message) == "crazed and pinholed"


def test_the_notes_on_clay_and_glaze_are_told_apart() -> None:
    noted = Outcome((Flaw.CRACKED, Flaw.RAN), clay_note="at the handle", glaze_note="too thick")

    assert list(map(said, noted.notes)) == ["Clay: at the handle", "Glaze: too thick"]
    assert Outcome.GOOD.notes == ()


@given(outcomes, outcomes)
def test_flaws_add_up_until_a_piece_comes_out_well(first: Outcome, then: Outcome) -> None:
    left = then.left_on(first.left_on(()))

    assert set(left) == (set() if then.is_good else {*first.flaws, *then.flaws})


@given(outcomes, outcomes)
def test_a_fire_that_melts_no_glaze_mends_no_flaw(first: Outcome, then: Outcome) -> None:
    left = then.left_on(first.left_on(()), melts=False)

    assert set(left) == {*first.flaws, *then.flaws}


@pytest.mark.parametrize("flaw", Flaw)
def test_what_shows_only_outside_spoils_no_food_unless_it_goes_through_the_wall(flaw: Flaw) -> None:
    outside = Outcome((flaw,), outside_only=True)

    spoils = not SPOILS_FOOD.isdisjoint(outside.left_on(()))

    assert spoils is (flaw in NEVER_FOOD)


def test_a_crack_is_a_crack_by_each_of_its_names() -> None:
    assert {Flaw.CRACKED, Flaw.DUNTED, Flaw.S_CRACK} == CRACKS


@pytest.mark.parametrize("outcome", OUTCOMES, ids=str)
def test_only_what_broke_is_gone(outcome: Outcome) -> None:
    assert (outcome.survives, outcome.is_good or outcome.is_flawed) == (str(outcome) != "broke",) * 2
