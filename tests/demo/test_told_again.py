"""The demo studio comes out the same each time, on PostgreSQL as on SQLite, ends when asked, and lets people in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise

import pytest

from demo_seed.hands import Clock
from demo_seed.play import tell
from demo_seed.sorts import TERM_DAYS
from tests.demo.conftest import ENDS, Demo, every_page, no_draws
from tracker.domain.studio.people import Role
from tracker.store.pieces.queries import HistoryRow, PiecePage
from tracker.store.unit_of_work import Store
from tracker.usecases.studio.people import sign_in

A_WHILE = 18
"""Days of the story that are told again to compare: by then codes are out, and the first glaze firings."""


def test_the_story_told_again_on_the_other_engine_is_the_same(demo: Demo, postgres_url: str) -> None:
    again = tell(postgres_url, ends=ENDS, days=A_WHILE)
    store = Store(postgres_url, no_draws)

    pages = every_page(store.read)
    store.close()

    until = max(line.at for page in pages for line in page.history)
    assert lines_until(until, pages) == lines_until(until, demo.pages)
    assert len(lines_until(until, pages)) > 200
    codes = {page.piece.id: page.piece.code for page in pages if page.piece.code}
    assert len(codes) > 20
    assert codes.items() <= {page.piece.id: page.piece.code for page in demo.pages}.items()
    assert len(again.refusals) == len([told for told in demo.telling.refusals if told.at <= until])
    assert again.refusals == demo.telling.refusals[: len(again.refusals)]


@pytest.mark.parametrize(
    "ends",
    [
        datetime(2026, 3, 9, 5, 30, tzinfo=UTC),
        datetime(2026, 11, 1, 6, 59, tzinfo=UTC),
        datetime(2026, 7, 4, 22, 0, tzinfo=UTC),
    ],
    ids=["just after midnight, the day the clocks went on", "in the hour the clocks go back", "in the afternoon"],
)
def test_whenever_the_story_ends_its_hours_follow_each_other_and_none_lies_in_the_future(ends: datetime) -> None:
    clock = Clock(ends, "America/Chicago", TERM_DAYS)
    hours = []

    for day in range(TERM_DAYS + 1):
        for hour in (9, 12, 16.5):
            clock.turn_to(day, hour)
            hours.append(clock.now)

    assert all(one < other for one, other in pairwise(hours))
    assert hours[-1] < ends


def test_the_three_sign_ins_shown_open_the_studio_for_one_of_each_role(demo: Demo) -> None:
    people = {}

    for shown in demo.telling.sign_ins:
        _, person = sign_in(demo.store, shown.email, shown.password, at=ENDS, address="127.0.0.1")
        people[shown.role] = person.name

    assert list(people) == [Role.STUDENT, Role.STAFF, Role.INSTRUCTOR]
    assert list(people.values()) == [shown.name for shown in demo.telling.sign_ins]


def test_the_student_who_is_shown_has_pieces_at_many_stages(demo: Demo) -> None:
    student = demo.read.people.person(email=demo.telling.sign_ins[0].email)
    assert student

    under_way = demo.read.pieces.of(student.id)
    finished = demo.read.pieces.finished_of(student.id, limit=5)

    assert len({row.piece.stage for row in under_way}) >= 4
    assert finished


def lines_until(moment: datetime, pages: Iterable[PiecePage]) -> list[HistoryRow]:
    """Every line of history up to a moment, without the numbers that engines count differently."""
    return [replace(line, id=0, undoes=None) for page in pages for line in page.history if line.at <= moment]
