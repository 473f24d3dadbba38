"""Badges that sign in on a shared tablet, with a PIN: for whom, for how long, and how often one may be wrong."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from tracker.domain.message import Message, _
from tracker.domain.refusals import NotAllowed
from tracker.domain.studio.people import Person, Role

STAY = timedelta(minutes=10)
"""How long somebody stays signed in by a badge after the last scan."""

PIN_DIGITS = 4
MOST_WRONG = 10
"""So many wrong PINs in a row, wherever they were tried, lock a badge: of 10,000 PINs that is one in a thousand."""


@dataclass(frozen=True, slots=True)
class Badge:
    """A badge: what its bar says, since when it counts, and how many PINs in a row were wrong."""

    number: str
    issued_at: datetime
    wrong: int = 0

    @property
    def is_locked(self) -> bool:
        """Whether it signs nobody in anymore, because too many PINs were wrong."""
        return self.wrong >= MOST_WRONG


def is_pin(text: str) -> bool:
    """Whether this is a PIN at all: four digits."""
    return len(text) == PIN_DIGITS and text.isascii() and text.isdigit()


def must_be_staff(person: Person) -> None:
    """Refuse a badge that signs in to all but shelf staff: four digits are too little for an instructor."""
    if person.role is not Role.STAFF:
        raise NotAllowed(
            Message("badge-not-for-this-role", _("Only shelf staff sign in with a badge.")),
            Message("sign-in-by-password", _("Sign in with your email and password.")),
        )
