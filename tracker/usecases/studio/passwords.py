"""Passwords: drawn for a newcomer, kept as hashes, compared, and new ones that would soon be guessed refused."""

from __future__ import annotations

import secrets
from base64 import b64encode

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from zxcvbn import zxcvbn

from tracker.domain.message import Message, _
from tracker.domain.pieces.codes import ALPHABET
from tracker.domain.studio.passwords import LONGEST, own_words, problems_of
from tracker.domain.studio.people import Person

FEWEST_GUESSES = 1_000_000
"""A password that is found in so few guesses is refused. The 10,000 commonest are found in 10,000 (D48)."""

_AS_FAR_AS_LOOKED = 72
_hasher = PasswordHasher()
# A first password is drawn, not chosen: 50 bits need no slow hash, and a roster of hundreds is entered in a moment.
_quick_hasher = PasswordHasher(time_cost=1, memory_cost=2 * 1024, parallelism=1)


def _decoy(hasher: PasswordHasher) -> str:
    """A hash that costs as much to compare as any of this hasher's, and that no password has.

    It is drawn, because making one takes as long as comparing one, and most commands compare none.
    """
    cost = f"m={hasher.memory_cost},t={hasher.time_cost},p={hasher.parallelism}"
    salt, digest = (
        b64encode(secrets.token_bytes(length)).decode().rstrip("=") for length in (hasher.salt_len, hasher.hash_len)
    )
    return f"$argon2id$v=19${cost}${salt}${digest}"


_DECOY = _decoy(_hasher)
_QUICK_DECOY = _decoy(_quick_hasher)


def first_password() -> tuple[str, str]:
    """A password for somebody who must change it, and its hash."""
    symbols = [secrets.choice(ALPHABET) for _ in range(11)]
    password = f"{''.join(symbols[:4])}-{''.join(symbols[4:8])}-{''.join(symbols[8:])}".lower()
    return password, _quick_hasher.hash(password)


def hash_of(password: str) -> str:
    """The hash of a password that somebody chose."""
    return _hasher.hash(password)


def matches(held: str | None, password: str, *, is_first: bool) -> bool:
    """Whether this is the password of the hash `held`; None is nobody's.

    It takes the same time for a chosen password, a first one and none: a slow and a quick hash are compared each time.
    """
    chosen = _holds(_DECOY if held is None or is_first else held, password)
    first = _holds(held if held is not None and is_first else _QUICK_DECOY, password)
    return held is not None and (first if is_first else chosen)


def problems_with(new: str, person: Person) -> list[Message]:
    """Everything that is wrong with a new password of this person's."""
    problems = problems_of(new, person)
    if not problems and _guesses(new, person) < FEWEST_GUESSES:
        words = _("This password is one of the first that a stranger would try. Choose a few words of your own.")
        problems.append(Message("password-common", words))
    return problems


def _guesses(new: str, person: Person) -> float:
    return float(zxcvbn(new[:_AS_FAR_AS_LOOKED], user_inputs=list(own_words(person)))["guesses"])


def _holds(held: str, password: str) -> bool:
    try:
        return _hasher.verify(held, password[:LONGEST])
    except (VerificationError, InvalidHashError):
        return False
