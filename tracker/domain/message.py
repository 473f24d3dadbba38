"""What Footring has to say, before it is text: a code, a template marked for translation, and typed facts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import Enum
from typing import TypeAlias

from tracker.domain.cones import Cone, ConeRange
from tracker.domain.quantities import Quantity

Fact: TypeAlias = (
    "str | int | float | date | Enum | Cone | ConeRange | Quantity | Either | Sentences | Message | Facts | None"
)
"""One typed value in a message: a tuple is read as a list ("Plum, Moss, and Ash"), text is a name or was typed."""
Facts: TypeAlias = "tuple[Fact, ...]"


def _(text: str) -> str:
    """Mark `text` for translation where it is written; it is looked up only when somebody reads it."""
    return text


@dataclass(frozen=True, slots=True)
class Either:
    """Facts of which one is meant, read as a list with "or"."""

    facts: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Sentences:
    """Messages of whole sentences, read one after another, each once."""

    messages: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class Plural:
    """Two templates: `one` where the count `by` is one, `more` otherwise. `by` names a number, or a list to be counted.

    Both are written out where the plural is made, and translated as a pair.
    """

    by: str
    one: str
    more: str


@dataclass(frozen=True, slots=True)
class Choice:
    """A template for each value of the fact `by`, by the value's text (an enum's is its value; "" without one)."""

    by: str
    templates: Mapping[str, Template]


@dataclass(frozen=True, slots=True)
class ByRole:
    """A template for everybody, and others for readers of certain roles: nobody is told to ask the person they are."""

    everybody: Template
    roles: Mapping[str, Template]


Template: TypeAlias = "str | Plural | Choice | ByRole"
"""How a message is worded: with `{name}` for each fact that it tells, `{name:capital}` where that begins a sentence."""


@dataclass(frozen=True, slots=True, init=False)
class Message:
    """One thing to say. Two messages are equal when code and facts are, whatever their words."""

    code: str
    facts: tuple[tuple[str, Fact], ...]
    template: Template = field(compare=False)

    def __init__(self, code: str, template: Template, /, **facts: Fact) -> None:
        """Keep what is said under `code`, worded by `template`, with each fact under its name."""
        object.__setattr__(self, "code", code)
        object.__setattr__(self, "template", template)
        object.__setattr__(self, "facts", tuple(facts.items()))

    def __getitem__(self, name: str) -> Fact:
        """The fact called `name`; KeyError where there is none."""
        return dict(self.facts)[name]

    def __iter__(self) -> Iterator[str]:
        """The names of its facts."""
        return iter([name for name, _fact in self.facts])

    def is_within(self, other: Message) -> bool:
        """Whether `other` tells all that this one does, and perhaps more: of a list each entry, the rest as it is."""
        known = dict(other.facts)
        return self.code == other.code and all(
            name in known and _is_within(fact, known[name]) for name, fact in self.facts
        )

    def __str__(self) -> str:
        """For developers and logs: its code and facts. Readers get text from `tracker.wording`."""
        if self.code == PLAIN:
            return str(self["text"])
        return f"{self.code}({', '.join(f'{name}={fact}' for name, fact in self.facts)})"


PLAIN = "plain"


def _is_within(fact: Fact, other: Fact) -> bool:
    if isinstance(fact, tuple) and isinstance(other, tuple):
        return all(any(_is_within(one, known) for known in other) for one in fact)
    if isinstance(fact, Sentences) and isinstance(other, Sentences):
        return _is_within(fact.messages, other.messages)
    if isinstance(fact, Message) and isinstance(other, Message):
        return fact.is_within(other)
    return fact == other


def together(messages: Iterable[Message | None]) -> Message:
    """Several messages as one, of which some may be None; the only one as it is."""
    many = tuple(one for one in messages if one is not None)
    return many[0] if len(many) == 1 else Message("together", "{sentences}", sentences=Sentences(many))
