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
        ("", range(25), 120),
        ("from=100", range(100, 120), 120),
        ("from=9999", range(25), 120),
        ("from=-3&sort=nothing&kind=nobody", range(25), 120),
        ("sort=last&from=50", range(69, 44, -1), 120),
        ("find=BOWL+11", (11, *range(110, 120)), 11),
        ("find=bowl+11&kind=Tuesday", (11, 111, 113, 115, 117, 119), 6),
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

    assert shown.on_href == "/people?find=bowl&sort=last&from=75"
    assert shown.back_href == "/people?find=bowl&sort=last&from=25"
