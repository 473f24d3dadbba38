"""An approval from before findings had facts holds on where the piece is as it was; what holds no longer is told."""

from __future__ import annotations

import json

import pytest
from sqlalchemy import text

from tests.staffed import ADA, MIRA, TOM, asked_by, glazed
from tests.studio import NOON, a_new_piece
from tracker.domain.findings import NeedsInstructor
from tracker.domain.studio.materials import Zone
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces import pieces
from tracker.usecases.rules import questions
from tracker.usecases.rules.approvals import carry_over, not_carried
from tracker.wording.render import say

NAMELESS = (
    "Nobody here knows what heat Box of scraps can stand: until somebody does, it is taken for the lowest-firing, "
    "cone 06 to 04, 998 to 1063 °C."
)
INDOOR = "Plum Gloss and Paper Lamp are indoor glazes, not made to be pulled hot from the raku kiln."
COLD = "Paper Lamp needs cone 05, 1031 °C: this firing stops at cone 06, 998 °C, so it stays dry and rough."


def an_old_approval(store: Store, ref: str, route: str, **sentences: str) -> None:
    """The instructor's approval of a question on a piece, kept as it was when findings were sentences."""
    asked = questions.ask(store, asked_by(MIRA), ref, "May it?", route=route).extra["question"]
    questions.answer(store, asked_by(ADA), int(asked), "It may.", allows=True)
    old = [
        {"rule": rule.replace("_", "-"), "level": "ask", "says": says, "mend": "Ask.", "rests_on": "common practice"}
        for rule, says in sentences.items()
    ]
    with store.writing() as connection:
        kept = {"findings": json.dumps(old, ensure_ascii=False), "id": int(asked)}
        connection.execute(text("UPDATE questions SET findings = :findings WHERE id = :id"), kept)


def in_two_glazes(store: Store) -> str:
    """A piece in Plum Gloss and Paper Lamp."""
    ref = glazed(store, "Plum Gloss")
    pieces.glaze(store, asked_by(MIRA), ref, "Paper Lamp", Zone.LIP)
    return ref


def test_an_old_approval_holds_no_longer_by_itself(store: Store) -> None:
    ref = in_two_glazes(store)
    an_old_approval(store, ref, "raku", indoor_glaze_in_raku=INDOOR, glaze_underfired=COLD)

    with pytest.raises(NeedsInstructor):
        pieces.queue(store, asked_by(TOM), ref, "raku")


def test_an_old_approval_that_is_carried_over_holds_on(store: Store) -> None:
    ref = in_two_glazes(store)
    an_old_approval(store, ref, "raku", indoor_glaze_in_raku=INDOOR, glaze_underfired=COLD)

    carried = carry_over(store, say, at=NOON)

    assert carried == 1
    assert not_carried(store) == ()
    assert pieces.queue(store, asked_by(TOM), ref, "raku", accepts={"damp-glaze"}).ref == ref


def test_ranges_and_thousands_are_the_same_however_they_were_written(store: Store) -> None:
    ref = glazed(store, "Plum Gloss", new=a_new_piece(clay="Box of scraps"))
    an_old_approval(store, ref, "low-fire", nameless_material=NAMELESS)

    carry_over(store, say, at=NOON)

    assert pieces.queue(store, asked_by(TOM), ref, "low-fire").ref == ref


def test_what_was_carried_over_is_not_carried_over_again(store: Store) -> None:
    an_old_approval(store, in_two_glazes(store), "raku", indoor_glaze_in_raku=INDOOR, glaze_underfired=COLD)
    carry_over(store, say, at=NOON)

    assert carry_over(store, say, at=NOON) == 0


@pytest.mark.parametrize(
    "says",
    ["Plum Gloss is an indoor glaze, not made to be pulled hot from the raku kiln.", INDOOR.replace("Lamp", "Moon")],
    ids=["one glaze fewer", "another glaze"],
)
def test_an_approval_for_other_facts_is_not_carried_over_but_told(store: Store, says: str) -> None:
    ref = in_two_glazes(store)
    an_old_approval(store, ref, "raku", indoor_glaze_in_raku=says, glaze_underfired=COLD)

    carry_over(store, say, at=NOON)

    (told,) = not_carried(store)
    assert (told.code, told["piece"], told["text"]) == ("approval-not-carried", ref, says)
    with pytest.raises(NeedsInstructor) as refused:
        pieces.queue(store, asked_by(TOM), ref, "raku")
    assert {one.rule for one in refused.value.findings} == {"indoor-glaze-in-raku"}


def test_a_rule_of_another_name_does_not_take_an_approval_over(store: Store) -> None:
    ref = in_two_glazes(store)
    an_old_approval(store, ref, "raku", glaze_underfired=INDOOR)

    assert carry_over(store, say, at=NOON) == 0
    assert [one["piece"] for one in not_carried(store)] == [ref]
