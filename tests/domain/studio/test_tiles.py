"""Test tiles: which one shows best how a glaze comes out, and which glazes a search finds."""

from __future__ import annotations

from typing import Any

import pytest

from tests.studio import NOON, a_clay, a_glaze
from tracker.domain.cones import Cone
from tracker.domain.refusals import NotAStep
from tracker.domain.studio.kilns import Atmosphere
from tracker.domain.studio.materials import ClayKind, Surface
from tracker.domain.studio.swatches import Color, ColorFamily
from tracker.domain.studio.tiles import MOST_OF_A_GLAZE, GlazeSearch, Tile, best_tiles, must_take_another_tile

BUFF, GRAY = a_clay("Buff"), a_clay("Gray")
WHITE = a_clay("White", kind=ClayKind.PORCELAIN)
SIX, TEN = Cone.parse("6"), Cone.parse("10")


def a_tile(number: int, **facts: Any) -> Tile:  # noqa: ANN401 -- any fact of a tile
    """A blue tile of Still Water on Buff at cone 6, but for the `facts` given."""
    plain: dict[str, Any] = {
        "glaze": "Still Water",
        "clay": BUFF,
        "cone": SIX,
        "atmosphere": None,
        "stem": f"{number:032x}",
        "side": 800,
        "swatch": Color(58, 84, 132),
        "added_at": NOON,
        "by": "Ada Quill",
    }
    return Tile(id=number, **(plain | facts))


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        ({}, {"clay": GRAY}),
        ({}, {"cone": TEN}),
        ({"cone": TEN}, {"clay": GRAY}),
        ({"clay": GRAY, "cone": TEN}, {"clay": WHITE}),
        ({"cone": Cone.parse("8")}, {"cone": TEN}),
        ({"clay": WHITE}, {"atmosphere": Atmosphere.REDUCTION}),
        ({"atmosphere": Atmosphere.OXIDATION, "cone": TEN}, {"atmosphere": Atmosphere.NEUTRAL}),
    ],
    ids=["clay", "cone", "clay before cone", "kind before cone", "nearest cone", "atmosphere first", "its atmosphere"],
)
def test_the_tile_most_like_the_firing_is_best(better: dict[str, Any], worse: dict[str, Any]) -> None:
    tiles = [a_tile(1, **better), a_tile(2, **worse)]

    best = best_tiles(tiles, BUFF, SIX, Atmosphere.OXIDATION)["Still Water"]

    assert best.id == 1


def test_of_two_alike_the_newer_is_best_and_each_glaze_has_its_own() -> None:
    tiles = [a_tile(2), a_tile(1), a_tile(3, glaze="Iron Gate", clay=GRAY)]

    best = best_tiles(tiles, BUFF, SIX)

    assert {name: tile.id for name, tile in best.items()} == {"Still Water": 2, "Iron Gate": 3}
    assert best["Still Water"].was_made_like(BUFF, SIX)
    assert not best["Iron Gate"].was_made_like(BUFF, SIX)


def test_a_tile_fired_outside_the_cones_of_its_glaze_is_never_best() -> None:
    off = a_tile(2, is_off=True)

    assert best_tiles([a_tile(1, clay=WHITE, cone=TEN), off], BUFF, SIX)["Still Water"].id == 1
    assert best_tiles([off], BUFF, SIX) == {}


@pytest.mark.parametrize(
    ("search", "finds"),
    [
        (GlazeSearch(), True),
        (GlazeSearch(words="STILL wat"), True),
        (GlazeSearch(words="sea"), True),
        (GlazeSearch(words="still iron"), False),
        (GlazeSearch(color=ColorFamily.BLUE, surface=Surface.SATIN), True),
        (GlazeSearch(color=ColorFamily.GREEN), False),
        (GlazeSearch(surface=Surface.MATTE), False),
    ],
    ids=str,
)
def test_a_search_finds_by_words_color_and_surface(search: GlazeSearch, *, finds: bool) -> None:
    glaze = a_glaze(color="sea blue, satin", surface=Surface.SATIN)

    assert search.finds(glaze, a_tile(1)) is finds


def test_no_color_finds_a_glaze_without_a_tile() -> None:
    assert not GlazeSearch(color=ColorFamily.BLUE).finds(a_glaze(), None)


def test_a_glaze_takes_so_many_tiles_and_no_more() -> None:
    must_take_another_tile(a_glaze(), MOST_OF_A_GLAZE - 1)

    with pytest.raises(NotAStep, match="tiles-full"):
        must_take_another_tile(a_glaze(), MOST_OF_A_GLAZE)
