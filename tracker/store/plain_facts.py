"""The facts of a frozen value as plain ones, as JSON and a row keep them, and the value out of them again.

What is kept how follows from the types of the facts alone: a cone as its rank, a word as its text, a set in the order
of its letters. So a fact that is added to a value needs its column and nothing here.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import StrEnum
from functools import cache, partial
from types import UnionType
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

from tracker.domain.cones import Cone

Kept = TypeVar("Kept")
Read = Callable[[Any], Any]


def plain(value: Any) -> Any:  # noqa: ANN401 -- whatever a value is made of
    """A value as JSON keeps it."""
    match value:
        case Cone():
            return value.rank
        case StrEnum():
            return value.value
        case date():
            return value.isoformat()
        case frozenset() | tuple():
            kept = [plain(one) for one in value]
            return sorted(kept) if isinstance(value, frozenset) else kept
    return {one.name: plain(getattr(value, one.name)) for one in fields(value)} if is_dataclass(value) else value


def value_of(kind: type[Kept], facts: Mapping[str, Any]) -> Kept:
    """The value of that kind out of its plain facts; what is not among them is as the kind itself has it."""
    return kind(**{name: read(facts[name]) for name, (read, _) in _facts_of(kind).items() if name in facts})


def columns(value: object, names: Mapping[str, str]) -> dict[str, Any]:
    """The row of a value: lists and what stands inside it as JSON, the others as they are.

    `names` are the columns of those facts that go by another name.
    """
    facts = {names.get(name, name): one for name, one in plain(value).items()}
    return {name: json.dumps(one) if isinstance(one, list | dict) else one for name, one in facts.items()}


def value_of_row(kind: type[Kept], row: Mapping[str, Any], names: Mapping[str, str]) -> Kept:
    """The value of that kind in a row that `columns` made."""
    kept = {name: row[column] for name in _facts_of(kind) if (column := names.get(name, name)) in row}
    nested = {name: json.loads(kept[name]) for name, (_, is_nested) in _facts_of(kind).items() if is_nested}
    return value_of(kind, {**kept, **nested})


def _facts(kind: Any) -> dict[str, tuple[Read, bool]]:  # noqa: ANN401 -- a kind of dataclass
    """How each fact of that kind of value is read, and whether a column keeps it as JSON."""
    types = get_type_hints(kind)
    return {one.name: (_reader(types[one.name]), _is_nested(types[one.name])) for one in fields(kind)}


def _is_nested(of: Any) -> bool:  # noqa: ANN401 -- a type as it stands in an annotation
    kind = get_args(of)[0] if isinstance(of, UnionType) else of
    return get_origin(kind) in {tuple, frozenset}


_facts_of: Callable[[Any], dict[str, tuple[Read, bool]]] = cache(_facts)


def _reader(of: Any) -> Read:  # noqa: ANN401 -- a type as it stands in an annotation
    if isinstance(of, UnionType):
        inner = _reader(get_args(of)[0])
        return lambda kept: None if kept is None else inner(kept)
    if get_origin(of) in {tuple, frozenset}:
        many, inner = get_origin(of), _reader(get_args(of)[0])
        return lambda kept: many(map(inner, kept))
    if of is Cone:
        return Cone.of_rank
    if of is date:
        return date.fromisoformat
    if isinstance(of, type) and is_dataclass(of):
        return partial(value_of, of)
    return of if isinstance(of, type) and issubclass(of, StrEnum) else _as_it_is


def _as_it_is(kept: Any) -> Any:  # noqa: ANN401 -- a text, a number, true or false
    return kept
