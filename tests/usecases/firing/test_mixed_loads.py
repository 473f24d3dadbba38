"""Mixed loads: a firing takes pieces of other firing types where its kiln, its cone and their own rules allow it.

That a bisque is fired together with low-fire ware is common practice.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.reading import said, tells
from tests.staffed import ADA, MIRA, TOM, asked_by, queued, started, the_piece, unload
from tests.studio import NOON, a_new_piece
from tracker.domain.cones import Cone
from tracker.domain.findings import NeedsInstructor, Unfit
from tracker.domain.firing.outlooks import Next
from tracker.domain.message import Message
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.refusals import NotAStep
from tracker.domain.rules.untold import NotTold
from tracker.domain.studio.kilns import Furniture, Room
from tracker.store import backup as keeping
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.firing import plans as firing_plans
from tracker.usecases.firing.load_choice import may_join_it
from tracker.usecases.firing.pictures import raw_beside_others
from tracker.usecases.firing.stories import story_of
from tracker.usecases.pieces import pieces
from tracker.usecases.pieces.lookup import find_row
from tracker.usecases.pieces.outlooks import outlook_of
from tracker.usecases.pieces.ways_out import possible_now
from tracker.usecases.rules import questions
from tracker.usecases.studio import catalog


def greenware(store: Store, **facts: Any) -> str:  # noqa: ANN401 -- any fact of a piece
    """The ticket number of a new pot."""
    return pieces.register(store, asked_by(MIRA), a_new_piece(**facts)).ref


def low_fire(store: Store, glaze: str = "Plum Gloss") -> str:
    """The code of a piece that waits for low-fire."""
    return queued(store, glaze, route="low-fire", new=a_new_piece(clay="Roof Tile Red"))


def serving(store: Store, kiln: str, *routes: str) -> None:
    """Let a kiln fire these ways too."""
    known = store.read.catalog().kiln(kiln)
    wider = replace(known, routes=known.routes | set(routes))
    catalog.change(store, asked_by(ADA), wider, confirmed=True)


@pytest.mark.parametrize(("route", "cone"), [("low-fire", "04"), ("bisque", "06")])
def test_greenware_and_low_fire_ware_share_a_kiln_and_each_takes_its_own_step(
    store: Store, database_url: str, route: str, cone: str
) -> None:
    slip, broken, ref = greenware(store), greenware(store), low_fire(store)
    firing = started(store, "Front box", route, cone)
    answers = {one: firings.put_in(store, asked_by(TOM), firing, one, dry=True).message for one in (slip, broken, ref)}

    # Pieces may touch in a bisque, but not a glazed one: common practice.
    told = {one for one, message in answers.items() if tells([message], "glazed-in-bisque")}
    assert told == ({ref} if route == "bisque" else set())
    receipt = unload(store, firing, {slip: Outcome.GOOD, broken: Outcome.BROKE, ref: Outcome.GOOD})

    raw, waited = the_piece(store, slip), the_piece(store, ref)
    assert (raw.stage, raw.fired_to, raw.code is not None) == (Stage.BISQUED, Cone.parse(cone), True)
    assert (waited.stage, waited.fired_to) == (Stage.FIRED, Cone.parse(cone))
    assert the_piece(store, broken).stage is Stage.LOST
    assert set(receipt.refs) == {raw.ref, ref}
    lines = [store.read.pieces.page(one.id).history[-1] for one in (raw, waited)]
    assert [(line.step, line.route, line.kiln) for line in lines] == [
        (StepName.BISQUE, "bisque", "Front box"),
        (StepName.FIRE, "low-fire", "Front box"),
    ]
    assert [(line.firing_route, line.firing_target) for line in lines] == [(route, Cone.parse(cone))] * 2
    page = store.read.firings.page(firing)
    assert page is not None
    assert page.raw_ids == {raw.id, the_piece(store, broken).id}
    assert keeping.check(database_url) == ()


def test_a_glaze_firing_is_heated_for_greenware_as_soon_as_some_is_in_and_no_longer_once_it_is_out(
    store: Store,
) -> None:
    slip, firing = greenware(store), started(store, "Front box", "low-fire", "04")

    def begins() -> tuple[str, bool]:
        page = store.read.firings.page(firing)
        assert page is not None
        story = story_of(store.read, page.firing, page.witnesses, second=None)
        assert story.schedule is not None
        first = story.schedule.segments[0].note
        slowly = raw_beside_others(page, store.read.catalog().practice.fires) is not None
        return first.code if isinstance(first, Message) else first, slowly

    assert begins() == ("glaze-dries", False)
    firings.put_in(store, asked_by(TOM), firing, slip, dry=True)
    assert begins() == ("candling", True)
    firings.take_out(store, asked_by(TOM), firing, slip)
    assert begins() == ("glaze-dries", False)


def test_each_piece_is_judged_by_its_own_firing_at_the_cone_of_this_one(store: Store) -> None:
    warm, hot = started(store, "Front box", "bisque", "06"), "02"
    thin, wet, sealed = low_fire(store, "Paper Lamp"), greenware(store), greenware(store, vented=False)

    with pytest.raises(NeedsInstructor, match="glaze-underfired"):
        firings.put_in(store, asked_by(TOM), warm, thin)
    firings.call_off(store, asked_by(TOM), warm)
    bisque = started(store, "Front box", "bisque", hot)
    with pytest.raises(Unfit, match="glaze-melts-off"):
        firings.put_in(store, asked_by(TOM), bisque, thin)
    firings.call_off(store, asked_by(TOM), bisque)
    glaze = started(store, "Front box", "low-fire", "04")
    with pytest.raises(NotTold, match="dry-untold"):
        firings.put_in(store, asked_by(TOM), glaze, wet, dry=False)
    with pytest.raises(Unfit, match="sealed"):
        firings.put_in(store, asked_by(TOM), glaze, sealed, dry=True)


def test_leave_asked_for_at_a_mixed_kiln_counts_there(store: Store) -> None:
    firing, ref = started(store, "Front box", "bisque", "06"), low_fire(store, "Paper Lamp")

    asked = questions.ask_at_the_door(store, asked_by(TOM), firing, ref).extra["question"]
    questions.answer(store, asked_by(ADA), int(asked), "A matt test.", allows=True)
    firings.put_in(store, asked_by(TOM), firing, ref)
    firings.light(store, asked_by(TOM), firing)

    assert the_piece(store, ref).in_firing == firing


def test_a_kiln_takes_only_what_it_fires_and_greenware_no_hotter_than_a_bisque(store: Store) -> None:
    slip, ref = greenware(store), low_fire(store)
    firing = started(store, "Back box", "mid-range", "6")

    with pytest.raises(NotAStep, match="not-waiting"):
        firings.put_in(store, asked_by(TOM), firing, slip, dry=True)
    with pytest.raises(NotAStep, match="wrong-queue"):
        firings.put_in(store, asked_by(TOM), firing, ref)
    serving(store, "Back box", "bisque", "low-fire")
    with pytest.raises(NotAStep, match="not-waiting"):
        firings.put_in(store, asked_by(TOM), firing, slip, dry=True)
    with pytest.raises(Unfit, match="glaze-melts-off"):
        firings.put_in(store, asked_by(TOM), firing, ref)


def test_what_waits_for_the_outdoor_kiln_joins_no_other(store: Store) -> None:
    ref = queued(store, "Ember Luster", route="raku", new=a_new_piece(clay="Gravel Walk"))

    with pytest.raises(NotAStep, match="wrong-queue"):
        firings.put_in(store, asked_by(TOM), started(store, "Front box", "bisque", "06"), ref)


def test_a_kiln_that_no_longer_fires_a_type_names_its_pieces_to_take_out(store: Store) -> None:
    slip, ref = greenware(store), low_fire(store)
    firing = started(store, "Front box", "low-fire", "04")
    for one in (slip, ref):
        firings.put_in(store, asked_by(TOM), firing, one, dry=True)
    serving(store, "Back box", "bisque")
    kiln = store.read.catalog().kiln("Front box")

    receipt = catalog.change(store, asked_by(ADA), replace(kiln, routes=frozenset({"low-fire"})), confirmed=True)

    assert said(receipt.message).endswith(f"Take {slip} out of Front box now.")
    assert the_piece(store, ref).in_firing == firing


@pytest.mark.parametrize(("cones", "joins"), [(("06", "04"), True), (("04", "02"), False), (("05", "03"), False)])
def test_only_ware_whose_clay_matures_there_is_offered_from_another_queue_and_a_scan_says_so_of_other_ware(
    store: Store, cones: tuple[str, str], *, joins: bool
) -> None:
    """Common practice: earthenware of cone 04 that is fired to 06 stays soft and weak."""
    low, high = map(Cone.parse, cones)
    clay = replace(store.read.catalog().clay("Roof Tile Red"), cone_low=low, cone_high=high)
    catalog.change(store, asked_by(ADA), clay, confirmed=True)
    ref = low_fire(store)
    firing = store.read.firings.firing(started(store, "Front box", "bisque", "06"))

    assert firing is not None
    assert [row.ref for row, _route in may_join_it(store.read, firing, NOON)] == ([ref] if joins else [])
    receipt = firings.put_in(store, asked_by(TOM), firing.id, ref)
    assert tells([receipt.message], "stays-soft-here", clay="Roof Tile Red", low=low) is not joins

    unload(store, firing.id, {ref: Outcome.GOOD})

    after = outlook_of(store.read, find_row(store.read, ref, TOM), NOON)
    assert after.next is (Next.PICK_UP if joins else Next.SOFT)
    assert joins or after.firing == store.read.catalog().route("low-fire").title
    asks = tells([possible_now(store.read, the_piece(store, ref), NOON)], "ask-to-fire-again")
    assert asks is not joins


def test_a_plan_fills_up_from_other_firings_only_when_asked_and_puts_them_last(store: Store) -> None:
    shelves = Furniture(width_mm=400, depth_mm=400, thickness_mm=20, posts_mm=(150,), post_radius_mm=20)
    room = Room(height_mm=400, width_mm=440, depth_mm=440, clearance_mm=10)
    kiln = store.read.catalog().kiln("Front box")
    measured = replace(kiln, chamber=room, furniture=shelves)
    catalog.change(store, asked_by(ADA), measured, confirmed=True)
    slip, ref, too_wide = greenware(store), low_fire(store), greenware(store, width_mm=600)
    firing = int(firing_plans.plan(store, asked_by(TOM), "Front box", "low-fire", Cone.parse("04")).extra["firing"])
    alone = store.read.firings.firing(firing)

    firing_plans.plan_anew(store, asked_by(TOM), firing, mixed=True)

    mixed = store.read.firings.firing(firing)
    assert alone is not None
    assert mixed is not None
    numbers = {one: the_piece(store, one).id for one in (slip, ref, too_wide)}
    assert alone.planned_ids == (numbers[ref],)
    assert mixed.planned_ids == (numbers[ref], numbers[slip])
    assert mixed.plan is not None
    assert mixed.plan.level_of(numbers[slip]) is not None
