"""No change of the catalog and no firing takes a cone that doesn't fit before a person has said which one is right."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from sqlalchemy.exc import DatabaseError

from tests import studio
from tests.reading import said
from tests.staffed import ADA, TOM, asked_by
from tests.studio import NOON, a_glaze, a_studio
from tracker.domain.cones import Cone
from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import Unusable
from tracker.domain.studio.catalog_changes import with_thing
from tracker.domain.studio.cone_bands import AsksCone, ConeAnswer
from tracker.domain.studio.materials import ClayKind, Coat, Family
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import starting
from tracker.usecases.firing.plans import plan
from tracker.usecases.studio import catalog

C04, C4, C6 = Cone.parse("04"), Cone.parse("4"), Cone.parse("6")


def asked(do: Callable[[], Receipt]) -> AsksCone:
    """What is asked before this is done."""
    with pytest.raises(AsksCone) as asks:
        do()
    return asks.value


def answer_to(asks: AsksCone, meant: str) -> ConeAnswer:
    """The answer that this cone was meant."""
    question = asks.question
    return ConeAnswer(key=question.key, fact=question.fact, cone=question.cone, meant=Cone.parse(meant))


def on_record(store: Store, kind: str, name: str) -> list[tuple[str, str, str, str]]:
    """Each answer about the cones of a thing: its fact, the cone that was asked and the one that was meant, and who."""
    return [(one.fact, str(one.cone), str(one.meant), one.by) for one in store.read.cone_answers.of(kind, name)]


PLUM = a_glaze("Plum Gloss", family=Family.LOW_FIRE, cone_low="06", cone_high="4")


def test_a_cone_that_was_mistyped_is_asked_about_and_kept_as_it_was_meant(store: Store) -> None:
    before = store.read.catalog().glaze("Plum Gloss")

    asks = asked(lambda: catalog.change(store, asked_by(ADA), PLUM))
    kept = store.read.catalog().glaze("Plum Gloss")
    catalog.change(store, asked_by(ADA), PLUM, answer=answer_to(asks, "04"))

    assert said(asks.question.title) == "04 or 4?"
    assert kept == before
    after = store.read.catalog().glaze("Plum Gloss")
    assert (after.cone_high, after.cones_checked) == (C04, False)
    assert on_record(store, "glaze", "Plum Gloss") == [("cone_high", "4", "04", ADA.name)]


def test_a_cone_that_is_right_as_it_is_stays_and_is_asked_about_once(store: Store) -> None:
    asks = asked(lambda: catalog.change(store, asked_by(ADA), PLUM))

    receipt = catalog.change(store, asked_by(ADA), PLUM, answer=answer_to(asks, "4"))
    catalog.change(store, asked_by(ADA), replace(store.read.catalog().glaze("Plum Gloss"), bucket="yard"))

    after = store.read.catalog().glaze("Plum Gloss")
    assert (after.cone_high, after.cones_checked, after.bucket) == (C4, True, "yard")
    assert "top cone 04 → 4 (1,063 °C → 1,162 °C)" in said(receipt.message)
    assert on_record(store, "glaze", "Plum Gloss") == [("cone_high", "4", "4", ADA.name)]


@pytest.mark.parametrize(
    "facts",
    [
        pytest.param({"cone_high": C6}, id="another cone"),
        pytest.param({"cone_low": Cone.parse("05")}, id="the other cone"),
        pytest.param({"family": Family.OUTDOOR}, id="another family"),
    ],
)
def test_what_was_confirmed_holds_only_for_those_cones_and_that_family(store: Store, facts: dict[str, Any]) -> None:
    asks = asked(lambda: catalog.change(store, asked_by(ADA), PLUM))
    catalog.change(store, asked_by(ADA), PLUM, answer=answer_to(asks, "4"))
    confirmed = store.read.catalog().glaze("Plum Gloss")

    again = asked(lambda: catalog.change(store, asked_by(ADA), replace(confirmed, **facts)))
    stale = asked(
        lambda: catalog.change(store, asked_by(ADA), replace(confirmed, **facts), answer=answer_to(asks, "4"))
    )

    assert again.question == stale.question
    assert again.question.key != asks.question.key
    assert store.read.catalog().glaze("Plum Gloss") == confirmed


@pytest.mark.parametrize(
    ("thing", "facts"),
    [
        pytest.param("clay", {"kind": ClayKind.EARTHENWARE}, id="a stoneware that becomes earthenware"),
        pytest.param("glaze", {"family": Family.LOW_FIRE}, id="a mid-range glaze that becomes low-fire"),
        pytest.param("glaze", {"cone_low": Cone.parse("05")}, id="its lowest cone alone"),
        pytest.param("glaze", {"cone_high": Cone.parse("12")}, id="its top cone alone"),
        pytest.param("underglaze", {"coat": Coat.GLAZE}, id="an underglaze that becomes a glaze"),
        pytest.param("route", {"cone": Cone.parse("06")}, id="a firing type's cone"),
    ],
)
def test_one_fact_at_a_time_gets_no_cone_in(store: Store, thing: str, facts: dict[str, Any]) -> None:
    line = a_glaze("Inkwell", coat=Coat.UNDERGLAZE, cone_low="06", cone_high="10")
    catalog.add(store, asked_by(ADA), line)
    known = store.read.catalog()
    old: Any = {
        "clay": known.clay("Doorstep Buff"),
        "glaze": known.glaze("Still Water"),
        "underglaze": line,
        "route": known.route("mid-range"),
    }[thing]

    asked(lambda: catalog.change(store, asked_by(ADA), replace(old, **facts)))

    assert store.read.catalog() == known


def test_nobody_says_that_cones_were_checked_but_by_answering(store: Store) -> None:
    asked(lambda: catalog.add(store, asked_by(ADA), replace(PLUM, name="New", cones_checked=True)))
    asked(lambda: catalog.change(store, asked_by(ADA), replace(PLUM, cones_checked=True)))


def test_a_file_that_vouches_for_a_cone_is_on_record_with_who_brought_it(store: Store) -> None:
    wanted = with_thing(store.read.studio(), replace(PLUM, cones_checked=True))

    receipt = catalog.change_studio(store, asked_by(ADA), wanted)
    catalog.change_studio(store, asked_by(ADA), replace(wanted, line="Hello"))

    assert "top cone 04 → 4 (1,063 °C → 1,162 °C) and unusual cones confirmed no → yes" in said(receipt.message)
    assert on_record(store, "glaze", "Plum Gloss") == [("cone_high", "4", "4", ADA.name)]


def test_no_studio_begins_or_goes_on_with_a_cone_that_nobody_vouches_for(store: Store) -> None:
    wanted = with_thing(a_studio(), PLUM)

    with pytest.raises(Unusable, match="cone-outside"):
        catalog.found(store, wanted, studio.ADA, at=NOON)
    asked(lambda: catalog.change_studio(store, asked_by(ADA), wanted))


def test_what_came_before_there_were_questions_can_be_retired_and_comes_back_only_with_an_answer(store: Store) -> None:
    # As an older version kept it.
    with store.writing() as connection:
        connection.exec_driver_sql(
            "UPDATE glazes SET cone_low = -60, cone_high = 40, ceiling = 40 WHERE name = 'Gilt Edge'"
        )
        connection.exec_driver_sql("UPDATE glazes SET family = 'low-fire' WHERE name = 'Gilt Edge'")
        connection.exec_driver_sql("UPDATE house SET value = '7' WHERE name = 'catalog'")

    catalog.change(store, asked_by(ADA), replace(store.read.catalog().glaze("Gilt Edge"), bucket="yard"))
    catalog.retire(store, asked_by(ADA), "glaze", "Gilt Edge")
    asks = asked(lambda: catalog.bring_back(store, asked_by(ADA), "glaze", "Gilt Edge"))
    retired = store.read.catalog().glaze("Gilt Edge")
    catalog.change(store, asked_by(ADA), retired, answer=answer_to(asks, "04"))
    catalog.bring_back(store, asked_by(ADA), "glaze", "Gilt Edge")

    after = store.read.catalog().glaze("Gilt Edge")
    assert (after.cone_high, after.bucket, after.retired) == (C04, "yard", False)


def test_what_was_answered_is_never_changed(store: Store) -> None:
    asks = asked(lambda: catalog.change(store, asked_by(ADA), PLUM))
    catalog.change(store, asked_by(ADA), PLUM, answer=answer_to(asks, "04"))

    for statement in ("UPDATE cone_answers SET meant = 40", "DELETE FROM cone_answers"):
        with pytest.raises(DatabaseError, match="stays on record"), store.writing() as connection:
            connection.exec_driver_sql(statement)


# ---- firings --------------------------------------------------------------------------------------------------------


def _start(store: Store, cone: str, answer: ConeAnswer | None = None) -> Receipt:
    return starting.start(store, asked_by(TOM), "Front box", "bisque", Cone.parse(cone), answer=answer)


def _plan(store: Store, cone: str, answer: ConeAnswer | None = None) -> Receipt:
    return plan(store, asked_by(TOM), "Front box", "bisque", Cone.parse(cone), answer=answer)


@pytest.mark.parametrize("begin", [_start, _plan], ids=["start", "plan"])
@pytest.mark.parametrize(("meant", "target"), [("05", "05"), ("5", "5")])
def test_a_bisque_to_cone_5_is_asked_about_and_its_answer_is_on_record(
    store: Store, begin: Callable[..., Receipt], meant: str, target: str
) -> None:
    asks = asked(lambda: begin(store, "5"))
    none_began = store.read.firings.listed()

    number = int(begin(store, "5", answer_to(asks, meant)).extra["firing"])

    assert said(asks.question.title) == "05 or 5?"
    assert none_began == ()
    firing = store.read.firings.firing(number)
    assert firing is not None
    assert firing.target == Cone.parse(target)
    assert on_record(store, "firing", str(number)) == [("cone", "5", meant, TOM.name)]


def test_a_firing_to_a_cone_that_fits_is_not_on_record(store: Store) -> None:
    number = _start(store, "04").extra["firing"]

    assert on_record(store, "firing", str(number)) == []


def test_an_answer_about_one_firing_is_none_about_another(store: Store) -> None:
    answer = answer_to(asked(lambda: _start(store, "5")), "5")

    asked(lambda: _start(store, "6", answer))
