"""What a new password must be like: long enough, and not the person's own name or email."""

from __future__ import annotations

from tracker.domain.message import Message, _
from tracker.domain.studio.people import Person
from tracker.domain.studio.spelling import plain

SHORTEST = 10
LONGEST = 200
_SHORTEST_OWN_WORD = 3
_LEAST_BESIDE_OWN_WORDS = 6

OLD_WRONG = Message("old-password-wrong", _("That isn't your current password."))


def problems_of(new: str, person: Person) -> list[Message]:
    """What is wrong with a new password of this person's, as far as the person and the password tell."""
    problems = []
    if not SHORTEST <= len(new) <= LONGEST:
        words = _("A password has {least} to {most} characters.")
        problems.append(Message("password-length", words, least=SHORTEST, most=LONGEST))
    if is_of_own_words(new, person):
        problems.append(
            Message("password-own-name", _("The password is mostly your name or email. Choose other words."))
        )
    return problems


def own_words(person: Person) -> tuple[str, ...]:
    """The words that anybody knows of a person: name and email, whole and in parts, the longest first."""
    name, email = plain(person.name), plain(person.email)
    before, _at, behind = email.partition("@")
    parts = {name, email, before, behind, *name.split(), *before.replace("-", ".").split("."), *behind.split(".")}
    return tuple(sorted((one for one in parts if len(one) >= _SHORTEST_OWN_WORD), key=len, reverse=True))


def is_of_own_words(new: str, person: Person) -> bool:
    """Whether a password has the person's own words in it, and too little beside them."""
    whole = rest = plain(new)
    for word in own_words(person):
        rest = rest.replace(word, "")
    return rest != whole and len("".join(rest.split())) < _LEAST_BESIDE_OWN_WORDS
