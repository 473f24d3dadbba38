"""Which pieces share a round, a bin and a place on the shelf, and why a piece is left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import pytest

from tests.domain.outdoor.round_check import each_of, faults, is_true
from tests.domain.outdoor.yard import ALONE, BINS, NOW, PRACTICE, WARNED, ids, of, pot, proposed
from tests.reading import said
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind
from tracker.domain.outdoor.setting_up import Container, Crew, Opening, OutdoorFloor, Rounds, ToFire
from tracker.domain.studio.kilns import Room, RouteKind


def test_fresh_glaze_goes_last_though_it_has_waited_longest() -> None:
    fresh = [pot(n, glazed_at=NOW - timedelta(hours=5), since=NOW - timedelta(days=90)) for n in (1, 2)]
    dry = [pot(n, glazed_at=NOW - timedelta(hours=24), since=NOW) for n in (3, 4)]

    rounds = proposed(of([*fresh, *dry], crew=ALONE, practice=replace(PRACTICE, most_a_puller=2)))

    assert ids(rounds) == [{3, 4}, {1, 2}]


def test_the_oldest_promise_goes_first() -> None:
    pieces = [pot(n, since=NOW - timedelta(days=days)) for n, days in enumerate((3, 30, 2, 20), 1)]

    rounds = proposed(of(pieces, crew=ALONE, practice=replace(PRACTICE, most_a_puller=2)))

    assert ids(rounds) == [{2, 4}, {1, 3}]


def test_of_many_pieces_the_oldest_promises_go_first_too() -> None:
    pieces = [pot(n, since=NOW - timedelta(days=n * 7 % 20)) for n in range(20)]

    rounds = proposed(of(pieces, crew=ALONE))

    by_age = sorted(range(20), key=lambda n: -(n * 7 % 20))
    assert ids(rounds) == [set(by_age[start : start + 4]) for start in range(0, 20, 4)]


def test_lusters_want_a_lidded_container_each() -> None:
    lusters = [pot(n, luster=True) for n in (1, 2, 3)]
    bins = [Container("tall", BINS[0].room), Container("old", BINS[0].room, lid=False), Container("new", BINS[0].room)]

    rounds = proposed(of(lusters, containers=bins))

    assert [len(one.stood) for one in rounds.rounds] == [2, 1]
    assert {stood.container for one in rounds.rounds for stood in one.stood} <= {"tall", "new"}


def test_small_pieces_share_the_one_container_there_is() -> None:
    one = [Container("drum", Room(round_mm=560, height_mm=400))]

    rounds = proposed(of([pot(n, 80) for n in range(5)], containers=one))

    assert [len(one.stood) for one in rounds.rounds] == [5]


def test_where_some_must_share_no_way_of_sharing_is_missed() -> None:
    # The two middling ones share the drum, and the small ones are too high for it.
    pieces = [pot(1, 150), pot(2, 150), pot(3, 60, height_mm=260), pot(4, 60, height_mm=260)]
    high = [Container(name, Room(round_mm=120, height_mm=300)) for name in ("tin", "can")]
    drum = Container("drum", Room(round_mm=400, height_mm=200))

    rounds = proposed(of(pieces, containers=[*high, drum]))

    assert len(rounds.rounds) == 1
    assert {stood.piece_id: stood.container for stood in rounds.rounds[0].stood}[1] == "drum"


def test_nine_and_more_in_a_round_share_containers_too() -> None:
    pieces = [pot(n, 60) for n in range(10)]
    bins = [Container(str(number), Room(round_mm=260, height_mm=300)) for number in range(5)]
    practice = replace(PRACTICE, most_a_puller=10, lid_s=0.1, pull_s=0.5)
    session = of(pieces, containers=bins, crew=ALONE, practice=practice)

    rounds = proposed(session)

    assert [len(one.stood) for one in rounds.rounds] == [10]
    assert faults(session, rounds) == []
    assert len(proposed(session._replace(containers=bins[:1])).rounds) > 1


def test_crackle_is_pulled_first_then_luster_and_what_is_set_apart_last() -> None:
    pieces = [
        pot(1),
        pot(2, warnings=WARNED, crackle=True),
        pot(3, luster=True),
        pot(4, crackle=True),
    ]

    rounds = proposed(of(pieces))

    assert rounds.rounds[0].piece_ids == (4, 3, 1, 2)


@pytest.mark.parametrize("opening", Opening)
@pytest.mark.parametrize(
    "shelf",
    [Shelf(ShelfKind.ROUND, 600, 600), Shelf(ShelfKind.HALF, 700, 700), Shelf(ShelfKind.RECTANGULAR, 620, 500)],
    ids=str,
)
def test_two_pieces_with_warnings_stand_apart_at_the_edge(shelf: Shelf, opening: Opening) -> None:
    warned = [pot(n, 110, warnings=WARNED) for n in (1, 2)]
    tile = pot(3, footprint=Footprint(140, 60), warnings=WARNED)
    session = of([*warned, tile, pot(4), pot(5)], floor=OutdoorFloor(shelf, 400, opening))

    rounds = proposed(session)

    assert faults(session, rounds) == []
    assert len(rounds.rounds) <= 2
    assert sorted(stood.piece_id for one in rounds.rounds for stood in one.stood if stood.apart) == [1, 2, 3]


def test_horsehair_is_fired_apart_from_raku_and_laid_on_a_shelf() -> None:
    pieces = [pot(1), pot(2, kind=RouteKind.HORSEHAIR), pot(3, kind=RouteKind.HORSEHAIR)]

    rounds = proposed(of(pieces, containers=BINS[:1]))

    assert [(one.kind, set(one.piece_ids)) for one in rounds.rounds] == [
        (RouteKind.HORSEHAIR, {2, 3}),
        (RouteKind.RAKU, {1}),
    ]
    assert [stood.container for stood in rounds.rounds[0].stood] == [None, None]


LEFT_OUT = {
    "another kind": (pot(1, kind=RouteKind.SHELF), {}, "This piece is waiting for a shelf firing."),
    "too high": (pot(1, height_mm=460), {}, "This piece is 460 mm high. The kiln has room for 450 mm."),
    "too wide": (pot(1, 601, height_mm=90), {}, "This piece is 601 mm across. The floor is round and 600 mm."),
    "too long": (
        pot(1, footprint=Footprint(600, 200), kind=RouteKind.HORSEHAIR),
        {},
        "This piece is 600 mm by 200 mm, 632 mm from corner to corner. The floor is round and 600 mm.",
    ),
    "too heavy": (
        pot(1, weight_g=5200),
        {},
        "This piece weighs 5.2 kg. The tongs should lift 4.5 kg at most.",
    ),
    "no container at all": (pot(1), {"containers": ()}, "This session has no bins."),
    "no container so large": (pot(1, 251), {}, "No bin here is large enough for this piece."),
    "no container so high": (pot(1, height_mm=326), {}, "No bin here is large enough for this piece."),
    "no lid": (
        pot(1, luster=True),
        {"containers": [replace(BINS[0], lid=False)]},
        "A copper luster needs its own bin with a tight lid. No bin here has a lid.",
    ),
    "no lid so large": (
        pot(1, 200, luster=True),
        {"containers": [replace(BINS[0], lid=False), Container("jar", Room(round_mm=200, height_mm=400))]},
        "A copper luster needs its own bin with a tight lid. No bin with a lid is large enough.",
    ),
    "no container measured so wide": (
        pot(1, 120),
        {"containers": [Container("box", Room(width_mm=150))]},
        "No bin here is large enough for this piece.",
    ),
    "nobody pulls": (pot(1), {"crew": Crew((" ",), ("Ines",), "Olu", "Bea")}, "This crew has no puller with tongs."),
    "too cool": (
        pot(1),
        {"practice": replace(PRACTICE, most_a_puller=0)},
        "This piece would be too cool before the crew",
    ),
}


@pytest.mark.parametrize(("piece", "yard", "why"), LEFT_OUT.values(), ids=LEFT_OUT)
def test_a_piece_left_out_is_told_the_true_reason(piece: ToFire, yard: dict[str, object], why: str) -> None:
    session = of([piece, pot(2, 60, kind=RouteKind.HORSEHAIR)], **yard)

    left_out = dict(proposed(session).left_out)

    assert said(left_out[1]).startswith(why)
    assert all(is_true(session, piece, one) for one in each_of(left_out[1]))


def test_every_reason_is_named_at_once() -> None:
    ((_, why),) = proposed(of([pot(1, 700, weight_g=9000)])).left_out

    assert [one.code for one in each_of(why)] == ["kiln-too-low", "floor-too-narrow", "too-heavy", "no-large-container"]


@pytest.mark.parametrize(
    ("piece", "containers"),
    [
        pytest.param(pot(1, 250, height_mm=325), BINS, id="just fits its container"),
        pytest.param(pot(1, 100), [Container("bucket", Room())], id="a container that nobody has measured"),
        pytest.param(pot(1, 100), [Container("box", Room(width_mm=150))], id="only its width is known"),
        pytest.param(pot(1, weight_g=5200, lift_allowed=True), BINS, id="heavy, and the instructor lets it be lifted"),
        pytest.param(pot(1, 600, height_mm=450, kind=RouteKind.HORSEHAIR), (), id="just fits the kiln"),
    ],
)
def test_what_just_fits_is_fired(piece: ToFire, containers: Sequence[Container]) -> None:
    assert proposed(of([piece], containers=containers)).left_out == ()


def test_nobody_shares_a_container_that_nobody_has_measured() -> None:
    rounds = proposed(of([pot(1, 40), pot(2, 40)], containers=[Container("bucket", Room())]))

    assert [len(one.stood) for one in rounds.rounds] == [1, 1]


def test_nothing_to_fire_makes_no_rounds() -> None:
    assert proposed(of([])) == Rounds(())
