"""How a use case is done: once for each request, in one transaction, however often that request comes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import fields, is_dataclass
from functools import update_wrapper
from inspect import signature
from typing import Concatenate, Generic, ParamSpec

from tracker.domain.pieces.history import Receipt, Request
from tracker.store.unit_of_work import Change, Store

Asked = ParamSpec("Asked")


class Once(Generic[Asked]):
    """A thing that a person does: called with the store and a request it is a change of its own.

    The same request again gets the first receipt, and one that asks for something else is refused (`Store.once`).
    `within` does it as part of a change that is under way.
    """

    def __init__(self, work: Callable[Concatenate[Change, Asked], Receipt], doing: str, *, alone: bool) -> None:
        """Do `work`, which requests are told apart by as `doing`; `alone` where it changes the catalog or people."""
        update_wrapper(self, work)
        self.within = work
        self._doing, self._alone = doing, alone
        _change, *takes = signature(work).parameters.values()
        self._defaults = {one.name: one.default for one in takes}

    def __call__(self, store: Store, request: Request, *asked: Asked.args, **named: Asked.kwargs) -> Receipt:
        """Do it once, and give the receipt."""
        # In the order in which they are declared; what is missing the work itself will miss.
        told = self._defaults | dict(zip(self._defaults, asked, strict=False)) | named
        about = steady(tuple(told.values()))
        work = self.within
        return store.once(request, self._doing, lambda change: work(change, *asked, **named), about, alone=self._alone)


def once(doing: str, *, alone: bool = False) -> Callable[[Callable[Concatenate[Change, Asked], Receipt]], Once[Asked]]:
    """Make a use case of what is done in a change, told apart from others as `doing`."""
    return lambda work: Once(work, doing, alone=alone)


def steady(value: object) -> object:
    """A value in a form whose text is the same in every process, whatever the order of its sets."""
    if isinstance(value, str):
        return str(value)
    if is_dataclass(value):
        return tuple((field.name, steady(getattr(value, field.name))) for field in fields(value))
    if isinstance(value, AbstractSet):
        return tuple(sorted(map(str, value)))
    if isinstance(value, Mapping):
        return tuple((key, steady(value[key])) for key in sorted(value))
    if isinstance(value, tuple | list):
        return tuple(map(steady, value))
    return str(value)
