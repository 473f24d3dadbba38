"""The book of printings: one record for one request, kept as it was, and told to those who may know."""

from __future__ import annotations

from dataclasses import replace
from threading import Thread
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy.exc import DBAPIError

from printing.labels.labels import refuses
from tests.staffed import ADA, INES, MIRA, TOM, asked_by, bisqued, off_and_out, queued, started, tags_printed
from tests.studio import NOON, a_new_piece
from tracker.domain.labels.print_jobs import DocumentKind, PrintOrder
from tracker.domain.labels.stock import Paper
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import StepName
from tracker.domain.refusals import KeyUsedElsewhere, Refusal, Unknown, Unusable
from tracker.usecases.firing import firings
from tracker.usecases.labels.document_kinds import KINDS, stock_for
from tracker.usecases.labels.print_jobs import LONGEST_NAME, MOST_AT_ONCE, find_job, put_on_record
from tracker.usecases.labels.selection import Desk
from tracker.usecases.labels.stock import is_sold_with, label_stocks
from tracker.usecases.pieces import pieces
from tracker.wording.reader import ANYONE

if TYPE_CHECKING:
    from tracker.store.unit_of_work import Store

SHEET: dict[str, Any] = {"stock": "A4, 3 x 7, 63.5 x 38.1 mm", "start_at": 3, "nudge": (0.5, -1.0), "dpi": 300}
SHELVES = PrintOrder(kind="shelves", things=("rack 3", "Régal 2"), stock="Roll, 57 x 32 mm", labels=2)


def test_a_printing_is_on_record_with_all_that_it_was(store: Store) -> None:
    first, second = bisqued(store), bisqued(store)
    tags_printed(store, asked_by(TOM), second, **SHEET)

    printed = tags_printed(store, asked_by(TOM), first, second.lower(), **SHEET)
    job = store.read.papers.job(printed.job.id)

    assert job is not None
    assert (job.by, job.by_id, job.at) == (TOM.short_name, TOM.id, NOON)
    assert job.order == PrintOrder(
        kind="tags",
        things=(first, second),
        stock="A4, 3 x 7, 63.5 x 38.1 mm",
        start_at=3,
        nudge=(0.5, -1.0),
        dpi=300,
        labels=2,
    )
    assert job.reprints == {second}


def test_the_same_request_is_one_printing_and_another_order_under_its_key_is_refused(store: Store) -> None:
    request = asked_by(TOM)

    once, twice = put_on_record(store, request, SHELVES), put_on_record(store, request, SHELVES)

    assert once == twice
    assert store.read.papers.jobs() == (once,)
    with pytest.raises(KeyUsedElsewhere):
        put_on_record(store, request, PrintOrder(kind="shelves", things=("rack 4",), stock="Roll", labels=1))


def test_of_two_who_print_the_same_piece_at_once_one_prints_a_reprint(store: Store) -> None:
    ref = bisqued(store)
    found: list[frozenset[str]] = []

    def print_it() -> None:
        found.append(tags_printed(store, asked_by(TOM), ref).job.reprints)

    hands = [Thread(target=print_it) for _ in range(2)]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()

    assert sorted(found, key=len) == [frozenset(), {ref}]
    assert len(store.read.papers.jobs()) == 2


@pytest.mark.parametrize("harm", ["UPDATE print_jobs SET labels = 9", "DELETE FROM print_jobs"])
def test_what_was_printed_is_not_changed_by_hand(store: Store, harm: str) -> None:
    job = put_on_record(store, asked_by(TOM), SHELVES)

    with pytest.raises(DBAPIError, match="stays on record"), store.writing() as connection:
        connection.exec_driver_sql(harm)

    assert store.read.papers.job(job.id) == job


def test_nothing_and_far_too_much_are_refused_and_on_no_record(store: Store) -> None:
    far_too_many = tuple(map(str, range(MOST_AT_ONCE + 1)))
    for things, code in (
        ((), "nothing-chosen"),
        (far_too_many, "too-many-at-once"),
        (("1/" * LONGEST_NAME,), "too-long-for-a-label"),
    ):
        with pytest.raises(Unusable) as refused:
            put_on_record(store, asked_by(TOM), PrintOrder(kind="shelves", things=things, stock="x", labels=1))
        assert refused.value.code == code
    with pytest.raises(Unusable) as refused:
        tags_printed(store, asked_by(TOM))
    assert refused.value.code == "nothing-chosen"

    assert store.read.papers.jobs() == ()


def test_a_tag_that_does_not_fit_is_on_no_record(store: Store) -> None:
    small = "A4, 5 x 13, 38.1 x 21.17 mm"
    with pytest.raises(Unusable) as refused:
        tags_printed(store, asked_by(TOM), bisqued(store), stock=small)
    told = refused.value.message
    assert (told.code, told["stock"], told["kind"]) == ("label-too-small", small, DocumentKind.TAGS)

    assert store.read.papers.jobs() == ()


def test_a_student_sees_what_they_printed_and_staff_sees_all(store: Store) -> None:
    mine = tags_printed(store, asked_by(INES), bisqued(store, maker=INES)).job.id
    theirs = put_on_record(store, asked_by(TOM), SHELVES).id

    assert find_job(store.read, mine, INES).id == mine
    assert {find_job(store.read, number, ADA).id for number in (mine, theirs)} == {mine, theirs}
    with pytest.raises(Unknown) as not_hers:
        find_job(store.read, theirs, INES)
    with pytest.raises(Unknown) as unknown:
        find_job(store.read, 99, ADA)
    assert not_hers.value.code == unknown.value.code == "no-such-printing"
    assert [job.id for job in store.read.papers.jobs(by_id=INES.id)] == [mine]
    assert [job.id for job in store.read.papers.jobs(before=theirs)] == [mine]


def test_pieces_are_found_by_shelf_by_section_and_by_what_they_did_today(store: Store) -> None:
    slip = pieces.register(store, asked_by(MIRA), a_new_piece())
    here, there = bisqued(store, maker=MIRA), queued(store)
    raw = pieces.register(store, asked_by(MIRA), a_new_piece("tile")).ref
    load = started(store, "Front box", "bisque", "06")
    firings.put_in(store, asked_by(TOM), load, raw)
    firings.light(store, asked_by(TOM), load)
    off_and_out(store, asked_by(TOM), load, {raw: Outcome.GOOD})
    pieces.shelve(store, asked_by(TOM), here, "rack 3")
    papers = store.read.papers
    numbers = papers.numbers_of([slip.ref, here, there, raw])

    assert papers.at_place("rack 3") == (numbers[here],)
    assert papers.counted_by_place()["rack 3"] == 1
    assert set(numbers.values()) <= set(papers.in_section(MIRA.section)) | set(papers.in_section(INES.section))
    assert sum(papers.counted_by_section().values()) == 4
    assert set(papers.that_took(StepName.REGISTER, NOON)) == set(numbers.values())
    assert papers.that_took(StepName.BISQUE, NOON) == (numbers[raw],)
    assert papers.that_took(StepName.REGISTER, NOON.replace(year=NOON.year + 1)) == ()
    assert numbers[slip.ref] in papers.that_took(StepName.REGISTER, NOON, MIRA.id)
    assert papers.that_took(StepName.REGISTER, NOON, ADA.id) == ()


def test_one_wrong_code_among_many_is_named_and_nothing_is_printed(store: Store) -> None:
    refs = [bisqued(store), "22222", bisqued(store)]

    with pytest.raises(Refusal, match="22222"):
        tags_printed(store, asked_by(TOM), *refs)

    assert store.read.papers.jobs() == ()


def test_the_first_tag_with_a_code_is_no_reprint_whatever_ticket_was_printed_before(store: Store) -> None:
    ticket = pieces.register(store, asked_by(MIRA), a_new_piece("tile")).ref
    tickets = [tags_printed(store, asked_by(MIRA), ticket).job.reprints for _ in range(2)]
    load = started(store, "Front box", "bisque", "06")
    firings.put_in(store, asked_by(TOM), load, ticket)
    firings.light(store, asked_by(TOM), load)
    (code,) = off_and_out(store, asked_by(TOM), load, {ticket: Outcome.GOOD}).refs
    page = store.read.pieces.page(store.read.papers.numbers_of([code])[code])

    tags = [tags_printed(store, asked_by(TOM), code).job.reprints for _ in range(2)]

    assert tickets == [frozenset(), {ticket}]
    assert page.times_printed == 0
    assert tags == [frozenset(), {code}]


def test_a_kind_is_printed_on_what_staff_printed_it_on_last_where_nobody_says_otherwise(store: Store) -> None:
    roll, sheet = "Roll, 57 x 32 mm", "A4, 3 x 8, 70 x 37 mm"
    desk = Desk(store.read, INES, NOON, ANYONE)
    before = {kind.name: stock_for(kind, desk).name for kind in KINDS.values()}
    tags_printed(store, asked_by(TOM), bisqued(store), stock=roll)
    tags_printed(store, asked_by(INES), bisqued(store, maker=INES), stock=sheet)

    after = {kind.name: stock_for(kind, desk).name for kind in KINDS.values()}

    assert after == before | {DocumentKind.TAGS: roll}
    assert before[DocumentKind.TAGS] != roll
    assert stock_for(KINDS["tags"], desk, sheet).name == sheet
    assert not any(refuses(kind.usual(desk), stock_for(kind, desk)) for kind in KINDS.values())


@pytest.mark.parametrize("chosen", Paper)
def test_the_paper_that_a_person_chose_goes_before_what_was_printed_on_last(store: Store, chosen: Paper) -> None:
    stocks = label_stocks(store.read.studio(), chosen)
    mine, theirs = stocks[1].name, next(one.name for one in stocks if not is_sold_with(chosen, one))
    desk = Desk(store.read, TOM, NOON, ANYONE)
    of_one_who_chose = replace(desk, by=replace(TOM, paper=chosen))
    tags_printed(store, asked_by(TOM), bisqued(store), stock=theirs)

    assert stock_for(KINDS["tags"], desk).name == theirs
    assert all(is_sold_with(chosen, stock_for(kind, of_one_who_chose, theirs)) for kind in KINDS.values())
    tags_printed(store, asked_by(TOM), bisqued(store), stock=mine)
    assert stock_for(KINDS["tags"], of_one_who_chose).name == mine
