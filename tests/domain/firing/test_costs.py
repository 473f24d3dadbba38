"""What a firing cost is shared so that the shares add up to the cent."""

from __future__ import annotations

from itertools import pairwise
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.studio import a_studio
from tracker.domain.firing.costs import KWH_PER_KG_PROPANE, shared, volume_mm3
from tracker.domain.pieces.piece import Build, Ware

CLAY = a_studio().catalog.clay("Doorstep Buff")
_volumes = st.lists(st.integers(0, 10**8), min_size=1, max_size=60)


@given(st.integers(0, 10**6), _volumes)
def test_the_shares_add_up_to_the_cent(cents: int, volumes: list[int]) -> None:
    assert sum(shared(cents, volumes)) == cents


@given(st.integers(0, 10**6), _volumes)
def test_no_share_is_a_whole_cent_away_from_its_exact_part(cents: int, volumes: list[int]) -> None:
    whole = sum(volumes)

    for share, volume in zip(shared(cents, volumes), volumes, strict=True):
        exact = cents * volume / whole if whole else cents / len(volumes)
        assert abs(share - exact) < 1


@given(st.integers(0, 10**6), _volumes)
def test_more_room_never_costs_less(cents: int, volumes: list[int]) -> None:
    by_room = sorted(zip(volumes, shared(cents, volumes), strict=True))

    assert all(later[1] >= sooner[1] for sooner, later in pairwise(by_room))


def test_a_dollar_shared_by_three_alike_gives_the_odd_cent_to_the_first() -> None:
    assert shared(100, [5, 5, 5]) == (34, 33, 33)
    assert shared(100, [0, 0, 0]) == (34, 33, 33)
    assert shared(100, []) == ()


def test_a_thrown_piece_is_a_cylinder_and_any_other_a_box() -> None:
    # The volumes of a cylinder and a box (school geometry).
    thrown = Ware(clay=CLAY, build=Build.THROWN, height_mm=100, width_mm=80, depth_mm=80)
    slab = Ware(clay=CLAY, build=Build.SLAB, height_mm=100, width_mm=80, depth_mm=60)

    assert volume_mm3(thrown) == round(pi * 40**2 * 100)
    assert volume_mm3(slab) == 100 * 80 * 60
    assert volume_mm3(Ware(clay=CLAY, height_mm=None)) == 0


def test_propane_holds_as_much_heat_as_the_tables_say() -> None:
    # 91,500 Btu in a gallon (LP-gas tables) that weighs about 4.24 lb at 60 °F (NFPA 58, from memory): 13.95 kWh/kg.
    assert float(KWH_PER_KG_PROPANE) == pytest.approx(91_500 / 3_412 / (4.24 * 0.453_592_37), rel=0.01)
