"""Passwords by link: asked for on the sign-in page, mailed, and used once."""

from __future__ import annotations

from datetime import datetime

from tracker.domain.message import Message, _
from tracker.domain.refusals import Unknown, Unusable
from tracker.domain.studio.people import Person
from tracker.domain.studio.sign_in_waits import place_of
from tracker.store.unit_of_work import Store
from tracker.usecases.studio.passwords import hash_of, problems_with
from tracker.usecases.studio.people import begin_at, hash_of_token, must_not_be_too_soon


def ask_for_link(store: Store, email: str, *, at: datetime, address: str) -> None:
    """Mail whoever has this email a link for a new password. Nobody is told whether somebody has it.

    Whoever asks again and again waits as if they guessed at a password, but holds up nobody who signs in.
    """
    email = email.strip().lower()[:254]
    must_not_be_too_soon(store, email, f"link {place_of(address)}", at=at, is_address=True)
    store.outbox.ask_for_link(email, at)


def whose_link(store: Store, token: str, *, at: datetime) -> Person:
    """For whom this link works; `Unknown` where it was used, is too old or never was."""
    someone = store.outbox.whose_link(hash_of_token(token), at)
    if someone is None:
        raise _ended()
    return someone


def choose_by_link(store: Store, token: str, new: str, *, at: datetime) -> str | None:
    """Give whoever has this link a password of their own, and begin a session: gives its token. It works once.

    None for whoever asked to join and has to wait until the instructor lets them in.
    """
    someone = whose_link(store, token, at=at)
    if problems := problems_with(new, someone):
        raise Unusable(problems)
    # Hashing takes long, so it is done before anything is written.
    if not store.outbox.use_link(hash_of_token(token), hash_of(new), at):
        raise _ended()
    if someone.has_left and not store.joining.prove(someone.id, at):
        return None
    return begin_at(store, someone, at=at)


def _ended() -> Unknown:
    return Unknown(
        Message("link-ended", _("This link has been used, or it's too old.")),
        Message("ask-for-another-link", _("Ask for a new one.")),
    )
