"""There are no more rounds, and no longer waits, than going through all ways finds."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import timedelta
from itertools import groupby, pairwise, permutations, product
from math import inf
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.outdoor.round_check import Session, faults, is_fresh
from tests.domain.outdoor.yard import ALONE, FLOOR, NOW, PRACTICE, WARNED, containers, of, pot, proposed, some_pieces
from tests.drawn import examples
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind
from tracker.domain.outdoor.bins import Containers
from tracker.domain.outdoor.setting_up import Container, Crew, Opening, OutdoorFloor, ToFire
from tracker.domain.studio.kilns import Room, RouteKind
from tracker.domain.studio.settings import OutdoorPractice

# Published best-known packings of equal circles in a circle, the container's radius over theirs; proved up to 13.
CIRCLES = Path(__file__).parents[2] / "reference" / "circles_in_a_circle.csv"
BEST_KNOWN = {
    int(row["n"]): float(row["best_known_R_over_r"])
    for row in csv.DictReader(CIRCLES.read_text(encoding="utf-8").splitlines())
}


def all_sharings(
    pieces: Sequence[ToFire], go_together: Callable[[Sequence[ToFire]], bool]
) -> Iterator[list[list[ToFire]]]:
    """Every way to share pieces among rounds; what goes together does so without any of its pieces too."""
    if not pieces:
        yield []
        return
    for others in all_sharings(pieces[1:], go_together):
        yield [[pieces[0]], *others]
        for number, some in enumerate(others):
            if go_together(more := [pieces[0], *some]):
                yield [*others[:number], more, *others[number + 1 :]]


def waits(session: Session, shares: Sequence[Sequence[ToFire]]) -> float:
    """How long all wait who are fired in this order, or for ever where something dry comes after fresh glaze."""
    fresh = [[is_fresh(session, piece) for piece in some] for some in shares]
    for earlier, later in pairwise(fresh):
        if any(earlier) and not all(later):
            return inf
    minutes = [sum((NOW - piece.since).total_seconds() // 60 + 1 for piece in some) for some in shares]
    return sum(turn * waited for turn, waited in enumerate(minutes))


def fewest_and_least(session: Session, most: dict[RouteKind, int]) -> tuple[int, float]:
    """The fewest rounds of so many pieces of a kind at most, and the least waiting in them, of all ways."""
    lidded = sum(one.lid for one in session.containers)

    def go_together(some: Sequence[ToFire]) -> bool:
        return _is_one_round(some, most, lidded)

    for rounds, ways in groupby(sorted(all_sharings(session.pieces, go_together), key=len), key=len):
        least = min((waits(session, order) for shares in ways for order in permutations(shares)), default=inf)
        if least < inf:
            return rounds, least
    raise AssertionError("each piece alone is a way too")


def _is_one_round(some: Sequence[ToFire], most: dict[RouteKind, int], lidded: int) -> bool:
    """Whether equal pots can be fired together, by counting."""
    lusters = sum(piece.luster for piece in some if piece.kind is RouteKind.RAKU)
    return len({piece.kind for piece in some}) == 1 and len(some) <= most[some[0].kind] and lusters <= lidded


def equal_pots(count: int, most: int) -> st.SearchStrategy[list[ToFire]]:
    """So many pots of 100 mm at most, of all kinds, each waiting for its own time."""
    piece = st.tuples(
        st.sampled_from([RouteKind.RAKU, RouteKind.RAKU, RouteKind.HORSEHAIR]),
        st.booleans(),
        st.sampled_from([None, 3, 40]),
        st.integers(0, 20_000),
    )
    return st.lists(piece, min_size=count, max_size=most).map(
        lambda some: [
            pot(
                number,
                kind=kind,
                luster=luster,
                glazed_at=None if hours is None else NOW - timedelta(hours=hours),
                since=NOW - timedelta(minutes=minutes),
            )
            for number, (kind, luster, hours, minutes) in enumerate(some, 1)
        ]
    )


def equal_session(
    pieces: list[ToFire], on_floor: int, hands: int, most_a_puller: int, lids: list[bool]
) -> tuple[Session, dict[RouteKind, int]]:
    """Pots of 100 mm in a kiln for so many, with a container for one each, and how many of each kind go in a round."""
    # So wide that just so many pots of 100 mm with 60 mm between them stand on it, by the published packings.
    wide = (BEST_KNOWN[on_floor] * 0.25 + BEST_KNOWN[on_floor + 1] * 0.75) * 160 - 60
    session = of(
        pieces if any(lids) else [replace(piece, luster=False) for piece in pieces],
        floor=OutdoorFloor(Shelf(ShelfKind.ROUND, wide, wide), 300, Opening.TOP),
        # Two pots of 100 mm with 25 mm all round them need 275 mm.
        containers=[Container(str(number), Room(round_mm=200, height_mm=200), lid) for number, lid in enumerate(lids)],
        crew=Crew(("Mio", "Tariq")[:hands], ("Ines",), "Olu", "Bea"),
        practice=replace(PRACTICE, most_a_puller=most_a_puller),
    )
    pulled = min(on_floor, hands * most_a_puller)
    return session, {RouteKind.RAKU: min(pulled, len(lids)), RouteKind.HORSEHAIR: pulled}


a_yard = (st.integers(1, 5), st.integers(1, 2), st.integers(1, 4), st.lists(st.booleans(), min_size=1, max_size=5))


@given(st.builds(equal_session, equal_pots(1, 6), *a_yard))
@examples(120)
def test_going_through_all_ways_finds_no_fewer_rounds_for_equal_pots(
    asked: tuple[Session, dict[RouteKind, int]],
) -> None:
    session, most = asked

    rounds = proposed(session)

    assert rounds.left_out == ()
    assert len(rounds.rounds) == fewest_and_least(session, most)[0]


@given(st.builds(equal_session, equal_pots(1, 6), *a_yard))
@examples(60)
def test_going_through_all_ways_finds_no_shorter_waiting_for_equal_pots_without_luster_or_fresh_glaze(
    asked: tuple[Session, dict[RouteKind, int]],
) -> None:
    session, most = asked
    pieces = [replace(piece, kind=RouteKind.RAKU, luster=False, glazed_at=None) for piece in session.pieces]
    by_id = {piece.piece_id: piece for piece in pieces}

    rounds = proposed(session._replace(pieces=pieces))

    shares = [[by_id[piece_id] for piece_id in one.piece_ids] for one in rounds.rounds]
    assert (len(shares), waits(session, shares)) == fewest_and_least(session._replace(pieces=pieces), most)


@given(st.lists(st.integers(110, 400), min_size=1, max_size=8), st.integers(1, 8))
@examples(120)
def test_going_through_all_ways_saves_one_round_at_most_for_tiles_in_a_row(widths: list[int], most: int) -> None:
    # The floor is so narrow that tiles stand side by side on it and cannot be turned: what fits can be added up.
    floor = OutdoorFloor(Shelf(ShelfKind.RECTANGULAR, 600, 100), 300, Opening.LIFT_OFF)
    tiles = [pot(number, kind=RouteKind.HORSEHAIR, footprint=Footprint(wide, 80)) for number, wide in enumerate(widths)]
    session = of(tiles, floor=floor, crew=ALONE, practice=replace(PRACTICE, most_a_puller=most))

    def fit(some: Sequence[ToFire]) -> bool:
        return len(some) <= most and sum(piece.footprint.width_mm + 60 for piece in some) <= 660

    fewest = min(len(shares) for shares in all_sharings(tiles, fit))
    # First fit finds the fewest in nearly every case, and may need one more.
    assert fewest <= len(proposed(session).rounds) <= fewest + 1


@given(st.lists(st.integers(110, 400), min_size=9, max_size=30), st.integers(2, 8))
@examples(60)
def test_many_tiles_need_little_more_than_the_fewest_rounds(widths: list[int], most: int) -> None:
    floor = OutdoorFloor(Shelf(ShelfKind.RECTANGULAR, 600, 100), 300, Opening.LIFT_OFF)
    tiles = [pot(number, kind=RouteKind.HORSEHAIR, footprint=Footprint(wide, 80)) for number, wide in enumerate(widths)]
    session = of(tiles, floor=floor, crew=ALONE, practice=replace(PRACTICE, most_a_puller=most))

    rounds = proposed(session)

    # Each of the widest needs a round of its own; no round holds more than a floor's width, or than is pulled.
    wide = sum(1 for width in widths if width > 270)
    least = max(-(-sum(width + 60 for width in widths) // 660), -(-len(widths) // most), wide)
    assert faults(session, rounds) == []
    assert least <= len(rounds.rounds) <= least * 1.25 + 1


@given(
    some_pieces(5).filter(bool),
    containers(1, 3),
    st.builds(OutdoorPractice, container_room_mm=st.sampled_from([0, 25])),
)
@examples(150)
def test_going_through_all_ways_finds_no_container_that_the_search_misses(
    pieces: list[ToFire], bins: tuple[Container, ...], practice: OutdoorPractice
) -> None:
    kept = Containers(bins, practice)

    def hold(names: Sequence[str]) -> bool:
        inside = {one: [piece for piece, name in zip(pieces, names, strict=True) if name == one.name] for one in bins}
        return all(not some or kept.takes(one, some) for one, some in inside.items())

    ways = [names for names in product([one.name for one in bins], repeat=len(pieces)) if hold(names)]
    found = kept.hold(pieces)

    assert (found in ways) if ways else found is None
    # Nobody shares where there is a way for each to have one.
    if any(len(set(names)) == len(pieces) for names in ways):
        assert len(set(found or ())) == len(pieces)


def test_a_search_for_containers_that_would_go_on_for_hours_is_given_up() -> None:
    # Each of the seven takes two, and there are billions of ways to find out that two of sixteen are left.
    bins = [Container(str(number), Room(round_mm=231 + number, height_mm=300)) for number in range(7)]

    assert Containers(bins, PRACTICE).hold([pot(number, 76 + number / 10) for number in range(16)]) is None
    assert Containers(bins, PRACTICE).hold([pot(number, 76 + number / 10) for number in range(14)]) is not None


@pytest.mark.parametrize("count", range(1, 8))
def test_as_many_pots_share_a_container_as_the_published_packings_say(count: int) -> None:
    # The base is a tenth wider than the best known packing of so many needs, with 25 mm between pots and all round.
    wide = int(BEST_KNOWN[count] * 1.1 * 125 - 25 + 50)
    one = [Container("the large one", Room(round_mm=wide, height_mm=300))]
    pots = [pot(number) for number in range(count)]
    practice = replace(PRACTICE, most_a_puller=8)
    floor = replace(FLOOR, shelf=Shelf(ShelfKind.ROUND, 900, 900))

    assert len(proposed(of(pots, containers=one, practice=practice, floor=floor)).rounds) == 1

    # And one tenth narrower it does not take so many.
    narrow = int(BEST_KNOWN[count] * 0.9 * 125 - 25 + 50)
    tight = [Container("the small one", Room(round_mm=max(narrow, 150), height_mm=300))]
    more = len(proposed(of(pots, containers=tight, practice=practice, floor=floor)).rounds)
    assert more > 1 or count == 1


def test_a_large_session_is_shared_among_few_rounds_that_can_be_fired() -> None:
    sizes = [60 + 37 * number % 121 for number in range(60)]
    pieces = [
        pot(
            number,
            size,
            footprint=Footprint.round(size) if number % 3 else Footprint(size, 60 + 53 * number % 100),
            kind=RouteKind.HORSEHAIR if number % 7 == 0 else RouteKind.RAKU,
            warnings=WARNED if number % 5 == 0 else (),
            luster=number % 6 == 1,
            crackle=number % 4 == 0,
            glazed_at=NOW - timedelta(hours=number),
            since=NOW - timedelta(days=number * 29 % 40),
        )
        for number, size in enumerate(sizes)
    ]
    session = of(pieces)

    rounds = proposed(session)

    assert faults(session, rounds) == []
    assert rounds.left_out == ()
    # Two people pull eight: 51 pieces for raku in seven rounds at least and 9 for horsehair in two.
    assert 9 <= len(rounds.rounds) <= 11
