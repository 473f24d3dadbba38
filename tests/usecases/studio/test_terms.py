"""Terms: which one people are added to, and what moves with them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from tests.staffed import ADA, MIRA, asked_by
from tests.studio import NOON
from tracker.domain.refusals import NotAStep
from tracker.domain.studio.people import NewPerson
from tracker.domain.studio.terms import NewTerm, Term, term_on
from tracker.store.unit_of_work import Store
from tracker.usecases.studio import membership, rosters, terms

TODAY = NOON.date()
SPRING = NewTerm(name="Spring", starts_on=date(2026, 1, 12), ends_on=date(2026, 5, 8), sections=("Thursday", "Friday"))
SUMMER = NewTerm(name="Summer", starts_on=date(2026, 6, 1), ends_on=date(2026, 7, 31), sections=("Friday",))


def sections_of(store: Store, term: int | None) -> set[str]:
    return {one.name for one in store.read.terms.sections() if one.term_id == term}


@pytest.mark.parametrize(
    ("day", "term"),
    [(date(2026, 1, 1), 1), (date(2026, 5, 8), 1), (date(2026, 5, 9), 2), (date(2026, 6, 1), 2), (date(2027, 1, 1), 2)],
    ids=["before any", "the last day", "between", "the first day", "after all"],
)
def test_people_are_added_to_the_running_term_or_the_next_or_the_last(day: date, term: int) -> None:
    both = [
        Term(id=number, name=one.name, starts_on=one.starts_on, ends_on=one.ends_on)
        for number, one in enumerate((SPRING, SUMMER), start=1)
    ]

    assert term_on(both, day) == both[term - 1]


def test_the_first_term_takes_in_the_sections_it_names_with_their_people(store: Store) -> None:
    term = int(terms.add_term(store, asked_by(ADA), SPRING).extra["term"])

    assert MIRA.section in sections_of(store, term)
    assert MIRA.section not in sections_of(store, None)
    assert store.read.people.person(number=MIRA.id) == MIRA


def test_a_roster_takes_who_returns_into_the_section_of_the_same_name_in_the_new_term(store: Store) -> None:
    terms.add_term(store, asked_by(ADA), SPRING)
    summer = int(terms.add_term(store, asked_by(ADA), SUMMER).extra["term"])
    new = NewPerson(name="Pat Oro", email="pat@studio.example", section=MIRA.section)
    roster = [rosters.told_of(MIRA), new]
    later = asked_by(ADA, NOON.replace(month=6))

    assert membership.enrol(store, asked_by(ADA), roster[:1]).same == (MIRA,)
    moved = membership.enrol(store, later, roster)
    membership.change_person(store, asked_by(ADA), MIRA.id, rosters.told_of(MIRA))

    assert (moved.changed, len(moved.added)) == ((MIRA,), 1)
    assert sections_of(store, summer) == {"Friday", MIRA.section}
    there = store.read.people.in_sections([MIRA.section], store.read.terms.on(later.at.date()))
    assert {one.name for one in there} == {MIRA.name, "Pat Oro"}


def test_a_term_keeps_its_name_to_itself_and_its_sections_with_people_in_them(store: Store) -> None:
    spring = int(terms.add_term(store, asked_by(ADA), SPRING).extra["term"])
    with pytest.raises(NotAStep) as refused:
        terms.add_term(store, asked_by(ADA), NewTerm(name="SPRING", starts_on=TODAY, ends_on=TODAY))

    terms.change_term(store, asked_by(ADA), spring, NewTerm(name="Spring 26", starts_on=TODAY, ends_on=TODAY))

    assert refused.value.code == "term-named-twice"
    assert sections_of(store, spring) == {MIRA.section}


def test_people_are_put_in_the_next_term_by_a_roster_or_alone_while_this_one_runs(store: Store) -> None:
    spring = int(terms.add_term(store, asked_by(ADA), SPRING).extra["term"])
    summer = int(terms.add_term(store, asked_by(ADA), SUMMER).extra["term"])
    new = NewPerson(name="Pat Oro", email="pat@studio.example", section=MIRA.section)

    ahead = rosters.coming(store.read, [new], TODAY, summer)
    membership.enrol(store, asked_by(ADA), [new], term_id=summer)
    before = {one.name for one in store.read.terms.people(spring)}
    membership.change_person(store, asked_by(ADA), MIRA.id, replace(rosters.told_of(MIRA), term_id=summer))

    assert (ahead.term and ahead.term.id, ahead.gone) == (summer, ())
    assert MIRA.name in before
    assert {one.name for one in store.read.terms.people(summer)} == {"Pat Oro", MIRA.name}
    assert MIRA.name not in {one.name for one in store.read.terms.people(spring)}
