"""Badges for shared tablets: made and revoked by the instructor, and signing in with one and its PIN."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime

from tracker.domain.labels.badge_bars import draw_badge, read_badge, read_card
from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Request
from tracker.domain.refusals import NotAllowed, TooSoon, Unknown
from tracker.domain.studio.badges import PIN_DIGITS, STAY, Badge, is_pin, must_be_staff
from tracker.domain.studio.people import FORMER_MAKER, Person, Right
from tracker.store.unit_of_work import Store
from tracker.usecases.studio.passwords import hash_of, matches
from tracker.usecases.studio.people import hash_of_token, nobody_there, wait_told


@dataclass(frozen=True, slots=True)
class SharedTablet:
    """A browser on which badges sign in, by the name in its cookie."""

    name: str


def issue_badge(store: Store, request: Request, person_id: int) -> str:
    """Give one of the staff a badge in place of any other; gives its PIN, which is kept nowhere but as a hash."""
    someone = _somebody(store, request, person_id)
    must_be_staff(someone)
    pin = "".join(secrets.choice("0123456789") for _place in range(PIN_DIGITS))
    number = draw_badge(secrets.choice)
    store.badges.issue(someone.id, number, hash_of(pin), by_id=request.by.id, at=request.at)
    return pin


def revoke_badge(store: Store, request: Request, person_id: int) -> None:
    """Take somebody's badge away; whoever is signed in with it is signed out."""
    store.badges.revoke(_somebody(store, request, person_id).id)


def badge_of(store: Store, person: Person) -> Badge | None:
    """A person's badge, if they have one that signs in."""
    return store.badges.of(person.id)


def _somebody(store: Store, request: Request, person_id: int) -> Person:
    request.by.must_be_allowed(Right.PEOPLE)
    someone = store.read.people.person(number=person_id)
    if someone is None or someone.has_left or someone.name == FORMER_MAKER:
        raise nobody_there()
    return someone


def owner_of(store: Store, text: str) -> Person | None:
    """Whoever has the badge that was scanned, whether it signs in or not; None for any other text."""
    number = read_badge(text)
    person_id = store.badges.whose(number) if number else None
    return store.read.people.person(number=person_id) if person_id else None


def maker_on(store: Store, text: str) -> Person | None:
    """Whose maker card was scanned; None for any other text. It signs nobody in."""
    card = read_card(text)
    return store.read.people.person(card=card) if card else None


def name_on(store: Store, text: str) -> str:
    """The name of whoever has the badge that was scanned; empty for any other text."""
    someone = owner_of(store, text)
    return someone.name if someone else ""


def holder_of(store: Store, text: str) -> Person:
    """Whose badge was scanned, while it signs in at all."""
    someone = owner_of(store, text)
    if someone is None or someone.has_left:
        raise Unknown(
            Message("no-such-badge-here", _("This badge doesn't work here.")),
            Message("ask-for-a-badge", _("Ask the instructor for a new badge, or sign in with your password.")),
        )
    must_be_staff(someone)
    badge = store.badges.of(someone.id)
    if badge is not None and badge.is_locked:
        raise _locked()
    return someone


def sign_in_by_badge(store: Store, text: str, pin: str, *, at: datetime, tablet: SharedTablet) -> tuple[str, Person]:
    """Begin a session that ends by itself: gives its token and the person.

    Whoever guesses waits longer with each try on this tablet, and after ten wrong PINs, wherever they were tried, the
    badge is locked.
    """
    someone = holder_of(store, text)
    number = read_badge(text) or ""
    place = f"tablet {tablet.name}"
    if wait := store.accounts.note_try(someone.email, place, at, is_address=True):
        seconds, told = wait_told(wait)
        raise TooSoon(
            Message("too-many-attempts", _("Too many attempts.")),
            Message("wait-or-use-password", _("Wait {time}, or sign in with your password."), time=told),
            seconds=seconds,
        )
    held = store.badges.count_a_try(number)
    if held is None:
        raise _locked()
    if not matches(held, pin, is_first=False) or not is_pin(pin):
        raise NotAllowed(
            Message("wrong-pin", _("Wrong PIN.")),
            Message("pin-again", _("Type the four digits again. If you forgot them, sign in with your password.")),
        )
    store.badges.was_right(number)
    store.accounts.forget_tries(someone.email, place)
    token = secrets.token_urlsafe(32)
    store.accounts.begin_session(hash_of_token(token), someone.id, at, at + STAY, by_badge=True)
    return token, someone


def _locked() -> NotAllowed:
    return NotAllowed(
        Message("badge-is-locked", _("This badge is locked after too many wrong PINs.")),
        Message("ask-for-a-new-badge", _("Sign in with your password. Ask the instructor for a new badge.")),
    )


def stay(store: Store, token: str, *, at: datetime) -> None:
    """Let a session that a badge began go on: something was scanned."""
    store.accounts.go_on(hash_of_token(token), at + STAY)
