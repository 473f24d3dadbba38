"""A result that was told wrong is corrected, and everything that rests on it follows."""

from __future__ import annotations

import pytest

from tests.staffed import MIRA, TOM, asked_by, bisqued, fired, queued, started, the_piece, unload
from tests.studio import a_new_piece
from tests.yard import fire_round, planned_session
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Stage, StepName, Use
from tracker.domain.refusals import NotAllowed, NotAStep, Unusable
from tracker.domain.rules.food_standing import FoodWord, food_of
from tracker.domain.studio.materials import Zone
from tracker.store import backup
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.firing.results import correct_result
from tracker.usecases.pieces import pickup, pieces
from tracker.usecases.pieces.later_flaws import note_flaws

CRAZED, CRACKED = Outcome.of(Flaw.CRAZED), Outcome.of(Flaw.CRACKED)


def last_firing(store: Store, ref: str) -> int:
    """The number of the firing that a piece came out of last."""
    return store.read.firings.last_result(the_piece(store, ref).id) or 0


def corrected(store: Store, ref: str, came: Outcome) -> Stage:
    """The stage of a piece once staff corrected its last result."""
    correct_result(store, asked_by(TOM), last_firing(store, ref), ref, came)
    return the_piece(store, ref).stage


def test_a_flaw_of_the_wrong_cup_goes_and_with_it_what_was_said_about_food(store: Store) -> None:
    ref = fired(store, new=a_new_piece(use=Use.FOOD), outcome=CRAZED)
    spoilt = food_of(the_piece(store, ref), store.read.catalog()).word

    corrected(store, ref, Outcome.GOOD)

    piece = the_piece(store, ref)
    (*_, line) = store.read.pieces.page(piece.id).history
    assert spoilt is FoodWord.FLAWED
    assert (piece.flaws, piece.holds_food) == ((), True)
    assert food_of(piece, store.read.catalog()).word is not spoilt
    assert (line.step, line.by, line.outcome) == (StepName.CORRECT_RESULT, "Tom Abara", Outcome.GOOD)
    assert line.facts["was"] == CRAZED.message


def test_what_was_found_later_stays_on_a_piece_whose_result_is_corrected(store: Store) -> None:
    ref = fired(store, outcome=Outcome.of(Flaw.PINHOLED))
    note_flaws(store, asked_by(MIRA), ref, [Flaw.PINHOLED, Flaw.CRAZED])

    corrected(store, ref, Outcome.GOOD)

    assert the_piece(store, ref).flaws == (Flaw.CRAZED,)


@pytest.mark.parametrize("came", [Outcome.GOOD, CRACKED], ids=str)
def test_a_piece_counts_as_cracked_only_while_its_result_says_so(store: Store, came: Outcome) -> None:
    ref = fired(store, outcome=CRACKED)

    corrected(store, ref, CRAZED)
    corrected(store, ref, came)

    assert the_piece(store, ref).mended is (came is CRACKED)


def test_a_crack_that_was_told_by_mistake_and_taken_back_leaves_no_cracked_piece(store: Store) -> None:
    ref, was_mended = fired(store), fired(store, new=a_new_piece(mended=True))

    for one in (ref, was_mended):
        for came in (CRACKED, Outcome.GOOD):
            corrected(store, one, came)

    assert (the_piece(store, ref).mended, the_piece(store, was_mended).mended) == (False, True)


def test_what_did_not_break_is_ready_for_pickup_and_what_did_is_lost(store: Store) -> None:
    ref = fired(store, outcome=Outcome.BROKE)

    assert corrected(store, ref, CRAZED) is Stage.FIRED
    assert the_piece(store, ref).flaws == (Flaw.CRAZED,)
    pieces.shelve(store, asked_by(TOM), ref, "rack 3")
    assert corrected(store, ref, Outcome.BROKE) is Stage.LOST
    (lost,) = store.read.shelves.causes([the_piece(store, ref).id]).values()
    assert lost.in_kiln
    assert corrected(store, ref, Outcome.GOOD) is Stage.FIRED
    assert the_piece(store, ref).place == "rack 3"
    (row,) = store.read.firings.page(last_firing(store, ref)).pieces  # type: ignore[union-attr]  # it was fired
    assert row.outcome == Outcome.GOOD


def test_greenware_that_did_not_break_in_the_bisque_gets_its_code(store: Store, database_url: str) -> None:
    slip = pieces.register(store, asked_by(MIRA), a_new_piece()).ref
    firing = started(store, "Front box", "bisque", "06")
    firings.put_in(store, asked_by(TOM), firing, slip, dry=True)
    unload(store, firing, {slip: Outcome.BROKE})

    ref = correct_result(store, asked_by(TOM), firing, slip, CRACKED).ref

    piece = the_piece(store, ref)
    assert (piece.stage, piece.mended, str(piece.fired_to)) == (Stage.BISQUED, True, "06")
    assert piece.code == ref
    assert backup.check(database_url) == ()


def test_what_went_on_after_a_firing_did_not_break_in_it(store: Store) -> None:
    ref = fired(store)
    pickup.hand_over(store, asked_by(TOM), ref)

    with pytest.raises(NotAStep, match="went-on-since"):
        corrected(store, ref, Outcome.BROKE)
    with pytest.raises(Unusable, match="result-as-before"):
        corrected(store, ref, Outcome.GOOD)
    assert corrected(store, ref, CRAZED) is Stage.CLAIMED


def test_only_staff_correct_a_result_and_only_one_that_there_is(store: Store) -> None:
    ref = fired(store)

    with pytest.raises(NotAllowed):
        correct_result(store, asked_by(MIRA), last_firing(store, ref), ref, CRAZED)
    with pytest.raises(NotAStep, match="no-result-there"):
        correct_result(store, asked_by(TOM), last_firing(store, ref), bisqued(store), CRAZED)


def test_what_broke_outdoors_is_counted_by_the_corrected_result(store: Store) -> None:
    queued(store, "Ember Luster", route="raku")
    (ref,) = fire_round(store, planned_session(store))
    before = [one.outcome for one in store.read.outdoors.fired()]

    assert corrected(store, ref, Outcome.BROKE) is Stage.LOST

    assert (before, [one.outcome for one in store.read.outdoors.fired()]) == ([Outcome.GOOD], [Outcome.BROKE])
    assert corrected(store, ref, Outcome.GOOD) is Stage.FIRED
    assert [one.outcome for one in store.read.outdoors.fired()] == before


def test_a_crack_out_of_the_bisque_keeps_a_piece_from_food_until_that_result_is_corrected(store: Store) -> None:
    # A flaw on a food surface keeps it from food; no glaze firing closes a crack in the clay (common practice).
    slip = pieces.register(store, asked_by(MIRA), a_new_piece(use=Use.FOOD)).ref
    firing = started(store, "Front box", "bisque", "06")
    firings.put_in(store, asked_by(TOM), firing, slip, dry=True)
    (ref,) = unload(store, firing, {slip: Outcome.of(Flaw.S_CRACK, Flaw.WARPED)}).refs
    bare = the_piece(store, ref)
    said = food_of(bare, store.read.catalog())

    correct_result(store, asked_by(TOM), firing, ref, Outcome.of(Flaw.WARPED))

    assert bare.flaws == (Flaw.S_CRACK, Flaw.WARPED)
    assert (said.word, said.may_change) == (FoodWord.FLAWED, False)
    assert Flaw.S_CRACK in Outcome.GOOD.left_on(bare.flaws)
    assert the_piece(store, ref).flaws == (Flaw.WARPED,)
    assert food_of(the_piece(store, ref), store.read.catalog()).word is FoodWord.STILL_TO_COME


@pytest.mark.parametrize(
    ("came", "left"),
    [
        (Outcome.GOOD, (Flaw.SLUMPED,)),
        (CRAZED, (Flaw.CRAZED, Flaw.SLUMPED)),
        (Outcome.of(Flaw.OVERFIRED), (Flaw.SLUMPED, Flaw.OVERFIRED)),
    ],
    ids=["good", "crazed", "overfired"],
)
def test_the_heat_of_a_bisque_counts_until_the_glaze_is_fired_and_its_shape_for_good(
    store: Store, came: Outcome, left: tuple[Flaw, ...]
) -> None:
    # Glaze goes on by how dense the bisque is; afterwards only the heat of its own firing matters (common practice).
    slip = pieces.register(store, asked_by(MIRA), a_new_piece(use=Use.FOOD)).ref
    bisque = started(store, "Front box", "bisque", "06")
    firings.put_in(store, asked_by(TOM), bisque, slip, dry=True)
    (ref,) = unload(store, bisque, {slip: Outcome.of(Flaw.SLUMPED, Flaw.UNDERFIRED, Flaw.OVERFIRED)}).refs
    bare = the_piece(store, ref)
    pieces.glaze(store, asked_by(TOM), ref, "Still Water", Zone.INSIDE)
    pieces.queue(store, asked_by(TOM), ref, "mid-range")
    firing = started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)

    unload(store, firing, {ref: came})
    fired_so = the_piece(store, ref).flaws
    correct_result(store, asked_by(TOM), bisque, ref, Outcome.of(Flaw.UNDERFIRED))

    assert (bare.flaws, bare.holds_food) == ((Flaw.SLUMPED, Flaw.UNDERFIRED, Flaw.OVERFIRED), True)
    assert fired_so == left
    assert the_piece(store, ref).flaws == tuple(one for one in left if one is not Flaw.SLUMPED)
