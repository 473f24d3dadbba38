"""Who works at a device: signing in and out, passwords, and one's own settings."""

from __future__ import annotations

import secrets
from datetime import datetime, timedelta
from hashlib import sha256

from tracker.domain.labels.badge_bars import read_card
from tracker.domain.labels.stock import Paper
from tracker.domain.message import Fact, Message, _
from tracker.domain.pieces.history import Request
from tracker.domain.quantities import Units, minutes, seconds
from tracker.domain.refusals import NotAllowed, NotAStep, TooSoon, Unknown, Unusable
from tracker.domain.studio.passwords import OLD_WRONG
from tracker.domain.studio.people import FORMER_MAKER, Person, Right
from tracker.domain.studio.sign_in_waits import Device, place_of
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Store
from tracker.usecases.studio.passwords import first_password, hash_of, matches, problems_with

MAKERS_STAY = timedelta(days=30)
STAFF_STAY = timedelta(hours=14)
"""How long somebody stays signed in: the staff's devices stand in the studio."""

_LONGEST_SHOWN = 60
_NAMED_AT_MOST = 5
_NO_DEVICE = Device()
_IN_SECONDS = timedelta(seconds=90)
"""A shorter wait is told in seconds."""


def sign_in(
    store: Store, email: str, password: str, *, at: datetime, address: str, device: Device = _NO_DEVICE
) -> tuple[str, Person]:
    """Begin a session: gives its token and the person.

    Whoever guesses waits longer with each try, for this account and at this place. A device on which the person
    signed in before is a place of its own, so that nobody elsewhere makes its owner wait.
    """
    email = email.lower()
    person = store.read.people.person(email=email)
    is_known = person is not None and person.id in device.people
    place = f"device {device.name}" if is_known else place_of(address)
    must_not_be_too_soon(store, email, place, at=at, is_address=not is_known)
    may_come = person is not None and not person.has_left
    held, is_first = store.accounts.password_hash(person.id) if person and may_come else (None, False)
    if not matches(held, password, is_first=is_first) or person is None:
        raise NotAllowed(
            Message("wrong-password", _("Wrong email or password.")),
            Message("look-at-both", _("Check both and try again.")),
        )
    store.accounts.forget_tries(email, place)
    return begin_at(store, person, at=at), person


def begin_at(store: Store, person: Person, *, at: datetime) -> str:
    """Begin a session of whoever has shown who they are: gives its token."""
    token = secrets.token_urlsafe(32)
    store.accounts.begin_session(
        hash_of_token(token), person.id, at, at + (STAFF_STAY if person.role.runs_studio else MAKERS_STAY)
    )
    return token


def must_not_be_too_soon(store: Store, email: str, place: str, *, at: datetime, is_address: bool) -> None:
    """Note one more try, or refuse it unseen while whoever tries has to wait."""
    wait = store.accounts.note_try(email, place, at, is_address=is_address)
    if wait:
        whole, told = wait_told(wait)
        raise TooSoon(
            Message("too-many-attempts", _("Too many attempts.")),
            Message("wait-or-ask", _("Wait {time}, or ask the instructor for a new password."), time=told),
            seconds=whole,
        )


def wait_told(wait: timedelta) -> tuple[int, Fact]:
    """How long to wait in whole seconds, and as it is told."""
    whole = -(-wait // timedelta(seconds=1))
    return whole, seconds(whole) if wait < _IN_SECONDS else minutes(-(-whole // 60))


def who(store: Store, token: str, *, at: datetime) -> tuple[Person, bool] | None:
    """Whose running session this token is, and whether they must change their password first; None for nobody's."""
    return store.accounts.session(hash_of_token(token), at) if token else None


def keep_form(store: Store, token: str, form: str) -> None:
    """Keep a form in a session until it ends, so that it can be shown again as it was filled in."""
    store.accounts.keep_form(hash_of_token(token), form)


def kept_form(store: Store, token: str) -> str | None:
    """The form that a session keeps."""
    return store.accounts.kept_form(hash_of_token(token)) if token else None


def sign_out(store: Store, token: str) -> None:
    """End a session."""
    store.accounts.end_session(hash_of_token(token))


def set_password(store: Store, person: Person, old: str, new: str, *, at: datetime, token: str) -> None:
    """Give oneself a new password; all one's sessions end. Guesses at the old one are bounded, for this session."""
    place = f"session {hash_of_token(token)[:40]}"
    must_not_be_too_soon(store, person.email, place, at=at, is_address=False)
    held, is_first = store.accounts.password_hash(person.id)
    is_right = matches(held, old, is_first=is_first)
    problems = [] if is_right else [OLD_WRONG]
    if is_right:
        store.accounts.forget_tries(person.email, place)
    problems += problems_with(new, person)
    if new == old:
        problems.append(Message("password-not-new", _("The new password is the same as the old one.")))
    if problems:
        raise Unusable(problems)
    store.accounts.set_password(person.id, hash_of(new))


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
    if not someone.email:
        raise NotAStep(
            Message("no-email-no-password", _("{name} has no email, so they don't sign in."), name=someone.name),
            Message("add-an-email", _("Add their email first.")),
        )
    return _renewed(store, someone)


def reset_password(store: Store, email: str) -> tuple[Person, str]:
    """Give somebody a new first password from the command line; gives the person and the password."""
    someone = store.read.people.person(email=email)
    if someone is None:
        raise Unknown(Message("no-such-email", _("No one here has the email {email}."), email=email[:_LONGEST_SHOWN]))
    return someone, _renewed(store, someone)


def _renewed(store: Store, someone: Person) -> str:
    """A new first password; whoever had to wait after wrong tries may sign in at once, from wherever they are."""
    password, hashed = first_password()
    store.accounts.set_password(someone.id, hashed, must_change=True)
    store.accounts.forget_tries()
    return password


def person_called(reader: Queries, text: str) -> Person:
    """The one person of this email or name, or whose name holds it; refused when there is none, or more than one.

    An email or a section may stand behind its name, as lists of people offer it; a maker card names its maker.
    """
    last = text.rsplit(maxsplit=1)[-1] if text.split() else ""
    if "@" in last:
        found = [one for one in [reader.people.person(email=last)] if one is not None]
    elif card := read_card(text):
        found = [one for one in [reader.people.person(card=card)] if one is not None]
    else:
        found = _so_called(reader, text)
    shown = text[:_LONGEST_SHOWN]
    if not found:
        raise Unknown(
            Message("nobody-so-called", _("No one here is called “{name}”."), name=shown),
            Message("nobody-so-called-remedy", _("Type the name as it is in the roster, or the email.")),
        )
    if len(found) > 1:
        people = tuple(_told_apart(one) for one in found[:_NAMED_AT_MOST])
        raise Unknown(
            Message(
                "several-so-called", _("More than one person is called “{name}”: {people}."), name=shown, people=people
            ),
            Message("several-so-called-remedy", _("Type the email of the right one, or scan their maker card.")),
        )
    return found[0]


def _so_called(reader: Queries, text: str) -> list[Person]:
    """Those whose name this is, else those whose name holds it; a section behind the name picks among them."""
    name, _comma, section = text.rpartition(",")
    found = list(reader.people.named(text))
    if not found:
        apart = section.strip().casefold()
        found = [one for one in reader.people.named(name) if one.told_apart.casefold() == apart]
    alike = text.strip().casefold()
    return [one for one in found if alike in {one.name.casefold(), one.called.casefold()}] or found


def _told_apart(someone: Person) -> Message:
    words = _("{name} ({apart})") if someone.told_apart else "{name}"
    return Message("person", words, name=someone.name, apart=someone.told_apart)


def choose_password(store: Store, person: Person, password: str) -> None:
    """Set a person's password from the command line, where whoever can open the database may do anything."""
    store.accounts.set_password(person.id, hash_of(password))


def hash_of_token(token: str) -> str:
    """By what a session is kept: never its token itself."""
    return sha256(token.encode()).hexdigest()
