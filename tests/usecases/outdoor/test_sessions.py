"""Outdoor sessions: planned from what waits, arranged by hand, told by taps, ended with every piece accounted for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from uuid import UUID

import pytest

from tests.reading import said
from tests.staffed import ADA, INES, TOM, asked_by, bisqued, glazed, off_and_out, queued, started, the_piece
from tests.studio import NOON, a_new_piece
from tests.yard import (
    CREW,
    DRUM,
    fire_round,
    later,
    planned_session,
    refs_in,
    session_facts,
    tap,
    the_session,
)
from tracker.domain.findings import NeedsInstructor, Unfit
from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Message
from tracker.domain.outdoor.evaporation import Tanks
from tracker.domain.outdoor.event_log import Did
from tracker.domain.outdoor.fuel import Enough
from tracker.domain.outdoor.results import Air, Mark, Smoke
from tracker.domain.outdoor.sessions import SessionStage
from tracker.domain.outdoor.setting_up import Container, Crew
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Build, Stage, Use
from tracker.domain.refusals import NotAllowed, NotAStep, Refusal, Unknown, Unusable
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.firing import plans as firing_plans
from tracker.usecases.outdoor import running as outdoor_running
from tracker.usecases.outdoor import sessions as outdoor
from tracker.usecases.outdoor.estimates import fuel_of
from tracker.usecases.outdoor.stories import seen
from tracker.usecases.pieces import pieces
from tracker.usecases.rules import questions
from tracker.usecases.studio import catalog

RAKU = "Ember Luster"


def for_raku(store: Store, many: int = 1) -> list[str]:
    """The codes of so many new pieces that wait for raku."""
    return [queued(store, RAKU, route="raku") for _ in range(many)]


def test_a_session_is_planned_from_what_waits_with_a_container_for_each(store: Store) -> None:
    waiting = for_raku(store, 3)

    session = the_session(store, planned_session(store))

    assert [firing.stage for firing in session.rounds] == [FiringStage.PLANNED] * 2
    planned = [row.ref for row in store.read.pieces.by_ids(session.piece_ids)]
    assert sorted(planned) == sorted(waiting)
    for firing in session.rounds:
        assert firing.plan is not None
        containers = [place.container for level in firing.plan.levels for place in level.places]
        assert len(set(containers)) == len(containers)
        assert set(containers) <= {"A1", "A2"}


def test_horsehair_goes_in_a_round_of_its_own(store: Store) -> None:
    for_raku(store)
    bare = bisqued(store, a_new_piece(burnished=True))
    pieces.queue(store, asked_by(TOM), bare, "horsehair")

    session = the_session(store, planned_session(store))

    assert sorted(firing.route.name for firing in session.rounds) == ["horsehair", "raku"]


def test_what_would_end_in_the_dark_is_left_for_another_day(store: Store) -> None:
    for_raku(store, 3)

    session = the_session(store, planned_session(store, dark_at=NOON + timedelta(minutes=50)))

    assert len(session.rounds) == 1
    assert [why.code for _, why in session.left_out] == ["too-dark"]


def test_what_somebody_chooses_is_planned_even_into_the_dark(store: Store) -> None:
    waiting = for_raku(store, 3)
    number = planned_session(store, dark_at=NOON + timedelta(minutes=50))

    outdoor.choose(store, asked_by(TOM), number, waiting)

    session = the_session(store, number)
    assert len(session.piece_ids) == 3
    times = [one.time.before_dark for one in seen(store.read, session, NOON).rounds]
    assert times == [True, False]


def test_a_choice_leaves_the_others_in_their_queue(store: Store) -> None:
    first, second = for_raku(store, 2)
    number = planned_session(store)

    outdoor.choose(store, asked_by(TOM), number, [second])

    assert refs_in(store, number) == [second]
    assert the_piece(store, first).planned_in is None
    assert the_piece(store, first).route == "raku"


def test_choosing_nothing_leaves_no_round(store: Store) -> None:
    for_raku(store)
    number = planned_session(store)

    outdoor.choose(store, asked_by(TOM), number, [])

    assert the_session(store, number).rounds == ()


def test_no_indoor_piece_can_be_added_to_a_session(store: Store) -> None:
    for_raku(store)
    indoors = queued(store)
    number = planned_session(store)

    with pytest.raises(NotAStep, match="waits-for-another"):
        outdoor.arrange(store, asked_by(TOM), number, indoors, 1)

    outdoor.choose(store, asked_by(TOM), number, [indoors])
    assert the_session(store, number).piece_ids == ()


def test_a_piece_for_food_cannot_be_in_a_session(store: Store) -> None:
    for_raku(store)
    cup = glazed(store, new=a_new_piece(use=Use.FOOD))
    number = planned_session(store)

    with pytest.raises(Unfit, match="food"):
        pieces.queue(store, asked_by(TOM), cup, "raku")
    with pytest.raises(NotAStep, match="waits-for-nothing"):
        outdoor.arrange(store, asked_by(TOM), number, cup, 1)


def test_what_an_instructor_allowed_goes_out_and_what_asks_stays(store: Store) -> None:
    ref = glazed(store)
    with pytest.raises(NeedsInstructor):
        pieces.queue(store, asked_by(TOM), ref, "raku")
    asked = questions.ask(store, asked_by(TOM), ref, "Once, in the yard?", route="raku").extra["question"]
    questions.answer(store, asked_by(ADA), int(asked), "Yes.", allows=True)
    pieces.queue(store, asked_by(TOM), ref, "raku")
    waits = queued(store, RAKU, route="raku")
    questions.ask(store, asked_by(TOM), waits, "Whose is it?")

    session = the_session(store, planned_session(store))

    assert [row.ref for row in store.read.pieces.by_ids(session.piece_ids)] == [ref]
    assert [number for number, _ in session.left_out] == [the_piece(store, waits).id]


def test_a_piece_is_moved_to_another_round_by_hand(store: Store) -> None:
    for_raku(store, 3)
    number = planned_session(store)
    (alone,) = refs_in(store, number, 2)
    first, _ = refs_in(store, number, 1)

    with pytest.raises(Unusable, match="not-one-round"):
        outdoor.arrange(store, asked_by(TOM), number, alone, 1)
    outdoor.arrange(store, asked_by(TOM), number, first, 2)
    outdoor.arrange(store, asked_by(TOM), number, alone, 1)

    assert alone in refs_in(store, number, 1)
    assert refs_in(store, number, 2) == [first]


def test_a_piece_is_left_for_another_day_and_taken_in_again(store: Store) -> None:
    first, second = for_raku(store, 2)
    number = planned_session(store)

    outdoor.arrange(store, asked_by(TOM), number, first, None)

    assert refs_in(store, number) == [second]
    assert the_session(store, number).left_out == (
        (the_piece(store, first).id, Message("left-out-by-hand", "", person="Tom A.")),
    )
    with pytest.raises(NotAStep, match="in-no-round"):
        outdoor.arrange(store, asked_by(TOM), number, first, None)
    outdoor.arrange(store, asked_by(TOM), number, first, 1)
    assert sorted(refs_in(store, number)) == sorted([first, second])
    assert the_session(store, number).left_out == ()


def test_a_round_without_pieces_is_called_off(store: Store) -> None:
    (ref,) = for_raku(store)
    number = planned_session(store)

    outdoor.arrange(store, asked_by(TOM), number, ref, None)

    assert the_session(store, number).rounds == ()


@pytest.mark.parametrize("round_number", [0, 2, 99])
def test_a_round_that_there_is_not_is_unknown(store: Store, round_number: int) -> None:
    (ref,) = for_raku(store)
    number = planned_session(store)

    with pytest.raises(Unknown, match="no-such-round"):
        outdoor.arrange(store, asked_by(TOM), number, ref, round_number)


def test_more_containers_are_told_and_the_rest_is_planned_anew(store: Store) -> None:
    for_raku(store, 2)
    number = planned_session(store)
    containers = tuple(Container(f"A{one}", DRUM) for one in range(1, 5))
    outdoor.tell(store, asked_by(TOM), number, session_facts(containers=containers[:1]))
    before = len(the_session(store, number).rounds)

    outdoor.tell(store, asked_by(TOM), number, session_facts(containers=containers))

    assert (before, len(the_session(store, number).rounds)) == (2, 1)
    assert the_session(store, number).facts.containers == containers


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        pytest.param({"crew": Crew((), (), "", "")}, "nobody-pulls", id="nobody"),
        pytest.param({"crew": Crew(("Tom",), ("Tom",), "Tom", "Tom")}, "works-alone", id="alone"),
        pytest.param({"dark_at": NOON - timedelta(hours=1)}, "dark-before-start", id="dark at the start"),
        pytest.param({"kiln": "Back box"}, "no-outdoor-kiln", id="an indoor kiln"),
    ],
)
def test_a_session_that_makes_no_sense_is_refused(store: Store, facts: dict[str, object], code: str) -> None:
    with pytest.raises(Refusal, match=code):
        planned_session(store, **facts)

    assert store.read.outdoors.sessions() == ()


def test_a_kiln_that_nobody_measured_is_refused(store: Store) -> None:
    kiln = store.read.catalog().kilns["Yard drum"]
    catalog.change(store, asked_by(ADA), replace(kiln, chamber=None))

    with pytest.raises(Unusable, match="kiln-not-measured"):
        planned_session(store)


def test_a_student_plans_no_session(store: Store) -> None:
    with pytest.raises(NotAllowed):
        outdoor.plan(store, asked_by(INES), session_facts())


# ---- no way round a session -----------------------------------------------------------------------------------------


def test_no_outdoor_firing_begins_without_a_session(store: Store) -> None:
    for start in (
        lambda: started(store, "Yard drum", "raku", "06"),
        lambda: started(store, "Yard drum", "horsehair", "010"),
        lambda: firing_plans.plan(store, asked_by(TOM), "Yard drum", "raku", store.read.catalog().route("raku").cone),
    ):
        with pytest.raises(NotAStep, match="fired-outdoors"):
            start()

    assert store.read.firings.listed(open_only=False) == ()


def test_a_round_is_not_run_past_its_session(store: Store) -> None:
    (ref,) = for_raku(store)
    number = planned_session(store)
    (firing,) = the_session(store, number).rounds

    ways: tuple[Callable[[], object], ...] = (
        lambda: firings.load(store, asked_by(TOM), firing.id),
        lambda: firings.call_off(store, asked_by(TOM), firing.id),
        lambda: firings.put_in(store, asked_by(TOM), firing.id, ref),
        lambda: firings.take_out(store, asked_by(TOM), firing.id, ref),
        lambda: off_and_out(store, asked_by(TOM), firing.id, {ref: Outcome.GOOD}),
        lambda: firing_plans.plan_anew(store, asked_by(TOM), firing.id),
        lambda: firing_plans.leave_out(store, asked_by(TOM), firing.id, ref),
    )
    for go_round in ways:
        with pytest.raises(NotAStep, match="round-of-session"):
            go_round()

    assert the_piece(store, ref).stage is Stage.QUEUED


# ---- beside the kiln -----------------------------------------------------------------------------------------------


def test_a_round_is_fired_by_its_taps(store: Store) -> None:
    first, second = for_raku(store, 2)
    number = planned_session(store)

    tap(store, number, Did.START, inside=(first, second))
    assert the_session(store, number).stage is SessionStage.RUNNING
    (firing,) = the_session(store, number).rounds
    assert firing.stage is FiringStage.FIRING
    assert firing.lit_at == NOON
    assert {the_piece(store, ref).in_firing for ref in (first, second)} == {firing.id}

    tap(store, number, Did.PULLED, first, after=2700)
    tap(store, number, Did.PULLED, second, after=2712)
    (firing,) = the_session(store, number).rounds
    assert firing.stage is FiringStage.COOLING
    assert firing.shut_at == NOON + timedelta(seconds=2712)

    tap(store, number, Did.CLOSED, first, after=2709)
    tap(store, number, Did.RESULT, first, after=3600, value="good")
    assert the_piece(store, first).stage is Stage.FIRED
    assert the_piece(store, second).stage is Stage.QUEUED

    tap(store, number, Did.RESULT, second, after=3700, value="broke")
    assert the_piece(store, second).stage is Stage.LOST
    (firing,) = the_session(store, number).rounds
    assert firing.stage is FiringStage.UNLOADED
    assert the_session(store, number).outcomes[firing.id] == {
        the_piece(store, first).id: Outcome.GOOD,
        the_piece(store, second).id: Outcome.BROKE,
    }
    marks = store.read.outdoors.marks(number)
    assert marks[firing.id, the_piece(store, first).id].open_s == 9


def test_the_same_tap_again_is_the_same_tap(store: Store) -> None:
    refs = for_raku(store, 2)
    number = planned_session(store)
    request = asked_by(TOM, later())

    first = tap(store, number, Did.START, inside=tuple(refs), request=request)

    assert tap(store, number, Did.START, inside=tuple(refs), request=request) == first
    assert len(store.read.outdoors.taps(number)) == 1


def test_what_did_not_go_in_waits_on(store: Store) -> None:
    first, second = for_raku(store, 2)
    number = planned_session(store)

    tap(store, number, Did.START, inside=(first,))

    assert the_piece(store, second).route == "raku"
    assert the_piece(store, second).in_firing is None
    assert the_piece(store, second).planned_in is None


def test_taps_that_arrive_out_of_order_come_to_the_same(store: Store) -> None:
    (ref,) = for_raku(store)
    number = planned_session(store)

    tap(store, number, Did.RESULT, ref, after=3600, value="good")
    tap(store, number, Did.CLOSED, ref, after=2710)
    tap(store, number, Did.PULLED, ref, after=2700)
    tap(store, number, Did.START, inside=(ref,))

    assert the_piece(store, ref).stage is Stage.FIRED
    (firing,) = the_session(store, number).rounds
    assert firing.stage is FiringStage.UNLOADED


def test_two_phones_that_record_the_same_piece_are_told_so(store: Store) -> None:
    (ref,) = for_raku(store)
    number = planned_session(store)
    tap(store, number, Did.START, inside=(ref,))
    tap(store, number, Did.PULLED, ref, after=2700)

    receipt = tap(store, number, Did.PULLED, ref, after=2703, by=ADA)
    tap(store, number, Did.RESULT, ref, after=3600, value="good")
    other = tap(store, number, Did.RESULT, ref, after=3700, value="cracked", by=ADA)

    assert "12:45:00 (Tom A.), at 12:45:03 (Ada Q.). The earlier time counts." in said(receipt.message)
    assert "Tom A. entered “good”, Ada Q. entered “cracked”" in said(other.message)
    assert the_piece(store, ref).stage is Stage.FIRED
    assert len(seen(store.read, the_session(store, number), later()).story.differs) == 2


def test_a_piece_the_rules_keep_out_is_on_no_record_and_says_why(store: Store) -> None:
    first, second = for_raku(store, 2)
    number = planned_session(store)
    questions.ask(store, asked_by(TOM), second, "Is this crack old?")

    receipt = tap(store, number, Did.START, inside=(first, second))

    assert f"{second} has no firing here on record." in said(receipt.message)
    assert the_piece(store, second).in_firing is None
    assert the_piece(store, first).in_firing is not None


def test_what_was_kept_out_is_recorded_once_it_is_settled(store: Store) -> None:
    (ref,) = for_raku(store)
    number = planned_session(store)
    asked = questions.ask(store, asked_by(TOM), ref, "Is this crack old?").extra["question"]
    tap(store, number, Did.START, inside=(ref,))
    assert the_piece(store, ref).in_firing is None

    questions.answer(store, asked_by(ADA), int(asked), "It is.", allows=True)
    tap(store, number, Did.PULLED, ref, after=2700)

    assert the_piece(store, ref).in_firing is not None


def test_a_slip_of_the_glove_is_taken_back(store: Store) -> None:
    first, second = for_raku(store, 2)
    number = planned_session(store)
    tap(store, number, Did.START, inside=(first, second))
    slip = asked_by(TOM, later())
    tap(store, number, Did.PULLED, first, after=60, request=slip)

    tap(store, number, Did.TAKE_BACK, value=str(slip.key), after=70)

    story = seen(store.read, the_session(store, number), later()).rounds[0].told
    assert story.of(the_piece(store, first).id).pulled_at is None


def test_a_round_that_was_not_started_after_all_is_to_come_again(store: Store) -> None:
    refs = for_raku(store, 2)
    number = planned_session(store)
    slip = asked_by(TOM, later())
    tap(store, number, Did.START, inside=tuple(refs), request=slip)

    tap(store, number, Did.TAKE_BACK, value=str(slip.key), after=70)

    (firing,) = the_session(store, number).rounds
    assert firing.stage is FiringStage.PLANNED
    assert firing.lit_at is None
    assert sorted(firing.planned_ids) == sorted(the_piece(store, ref).id for ref in refs)
    assert fire_round(store, number) == sorted(refs, key=lambda ref: the_piece(store, ref).id)


def test_a_start_is_not_taken_back_once_something_was_pulled_nor_a_result(store: Store) -> None:
    first, second = for_raku(store, 2)
    number = planned_session(store)
    start, result = asked_by(TOM, later()), asked_by(TOM, later())
    tap(store, number, Did.START, inside=(first, second), request=start)
    tap(store, number, Did.PULLED, first, after=60)
    tap(store, number, Did.RESULT, first, after=90, value="good", request=result)

    with pytest.raises(NotAStep, match="pulled-already"):
        tap(store, number, Did.TAKE_BACK, value=str(start.key))
    with pytest.raises(NotAStep, match="result-on-record"):
        tap(store, number, Did.TAKE_BACK, value=str(result.key))
    with pytest.raises(Unknown, match="no-such-tap"):
        tap(store, number, Did.TAKE_BACK, value=str(UUID(int=7)))


def test_a_phone_with_a_clock_of_another_day_is_told_so(store: Store) -> None:
    (ref,) = for_raku(store)
    number = planned_session(store)

    with pytest.raises(Unusable, match="not-during-session"):
        tap(store, number, Did.START, inside=(ref,), after=-86_400)

    assert store.read.outdoors.taps(number) == ()


def test_a_tap_in_a_session_of_another_day_is_told_its_day(store: Store) -> None:
    (ref,) = for_raku(store)
    number = planned_session(store)
    now = asked_by(TOM, later() + timedelta(days=7))

    with pytest.raises(Unusable, match="session-planned-for") as refused:
        tap(store, number, Did.START, inside=(ref,), after=7 * 86_400, request=now)

    assert refused.value.remedy is not None
    assert said(refused.value.remedy) == "Change its day first."


def test_a_start_with_nothing_in_the_kiln_and_a_round_of_another_session_are_refused(store: Store) -> None:
    for_raku(store)
    number = planned_session(store)
    firing = started(store)

    with pytest.raises(Unusable, match="nothing-in-kiln"):
        tap(store, number, Did.START)
    said = outdoor_running.Said(did=Did.AT_HEAT, firing_id=firing, at=NOON)
    with pytest.raises(Unknown, match="firing-no-round"):
        outdoor_running.hear(store, asked_by(TOM), number, said)


# ---- its end -------------------------------------------------------------------------------------------------------


def test_a_session_ends_when_every_piece_has_its_result(store: Store) -> None:
    refs = for_raku(store, 3)
    number = planned_session(store)
    first = refs_in(store, number, 1)
    tap(store, number, Did.START, inside=tuple(first))

    with pytest.raises(Unusable, match="no-result"):
        outdoor.end(store, asked_by(TOM), number)

    for ref in first:
        tap(store, number, Did.RESULT, ref, after=3600, value="good")
    outdoor.end(store, asked_by(TOM, later()), number, fuel_after_kg=17.5)

    session = the_session(store, number)
    assert session.stage is SessionStage.ENDED
    assert session.fuel_used_kg == pytest.approx(2.5)
    (left,) = set(refs) - set(first)
    assert the_piece(store, left).planned_in is None
    assert the_piece(store, left).route == "raku"
    (fuel,) = store.read.outdoors.fuel("Yard drum")
    assert fuel.rounds == 1
    assert fuel.burned_kg == pytest.approx(2.5)


def test_fuel_that_grew_was_not_weighed_well(store: Store) -> None:
    for_raku(store)
    number = planned_session(store)
    fire_round(store, number)

    with pytest.raises(Unusable, match="fuel-after-more"):
        outdoor.end(store, asked_by(TOM), number, fuel_after_kg=21)
    outdoor.end(store, asked_by(TOM), number)
    outdoor.weigh(store, asked_by(TOM), number, 16.0)

    assert the_session(store, number).fuel_used_kg == pytest.approx(4)


def test_a_session_that_was_not_begun_is_called_off_and_not_ended(store: Store) -> None:
    (ref,) = for_raku(store)
    number = planned_session(store)

    with pytest.raises(NotAStep, match="session-not-there"):
        outdoor.end(store, asked_by(TOM), number)
    outdoor.call_off(store, asked_by(TOM), number)

    assert the_piece(store, ref).planned_in is None
    assert the_session(store, number).stage is SessionStage.ENDED
    with pytest.raises(NotAStep, match="session-not-there"):
        outdoor.choose(store, asked_by(TOM), number, [ref])
    with pytest.raises(Unknown, match="no-session"):
        outdoor.end(store, asked_by(TOM), 99)


def test_a_phone_that_was_out_of_reach_tells_of_a_round_that_the_others_called_off(store: Store) -> None:
    refs = for_raku(store, 3)
    number = planned_session(store)
    (alone,) = refs_in(store, number, 2)
    firing = the_session(store, number).rounds[1].id
    fire_round(store, number)
    outdoor.end(store, asked_by(TOM, later()), number)

    for did, value, after in ((Did.START, "", 3000), (Did.PULLED, "", 3500), (Did.RESULT, "good", 3590)):
        said = outdoor_running.Said(
            did=did,
            firing_id=firing,
            ref=alone if did is not Did.START else "",
            inside=(alone,) if did is Did.START else (),
            value=value,
            at=NOON + timedelta(seconds=after),
        )
        outdoor_running.hear(store, asked_by(ADA, later()), number, said)

    assert {the_piece(store, ref).stage for ref in refs} == {Stage.FIRED}
    session = the_session(store, number)
    assert session.stage is SessionStage.RUNNING
    outdoor.end(store, asked_by(TOM, later()), number)
    assert the_session(store, number).stage is SessionStage.ENDED


def test_what_the_fire_did_is_noted_once_there_is_a_result(store: Store) -> None:
    (ref,) = for_raku(store)
    number = planned_session(store)
    (firing,) = the_session(store, number).rounds
    told = Mark(air=Air.MORE_FUEL, smoke=Smoke.HEAVY, color="copper blush")

    with pytest.raises(NotAStep, match="no-result-yet"):
        outdoor_running.mark(store, asked_by(TOM), number, firing.id, ref, told)
    fire_round(store, number)
    outdoor_running.mark(store, asked_by(TOM), number, firing.id, ref, told)

    mark = store.read.outdoors.marks(number)[firing.id, the_piece(store, ref).id]
    assert (mark.air, mark.smoke, mark.color, mark.open_s) == (Air.MORE_FUEL, Smoke.HEAVY, "copper blush", 8)


def test_a_warned_piece_stands_apart_with_what_it_was_warned_of(store: Store) -> None:
    ref = glazed(store, RAKU, new=a_new_piece(clay="Lantern White", build=Build.SLAB))
    pieces.queue(store, asked_by(TOM), ref, "raku", accepts={"porcelain-outdoors"})

    (one,) = seen(store.read, the_session(store, planned_session(store)), NOON).rounds

    (piece,) = one.pieces
    assert piece.place is not None
    assert piece.place.apart
    assert any(one.code == "porcelain-outdoors" for one in piece.fires.warnings)


def test_crew_and_containers_come_back_as_they_were_said(store: Store) -> None:
    facts = session_facts(dark_at=NOON + timedelta(hours=5), weather="wind from the gate", air_c=-2.5)
    number = int(outdoor.plan(store, asked_by(TOM), facts).extra["session"])

    assert the_session(store, number).facts == facts
    assert the_session(store, number).facts.crew == CREW


def test_what_is_told_of_tanks_burner_and_tongs_is_kept(store: Store) -> None:
    tanks, crew = Tanks(count=2, size_kg=45.36), replace(CREW, tongs=1)

    number = planned_session(store, tanks=tanks, burner_kw=58.6, crew=crew)

    facts = the_session(store, number).facts
    assert (facts.tanks, facts.burner_kw, facts.crew) == (tanks, 58.6, crew)
    with pytest.raises(Unusable, match="tanks-overfull"):
        planned_session(store, tanks=Tanks(count=1, size_kg=9.0))


def test_the_draw_of_a_burner_is_learned_from_what_this_kilns_rounds_took(store: Store) -> None:
    tanks = Tanks(count=1, size_kg=45.36)
    for used in (9.0, 9.2, 9.1):
        for_raku(store, 1)
        number = planned_session(store, tanks=tanks)
        fire_round(store, number)
        outdoor.end(store, asked_by(TOM, later()), number, fuel_after_kg=20.0 - used)
    for_raku(store, 1)
    it = seen(store.read, the_session(store, planned_session(store, tanks=tanks, air_c=20.0)), NOON)

    fuel = fuel_of(store.read, it)

    # Each of three sessions took some 9 kg in one round that counts as 1.8: over 5 kg in 25 minutes, some 170 kW.
    assert fuel.guess.learned_from == 3
    assert fuel.evaporation is not None
    assert fuel.evaporation.word is Enough.NOT_ENOUGH


def test_cool_rounds_keep_coming_first_when_horsehair_is_chosen_later(store: Store) -> None:
    raku = for_raku(store, 1)
    number = planned_session(store)
    bare = bisqued(store, a_new_piece(burnished=True))
    pieces.queue(store, asked_by(TOM), bare, "horsehair")

    outdoor.choose(store, asked_by(TOM), number, [*raku, bare])

    session = the_session(store, number)
    assert [firing.route.name for firing in session.rounds] == ["horsehair", "raku"]
    it = seen(store.read, session, NOON)
    assert [one.time.change_min for one in it.rounds] == [0, 10]
    assert [one.breaks for one in it.rounds] == [(), ()]
