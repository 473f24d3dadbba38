"""A firing that missed its target: staff say which cone counts, and what they say is what its pieces were fired to.

The heats are the published end points (tests/reference/cone_end_points.csv): self-supporting cones at 60 °C an hour.
"""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.staffed import TOM, asked_by, queued, started, the_piece
from tests.studio import NOON, a_new_piece
from tests.usecases.firing.test_logs import steady
from tracker.domain.cones import Cone, end_point
from tracker.domain.firing.mixed_loads import stayed_soft
from tracker.domain.firing.witness_cones import Stands, WitnessCone
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import StepName, Use
from tracker.domain.refusals import NotAStep
from tracker.domain.rules.food_standing import FoodWord, food_of
from tracker.forms.firing.curve_file import read_curve_file
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings, logs, unloading
from tracker.usecases.firing.counted_cones import count_cone
from tracker.usecases.firing.reached_cones import missed_of, unfit_at
from tracker.usecases.pieces import pickup

FOUR, SIX, EIGHT = map(Cone.parse, ("4", "6", "8"))
LATER = NOON + timedelta(days=3)
FELL_SHORT = [(1, WitnessCone(FOUR, Stands.DOWN)), (1, WitnessCone(Cone.parse("5"), Stands.STANDING))]


def up_and_down(cone: Cone) -> str:
    """A kiln's log that ends at the end point of `cone`, give a degree, and cools until it may be opened."""
    top = end_point(cone, "self-supporting", 60) + 1
    over = (top - 22) / 60 * 60
    cools = [f"{over + minutes:.4f},{max(40, top - 4 * minutes)}" for minutes in range(15, 345, 15)]
    return "\n".join([steady(top), *cools])


def cooling(store: Store, *, reaches: Cone | None) -> tuple[str, int]:
    """A mug for food and the number of its firing to cone 6, which is off, with a log to the end point of `reaches`."""
    ref = queued(store, new=a_new_piece(use=Use.FOOD))
    number = started(store)
    firings.put_in(store, asked_by(TOM), number, ref)
    firings.light(store, asked_by(TOM), number)
    if reaches is not None:
        logs.take_log(store, asked_by(TOM, LATER), number, read_curve_file(up_and_down(reaches)))
    firings.shut_off(store, asked_by(TOM, LATER), number)
    return ref, number


@pytest.mark.parametrize(("reaches", "counts"), [(FOUR, FOUR), (FOUR, SIX), (EIGHT, EIGHT)], ids=str)
def test_a_firing_that_missed_its_target_is_unloaded_once_somebody_says_which_cone_counts(
    store: Store, reaches: Cone, counts: Cone
) -> None:
    ref, number = cooling(store, reaches=reaches)

    for nothing in (None, Cone.parse("10")):
        with pytest.raises(NotAStep, match=r"target-missed.*cone=" + str(reaches)):
            unloading.unload(store, asked_by(TOM, LATER), number, {ref: Outcome.GOOD}, counts=nothing)
    unloading.unload(store, asked_by(TOM, LATER), number, {ref: Outcome.GOOD}, counts=counts)

    piece, firing = the_piece(store, ref), store.read.firings.firing(number)
    assert firing is not None
    assert (piece.fired_to, firing.counted, firing.target) == (counts, counts, SIX)
    assert [one.counted for one in store.read.firings.listed(open_only=False)] == [counts]
    assert [layer.fired_to for layer in piece.layers] == [counts]
    assert [(one.what.code, one.by) for one in store.read.firings.corrections(number)] == [("cone-counts", "Tom Abara")]
    (*_, line) = store.read.pieces.page(piece.id).history
    assert line.firing_target == counts


def test_a_cup_out_of_a_firing_that_fell_short_stays_soft_and_is_no_longer_shown_fit_for_food(store: Store) -> None:
    """Clay for cone 6 at cone 4, and a glaze from cone 5: neither is mature (common practice)."""
    food, soft = [], []
    for counts in (SIX, FOUR):
        ref, number = cooling(store, reaches=FOUR)
        unloading.unload(store, asked_by(TOM, LATER), number, {ref: Outcome.GOOD}, counts=counts)
        piece = the_piece(store, ref)
        food.append(food_of(piece, store.read.catalog()).word)
        soft.append(stayed_soft(piece, store.read.catalog().route("mid-range")))

    assert soft == [False, True]
    assert food == [FoodWord.NOT_SHOWN, FoodWord.NOT_FOR_FOOD]


@pytest.mark.parametrize(("reaches", "rule"), [(FOUR, "glaze-underfired"), (EIGHT, "glaze-melts-off"), (SIX, None)])
def test_the_pieces_that_are_not_meant_for_the_cone_it_reached_are_named(
    store: Store, reaches: Cone, rule: str | None
) -> None:
    ref, number = cooling(store, reaches=reaches)
    page = store.read.firings.page(number)
    assert page is not None
    missed = missed_of(store.read, page.firing)

    unfit = unfit_at(page.firing, page.pieces, missed.cone, store.read.catalog(), LATER) if missed else ()

    assert [row.ref for row, _found in unfit] == ([ref] if rule else [])
    assert rule is None or rule in {one.rule for _row, found in unfit for one in found}


def test_witness_cones_that_come_late_correct_the_pieces_once_staff_say_so(store: Store) -> None:
    ref, number = cooling(store, reaches=None)
    unloading.unload(store, asked_by(TOM, LATER), number, {ref: Outcome.GOOD}, was_fired=True)
    logs.note_witnesses(store, asked_by(TOM, LATER), number, FELL_SHORT)

    count_cone(store, asked_by(TOM, LATER), number, FOUR)

    piece = the_piece(store, ref)
    (*_, line) = store.read.pieces.page(piece.id).history
    assert (piece.fired_to, [one.fired_to for one in piece.layers]) == (FOUR, [FOUR])
    assert line.step is StepName.CORRECT_RESULT
    assert (line.facts["counted"], line.facts["counts"], line.outcome) == (SIX, FOUR, Outcome.GOOD)
    count_cone(store, asked_by(TOM, LATER), number, SIX)
    assert the_piece(store, ref).fired_to == SIX
    with pytest.raises(NotAStep, match="cone-not-in-question"):
        count_cone(store, asked_by(TOM, LATER), number, EIGHT)


def test_a_piece_that_was_picked_up_before_is_corrected_too_and_its_maker_is_to_be_told(store: Store) -> None:
    ref, number = cooling(store, reaches=None)
    unloading.unload(store, asked_by(TOM, LATER), number, {ref: Outcome.GOOD}, was_fired=True)
    pickup.hand_over(store, asked_by(TOM, LATER), ref)
    logs.note_witnesses(store, asked_by(TOM, LATER), number, FELL_SHORT)

    receipt = count_cone(store, asked_by(TOM, LATER), number, FOUR)

    assert the_piece(store, ref).fired_to == FOUR
    assert "tell-their-makers" in str(receipt.message)


@pytest.mark.parametrize(
    ("reaches", "cones", "asked"),
    [
        # By its witness cones it met cone 6.
        pytest.param("3", [("6", Stands.TIP)], ("6", "3"), id="met, log 3 cooler"),
        pytest.param("9", [("6", Stands.TIP)], ("6", "9"), id="met, log 3 hotter"),
        pytest.param("5", [("6", Stands.TIP)], None, id="met, log 1 cooler"),
        pytest.param("6", [("6", Stands.TIP)], None, id="both met"),
        pytest.param("9", [("4", Stands.DOWN), ("5", Stands.STANDING)], ("4", "9", "6"), id="short, log over"),
        pytest.param("4", [("4", Stands.DOWN), ("5", Stands.STANDING)], ("4", "6"), id="both short"),
        pytest.param("9", [("6", Stands.DOWN)], ("6", "9"), id="down, log over"),
        pytest.param("2", [("6", Stands.DOWN)], ("6", "2"), id="down, log cooler"),
    ],
)
def test_a_log_far_from_the_witness_cones_of_its_firing_is_asked_about(
    store: Store, reaches: str, cones: list[tuple[str, Stands]], asked: tuple[str, ...] | None
) -> None:
    ref, number = cooling(store, reaches=Cone.parse(reaches))
    seen = [(1, WitnessCone(Cone.parse(cone), stands)) for cone, stands in cones]
    logs.note_witnesses(store, asked_by(TOM, LATER), number, seen)
    firing = store.read.firings.firing(number)
    assert firing is not None

    missed = missed_of(store.read, firing)

    assert (tuple(map(str, missed.cones)) if missed else None) == asked
    if asked:
        with pytest.raises(NotAStep, match=r"evidence-apart|target-missed"):
            unloading.unload(store, asked_by(TOM, LATER), number, {ref: Outcome.GOOD})
        unloading.unload(store, asked_by(TOM, LATER), number, {ref: Outcome.GOOD}, counts=Cone.parse(asked[-1]))
        assert the_piece(store, ref).fired_to == Cone.parse(asked[-1])
