"""People are looked for among the newest and among those who have a piece here, and listed as far as a page goes."""

from __future__ import annotations

from sqlalchemy import insert

from tests.staffed import ADA, INES, MIRA, TOM, bisqued
from tests.studio import NOON
from tracker.domain.labels.stock import Paper
from tracker.domain.quantities import Units
from tracker.domain.studio.people import Role
from tracker.store.tables import people
from tracker.store.unit_of_work import Store
from tracker.usecases.studio.people import choose_own_settings


def a_crowd(store: Store, many: int) -> None:
    """So many newer students, all called Potter and a number."""
    rows = [
        {
            "name": f"Potter {number}",
            "email": f"potter{number}@studio.example",
            "role": Role.STUDENT,
            "must_change_password": True,
            "joined_at": NOON,
        }
        for number in range(many)
    ]
    with store.writing() as connection:
        connection.execute(insert(people), rows)


def test_whoever_has_a_piece_here_is_found_however_long_ago_they_came(store: Store) -> None:
    bisqued(store, maker=MIRA)
    a_crowd(store, 1_000)

    assert [one.id for one in store.read.people.named("mira")] == [MIRA.id]
    assert store.read.people.named("ines") == ()
    assert store.read.people.person(email=INES.email) == INES


def test_the_list_has_those_who_run_the_studio_and_the_newest_students(store: Store) -> None:
    a_crowd(store, 3)

    listed = store.read.people.listed(makers=3)

    assert {one.id for one in listed} == {ADA.id, TOM.id, *(one.id for one in store.read.people.named("potter"))}
    assert [one.id for one in store.read.people.staff()] == [ADA.id, TOM.id]


def test_what_a_person_chose_is_kept_until_they_follow_the_studio_again(store: Store) -> None:
    choose_own_settings(store, MIRA, Units.US, Paper.LETTER)
    chosen = store.read.people.person(number=MIRA.id)
    choose_own_settings(store, MIRA, None, None)

    assert chosen is not None
    assert (chosen.units, chosen.paper) == (Units.US, Paper.LETTER)
    assert store.read.people.person(number=MIRA.id) == MIRA
