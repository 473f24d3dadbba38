"""Joining a section by its link: what the link says, until when it works, and who waits to be let in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from tracker.domain.studio.people import Person
from tracker.domain.studio.terms import Section, Term

LETTERS = "23457ACDEFGHJKLMNPRTVXY"
"""No pair that an eye confuses: somebody without a camera types the address off the poster."""

TOKEN_LENGTH = 12
"""Of 23 letters that are 54 bits: nobody guesses one while tries have to wait."""

IS_NEW = timedelta(days=14)
"""So long somebody who joined is shown as new."""


def draw_token(choose: Callable[[str], str]) -> str:
    """What a new link says: `choose` gives one of some letters, each equally likely."""
    return "".join(choose(LETTERS) for _place in range(TOKEN_LENGTH))


def read_token(text: str) -> str:
    """The link that was followed or typed, without regard to case and dashes; empty where it can't be one."""
    token = "".join(letter for letter in text[: 2 * TOKEN_LENGTH].upper() if letter not in "- ")
    return token if len(token) == TOKEN_LENGTH and set(token) <= set(LETTERS) else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinLink:
    """The link by which students join a section until `ends_on`. `asks_first`: the instructor lets each one in."""

    id: int
    token: str
    section: Section
    term: Term | None
    ends_on: date
    asks_first: bool
    is_withdrawn: bool = False

    @property
    def last_day(self) -> date:
        """The last day on which it works: its own, or its term's if that comes first."""
        return self.ends_on if self.term is None else min(self.ends_on, self.term.ends_on)

    def works_on(self, day: date) -> bool:
        """Whether somebody can join by it on this day."""
        return not self.is_withdrawn and day <= self.last_day and (self.term is None or self.term.is_open)


@dataclass(frozen=True, slots=True, kw_only=True)
class Joiner:
    """Somebody who waits for the instructor. One who isn't new `is_here` already, or left and wants to come back."""

    person: Person
    section: str
    asked_at: datetime
    is_new: bool

    @property
    def is_here(self) -> bool:
        """Whether they have an account that works."""
        return not self.person.has_left
