"""Test tiles are added once, by the instructor, seen by everybody, kept by backups and removed; on both engines."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from uuid import uuid4

import pytest

from tests.photographed import a_picture, tiled, written
from tests.staffed import ADA, INES, TOM, asked_by, open_studio
from tests.studio import NOON
from tracker.domain.cones import Cone
from tracker.domain.pieces.history import Request
from tracker.domain.pieces.photos import Size
from tracker.domain.refusals import NotAllowed, NotAStep, Unknown
from tracker.domain.studio.kilns import Atmosphere
from tracker.domain.studio.swatches import ColorFamily
from tracker.domain.studio.tiles import MOST_OF_A_GLAZE, Making
from tracker.forms.pieces.photo_file import read_tile
from tracker.store import backup as keeping
from tracker.store.pieces.photo_shelf import shelf_for
from tracker.store.unit_of_work import Store
from tracker.usecases.studio import tiles

SIX = Cone.parse("6")
MAKING = Making(clay="Doorstep Buff", cone=SIX, atmosphere=Atmosphere.OXIDATION)


def files(store: Store) -> int:
    """How many files lie on the shelf."""
    assert store.shelf is not None
    return sum(path.is_file() for path in store.shelf.folder.rglob("*"))


def test_a_tile_knows_its_glaze_clay_firing_and_color(store: Store) -> None:
    photo, request = read_tile(written(a_picture())), Request(uuid4(), ADA, NOON)

    first, second = (tiles.add(store, request, "Still Water", MAKING, photo) for _ in range(2))

    (tile,) = store.read.tiles.of_glaze("Still Water")
    assert first == second
    assert (tile.clay.name, tile.cone, tile.atmosphere) == ("Doorstep Buff", SIX, Atmosphere.OXIDATION)
    assert (tile.side, tile.swatch, tile.by, tile.added_at) == (300, photo[1], ADA.name, NOON)
    assert tiles.file_of(store, tile.stem, Size.LARGE).read_bytes() == photo[0].large
    assert files(store) == 2


def test_each_glaze_hands_out_the_tile_most_like_the_firing(store: Store) -> None:
    tiled(store, "Still Water", ADA, clay="Lantern White", color="#3a9696")
    tiled(store, "Still Water", ADA, color="#2a4a8c")
    tiled(store, "Still Water", ADA, cone="10", color="#6b3a22")
    tiled(store, "Iron Gate", ADA, cone="10", color="#2a1d18")

    best = store.read.tiles.best_for(store.read.catalog().clay("Doorstep Buff"), SIX)

    assert {name: tile.color for name, tile in best.items()} == {
        "Still Water": ColorFamily.BLUE,
        "Iron Gate": ColorFamily.BLACK,
    }


def test_a_removed_tile_leaves_no_file(store: Store) -> None:
    stem, stays = tiled(store, "Still Water", ADA), tiled(store, "Still Water", ADA, cone="5")

    tiles.remove(store, asked_by(ADA), stem)

    assert [tile.stem for tile in store.read.tiles.of_glaze("Still Water")] == [stays]
    assert files(store) == 2
    with pytest.raises(Unknown):
        tiles.file_of(store, stem, Size.SMALL)


def test_only_the_instructor_adds_and_removes_tiles(store: Store) -> None:
    stem = tiled(store, "Still Water", ADA)

    for someone in (TOM, INES):
        with pytest.raises(NotAllowed):
            tiled(store, "Still Water", someone)
        with pytest.raises(NotAllowed):
            tiles.remove(store, asked_by(someone), stem)

    assert files(store) == 2


@pytest.mark.parametrize(("glaze", "clay"), [("No such glaze", "Doorstep Buff"), ("Still Water", "No such clay")])
def test_a_tile_of_nothing_the_studio_has_is_refused_and_leaves_no_file(store: Store, glaze: str, clay: str) -> None:
    with pytest.raises(Unknown):
        tiled(store, glaze, ADA, clay=clay)

    assert files(store) == 0


def test_a_glaze_with_many_tiles_takes_no_more(store: Store) -> None:
    for _ in range(MOST_OF_A_GLAZE):
        tiled(store, "Still Water", ADA)

    with pytest.raises(NotAStep, match="tiles-full"):
        tiles.may_add(store, "Still Water", ADA)


def test_a_backup_brings_tiles_and_files_back_and_a_sweep_leaves_them(sqlite_url: str, tmp_path: Path) -> None:
    store, copy = open_studio(sqlite_url), str(tmp_path / "new.db")
    stem = tiled(store, "Still Water", ADA)
    store.close()

    keeping.backup(sqlite_url, tmp_path / "kept.footring")
    keeping.restore(copy, tmp_path / "kept.footring")
    swept = keeping.sweep(copy, older_than=datetime(9999, 1, 1, tzinfo=UTC))

    shelf = shelf_for(copy)
    assert shelf is not None
    assert swept == 0
    assert shelf.has(stem)
    assert keeping.check(copy) == ()
    shelf.drop([stem])
    assert [one.code for one in keeping.check(copy)] == ["tile-lost"]
