"""A minor or a visitor: what the instructor approves first, wherever the piece is, and nobody else told whose it is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.reading import said
from tests.staffed import ADA, INES, MIRA, TOM, asked_by, glazed, queued, started, the_piece
from tracker.domain.findings import NeedsInstructor
from tracker.domain.message import Message
from tracker.domain.pieces.piece import Stage
from tracker.domain.rules.supervised import RULES
from tracker.domain.studio.metals import Metal
from tracker.domain.studio.people import NewPerson, Person
from tracker.store import backup as keeping
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pieces, registrations
from tracker.usecases.rules import questions
from tracker.usecases.studio import catalog, membership
from tracker.usecases.studio.rosters import told_of

HAZARD = RULES[0].name


@pytest.fixture
def with_manganese(store: Store) -> Store:
    """The studio, with manganese in one of its glazes."""
    glaze = store.read.catalog().glaze("Still Water")
    catalog.change(store, asked_by(ADA), replace(glaze, metals=frozenset({"manganese"})), confirmed=True)
    return store


def told(someone: Person, *, supervised: bool | None) -> NewPerson:
    """Somebody with or without the flag, as the instructor or a roster tells."""
    return replace(told_of(someone), supervised=supervised)


def supervise(store: Store, someone: Person, *, supervised: bool = True) -> str:
    """The receipt of the flag being set or cleared."""
    receipt = membership.change_person(store, asked_by(ADA), someone.id, told(someone, supervised=supervised))
    return said(receipt.message)


def test_a_flag_takes_what_waits_out_of_its_queue_until_the_instructor_approves(
    with_manganese: Store, database_url: str
) -> None:
    store = with_manganese
    ref, other = queued(store, "Still Water"), queued(store, "Wet Slate")

    receipt = supervise(store, MIRA)

    page = store.read.pieces.page(the_piece(store, ref).id)
    (question,) = page.questions
    assert f"1 piece left the Mid-range queue: {ref}." in receipt
    assert {row.ref for row in store.read.pieces.waiting()} == {other}
    assert [(one.rule, one.message["metals"]) for one in question.findings] == [(HAZARD, (Metal.MANGANESE,))]
    why = page.history[-1].facts["why"]
    assert isinstance(why, Message)
    read = " ".join(said(one) for one in (question.text, why, question.findings[0].remedy))
    assert MIRA.name.split()[0] not in read
    assert not any(word in read.lower() for word in ("minor", "visitor", "child"))

    with pytest.raises(NeedsInstructor):
        pieces.queue(store, asked_by(TOM), ref, "mid-range")
    questions.answer(store, asked_by(ADA), question.id, "Gloves on.", allows=True)
    pieces.queue(store, asked_by(TOM), ref, "mid-range")
    assert the_piece(store, ref).stage is Stage.QUEUED
    assert list(keeping.check(database_url)) == []


def test_what_is_loaded_must_come_out_and_stays_where_the_flag_is_cleared_again(
    with_manganese: Store, database_url: str
) -> None:
    store = with_manganese
    ref = queued(store, "Still Water")
    firing = started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)

    set_ = supervise(store, MIRA)
    leaving = [one.piece_id for one in store.read.firings.leaving()]
    cleared = supervise(store, replace(MIRA, supervised=True), supervised=False)

    assert f"Take {ref} out of Back box now." in set_
    assert leaving == [the_piece(store, ref).id]
    assert f"{ref} passes the check again and stays in Back box." in cleared
    assert (the_piece(store, ref).in_firing, the_piece(store, ref).route) == (firing, "mid-range")
    assert list(keeping.check(database_url)) == []


def test_a_hot_kiln_keeps_what_it_has(with_manganese: Store) -> None:
    ref = queued(with_manganese, "Still Water")
    firing = started(with_manganese)
    firings.put_in(with_manganese, asked_by(TOM), firing, ref)
    firings.light(with_manganese, asked_by(TOM), firing)

    supervise(with_manganese, MIRA)

    assert with_manganese.read.firings.caught() == ()
    assert the_piece(with_manganese, ref).in_firing == firing


def test_a_roster_sets_the_flag_only_where_it_tells(with_manganese: Store) -> None:
    store, ref = with_manganese, queued(with_manganese, "Still Water")

    silent = membership.enrol(store, asked_by(ADA), [told(MIRA, supervised=None)])
    spoken = membership.enrol(store, asked_by(ADA), [told(MIRA, supervised=True)])
    later = membership.enrol(store, asked_by(ADA), [told(MIRA, supervised=None)])

    assert (silent.changed, silent.moves) == ((), None)
    assert spoken.moves is not None
    assert ref in said(spoken.moves)
    assert later.same == (replace(MIRA, supervised=True),)


def test_a_piece_given_to_someone_supervised_is_judged_as_theirs(with_manganese: Store, database_url: str) -> None:
    supervise(with_manganese, INES)
    ref = queued(with_manganese, "Still Water")

    receipt = registrations.give(with_manganese, asked_by(TOM), ref, INES.id)

    assert "left the Mid-range queue" in said(receipt.message)
    assert (the_piece(with_manganese, ref).stage, the_piece(with_manganese, ref).maker_id) == (Stage.GLAZED, INES.id)
    assert list(keeping.check(database_url)) == []


def test_a_supervised_maker_glazes_and_asks(with_manganese: Store) -> None:
    supervise(with_manganese, MIRA)

    ref = glazed(with_manganese, "Still Water")

    with pytest.raises(NeedsInstructor) as refused:
        pieces.queue(with_manganese, asked_by(TOM), ref, "mid-range")
    assert [one.rule for one in refused.value.findings] == [HAZARD]
