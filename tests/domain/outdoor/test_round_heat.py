"""A round is no larger than what comes out hot, and cool rounds come first."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.domain.outdoor.round_check import faults
from tests.domain.outdoor.yard import ALONE, BINS, CREW, FLOOR, NOW, PRACTICE, RAKU, ids, of, pot, proposed, stood
from tests.reading import said
from tracker.domain.outdoor.round_check import breaks, out_of_heat
from tracker.domain.outdoor.setting_up import Opening, Round
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.settings import OutdoorPractice

USUAL = OutdoorPractice()
QUICK = OutdoorPractice(pull_s=2.4)


@pytest.mark.parametrize(
    ("wall_mm", "opening", "kind", "many"),
    [
        # One puller's safe number, or one, by the tests' own plate: see round_check.
        (3, Opening.LIFT_OFF, RAKU, 1),
        (8, Opening.LIFT_OFF, RAKU, 1),
        (8, Opening.FRONT, RAKU, 1),
        (4, Opening.LIFT_OFF, RouteKind.HORSEHAIR, 1),
        (12, Opening.FRONT, RouteKind.HORSEHAIR, 1),
        (20, Opening.FRONT, RouteKind.HORSEHAIR, 2),
    ],
)
def test_a_round_is_never_larger_than_its_crew_gets_out_in_time(
    wall_mm: int, opening: Opening, kind: RouteKind, many: int
) -> None:
    pieces = [pot(n, 60, kind=kind, wall_mm=wall_mm) for n in range(7)]
    session = of(pieces, crew=ALONE, practice=USUAL, floor=replace(FLOOR, opening=opening))

    rounds = proposed(session)

    assert faults(session, rounds) == []
    assert max(len(one.stood) for one in rounds.rounds) == many
    assert rounds.left_out == ()


def test_one_thin_wall_makes_its_round_small_and_no_other() -> None:
    thick = [pot(n, 60, wall_mm=8) for n in range(4)]

    rounds = proposed(of([pot(9, 60, wall_mm=3), *thick], crew=ALONE, practice=QUICK))

    assert sorted(map(len, ids(rounds))) == [1, 2, 2]


def test_two_pullers_with_one_pair_of_tongs_pull_as_one() -> None:
    pieces = [pot(n, 60, wall_mm=8) for n in range(4)]

    rounds = {
        tongs: len(proposed(of(pieces, crew=replace(CREW, tongs=tongs), practice=QUICK)).rounds)
        for tongs in (1, 2, None)
    }

    assert rounds == {1: 2, 2: 1, None: 1}
    assert dict(proposed(of(pieces[:1], crew=replace(CREW, tongs=0))).left_out)[0].code == "nobody-pulls"


def test_colder_air_leaves_time_for_no_more_pieces() -> None:
    pieces = [pot(n, 60, wall_mm=9, kind=RouteKind.HORSEHAIR) for n in range(12)]
    quick = replace(USUAL, most_a_puller=12, pull_s=2, hair_s=2)

    most = [
        max(map(len, ids(proposed(of(pieces, crew=ALONE, practice=quick, floor=replace(FLOOR, air_c=air_c))))))
        for air_c in (-25.0, 40.0)
    ]

    assert most[0] < most[1]


def test_a_hand_that_puts_too_many_thin_pieces_into_a_round_is_told() -> None:
    pieces = [pot(1, 60, wall_mm=3), pot(2, 60, wall_mm=9)]

    (told,) = breaks(Round(RAKU, (stood(1, -100), stood(2, 100))), pieces, FLOOR, BINS, ALONE, USUAL)

    assert said(told) == "2 pieces are more than this crew can pull: 1 before the last is too cool."


def test_cool_rounds_come_first_whatever_has_waited_longest() -> None:
    raku = [pot(n, since=NOW - timedelta(days=60)) for n in (1, 2)]
    hair = [pot(n, kind=RouteKind.HORSEHAIR, since=NOW) for n in (3, 4, 5)]

    rounds = proposed(of([*raku, *hair], crew=ALONE, practice=replace(PRACTICE, most_a_puller=2)))

    assert [one.kind.value for one in rounds.rounds] == ["horsehair", "horsehair", "raku"]


def test_a_cooler_round_after_a_hotter_one_is_told() -> None:
    hair = RouteKind.HORSEHAIR

    assert out_of_heat([hair, hair, RAKU, RAKU], USUAL) == (None,) * 4
    told = out_of_heat([RAKU, hair, hair], USUAL)
    assert [one and said(one) for one in told] == [
        None,
        "A cooler round comes after a hotter one: 700 °C after 982 °C.",
        None,
    ]
    assert out_of_heat([], USUAL) == ()
