"""What is saved comes back equal."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from enum import Enum

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from tests.staffed import TOM, asked_by, open_studio
from tests.store.any_values import (
    clays,
    distinct,
    glazes,
    groups_of_practice,
    kilns,
    pieces,
    receipts,
    routes,
    verdicts,
)
from tests.studio import NOON, a_clay, a_studio
from tracker.domain.findings import Approval, Verdict
from tracker.domain.message import Message
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.piece import Build, Piece, Stage, StepName
from tracker.domain.studio.kilns import Kiln, Route
from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.materials import Clay, Glaze, Trait
from tracker.domain.studio.people import Right
from tracker.domain.studio.settings import LogPractice, Practice
from tracker.store.mappers import practice_of, receipt_of, receipt_text
from tracker.store.messages import facts_of
from tracker.store.unit_of_work import Change, Store

# Each example has a database of its own, which the fixture makes at every call.
with_a_database_each = settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
over_one_store = settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])


@with_a_database_each
@given(
    bodies=distinct(clays(), 3),
    shelf=distinct(glazes(), 4),
    kiln=kilns,
    route=routes,
    practice=some.builds(
        Practice,
        large_porcelain_mm=some.integers(1, 1000),
        food_absorption_pct=some.floats(0, 100),
        regime=some.sampled_from(Regime),
        **groups_of_practice,
    ),
)
def test_a_studio_comes_back_equal(
    fresh_url: Callable[[], str], bodies: list[Clay], shelf: list[Glaze], kiln: Kiln, route: Route, practice: Practice
) -> None:
    plain = a_studio()
    catalog = replace(
        plain.catalog,
        clays={clay.name: clay for clay in bodies},
        glazes={glaze.name: glaze for glaze in shelf},
        routes={**plain.catalog.routes, route.name: route},
        kilns={**plain.catalog.kilns, kiln.name: kiln},
        practice=practice,
    )
    studio = replace(plain, catalog=catalog)

    store = open_studio(fresh_url(), studio)

    assert store.read.studio() == studio
    store.close()


@with_a_database_each
@given(drawn=some.data(), shelf=distinct(glazes(), 4))
def test_a_piece_comes_back_equal(fresh_url: Callable[[], str], drawn: some.DataObject, shelf: list[Glaze]) -> None:
    clay = a_clay("Any body", cone_low="022", cone_high="14")
    plain = a_studio()
    catalog = replace(plain.catalog, clays={clay.name: clay}, glazes={glaze.name: glaze for glaze in shelf})
    # Drawing may end an example, so it comes before anything is opened that would stay open.
    piece = drawn.draw(pieces(clay, shelf))
    bare = replace(piece, layers=())
    store = open_studio(fresh_url(), replace(plain, catalog=catalog))

    def work(change: Change) -> Receipt:
        kept = change.register(bare, HistoryLine(step=StepName.REGISTER))
        after = replace(piece, id=kept.id)
        change.save(kept, after, HistoryLine(step=StepName.GLAZE))
        return Receipt(message=Message("kept", "Kept."), piece_id=kept.id)

    number = store.once(asked_by(TOM), "keep", work).piece_id

    assert store.read.pieces.piece(number=number) == replace(piece, id=number or 0)
    assert store.read.pieces.piece(code="K7R43") == store.read.pieces.piece(number=number)
    store.close()


def _pot(store: Store) -> Piece:
    clay = a_studio().catalog.clay("Doorstep Buff")
    line = HistoryLine(step=StepName.REGISTER)
    pot = Piece(id=0, what="", maker_id=3, stage=Stage.GREENWARE, clay=clay, **_MEASURES)  # type: ignore[arg-type]  # the measures are whole numbers
    kept: list[Piece] = []

    def work(change: Change) -> Receipt:
        kept.append(change.register(pot, line))
        return Receipt(message=Message("kept", "Kept."))

    store.once(asked_by(TOM), "keep", work)
    return kept[-1]


_MEASURES = {"build": "thrown", "use": "food", "height_mm": 1, "width_mm": 1, "depth_mm": 1, "burnished": False}


@over_one_store
@given(verdict=verdicts, accepted=some.lists(some.text("abc-", max_size=9), max_size=3).map(tuple))
def test_a_verdict_on_record_comes_back_equal(store: Store, verdict: Verdict, accepted: tuple[str, ...]) -> None:
    pot = _pot(store)
    line = HistoryLine(step=StepName.ACCEPT, verdict=verdict, accepted=accepted)

    def work(change: Change) -> Receipt:
        return Receipt(message=Message("noted", "Noted."), line=change.write(pot, line, pot.stage))

    store.once(asked_by(TOM), "note", work)

    last = store.read.pieces.page(pot.id).history[-1]
    assert (last.findings, last.accepted) == (verdict.findings, accepted)
    assert (last.at, last.by, last.by_id) == (NOON, TOM.name, TOM.id)


@over_one_store
@given(receipt=receipts)
def test_the_second_answer_to_a_request_equals_the_first(store: Store, receipt: Receipt) -> None:
    request = asked_by(TOM)

    first = store.once(request, "tell", lambda _: receipt)
    second = store.once(request, "tell", lambda _: Receipt(message=Message("something-else", "Something else.")))

    assert first == second == receipt


@given(receipt=receipts)
def test_a_receipt_as_text_is_the_receipt(receipt: Receipt) -> None:
    kept = receipt_of(receipt_text(receipt))

    assert kept == receipt
    assert kept.message.template == receipt.message.template


@over_one_store
@given(verdict=verdicts)
def test_a_leave_holds_for_the_very_facts_it_was_given_for(store: Store, verdict: Verdict) -> None:
    pot = _pot(store)

    def work(change: Change) -> Receipt:
        number = change.questions.ask(pot.id, "raku", "May it?", ())
        change.questions.answer(number, "It may.", allows=True, findings=verdict.findings)
        return Receipt(message=Message("allowed", "Allowed."))

    store.once(asked_by(TOM), "allow", work)

    assert store.read.questions.leaves(pot.id) == {Approval("raku", one.message) for one in verdict.findings}


def test_a_moment_without_its_zone_is_a_fault(store: Store) -> None:
    naive = asked_by(TOM, NOON.replace(tzinfo=None))

    with pytest.raises(Exception, match="without a zone"):
        store.once(naive, "tell", lambda _: Receipt(message=Message("told", "Told.")))


def test_a_practice_kept_before_a_number_was_a_setting_takes_common_practice_for_it() -> None:
    kept = json.dumps({"foot_clear_mm": 4, "regime": "eu", "logs": {"gap_min": 20.0}})

    practice = practice_of(kept)

    assert practice == Practice(foot_clear_mm=4, regime=Regime.EU, logs=LogPractice(gap_min=20.0))


@pytest.mark.parametrize(
    ("kept", "read"),
    [
        (["Build", "press-moulded"], Build.PRESS_MOLDED),
        (["Trait", "lustre"], Trait.LUSTER),
        (["Right", "catalogue"], Right.CATALOG),
    ],
)
def test_what_history_keeps_in_an_older_spelling_is_read(kept: list[str], read: Enum) -> None:
    assert facts_of({"fact": {"enum": kept}}) == {"fact": read}
