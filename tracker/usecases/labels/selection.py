"""Choosing many pieces to print for: by a firing, a shelf, a section, a day, a maker, or a printing of before."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from functools import cached_property
from zoneinfo import ZoneInfo

from tracker.domain.message import Choice, Fact, Message, _
from tracker.domain.pieces.piece import StepName
from tracker.domain.refusals import Unknown
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.people import Person, Right
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.usecases.labels.print_jobs import find_job, must_be_few_enough
from tracker.usecases.pieces.lookup import find_firing_page, find_rows
from tracker.wording.reader import Reader

MOST_FIRINGS = 12
"""So many firings are offered, the newest first; older ones have a link on their own page."""

TODAY = {"registered": StepName.REGISTER, "bisqued": StepName.BISQUE}
"""What of today can be chosen: a word for it, and the step that those pieces took."""


@dataclass(frozen=True)
class Desk:
    """Out of which records documents are printed, by whom, when and for whom; `address` is where a tag's QR leads.

    An empty address takes the studio's own.
    """

    read: Queries
    by: Person
    at: datetime
    reader: Reader
    address: str = ""

    @cached_property
    def studio(self) -> Studio:
        """The studio as it is now."""
        return self.read.studio()

    @property
    def midnight(self) -> datetime:
        """When today began, by the studio's own calendar."""
        here = self.at.astimezone(ZoneInfo(self.studio.timezone))
        return here.replace(hour=0, minute=0, second=0, microsecond=0)

    @property
    def maker_id(self) -> int | None:
        """Whose pieces alone may be chosen: a student's own; None for everybody's."""
        return None if self.by.may(Right.SEE_ALL) else self.by.id


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing that can be printed: the text that stands for it, its name, and a word about it.

    A piece `is_code`, and `was_printed` where its tag was printed before.
    """

    value: str
    name: str
    note: Fact = ""
    is_code: bool = False
    was_printed: bool = False


class Heap(StrEnum):
    """By what pieces can be chosen together."""

    FIRING = "firing"
    PLACE = "place"
    SECTION = "section"
    TERM = "term"
    TODAY = "today"
    MAKER = "maker"
    JOB = "job"


@dataclass(frozen=True, slots=True)
class Offer:
    """A heap of pieces to choose: what it is called, how many they are, and the text that chooses them."""

    heap: Heap
    text: str
    name: Fact
    count: int


def pieces_in(desk: Desk, heap: Heap, text: str) -> list[str]:
    """What stands for each piece of a heap; refused where this person may not choose it."""
    return _PIECES[heap](desk, text)


def things_of(desk: Desk, refs: Sequence[str]) -> list[Thing]:
    """These pieces, each with its maker and whether its tag was printed before."""
    must_be_few_enough(refs)
    return things_in(desk, find_rows(desk.read, refs, desk.by))


def things_in(desk: Desk, rows: Sequence[PieceRow]) -> list[Thing]:
    """The pieces of these rows, each with its maker and whether its tag was printed before."""
    numbers = [row.piece.id for row in rows]
    papers = desk.read.papers
    today, ever = papers.printed_since(numbers, desk.midnight), papers.printed_since(numbers)
    return [_thing(row, today, ever) for row in rows]


def _thing(row: PieceRow, today: frozenset[int], ever: frozenset[int]) -> Thing:
    when = "today" if row.piece.id in today else "before" if row.piece.id in ever else "never"
    note = Message("maker-and-tag", Choice("printed", _TAGS_OF_A_MAKER), maker=row.maker, printed=when)
    return Thing(row.ref, row.piece.what, note, is_code=True, was_printed=row.piece.id in ever)


_TAGS_OF_A_MAKER = {
    "today": _("{maker}; its tag was printed today"),
    "before": _("{maker}; its tag was printed before"),
    "never": "{maker}",
}


# ---- each heap -------------------------------------------------------------------------------------------------------


_MOST_DIGITS = 9
"""No row has a number of more digits: more than a studio has in a thousand years."""


def _number(text: str, heap: Heap) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS):
        remedy = Message("choose-at-the-desk", _("Choose one on the print desk."))
        raise Unknown(Message("not-a-heap", Choice("heap", _NO_HEAP), text=text[:20], heap=heap), remedy)
    return int(text)


_NO_HEAP = {
    Heap.FIRING.value: _("“{text}” isn't a firing."),
    Heap.MAKER.value: _("“{text}” isn't a maker."),
    Heap.JOB.value: _("“{text}” isn't a print."),
    Heap.TERM.value: _("“{text}” isn't a term."),
    Heap.TODAY.value: _("“{text}” isn't “registered” or “bisqued”."),
}


def _of_firing(desk: Desk, text: str) -> list[str]:
    desk.by.must_be_allowed(Right.FIRE)
    page = find_firing_page(desk.read, _number(text, Heap.FIRING))
    # What broke in the fire needs no paper: after a bisque it has not even a code.
    return [row.ref for row in page.in_shelf_order if row.outcome is None or row.outcome.survives]


def _of_place(desk: Desk, text: str) -> list[str]:
    desk.by.must_be_allowed(Right.SEE_ALL)
    return _refs(desk, desk.read.papers.at_place(text))


def _of_section(desk: Desk, text: str) -> list[str]:
    desk.by.must_be_allowed(Right.SEE_ALL)
    return _refs(desk, desk.read.papers.in_section(text))


def _of_term(desk: Desk, text: str) -> list[str]:
    """What is left of the term with this number or name."""
    desk.by.must_be_allowed(Right.SEE_ALL)
    known = desk.read.terms.listed()
    found = next((one for one in known if text in {str(one.id), one.name}), None)
    if found is None:
        remedy = Message("choose-at-the-desk", _("Choose one on the print desk."))
        raise Unknown(Message("not-a-heap", Choice("heap", _NO_HEAP), text=text[:20], heap=Heap.TERM), remedy)
    return [row.ref for row in desk.read.term_pieces.here(found.id)]


def _of_today(desk: Desk, text: str) -> list[str]:
    step = TODAY.get(text)
    if step is None:
        remedy = Message("choose-at-the-desk", _("Choose one on the print desk."))
        raise Unknown(Message("not-a-heap", Choice("heap", _NO_HEAP), text=text[:20], heap=Heap.TODAY), remedy)
    return _refs(desk, desk.read.papers.that_took(step, desk.midnight, desk.maker_id))


def _of_maker(desk: Desk, text: str) -> list[str]:
    desk.by.must_be_allowed(Right.HAND_OVER)
    return [row.ref for row in desk.read.pieces.ready_for_pickup(_number(text, Heap.MAKER))]


def _of_job(desk: Desk, text: str) -> list[str]:
    return list(find_job(desk.read, _number(text, Heap.JOB), desk.by).order.things)


def _refs(desk: Desk, numbers: Sequence[int]) -> list[str]:
    return [row.ref for row in desk.read.pieces.by_ids(numbers)] if numbers else []


_PIECES: dict[Heap, Callable[[Desk, str], list[str]]] = {
    Heap.FIRING: _of_firing,
    Heap.PLACE: _of_place,
    Heap.SECTION: _of_section,
    Heap.TERM: _of_term,
    Heap.TODAY: _of_today,
    Heap.MAKER: _of_maker,
    Heap.JOB: _of_job,
}


# ---- what there is to choose from ------------------------------------------------------------------------------------


def offers(desk: Desk) -> list[tuple[Message, list[Offer]]]:
    """The heaps of pieces that this person may choose, under their headings."""
    found = [(Message("heap-today", _("Today")), list(_todays(desk)))]
    if desk.by.may(Right.FIRE):
        found.append((Message("heap-firing", _("A firing")), list(_firings(desk))))
    if desk.by.may(Right.SEE_ALL):
        papers = desk.read.papers
        for heading, heap, counts in (
            (Message("heap-place", _("A shelf or ware board")), Heap.PLACE, papers.counted_by_place()),
            (Message("heap-section", _("A section")), Heap.SECTION, papers.counted_by_section()),
        ):
            found.append((heading, [Offer(heap, name, name, count) for name, count in counts.items()]))
        found.append((Message("heap-term", _("A term")), list(_terms(desk))))
    return [(heading, some) for heading, some in found if some]


def _terms(desk: Desk) -> Iterator[Offer]:
    for one in desk.read.terms.listed():
        if one.is_open and (count := desk.read.term_pieces.count_here(one.id)):
            yield Offer(Heap.TERM, str(one.id), one.name, count)


def _todays(desk: Desk) -> Iterator[Offer]:
    for word, step in TODAY.items():
        if numbers := desk.read.papers.that_took(step, desk.midnight, desk.maker_id):
            yield Offer(Heap.TODAY, word, _TODAYS[step], len(numbers))


_TODAYS = {
    StepName.REGISTER: Message("registered-today", _("registered today")),
    StepName.BISQUE: Message("bisqued-today", _("bisqued today")),
}


def _firings(desk: Desk) -> Iterator[Offer]:
    for row in desk.read.firings.listed(open_only=False, limit=MOST_FIRINGS):
        if row.count:
            route = desk.studio.catalog.routes.get(row.route)
            words = _("Firing {firing}: {kiln}, {route}")
            title = route.title if route else row.route
            name = Message("firing-of-kiln", words, firing=str(row.id), kiln=row.kiln, route=title)
            yield Offer(Heap.FIRING, str(row.id), name, row.count)
