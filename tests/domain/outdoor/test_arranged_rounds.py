"""A round as people have arranged it: what can be laid, and which rule it breaks."""

from __future__ import annotations

import pytest

from tests.domain.outdoor.yard import BINS, CREW, FLOOR, PRACTICE, RAKU, WARNED, pot, stood
from tests.reading import said
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind
from tracker.domain.message import Message
from tracker.domain.outdoor.round_check import breaks
from tracker.domain.outdoor.rounds import lay_round
from tracker.domain.outdoor.setting_up import Container, Opening, OutdoorFloor, Round, Stood, ToFire
from tracker.domain.studio.kilns import Room, RouteKind


def test_a_round_of_just_these_pieces_can_be_laid() -> None:
    pieces = [pot(1), pot(2, crackle=True)]

    one = lay_round(pieces, FLOOR, BINS, CREW, PRACTICE)

    assert one is not None
    assert one.piece_ids == (2, 1)
    assert breaks(one, pieces, FLOOR, BINS, CREW, PRACTICE) == ()


@pytest.mark.parametrize(
    "pieces",
    [
        pytest.param([], id="none"),
        pytest.param([pot(1), pot(2, kind=RouteKind.HORSEHAIR)], id="two kinds"),
        pytest.param([pot(1, height_mm=500)], id="too high"),
        pytest.param([pot(n, 60) for n in range(9)], id="too many to pull"),
        pytest.param([pot(n, 240) for n in range(3)], id="too many for the floor"),
        pytest.param([pot(n, 60, luster=True) for n in range(3)], id="too few containers"),
    ],
)
def test_what_does_not_go_together_is_not_laid(pieces: list[ToFire]) -> None:
    assert lay_round(pieces, FLOOR, BINS[:2], CREW, PRACTICE) is None


SMALL = Container("small", Room(round_mm=160, height_mm=200))
OPEN = Container("open", Room(round_mm=300, height_mm=350), lid=False)
TALL = Container("tall", Room(round_mm=300, height_mm=600))
YARD = (*BINS, SMALL, OPEN, TALL)

BROKEN = {
    "a piece of another session": ([], [stood(7)], "Piece 7 isn't in this session."),
    "twice": ([pot(1)], [stood(1), stood(1)], "P1 is in this round 2 times."),
    "the wrong kind": (
        [pot(1, kind=RouteKind.HORSEHAIR)],
        [stood(1)],
        "P1 is for horsehair. The round is raku.",
    ),
    "too high": (
        [pot(1, height_mm=460)],
        [stood(1, container="tall")],
        "P1 is 460 mm high. The kiln has room for 450 mm.",
    ),
    "too heavy": (
        [pot(1, weight_g=5000)],
        [stood(1)],
        "P1 is too heavy: 5 kg. The tongs should lift 4.5 kg at most.",
    ),
    "off the floor": ([pot(1)], [stood(1, 251)], "P1 doesn't fit on the floor."),
    "a corner off the floor": (
        [pot(1, footprint=Footprint(200, 100))],
        [stood(1, 0, 230, turned=True)],
        "P1 doesn't fit on the floor.",
    ),
    "too near": (
        [pot(1), pot(2)],
        [stood(1), stood(2, 159)],
        "P1 and P2 have 59 mm between them. The tongs need 60 mm.",
    ),
    "two boxes too near": (
        [pot(1, footprint=Footprint(100, 50)), pot(2, footprint=Footprint(50, 100))],
        [stood(1), stood(2, 130, 0, turned=True)],
        "P1 and P2 have 30 mm between them. The tongs need 60 mm.",
    ),
    "corner to corner": (
        [pot(1, footprint=Footprint(100, 100)), pot(2, footprint=Footprint(100, 100))],
        [stood(1, -50, -50), stood(2, 80, 90)],
        "P1 and P2 have 50 mm between them. The tongs need 60 mm.",
    ),
    "a pot too near a box": (
        [pot(1), pot(2, footprint=Footprint(100, 100))],
        [stood(1), stood(2, 130, 0)],
        "P1 and P2 have 30 mm between them. The tongs need 60 mm.",
    ),
    "one over another": (
        [pot(1), pot(2, footprint=Footprint(100, 100))],
        [stood(1), stood(2, 20, 30)],
        "P1 and P2 have no space between them. The tongs need 60 mm.",
    ),
    "not set apart": ([pot(1, warnings=WARNED)], [stood(1, 250)], "P1 has a warning and isn't kept apart."),
    "out of sight": (
        [pot(1, warnings=WARNED)],
        [stood(1, apart=True)],
        "P1 has a warning and isn't at the edge, where the puller sees it.",
    ),
    "no such container": (
        [pot(1)],
        [stood(1, container="9")],
        "P1 is planned for bin 9.",
    ),
    "too large for its container": (
        [pot(1, 120)],
        [stood(1, container="small")],
        "P1 doesn't fit in bin small with 25 mm of space all around.",
    ),
    "too large together": (
        [pot(1, 120), pot(2, 110)],
        [stood(1, -100, container="1"), stood(2, 100, container="1")],
        "P1 and P2 don't fit together in bin 1 with 25 mm between them.",
    ),
    "a luster shares": (
        [pot(1, 60, luster=True), pot(2, 60)],
        [stood(1, -100, container="1"), stood(2, 100, container="1")],
        "P1 is a copper luster and needs its own bin. Here it shares bin 1.",
    ),
    "a luster without a lid": (
        [pot(1, luster=True)],
        [stood(1, container="open")],
        "P1 is a copper luster. Bin open has no lid.",
    ),
    "crackle too late": (
        [pot(1), pot(2, crackle=True)],
        [stood(1, -100), stood(2, 100)],
        "P2 is pulled after P1. Pull P2 first.",
    ),
}


@pytest.mark.parametrize(("pieces", "standing", "says"), BROKEN.values(), ids=BROKEN)
def test_a_rule_broken_by_hand_is_told_in_one_sentence(pieces: list[ToFire], standing: list[Stood], says: str) -> None:
    told = breaks(Round(RAKU, tuple(standing)), pieces, FLOOR, YARD, CREW, PRACTICE)

    assert len(told) == 1
    assert said(told[0]).startswith(says)


def test_a_piece_set_apart_is_to_have_more_room() -> None:
    pieces = [pot(1), pot(2, warnings=WARNED)]

    told = breaks(Round(RAKU, (stood(1, 60), stood(2, 250, apart=True))), pieces, FLOOR, YARD, CREW, PRACTICE)

    assert list(map(said, told)) == ["P1 and P2 have 90 mm between them. A piece kept apart needs 100 mm."]


def test_the_front_is_where_the_puller_sees_it() -> None:
    floor = OutdoorFloor(Shelf(ShelfKind.RECTANGULAR, 600, 500), 450, Opening.FRONT)
    warned = [pot(1, warnings=WARNED)]

    def told(x: float, y: float) -> tuple[Message, ...]:
        return breaks(Round(RAKU, (stood(1, x, y, apart=True),)), warned, floor, BINS, CREW, PRACTICE)

    assert told(120, -200) == ()
    assert len(told(250, 0)) == 1
    assert len(told(0, 200)) == 1


def test_a_round_that_nobody_fires_outdoors_and_one_of_too_many_are_told() -> None:
    mugs = [pot(n, 60, kind=RouteKind.SHELF) for n in range(9)]
    spots = [(x, y) for x in (-150, 0, 150) for y in (-150, 0, 150)]
    one = Round(RouteKind.SHELF, tuple(stood(n, x, y) for n, (x, y) in enumerate(spots)))

    told = breaks(one, mugs, FLOOR, BINS, CREW, PRACTICE)

    assert [one.code for one in told] == ["round-of-neither", "too-many"]
    assert (told[1]["count"], told[1]["most"]) == (9, 8)


def test_raku_without_a_container_and_horsehair_with_one_are_told() -> None:
    bare = Stood(1, 0, 0, turned=False, container=None, apart=False)
    hair = pot(1, kind=RouteKind.HORSEHAIR)

    assert breaks(Round(RAKU, (bare,)), [pot(1)], FLOOR, BINS, CREW, PRACTICE) == (
        Message("without-container", "", piece="P1"),
    )
    assert breaks(Round(RouteKind.HORSEHAIR, (stood(1),)), [hair], FLOOR, BINS, CREW, PRACTICE) == (
        Message("horsehair-in-container", "", piece="P1"),
    )
