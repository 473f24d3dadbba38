"""Several people at once: nobody's write is lost, nobody's is done twice, and nothing is done by half."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from threading import Barrier
from typing import TypeVar

import pytest
from sqlalchemy import create_engine
from sqlalchemy.exc import DBAPIError

from tests.staffed import ADA, MIRA, TOM, asked_by, bisqued, the_piece
from tests.studio import a_new_piece
from tracker.domain.message import Message
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.refusals import ChangedMeanwhile, KeyUsedElsewhere, Refusal
from tracker.domain.studio.people import NewPerson
from tracker.store import backup as keeping
from tracker.store.unit_of_work import Change, Store
from tracker.usecases.pieces import pieces
from tracker.usecases.studio import membership

HANDS = 8
Answer = TypeVar("Answer")


def together(works: Sequence[Callable[[], Answer]]) -> list[Answer | Exception]:
    """Do all of these at the same moment, each in its own thread; gives each answer or what was raised."""
    gate = Barrier(len(works))

    def one(work: Callable[[], Answer]) -> Answer | Exception:
        gate.wait()
        try:
            return work()
        except (Refusal, DBAPIError) as raised:
            return raised

    with ThreadPoolExecutor(len(works)) as hands:
        return list(hands.map(one, works))


def count(store: Store, what: str) -> int:
    """How many rows a table has, or what a condition finds."""
    with store.writing() as connection:
        return int(connection.exec_driver_sql(f"SELECT count(*) FROM {what}").scalar_one())


def test_a_save_on_what_is_no_longer_so_is_refused(store: Store) -> None:
    ref = bisqued(store)
    stale = the_piece(store, ref)
    pieces.wax(store, asked_by(TOM), ref)

    def work(change: Change) -> Receipt:
        after = stale.take(StepName.WAX)
        change.save(stale, after, HistoryLine(step=StepName.WAX))
        return Receipt(message=Message("waxed", "Done."))

    with pytest.raises(ChangedMeanwhile):
        store.once(asked_by(TOM), "wax", work)

    assert the_piece(store, ref).version == stale.version + 1


def test_a_form_that_shows_an_older_piece_is_refused(store: Store) -> None:
    ref = bisqued(store)
    seen = the_piece(store, ref).version
    pieces.wax(store, asked_by(TOM), ref, seen=seen)

    with pytest.raises(ChangedMeanwhile, match=r"piece-changed.*stage=waxed"):
        pieces.lose(store, asked_by(TOM), ref, "dropped", seen=seen)


def test_of_two_who_move_a_piece_at_once_one_wins_and_the_other_is_told(store: Store) -> None:
    ref = bisqued(store)
    version = the_piece(store, ref).version
    works = [
        lambda: pieces.wax(store, asked_by(TOM), ref, seen=version),
        lambda: pieces.lose(store, asked_by(ADA), ref, "dropped", seen=version),
    ]

    answers = together(works)

    won = [one for one in answers if isinstance(one, Receipt)]
    lost = [one for one in answers if isinstance(one, ChangedMeanwhile)]
    assert (len(won), len(lost)) == (1, 1)
    assert len(store.read.pieces.page(the_piece(store, ref).id).history) == 2


def test_two_scans_of_the_same_step_at_once_make_one_line(store: Store) -> None:
    ref = bisqued(store)

    answers = together([lambda: pieces.wax(store, asked_by(TOM), ref) for _ in range(HANDS)])

    assert sum(isinstance(one, Receipt) for one in answers) == 1
    assert all(isinstance(one, Receipt | Refusal) for one in answers)
    assert count(store, "history WHERE step = 'wax'") == 1


def test_the_same_request_sent_again_happens_once(store: Store) -> None:
    ref, request = bisqued(store), asked_by(TOM)

    first, again = (pieces.wax(store, request, ref) for _ in range(2))

    assert first == again
    assert count(store, "history WHERE step = 'wax'") == 1


def test_the_same_request_sent_by_eight_hands_at_once_happens_once(store: Store) -> None:
    ref, request = bisqued(store), asked_by(TOM)

    answers = together([lambda: pieces.wax(store, request, ref) for _ in range(HANDS)])

    assert isinstance(answers[0], Receipt)
    assert answers == [answers[0]] * HANDS
    assert count(store, "history WHERE step = 'wax'") == 1


def test_the_same_new_piece_sent_by_eight_hands_at_once_is_one_piece(store: Store) -> None:
    request, pot = asked_by(MIRA), a_new_piece(arrives_bisqued=True)

    answers = together([lambda: pieces.register(store, request, pot) for _ in range(HANDS)])

    assert answers == [answers[0]] * HANDS
    assert count(store, "pieces") == count(store, "history") == 1


def test_a_key_that_comes_back_for_another_step_person_or_piece_is_refused(store: Store) -> None:
    ref, other, request = bisqued(store), bisqued(store), asked_by(TOM)
    pieces.wax(store, request, ref)
    by_somebody_else = replace(request, by=ADA)

    with pytest.raises(KeyUsedElsewhere):
        pieces.not_waxed(store, request, ref)
    with pytest.raises(KeyUsedElsewhere):
        pieces.wax(store, by_somebody_else, ref)
    with pytest.raises(KeyUsedElsewhere):
        pieces.wax(store, request, other)
    with pytest.raises(KeyUsedElsewhere):
        pieces.wax(store, request, ref, place="shelf 4")

    assert the_piece(store, other).stage is Stage.BISQUED


def test_a_refused_request_may_be_sent_again_under_its_key(store: Store) -> None:
    ref, request = bisqued(store), asked_by(TOM)
    pieces.wax(store, asked_by(TOM), ref)
    with pytest.raises(Refusal):
        pieces.wax(store, request, ref)
    pieces.not_waxed(store, asked_by(TOM), ref)

    pieces.wax(store, request, ref)

    assert the_piece(store, ref).stage is Stage.WAXED


def test_a_fault_in_the_middle_leaves_nothing(store: Store) -> None:
    ref = bisqued(store)
    before = the_piece(store, ref)

    def work(change: Change) -> Receipt:
        after = before.take(StepName.WAX)
        change.save(before, after, HistoryLine(step=StepName.WAX))
        raise ZeroDivisionError

    request = asked_by(TOM)
    with pytest.raises(ZeroDivisionError):
        store.once(request, "wax", work)

    assert the_piece(store, ref) == before
    assert count(store, "history") == 1
    assert count(store, f"requests WHERE key = '{request.key}'") == 0


def test_when_the_line_of_history_cannot_be_written_the_piece_stays(store: Store, database_url: str) -> None:
    ref = bisqued(store)
    before = the_piece(store, ref)
    engine = create_engine(database_url)
    with engine.begin() as hand:
        for statement in _BREAK_HISTORY[engine.dialect.name]:
            hand.exec_driver_sql(statement)
    engine.dispose()

    with pytest.raises(DBAPIError, match="no ink"):
        pieces.wax(store, asked_by(TOM), ref)

    assert the_piece(store, ref) == before
    assert count(store, "history") == 1


_BREAK_HISTORY = {
    "sqlite": ["CREATE TRIGGER dry BEFORE INSERT ON history BEGIN SELECT RAISE(ABORT, 'no ink'); END"],
    "postgresql": [
        "CREATE FUNCTION dry() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RAISE EXCEPTION 'no ink'; END $$",
        "CREATE TRIGGER dry BEFORE INSERT ON history FOR EACH ROW EXECUTE FUNCTION dry()",
    ],
}


def test_eight_hands_with_fifty_moves_each_lose_none(store: Store, database_url: str) -> None:
    refs = [bisqued(store) for _ in range(HANDS)]

    def fifty(ref: str) -> int:
        for _ in range(25):
            pieces.wax(store, asked_by(TOM), ref)
            pieces.not_waxed(store, asked_by(TOM), ref)
        return 50

    answers = together([lambda ref=ref: fifty(ref) for ref in refs])  # type: ignore[misc]  # the loop's own value

    assert answers == [50] * HANDS
    assert [the_piece(store, ref).version for ref in refs] == [51] * HANDS
    assert count(store, "history") == HANDS * 51
    assert keeping.check(database_url) == ()


def test_eight_hands_on_one_piece_do_as_much_as_they_were_told(store: Store, database_url: str) -> None:
    ref = bisqued(store)

    def try_twenty() -> int:
        done = 0
        for turn in range(20):
            step = pieces.wax if turn % 2 else pieces.not_waxed
            try:
                step(store, asked_by(TOM), ref)
                done += 1
            except Refusal:
                continue
        return done

    answers = together([try_twenty] * HANDS)

    moved = sum(one for one in answers if isinstance(one, int))
    assert moved > 0
    assert the_piece(store, ref).version == 1 + moved
    assert count(store, "history") == 1 + moved
    assert keeping.check(database_url) == ()


def test_eight_rosters_entered_at_once_in_either_order_add_everybody_once(store: Store) -> None:
    roster = [NewPerson(name=f"Pat {letter}", email=f"pat.{letter}@studio.example") for letter in "abc"]

    def enter(order: Sequence[NewPerson]) -> membership.Enrolment:
        return membership.enrol(store, asked_by(ADA), order)

    answers = together([lambda: enter(roster), lambda: enter(roster[::-1])] * (HANDS // 2))

    added = [person for one in answers if isinstance(one, membership.Enrolment) for person, _ in one.added]
    assert sorted(person.email for person in added) == sorted(person.email for person in roster)
    assert all(store.read.people.person(number=person.id) == person for person in added)


def test_what_is_asked_together_is_answered_as_of_one_moment(store: Store) -> None:
    ref = bisqued(store)
    number = the_piece(store, ref).id

    with store.read.together() as read:
        before = (read.pieces.piece(code=ref), read.pieces.last_line(number))
        pieces.wax(store, asked_by(TOM), ref)
        after = (read.pieces.piece(code=ref), read.pieces.last_line(number))

    assert after == before
    assert (the_piece(store, ref), store.read.pieces.last_line(number)) != before
