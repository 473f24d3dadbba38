"""Cones that don't fit: no change of the catalog keeps one before a person has said which cone is right."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from tracker.domain.message import Message, _
from tracker.domain.studio.catalog import Studio, ThingKind
from tracker.domain.studio.catalog_changes import SHELVES, with_thing
from tracker.domain.studio.cone_bands import (
    AsksCone,
    ConeAnswer,
    are_alike,
    asked_before,
    cone_question,
    fixed,
    has_cones,
    open_question,
)
from tracker.store.unit_of_work import Change

_HELD = (ThingKind.CLAY, ThingKind.GLAZE, ThingKind.ROUTE)


def unchecked(thing: Any, old: Any = None) -> Any:  # noqa: ANN401 -- a thing of any sort
    """The thing as a page tells it: what was confirmed of the `old` one holds only while its cones and family stay."""
    if not has_cones(thing):
        return thing
    return replace(thing, cones_checked=old is not None and old.cones_checked and are_alike(old, thing))


def unconfirmed(studio: Studio) -> tuple[Message, ...]:
    """What is to be asked about cones that don't fit and that nobody has confirmed."""
    things = [one for kind in _HELD for one in getattr(studio.catalog, SHELVES[kind]).values()]
    return tuple(AsksCone(question).message for one in things if (question := open_question(one)))


def with_cones_answered(before: Studio, after: Studio, answer: ConeAnswer | None) -> Studio:
    """`after` as the answer makes it; `AsksCone` about the first cone that doesn't fit and that nobody confirmed.

    What does not fit since before there was a question is not asked about until its cones change.
    """
    for _kind, old, new in _things(before, after):
        question = open_question(new)
        if question is None:
            continue
        if answer is not None and answer.answers(question):
            return with_cones_answered(before, with_thing(after, fixed(new, answer)), None)
        if old is None or not are_alike(old, new) or (old.retired and not new.retired):
            raise AsksCone(question, Message("pick-on-its-form", _("Choose the right cone in its form.")))
    return after


def note_cones(change: Change, before: Studio, after: Studio, answer: ConeAnswer | None) -> None:
    """Put on record who confirmed which cones, or which cone was meant."""
    for kind, old, new in _things(before, after):
        question = cone_question(new)
        was_confirmed = old is not None and old.cones_checked and are_alike(old, new)
        if question is not None and new.cones_checked and not was_confirmed:
            change.cones.note(kind, new.name, question.fact, question.cone, question.cone)
        elif answer is not None and asked_before(new, answer):
            change.cones.note(kind, new.name, answer.fact, answer.cone, answer.meant)


def _things(before: Studio, after: Studio) -> Iterator[tuple[ThingKind, Any, Any]]:
    """Each clay, glaze and firing type as it was, None for a new one, and as it is to be."""
    for kind in _HELD:
        olds = getattr(before.catalog, SHELVES[kind])
        for name, new in getattr(after.catalog, SHELVES[kind]).items():
            yield kind, olds.get(name), new
