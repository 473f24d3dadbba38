"""Planning a firing: the oldest promises first, what the door would stop left out, and a place for each piece."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from printing.loading.stack_pictures import free_room
from tests.reading import said
from tests.staffed import ADA, MIRA, TOM, asked_by, glazed, off_and_out, queued, started, the_piece
from tests.studio import NOON, a_new_piece
from tracker.domain.cones import Cone
from tracker.domain.findings import NeedsInstructor
from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.loading import planner
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Stage
from tracker.domain.refusals import NotAllowed, NotAStep
from tracker.domain.studio.kilns import Furniture, Room
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings, load_choice
from tracker.usecases.firing import plans as firing_plans
from tracker.usecases.firing.fullness import asks_to_wait
from tracker.usecases.firing.load_choice import load_kiln, to_load
from tracker.usecases.firing.pictures import load_seen, shelf_told
from tracker.usecases.pieces import pieces
from tracker.usecases.rules import questions
from tracker.usecases.studio import catalog
from tracker.wording.reader import ANYONE

SIX = Cone.parse("6")
SHELVES = Furniture(width_mm=400, depth_mm=400, thickness_mm=20, posts_mm=(100, 150, 200), post_radius_mm=20)


def measured(store: Store, kiln: str = "Back box", height: int = 400) -> None:
    """Measure a kiln's chamber and its shelves."""
    known = store.read.catalog().kiln(kiln)
    room = Room(height_mm=height, width_mm=440, depth_mm=440, clearance_mm=10)
    catalog.change(store, asked_by(ADA), replace(known, chamber=room, furniture=SHELVES), confirmed=True)


def planned(store: Store, kiln: str = "Back box", route: str = "mid-range", cone: str = "6") -> int:
    """The number of a firing that was just planned."""
    return int(firing_plans.plan(store, asked_by(TOM), kiln, route, Cone.parse(cone)).extra["firing"])


def firing_of(store: Store, number: int) -> Firing:
    """A firing as it is now."""
    firing = store.read.firings.firing(number)
    assert firing is not None
    return firing


def refs(store: Store, ids: tuple[int, ...]) -> list[str]:
    """The codes of pieces by their numbers, in their order."""
    known = {row.piece.id: row.ref for row in store.read.pieces.by_ids(ids)}
    return [known[one] for one in ids]


def waits(store: Store, hours: int, **facts: object) -> str:
    """The code of a piece that has waited for the mid-range kiln for so many hours."""
    ref = glazed(store, new=a_new_piece(**facts))  # type: ignore[arg-type]  # any fact of a piece
    pieces.queue(store, asked_by(TOM, NOON - timedelta(hours=hours)), ref, "mid-range")
    return ref


def wait_of(store: Store, number: int) -> str | None:
    """The code of the question whether a kiln may wait for more; None where it isn't asked."""
    page = store.read.firings.page(number)
    assert page is not None
    asks = asks_to_wait(page, store.read.catalog().practice)
    return asks.code if asks else None


def test_a_firing_is_planned_from_its_queue_with_the_oldest_promise_first(store: Store) -> None:
    measured(store)
    young, old, middle = waits(store, 1), waits(store, 9), waits(store, 5)
    queued(store, "Plum Gloss", route="low-fire")

    firing = firing_of(store, planned(store))

    # Three cups are far from what the kiln holds, and a kiln is fired full (common practice).
    assert wait_of(store, firing.id) == "kiln-not-full"
    assert firing.stage is FiringStage.PLANNED
    assert refs(store, firing.planned_ids) == [old, middle, young]
    assert firing.piece_ids == ()
    assert the_piece(store, old).planned_in == firing.id
    assert firing.plan is not None
    assert sorted(place.piece_id for level in firing.plan.levels for place in level.places) == sorted(
        firing.planned_ids
    )


def test_what_was_promised_first_goes_in_and_the_rest_is_left_out_with_the_reason(store: Store) -> None:
    measured(store, height=160)
    sizes = {"height_mm": 90, "width_mm": 180, "depth_mm": 180}
    waiting = [waits(store, 20 - one, **sizes) for one in range(6)]

    firing = firing_of(store, planned(store))

    taken = refs(store, firing.planned_ids)
    assert 0 < len(taken) < 6
    assert taken == waiting[: len(taken)]
    assert firing.plan is not None
    assert {why.code for _, why in firing.plan.left_out} == {"no-room"}
    assert wait_of(store, firing.id) is None
    assert {the_piece(store, ref).planned_in for ref in waiting[len(taken) :]} == {None}


def test_what_is_higher_than_every_post_stands_on_top_in_the_plan_and_in_its_picture(store: Store) -> None:
    measured(store, height=600)
    tall = waits(store, 5, height_mm=300, width_mm=200, depth_mm=200)
    low = waits(store, 4, height_mm=60, width_mm=260, depth_mm=260)
    number = planned(store)

    page = store.read.firings.page(number)
    assert page is not None
    load = load_seen(page, store.read.catalog().practice, ANYONE)

    assert load is not None
    assert [[piece.label for piece in level.pieces] for level in load.levels] == [[low], [tall]]
    assert (load.levels[-1].post_mm, load.levels[-1].posts) == (0, ())
    assert free_room(load) == 600 - 20 - 100 - 20 - 300


def test_a_piece_is_planned_for_one_firing_only(store: Store) -> None:
    measured(store)
    catalog.add(store, asked_by(ADA), replace(store.read.catalog().kiln("Back box"), name="Second box"))
    ref = waits(store, 2)
    first = planned(store)

    second = firing_of(store, planned(store, "Second box"))

    assert second.planned_ids == ()
    assert the_piece(store, ref).planned_in == first


def test_what_the_door_would_stop_is_not_planned_and_says_why(store: Store) -> None:
    measured(store)
    ref = waits(store, 2)

    firing = firing_of(store, planned(store, "Back box", "mid-range", "8"))

    assert firing.planned_ids == ()
    assert firing.plan is not None
    ((number, why),) = firing.plan.left_out
    assert number == the_piece(store, ref).id
    assert "Still Water" in said(why)


def test_what_the_instructor_allowed_is_planned(store: Store) -> None:
    ref = glazed(store, "Iron Gate")
    with pytest.raises(NeedsInstructor):
        pieces.queue(store, asked_by(TOM), ref, "mid-range")
    asked = questions.ask(store, asked_by(TOM), ref, "Dry and matt, may it?", route="mid-range").extra["question"]
    questions.answer(store, asked_by(ADA), int(asked), "Yes.", allows=True)
    pieces.queue(store, asked_by(TOM), ref, "mid-range")

    firing = firing_of(store, planned(store))

    assert refs(store, firing.planned_ids) == [ref]


def test_a_kiln_whose_shelves_nobody_measured_is_planned_without_places(store: Store) -> None:
    ref = waits(store, 2)

    firing = firing_of(store, planned(store))

    assert refs(store, firing.planned_ids) == [ref]
    assert firing.plan is not None
    assert firing.plan.levels == ()


def test_a_bisque_is_planned_from_the_greenware(store: Store) -> None:
    measured(store, "Front box")
    slip = pieces.register(store, asked_by(MIRA), a_new_piece()).ref

    firing = firing_of(store, planned(store, "Front box", "bisque", "06"))

    assert [f"W{one}" for one in firing.planned_ids] == [slip]


def bowl(store: Store, across: int, **facts: object) -> str:
    """The number of a greenware bowl that nests."""
    sizes = {"height_mm": 80, "width_mm": across, "depth_mm": across, "wall_mm": 8, "weight_g": 4 * across}
    new = a_new_piece(**{"what": "bowl", "nests": True, **sizes, **facts})  # type: ignore[arg-type]  # any fact of a piece
    return pieces.register(store, asked_by(MIRA), new).ref


def test_bowls_nest_in_a_planned_bisque_and_each_scan_says_in_what(store: Store) -> None:
    measured(store, "Front box")
    small, large, middle = bowl(store, 240), bowl(store, 320), bowl(store, 280)
    number = planned(store, "Front box", "bisque", "06")
    firings.load(store, asked_by(TOM), number)

    told = [firings.put_in(store, asked_by(TOM), number, ref, dry=True) for ref in (large, middle, small)]

    assert [said(one.message).partition("in the kiln. ")[2] for one in told] == [
        "Shelf 1 from the bottom.",
        f"Shelf 1 from the bottom, in {large}.",
        f"Shelf 1 from the bottom, in {middle}.",
    ]
    page = store.read.firings.page(number)
    assert page is not None
    load = load_seen(page, store.read.catalog().practice, ANYONE)
    assert load is not None
    # Each is 40 mm narrower, 20 to a side, than the one that it is in, and 8 mm of wall and 3 mm between need 11. So it
    # stands on the floor, 8 + 7 mm up, and the third 30 mm up: 30 + 80 + 5 = 115 mm go under 150.
    assert [(one.label, one.over_mm, one.resting) for one in load.levels[0].pieces] == [
        (large, 0, ""),
        (middle, 15, f"in {large}"),
        (small, 30, f"in {middle}"),
    ]
    assert shelf_told(load, 1, ANYONE).endswith(f"{middle} in {large} (in), and {small} in {middle} (in).")
    assert free_room(load) == 400 - 20 - 110


@pytest.mark.parametrize(
    "facts",
    [
        pytest.param({"nests": False}, id="not said to nest"),
        pytest.param({"fragile": True}, id="fragile"),
        pytest.param({"mended": True}, id="mended"),
        pytest.param({"weight_g": 3_000}, id="heavy"),
    ],
)
def test_what_is_not_a_sound_light_bowl_stands_alone_in_a_bisque(store: Store, facts: dict[str, object]) -> None:
    measured(store, "Front box")
    bowl(store, 320)
    bowl(store, 280, **facts)

    plan = firing_of(store, planned(store, "Front box", "bisque", "06")).plan

    assert plan is not None
    assert {place.below for level in plan.levels for place in level.places} == {None}


def test_without_the_bowl_below_the_others_come_down_in_the_plan(store: Store) -> None:
    measured(store, "Front box")
    bowls = [bowl(store, across) for across in (320, 280, 240)]
    number = planned(store, "Front box", "bisque", "06")

    firing_plans.leave_out(store, asked_by(TOM), number, bowls[1])

    plan = firing_of(store, number).plan
    assert plan is not None
    assert [(place.piece_id, place.below, place.over_mm) for place in plan.levels[0].places] == [
        (the_piece(store, bowls[0]).id, None, 0),
        (the_piece(store, bowls[2]).id, the_piece(store, bowls[0]).id, 15),
    ]


def test_a_piece_on_a_kiln_cookie_takes_the_room_of_its_cookie(store: Store) -> None:
    # 85 + 10 mm of gap go under 100 mm posts. With a cookie of 10 mm it is 105 mm: 150. It is 120 + 2 x 10 mm wide.
    measured(store)
    bare = waits(store, 2, height_mm=85, width_mm=120, depth_mm=120)
    dripping = waits(store, 1, height_mm=85, width_mm=120, depth_mm=120)
    practice = store.read.catalog().practice

    sizes = [
        to_load(replace(the_piece(store, ref), catch_plate=ref == dripping), 0, practice, is_raw=True)
        for ref in (bare, dripping)
    ]

    assert [(one.footprint.width_mm, one.footprint.depth_mm, one.height_mm) for one in sizes] == [
        (120, 120, 85),
        (140, 140, 95),
    ]
    kiln = load_kiln(firing_of(store, planned(store)), practice)
    assert kiln is not None
    assert [kiln.post_for(one.height_mm) for one in sizes] == [100, 150]


def test_a_planned_piece_that_goes_in_says_its_shelf_and_leaves_the_list(store: Store) -> None:
    measured(store)
    ref = waits(store, 2)
    number = planned(store)
    unplanned = waits(store, 1)
    firings.load(store, asked_by(TOM), number)

    told = firings.put_in(store, asked_by(TOM), number, ref)
    other = firings.put_in(store, asked_by(TOM), number, unplanned)

    assert said(told.message).endswith("in the kiln. Shelf 1 from the bottom.")
    assert said(other.message).endswith("It's not in the load plan: choose a spot for it.")
    assert firing_of(store, number).planned_ids == ()
    assert the_piece(store, ref).planned_in is None


def test_what_comes_out_is_listed_from_the_top_shelf_down(store: Store) -> None:
    measured(store, "Front box")
    for _ in range(5):
        pieces.register(store, asked_by(MIRA), a_new_piece(height_mm=90, width_mm=180, depth_mm=180))
    number = planned(store, "Front box", "bisque", "06")
    firings.load(store, asked_by(TOM), number)
    plan = firing_of(store, number).plan
    for one in firing_of(store, number).planned_ids:
        firings.put_in(store, asked_by(TOM), number, f"W{one}", dry=True)
    firings.light(store, asked_by(TOM), number)
    inside = firing_of(store, number).piece_ids
    off_and_out(store, asked_by(TOM), number, {f"W{one}": Outcome.GOOD for one in inside})

    page = store.read.firings.page(number)

    assert page is not None
    assert plan is not None
    levels = [plan.level_of(row.piece.id) for row in page.in_shelf_order]
    assert len(set(levels)) > 1
    assert levels == sorted(levels, key=lambda level: -(level or 0))


def test_a_piece_that_leaves_its_queue_leaves_the_plan(store: Store) -> None:
    measured(store)
    ref = waits(store, 2)
    number = planned(store)

    pieces.pull_back(store, asked_by(TOM), ref)

    assert firing_of(store, number).planned_ids == ()
    assert the_piece(store, ref).stage is Stage.GLAZED


def test_a_piece_is_left_out_by_hand_and_comes_back_when_the_load_is_planned_anew(store: Store) -> None:
    measured(store)
    ref, other = waits(store, 2), waits(store, 1)
    number = planned(store)

    firing_plans.leave_out(store, asked_by(TOM), number, ref)
    without = firing_of(store, number)
    firing_plans.plan_anew(store, asked_by(TOM), number)

    assert refs(store, without.planned_ids) == [other]
    assert without.plan is not None
    assert without.plan.level_of(the_piece(store, ref).id) is None
    assert refs(store, firing_of(store, number).planned_ids) == [ref, other]
    with pytest.raises(NotAStep, match="not-planned-here"):
        firing_plans.leave_out(store, asked_by(TOM), number, queued(store, "Plum Gloss", route="low-fire"))


def test_a_load_is_planned_anew_round_what_stands_in_the_kiln(store: Store) -> None:
    measured(store)
    inside = waits(store, 2)
    number = planned(store)
    firings.load(store, asked_by(TOM), number)
    firings.put_in(store, asked_by(TOM), number, inside)
    late = waits(store, 1)

    firing_plans.plan_anew(store, asked_by(TOM), number)

    firing = firing_of(store, number)
    assert firing.plan is not None
    assert firing.plan.level_of(the_piece(store, inside).id) == 1
    assert refs(store, firing.planned_ids) == [late]


def test_others_write_while_a_load_is_thought_out_and_what_they_change_is_thought_out_again(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    measured(store)
    leaving, staying = waits(store, 2), waits(store, 1)
    think = planner.plan_firing

    def somebody_takes_one_out_meanwhile(*given: Any, **named: Any) -> Any:  # noqa: ANN401 -- whatever it is handed
        if the_piece(store, leaving).stage is Stage.QUEUED:
            pieces.pull_back(store, asked_by(TOM), leaving)
        return think(*given, **named)

    monkeypatch.setattr(load_choice, "plan_firing", somebody_takes_one_out_meanwhile)
    firing = firing_of(store, planned(store))

    assert refs(store, firing.planned_ids) == [staying]
    assert firing.plan is not None
    assert firing.plan.level_of(the_piece(store, leaving).id) is None
    assert len(store.read.firings.listed(limit=9)) == 1


def test_what_was_planned_and_never_scanned_in_is_free_again_once_the_kiln_is_lit(store: Store) -> None:
    measured(store)
    inside, left = waits(store, 2), waits(store, 1)
    number = planned(store)
    firings.load(store, asked_by(TOM), number)
    firings.put_in(store, asked_by(TOM), number, inside)
    again = asked_by(TOM)
    receipt = firing_plans.plan_anew(store, again, number)

    firings.light(store, asked_by(TOM), number)

    assert the_piece(store, left).planned_in is None
    # A form that is sent again is answered as before, whatever became of the firing.
    assert firing_plans.plan_anew(store, again, number) == receipt
    with pytest.raises(NotAStep, match="load-is-fixed"):
        firing_plans.plan_anew(store, asked_by(TOM), number)


def test_a_kiln_is_planned_ahead_while_another_firing_cools_in_it(store: Store) -> None:
    number = started(store)
    firings.put_in(store, asked_by(TOM), number, queued(store))
    firings.light(store, asked_by(TOM), number)

    ahead = planned(store)

    with pytest.raises(NotAStep, match="kiln-is-taken"):
        firings.load(store, asked_by(TOM), ahead)


def test_calling_a_plan_off_frees_its_pieces(store: Store) -> None:
    ref = waits(store, 2)
    number = planned(store)

    firings.call_off(store, asked_by(TOM), number)

    assert the_piece(store, ref).planned_in is None


@pytest.mark.parametrize(
    "step",
    [
        pytest.param(lambda s: firing_plans.plan(s, asked_by(MIRA), "Back box", "mid-range", SIX), id="plan"),
        pytest.param(lambda s: firing_plans.plan_anew(s, asked_by(MIRA), 1), id="anew"),
        pytest.param(lambda s: firing_plans.leave_out(s, asked_by(MIRA), 1, "W1"), id="leave out"),
        pytest.param(lambda s: firings.load(s, asked_by(MIRA), 1), id="load"),
    ],
)
def test_a_student_plans_no_firing(store: Store, step: Callable[[Store], object]) -> None:
    with pytest.raises(NotAllowed):
        step(store)
