"""Terms and the sections in them: when a class runs, and who belongs to it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """A term from its first day to its last. `ended_at` is when its end was put on record, None while it is open."""

    id: int
    name: str
    starts_on: date
    ends_on: date
    ended_at: datetime | None = None

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
    sections: tuple[str, ...] = ()


def term_on(terms: Iterable[Term], day: date) -> Term | None:
    """The term to which people are added on `day`, of those still open: the running one, else the next, else the last.

    Where two run at once, the one that began last.
    """
    still = sorted((one for one in terms if one.is_open), key=lambda one: (one.starts_on, one.id))
    running = [one for one in still if one.runs_on(day)]
    ahead = [one for one in still if one.starts_on > day]
    return next(iter(running[-1:] + ahead[:1] + still[-1:]), None)
