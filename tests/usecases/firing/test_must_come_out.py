"""A change while a kiln is being loaded: what it makes unfit is named with its kiln and comes out before the start."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import create_engine
from sqlalchemy.exc import DBAPIError

from tests.reading import said, tells
from tests.staffed import ADA, MIRA, TOM, asked_by, glazed, off_and_out, queued, started, the_piece
from tests.studio import NOON, a_glaze, a_new_piece, a_test
from tracker.domain.cones import Cone
from tracker.domain.findings import NeedsInstructor
from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.outlooks import Next, Where
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Stage, StepName, Use
from tracker.domain.refusals import MovesPieces, NotAllowed, NotAStep, Unusable
from tracker.domain.studio.absorption import Weighing
from tracker.domain.studio.materials import Coat, FoodStanding, Trait, Zone
from tracker.domain.studio.metals import LIMITED
from tracker.store import backup as keeping
from tracker.store.firing.queries import FiringPage
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pieces
from tracker.usecases.pieces.outlooks import outlook_of
from tracker.usecases.rules import evidence, questions
from tracker.usecases.rules.answers_taken_back import take_back_answer
from tracker.usecases.studio import catalog


def loaded(store: Store, *refs: str) -> int:
    """The number of a mid-range firing that is being loaded, with these pieces in it."""
    firing = started(store)
    for ref in refs:
        firings.put_in(store, asked_by(TOM), firing, ref)
    return firing


def top_cone(store: Store, cone: str, name: str = "Still Water") -> Receipt:
    """The glaze of this name with another top cone."""
    glaze, top = store.read.catalog().glaze(name), Cone.parse(cone)
    return catalog.change(store, asked_by(ADA), replace(glaze, cone_high=top), confirmed=True)


def page_of(store: Store, firing: int) -> FiringPage:
    """What the page of a firing shows."""
    page = store.read.firings.page(firing)
    assert page is not None
    return page


def leaving(store: Store, firing: int) -> list[str]:
    """What must come out of a firing's kiln."""
    return [row.ref for row, _why in page_of(store, firing).leaving]


def test_a_change_names_every_piece_that_must_come_out_with_its_kiln(store: Store, database_url: str) -> None:
    cup, bowl, stays, waits = (
        *(queued(store, "Still Water") for _ in range(2)),
        queued(store, "Wet Slate"),
        queued(store),
    )
    firing = loaded(store, cup, bowl, stays)
    glaze = replace(store.read.catalog().glaze("Still Water"), cone_high=Cone.parse("5"))

    with pytest.raises(MovesPieces) as ahead:
        catalog.change(store, asked_by(ADA), glaze)
    receipt = catalog.change(store, asked_by(ADA), glaze, confirmed=True)

    assert said(ahead.value.message).endswith(f"You would have to take {cup} and {bowl} out of Back box.")
    assert said(receipt.message).endswith(
        f"3 pieces left the Mid-range queue: {cup}, {bowl}, and {waits}. Take {cup} and {bowl} out of Back box now."
    )
    shown = page_of(store, firing)
    assert [row.ref for row in shown.pieces] == [stays]
    assert [(row.ref, why.findings[0].rule) for row, why in shown.leaving] == [
        (cup, "glaze-melts-off"),
        (bowl, "glaze-melts-off"),
    ]
    assert keeping.check(database_url) == ()


def test_the_kiln_is_not_started_until_each_is_confirmed_to_be_out(store: Store, database_url: str) -> None:
    cup, bowl, stays = queued(store, "Still Water"), queued(store, "Still Water"), queued(store, "Wet Slate")
    pieces.shelve(store, asked_by(TOM), bowl, "cart 1")
    firing = loaded(store, cup, bowl, stays)
    top_cone(store, "5")

    with pytest.raises(NotAStep) as both:
        firings.light(store, asked_by(TOM), firing)
    firings.take_out(store, asked_by(TOM), firing, cup)
    with pytest.raises(NotAStep) as one:
        firings.light(store, asked_by(TOM), firing)
    with pytest.raises(NotAStep, match="take-out-now"):
        firings.put_in(store, asked_by(TOM), firing, bowl)
    scanned = firings.take_out(store, asked_by(TOM, NOON + timedelta(minutes=5)), firing, bowl)
    firings.light(store, asked_by(TOM), firing)
    off_and_out(store, asked_by(TOM), firing, {stays: Outcome.GOOD})

    assert said(both.value.message) == f"Take {cup} and {bowl} out of Back box now."
    assert said(one.value.message) == f"Take {bowl} out of Back box now."
    assert tells([scanned.message], "confirmed-out", piece=bowl, kiln="Back box")
    # Nobody has said where it was put.
    assert the_piece(store, bowl).place == ""
    (*_, line) = store.read.pieces.page(the_piece(store, bowl).id).history
    assert (line.step, line.by, line.at, line.kiln) == (
        StepName.TAKE_OUT,
        TOM.name,
        NOON + timedelta(minutes=5),
        "Back box",
    )
    assert [found.rule for found in line.findings] == ["glaze-melts-off"]
    assert [the_piece(store, ref).stage for ref in (cup, bowl, stays)] == [Stage.GLAZED, Stage.GLAZED, Stage.FIRED]
    assert keeping.check(database_url) == ()


def test_no_statement_starts_a_kiln_from_which_a_piece_must_come_out(store: Store, database_url: str) -> None:
    firing = loaded(store, queued(store, "Still Water"), queued(store, "Wet Slate"))
    top_cone(store, "5")
    hand = create_engine(database_url)

    for stage in (FiringStage.FIRING, FiringStage.COOLING, FiringStage.UNLOADED):
        with pytest.raises(DBAPIError, match="a piece that must come out"), hand.begin() as connection:
            connection.exec_driver_sql(f"UPDATE firings SET stage = '{stage}' WHERE id = {firing}")

    hand.dispose()
    assert page_of(store, firing).firing.stage is FiringStage.LOADING


def test_no_statement_takes_a_piece_off_the_list_of_what_must_come_out(store: Store, database_url: str) -> None:
    out, stays = queued(store, "Still Water"), queued(store, "Wet Slate")
    firing = loaded(store, out, stays)
    other = started(store, "Front box", "low-fire", "04")
    top_cone(store, "5")
    hand = create_engine(database_url)
    ways = [
        "DELETE FROM leaving",
        f"UPDATE leaving SET firing_id = {other}",
        f"UPDATE leaving SET piece_id = {the_piece(store, stays).id}",
        "TRUNCATE leaving" if hand.dialect.name == "postgresql" else f"DELETE FROM firings WHERE id = {firing}",
    ]
    if hand.dialect.name == "sqlite":
        columns = "piece_id, since, findings, version, queue_route, waiting_since, accepted, question_id"
        ways += [
            f"INSERT OR REPLACE INTO leaving (firing_id, {columns}) SELECT {other}, {columns} FROM leaving",
            f"DELETE FROM pieces WHERE id = {the_piece(store, out).id}",
        ]

    for way in ways:
        with pytest.raises(DBAPIError), hand.begin() as connection:
            connection.exec_driver_sql(way)

    hand.dispose()
    assert leaving(store, firing) == [out]


@pytest.mark.parametrize("put_away", ["", "rack 3"])
def test_what_must_come_out_is_on_no_cart_and_afterward_where_somebody_put_it(
    store: Store, database_url: str, put_away: str
) -> None:
    ref = queued(store, "Still Water")
    pieces.shelve(store, asked_by(TOM), ref, "Mid-range")
    firing = loaded(store, ref)
    top_cone(store, "5")
    (row,) = [row for row, _why in page_of(store, firing).leaving]
    outlook = outlook_of(store.read, row, NOON)

    if put_away:
        pieces.shelve(store, asked_by(TOM), ref, put_away)
    firings.take_out(store, asked_by(TOM), firing, ref)

    assert (outlook.next, outlook.spot.where, outlook.wrong_cart) == (Next.COME_OUT, Where.KILN, "")
    assert the_piece(store, ref).shelf == put_away
    assert keeping.check(database_url) == ()


def test_what_is_confirmed_to_be_out_is_confirmed_once_and_by_staff(store: Store) -> None:
    ref = queued(store, "Still Water")
    firing = loaded(store, ref)
    top_cone(store, "5")
    request = asked_by(TOM)

    with pytest.raises(NotAllowed):
        firings.take_out(store, asked_by(MIRA), firing, ref)
    assert firings.take_out(store, request, firing, ref) == firings.take_out(store, request, firing, ref)
    with pytest.raises(NotAStep, match="not-in-this-kiln"):
        firings.take_out(store, asked_by(TOM), firing, ref)


def test_a_change_that_is_undone_before_anybody_took_a_piece_out_leaves_it_where_it_was(
    store: Store, database_url: str
) -> None:
    ref, other = queued(store, "Still Water"), queued(store, "Still Water")
    since = next(row.waiting_since for row in store.read.pieces.waiting() if row.ref == ref)
    firing = loaded(store, ref, other)
    top_cone(store, "5")
    firings.take_out(store, asked_by(TOM), firing, other)

    receipt = top_cone(store, "6")
    firings.light(store, asked_by(TOM), firing)

    assert f"{ref} passes the check again and stays in Back box." in said(receipt.message)
    assert said(receipt.message).endswith(f"1 piece is fit for Mid-range again: {other}. Put it back in the queue.")
    assert (the_piece(store, ref).route, the_piece(store, ref).in_firing) == ("mid-range", firing)
    (row,) = store.read.pieces.waiting()
    assert (row.ref, row.waiting_since, row.question_open) == (ref, since, False)
    assert the_piece(store, other).stage is Stage.GLAZED
    assert keeping.check(database_url) == ()


def test_what_a_change_took_out_of_its_queue_goes_back_to_its_old_place_once_that_is_undone(
    store: Store, database_url: str
) -> None:
    ref = queued(store, "Still Water")
    (since,) = [row.waiting_since for row in store.read.pieces.waiting()]
    firing = loaded(store, ref)
    top_cone(store, "5")
    firings.take_out(store, asked_by(TOM), firing, ref)
    top_cone(store, "6")
    row = store.read.pieces.row(code=ref)
    assert row is not None
    outlook = outlook_of(store.read, row, NOON)

    later = NOON + timedelta(days=3)
    pieces.queue(store, asked_by(TOM, later), ref, "mid-range")
    (back,) = store.read.pieces.waiting()
    pieces.pull_back(store, asked_by(TOM, later), ref)
    pieces.queue(store, asked_by(TOM, later), ref, "mid-range")
    (anew,) = store.read.pieces.waiting()

    assert (outlook.next, outlook.firing) == (Next.QUEUE, "Mid-range")
    assert (back.waiting_since, anew.waiting_since) == (since, later)
    assert keeping.check(database_url) == ()


def test_what_was_done_with_a_piece_meanwhile_is_not_undone_by_undoing_the_change(store: Store) -> None:
    ref, other = queued(store, "Still Water"), queued(store, "Still Water")
    firing = loaded(store, ref, other)
    top_cone(store, "5")
    pieces.wash_off(store, asked_by(TOM), ref)

    top_cone(store, "6")

    assert leaving(store, firing) == [ref]
    assert (the_piece(store, ref).stage, the_piece(store, other).stage) == (Stage.BISQUED, Stage.QUEUED)


def test_greenware_that_is_fit_again_stays_in_the_bisque(store: Store, database_url: str) -> None:
    slip = pieces.register(store, asked_by(ADA), a_new_piece(clay="Roof Tile Red")).ref
    firing = started(store, "Front box", "bisque", "04")
    firings.put_in(store, asked_by(TOM), firing, slip, dry=True)
    clay = store.read.catalog().clay("Roof Tile Red")
    catalog.change(store, asked_by(ADA), replace(clay, cone_high=Cone.parse("06")), confirmed=True)
    out = leaving(store, firing)

    catalog.change(store, asked_by(ADA), clay)
    firings.light(store, asked_by(TOM), firing)

    assert (out, leaving(store, firing)) == ([slip], [])
    assert the_piece(store, slip).in_firing == firing
    assert keeping.check(database_url) == ()


def test_another_kiln_does_not_get_a_piece_that_is_not_confirmed_to_be_out(store: Store) -> None:
    ref = queued(store, "Still Water")
    firing = loaded(store, ref)
    top_cone(store, "5")
    pieces.wash_off(store, asked_by(TOM), ref)
    pieces.glaze(store, asked_by(TOM), ref, "Plum Gloss", Zone.OUTSIDE)
    (question,) = store.read.questions.open()
    questions.answer(store, asked_by(ADA), question.id, "Low-fire, then.", allows=True)
    pieces.queue(store, asked_by(TOM), ref, "low-fire")
    other = started(store, "Front box", "low-fire", "04")

    with pytest.raises(NotAStep, match=f"still-in-another-kiln.*Back box.*{firing}"):
        firings.put_in(store, asked_by(TOM), other, ref)
    firings.take_out(store, asked_by(TOM), firing, ref)
    firings.put_in(store, asked_by(TOM), other, ref)

    assert the_piece(store, ref).in_firing == other


# ---- whatever makes it unfit


def _decorative(store: Store) -> None:
    shelf = store.read.catalog()
    catalog.change(
        store, asked_by(ADA), replace(shelf.glaze("Still Water"), food=FoodStanding.DECORATIVE), confirmed=True
    )


def _too_porous(store: Store) -> None:
    practice = replace(store.read.catalog().practice, food_absorption_pct=0.5)
    catalog.set_practice(store, asked_by(ADA), practice, confirmed=True)


def _from_a_file(store: Store) -> None:
    studio = store.read.studio()
    glazes = dict(studio.catalog.glazes)
    glazes["Still Water"] = replace(glazes["Still Water"], cone_high=Cone.parse("5"))
    wanted = replace(studio, catalog=replace(studio.catalog, glazes=glazes))
    catalog.change_studio(store, asked_by(ADA), wanted, confirmed=True)


def _test_withdrawn(store: Store) -> None:
    evidence.withdraw_test(store, asked_by(ADA), "Still Water", 0, "It was another bucket.", confirmed=True)


def _weighed(store: Store) -> None:
    porous = Weighing(dry_g=100.0, saturated_g=109.0, suspended_g=60.0, cone=Cone.parse("6"))
    evidence.add_weighing(store, asked_by(ADA), "Doorstep Buff", porous, confirmed=True)


@pytest.mark.parametrize(
    "changes",
    [_decorative, _too_porous, _from_a_file, _test_withdrawn, _weighed],
    ids=["a glaze", "settings", "a studio file", "a leach test withdrawn", "an absorption test"],
)
def test_whatever_change_makes_a_loaded_piece_unfit_it_must_come_out(
    store: Store, changes: Callable[[Store], None]
) -> None:
    for metal in LIMITED:
        evidence.add_release_test(store, asked_by(ADA), "Still Water", a_test(metal=metal))
    weighing = Weighing(dry_g=100.0, saturated_g=101.0, suspended_g=60.0, cone=Cone.parse("6"))
    evidence.add_weighing(store, asked_by(ADA), "Doorstep Buff", weighing)
    ref = queued(store, "Still Water", new=a_new_piece(use=Use.FOOD))
    firing = loaded(store, ref)

    changes(store)

    assert leaving(store, firing) == [ref]
    with pytest.raises(NotAStep, match="take-out-now"):
        firings.light(store, asked_by(TOM), firing)


@pytest.mark.parametrize(
    ("name", "facts", "leaves"),
    [
        ("Chalk Line", {"coat": Coat.GLAZE}, ["foot-not-clear"]),
        ("Still Water", {"food": FoodStanding.UNTESTED}, ["untested-for-food"]),
        ("Middle Mist", {"food": FoodStanding.DECLARED}, []),
        ("Doorstep Buff", {"cone_low": Cone.parse("8"), "cone_high": Cone.parse("10")}, ["clay-porous-for-food"]),
    ],
    ids=["a coat on the foot is a glaze", "a second doubt", "a doubt less", "clay that stays porous"],
)
def test_a_risk_that_was_accepted_is_accepted_for_no_more_than_was_said_then(
    store: Store, name: str, facts: dict[str, Any], leaves: list[str]
) -> None:
    """Common practice: whoever signs off on one doubt has signed off on no other."""
    for new in (a_glaze("Chalk Line", coat=Coat.UNDERGLAZE), a_glaze("Middle Mist", food=FoodStanding.UNTESTED)):
        catalog.add(store, asked_by(ADA), new)
    ref = glazed(store, "Still Water", "Wet Slate", "Middle Mist", new=a_new_piece(use=Use.FOOD))
    pieces.glaze(store, asked_by(TOM), ref, "Chalk Line", Zone.FOOT)
    pieces.queue(store, asked_by(TOM), ref, "mid-range", accepts={"untested-for-food"})
    firing = loaded(store, ref)
    shelf = store.read.catalog()
    thing = shelf.clays[name] if name in shelf.clays else shelf.glaze(name)

    catalog.change(store, asked_by(ADA), replace(thing, **facts), confirmed=True)

    found = [finding.rule for _row, why in page_of(store, firing).leaving for finding in why.findings]
    assert list(dict.fromkeys(found)) == leaves


def test_a_change_undone_names_what_is_out_of_its_queue_and_takes_its_question_back(store: Store) -> None:
    weighing = Weighing(dry_g=100.0, saturated_g=101.0, suspended_g=60.0, cone=Cone.parse("6"))
    evidence.add_weighing(store, asked_by(ADA), "Doorstep Buff", weighing)
    ref = queued(store, "Still Water", new=a_new_piece(use=Use.FOOD))
    practice = store.read.catalog().practice
    _too_porous(store)
    (asked,) = store.read.questions.open()

    receipt = catalog.set_practice(store, asked_by(ADA), practice, confirmed=True)

    assert asked.ref == ref
    assert said(receipt.message).endswith(f"1 piece is fit for Mid-range again: {ref}. Put it back in the queue.")
    assert store.read.questions.open() == ()
    assert the_piece(store, ref).stage is Stage.GLAZED
    (kept,) = store.read.questions.withdrawn(asked.piece_id)
    assert (kept.text, kept.asked_by, kept.asked_at) == (asked.text, asked.asked_by, asked.asked_at)
    assert (kept.withdrawn_by, kept.withdrawn_at) == (ADA.name, asked_by(ADA).at)


def test_only_what_can_still_go_back_as_it_left_is_told_to_be_fit_again(store: Store) -> None:
    stays, lost, washed, other = (queued(store, "Still Water") for _ in range(4))
    top_cone(store, "5")
    pieces.lose(store, asked_by(TOM), lost, "dropped")
    for ref in (washed, other):
        pieces.wash_off(store, asked_by(TOM), ref)
    pieces.glaze(store, asked_by(TOM), other, "Wet Slate", Zone.OUTSIDE)

    receipt = top_cone(store, "6")

    assert said(receipt.message).endswith(f"1 piece is fit for Mid-range again: {stays}. Put it back in the queue.")


def test_to_a_firing_type_that_is_retired_nothing_is_told_to_be_fit_again(store: Store) -> None:
    queued(store, "Still Water")
    top_cone(store, "5")
    catalog.change(store, asked_by(ADA), replace(store.read.catalog().route("mid-range"), retired=True), confirmed=True)

    receipt = top_cone(store, "6")

    assert not tells([receipt.message], "fit-to-queue")


def test_a_piece_that_must_still_come_out_keeps_no_other_out(store: Store) -> None:
    cup, bowl = queued(store, "Still Water"), queued(store, "Wet Slate")
    firing = loaded(store, cup, bowl)
    for name in ("Still Water", "Wet Slate"):
        top_cone(store, "5", name)

    top_cone(store, "6", "Wet Slate")

    assert leaving(store, firing) == [cup]
    assert [row.ref for row in page_of(store, firing).pieces] == [bowl]


def test_a_question_asked_again_is_about_the_queue_left_then_not_about_one_left_since(store: Store) -> None:
    shelf = store.read.catalog()
    catalog.change(store, asked_by(ADA), replace(shelf.route("high-fire"), cone=Cone.parse("8")))
    top_cone(store, "8")
    ref, later = glazed(store, "Still Water"), NOON + timedelta(hours=1)
    pieces.queue(store, asked_by(TOM), ref, "high-fire")
    top_cone(store, "6")
    (asked,) = store.read.questions.open()
    questions.answer(store, asked_by(ADA), asked.id, "Then cone 6.", allows=False)
    pieces.queue(store, asked_by(TOM, later), ref, "mid-range")
    pieces.pull_back(store, asked_by(TOM, later), ref)
    take_back_answer(store, asked_by(ADA, later), asked.id)

    now = questions.as_found_now(store.read, asked, later)
    receipt = top_cone(store, "8")

    assert now == (asked.findings, [])
    # The record of the answer keeps its question, and with that the piece goes nowhere yet.
    assert [one.id for one in store.read.questions.open()] == [asked.id]
    assert not tells([receipt.message], "fit-to-queue")


def test_a_firing_type_with_another_cone_names_the_firings_that_stay_at_theirs(store: Store) -> None:
    firing = started(store)
    route = replace(store.read.catalog().route("mid-range"), cone=Cone.parse("5"))

    receipt = catalog.change(store, asked_by(ADA), route, confirmed=True)

    assert f"firing {firing} in Back box stays at cone 6" in said(receipt.message)


# ---- what a person says


def a_question(store: Store, ref: str, route: str | None = "mid-range") -> int:
    """The number of a question about a piece, as somebody typed it."""
    return int(questions.ask(store, asked_by(TOM), ref, "Is that crack new?", route=route).extra["question"])


def test_a_kiln_is_not_started_with_a_piece_on_which_a_question_is_open(store: Store) -> None:
    ref = queued(store, "Still Water")
    firing = loaded(store, ref)
    number = a_question(store, ref, route=None)

    with pytest.raises(Unusable, match=f"unfit-in-a-kiln.*{ref}.*question"):
        firings.light(store, asked_by(TOM), firing)
    questions.answer(store, asked_by(ADA), number, "It is a pencil line.", allows=True)
    firings.light(store, asked_by(TOM), firing)

    assert page_of(store, firing).firing.stage is FiringStage.FIRING


def test_a_piece_that_the_instructor_declines_while_it_is_in_a_kiln_must_come_out(
    store: Store, database_url: str
) -> None:
    ref, other = queued(store, "Still Water"), queued(store, "Still Water")
    firing = loaded(store, ref, other)

    receipt = questions.answer(store, asked_by(ADA), a_question(store, ref), "It would break.", allows=False)

    assert said(receipt.message).endswith(f"1 piece left the Mid-range queue: {ref}. Take {ref} out of Back box now.")
    with pytest.raises(NotAStep, match="take-out-now"):
        firings.light(store, asked_by(TOM), firing)
    firings.take_out(store, asked_by(TOM), firing, ref)
    with pytest.raises(NeedsInstructor, match="instructor-declined"):
        pieces.queue(store, asked_by(TOM), ref, "mid-range")
    assert keeping.check(database_url) == ()


def test_a_no_to_a_free_question_takes_a_piece_out_of_its_load(store: Store) -> None:
    ref = queued(store, "Still Water")
    firing = loaded(store, ref)

    receipt = questions.answer(store, asked_by(ADA), a_question(store, ref, None), "It would break.", allows=False)

    assert said(receipt.message).endswith(f"1 piece left the Mid-range queue: {ref}. Take {ref} out of Back box now.")
    assert leaving(store, firing) == [ref]


def test_what_the_instructor_declined_stays_unfit_until_they_allow_it(store: Store) -> None:
    ref = queued(store, "Still Water")
    firing = loaded(store, ref)
    questions.answer(store, asked_by(ADA), a_question(store, ref), "No.", allows=False)
    top_cone(store, "7")
    before = leaving(store, firing)

    receipt = questions.answer(store, asked_by(ADA), a_question(store, ref), "It may after all.", allows=True)

    assert (before, leaving(store, firing)) == ([ref], [])
    assert said(receipt.message) == f"{ref}: approved. {ref} passes the check again and stays in Back box."
    assert the_piece(store, ref).in_firing == firing


def test_with_leave_for_what_a_change_asks_about_the_piece_stays(store: Store, database_url: str) -> None:
    ref = queued(store, "Still Water", new=a_new_piece(use=Use.FOOD))
    firing = loaded(store, ref)
    glaze = store.read.catalog().glaze("Still Water")
    catalog.change(store, asked_by(ADA), replace(glaze, traits=frozenset({Trait.CRACKLE})), confirmed=True)
    (question,) = store.read.questions.open()

    questions.answer(store, asked_by(ADA), question.id, "It is for show.", allows=True)
    firings.light(store, asked_by(TOM), firing)

    assert the_piece(store, ref).in_firing == firing
    assert keeping.check(database_url) == ()


def test_a_no_to_one_firing_alone_is_no_no_to_another(store: Store) -> None:
    ref, cool = queued(store), started(store, cone="4")
    asked = questions.ask_at_the_door(store, asked_by(TOM), cool, ref).extra["question"]
    questions.answer(store, asked_by(ADA), int(asked), "Not this one.", allows=False)
    firings.call_off(store, asked_by(TOM), cool)

    firing = loaded(store, ref)

    assert the_piece(store, ref).in_firing == firing
