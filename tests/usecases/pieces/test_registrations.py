"""A registration that was a mistake is canceled or given to its maker, and the history keeps what it was."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.photographed import photographed
from tests.staffed import INES, MIRA, TOM, asked_by, bisqued, fired, glazed, queued, started, the_piece
from tests.studio import NOON, a_new_piece
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.refusals import NotAllowed, NotAStep, Refusal, Unknown, Unusable
from tracker.store import backup
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import editing, found_again, photos, pieces, registrations, undoing, wishes
from tracker.usecases.pieces.lookup import find_piece, find_row
from tracker.usecases.rules import questions

LATER = NOON + timedelta(hours=2)


def greenware(store: Store) -> str:
    """The ticket of a new piece of Mira's."""
    return pieces.register(store, asked_by(MIRA), a_new_piece()).ref


def test_a_piece_that_never_was_is_canceled_by_its_maker_and_comes_back_when_it_was_after_all(store: Store) -> None:
    ref = greenware(store)

    registrations.cancel(store, asked_by(MIRA), ref)

    piece = the_piece(store, ref)
    (*_, line) = store.read.pieces.page(piece.id).history
    assert (piece.stage, line.step, line.reason) == (Stage.LOST, StepName.LOSE, Loss.CANCELED)
    found_again.find(store, asked_by(MIRA), ref)
    assert the_piece(store, ref).stage is Stage.GREENWARE


def test_staff_cancel_what_was_registered_as_bisqued_and_nobody_what_was_fired_here(store: Store) -> None:
    ref = bisqued(store)
    with pytest.raises(NotAStep, match="not-canceled-now"):
        registrations.cancel(store, asked_by(MIRA), ref)

    registrations.cancel(store, asked_by(TOM), ref)

    assert the_piece(store, ref).stage is Stage.LOST
    with pytest.raises(NotAStep, match="not-canceled-now"):
        registrations.cancel(store, asked_by(TOM), fired(store))


@pytest.mark.parametrize("ready", [greenware, queued, fired])
def test_a_piece_is_given_to_its_maker_wherever_it_is(store: Store, ready: object) -> None:
    ref = ready(store)  # type: ignore[operator]  # one of the functions above
    before = the_piece(store, ref)

    registrations.give(store, asked_by(TOM), ref, INES.id)

    piece = the_piece(store, ref)
    (*_, line) = store.read.pieces.page(piece.id).history
    assert (piece.maker_id, piece.stage, piece.route) == (INES.id, before.stage, before.route)
    assert (line.facts["was"], line.facts["now"]) == ("Mira Tann", "Ines Pell")
    assert find_row(store.read, ref, INES).piece.id == piece.id
    with pytest.raises(Refusal):
        find_row(store.read, ref, MIRA)


def test_only_staff_give_a_piece_and_only_to_somebody_else(store: Store) -> None:
    ref = bisqued(store)

    with pytest.raises(NotAllowed):
        registrations.give(store, asked_by(MIRA), ref, INES.id)
    with pytest.raises(Unusable, match="is-the-maker"):
        registrations.give(store, asked_by(TOM), ref, MIRA.id)


def test_the_tickets_and_codes_of_two_registrations_lead_to_the_one_that_stays(store: Store, database_url: str) -> None:
    first, second, third = greenware(store), queued(store), queued(store)
    registrations.merge(store, asked_by(TOM), second, first)

    registrations.merge(store, asked_by(TOM), third, second)

    stays = the_piece(store, third)
    assert {find_piece(store.read, ref, MIRA).id for ref in (first, second, third)} == {stays.id}
    assert [row.ref for row in store.read.pieces.registered_twice_as(stays.id)] == [first, second]
    assert [row.ref for row in store.read.pieces.waiting()] == [third]
    assert len(store.read.pieces.page(the_piece(store, second).id).history) == 5
    assert backup.check(database_url) == ()


def test_a_merge_is_undone_and_both_pieces_are_where_they_were(store: Store) -> None:
    ref, other = bisqued(store), bisqued(store)
    registrations.merge(store, asked_by(TOM), ref, other)

    registrations.part(store, asked_by(TOM), ref, the_piece(store, other).id)

    assert find_piece(store.read, other, TOM).stage is Stage.BISQUED
    assert store.read.pieces.registered_twice_as(the_piece(store, ref).id) == ()
    (*_, line) = store.read.pieces.page(the_piece(store, ref).id).history
    assert (line.step, line.undoes is not None) == (StepName.MERGE, True)
    with pytest.raises(NotAStep, match="not-merged"):
        registrations.part(store, asked_by(TOM), ref, the_piece(store, other).id)


def test_a_parted_piece_waits_in_its_queue_and_for_its_answer_as_before(store: Store) -> None:
    ref, waits, asked = queued(store), queued(store), glazed(store)
    questions.ask(store, asked_by(MIRA), asked, "Is the handle loose?")
    wishes.wish(store, asked_by(MIRA), asked, "mid-range")
    before = [store.read.pieces.row(code=one) for one in (waits, asked)]
    for other in (waits, asked):
        registrations.merge(store, asked_by(TOM, LATER), ref, other)
    merged = store.read.pieces.last_line(the_piece(store, waits).id)

    undoing.undo(store, asked_by(TOM, LATER), merged)
    registrations.part(store, asked_by(TOM, LATER), ref, the_piece(store, asked).id)

    now = [store.read.pieces.row(code=one) for one in (waits, asked)]
    assert [(one.piece.route, one.waiting_since, one.wish, one.question_open) for one in now if one] == [
        (one.piece.route, one.waiting_since, one.wish, one.question_open) for one in before if one
    ]
    (question,) = store.read.questions.open()
    assert (question.ref, str(question.text), question.asked_by) == (asked, "Is the handle loose?", MIRA.name)


def test_what_was_merged_with_a_parted_piece_leads_to_it_again(store: Store) -> None:
    first, second, third, fourth = (greenware(store) for _ in range(4))
    for ref, other in ((third, fourth), (second, third), (first, second)):
        registrations.merge(store, asked_by(TOM), ref, other)

    registrations.part(store, asked_by(TOM), first, the_piece(store, second).id)

    assert {find_piece(store.read, ref, TOM).id for ref in (third, fourth)} == {the_piece(store, second).id}
    assert store.read.pieces.registered_twice_as(the_piece(store, first).id) == ()


def test_a_piece_given_back_is_in_its_set_again(store: Store) -> None:
    ref, lid = (bisqued(store, a_new_piece(set_name="teapot")) for _ in range(2))
    registrations.give(store, asked_by(TOM), ref, INES.id)
    alone = the_piece(store, ref).set_name

    registrations.give(store, asked_by(TOM), ref, MIRA.id)

    assert alone is None
    assert [row.ref for row in store.read.pieces.mates(the_piece(store, lid))] == [ref]


def test_whose_registration_was_merged_with_anothers_piece_sees_what_became_of_it_and_cannot_find_it(
    store: Store,
) -> None:
    ref, other = bisqued(store, maker=INES), bisqued(store)
    registrations.merge(store, asked_by(TOM), ref, other, sure=True)

    found = [find_row(store.read, other, by).ref for by in (MIRA, INES, TOM)]

    assert found == [other, ref, ref]
    with pytest.raises(NotAStep, match="found-as-another"):
        found_again.find(store, asked_by(MIRA), other)


def test_the_photos_of_both_registrations_are_those_of_the_piece_that_stays(store: Store) -> None:
    ref, other = bisqued(store, maker=INES), bisqued(store)
    own, twice = photographed(store, ref, INES), photographed(store, other, MIRA)
    registrations.merge(store, asked_by(TOM), ref, other, sure=True)
    stays = the_piece(store, ref).id

    shown = [photo.stem for photo in store.read.album.of(stays)]
    newest = store.read.album.newest_of([stays])[stays].stem

    assert (shown, newest) == ([twice, own], twice)
    assert [photos.seen(store, twice, by)[1].ref for by in (INES, TOM, MIRA)] == [ref, ref, other]
    with pytest.raises(Unknown):
        photos.seen(store, own, MIRA)
    registrations.part(store, asked_by(TOM), ref, the_piece(store, other).id)
    assert [photo.stem for photo in store.read.album.of(stays)] == [own]
    assert photos.seen(store, twice, MIRA)[1].ref == other


def test_no_piece_is_merged_with_itself_or_out_of_a_kiln_or_by_a_student(store: Store) -> None:
    ref, loaded, firing = bisqued(store), queued(store), started(store)
    firings.put_in(store, asked_by(TOM), firing, loaded)

    with pytest.raises(Unusable, match="merged-with-itself"):
        registrations.merge(store, asked_by(TOM), ref, ref)
    with pytest.raises(NotAStep, match="piece-in-a-kiln"):
        registrations.merge(store, asked_by(TOM), ref, loaded)
    with pytest.raises(NotAllowed):
        registrations.merge(store, asked_by(MIRA), ref, loaded)


@pytest.mark.parametrize("sure", [False, True])
def test_glazes_that_differ_keep_two_registrations_apart_however_sure_somebody_is(store: Store, *, sure: bool) -> None:
    waits, low = queued(store), glazed(store, "Plum Gloss")

    for ref, other in ((waits, low), (low, waits)):
        with pytest.raises(Unusable, match="layers-differ"):
            registrations.merge(store, asked_by(TOM), ref, other, sure=sure)

    assert the_piece(store, low).ref == low
    assert the_piece(store, waits).stage is Stage.QUEUED


@pytest.mark.parametrize("sure", [False, True])
def test_clays_that_differ_keep_two_registrations_apart_until_one_is_corrected(store: Store, *, sure: bool) -> None:
    waits, low = queued(store), bisqued(store, a_new_piece(clay="Roof Tile Red"))
    with pytest.raises(Unusable, match="clays-differ"):
        registrations.merge(store, asked_by(TOM), waits, low, sure=sure)

    editing.set_right(store, asked_by(TOM), low, Told(), clay=the_piece(store, waits).clay.name)
    registrations.merge(store, asked_by(TOM), waits, low, sure=sure)

    assert find_piece(store.read, low, TOM).id == the_piece(store, waits).id


def test_cracks_on_one_record_are_not_lost_with_it(store: Store) -> None:
    ref, cracked = bisqued(store), bisqued(store, a_new_piece(mended=True))

    with pytest.raises(Unusable, match="flaws-differ"):
        registrations.merge(store, asked_by(TOM), ref, cracked, sure=True)
    registrations.merge(store, asked_by(TOM), cracked, ref)

    assert find_piece(store.read, ref, TOM).mended


def test_a_fired_pot_without_glaze_is_not_a_glazed_one(store: Store) -> None:
    glaze_on, bare = glazed(store), glazed(store)
    store_bare = the_piece(store, bare)

    told = registrations.cannot_be_one(the_piece(store, glaze_on), replace(store_bare, layers=(), stage=Stage.FIRED))

    assert [one.code for one in told] == ["layers-differ"]


@pytest.mark.parametrize("further", [glazed, queued, fired])
def test_of_a_glazed_and_a_bare_registration_the_glazed_one_stays(store: Store, further: object) -> None:
    bare, other = bisqued(store), further(store)  # type: ignore[operator]  # one of the functions above
    layers = the_piece(store, other).layers

    with pytest.raises(Unusable, match="further-along"):
        registrations.merge(store, asked_by(TOM), bare, other, sure=True)
    registrations.merge(store, asked_by(TOM), other, bare)

    assert find_piece(store.read, bare, TOM).layers == layers != ()


def test_two_pieces_that_contradict_each_other_are_merged_only_by_somebody_who_is_sure(store: Store) -> None:
    ref, other = fired(store), fired(store)
    anothers = bisqued(store, maker=INES)

    with pytest.raises(Unusable, match="both-were-fired"):
        registrations.merge(store, asked_by(TOM), ref, other)
    with pytest.raises(Unusable, match="makers-differ"):
        registrations.merge(store, asked_by(TOM), ref, anothers)
    registrations.merge(store, asked_by(TOM), ref, other, sure=True)

    assert store.read.pieces.leads_to(the_piece(store, other).id) == the_piece(store, ref).id
    assert the_piece(store, anothers).stage is Stage.BISQUED
