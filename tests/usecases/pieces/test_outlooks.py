"""What comes next for a piece, out of a real store: what to do, where it is, and when on what basis."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import insert, select

from tests.reading import said
from tests.staffed import (
    ADA,
    INES,
    MIRA,
    TOM,
    asked_by,
    bisqued,
    fired,
    glazed,
    off_and_out,
    queued,
    started,
    the_piece,
)
from tests.studio import NOON, a_new_piece
from tracker.domain.cones import Cone
from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.forecasts import Basis
from tracker.domain.firing.outlooks import DOERS, Behind, Coming, Doer, Hot, Next, Outlook, Planned, Spot, Where
from tracker.domain.loading.planner import NO_ROOM
from tracker.domain.pieces.disposal import Disposal
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.studio.kilns import Furniture, Room
from tracker.domain.studio.people import Person
from tracker.store.tables import history
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings, logs, plans
from tracker.usecases.pieces import disposing, pickup, pieces, wishes
from tracker.usecases.pieces.outlooks import outlook_of, outlooks_of
from tracker.usecases.rules import questions
from tracker.usecases.studio import catalog
from tracker.wording.outlooks import basis, in_short, place, to_do, when
from tracker.wording.reader import Reader


def outlook(store: Store, ref: str, hours: float = 0) -> Outlook:
    """What comes next for a piece, so many hours after noon."""
    (row,) = store.read.pieces.by_ids([the_piece(store, ref).id])
    return outlook_of(store.read, row, NOON + timedelta(hours=hours))


def a_small_kiln(store: Store) -> str:
    """The name of a kiln with room for one plate in its load plan."""
    furniture = Furniture(round_mm=300, thickness_mm=20, posts_mm=(150,))
    room = Room(height_mm=200, round_mm=340)
    known = store.read.catalog().kiln("Back box")
    catalog.add(store, asked_by(ADA), replace(known, name="Small box", chamber=room, furniture=furniture))
    return "Small box"


def test_a_piece_with_an_open_question_goes_on_no_cart_wherever_that_is_told(store: Store) -> None:
    ref = glazed(store, "Iron Gate")
    wishes.wish(store, asked_by(MIRA), ref, "mid-range")
    wishes.put_away(store, asked_by(MIRA), ref)
    route = store.read.catalog().route("mid-range")
    right = outlook(store, ref)
    questions.ask(store, asked_by(MIRA), ref, "Does it run?")

    held = outlook(store, ref)

    assert (right.next, right.wrong_cart) == (Next.QUEUE, "")
    assert (held.next, held.wrong_cart) == (Next.ANSWER, wishes.place_for(route))
    assert wishes.shelf_of(route, the_piece(store, ref))["which"] == "off"
    elsewhere = {
        place: wishes.shelf_of(route, replace(the_piece(store, ref), place=place))["which"] for place in ("rack 3", "")
    }
    assert elsewhere == {"rack 3": "held", "": "nowhere"}


def test_a_piece_that_goes_elsewhere_comes_off_its_cart(store: Store) -> None:
    ref = glazed(store, "Iron Gate")
    wishes.wish(store, asked_by(MIRA), ref, "mid-range")
    wishes.put_away(store, asked_by(MIRA), ref)
    cart = the_piece(store, ref).place

    wishes.withdraw(store, asked_by(MIRA), ref)

    assert (outlook(store, ref).next, outlook(store, ref).wrong_cart) == (Next.SAY_FIRING, cart)
    assert cart in said(to_do(outlook(store, ref), Reader(), is_mine=True))


def test_a_piece_asked_for_a_firing_comes_into_the_next_planned_one_with_room(store: Store) -> None:
    ref = glazed(store, "Iron Gate")
    wishes.wish(store, asked_by(MIRA), ref, "mid-range")
    none = outlook(store, ref).when
    days = (NOON - timedelta(days=3), NOON + timedelta(days=9), NOON + timedelta(days=2))
    _gone, _late, soon = (
        plans.plan(store, asked_by(TOM), "Back box", "mid-range", Cone.parse("6"), planned_for=day) for day in days
    )

    found = outlook(store, ref).when

    assert none == Coming(firing=None)
    assert isinstance(found, Coming)
    assert found.firing is not None
    assert found.firing.id == int(soon.extra["firing"])


# ---- what to do --------------------------------------------------------------------------------------------------


def test_each_stage_has_its_next_thing_and_whoever_does_it(store: Store) -> None:
    tile = pieces.register(store, asked_by(MIRA), a_new_piece()).ref
    wished = glazed(store, "Iron Gate")
    wishes.wish(store, asked_by(MIRA), wished, "mid-range")
    crawled, gone = fired(store, outcome=Outcome.of(Flaw.CRAWLED)), fired(store)
    pickup.hand_over(store, asked_by(TOM), gone)
    lost = bisqued(store)
    pieces.lose(store, asked_by(TOM), lost, "missing")

    found = {
        ref: (outlook(store, ref).next, outlook(store, ref).doer)
        for ref in (tile, bisqued(store), glazed(store, "Iron Gate"), wished, fired(store), crawled, gone, lost)
    }

    assert list(found.values()) == [
        (Next.DRY, Doer.NOBODY),
        (Next.WAX, Doer.MAKER),
        (Next.SAY_FIRING, Doer.MAKER),
        (Next.QUEUE, Doer.STAFF),
        (Next.PICK_UP, Doer.MAKER),
        (Next.FIRE_AGAIN, Doer.MAKER),
        (Next.DONE, Doer.NOBODY),
        (Next.FIND, Doer.NOBODY),
    ]
    assert outlook(store, wished).firing == "Mid-range"
    assert outlook(store, crawled).flaws == (Flaw.CRAWLED,)
    assert outlook(store, gone).spot.where is Where.MAKER


@pytest.mark.parametrize(
    ("how", "where", "next_"),
    [(Disposal.DONATE, Where.DONATED, Next.DONE), (Disposal.KEEP, Where.STUDIO, Next.KEPT)],
)
def test_a_piece_nobody_picked_up_is_where_it_was_given(store: Store, how: Disposal, where: Where, next_: Next) -> None:
    ref = fired(store)
    disposing.dispose(store, asked_by(ADA), how, [(ref, the_piece(store, ref).version)], to="Harvest sale")
    parted = outlook(store, ref)

    assert (parted.spot.where, parted.next) == (where, next_)
    assert parted.spot.name == ("Harvest sale" if how is Disposal.DONATE else "")


def test_a_piece_handed_out_before_lines_of_history_had_facts_is_with_its_maker(store: Store) -> None:
    ref = fired(store)
    pickup.hand_over(store, asked_by(TOM), ref)
    with store.writing() as connection:
        line = connection.execute(select(history).order_by(history.c.id.desc())).mappings().first()
        assert line is not None
        connection.execute(insert(history), {**line, "id": line["id"] + 1, "facts": None})

    assert outlook(store, ref).spot.where is Where.MAKER


def test_no_other_firing_is_offered_for_a_crack(store: Store) -> None:
    ref = fired(store, outcome=Outcome.of(Flaw.CRAWLED, Flaw.S_CRACK))

    assert outlook(store, ref).next is Next.PICK_UP


def test_no_other_firing_is_offered_where_the_rules_let_none_that_melts_its_glaze(store: Store) -> None:
    ref = fired(store, outcome=Outcome.of(Flaw.UNDERFIRED))
    glaze = the_piece(store, ref).layers[0].glaze
    hotter = replace(glaze, cone_low=Cone.parse("7"), cone_high=Cone.parse("8"))
    before = outlook(store, ref).next

    catalog.change(store, asked_by(ADA), hotter, confirmed=True)

    assert (before, outlook(store, ref).next) == (Next.FIRE_AGAIN, Next.PICK_UP)


def test_what_needs_a_yes_is_asked_then_answered_and_a_no_is_the_makers_turn_again(store: Store) -> None:
    tile = pieces.register(store, asked_by(MIRA), a_new_piece(clay="Box of scraps")).ref
    before = outlook(store, tile)
    number = int(questions.ask(store, asked_by(MIRA), tile, "May it?", route="bisque").extra["question"])
    asked = outlook(store, tile)
    questions.answer(store, asked_by(ADA), number, "It may be raku clay.", allows=False)
    declined = outlook(store, tile)
    again = int(questions.ask(store, asked_by(MIRA), tile, "And now?", route="bisque").extra["question"])
    questions.answer(store, asked_by(ADA), again, "In the corner.", allows=True)

    assert [one.next for one in (before, asked, declined)] == [Next.IDENTIFY, Next.ANSWER, Next.CHANGE]
    assert declined.firing == "Bisque"
    assert outlook(store, tile).next is Next.DRY


@pytest.mark.parametrize(
    ("person", "what", "is_turn"),
    [
        (MIRA, Next.GLAZE, True),
        (INES, Next.GLAZE, False),
        (TOM, Next.GLAZE, False),
        (TOM, Next.QUEUE, True),
        (MIRA, Next.QUEUE, False),
        (ADA, Next.ANSWER, True),
        (TOM, Next.ANSWER, False),
        (MIRA, Next.WAIT, False),
    ],
)
def test_it_is_the_turn_of_whoever_does_the_next_thing(person: Person, what: Next, *, is_turn: bool) -> None:
    assert Outlook(next=what, spot=Spot(where=Where.UNKNOWN)).waits_for(person, MIRA.id) is is_turn


# ---- when --------------------------------------------------------------------------------------------------------


def test_a_planned_piece_has_its_firing_and_its_day_and_is_late_from_the_next_day_on(store: Store) -> None:
    ref, day = queued(store), NOON + timedelta(days=3)
    plans.plan(store, asked_by(TOM), "Back box", "mid-range", Cone.parse("6"), planned_for=day)

    found, late = outlook(store, ref), outlook(store, ref, hours=3 * 24 + 25)

    assert isinstance(found.when, Planned)
    assert (found.next, found.when.firing.kiln, found.when.firing.day) == (Next.WAIT, "Back box", day)
    assert not found.when.is_late
    assert isinstance(late.when, Planned)
    assert late.when.is_late


def test_a_piece_behind_a_full_load_says_which_firing_left_it_out_why_and_how_many_come_first(store: Store) -> None:
    fired(store)
    kiln, plate = a_small_kiln(store), a_new_piece("plate", width_mm=200, depth_mm=200, height_mm=60)
    first, second = (queued(store, new=plate) for _ in range(2))
    number = int(plans.plan(store, asked_by(TOM), kiln, "mid-range", Cone.parse("6")).extra["firing"])

    planned, behind = outlook(store, first).when, outlook(store, second).when

    assert isinstance(planned, Planned)
    assert isinstance(behind, Behind)
    assert [one.id for one in behind.without] == [number]
    assert behind.why == NO_ROOM
    assert (behind.line.ahead, behind.line.load, behind.line.loads) == (0, 1, 1)


def test_a_piece_that_a_load_passes_over_is_told_why(store: Store) -> None:
    kiln, plate = a_small_kiln(store), a_new_piece("plate", width_mm=200, depth_mm=200, height_mm=60)
    removed = queued(store, new=plate)
    number = int(plans.plan(store, asked_by(TOM), kiln, "mid-range", Cone.parse("6")).extra["firing"])
    plans.leave_out(store, asked_by(TOM), number, removed)
    late = queued(store)

    behind = [outlook(store, ref).when for ref in (removed, late)]

    codes = [one.why.code if isinstance(one, Behind) and one.why else "" for one in behind]
    assert codes == ["taken-out-of-plan", "queued-after-the-plan"]


def test_no_firing_planned_is_said_with_the_turn_in_the_queue(store: Store) -> None:
    first, second = queued(store), queued(store)

    found = outlook(store, second).when

    assert outlook(store, first).when != found
    assert isinstance(found, Behind)
    assert (found.without, found.line.ahead, found.line.loads) == ((), 1, None)


def test_greenware_waits_in_the_line_for_the_bisque(store: Store) -> None:
    refs = [pieces.register(store, asked_by(MIRA, NOON + timedelta(minutes=n)), a_new_piece()).ref for n in range(3)]

    found = [outlook(store, ref).when for ref in refs]

    assert [one.line.ahead for one in found if isinstance(one, Behind)] == [0, 1, 2]


def test_a_kiln_that_is_loading_is_no_hot_one_and_a_lit_one_ends_with_its_schedule(store: Store) -> None:
    ref, number = queued(store), started(store)
    firings.put_in(store, asked_by(TOM), number, ref)
    loading = outlook(store, ref)
    number_of_question = int(questions.ask(store, asked_by(MIRA), ref, "Is the foot fine?").extra["question"])
    asked = outlook(store, ref)
    questions.answer(store, asked_by(ADA), number_of_question, "It is.", allows=True)
    firings.light(store, asked_by(TOM), number)

    lit = outlook(store, ref)

    assert asked.next is Next.ANSWER_IN_KILN
    assert (loading.next, loading.spot) == (Next.LOAD, Spot(where=Where.KILN, name="Back box"))
    assert isinstance(loading.when, Planned)
    assert loading.when.firing.stage is FiringStage.LOADING
    assert isinstance(lit.when, Hot)
    assert (lit.next, lit.when.opening.basis) == (Next.COOL, Basis.SCHEDULE)
    assert lit.when.opening.at is not None
    assert NOON + timedelta(hours=8) < lit.when.opening.at < NOON + timedelta(hours=16)


def test_a_hot_kiln_opens_by_earlier_firings_and_by_its_own_log_once_it_has_one(store: Store) -> None:
    before, number = queued(store), started(store)
    firings.put_in(store, asked_by(TOM), number, before)
    firings.light(store, asked_by(TOM, NOON - timedelta(hours=100)), number)
    firings.shut_off(store, asked_by(TOM, NOON - timedelta(hours=90)), number)
    off_and_out(store, asked_by(TOM, NOON - timedelta(hours=60)), number, {before: Outcome.GOOD})
    ref, hot = queued(store), started(store)
    firings.put_in(store, asked_by(TOM), hot, ref)
    firings.light(store, asked_by(TOM, NOON - timedelta(hours=12)), hot)
    firings.shut_off(store, asked_by(TOM, NOON - timedelta(hours=2)), hot)
    by_earlier = outlook(store, ref).when

    # Up to 1,220 °C in ten hours, then down by half every two hours over a room of 20.
    points = ((0, 20.0), (36_000, 1_220.0), (39_600, 868.5), (43_200, 620.0))
    logs.add_to_log(store, asked_by(TOM), hot, points)
    by_log = outlook(store, ref).when

    assert isinstance(by_earlier, Hot)
    assert (by_earlier.opening.basis, by_earlier.opening.count) == (Basis.EARLIER, 1)
    assert by_earlier.opening.at == NOON + timedelta(hours=28)
    assert isinstance(by_log, Hot)
    assert by_log.opening.basis is Basis.LOG
    # From 600 over the room to 100: log2(6) halvings of two hours after the last reading, at noon.
    expected = NOON + timedelta(hours=5.17)
    assert abs(by_log.opening.at - expected) < timedelta(minutes=2)  # type: ignore[operator]  # it has a time


def test_many_pieces_ask_about_each_firing_and_queue_once(store: Store) -> None:
    refs = [queued(store) for _ in range(4)]
    rows = store.read.pieces.by_ids([the_piece(store, ref).id for ref in refs])

    found = outlooks_of(store.read, rows, NOON)

    assert [one.when.line.ahead for one in found.values() if isinstance(one.when, Behind)] == [0, 1, 2, 3]


# ---- in words ----------------------------------------------------------------------------------------------------


def test_staff_are_told_the_firing_that_the_instructor_allowed(store: Store) -> None:
    ref = glazed(store)
    number = int(questions.ask(store, asked_by(MIRA), ref, "May it?", route="mid-range").extra["question"])
    before = to_do(outlook(store, ref), Reader(role=TOM.role), is_mine=False)
    questions.answer(store, asked_by(ADA), number, "It may.", allows=True)

    told = to_do(outlook(store, ref), Reader(role=TOM.role), is_mine=False)

    assert said(told) == "Put it in the queue for Mid-range: the instructor allowed it."
    assert "allowed" not in said(before)


@pytest.mark.parametrize("what", Next, ids=str)
@pytest.mark.parametrize("person", [MIRA, TOM, ADA], ids=lambda one: str(one.role))
def test_every_next_thing_has_words_for_its_maker_for_staff_and_for_the_instructor(what: Next, person: Person) -> None:
    one, reader = Outlook(next=what, spot=Spot(where=Where.UNKNOWN)), Reader(role=person.role)

    told = to_do(one, reader, is_mine=False), to_do(one, reader, is_mine=True)

    assert what in DOERS
    assert all(message.template for message in told)
    assert place(one, is_mine=True).code
    assert (when(one, reader), in_short(one, reader), basis(one)) == (None, None, None)


def test_a_glazed_piece_that_another_firing_takes_goes_there_after_a_no(store: Store) -> None:
    ref = glazed(store, "Iron Gate")
    number = int(questions.ask(store, asked_by(MIRA), ref, "Cooler?", route="low-fire").extra["question"])
    questions.answer(store, asked_by(ADA), number, "In mid-range.", allows=False)

    declined = outlook(store, ref)
    wishes.wish(store, asked_by(MIRA), ref, "mid-range")

    assert (declined.next, declined.doer, declined.firing) == (Next.OTHER_FIRING, Doer.MAKER, "Low-fire")
    assert outlook(store, ref).next is Next.QUEUE
