"""Long lists: what is searched, filtered, sorted and paged by the address alone."""

from __future__ import annotations

from operator import itemgetter
from typing import TYPE_CHECKING

import pytest

from tracker.domain.message import Message
from tracker.web.lists import Listed, Order, listed

if TYPE_CHECKING:
    from tests.web.conftest import Room

ROWS = [(f"bowl {count}", "Tuesday" if count % 2 else "Thursday", count) for count in range(120)]
_ORDERS: dict[str, Order[tuple[str, str, int]]] = {
    "first": Order(Message("by-number", "number"), itemgetter(2)),
    "last": Order(Message("by-number-falling", "number"), itemgetter(2), falling=True),
}


def _asked(room: Room, query: str) -> Listed[tuple[str, str, int]]:
    with room.app.test_request_context(f"/people?{query}"):
        return listed(ROWS, told=itemgetter(0), orders=_ORDERS, kind_of=itemgetter(1))


@pytest.mark.parametrize(
    ("query", "numbers", "count"),
    [
        ("", range(15), 120),
        ("from=110", range(105, 120), 120),
        ("from=9999", range(15), 120),
        ("from=-3&sort=nothing&kind=nobody", range(15), 120),
        ("sort=last&from=50", range(74, 59, -1), 120),
        ("find=BOWL+11", (11,), 1),
        ("find=BOW&kind=Tuesday", range(1, 30, 2), 60),
        ("find=plate", (), 0),
    ],
)
def test_a_list_shows_what_its_address_asks_for(room: Room, query: str, numbers: range, count: int) -> None:
    shown = _asked(room, query)

    assert [row[2] for row in shown.rows] == list(numbers)
    assert shown.count == count
    assert shown.of == 120


def test_the_pages_of_a_list_keep_what_was_asked_for(room: Room) -> None:
    shown = _asked(room, "find=bowl&sort=last&from=50")

    assert shown.on_href == "/people?find=bowl&sort=last&from=60"
    assert shown.back_href == "/people?find=bowl&sort=last&from=30"
