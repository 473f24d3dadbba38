"""Terms and the sections in them: when a class runs, and who belongs to it."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from tracker.domain.message import Message, Plural, _, together


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """A term from its first day to its last. `ended_at` is when its end was put on record, None while it is open.

    `pickup_on` is the day on which makers come for their work, if there is one. `noticed_days` is how many days before
    its end the last notice of that was due, None before the first.
    """

    id: int
    name: str
    starts_on: date
    ends_on: date
    pickup_on: date | None = None
    ended_at: datetime | None = None
    noticed_days: int | None = None

    @property
    def is_open(self) -> bool:
        """Whether its end isn't on record yet."""
        return self.ended_at is None

    def runs_on(self, day: date) -> bool:
        """Whether `day` is one of its days."""
        return self.starts_on <= day <= self.ends_on


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A class or group of people, of a term or of none; its name is its own only within that term."""

    id: int
    name: str
    term_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NewTerm:
    """A term as somebody tells it, with the names of its sections, none of them twice."""

    name: str
    starts_on: date
    ends_on: date
    pickup_on: date | None = None
    sections: tuple[str, ...] = ()


def term_on(terms: Iterable[Term], day: date) -> Term | None:
    """The term to which people are added on `day`, of those still open: the running one, else the next, else the last.

    Where two run at once, the one that began last.
    """
    still = sorted((one for one in terms if one.is_open), key=lambda one: (one.starts_on, one.id))
    running = [one for one in still if one.runs_on(day)]
    ahead = [one for one in still if one.starts_on > day]
    return next(iter(running[-1:] + ahead[:1] + still[-1:]), None)


def next_pickup(terms: Iterable[Term], day: date) -> Term | None:
    """The open term whose pickup day is the next one, `day` included; None where none is planned."""
    ahead = [(one.pickup_on, one.id, one) for one in terms if one.is_open and one.pickup_on and one.pickup_on >= day]
    return min(ahead, default=(None, None, None))[2]


def notice_due(term: Term, days_before: Iterable[int], day: date) -> int | None:
    """Which of these notices, by its days before the end, is due on `day`: the last one that is and hasn't been sent.

    So whoever is late with a notice sends one, not two. None for none, and before the term or after it.
    """
    left = (term.ends_on - day).days
    if not term.is_open or left < 0 or day < term.starts_on:
        return None
    latest = min((one for one in days_before if one >= left), default=None)
    if latest is None or (term.noticed_days is not None and term.noticed_days <= latest):
        return None
    return latest


NOTICE = "term-notice"


def notice_to_come(term: Term) -> Message:
    """What waits in a maker's next mail until that is sent, when their pieces are counted for `notice_of_end`."""
    return Message(NOTICE, _("{term} ends on {day}."), term=term.name, day=term.ends_on, number=str(term.id))


def is_near_its_end(term: Term, days_before: Iterable[int], day: date) -> bool:
    """Whether makers should know by now that a term ends: from its first notice to its last day."""
    return term.is_open and term.runs_on(day) and (term.ends_on - day).days <= max(days_before, default=-1)


def notice_of_end(term: Term, ready: int, in_work: int) -> Message:
    """What a maker is told before the end of a term: how much of theirs is ready for pickup, and how much in work."""
    told = [Message("term-ends", _("{term} ends on {day}."), term=term.name, day=term.ends_on)]
    if ready:
        is_later = term.pickup_on is not None and term.pickup_on > term.ends_on
        told.append(Message("term-ready", _READY_FOR_LATER if is_later else _READY, count=ready))
    if in_work:
        told.append(Message("term-in-work", _IN_WORK, count=in_work))
    if term.pickup_on is not None:
        told.append(Message("term-pickup-day", _("Pickup day is {day}."), day=term.pickup_on))
    return together(told)


_READY = Plural(
    "count",
    "{count} of your pieces is ready for pickup. Pick it up before then.",
    "{count} of your pieces are ready for pickup. Pick them up before then.",
)
_READY_FOR_LATER = Plural(
    "count", "{count} of your pieces is ready for pickup.", "{count} of your pieces are ready for pickup."
)
"""For a term from before its pickup day had to be one of its days."""
_IN_WORK = Plural(
    "count",
    "{count} of your pieces isn't finished. Finish it, or tell shelf staff that you don't want it.",
    "{count} of your pieces aren't finished. Finish them, or tell shelf staff that you don't want them.",
)


def months_before(day: date, months: int) -> date:
    """The same day so many months earlier, or the last day of a shorter month."""
    years, month = divmod(day.year * 12 + day.month - 1 - months, 12)
    last = monthrange(years, month + 1)[1]
    return day.replace(year=years, month=month + 1, day=min(day.day, last))
