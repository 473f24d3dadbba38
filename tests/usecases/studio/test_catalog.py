"""The catalog changed while pieces wait: exactly those that it makes unfit leave, each with a question."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import replace
from datetime import timedelta

import pytest

from tests.reading import is_told, said
from tests.staffed import ADA, TOM, asked_by, glazed, queued, started, the_piece
from tests.studio import NOON, a_clay, a_glaze, a_new_piece, a_studio
from tracker.domain.cones import Cone
from tracker.domain.findings import Level, Unfit
from tracker.domain.message import Message
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.piece import Stage, StepName, Use
from tracker.domain.refusals import ChangedMeanwhile, MovesPieces, NotAllowed, NotAStep, Unknown, Unusable
from tracker.domain.studio.catalog_changes import with_thing
from tracker.domain.studio.kilns import Kiln, Room, Route, RouteKind
from tracker.domain.studio.materials import FoodStanding, Trait, Zone
from tracker.domain.studio.people import Right
from tracker.store import backup as keeping
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pieces
from tracker.usecases.rules import questions
from tracker.usecases.studio import catalog


def told_by_check(store: Store, database_url: str) -> list[Message]:
    """Everything that is wrong in the database."""
    return list(keeping.check(database_url))


def cooler(store: Store, name: str, cone: str) -> Receipt:
    """The glaze of this name with another top cone, saved with leave to move pieces."""
    glaze = store.read.catalog().glaze(name)
    low = min(glaze.cone_low, Cone.parse(cone))
    return catalog.change(
        store, asked_by(ADA), replace(glaze, cone_low=low, cone_high=Cone.parse(cone)), confirmed=True
    )


def test_lowering_a_top_cone_pulls_exactly_the_pieces_that_wear_it(store: Store, database_url: str) -> None:
    worn = [queued(store, "Still Water"), queued(store, "Still Water", "Wet Slate")]
    other = queued(store, "Wet Slate")

    receipt = cooler(store, "Still Water", "5")

    assert receipt.refs == tuple(worn)
    assert said(receipt.message).endswith(f"2 pieces left the Mid-range queue: {worn[0]} and {worn[1]}.")
    assert [the_piece(store, ref).stage for ref in worn] == [Stage.GLAZED, Stage.GLAZED]
    assert the_piece(store, other).stage is Stage.QUEUED
    assert {row.ref for row in store.read.pieces.waiting()} == {other}
    assert told_by_check(store, database_url) == []


def test_a_piece_that_was_moved_says_why_and_is_held_until_the_instructor_answers(store: Store) -> None:
    ref = queued(store, "Still Water")

    cooler(store, "Still Water", "5")

    page = store.read.pieces.page(the_piece(store, ref).id)
    (question,) = page.questions
    assert is_told(question.text, "left-by-the-catalog", {"firing": "Mid-range"})
    assert question.text["why"] == question.findings[0].message
    assert question.findings[0].rule == "glaze-melts-off"
    last = page.history[-1]
    assert (last.step, last.to, last.by) == (StepName.PULL_BACK, Stage.GLAZED, ADA.name)
    assert last.facts["why"] == last.findings[0].message
    assert last.findings[0].level is Level.REFUSE
    assert page.piece.has_question


def test_nothing_is_changed_until_somebody_confirms_that_pieces_may_be_moved(store: Store) -> None:
    ref = queued(store, "Still Water")
    glaze = store.read.catalog().glaze("Still Water")

    with pytest.raises(MovesPieces, match=f"would-leave-a-queue.*count=1.*{ref}") as ahead:
        catalog.change(store, asked_by(ADA), replace(glaze, cone_high=Cone.parse("5")))

    assert ahead.value.leaves
    assert store.read.catalog().glaze("Still Water") == glaze
    assert the_piece(store, ref).stage is Stage.QUEUED


def test_looking_ahead_names_the_pieces_and_changes_nothing(store: Store) -> None:
    ref, studio = queued(store, "Still Water"), store.read.studio()
    glaze = replace(studio.catalog.glaze("Still Water"), cone_high=Cone.parse("5"))

    seen = catalog.look_ahead(store.read, with_thing(studio, glaze), NOON)

    assert [one.row.ref for one in seen.moved] == [ref]
    assert [said(one) for one in seen.differences] == ["glaze Still Water: top cone 6 → 5 (1,222 °C → 1,186 °C)"]
    assert store.read.studio() == studio


def test_a_piece_in_a_kiln_that_is_being_loaded_comes_out_of_it_too(store: Store, database_url: str) -> None:
    ref, other = queued(store, "Still Water"), queued(store, "Wet Slate")
    firing = started(store)
    for one in (ref, other):
        firings.put_in(store, asked_by(TOM), firing, one)

    cooler(store, "Still Water", "5")

    page = store.read.firings.page(firing)
    assert page is not None
    assert [row.ref for row in page.pieces] == [other]
    assert the_piece(store, ref).stage is Stage.GLAZED
    assert told_by_check(store, database_url) == []


def test_what_is_only_a_warning_asks_nothing_of_a_piece_behind_a_shut_door(store: Store) -> None:
    ref = queued(store, "Still Water")
    firing = started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)
    firings.light(store, asked_by(TOM), firing)
    glaze = store.read.catalog().glaze("Still Water")

    catalog.change(store, asked_by(ADA), replace(glaze, traits=glaze.traits | {Trait.RUNNY}), confirmed=True)

    assert the_piece(store, ref).in_firing == firing
    assert the_piece(store, ref).route == "mid-range"


def test_a_clay_that_stands_less_takes_greenware_out_of_the_bisque(store: Store, database_url: str) -> None:
    slip = pieces.register(store, asked_by(ADA), a_new_piece(clay="Roof Tile Red")).ref
    firing = started(store, "Front box", "bisque", "04")
    firings.put_in(store, asked_by(TOM), firing, slip, dry=True)
    clay = store.read.catalog().clay("Roof Tile Red")

    receipt = catalog.change(store, asked_by(ADA), replace(clay, cone_high=Cone.parse("06")), confirmed=True)

    assert said(receipt.message) == (
        f"Saved. Clay Roof Tile Red: top cone 04 → 06 (1,063 °C → 998 °C). Take {slip} out of Front box now."
    )
    with pytest.raises(NotAStep, match="take-out-now"):
        firings.call_off(store, asked_by(TOM), firing)
    assert the_piece(store, slip).stage is Stage.GREENWARE
    assert the_piece(store, slip).has_question
    assert told_by_check(store, database_url) == []


def test_raising_a_top_cone_again_lets_the_piece_wait_for_more_heat(store: Store, database_url: str) -> None:
    ref = glazed(store, "Still Water")
    cooler(store, "Still Water", "5")
    cooler(store, "Still Water", "6")

    pieces.queue(store, asked_by(TOM), ref, "mid-range")

    assert the_piece(store, ref).route == "mid-range"
    assert told_by_check(store, database_url) == []


def test_an_indoor_glaze_that_becomes_an_outdoor_one_leaves_the_indoor_queue(store: Store, database_url: str) -> None:
    ref = queued(store, "Plum Gloss", route="low-fire", new=a_new_piece(clay="Roof Tile Red"))
    glaze = store.read.catalog().glaze("Plum Gloss")
    outdoors = replace(glaze, family=store.read.catalog().glaze("Ember Luster").family)

    catalog.change(store, asked_by(ADA), outdoors, confirmed=True)
    moved = the_piece(store, ref)
    catalog.change(store, asked_by(ADA), glaze)

    assert (moved.stage, moved.is_outdoor_only) == (Stage.GLAZED, True)
    assert not the_piece(store, ref).is_outdoor_only
    assert told_by_check(store, database_url) == []


def test_a_hotter_route_is_left_by_what_does_not_stand_it(store: Store, database_url: str) -> None:
    stays, goes = queued(store, "Wet Slate"), queued(store, new=a_new_piece(clay="Middle Gray"))
    cooler(store, "Wet Slate", "7")
    route = store.read.catalog().route("mid-range")

    catalog.change(store, asked_by(ADA), route.at(Cone.parse("7")), confirmed=True)

    assert [row.ref for row in store.read.pieces.waiting()] == [stays]
    assert the_piece(store, goes).stage is Stage.GLAZED
    assert told_by_check(store, database_url) == []


def test_a_warning_that_nobody_accepted_moves_a_piece_and_one_that_was_accepted_does_not(store: Store) -> None:
    new = a_new_piece(use=Use.FOOD)
    cup, accepted = glazed(store, "Still Water", new=new), glazed(store, "Wet Slate", new=new)
    pieces.queue(store, asked_by(TOM), cup, "mid-range")
    pieces.queue(store, asked_by(TOM), accepted, "mid-range", accepts={"untested-for-food"})
    shelf = store.read.catalog()

    catalog.change(store, asked_by(ADA), replace(shelf.glaze("Wet Slate"), bucket="shelf 9"))
    receipt = catalog.change(
        store, asked_by(ADA), replace(shelf.glaze("Still Water"), food=FoodStanding.UNTESTED), confirmed=True
    )

    assert receipt.refs == (cup,)
    assert the_piece(store, accepted).stage is Stage.QUEUED


def test_what_the_instructor_allowed_stays_and_what_is_asked_anew_goes(store: Store) -> None:
    new = a_new_piece(use=Use.FOOD)
    ref = glazed(store, "Attic Window", new=new)
    asked = questions.ask(store, asked_by(TOM), ref, "", route="mid-range").extra["question"]
    questions.answer(store, asked_by(ADA), int(asked), "A display bowl.", allows=True)
    pieces.queue(store, asked_by(TOM), ref, "mid-range")
    crackles = replace(store.read.catalog().glaze("Still Water"), traits=frozenset({Trait.CRACKLE}))
    other = queued(store, "Still Water", new=new)

    receipt = catalog.change(store, asked_by(ADA), crackles, confirmed=True)

    assert receipt.refs == (other,)
    assert the_piece(store, ref).stage is Stage.QUEUED
    (question,) = store.read.questions.open()
    assert (question.ref, question.route) == (other, "mid-range")


def test_a_question_that_somebody_asked_moves_nothing(store: Store) -> None:
    ref = queued(store)
    questions.ask(store, asked_by(TOM), ref, "Whose is it?")

    receipt = catalog.change(store, asked_by(ADA), replace(store.read.catalog().glaze("Still Water"), bucket="shelf 7"))

    assert said(receipt.message) == "Saved. Glaze Still Water changed."
    assert the_piece(store, ref).stage is Stage.QUEUED


def test_a_smaller_chamber_sends_out_what_no_kiln_can_hold_any_more(store: Store) -> None:
    tall, low = queued(store, new=a_new_piece(height_mm=400)), queued(store)
    kiln = store.read.catalog().kiln("Back box")

    receipt = catalog.change(
        store, asked_by(ADA), replace(kiln, chamber=Room(height_mm=300, round_mm=500)), confirmed=True
    )

    assert receipt.refs == (tall,)
    assert the_piece(store, low).stage is Stage.QUEUED


def test_a_stricter_practice_moves_what_it_no_longer_allows(store: Store) -> None:
    ref = queued(store, "Still Water", new=a_new_piece(use=Use.FOOD))
    practice = replace(store.read.catalog().practice, food_absorption_pct=1.0)

    receipt = catalog.set_practice(store, asked_by(ADA), practice, confirmed=True)

    assert receipt.refs == (ref,)
    assert store.read.catalog().practice == practice


# ---- retiring ------------------------------------------------------------------------------------------------------


def test_a_retired_glaze_stays_on_what_wears_it_and_goes_on_nothing_else(store: Store) -> None:
    ref, bare = queued(store, "Still Water"), glazed(store, "Wet Slate")

    catalog.retire(store, asked_by(ADA), "glaze", "Still Water")

    assert the_piece(store, ref).worn_names == ("Still Water",)
    assert the_piece(store, ref).stage is Stage.QUEUED
    with pytest.raises(NotAStep, match="glaze-retired"):
        pieces.glaze(store, asked_by(TOM), bare, "Still Water", Zone.OUTSIDE)
    assert said(catalog.bring_back(store, asked_by(ADA), "glaze", "Still Water").message) == "Still Water: back in use."


def test_a_retired_clay_is_refused_to_new_pieces(store: Store) -> None:
    catalog.retire(store, asked_by(ADA), "clay", "Gravel Walk")

    with pytest.raises(NotAStep, match="clay-retired"):
        pieces.register(store, asked_by(ADA), a_new_piece(clay="Gravel Walk"))


def test_a_retired_route_is_left_by_all_that_waits_for_it(store: Store, database_url: str) -> None:
    ref = queued(store)

    receipt = catalog.retire(store, asked_by(ADA), "route", "mid-range", confirmed=True)

    assert receipt.refs == (ref,)
    assert the_piece(store, ref).stage is Stage.GLAZED
    with pytest.raises(NotAStep, match="route-retired"):
        pieces.queue(store, asked_by(TOM), ref, "mid-range")
    assert told_by_check(store, database_url) == []


@pytest.mark.parametrize(
    ("sort", "name", "says"),
    [
        ("route", "bisque", "bisque-stays"),
        ("kiln", "Back box", "last-kiln.*Back box.*Mid-range"),
        ("kiln", "Yard drum", "last-kiln.*Yard drum"),
    ],
)
def test_what_nothing_can_do_without_is_not_retired(store: Store, sort: str, name: str, says: str) -> None:
    with pytest.raises(Unusable, match=says):
        catalog.retire(store, asked_by(ADA), sort, name)

    shelf = store.read.catalog()
    assert not any(kiln.retired for kiln in shelf.kilns.values())
    assert not any(route.retired for route in shelf.routes.values())


def test_a_kiln_that_is_being_loaded_is_neither_retired_nor_taken_from_its_route(store: Store) -> None:
    catalog.add(store, asked_by(ADA), Kiln(name="Second box", routes=frozenset({"mid-range", "high-fire"})))
    firing = started(store)

    with pytest.raises(Unusable, match=f"firing-in-the-way.*stage=loading.*Back box.*Mid-range.*{firing}"):
        catalog.retire(store, asked_by(ADA), "kiln", "Back box")
    firings.call_off(store, asked_by(TOM), firing)

    assert said(catalog.retire(store, asked_by(ADA), "kiln", "Back box").message) == "Back box: retired."


def test_a_kiln_may_give_up_a_way_it_once_fired_and_take_it_up_again(store: Store) -> None:
    catalog.add(store, asked_by(ADA), Kiln(name="Second box", routes=frozenset({"mid-range"})))
    firings.call_off(store, asked_by(TOM), started(store))
    kiln = store.read.catalog().kiln("Back box")

    catalog.change(store, asked_by(ADA), replace(kiln, routes=frozenset({"high-fire"})))
    without = store.read.catalog().kiln("Back box").routes
    catalog.change(store, asked_by(ADA), kiln)

    assert without == {"high-fire"}
    assert store.read.catalog().kiln("Back box") == kiln


# ---- adding, and what cannot be ------------------------------------------------------------------------------------


def test_a_new_clay_glaze_route_and_kiln_are_in_the_catalog_as_they_were_given(store: Store) -> None:
    new = (
        a_clay("Ferry Stone", slumps_above="11"),
        a_glaze("Tin Roof", traits=frozenset({Trait.RUNNY}), metals=frozenset({"tin"})),
        Route(name="luster", title="Luster", kind=RouteKind.SHELF, cone=Cone.parse("018")),
        Kiln(name="Test box", routes=frozenset({"luster"}), chamber=Room(height_mm=300, round_mm=250), tongs_g=3_000),
    )

    for thing in new:
        catalog.add(store, asked_by(ADA), thing)

    shelf = store.read.catalog()
    assert (shelf.clay("Ferry Stone"), shelf.glaze("Tin Roof")) == new[:2]
    assert (shelf.route("luster"), shelf.kiln("Test box")) == new[2:]


def test_a_name_that_is_taken_is_refused_in_whatever_case(store: Store) -> None:
    with pytest.raises(Unusable, match="name-taken"):
        catalog.add(store, asked_by(ADA), a_glaze("still water"))
    with pytest.raises(Unknown, match="no-such-thing"):
        catalog.change(store, asked_by(ADA), a_glaze("Nobody's Blue"))


def test_a_glaze_is_not_entered_as_tested_without_a_test(store: Store) -> None:
    with pytest.raises(Unusable, match="not-shown-tested"):
        catalog.add(store, asked_by(ADA), a_glaze("Tin Roof", food=FoodStanding.TESTED))


def test_a_route_keeps_its_kind(store: Store) -> None:
    route = replace(store.read.catalog().route("mid-range"), kind=RouteKind.RAKU)

    with pytest.raises(Unusable, match="firing-kind-stays"):
        catalog.change(store, asked_by(ADA), route)


def test_an_outdoor_way_needs_a_kiln_outdoors(store: Store) -> None:
    with pytest.raises(Unusable, match="kiln-indoors"):
        catalog.add(store, asked_by(ADA), Kiln(name="Shed box", routes=frozenset({"raku"})))


def test_only_the_instructor_changes_the_catalog(store: Store) -> None:
    with pytest.raises(NotAllowed, match=Right.CATALOG):
        catalog.add(store, asked_by(TOM), a_glaze("Tin Roof"))


# ---- two at once ---------------------------------------------------------------------------------------------------


def test_of_two_who_decided_on_the_same_catalog_the_second_is_told(store: Store) -> None:
    seen = store.read.version()
    catalog.add(store, asked_by(ADA), a_glaze("Tin Roof"), seen=seen)

    with pytest.raises(ChangedMeanwhile, match="catalog-changed"):
        catalog.add(store, asked_by(ADA), a_glaze("Slate Roof"), seen=seen)

    assert "Slate Roof" not in store.read.catalog().glazes


def test_the_same_form_sent_twice_changes_the_catalog_once(store: Store) -> None:
    request, glaze = asked_by(ADA), a_glaze("Tin Roof")

    receipts = [catalog.add(store, request, glaze) for _ in range(2)]

    assert receipts[0] == receipts[1]
    assert store.read.version() == "2"


def test_other_processes_see_the_new_catalog(store: Store, database_url: str) -> None:
    other = Store(database_url, lambda _: 0)
    before = other.read.catalog()

    catalog.add(store, asked_by(ADA), a_glaze("Tin Roof"))

    assert "Tin Roof" not in before.glazes
    assert "Tin Roof" in other.read.catalog().glazes
    other.close()


def test_a_change_that_came_to_nothing_is_not_remembered(store: Store) -> None:
    ref = queued(store, "Still Water")
    glaze = store.read.catalog().glaze("Still Water")
    with pytest.raises(MovesPieces):
        catalog.change(store, asked_by(ADA), replace(glaze, cone_high=Cone.parse("5")))

    catalog.change(store, asked_by(ADA), replace(glaze, bucket="shelf 8"))

    assert store.read.catalog().glaze("Still Water") == replace(glaze, bucket="shelf 8")
    assert the_piece(store, ref).stage is Stage.QUEUED


def test_pieces_queued_while_the_catalog_changes_never_end_in_the_wrong_queue(store: Store, database_url: str) -> None:
    refs = [glazed(store, "Still Water", new=a_new_piece(use=Use.FOOD)) for _ in range(8)]
    untested = replace(store.read.catalog().glaze("Still Water"), food=FoodStanding.DECORATIVE)

    def queue(ref: str) -> None:
        with suppress(Unfit):
            pieces.queue(store, asked_by(TOM), ref, "mid-range")

    with ThreadPoolExecutor(9) as hands:
        waiting = [hands.submit(queue, ref) for ref in refs]
        changing = hands.submit(catalog.change, store, asked_by(ADA), untested, confirmed=True)
        changing.result()
        for one in waiting:
            one.result()

    assert store.read.pieces.waiting() == ()
    assert told_by_check(store, database_url) == []


# ---- the whole from a file -----------------------------------------------------------------------------------------


def test_a_studio_file_adds_changes_and_retires(store: Store) -> None:
    ref, wanted = queued(store, "Still Water"), a_studio(name="Cinder Lane and Mill studio")
    glazes = dict(wanted.catalog.glazes)
    del glazes["Gilt Edge"]
    glazes["Still Water"] = replace(glazes["Still Water"], cone_high=Cone.parse("5"))
    glazes["Tin Roof"] = a_glaze("Tin Roof")
    wanted = replace(wanted, catalog=replace(wanted.catalog, glazes=glazes))

    receipt = catalog.change_studio(store, asked_by(ADA), wanted, confirmed=True)

    shelf = store.read.catalog()
    assert shelf.glaze("Gilt Edge").retired
    assert shelf.glaze("Tin Roof") == a_glaze("Tin Roof")
    assert store.read.studio().name == "Cinder Lane and Mill studio"
    assert receipt.refs == (ref,)
    assert "glaze Gilt Edge retired" in said(receipt.message)


def test_a_studio_file_that_says_what_is_so_changes_nothing(store: Store) -> None:
    receipt = catalog.change_studio(store, asked_by(ADA, NOON + timedelta(days=1)), store.read.studio())

    assert said(receipt.message) == "You haven't changed anything."
    assert store.read.version() == "1"
