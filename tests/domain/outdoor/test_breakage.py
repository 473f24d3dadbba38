"""Shares have the intervals of a reference library, and a sentence never claims more than the pieces show."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from tests.reading import said
from tests.studio import OUTCOMES
from tracker.domain.outdoor.breakage import LARGE_MM, By, Fired, Harm, losses, losses_like, wilson
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Build
from tracker.domain.studio.materials import ClayKind
from tracker.domain.studio.settings import COMMON_PRACTICE

ROWS = [(hits, of) for of in (1, 2, 3, 5, 11, 30, 99, 1_000) for hits in sorted({0, 1, of // 3, of // 2, of - 1, of})]
fired = st.builds(
    Fired,
    clay=st.sampled_from(("Doorstep Buff", "Lantern White", "")),
    kind=st.sampled_from(ClayKind),
    build=st.none() | st.sampled_from(Build),
    largest_mm=st.none() | st.integers(20, 400),
    glazes=st.lists(st.sampled_from(("Ember Luster", "Frost Crackle", "Clear")), max_size=3).map(tuple),
    outcome=st.sampled_from(OUTCOMES),
)


def a_piece(outcome: Outcome = Outcome.GOOD, **more: object) -> Fired:
    """A slab-built porcelain piece with Ember Luster, and what else is asked for."""
    plain: dict[str, object] = {
        "clay": "Lantern White",
        "kind": ClayKind.PORCELAIN,
        "build": Build.SLAB,
        "largest_mm": 160,
        "glazes": ("Ember Luster",),
    }
    return Fired(outcome=outcome, **{**plain, **more})  # type: ignore[arg-type]  # every key names a field


def broken(hits: int, of: int, **more: object) -> list[Fired]:
    """So many pieces alike of which so many broke."""
    return [a_piece(Outcome.BROKE if place < hits else Outcome.GOOD, **more) for place in range(of)]


@pytest.mark.parametrize(("hits", "of"), ROWS)
def test_the_interval_is_that_of_a_reference_library(hits: int, of: int) -> None:
    # scipy.stats.binomtest(...).proportion_ci(method="wilson"): the score interval without a correction.
    found = binomtest(hits, of).proportion_ci(confidence_level=0.95, method="wilson")

    share = wilson(hits, of)

    assert (share.low, share.high) == pytest.approx((found.low, found.high), abs=1e-12)


def test_of_nothing_nothing_is_known() -> None:
    share = wilson(0, 0)

    assert (share.low, share.high) == (0.0, 1.0)


@pytest.mark.parametrize(("hits", "of"), [(-1, 5), (6, 5), (1, 0)])
def test_more_than_all_and_fewer_than_none_are_refused(hits: int, of: int) -> None:
    with pytest.raises(ValueError, match="Nothing has"):
        wilson(hits, of)


@given(st.integers(1, 500).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_the_interval_holds_the_share_and_lies_between_none_and_all(counts: tuple[int, int]) -> None:
    hits, of = counts
    share = wilson(hits, of)

    assert 0.0 <= share.low <= hits / of <= share.high <= 1.0
    low, high = share.percents
    assert low <= 100 * share.low + 1e-6
    assert high >= 100 * share.high - 1e-6


@given(st.integers(0, 40), st.integers(1, 40))
def test_what_is_counted_from_the_other_side_is_the_mirror(hits: int, more: int) -> None:
    one, other = wilson(hits, hits + more), wilson(more, hits + more)

    assert one.low == pytest.approx(1 - other.high, abs=1e-12)


def test_more_pieces_alike_make_it_surer() -> None:
    widths = [share.high - share.low for share in (wilson(4 * times, 11 * times) for times in (1, 2, 5, 20))]

    assert all(after < before for before, after in pairwise(widths))


# ---- groups and sentences ----------------------------------------------------------------------------------------


def test_a_group_says_its_numbers_first_then_what_and_how_sure() -> None:
    (group,) = losses(broken(4, 11), (By.KIND, By.BUILD))

    assert said(group.message) == "4 of 11 slab-built porcelain pieces broke here (15% to 65%)."


@pytest.mark.parametrize(
    ("hits", "of", "by", "says"),
    [
        (0, 11, (By.KIND,), "None of 11 porcelain pieces broke here (0% to 26%)."),
        (11, 11, (By.KIND,), "11 of 11 porcelain pieces broke here (74% to 100%)."),
        (1, 1, (By.KIND,), "1 of 1 porcelain piece broke here (too few to tell: 20% to 100%)."),
        (2, 3, (By.SIZE, By.KIND), "2 of 3 large porcelain pieces broke here (too few to tell: 20% to 94%)."),
        (2, 8, (By.GLAZE, By.BUILD), "2 of 8 slab-built pieces with Ember Luster broke here (7% to 60%)."),
        (2, 8, (By.CLAY,), "2 of 8 pieces of Lantern White broke here (7% to 60%)."),
    ],
)
def test_a_group_is_named_as_one_says_it(hits: int, of: int, by: tuple[By, ...], says: str) -> None:
    (group,) = losses(broken(hits, of), by)

    assert said(group.message) == says


def test_a_crack_counts_where_cracks_are_asked_for() -> None:
    rows = [a_piece(Outcome.of(Flaw.CRACKED)), a_piece(Outcome.BROKE), *broken(0, 6)]

    (strict,) = losses(rows, (By.KIND,))
    (wide,) = losses(rows, (By.KIND,), Harm.BROKE_OR_CRACKED)

    assert strict.share.hits == 1
    assert said(wide.message).startswith("2 of 8 porcelain pieces broke or cracked here")


def test_what_is_large_is_what_the_rules_call_large_and_exactly_that_much_is_small() -> None:
    rows = [a_piece(largest_mm=LARGE_MM), a_piece(largest_mm=LARGE_MM + 1), a_piece(largest_mm=None)]

    groups = {one.group[0][1]: one.share.of for one in losses(rows, (By.SIZE,))}

    assert COMMON_PRACTICE.large_porcelain_mm == LARGE_MM
    assert groups == {"small": 1, "large": 1}


def test_a_piece_with_two_glazes_counts_once_for_each() -> None:
    rows = [a_piece(Outcome.BROKE, glazes=("Ember Luster", "Clear", "Clear")), a_piece(glazes=("Clear",))]

    groups = {one.group[0][1]: (one.share.hits, one.share.of) for one in losses(rows, (By.GLAZE,))}

    assert groups == {"Ember Luster": (1, 1), "Clear": (1, 2)}


def test_the_surest_losses_stand_first() -> None:
    rows = [*broken(1, 1), *broken(20, 30, kind=ClayKind.GROGGED), *broken(0, 30, kind=ClayKind.STONEWARE)]

    kinds = [one.group[0][1] for one in losses(rows, (By.KIND,))]

    assert kinds == ["grogged", "porcelain", "stoneware"]


def test_of_what_was_never_fired_here_it_says_so() -> None:
    ware = a_piece(build=Build.COIL)

    (group,) = losses_like(ware, broken(4, 11), (By.BUILD, By.KIND))

    assert said(group.message) == "No coil-built porcelain piece has been fired here yet."


def test_what_is_like_a_piece_is_counted_for_its_own_groups_alone() -> None:
    rows = [*broken(4, 11), *broken(3, 3, build=Build.COIL)]

    (group,) = losses_like(a_piece(), rows, (By.BUILD, By.KIND))

    assert said(group.message) == "4 of 11 slab-built porcelain pieces broke here (15% to 65%)."
    assert losses_like(a_piece(build=None), rows, (By.BUILD, By.KIND)) == ()


@given(st.lists(fired, max_size=40), st.sets(st.sampled_from(By), min_size=1), st.sampled_from(Harm))
def test_every_group_holds_those_that_are_what_it_names(rows: list[Fired], by: set[By], harm: Harm) -> None:
    groups = losses(rows, tuple(by), harm)

    for one in groups:
        alike = [row for row in rows if any(like.group == one.group for like in losses_like(row, rows, tuple(by)))]
        assert one.share.of == len(alike)
        assert one.share.hits == sum(map(harm.befell, alike))
    assert len({one.group for one in groups}) == len(groups)
    assert all({respect for respect, _ in one.group} == by for one in groups)
