"""Sets: a lid or a loose part is a piece of its own, tied to the pot that it fires together with."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from tests.reading import said
from tests.staffed import ADA, INES, MIRA, TOM, asked_by, bisqued, glazed, started, the_piece
from tests.studio import NOON, a_new_piece
from tests.usecases.firing.test_plans import firing_of, measured, planned, refs
from tracker.domain.message import Message
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.piece import StepName
from tracker.domain.refusals import NotAStep, Refusal, Unknown, Unusable
from tracker.domain.studio.people import Person
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.firing import plans as firing_plans
from tracker.usecases.pieces import editing, pieces
from tracker.usecases.rules import questions


def registered(store: Store, what: str, *, by: Person = MIRA, **facts: Any) -> str:  # noqa: ANN401 -- any fact of a piece
    """The slip number of new greenware."""
    return pieces.register(store, asked_by(by), a_new_piece(what, **facts)).ref


def waits(store: Store, what: str, hours: int, *, set_name: str = "", **facts: Any) -> str:  # noqa: ANN401 -- any fact of a piece
    """The code of a piece that has waited for the mid-range kiln for so many hours."""
    ref = glazed(store, new=a_new_piece(what, set_name=set_name, **facts))
    pieces.queue(store, asked_by(TOM, NOON - timedelta(hours=hours)), ref, "mid-range")
    return ref


def test_a_lid_is_tied_to_its_pot_and_the_history_of_the_pot_says_so(store: Store) -> None:
    pot = registered(store, "teapot")

    lid = registered(store, "lid", belongs_with=pot)

    page = store.read.pieces.page(the_piece(store, pot).id)
    assert the_piece(store, lid).set_key == page.piece.set_key == (MIRA.id, "teapot")
    assert [mate.ref for mate in page.mates] == [lid]
    assert (page.history[-1].step, page.history[-1].facts) == (
        StepName.SET_RIGHT,
        {"changes": (("set_name", None, "teapot"),)},
    )


def test_a_set_of_that_name_is_joined_however_it_is_spelled(store: Store) -> None:
    pot, lid = registered(store, "pot", set_name="Tea"), registered(store, "lid", set_name="tea")

    assert the_piece(store, lid).set_key == the_piece(store, pot).set_key == (MIRA.id, "Tea")


def test_a_second_pot_of_the_same_name_begins_a_set_of_its_own(store: Store) -> None:
    first, second = registered(store, "jar"), registered(store, "jar")
    registered(store, "lid", belongs_with=first)

    lid = registered(store, "lid", belongs_with=second)

    assert the_piece(store, lid).set_name == f"jar {second}"
    assert len(store.read.pieces.mates(the_piece(store, first))) == 1


def test_two_makers_sets_of_one_name_are_two_sets(store: Store) -> None:
    mine, theirs = registered(store, "pot", set_name="tea"), registered(store, "pot", by=INES, set_name="tea")

    assert store.read.pieces.mates(the_piece(store, mine)) == ()
    assert the_piece(store, mine).set_key != the_piece(store, theirs).set_key


@pytest.mark.parametrize(
    ("by", "told", "refusal", "says"),
    [
        pytest.param(TOM, {"belongs_with": "W1"}, Unusable, "of-another-maker", id="another maker's pot"),
        pytest.param(INES, {"belongs_with": "W1"}, Unknown, "none-of-yours", id="a student at another's pot"),
        pytest.param(
            MIRA,
            {"belongs_with": "W1", "set_name": "soup"},
            Unusable,
            "of-another-set.*wanted=soup",
            id="another set's name",
        ),
        pytest.param(MIRA, {"belongs_with": "W2"}, NotAStep, "not-a-step-now.*stage=lost", id="what is lost"),
    ],
)
def test_what_is_no_set_is_refused(
    store: Store, by: Person, told: dict[str, str], refusal: type[Refusal], says: str
) -> None:
    registered(store, "pot", set_name="tea")
    pieces.lose(store, asked_by(TOM), registered(store, "saucer"), "broken")

    with pytest.raises(refusal, match=says):
        registered(store, "lid", by=by, **told)


def test_a_piece_joins_a_set_and_leaves_it_again_and_its_history_keeps_both(store: Store) -> None:
    pot, lid = registered(store, "pot", set_name="tea"), bisqued(store, a_new_piece("lid"))

    joined = editing.set_right(store, asked_by(MIRA), lid, Told(), belongs_with=pot)
    left = editing.set_right(store, asked_by(MIRA), lid, Told(set_name=""))

    assert said(joined.message) == f"{lid}, lid: details saved, set from none to “tea”."
    assert said(left.message) == f"{lid}, lid: details saved, set from “tea” to none."
    assert the_piece(store, lid).set_name is None


def test_a_piece_of_a_set_takes_another_into_it(store: Store) -> None:
    pot, lid = registered(store, "pot", set_name="tea"), registered(store, "lid")

    editing.set_right(store, asked_by(MIRA), pot, Told(set_name="tea"), belongs_with=lid)

    assert the_piece(store, lid).set_name == "tea"
    with pytest.raises(Unusable, match="the-piece-itself"):
        editing.set_right(store, asked_by(MIRA), pot, Told(), belongs_with=pot)


def test_a_piece_that_takes_another_into_its_set_keeps_what_else_is_told_of_it(store: Store) -> None:
    pot, lid = registered(store, "pot"), registered(store, "lid")

    done = editing.set_right(store, asked_by(MIRA), pot, Told(weight_g=900), belongs_with=lid)

    assert the_piece(store, pot).weight_g == 900
    assert the_piece(store, pot).set_key == the_piece(store, lid).set_key
    assert lid in said(done.message)


def test_a_set_is_planned_whole_or_not_at_all(store: Store) -> None:
    measured(store, height=160)
    wide: dict[str, Any] = {"height_mm": 90, "width_mm": 180, "depth_mm": 180}
    single, pot, lid = (
        waits(store, "bowl", 9, **wide),
        waits(store, "pot", 8, set_name="tea", **wide),
        waits(store, "lid", 7, set_name="tea", width_mm=250, depth_mm=250, height_mm=90),
    )
    later = waits(store, "cup", 6, height_mm=90)

    firing = firing_of(store, planned(store))

    assert refs(store, firing.planned_ids) == [single, later]
    assert firing.plan is not None
    left_out = {store.read.pieces.by_ids([number])[0].ref: why for number, why in firing.plan.left_out}
    assert set(left_out) == {pot, lid}
    assert all(why.code in {"no-room-for-set", "set-too-large", "mate-left-out"} for why in left_out.values())


def test_a_set_of_which_the_door_would_stop_one_piece_is_left_out_and_says_which(store: Store) -> None:
    measured(store)
    pot, lid = waits(store, "pot", 8, set_name="tea"), waits(store, "lid", 7, set_name="tea")
    questions.ask(store, asked_by(MIRA), lid, "Is its knob too thin?")

    firing = firing_of(store, planned(store))

    assert firing.planned_ids == ()
    assert firing.plan is not None
    whys = {store.read.pieces.by_ids([number])[0].ref: why for number, why in firing.plan.left_out}
    assert whys[pot] == Message("mate-stopped", "", mate=lid, why=whys[lid])


def test_the_mates_of_what_stands_in_the_kiln_are_planned_next_and_move_it_no_more(store: Store) -> None:
    measured(store, height=160)
    wide: dict[str, Any] = {"height_mm": 90, "width_mm": 180, "depth_mm": 180}
    pot = waits(store, "pot", 1, set_name="tea", **wide)
    number = started(store)
    firings.put_in(store, asked_by(TOM), number, pot)
    bowls = [waits(store, "bowl", 9 - one, **wide) for one in range(4)]
    lid = waits(store, "lid", 1, set_name="tea", **wide)

    firing_plans.plan_anew(store, asked_by(TOM), number)

    firing = firing_of(store, number)
    assert refs(store, firing.planned_ids)[0] == lid
    assert not set(bowls) <= set(refs(store, firing.planned_ids))
    assert firing.plan is not None
    assert firing.plan.level_of(the_piece(store, pot).id) == 1


def test_the_door_says_go_and_which_pieces_of_the_set_are_not_in_yet(store: Store) -> None:
    pot, lid, other = (waits(store, what, 3, set_name="tea") for what in ("pot", "lid", "strainer"))
    number = started(store)

    first = firings.put_in(store, asked_by(TOM), number, pot)
    second = firings.put_in(store, asked_by(TOM), number, lid)
    third = firings.put_in(store, asked_by(TOM), number, other)

    assert said(first.message) == f"{pot}, pot: in the kiln. Its lid {lid} and strainer {other} aren't in yet."
    assert said(second.message) == f"{lid}, lid: in the kiln. Its strainer {other} isn't in yet."
    assert said(third.message) == f"{other}, strainer: in the kiln."


def test_the_door_is_silent_about_mates_that_are_planned_and_names_one_that_nobody_queued(store: Store) -> None:
    measured(store)
    pot, lid = waits(store, "pot", 3, set_name="tea"), waits(store, "lid", 2, set_name="tea")
    other = glazed(store, new=a_new_piece("strainer", set_name="tea"))
    number = planned(store)
    firings.load(store, asked_by(TOM), number)

    assert (
        said(firings.put_in(store, asked_by(TOM), number, pot).message)
        == f"{pot}, pot: in the kiln. Shelf 1 from the bottom. Its strainer {other} isn't in yet."
    )
    assert the_piece(store, lid).planned_in == number


def test_greenware_of_one_set_is_looked_for_at_the_door_of_the_bisque(store: Store) -> None:
    pot = registered(store, "teapot", wall_mm=8, vented=True)
    lid = registered(store, "lid", belongs_with=pot, wall_mm=8, vented=True)
    number = started(store, "Front box", "bisque", "06")

    says = said(firings.put_in(store, asked_by(ADA), number, pot, dry=True).message)

    assert says == f"{pot}, teapot: in the kiln. Its lid {lid} isn't in yet."
