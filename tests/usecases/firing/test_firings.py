"""Loading a kiln and unloading it: who is let in at its door, and what comes of each piece."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from tests.reading import all_in, said, tells
from tests.staffed import ADA, MIRA, TOM, asked_by, bisqued, glazed, off_and_out, queued, started, the_piece, unload
from tests.studio import NOON, a_new_piece
from tracker.domain.cones import Cone
from tracker.domain.findings import Level, NeedsAcceptance, NeedsInstructor, Unfit
from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Message
from tracker.domain.pieces.codes import is_issuable
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Stage, StepName, Use
from tracker.domain.refusals import NotAllowed, NotAStep, Refusal, Unknown, Unusable
from tracker.domain.studio.materials import Zone
from tracker.domain.studio.people import Person
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings, starting
from tracker.usecases.firing.care import cared_for
from tracker.usecases.pieces import pieces
from tracker.usecases.pieces.actions import first_open
from tracker.usecases.pieces.ways import ways_for
from tracker.usecases.rules import questions


def greenware(store: Store, **facts: Any) -> str:  # noqa: ANN401 -- any fact of a piece
    """The slip of a new pot."""
    return pieces.register(store, asked_by(MIRA), a_new_piece(**facts)).ref


def loaded(store: Store, kiln: str, route: str, cone: str, *refs: str) -> int:
    """The number of a firing with these pieces in it."""
    firing = started(store, kiln, route, cone)
    for ref in refs:
        firings.put_in(store, asked_by(TOM), firing, ref)
    return firing


def steps(store: Store, ref: str) -> list[tuple[StepName, Stage, str]]:
    """What is on record of a piece since it was registered: step, stage and outcome."""
    lines = store.read.pieces.page(the_piece(store, ref).id).history
    return [(line.step, line.to, str(line.outcome or "")) for line in lines[1:]]


# ---- bisque


def test_unloading_a_bisque_gives_every_piece_its_code(store: Store) -> None:
    slips = [greenware(store) for _ in range(5)]
    firing = loaded(store, "Front box", "bisque", "06", *slips)

    receipt = unload(store, firing, dict.fromkeys(slips, Outcome.GOOD))

    assert said(receipt.message) == f"Firing {firing}: unloaded. 5 came out."
    assert len(set(receipt.refs)) == 5
    assert all(map(is_issuable, receipt.refs))
    assert [the_piece(store, ref).stage for ref in receipt.refs] == [Stage.BISQUED] * 5


def test_a_code_stays_with_its_piece_through_a_second_bisque(store: Store) -> None:
    slip = greenware(store)
    firing = loaded(store, "Front box", "bisque", "06", slip)
    (code,) = unload(store, firing, {slip: Outcome.of(Flaw.UNDERFIRED)}).refs
    pieces.correct(store, asked_by(ADA), code, Stage.GREENWARE, "the kiln had stopped early")

    again = loaded(store, "Front box", "bisque", "06", code)
    receipt = unload(store, again, {code: Outcome.GOOD})

    assert receipt.refs == (code,)
    assert the_piece(store, slip).code == code


def test_what_broke_in_the_bisque_is_lost_with_its_cause_and_needs_no_code(store: Store) -> None:
    slip, whole = greenware(store), greenware(store)
    firing = loaded(store, "Front box", "bisque", "06", slip, whole)

    receipt = unload(store, firing, {slip: Outcome.BROKE, whole: Outcome.GOOD})

    assert said(receipt.message) == f"Firing {firing}: unloaded. 1 came out, 1 broke."
    assert (the_piece(store, slip).stage, the_piece(store, slip).code) == (Stage.LOST, None)
    assert steps(store, slip) == [(StepName.LOSE, Stage.LOST, "broke")]
    assert store.read.pieces.page(the_piece(store, slip).id).history[-1].reason == "broke in the kiln"


def test_what_waits_for_nothing_or_for_another_kiln_goes_into_no_bisque(store: Store) -> None:
    firing = started(store, "Front box", "bisque", "06")

    for ref, why in ((bisqued(store), "not-waiting"), (glazed(store), "not-waiting"), (queued(store), "wrong-queue")):
        with pytest.raises(NotAStep, match=why):
            firings.put_in(store, asked_by(TOM), firing, ref)


# ---- glaze firings


def test_a_glaze_firing_notes_what_came_of_each_piece(store: Store) -> None:
    good, crazed, broken = (queued(store) for _ in range(3))
    firing = loaded(store, "Back box", "mid-range", "6", good, crazed, broken)

    receipt = unload(store, firing, {good: Outcome.GOOD, crazed: Outcome.of(Flaw.CRAZED), broken: Outcome.BROKE})

    assert set(receipt.refs) == {good, crazed}
    assert the_piece(store, crazed).fired_to == Cone.parse("6")
    assert steps(store, crazed)[-1] == (StepName.FIRE, Stage.FIRED, "crazed")
    assert steps(store, broken)[-2:] == [(StepName.FIRE, Stage.FIRED, "broke"), (StepName.LOSE, Stage.LOST, "broke")]
    page = store.read.firings.page(firing)
    assert page is not None
    assert page.firing.stage is FiringStage.UNLOADED
    assert {row.ref: row.outcome for row in page.pieces} == {
        good: Outcome.GOOD,
        crazed: Outcome.of(Flaw.CRAZED),
        broken: Outcome.BROKE,
    }


def test_a_piece_can_have_several_flaws_and_a_note_on_its_clay_and_on_its_glaze(store: Store) -> None:
    ref = queued(store)
    firing = loaded(store, "Back box", "mid-range", "6", ref)
    came = Outcome((Flaw.S_CRACK, Flaw.CRAZED), clay_note="under the foot", glaze_note="on the inside")

    unload(store, firing, {ref: came})

    (on_record,) = store.read.firings.page(firing).pieces  # type: ignore[union-attr]  # it was just unloaded
    line = store.read.pieces.page(on_record.piece.id).history[-1]
    assert on_record.outcome == line.outcome == came
    assert on_record.piece.flaws == (Flaw.CRAZED, Flaw.S_CRACK)
    assert on_record.piece.mended


def test_flaws_count_until_the_piece_is_fired_again_and_comes_out_well(store: Store) -> None:
    ref = queued(store)
    left = []
    for came in (Outcome.of(Flaw.CRAZED), Outcome.of(Flaw.STUCK), Outcome.GOOD):
        unload(store, loaded(store, "Back box", "mid-range", "6", ref), {ref: came})
        left.append(the_piece(store, ref).flaws)
        pieces.fire_again(store, asked_by(ADA), ref, "once more")
        pieces.queue(store, asked_by(TOM), ref, "mid-range")

    assert left == [(Flaw.CRAZED,), (Flaw.CRAZED, Flaw.STUCK), ()]


def test_a_mug_crazed_at_cone_6_stays_crazed_after_a_low_fire_firing_and_is_offered_the_mid_range_one(
    store: Store,
) -> None:
    ref = queued(store)
    unload(store, loaded(store, "Back box", "mid-range", "6", ref), {ref: Outcome.of(Flaw.CRAZED)})
    pieces.fire_again(store, asked_by(ADA), ref, "to mend it")
    piece, catalog = the_piece(store, ref), store.read.catalog()
    ways = ways_for(piece, catalog)
    pieces.queue(store, asked_by(TOM), ref, "low-fire")

    unload(store, loaded(store, "Front box", "low-fire", "04", ref), {ref: Outcome.GOOD})

    assert first_open(ways, piece, frozenset({StepName.QUEUE})) == "mid-range"
    assert "low-fire" in {way.route for way in ways if way.is_open}
    assert the_piece(store, ref).flaws == (Flaw.CRAZED,)
    assert not the_piece(store, ref).holds_food


def test_a_correction_to_before_the_fire_takes_its_flaws_with_it(store: Store) -> None:
    ref = queued(store)
    unload(store, loaded(store, "Back box", "mid-range", "6", ref), {ref: Outcome.of(Flaw.CRAZED)})

    pieces.correct(store, asked_by(ADA), ref, Stage.GLAZED, "it was another one")

    assert (the_piece(store, ref).fired_to, the_piece(store, ref).flaws) == (None, ())


def test_a_piece_of_another_queue_is_turned_away_at_the_kiln_door(store: Store) -> None:
    ref = queued(store, "Plum Gloss", route="low-fire")
    firing = started(store, "Back box", "high-fire", "10")

    with pytest.raises(NotAStep, match="wrong-queue") as refused:
        firings.put_in(store, asked_by(TOM), firing, ref)

    assert refused.value.message["piece"] == ref
    assert "Low-fire" in said(refused.value.message)
    assert said(refused.value.remedy) == "Put it back on the Low-fire shelf."


def test_a_piece_of_no_queue_is_turned_away_at_the_kiln_door(store: Store) -> None:
    ref = glazed(store)

    with pytest.raises(NotAStep, match="not-waiting"):
        firings.put_in(store, asked_by(TOM), started(store), ref)


@pytest.mark.parametrize(
    ("kiln", "route", "cone", "glaze", "rule"),
    [
        pytest.param("Front box", "low-fire", "02", "Plum Gloss", "glaze-melts-off", id="low-fire to 02"),
        pytest.param("Back box", "mid-range", "7", "Still Water", "glaze-melts-off", id="mid-range to 7"),
    ],
)
def test_a_firing_hotter_than_a_piece_stands_does_not_get_it(
    store: Store, kiln: str, route: str, cone: str, glaze: str, rule: str
) -> None:
    ref = queued(store, glaze, route=route)
    firing = started(store, kiln, route, cone)

    with pytest.raises(Unfit) as refused:
        firings.put_in(store, asked_by(TOM), firing, ref)

    assert rule in [one.rule for one in refused.value.findings]
    page = store.read.firings.page(firing)
    assert page is not None
    assert page.pieces == ()


def test_a_bisque_hotter_than_the_clay_stands_does_not_get_it(store: Store) -> None:
    slip = greenware(store, clay="Roof Tile Red")

    with pytest.raises(Unfit, match="clay-slumps"):
        firings.put_in(store, asked_by(TOM), started(store, "Front box", "bisque", "03"), slip)


def test_a_firing_that_stays_cooler_than_its_queue_is_a_question_for_the_instructor(store: Store) -> None:
    ref = queued(store)

    with pytest.raises(NeedsInstructor):
        firings.put_in(store, asked_by(TOM), started(store, cone="4"), ref)


def test_what_only_the_firings_own_cone_asks_about_is_asked_at_the_door_and_allowed_there(store: Store) -> None:
    ref, firing = queued(store), started(store, cone="4")

    asked = questions.ask_at_the_door(store, asked_by(TOM), firing, ref).extra["question"]
    (open_one,) = store.read.questions.open()
    with pytest.raises(NeedsInstructor, match="question"):
        firings.put_in(store, asked_by(TOM), firing, ref)
    questions.answer(store, asked_by(ADA), int(asked), "It is a test tile.", allows=True)

    assert open_one.text == Message("may-it-go-in", "", firing=str(firing), kiln="Back box", cone=Cone.parse("4"))
    assert [one.level for one in open_one.findings] == [Level.ASK]
    assert firings.put_in(store, asked_by(TOM), firing, ref).ref == ref


def test_leave_for_one_cone_is_no_leave_for_another(store: Store) -> None:
    ref, firing = queued(store), started(store, cone="4")
    asked = questions.ask_at_the_door(store, asked_by(TOM), firing, ref).extra["question"]
    questions.answer(store, asked_by(ADA), int(asked), "Once.", allows=True)
    firings.call_off(store, asked_by(TOM), firing)

    with pytest.raises(NeedsInstructor):
        firings.put_in(store, asked_by(TOM), started(store, cone="3"), ref)


def test_a_declined_question_from_the_door_gives_no_leave(store: Store) -> None:
    ref, firing = queued(store), started(store, cone="4")
    asked = questions.ask_at_the_door(store, asked_by(TOM), firing, ref).extra["question"]

    questions.answer(store, asked_by(ADA), int(asked), "No.", allows=False)

    with pytest.raises(NeedsInstructor):
        firings.put_in(store, asked_by(TOM), firing, ref)


@pytest.mark.parametrize(
    ("by", "cone", "refusal"),
    [
        pytest.param(MIRA, "4", NotAllowed, id="a student"),
        pytest.param(TOM, "8", Unfit, id="what nobody may allow"),
        pytest.param(TOM, "6", NotAStep, id="nothing to ask"),
    ],
)
def test_what_is_not_asked_at_the_door(store: Store, by: Person, cone: str, refusal: type[Refusal]) -> None:
    ref, firing = queued(store), started(store, cone=cone)

    with pytest.raises(refusal):
        questions.ask_at_the_door(store, asked_by(by), firing, ref)

    assert store.read.questions.open() == ()


def test_the_same_is_asked_at_the_door_only_once(store: Store) -> None:
    ref, firing = queued(store), started(store, cone="4")
    questions.ask_at_the_door(store, asked_by(TOM), firing, ref)

    with pytest.raises(NotAStep, match="nothing-new-to-ask"):
        questions.ask_at_the_door(store, asked_by(TOM), firing, ref)


def test_a_piece_is_in_one_kiln_only_once(store: Store) -> None:
    ref, firing, other = queued(store), started(store), started(store, "Front box", "low-fire", "04")
    firings.put_in(store, asked_by(TOM), firing, ref)

    with pytest.raises(NotAStep, match="in-this-kiln"):
        firings.put_in(store, asked_by(TOM), firing, ref)
    with pytest.raises(NotAStep, match="in-a-firing"):
        firings.put_in(store, asked_by(TOM), other, ref)


def test_a_piece_taken_out_again_waits_where_it_waited(store: Store) -> None:
    ref, firing = queued(store), started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)

    firings.take_out(store, asked_by(TOM), firing, ref)

    (row,) = store.read.pieces.waiting()
    assert (row.ref, row.firing_id) == (ref, None)
    with pytest.raises(NotAStep, match="not-in-this-kiln"):
        firings.take_out(store, asked_by(TOM), firing, ref)


# ---- the life of a firing


def test_a_kiln_is_lit_shut_off_and_unloaded_and_each_moment_is_kept(store: Store) -> None:
    ref = queued(store)
    firing = loaded(store, "Back box", "mid-range", "6", ref)
    hours = [NOON + timedelta(hours=one) for one in (1, 9, 30)]

    firings.light(store, asked_by(TOM, hours[0]), firing)
    firings.shut_off(store, asked_by(TOM, hours[1]), firing)
    off_and_out(store, asked_by(TOM, hours[2]), firing, {ref: Outcome.GOOD})

    page = store.read.firings.page(firing)
    assert page is not None
    assert (page.firing.stage, page.firing.lit_at, page.firing.shut_at) == (FiringStage.UNLOADED, hours[0], hours[1])
    assert page.unloaded_at == hours[2]


def test_nothing_goes_in_or_out_once_the_kiln_is_lit(store: Store) -> None:
    inside, late = queued(store), queued(store)
    firing = loaded(store, "Back box", "mid-range", "6", inside)
    firings.light(store, asked_by(TOM), firing)

    for late_step in (firings.put_in, firings.take_out):
        with pytest.raises(NotAStep, match="door-is-shut"):
            late_step(store, asked_by(TOM), firing, late)

    assert the_piece(store, inside).in_firing == firing
    assert the_piece(store, late).in_firing is None


def test_a_kiln_that_was_not_lit_after_all_is_loaded_on(store: Store) -> None:
    inside, late = queued(store), queued(store)
    firing = loaded(store, "Back box", "mid-range", "6", inside)
    firings.light(store, asked_by(TOM), firing)

    firings.open_again(store, asked_by(TOM), firing)
    firings.put_in(store, asked_by(TOM), firing, late)

    again = store.read.firings.firing(firing)
    assert again is not None
    assert (again.piece_ids, again.lit_at) == ((the_piece(store, inside).id, the_piece(store, late).id), None)


def test_a_kiln_that_was_never_lit_fires_nothing(store: Store) -> None:
    ref = queued(store)
    firing = loaded(store, "Back box", "mid-range", "6", ref)

    with pytest.raises(NotAStep, match="firing-not-there"):
        off_and_out(store, asked_by(TOM), firing, {ref: Outcome.GOOD})

    assert the_piece(store, ref).stage is Stage.QUEUED


def test_an_empty_kiln_is_not_lit_and_a_full_one_not_called_off(store: Store) -> None:
    empty = started(store, "Front box", "low-fire", "04")
    full = loaded(store, "Back box", "mid-range", "6", queued(store))

    with pytest.raises(NotAStep, match="kiln-is-empty"):
        firings.light(store, asked_by(TOM), empty)
    with pytest.raises(NotAStep, match="kiln-is-not-empty") as refused:
        firings.call_off(store, asked_by(TOM), full)

    assert said(refused.value.remedy) == "Take everything out first."
    assert said(firings.call_off(store, asked_by(TOM), empty).message) == f"Firing {empty}: canceled."
    assert started(store, "Front box", "low-fire", "04") > full


def test_the_same_press_twice_lights_once(store: Store) -> None:
    firing = loaded(store, "Back box", "mid-range", "6", queued(store))
    request = asked_by(TOM)

    assert firings.light(store, request, firing) == firings.light(store, request, firing)


# ---- accounting


@pytest.mark.parametrize("extra", [False, True], ids=["one missing", "one missing and one strange"])
def test_every_piece_in_the_kiln_and_no_other_needs_its_outcome(store: Store, extra: bool) -> None:  # noqa: FBT001 - a case of the table
    inside, forgotten, elsewhere = (queued(store) for _ in range(3))
    firing = loaded(store, "Back box", "mid-range", "6", inside, forgotten)
    firings.light(store, asked_by(TOM), firing)
    outcomes = {inside: Outcome.GOOD} | ({elsewhere: Outcome.GOOD} if extra else {})

    with pytest.raises(Unusable) as refused:
        off_and_out(store, asked_by(TOM), firing, outcomes)

    wrong = [f"{forgotten} has no result yet."] + ([f"{elsewhere} isn't in this kiln."] if extra else [])
    assert list(map(said, refused.value.problems)) == wrong
    assert the_piece(store, inside).stage is Stage.QUEUED


def test_a_firing_is_unloaded_once(store: Store) -> None:
    ref = queued(store)
    firing = loaded(store, "Back box", "mid-range", "6", ref)
    firings.light(store, asked_by(TOM), firing)
    request = asked_by(TOM)
    first = off_and_out(store, request, firing, {ref: Outcome.GOOD})

    assert off_and_out(store, request, firing, {ref: Outcome.GOOD}) == first
    with pytest.raises(NotAStep, match="firing-unloaded"):
        off_and_out(store, asked_by(TOM), firing, {ref: Outcome.GOOD})
    with pytest.raises(NotAStep, match="firing-unloaded"):
        firings.put_in(store, asked_by(TOM), firing, queued(store))
    with pytest.raises(Unknown, match="no-such-firing"):
        off_and_out(store, asked_by(TOM), 999, {})


@pytest.mark.parametrize(
    ("kiln", "route", "refusal", "says"),
    [
        pytest.param("Front box", "mid-range", Unusable, "kiln-does-not-fire", id="a route it does not serve"),
        pytest.param("Yard drum", "raku", NotAStep, "fired-outdoors", id="an outdoor firing"),
        pytest.param(
            "Side box", "bisque", Unknown, r"no-such-thing\(kind=kiln, name=Side box\)", id="a kiln there is not"
        ),
        pytest.param(
            "Front box", "rock", Unknown, r"no-such-thing\(kind=route, name=rock\)", id="a route there is not"
        ),
    ],
)
def test_a_firing_does_not_begin(store: Store, kiln: str, route: str, refusal: type[Refusal], says: str) -> None:
    with pytest.raises(refusal, match=says):
        starting.start(store, asked_by(TOM), kiln, route, Cone.parse("06"))

    assert store.read.firings.listed() == ()


def test_a_kiln_is_loaded_for_one_firing_at_a_time(store: Store) -> None:
    started(store)

    with pytest.raises(NotAStep, match="kiln-is-taken"):
        started(store, route="high-fire", cone="10")


@pytest.mark.parametrize(
    "step",
    [
        pytest.param(lambda s: starting.start(s, asked_by(MIRA), "Front box", "bisque", Cone.parse("06")), id="start"),
        pytest.param(lambda s: firings.put_in(s, asked_by(MIRA), 1, "W1"), id="put in"),
        pytest.param(lambda s: firings.take_out(s, asked_by(MIRA), 1, "W1"), id="take out"),
        pytest.param(lambda s: firings.light(s, asked_by(MIRA), 1), id="light"),
        pytest.param(lambda s: off_and_out(s, asked_by(MIRA), 1, {}), id="unload"),
    ],
)
def test_a_student_may_not_fire(store: Store, step: Callable[[Store], object]) -> None:
    with pytest.raises(NotAllowed, match="not-allowed"):
        step(store)


# ---- what is accepted at the door


def test_a_warning_accepted_at_the_door_is_on_record_with_who_where_and_the_verdict(store: Store) -> None:
    slip = greenware(store, wall_mm=30)
    firing = started(store, "Front box", "bisque", "06")

    with pytest.raises(NeedsAcceptance, match="thick-wall"):
        firings.put_in(store, asked_by(ADA), firing, slip, dry=True)
    firings.put_in(store, asked_by(ADA), firing, slip, dry=True, accepts={"thick-wall"})

    (*_, line) = store.read.pieces.page(the_piece(store, slip).id).history
    assert (line.step, line.start, line.to, line.by) == (
        StepName.ACCEPT,
        Stage.GREENWARE,
        Stage.GREENWARE,
        "Ada Quill",
    )
    assert (line.kiln, line.firing_id, line.route) == ("Front box", firing, "bisque")
    assert line.accepted == ("thick-wall",)
    assert [one.rule for one in line.findings] == ["thick-wall"]


def test_what_was_accepted_in_the_queue_is_told_at_the_door_and_not_put_on_record_again(store: Store) -> None:
    ref = glazed(store, "Wet Slate", new=a_new_piece(use=Use.FOOD))
    pieces.queue(store, asked_by(TOM), ref, "mid-range", accepts={"untested-for-food"})

    firing = started(store, "Back box", "mid-range", "6")
    receipt = firings.put_in(store, asked_by(TOM), firing, ref)

    care = [message for message in all_in([receipt.message]) if message.code == "in-with-care"]
    assert tells(care, "untested-for-food")
    (row,) = store.read.pieces.by_ids([the_piece(store, ref).id])
    known = store.read.firings.firing(firing)
    assert known is not None
    assert cared_for(known, [row], store.read.catalog(), NOON) == {ref: care[0]}
    assert receipt.extra["with_care"]
    assert [step for step, _, _ in steps(store, ref)] == [StepName.GLAZE, StepName.QUEUE]


def test_what_to_do_with_a_piece_at_the_door_is_said_before_why_it_goes_in_with_care(store: Store) -> None:
    ref = bisqued(store, a_new_piece(use=Use.FOOD))
    pieces.glaze(store, asked_by(TOM, NOON - timedelta(days=2)), ref, "Wet Slate", Zone.OUTSIDE, catch_plate=True)
    pieces.queue(store, asked_by(TOM), ref, "mid-range", accepts={"untested-for-food"})

    receipt = firings.put_in(store, asked_by(TOM), started(store), ref)

    known = ("goes-on-a-cookie", "in-with-care", "put-in")
    assert [one.code for one in all_in([receipt.message]) if one.code in known] == list(known)


def test_what_was_accepted_at_the_door_stays_on_record_when_the_piece_is_taken_out_and_fired_later(
    store: Store,
) -> None:
    slip = greenware(store, wall_mm=30)
    firing = started(store, "Front box", "bisque", "06")
    just_now = firings.put_in(store, asked_by(ADA), firing, slip, dry=True, accepts={"thick-wall"})
    firings.take_out(store, asked_by(TOM), firing, slip)
    firings.put_in(store, asked_by(TOM), firing, slip, dry=True, accepts={"thick-wall"})

    (ref,) = unload(store, firing, {slip: Outcome.GOOD}).refs

    assert [step for step, _, _ in steps(store, ref)] == [StepName.ACCEPT, StepName.ACCEPT, StepName.BISQUE]
    assert not tells([just_now.message], "in-with-care")
