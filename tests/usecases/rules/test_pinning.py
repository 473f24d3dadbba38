"""An answer that is pinned to a clay or a glaze is read by the next who chooses it, on each engine."""

from __future__ import annotations

import pytest

from tests.reading import said
from tests.staffed import ADA, MIRA, TOM, asked_by, bisqued, glazed
from tracker.domain.refusals import ChangedMeanwhile, NotAllowed, Unknown, Unusable
from tracker.store.unit_of_work import Store
from tracker.usecases.rules import questions


def asked(store: Store, ref: str, text: str = "Does it run?") -> int:
    """The number of a question that a student put on a piece."""
    return int(questions.ask(store, asked_by(MIRA), ref, text).extra["question"])


def pinned_answers(store: Store, *, clay: str = "", glaze: str = "") -> list[tuple[str | None, str | None]]:
    """What others are told of a clay or a glaze: the answers, each with what it is pinned to."""
    found = store.read.questions.pinned(clays_named=[clay], glazes_named=[glaze])
    return [(one.answer, one.pinned_glaze or one.pinned_clay) for one in found]


def test_an_answer_pinned_to_a_glaze_is_told_of_that_glaze_alone(store: Store) -> None:
    number = asked(store, glazed(store, "Still Water"))

    receipt = questions.answer(store, asked_by(ADA), number, "A little.", allows=False, pin="glaze:still water")

    assert said(receipt.message).endswith("Pinned to Still Water, for others to read.")
    assert pinned_answers(store, glaze="Still Water") == [("A little.", "Still Water")]
    assert pinned_answers(store, glaze="Iron Gate", clay="Doorstep Buff") == []


def test_an_answer_pinned_to_the_clay_is_told_of_the_pieces_clay(store: Store) -> None:
    number = asked(store, bisqued(store), "How much does it shrink?")

    questions.answer(store, asked_by(ADA), number, "A tenth.", allows=False, pin="clay")

    assert pinned_answers(store, clay="Doorstep Buff") == [("A tenth.", "Doorstep Buff")]


def test_the_newest_pinned_answer_comes_first_and_an_unpinned_one_not_at_all(store: Store) -> None:
    ref = bisqued(store)
    for text, pin in (("First.", "clay"), ("Between.", ""), ("Last.", "clay")):
        questions.answer(store, asked_by(ADA), asked(store, ref), text, allows=False, pin=pin)

    assert [says for says, _ in pinned_answers(store, clay="Doorstep Buff")] == ["Last.", "First."]


@pytest.mark.parametrize(
    ("pin", "refusal"), [("glaze:Fog Bell", Unknown), ("glaze:", Unusable), ("clay:Doorstep Buff", Unusable)]
)
def test_an_answer_that_cannot_be_pinned_so_is_not_given(store: Store, pin: str, refusal: type[Exception]) -> None:
    number = asked(store, bisqued(store))

    with pytest.raises(refusal):
        questions.answer(store, asked_by(ADA), number, "So.", allows=False, pin=pin)

    assert store.read.questions.question(number).answer is None  # type: ignore[union-attr]  # it was just asked


def test_an_answer_is_pinned_once_and_by_the_instructor_alone(store: Store) -> None:
    number, request = asked(store, bisqued(store)), asked_by(ADA)
    with pytest.raises(NotAllowed):
        questions.answer(store, asked_by(TOM), number, "So.", allows=False, pin="clay")

    first = questions.answer(store, request, number, "So.", allows=False, pin="clay")
    again = questions.answer(store, request, number, "So.", allows=False, pin="clay")

    assert again == first
    with pytest.raises(ChangedMeanwhile):
        questions.answer(store, asked_by(ADA), number, "Or so.", allows=False, pin="clay")
    assert pinned_answers(store, clay="Doorstep Buff") == [("So.", "Doorstep Buff")]
