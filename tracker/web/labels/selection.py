"""Choosing many pieces for the print desk: by a firing, a shelf, a section, a day, or code by code."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from flask import g, request, url_for

from tracker.domain.firing.firings import Outcome
from tracker.domain.pieces.piece import StepName
from tracker.domain.refusals import Unknown
from tracker.domain.studio.people import Right
from tracker.usecases.labels.print_jobs import find_job
from tracker.usecases.pieces.lookup import find_firing_page, find_rows
from tracker.web.auth import house

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from tracker.store.pieces.queries import PieceRow

MOST_FIRINGS = 12
"""So many firings are offered, the newest first; older ones have a link on their own page."""

TODAY = {"registered": StepName.REGISTER, "bisqued": StepName.BISQUE}
"""What of today can be chosen: a word in the address, and the step that those pieces took."""


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing that can be printed: the text that stands for it in the form, its name, and a word about it."""

    value: str
    name: str
    note: str = ""
    is_code: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """A heap of pieces to choose: what it is called, how many they are, and the address that chooses them."""

    name: str
    count: int
    href: str


def midnight() -> datetime:
    """When today began, by the studio's own calendar."""
    here = house().clock().astimezone(ZoneInfo(house().store.read.studio().timezone))
    return here.replace(hour=0, minute=0, second=0, microsecond=0)


def chosen_pieces() -> Sequence[Thing]:
    """The pieces that this request chooses, by a heap or one by one; none while nothing is asked."""
    reader = house().store.read
    rows = find_rows(reader, _refs(), g.person)
    numbers = [row.piece.id for row in rows]
    today, ever = reader.papers.printed_since(numbers, midnight()), reader.papers.printed_since(numbers)
    return [Thing(row.ref, row.piece.what, _note(row, today, ever), is_code=True) for row in rows]


def _note(row: PieceRow, today: frozenset[int], ever: frozenset[int]) -> str:
    if row.piece.id in today:
        return f"{row.maker}; its tag was printed today"
    return f"{row.maker}; its tag was printed before" if row.piece.id in ever else row.maker


def _refs() -> list[str]:
    """What stands for each piece, out of the form that was sent, or the address.

    A form names all that it offers, so that what is not ticked stays in its list.
    """
    if request.form:
        return lines(request.form.getlist("offered")) or lines(request.form.getlist("things"))
    refs = [*lines(request.args.getlist("ref")), *lines(request.args.getlist("codes"))]
    for word, find in _HEAPS.items():
        if asked := request.args.get(word, "").strip():
            refs += find(asked)
    return list(dict.fromkeys(refs))


def lines(texts: Sequence[str]) -> list[str]:
    """What was typed or ticked, each once and without what surrounds it."""
    return list(dict.fromkeys(line.strip() for text in texts for line in text.splitlines() if line.strip()))


def _number(text: str, what: str) -> int:
    if not (text.isascii() and text.isdigit()):
        raise Unknown(f"“{text[:20]}” is no {what}.", "Choose one from the print desk.")
    return int(text)


def _of_firing(text: str) -> list[str]:
    g.person.must_be_allowed(Right.FIRE)
    page = find_firing_page(house().store.read, _number(text, "firing"))
    # What broke in the fire needs no paper: after a bisque it has not even a code.
    return [row.ref for row in page.in_shelf_order if row.outcome is not Outcome.BROKE]


def _of_place(text: str) -> list[str]:
    g.person.must_be_allowed(Right.SEE_ALL)
    return _refs_of(house().store.read.papers.at_place(text))


def _of_section(text: str) -> list[str]:
    g.person.must_be_allowed(Right.SEE_ALL)
    return _refs_of(house().store.read.papers.in_section(text))


def _of_today(text: str) -> list[str]:
    step = TODAY.get(text)
    if step is None:
        raise Unknown(f"“{text[:20]}” is nothing that pieces do in a day.", "Choose from the print desk.")
    return _refs_of(house().store.read.papers.that_took(step, midnight(), _maker()))


def _of_maker(text: str) -> list[str]:
    g.person.must_be_allowed(Right.HAND_OVER)
    return [row.ref for row in house().store.read.pieces.ready_for_pickup(_number(text, "maker"))]


def _of_job(text: str) -> list[str]:
    return list(find_job(house().store.read, _number(text, "printing"), g.person).order.things)


def _refs_of(numbers: Sequence[int]) -> list[str]:
    return [row.ref for row in house().store.read.pieces.by_ids(numbers)] if numbers else []


def _maker() -> int | None:
    """Whose pieces alone may be chosen: a student's own."""
    return None if g.person.may(Right.SEE_ALL) else int(g.person.id)


_HEAPS: dict[str, Callable[[str], list[str]]] = {
    "firing": _of_firing,
    "place": _of_place,
    "section": _of_section,
    "today": _of_today,
    "maker": _of_maker,
    "job": _of_job,
}


# ---- what there is to choose from ------------------------------------------------------------------------------------


def heaps(kind: str) -> list[tuple[str, list[Choice]]]:
    """The heaps of pieces that this person may choose for a kind of paper, under their headings."""
    found = [("Today", list(_todays(kind)))]
    if g.person.may(Right.FIRE):
        found.append(("A firing", list(_firings(kind))))
    if g.person.may(Right.SEE_ALL):
        papers = house().store.read.papers
        for heading, word, counts in (
            ("A shelf or ware board", "place", papers.counted_by_place()),
            ("A section", "section", papers.counted_by_section()),
        ):
            found.append((heading, [Choice(name, count, _href(kind, word, name)) for name, count in counts.items()]))
    return [(heading, choices) for heading, choices in found if choices]


def _todays(kind: str) -> Iterator[Choice]:
    for word, step in TODAY.items():
        if numbers := house().store.read.papers.that_took(step, midnight(), _maker()):
            yield Choice(f"{word} today", len(numbers), _href(kind, "today", word))


def _firings(kind: str) -> Iterator[Choice]:
    for row in house().store.read.firings.listed(open_only=False, limit=MOST_FIRINGS):
        if row.count:
            yield Choice(f"Firing {row.id}: {row.kiln}, {row.route}", row.count, _href(kind, "firing", str(row.id)))


def _href(kind: str, word: str, value: str) -> str:
    asked: dict[str, Any] = {word: value}
    return url_for("paper.choose", kind=kind, **asked)
