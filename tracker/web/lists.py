"""Lists that are searched, filtered, sorted and paged by their address, so that it all works without script."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar
from urllib.parse import quote, urlencode

from flask import request

from tracker.domain.message import Message
from tracker.domain.studio.spelling import holds, words_in
from tracker.web.plain_input import whole

Row = TypeVar("Row")

ON_A_PAGE = 15
_LONGEST = 200
_FURTHEST = 1_000_000


@dataclass(frozen=True, slots=True)
class Order(Generic[Row]):
    """One way to sort a list: what it is called, and the key of each row."""

    label: Message
    key: Callable[[Row], Any]
    falling: bool = False


@dataclass(frozen=True, slots=True)
class Listed(Generic[Row]):
    """The part of a list that is shown: `count` rows fit what was asked for, and `rows` begin after `first` of them.

    `of` counts the rows there are before anything was asked for. `orders` and `kinds` are choices of (value, label);
    `sort` and `kind` the ones that hold now.
    """

    rows: tuple[Row, ...]
    count: int
    of: int
    first: int
    words: str
    sort: str
    orders: tuple[tuple[str, Message], ...]
    kind: str
    kinds: tuple[tuple[str, str], ...]
    back_href: str
    on_href: str
    others: Mapping[str, str]

    @property
    def last(self) -> int:
        """The number of the last row that is shown, counted from 1."""
        return self.first + len(self.rows)

    @property
    def is_asked(self) -> bool:
        """Whether the reader asked for a part of the list only."""
        return bool(self.words or self.kind)


def listed(
    rows: Iterable[Row],
    *,
    told: Callable[[Row], str],
    orders: Mapping[str, Order[Row]],
    kind_of: Callable[[Row], str] | None = None,
    searched: bool = False,
    on_a_page: int = ON_A_PAGE,
) -> Listed[Row]:
    """The part of `rows` that the request asks for; the first of `orders` holds unless another is named.

    `told` is the text of a row that is searched, `kind_of` what it is filtered by. `searched` says that `rows` are
    what was found already, so that nothing is searched again.
    """
    everything = list(rows)
    text = request.args.get("find", "").strip()[:_LONGEST]
    kinds = tuple(sorted({kind_of(one) for one in everything} - {""}, key=str.casefold)) if kind_of else ()
    kind = request.args.get("kind", "")
    kind = kind if kind in kinds else ""
    words = words_in(text)
    fitting = [
        one
        for one in everything
        if (not words or searched or holds(told(one), words)) and (not kind or kind_of is None or kind_of(one) == kind)
    ]
    sort = request.args.get("sort", "")
    sort = sort if sort in orders else next(iter(orders))
    fitting.sort(key=orders[sort].key, reverse=orders[sort].falling)
    first = whole(request.args, "from", 0, most=_FURTHEST) // on_a_page * on_a_page
    first = first if first < len(fitting) else 0
    return Listed(
        rows=tuple(fitting[first : first + on_a_page]),
        count=len(fitting),
        of=len(everything),
        first=first,
        words=text,
        sort=sort,
        orders=tuple((name, order.label) for name, order in orders.items()),
        kind=kind,
        kinds=tuple((one, one) for one in kinds),
        back_href=_there(first - on_a_page) if first else "",
        on_href=_there(first + on_a_page) if first + on_a_page < len(fitting) else "",
        others={name: value for name, value in request.args.items() if name not in {"find", "sort", "kind", "from"}},
    )


def _there(first: int) -> str:
    """The address of this page with the list beginning elsewhere."""
    # Not by url_for: some of what an address may hold are orders to it, such as _external.
    asked = {**request.args.to_dict(), "from": str(first)}
    if not first:
        del asked["from"]
    return f"{quote(request.path)}?{urlencode(asked)}" if asked else quote(request.path)
