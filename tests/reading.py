"""What people read, for tests of messages: text as somebody of whom nothing is known would read it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from tracker.domain.message import Either, Fact, Message, Sentences
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


def is_told(message: Message, code: str, facts: Mapping[str, object]) -> bool:
    """Whether a message has that code and, among others, these facts."""
    return message.code == code and facts.items() <= facts_of(message).items()


def all_in(messages: Iterable[Message]) -> Iterator[Message]:
    """These messages and every message within their facts."""
    for message in messages:
        yield message
        for _name, fact in message.facts:
            inside = fact.messages if isinstance(fact, Sentences) else fact.facts if isinstance(fact, Either) else fact
            many = inside if isinstance(inside, tuple) else (inside,)
            yield from all_in(one for one in many if isinstance(one, Message))


def tells(messages: Iterable[Message], code: str, **facts: object) -> bool:
    """Whether one of these messages, or one within them, says `code` with these facts among its own."""
    return any(
        one.code == code and all(dict(one.facts).get(name) == fact for name, fact in facts.items())
        for one in all_in(messages)
    )
