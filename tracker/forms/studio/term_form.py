"""A term as the page's form tells it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from tracker.domain.message import Message, _
from tracker.domain.studio.terms import NewTerm
from tracker.forms.page_forms import BadForm
from tracker.forms.plain_values import Wrong, as_sentence, read_text

_MOST_SECTIONS = 100


def read_term(sent: Mapping[str, str]) -> NewTerm:
    """The term that a form tells; `BadForm` with what is wrong with each field."""
    problems: dict[str, Message] = {}
    name = _name(sent.get("name", ""), problems)
    starts_on = _day("starts_on", sent, problems)
    ends_on = _day("ends_on", sent, problems)
    pickup_on = _day("pickup_on", sent, problems) if sent.get("pickup_on", "").strip() else None
    sections = _sections(sent.get("sections", ""), problems)
    if starts_on is not None and ends_on is not None and ends_on < starts_on:
        problems["ends_on"] = Message("ends-before-it-starts", _("The term ends before it starts."))
    if pickup_on is not None and ends_on is not None and not (starts_on or pickup_on) <= pickup_on <= ends_on:
        problems["pickup_on"] = Message(
            "pickup-outside-term", _("Pickup day isn't a day of the term. Choose its last day or an earlier one.")
        )
    if problems or starts_on is None or ends_on is None:
        raise BadForm(problems)
    return NewTerm(name=name, starts_on=starts_on, ends_on=ends_on, pickup_on=pickup_on, sections=sections)


def _name(text: str, problems: dict[str, Message]) -> str:
    try:
        name = read_text(" ".join(text.split()))
    except Wrong as wrong:
        problems["name"] = as_sentence(wrong.message)
        return ""
    if not name:
        problems["name"] = Message("no-term-name", _("Give the term a name."))
    return name


def _day(field: str, sent: Mapping[str, str], problems: dict[str, Message]) -> date | None:
    try:
        return date.fromisoformat(sent.get(field, "").strip())
    except ValueError:
        problems[field] = Message("no-day", _("Choose a day."))
        return None


def _sections(text: str, problems: dict[str, Message]) -> tuple[str, ...]:
    """The names on the lines, each once."""
    lines = [" ".join(line.split()) for line in text.splitlines()]
    try:
        names = tuple(dict.fromkeys(read_text(line) for line in lines if line))
    except Wrong as wrong:
        problems["sections"] = as_sentence(wrong.message)
        return ()
    if len(names) > _MOST_SECTIONS:
        words = _("A term has at most {most} sections.")
        problems["sections"] = Message("too-many-sections", words, most=_MOST_SECTIONS)
    return names
