"""What came of a piece: the flaws that studios name, several at a time, and which still count after a refire."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import said
from tests.studio import OUTCOMES
from tracker.domain.cones import Cone
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
from tracker.domain.pieces.piece import Use, Ware
from tracker.domain.studio.materials import Clay, ClayKind, Coat, Family, Glaze, Layer, Zone

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

# Neither clay that cracked, bent or bloated nor a glaze that flakes off comes right in the fire (common practice).
NEVER_MENDED = {
    *(Flaw.SHIVERED, Flaw.DUNTED, Flaw.S_CRACK, Flaw.CRACKED),
    *(Flaw.BLOATED, Flaw.WARPED, Flaw.SLUMPED, Flaw.OVERFIRED),
}

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
def test_flaws_add_up_until_a_piece_comes_out_well_and_what_no_fire_mends_stays(first: Outcome, then: Outcome) -> None:
    left = then.left_on(first.left_on(()))

    assert set(left) == (NEVER_MENDED.intersection(first.flaws) if then.is_good else {*first.flaws, *then.flaws})


@pytest.mark.parametrize(
    ("cones", "fired_to", "refired_to", "mends"),
    [
        ("5-6", "6", "6", True),
        ("5-6", "6", "5", True),
        ("5-6", "6", "04", False),
        ("5-6", "6", "018", False),
        ("06-04", "04", "06", True),
        # Of glaze that is not on record nothing heals below the heat that left the flaw.
        ("", "6", "6", True),
        ("", "6", "04", False),
    ],
)
@pytest.mark.parametrize("flaw", Flaw)
def test_a_flaw_of_the_glaze_ends_only_in_a_fire_that_melts_it(
    flaw: Flaw,
    cones: str,
    fired_to: str,
    refired_to: str,
    mends: bool,  # noqa: FBT001 -- a column of the table
) -> None:
    clay = Clay(name="Doorstep Buff", kind=ClayKind.STONEWARE, cone_low=Cone.parse("06"), cone_high=Cone.parse("6"))
    ware = Ware(clay=clay, layers=_glazed(cones), use=Use.FOOD, flaws=(flaw,)).fired(Cone.parse(fired_to))

    left = Outcome.GOOD.left_on(ware.flaws, ware.beyond(Cone.parse(refired_to)))

    assert left == (() if mends and flaw not in NEVER_MENDED else (flaw,))


def _glazed(cones: str) -> tuple[Layer, ...]:
    if not cones:
        return ()
    low, high = map(Cone.parse, cones.split("-"))
    glaze = Glaze(name="Still Water", family=Family.MID_RANGE, cone_low=low, cone_high=high, food=None)
    return (Layer(glaze, Zone.INSIDE),)


def test_an_underfired_mug_stays_so_where_its_clay_does_not_mature() -> None:
    clay = Clay(name="Doorstep Buff", kind=ClayKind.STONEWARE, cone_low=Cone.parse("5"), cone_high=Cone.parse("6"))
    mug = Ware(clay=clay, layers=_glazed("06-6"), use=Use.FOOD, flaws=(Flaw.UNDERFIRED,), fired_to=Cone.parse("6"))

    left = {cone: Outcome.GOOD.left_on(mug.flaws, mug.beyond(Cone.parse(cone))) for cone in ("04", "6")}

    assert left == {"04": (Flaw.UNDERFIRED,), "6": ()}


@pytest.mark.parametrize(
    ("use", "gold_fired_to", "refired_to", "mends"),
    [
        (Use.DECORATIVE, "019", "018", True),
        (Use.FOOD, "019", "018", True),
        (Use.FOOD, "020", "020", False),
        # Gold that goes on over a glaze mends nothing under it (common practice).
        (Use.DECORATIVE, None, "018", False),
        (Use.FOOD, None, "018", False),
    ],
)
def test_underfired_gold_ends_in_a_firing_of_gold_and_flaws_of_the_glaze_under_it_do_not(
    use: Use,
    gold_fired_to: str | None,
    refired_to: str,
    mends: bool,  # noqa: FBT001 -- a column of the table
) -> None:
    clay = Clay(name="Doorstep Buff", kind=ClayKind.STONEWARE, cone_low=Cone.parse("5"), cone_high=Cone.parse("6"))
    low, high = Cone.parse("019"), Cone.parse("018")
    gold = Glaze(name="Gold", family=Family.LOW_FIRE, cone_low=low, cone_high=high, food=None, coat=Coat.OVERGLAZE)
    mug = Ware(clay=clay, layers=_glazed("5-6"), use=use, flaws=(Flaw.CRAZED, Flaw.UNDERFIRED)).fired(Cone.parse("6"))
    gilt = mug.wearing(Layer(gold, Zone.LIP, Cone.parse(gold_fired_to) if gold_fired_to else None))

    left = Outcome.GOOD.left_on(gilt.flaws, gilt.beyond(Cone.parse(refired_to)))

    assert left == ((Flaw.CRAZED,) if mends else (Flaw.CRAZED, Flaw.UNDERFIRED))


@pytest.mark.parametrize(
    ("clay_fired_to", "more_gold", "mends"), [("6", False, True), ("6", True, False), ("04", False, False)]
)
def test_a_firing_of_gold_ends_underfired_on_food_ware_only_where_all_else_matured_before(
    clay_fired_to: str,
    more_gold: bool,  # noqa: FBT001 -- a column of the table
    mends: bool,  # noqa: FBT001 -- a column of the table
) -> None:
    clay = Clay(name="Doorstep Buff", kind=ClayKind.STONEWARE, cone_low=Cone.parse("5"), cone_high=Cone.parse("6"))
    low, high = Cone.parse("019"), Cone.parse("018")
    gold = Glaze(name="Gold", family=Family.LOW_FIRE, cone_low=low, cone_high=high, food=None, coat=Coat.OVERGLAZE)
    mug = Ware(clay=clay, layers=_glazed("5-6"), use=Use.FOOD, flaws=(Flaw.UNDERFIRED,))
    gilt = mug.fired(Cone.parse(clay_fired_to)).wearing(Layer(gold, Zone.LIP, low))

    ware = gilt.wearing(Layer(gold, Zone.OUTSIDE)) if more_gold else gilt

    assert Outcome.GOOD.left_on(ware.flaws, ware.beyond(low)) == (() if mends else (Flaw.UNDERFIRED,))


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
