"""What is known of a piece is put right by its maker and by staff, and the history keeps what it was."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from tests.reading import said, tells
from tests.staffed import ADA, INES, MIRA, TOM, asked_by, bisqued, glazed, queued, the_piece
from tests.studio import a_new_piece
from tracker.domain.findings import Unfit
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.history import Request
from tracker.domain.pieces.piece import Build, Foot, Stage, StepName, Use
from tracker.domain.refusals import ChangedMeanwhile, KeyUsedElsewhere, NotAllowed, NotAStep, Unknown
from tracker.domain.studio.materials import Zone
from tracker.domain.studio.people import Person
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings, starting
from tracker.usecases.pieces import editing, pieces

FOR_FOOD = a_new_piece(use=Use.FOOD)


@pytest.mark.parametrize("by", [MIRA, TOM, ADA], ids=["its maker", "staff", "instructor"])
def test_whoever_works_on_a_piece_puts_right_what_is_known_of_it(store: Store, by: Person) -> None:
    ref = glazed(store)
    before = the_piece(store, ref)

    receipt = editing.set_right(store, asked_by(by), ref, Told(weight_g=900, foot=Foot.WIPED), seen=before.version)

    wanted = replace(before, weight_g=900, foot=Foot.WIPED, version=before.version + 1)
    assert the_piece(store, ref) == wanted
    assert (
        said(receipt.message)
        == f"{ref}, tall cup: details saved, weight from 400 g to 900 g and foot from unknown to wiped."
    )


def test_each_change_is_a_line_of_history_that_keeps_what_was_known_before(store: Store) -> None:
    ref = bisqued(store)
    editing.set_right(store, asked_by(MIRA), ref, Told(height_mm=130))
    editing.set_right(store, asked_by(TOM), ref, Told(height_mm=125, fragile=True))

    lines = store.read.pieces.page(the_piece(store, ref).id).history[-2:]

    assert [(line.step, line.by, line.start, line.to) for line in lines] == [
        (StepName.SET_RIGHT, "Mira Tann", Stage.BISQUED, Stage.BISQUED),
        (StepName.SET_RIGHT, "Tom Abara", Stage.BISQUED, Stage.BISQUED),
    ]
    assert [line.facts["changes"] for line in lines] == [
        (("height_mm", 120, 130),),
        (("height_mm", 130, 125), ("fragile", False, True)),
    ]


def test_a_piece_in_a_decorative_glaze_does_not_become_one_for_food(store: Store) -> None:
    ref = glazed(store, "Gilt Edge")

    with pytest.raises(Unfit, match="decorative-glaze-for-food"):
        editing.set_right(store, asked_by(MIRA), ref, Told(use=Use.FOOD))

    assert the_piece(store, ref).use is Use.DECORATIVE


def test_a_piece_becomes_one_for_food_with_the_verdict_it_was_judged_by_on_record(store: Store) -> None:
    ref = glazed(store, "Wet Slate")

    editing.set_right(store, asked_by(MIRA), ref, Told(use=Use.FOOD))

    (*_, line) = store.read.pieces.page(the_piece(store, ref).id).history
    assert the_piece(store, ref).use is Use.FOOD
    assert [one.rule for one in line.findings] == ["untested-for-food", "unlined-for-food"]


def test_a_piece_made_decorative_goes_where_one_for_food_may_not(store: Store) -> None:
    ref = glazed(store, "Iron Gate", new=a_new_piece(clay="Gravel Walk", use=Use.FOOD))
    editing.set_right(store, asked_by(MIRA), ref, Told(use=Use.DECORATIVE))

    pieces.queue(store, asked_by(TOM), ref, "high-fire")

    assert the_piece(store, ref).stage is Stage.QUEUED


def test_what_waits_or_stands_in_a_kiln_is_not_its_makers_to_edit(store: Store) -> None:
    waits = queued(store)
    slip = pieces.register(store, asked_by(MIRA), a_new_piece()).ref
    firing = int(
        starting.start(store, asked_by(TOM), "Front box", "bisque", store.read.catalog().route("bisque").cone).extra[
            "firing"
        ]
    )
    firings.put_in(store, asked_by(TOM), firing, slip, dry=True)

    with pytest.raises(NotAStep, match="staff-edits-it"):
        editing.set_right(store, asked_by(MIRA), waits, Told(fragile=True))
    with pytest.raises(NotAStep, match="piece-in-a-kiln"):
        editing.set_right(store, asked_by(MIRA), slip, Told(fragile=True))


def test_a_crack_is_noted_by_anybody_and_taken_back_by_staff_alone(store: Store) -> None:
    ref = bisqued(store)
    editing.set_right(store, asked_by(MIRA), ref, Told(mended=True))

    with pytest.raises(NotAllowed, match="noted-as-mended"):
        editing.set_right(store, asked_by(MIRA), ref, Told(mended=False))
    editing.set_right(store, asked_by(TOM), ref, Told(mended=False))

    assert not the_piece(store, ref).mended


def test_somebody_elses_piece_and_a_page_that_is_out_of_date_are_refused(store: Store) -> None:
    ref = bisqued(store)

    with pytest.raises(Unknown):
        editing.set_right(store, asked_by(INES), ref, Told(fragile=True))
    with pytest.raises(ChangedMeanwhile):
        editing.set_right(store, asked_by(MIRA), ref, Told(fragile=True), seen=99)


def test_the_same_request_twice_changes_once(store: Store) -> None:
    ref, request = bisqued(store), asked_by(MIRA)

    first = editing.set_right(store, request, ref, Told(fragile=True))
    again = editing.set_right(store, request, ref, Told(fragile=True))

    assert again == first
    assert len(store.read.pieces.page(the_piece(store, ref).id).history) == 2


def test_that_its_clay_is_never_for_food_is_told_when_clay_or_use_is_changed_and_not_of_each_detail(
    store: Store,
) -> None:
    ref = pieces.register(store, asked_by(MIRA), a_new_piece(clay="Roof Tile Red")).ref

    for_food = editing.set_right(store, asked_by(MIRA), ref, Told(use=Use.FOOD))
    fragile = editing.set_right(store, asked_by(MIRA), ref, Told(fragile=True))

    assert tells([for_food.message], "never-for-food", clay="Roof Tile Red")
    assert not tells([fragile.message], "never-for-food")


def test_a_request_is_not_answered_for_another_one_with_its_key(store: Store) -> None:
    ref, other = glazed(store), glazed(store)
    seen = the_piece(store, ref).version
    asked: dict[str, list[Callable[[Request], object]]] = {
        "set right": [
            lambda key: editing.set_right(store, key, ref, Told(weight_g=900), seen=seen),
            lambda key: editing.set_right(store, key, other, Told(weight_g=900), seen=seen),
            lambda key: editing.set_right(store, key, ref, Told(weight_g=901), seen=seen),
            lambda key: editing.set_right(store, key, ref, Told(weight_g=900), clay="Lantern White", seen=seen),
            lambda key: editing.set_right(store, key, ref, Told(weight_g=900), belongs_with=other, seen=seen),
            lambda key: editing.set_right(store, key, ref, Told(weight_g=900)),
        ],
        "glaze": [
            lambda key: pieces.glaze(store, key, ref, "Still Water", Zone.LIP),
            lambda key: pieces.glaze(store, key, other, "Still Water", Zone.LIP),
            lambda key: pieces.glaze(store, key, ref, "Wet Slate", Zone.LIP),
            lambda key: pieces.glaze(store, key, ref, "Still Water", Zone.INSIDE),
            lambda key: pieces.glaze(store, key, ref, "Still Water", Zone.LIP, foot=Foot.WIPED),
            lambda key: pieces.glaze(store, key, ref, "Still Water", Zone.LIP, catch_plate=True),
            lambda key: pieces.glaze(store, key, ref, "Still Water", Zone.LIP, checked_for=Zone.ALL_OVER),
            lambda key: pieces.glaze(store, key, ref, "Still Water", Zone.LIP, asks=True),
            lambda key: pieces.glaze(store, key, ref, "Still Water", Zone.LIP, seen=seen),
        ],
        "shelve": [
            lambda key: pieces.shelve(store, key, ref, "Cart 1"),
            lambda key: pieces.shelve(store, key, other, "Cart 1"),
            lambda key: pieces.shelve(store, key, ref, "Cart 2"),
            lambda key: pieces.shelve(store, key, ref, "Cart 1", seen=seen),
        ],
        "queue": [
            lambda key: pieces.queue(store, key, ref, "mid-range"),
            lambda key: pieces.queue(store, key, other, "mid-range"),
            lambda key: pieces.queue(store, key, ref, "high-fire"),
            lambda key: pieces.queue(store, key, ref, "mid-range", accepts={"thick-wall"}),
            lambda key: pieces.queue(store, key, ref, "mid-range", place="Cart 1"),
            lambda key: pieces.queue(store, key, ref, "mid-range", seen=seen),
        ],
        "lose": [
            lambda key: pieces.lose(store, key, ref, "dropped"),
            lambda key: pieces.lose(store, key, other, "dropped"),
            lambda key: pieces.lose(store, key, ref, "missing"),
            lambda key: pieces.lose(store, key, ref, "dropped", place="Cart 1"),
            lambda key: pieces.lose(store, key, ref, "dropped", seen=seen),
        ],
        "correct": [
            lambda key: pieces.correct(store, key, other, Stage.BISQUED, "mixed up"),
            lambda key: pieces.correct(store, key, other, Stage.GREENWARE, "mixed up"),
        ],
    }

    for first, *others in asked.values():
        key = asked_by(ADA)
        first(key)
        for another in others:
            with pytest.raises(KeyUsedElsewhere):
                another(key)


def test_until_the_bisque_its_maker_changes_the_name_the_clay_and_the_build_on_record(store: Store) -> None:
    slip = pieces.register(store, asked_by(MIRA), a_new_piece()).ref
    was = the_piece(store, slip)

    editing.set_right(store, asked_by(MIRA), slip, Told(what="mug", build=Build.COIL), clay="Gravel Walk")

    now = the_piece(store, slip)
    (*_, line) = store.read.pieces.page(now.id).history
    assert (now.what, now.clay.name, now.build) == ("mug", "Gravel Walk", Build.COIL)
    assert now.ceiling == now.clay.ceiling
    assert line.facts["changes"] == (
        ("what", was.what, "mug"),
        ("clay", was.clay.name, "Gravel Walk"),
        ("build", was.build, Build.COIL),
    )


def test_what_the_bisque_rested_on_is_not_changed_after_it(store: Store) -> None:
    ref = bisqued(store)

    with pytest.raises(NotAStep, match="only-before-the-bisque"):
        editing.set_right(store, asked_by(MIRA), ref, Told(), clay="Gravel Walk")
