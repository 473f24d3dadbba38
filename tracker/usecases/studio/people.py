"""Who is in the studio: enrolling, signing in and out, and passwords."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import timedelta
from hashlib import sha256
from typing import TYPE_CHECKING

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from tracker.domain.message import Message, Plural, _
from tracker.domain.pieces.codes import ALPHABET
from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import NotAllowed, Unknown, Unusable
from tracker.domain.studio.people import FORMER_MAKER, NewPerson, Person, Right, Role

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime

    from tracker.domain.labels.stock import Paper
    from tracker.domain.pieces.history import Request
    from tracker.domain.quantities import Units
    from tracker.store.queries import Queries
    from tracker.store.unit_of_work import Change, Store

OLD_PASSWORD_WRONG = Message("old-password-wrong", _("That isn't your current password."))
SHORTEST_PASSWORD = 10
LONGEST_PASSWORD = 200
_ATTEMPTS_FOR_ONE_EMAIL = 6
_ATTEMPTS_FROM_ONE_ADDRESS = 40
_ATTEMPTS_WITHIN = timedelta(minutes=15)
STAYS = {Role.STUDENT: timedelta(days=30), Role.STAFF: timedelta(hours=14), Role.INSTRUCTOR: timedelta(hours=14)}
"""How long each role stays signed in: the staff's devices stand in the studio."""

_hasher = PasswordHasher()
# A first password is drawn, not chosen: 50 bits need no slow hash, and a roster of hundreds is entered in a moment.
_quick_hasher = PasswordHasher(time_cost=1, memory_cost=8 * 1024, parallelism=1)
_LONGEST_SHOWN = 60
_NAMED_AT_MOST = 5
_NOBODY = _hasher.hash(secrets.token_urlsafe())


@dataclass(frozen=True, slots=True)
class Enrolment:
    """Who was added with which first password, and how many were here already."""

    added: tuple[tuple[Person, str], ...]
    already: int


def sign_in(store: Store, email: str, password: str, *, at: datetime, address: str) -> tuple[str, Person]:
    """Begin a session: gives its token and the person. Attempts are bounded, for an email and for an address."""
    for_email, from_address = store.accounts.count_sign_in(email.lower(), address, at, since=at - _ATTEMPTS_WITHIN)
    if for_email > _ATTEMPTS_FOR_ONE_EMAIL or from_address > _ATTEMPTS_FROM_ONE_ADDRESS:
        raise NotAllowed(
            Message("too-many-attempts", _("Too many attempts.")),
            Message("wait-or-ask", _("Wait 15 minutes, or ask the instructor for a new password.")),
        )
    person = store.read.people.person(email=email)
    held = store.accounts.password_hash(person.id)[0] if person else None
    if not _matches(held or _NOBODY, password) or person is None or held is None:
        raise NotAllowed(
            Message("wrong-password", _("Wrong email or password.")),
            Message("look-at-both", _("Check both and try again.")),
        )
    store.accounts.forget_sign_ins(email.lower())
    token = secrets.token_urlsafe(32)
    store.accounts.begin_session(_hash_of(token), person.id, at, at + STAYS[person.role])
    return token, person


def who(store: Store, token: str, *, at: datetime) -> tuple[Person, bool] | None:
    """Whose running session this token is, and whether they must change their password first; None for nobody's."""
    return store.accounts.session(_hash_of(token), at) if token else None


def keep_form(store: Store, token: str, form: str) -> None:
    """Keep a form in a session until it ends, so that it can be shown again as it was filled in."""
    store.accounts.keep_form(_hash_of(token), form)


def kept_form(store: Store, token: str) -> str | None:
    """The form that a session keeps."""
    return store.accounts.kept_form(_hash_of(token)) if token else None


def sign_out(store: Store, token: str) -> None:
    """End a session."""
    store.accounts.end_session(_hash_of(token))


def set_password(store: Store, person: Person, old: str, new: str) -> None:
    """Give oneself a new password; all one's sessions end."""
    held, _must_change = store.accounts.password_hash(person.id)
    problems = []
    if held is None or not _matches(held, old):
        problems.append(OLD_PASSWORD_WRONG)
    if not SHORTEST_PASSWORD <= len(new) <= LONGEST_PASSWORD:
        words = _("A password has {least} to {most} characters.")
        problems.append(Message("password-length", words, least=SHORTEST_PASSWORD, most=LONGEST_PASSWORD))
    if new == old:
        problems.append(Message("password-not-new", _("The new password is the same as the old one.")))
    if problems:
        raise Unusable(problems)
    store.accounts.set_password(person.id, _hasher.hash(new))


def choose_own_settings(store: Store, person: Person, units: Units | None, paper: Paper | None) -> None:
    """Let a person read and type in `units` and print on `paper`; None for the studio's."""
    store.accounts.set_own(person.id, units, paper)


def nobody_there() -> Unknown:
    """What is said where a number is nobody's."""
    return Unknown(
        Message("nobody-of-that-number", _("No one here has that number.")),
        Message("pick-somebody", _("Choose a person from the list.")),
    )


def renew_password(store: Store, request: Request, person_id: int) -> str:
    """Give somebody a new first password, which they must change; all their sessions end."""
    request.by.must_be_allowed(Right.PEOPLE)
    someone = store.read.people.person(number=person_id)
    if someone is None or someone.name == FORMER_MAKER:
        raise nobody_there()
    password = _first_password()
    store.accounts.set_password(person_id, _quick_hasher.hash(password), must_change=True)
    return password


def enrol(
    store: Store,
    request: Request,
    newcomers: Sequence[NewPerson],
    *,
    progress: Callable[[int, int], None] | None = None,
) -> Enrolment:
    """Add whoever is not here yet, all of them or none; an email that is here already is left as it is."""
    added: list[tuple[Person, str]] = []

    def work(change: Change) -> Receipt:
        request.by.must_be_allowed(Right.PEOPLE)
        added.clear()  # A second try begins anew.
        here = set(change.read.people.emails_taken([someone.email for someone in newcomers]))
        for done, someone in enumerate(newcomers, start=1):
            if someone.email.lower() not in here:
                password = _first_password()
                number = change.enrol(someone, _quick_hasher.hash(password))
                added.append((_person(number, someone), password))
                here.add(someone.email.lower())
            if progress:
                progress(done, len(newcomers))
        words = Plural("count", "1 person added.", "{count} people added.")
        return Receipt(message=Message("people-added", words, count=len(added)), extra={"added": len(added)})

    store.once(request, "enrol", work)
    return Enrolment(tuple(added), len(newcomers) - len(added))


def person_called(reader: Queries, text: str) -> Person:
    """The one person of this email or name, or whose name holds it; refused when there is none, or more than one.

    An email may stand behind its name, as lists of people offer it.
    """
    last = text.rsplit(maxsplit=1)[-1] if text.split() else ""
    if "@" in last:
        found = [one for one in [reader.people.person(email=last)] if one is not None]
    else:
        found = list(reader.people.named(text))
        found = [one for one in found if one.name.casefold() == text.casefold()] or found
    shown = text[:_LONGEST_SHOWN]
    if not found:
        raise Unknown(
            Message("nobody-so-called", _("No one here is called “{name}”."), name=shown),
            Message("nobody-so-called-remedy", _("Type the name as it is in the roster, or the email.")),
        )
    if len(found) > 1:
        words = _("{name} ({email})")
        people = tuple(Message("person", words, name=one.name, email=one.email) for one in found[:_NAMED_AT_MOST])
        raise Unknown(
            Message(
                "several-so-called", _("More than one person is called “{name}”: {people}."), name=shown, people=people
            ),
            Message("several-so-called-remedy", _("Type the email of the right one.")),
        )
    return found[0]


def first_instructor(store: Store, someone: NewPerson, *, at: datetime) -> tuple[Person, str]:
    """Enter the instructor with whom a new studio begins; gives the first password too."""
    password = _first_password()
    number = store.accounts.enrol(someone, _quick_hasher.hash(password), at)
    return _person(number, someone), password


def choose_password(store: Store, person: Person, password: str) -> None:
    """Set a person's password from the command line, where whoever can open the database may do anything."""
    store.accounts.set_password(person.id, _hasher.hash(password))


def _person(number: int, someone: NewPerson) -> Person:
    return Person(
        id=number,
        name=someone.name,
        email=someone.email.lower(),
        role=someone.role,
        section=someone.section,
    )


def _first_password() -> str:
    symbols = [secrets.choice(ALPHABET) for _ in range(11)]
    return f"{''.join(symbols[:4])}-{''.join(symbols[4:8])}-{''.join(symbols[8:])}".lower()


def _matches(held: str, password: str) -> bool:
    try:
        return _hasher.verify(held, password[:LONGEST_PASSWORD])
    except (VerificationError, InvalidHashError):
        return False


def _hash_of(token: str) -> str:
    return sha256(token.encode()).hexdigest()
