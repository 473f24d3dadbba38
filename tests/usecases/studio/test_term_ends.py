"""The end of a term: nothing is left of it without somebody's word, and every word can be taken back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from tests.reading import tells
from tests.staffed import ADA, INES, MIRA, asked_by, bisqued, fired, glazed, queued, started, the_piece
from tests.studio import NOON, a_new_piece
from tracker.domain.pieces.disposal import Disposal
from tracker.domain.pieces.piece import Stage, Use
from tracker.domain.refusals import NotAStep
from tracker.domain.studio.people import FORMER_MAKER
from tracker.domain.studio.settings import COMMON_PRACTICE, TERM_PRACTICE
from tracker.domain.studio.terms import NewTerm, Term, months_before, notice_due
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import disposing, pieces, undoing
from tracker.usecases.studio import term_ends, terms
from tracker.usecases.studio.catalog import set_practice

SPRING = NewTerm(name="Spring", starts_on=date(2026, 1, 12), ends_on=date(2026, 5, 8), sections=("Thursday", "Tuesday"))


def a_term(store: Store) -> int:
    return int(terms.add_term(store, asked_by(ADA), SPRING).extra["term"])


def ticked(store: Store, *refs: str) -> list[disposing.Ticked]:
    return [(ref, the_piece(store, ref).version) for ref in refs]


def test_a_term_goes_down_to_zero_by_what_people_decide_and_not_before(store: Store) -> None:
    term = a_term(store)
    ready, bare, raw = fired(store), bisqued(store), queued(store)
    lost = bisqued(store, maker=INES)
    pieces.lose(store, asked_by(INES), lost, "missing")

    before = term_ends.end_of(store.read, term)
    with pytest.raises(NotAStep) as too_early:
        term_ends.end_term(store, asked_by(ADA), term)
    disposing.dispose(store, asked_by(ADA), Disposal.DONATE, ticked(store, ready), to="Harvest sale")
    disposing.dispose(store, asked_by(ADA), Disposal.KEEP, ticked(store, bare))
    disposing.dispose(store, asked_by(ADA), Disposal.DISCARD, ticked(store, raw))
    after = term_ends.end_of(store.read, term)
    term_ends.end_term(store, asked_by(ADA), term)

    assert [len(some) for some in (before.unclaimed, before.in_work, before.lost)] == [1, 2, 1]
    assert too_early.value.code == "term-not-empty"
    assert (after.left, len(after.lost)) == (0, 2)
    assert [the_piece(store, ref).stage for ref in (ready, bare, raw)] == [Stage.CLAIMED, Stage.CLAIMED, Stage.LOST]
    line = store.read.pieces.page(the_piece(store, ready).id).history[-1]
    assert (line.by, line.at, line.facts) == (ADA.name, NOON, {"goes": "donate", "to": "Harvest sale"})
    assert not terms.term_known(store.read, term).is_open


def test_what_was_decided_for_many_is_taken_back_in_one_go(store: Store) -> None:
    ready, raw, other = fired(store), glazed(store), bisqued(store)
    kept = disposing.dispose(store, asked_by(ADA), Disposal.KEEP, ticked(store, ready, other))
    gone = disposing.dispose(store, asked_by(ADA), Disposal.DISCARD, ticked(store, raw))

    for done in (kept, gone):
        undoing.undo_each(store, asked_by(ADA), [int(one) for one in str(done.extra["lines"]).split()])

    stages = [the_piece(store, ref).stage for ref in (ready, raw, other)]
    assert stages == [Stage.FIRED, Stage.GLAZED, Stage.BISQUED]


def test_what_changed_is_in_a_kiln_or_is_unfinished_stays_and_is_told(store: Store) -> None:
    ready, raw, loaded = fired(store), glazed(store), queued(store)
    seen = ticked(store, raw, loaded)
    firings.put_in(store, asked_by(ADA), started(store), loaded)
    pieces.shelve(store, asked_by(ADA), raw, "rack 9")

    done = disposing.dispose(store, asked_by(ADA), Disposal.DISCARD, [*seen, *ticked(store, ready, loaded)])
    with pytest.raises(NotAStep):
        disposing.dispose(store, asked_by(ADA), Disposal.DONATE, ticked(store, raw))

    assert done.refs == (ready,)
    assert [the_piece(store, ref).stage for ref in (raw, loaded)] == [Stage.GLAZED, Stage.QUEUED]


@pytest.mark.parametrize(("use", "is_told"), [(Use.DECORATIVE, True), (Use.FOOD, False)])
def test_who_gets_a_piece_is_told_that_it_is_not_for_food(store: Store, use: Use, *, is_told: bool) -> None:
    ref = fired(store, new=replace(a_new_piece(), use=use))

    done = disposing.dispose(store, asked_by(ADA), Disposal.DONATE, ticked(store, ref))

    assert tells([done.message], "disposed-not-for-food", pieces=(ref,)) is is_told


def test_a_section_is_archived_together_and_its_data_removed_when_the_rule_and_a_person_say_so(store: Store) -> None:
    term = a_term(store)
    here = bisqued(store, maker=INES)
    for one in term_ends.end_of(store.read, term).sections:
        term_ends.archive_section(store, asked_by(ADA), term, one.section.id)
    day = SPRING.ends_on + timedelta(days=100)
    before = term_ends.removable(store.read, day)
    practice = replace(COMMON_PRACTICE, terms=replace(TERM_PRACTICE, remove_after_months=3))
    set_practice(store, asked_by(ADA), practice)
    too_soon = term_ends.removable(store.read, SPRING.ends_on + timedelta(days=80))
    seen = term_ends.removable(store.read, day)
    later = replace(asked_by(ADA), at=NOON + (day - NOON.date()))

    term_ends.remove_data(store, later, [one.person.id for one in seen])

    people = {one.id: one for one in (store.read.people.person(number=it) for it in (INES.id, MIRA.id)) if one}
    assert (before, too_soon) == ((), ())
    assert {one.person.id: one.waits and one.waits.code for one in seen} == {INES.id: "pieces-under-way", MIRA.id: None}
    assert (people[MIRA.id].name, people[INES.id].name) == (FORMER_MAKER, INES.name)
    assert people[INES.id].has_left
    assert the_piece(store, here).stage is Stage.BISQUED


def test_an_archived_section_is_let_in_again_together(store: Store) -> None:
    term = a_term(store)
    bisqued(store, maker=INES)
    seen = [one for one in term_ends.end_of(store.read, term).sections if one.here]

    done = [term_ends.archive_section(store, asked_by(ADA), term, one.section.id) for one in seen]
    people = [int(number) for one in done for number in str(one.extra["people"]).split()]
    term_ends.let_in_together(store, asked_by(ADA), term, people)

    assert sum(one.with_pieces for one in seen) == 1
    assert [one.here for one in term_ends.end_of(store.read, term).sections if one.here] == [one.here for one in seen]


@pytest.mark.parametrize(
    ("left", "noticed", "due"),
    [
        (22, None, None),
        (21, None, 21),
        (20, 21, None),
        (7, 21, 7),
        (5, None, 7),
        (5, 7, None),
        (0, 7, 1),
        (-1, 7, None),
    ],
    ids=["early", "first day", "told", "second", "late, once", "told again", "last day", "over"],
)
def test_each_notice_of_an_end_is_due_once(left: int, noticed: int | None, due: int | None) -> None:
    term = Term(id=1, name="Spring", starts_on=SPRING.starts_on, ends_on=SPRING.ends_on, noticed_days=noticed)

    assert notice_due(term, (21, 7, 1), SPRING.ends_on - timedelta(days=left)) == due


def test_months_are_counted_back_to_the_last_day_of_a_shorter_one() -> None:
    assert months_before(date(2026, 5, 31), 3) == date(2026, 2, 28)
    assert months_before(date(2026, 1, 15), 13) == date(2024, 12, 15)
