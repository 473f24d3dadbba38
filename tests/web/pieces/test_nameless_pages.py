"""Whose is this? What can be seen of a nameless piece leads to pieces side by side, the likeliest first."""

from __future__ import annotations

import re
from html import unescape

import pytest

from tests.photographed import photographed
from tests.studio import ADA, INES, MIRA, TOM
from tests.web.conftest import Room
from tracker.domain.pieces.piece import Build
from tracker.domain.studio.materials import Zone
from tracker.domain.studio.people import NewPerson
from tracker.usecases.pieces import pieces


def found(page: str) -> list[str]:
    """The codes and slips on the page, in their order."""
    return re.findall(
        r'</a>|<span class="code[^"]*" translate="no">([A-Z0-9]+)</span></a>', page.partition('id="found"')[2]
    )


def codes(page: str) -> list[str]:
    """The same without what only closes a link."""
    return [one for one in found(page) if one]


@pytest.mark.parametrize("who", [TOM, ADA], ids=["staff", "instructor"])
def test_the_page_asks_before_it_looks(room: Room, who: NewPerson) -> None:
    room.bisqued()

    page = room.visit(who).get("/whose").text

    assert "Whose is this?" in page
    assert 'id="found"' not in page


def test_a_student_does_not_look_among_other_peoples_pieces(room: Room) -> None:
    assert room.visit(INES).get("/whose?height=120").status_code == 403


def test_pieces_stand_side_by_side_with_photo_maker_size_glaze_and_shelf(room: Room) -> None:
    cup = room.bisqued(MIRA)
    pieces.glaze(room.store, room.asks(TOM), cup.ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), cup.ref, "mid-range", place="cart 2")
    stem = photographed(room.store, cup.ref, room.person(MIRA))

    page = room.visit(TOM).get("/whose?height=11.5+cm&glaze=Still+Water").text

    assert codes(page) == [cup.ref]
    shown = unescape(page.partition('id="found"')[2])
    for words in (f"/photos/{stem}/small", "Mira Tann", "Thursday", "120 mm high, 80 mm by 80 mm", "Still Water"):
        assert words in shown
    assert "queued since Tue, Mar 3" in shown
    assert "cart 2" in shown


def test_the_nearest_stands_first_and_what_differs_is_said(room: Room) -> None:
    far, near = room.bisqued(height_mm=130), room.bisqued(height_mm=121)
    slab = room.bisqued(height_mm=120, build=Build.SLAB)

    page = room.visit(TOM).get("/whose?height=120&build=thrown&stage=bisqued&clay=stoneware").text

    assert codes(page) == [near.ref, far.ref, slab.ref]
    alike, _, nearly = page.partition("One answer doesn't match")
    assert "differs" not in alike
    assert nearly.count("differs") == 1
    assert "<b>slab</b>" in nearly


def test_when_nothing_looks_like_that_it_is_said_plainly(room: Room) -> None:
    room.bisqued()

    page = room.visit(TOM).get("/whose?height=300").text

    assert codes(page) == []
    assert "No matching piece" in page


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ("height=tall", "isn't a length"),
        ("width=0", "measures 1 mm to 2,000 mm"),
        ("stage=claimed", "Choose one of"),
        ("build=wished", "Choose"),
    ],
)
def test_what_makes_no_sense_is_said_beside_its_field(room: Room, query: str, says: str) -> None:
    answer = room.visit(TOM).get(f"/whose?{query}")

    assert answer.status_code == 422
    assert says in unescape(answer.text)
    assert 'id="found"' not in answer.text


def test_at_most_sixty_are_laid_side_by_side(room: Room) -> None:
    for _ in range(62):
        room.greenware()

    page = room.visit(TOM).get("/whose?height=120").text

    assert len(codes(page)) == 60
    assert "the first 60" in page
