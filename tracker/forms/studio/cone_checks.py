"""Cones that don't fit: refused in a file unless its row vouches for them, and on a page the answer to a question."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.domain.message import _
from tracker.domain.studio.cone_bands import ConeAnswer, HasCones, cone_question
from tracker.forms import fields
from tracker.forms.fields import FILE, Typed, Within, fact
from tracker.forms.page_forms import Form, form_of, read_form, sent
from tracker.forms.plain_values import Wrong, cone_of


def cones_checked() -> Typed:
    """Whether somebody vouches for cones that are not usual; a page asks and keeps the answer instead."""
    return fact(_("These unusual cones are correct"), fields.yes_or_no(), within=FILE)


def must_fit(thing: HasCones, where: Within) -> None:
    """Refuse a row of a file whose cones do not fit and that does not say that they were checked."""
    if where is FILE and not thing.cones_checked and (question := cone_question(thing)):
        raise Wrong(question.for_file, question.fact)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Answered:
    """Which question was answered, and which cone was meant: "cone_high 4 04", or "cone_high 4 4" as it is."""

    cone_asked: str = sent(fields.line(200))
    cone_meant: str = sent(fields.line())


_FORM = form_of(_Answered)()
_PARTS = 3


def read_cone_answer(form: Form) -> ConeAnswer | None:
    """What was answered about a cone on this form; None where nothing was, or what no page offers."""
    answered = read_form(_FORM, form)
    parts = answered.cone_meant.split()
    if len(parts) != _PARTS:
        return None
    try:
        cone, meant = cone_of(parts[1]), cone_of(parts[2])
    except Wrong:
        return None
    return ConeAnswer(key=answered.cone_asked, fact=parts[0], cone=cone, meant=meant)
