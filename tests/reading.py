"""What people read, for tests of messages: text as somebody of whom nothing is known would read it."""

from __future__ import annotations

from tracker.domain.message import Fact, Message
from tracker.wording.render import say


def said(message: Message | None) -> str:
    """A message as text."""
    return say(message)


def facts_of(message: Message) -> dict[str, Fact]:
    """The facts of a message, together with those of the same message inside it, before which it tells the place."""
    facts = dict(message.facts)
    inner = facts.get("what")
    if isinstance(inner, Message) and inner.code == message.code:
        return facts | facts_of(inner)
    return facts


def is_told(message: Message, code: str, facts: dict[str, Fact]) -> bool:
    """Whether a message has that code and, among others, these facts."""
    return message.code == code and facts.items() <= facts_of(message).items()
