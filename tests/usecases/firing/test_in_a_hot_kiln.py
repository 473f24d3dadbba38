"""A cone that is corrected while a kiln is hot: the change is saved, and it is said what comes out wrong."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import create_engine
from sqlalchemy.exc import DBAPIError

from tests.reading import tells
from tests.staffed import ADA, TOM, asked_by, off_and_out, queued, started, the_piece
from tests.studio import NOON, a_new_piece
from tracker.domain.cones import Cone
from tracker.domain.firing.firings import FiringStage
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Stage, StepName, Use
from tracker.domain.refusals import MovesPieces, NotAStep
from tracker.store import backup as keeping
from tracker.store.firing.queries import FiringPage
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings, logs, unloading
from tracker.usecases.firing.pictures import sheet_facts
from tracker.usecases.pieces import pieces
from tracker.usecases.studio import catalog
from tracker.wording.reader import ANYONE


def hot(store: Store, *refs: str) -> int:
    """The number of a mid-range firing that was started with these pieces in it."""
    firing = started(store)
    for ref in refs:
        firings.put_in(store, asked_by(TOM), firing, ref)
    firings.light(store, asked_by(TOM), firing)
    return firing


def corrected(store: Store, top: str, low: str = "5") -> Receipt:
    """The glaze of the pieces with other cones."""
    known = store.read.catalog().glaze("Still Water")
    glaze = replace(known, cone_low=Cone.parse(low), cone_high=Cone.parse(top))
    return catalog.change(store, asked_by(ADA), glaze, confirmed=True)


def page_of(store: Store, firing: int) -> FiringPage:
    """What the page of a firing shows."""
    page = store.read.firings.page(firing)
    assert page is not None
    return page


def wrong(store: Store, firing: int) -> dict[str, list[str]]:
    """What comes out wrong of a hot kiln: the rules that say so, by piece."""
    return {row.ref: [one.rule for one in found] for row, found in page_of(store, firing).caught}


def test_a_top_cone_corrected_while_a_kiln_is_hot_names_its_pieces_and_what_to_expect(
    store: Store, database_url: str
) -> None:
    cup, bowl, stays = queued(store, "Still Water"), queued(store, "Still Water"), queued(store, "Wet Slate")
    waits = queued(store, "Still Water")
    firing = hot(store, cup, bowl, stays)
    glaze = replace(store.read.catalog().glaze("Still Water"), cone_high=Cone.parse("5"))

    with pytest.raises(MovesPieces) as ahead:
        catalog.change(store, asked_by(ADA), glaze)
    receipt = catalog.change(store, asked_by(ADA), glaze, confirmed=True)

    for told in (ahead.value.message, receipt.message):
        assert tells([told], "in-a-hot-kiln", kiln="Back box", firing=str(firing), state="on")
        assert tells([told], "expect-of", pieces=(cup, bowl))
        assert tells([told], "glaze-melts-off")
        assert tells([told], "check-what-ran")
    assert receipt.refs == (waits,)
    assert wrong(store, firing) == {cup: ["glaze-melts-off"], bowl: ["glaze-melts-off"]}
    assert [row.ref for row in page_of(store, firing).pieces] == [cup, bowl, stays]
    head = list(sheet_facts(page_of(store, firing), store.read.catalog().practice, ANYONE))
    assert tells(head, "wrong-on-the-sheet", pieces=(cup, bowl))
    assert tells(head, "check-what-ran")
    assert (the_piece(store, cup).stage, the_piece(store, cup).in_firing) == (Stage.QUEUED, firing)
    assert keeping.check(database_url) == ()
    off_and_out(store, asked_by(TOM), firing, {cup: Outcome.GOOD, bowl: Outcome.BROKE, stays: Outcome.GOOD})
    assert [the_piece(store, ref).stage for ref in (cup, bowl, stays)] == [Stage.FIRED, Stage.LOST, Stage.FIRED]
    line = next(one for one in store.read.pieces.page(the_piece(store, cup).id).history if one.step is StepName.FIRE)
    assert [found.rule for found in line.findings] == ["glaze-melts-off"]
    assert keeping.check(database_url) == ()


def test_a_change_that_is_undone_leaves_a_hot_load_as_it_was(store: Store, database_url: str) -> None:
    first, second = queued(store, "Still Water"), queued(store, "Wet Slate")
    firing = hot(store, first, second)
    before = [store.read.pieces.row(code=ref) for ref in (first, second)]
    corrected(store, "5")

    receipt = corrected(store, "6")

    assert tells([receipt.message], "fit-again", kiln="Back box", pieces=(first,))
    assert wrong(store, firing) == {}
    assert [store.read.pieces.row(code=ref) for ref in (first, second)] == before
    assert page_of(store, firing).firing.piece_ids == tuple(the_piece(store, ref).id for ref in (first, second))
    assert keeping.check(database_url) == ()


def test_what_is_known_of_a_hot_load_is_not_told_again_by_another_change(store: Store) -> None:
    firing = hot(store, queued(store, "Still Water"))
    corrected(store, "5")
    before = wrong(store, firing)

    other = replace(store.read.catalog().glaze("Plum Gloss"), retired=True)
    receipt = catalog.change(store, asked_by(ADA), other)

    assert not tells([receipt.message], "in-a-hot-kiln")
    assert wrong(store, firing) == before


def test_a_second_correction_tells_what_to_expect_by_the_cone_of_now(store: Store) -> None:
    ref = queued(store, "Still Water")
    firing = hot(store, ref)
    corrected(store, "5")

    corrected(store, "8", low="7")

    assert wrong(store, firing) == {ref: ["glaze-underfired"]}


def test_clay_corrected_while_its_bisque_is_hot_is_told_by_ticket(store: Store, database_url: str) -> None:
    slip = pieces.register(store, asked_by(ADA), a_new_piece(clay="Roof Tile Red")).ref
    firing = started(store, "Front box", "bisque", "04")
    firings.put_in(store, asked_by(TOM), firing, slip, dry=True)
    firings.light(store, asked_by(TOM), firing)
    clay = replace(store.read.catalog().clay("Roof Tile Red"), cone_high=Cone.parse("06"))

    receipt = catalog.change(store, asked_by(ADA), clay, confirmed=True)
    told = wrong(store, firing)
    off_and_out(store, asked_by(TOM), firing, {slip: Outcome.GOOD})

    assert tells([receipt.message], "check-its-shape")
    assert told == {slip: ["clay-slumps"]}
    assert the_piece(store, slip).stage is Stage.BISQUED
    assert keeping.check(database_url) == ()


def test_a_firing_types_cone_corrected_while_it_is_hot_says_nothing_of_what_is_right_there(
    store: Store, database_url: str
) -> None:
    ref = queued(store, "Still Water")
    firing = hot(store, ref)
    hotter = replace(store.read.catalog().route("mid-range"), cone=Cone.parse("7"))

    receipt = catalog.change(store, asked_by(ADA), hotter)
    seen = wrong(store, firing)
    off_and_out(store, asked_by(TOM), firing, {ref: Outcome.GOOD})

    assert not tells([receipt.message], "in-a-hot-kiln")
    assert seen == {}
    assert (the_piece(store, ref).stage, the_piece(store, ref).fired_to) == (Stage.FIRED, Cone.parse("6"))
    assert keeping.check(database_url) == ()


def test_a_cone_that_makes_a_hot_piece_unfit_for_food_is_told_too(store: Store) -> None:
    ref = queued(store, "Still Water", new=a_new_piece(use=Use.FOOD))
    firing = hot(store, ref)
    clay = replace(store.read.catalog().clay("Doorstep Buff"), cone_low=Cone.parse("8"), cone_high=Cone.parse("10"))

    receipt = catalog.change(store, asked_by(ADA), clay, confirmed=True)

    assert wrong(store, firing) == {ref: ["clay-porous-for-food"]}
    assert tells([receipt.message], "check-for-food")


def test_a_kiln_that_was_never_started_gives_up_what_is_wrong_for_it(store: Store, database_url: str) -> None:
    ref, other = queued(store, "Still Water"), queued(store, "Wet Slate")
    firing = hot(store, ref, other)
    corrected(store, "5")

    receipt = firings.open_again(store, asked_by(TOM), firing)

    assert tells([receipt.message], "take-out-now", pieces=(ref,), kiln="Back box")
    assert [row.ref for row, _why in page_of(store, firing).leaving] == [ref]
    with pytest.raises(NotAStep, match="take-out-now"):
        firings.light(store, asked_by(TOM), firing)
    (question,) = store.read.questions.open()
    assert question.ref == ref
    assert keeping.check(database_url) == ()


def test_a_kiln_that_was_switched_off_cold_fired_nothing_once_a_person_says_so(store: Store, database_url: str) -> None:
    """Common practice: a kiln that was switched off before it got hot is loaded on; nothing in it was fired."""
    ref, other = queued(store, "Still Water"), queued(store, "Wet Slate")
    firing = hot(store, ref, other)
    corrected(store, "5")
    firings.shut_off(store, asked_by(TOM), firing)

    with pytest.raises(NotAStep, match="was-it-hot"):
        firings.open_again(store, asked_by(TOM), firing)
    receipt = firings.open_again(store, asked_by(TOM), firing, never_hot=True)

    assert tells([receipt.message], "take-out-now", pieces=(ref,), kiln="Back box")
    again = page_of(store, firing).firing
    assert (again.stage, again.lit_at, again.shut_at) == (FiringStage.LOADING, None, None)
    assert [row.ref for row in page_of(store, firing).pieces] == [other]
    assert keeping.check(database_url) == ()


def test_a_kiln_whose_log_shows_heat_fired_what_is_in_it_whatever_is_said(store: Store) -> None:
    firing = hot(store, queued(store, "Still Water"))
    logs.note_reading(store, asked_by(TOM, NOON + timedelta(hours=2)), firing, 400.0)
    firings.shut_off(store, asked_by(TOM, NOON + timedelta(hours=3)), firing)

    with pytest.raises(NotAStep, match="log-shows-heat"):
        firings.open_again(store, asked_by(TOM, NOON + timedelta(hours=3)), firing, never_hot=True)


def test_what_was_not_in_the_hot_kiln_after_all_leaves_its_queue_with_a_question(
    store: Store, database_url: str
) -> None:
    ref, other = queued(store, "Still Water"), queued(store, "Wet Slate")
    firing = hot(store, ref, other)
    corrected(store, "5")
    firings.shut_off(store, asked_by(TOM), firing)

    unloading.unload(store, asked_by(TOM), firing, {other: Outcome.GOOD}, was_fired=True, absent=[ref])

    assert (the_piece(store, ref).stage, the_piece(store, ref).in_firing) == (Stage.GLAZED, None)
    (question,) = store.read.questions.open()
    assert (question.ref, question.findings[0].rule) == (ref, "glaze-melts-off")
    assert keeping.check(database_url) == ()


def test_no_statement_puts_a_piece_past_the_guard_by_way_of_a_hot_kiln(store: Store, database_url: str) -> None:
    ref = queued(store, "Still Water")
    queued(store, "Wet Slate")
    firing = hot(store, ref)
    corrected(store, "5")
    loading = started(store, "Front box", "low-fire", "04")
    number = the_piece(store, ref).id
    hand = create_engine(database_url)

    with pytest.raises(DBAPIError, match="still in this kiln"), hand.begin() as connection:
        connection.exec_driver_sql(f"UPDATE firings SET stage = 'loading' WHERE id = {firing}")
    other = (
        "INSERT INTO caught (piece_id, firing_id, since, findings, loaded_at, accepted)"
        f" SELECT id, {loading}, since, '[]', since, '[]' FROM pieces WHERE id <> {number}"
    )
    with pytest.raises(DBAPIError, match="only caught in a hot kiln"), hand.begin() as connection:
        connection.exec_driver_sql(other)

    hand.dispose()
    assert page_of(store, firing).firing.stage is FiringStage.FIRING
