"""The frame of every page: a short menu, and a first page for each role."""

from __future__ import annotations

import re
from hashlib import sha256
from typing import TYPE_CHECKING

import pytest

from tests.studio import ADA, INES, TOM
from tracker.web.frame import MENU, MOST_ENTRIES, menu_of

if TYPE_CHECKING:
    from tests.web.conftest import Room
    from tracker.domain.studio.people import NewPerson


@pytest.mark.parametrize(("who", "first"), [(INES, "/pieces"), (TOM, "/today"), (ADA, "/today")])
def test_a_menu_has_six_entries_at_most_and_everything_its_reader_may_open(
    room: Room, who: NewPerson, first: str
) -> None:
    person = room.person(who)
    with room.app.test_request_context("/"):
        menu = menu_of(person)

    allowed = [one for group in MENU for one in group.places if person.may(one.right)]
    assert len(menu) <= MOST_ENTRIES
    assert [link.label for entry in menu for link in entry.links] == [one.label for one in allowed]
    assert menu[0].links[0].href == first
    assert room.visit(who).get("/").headers["Location"] == first


def test_the_address_of_a_style_tells_what_is_in_it(room: Room) -> None:
    page = room.visit(INES).get("/pieces").text

    address = re.search(r'href="(/static/footring\.css\?v=([0-9a-f]+))"', page)
    assert address is not None
    style = room.visit(INES).get(address[1])
    assert sha256(style.data).hexdigest().startswith(address[2])
    assert "Set-Cookie" not in style.headers, "a cache on the way may keep a copy"
