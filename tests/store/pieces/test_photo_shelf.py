"""The photos on the disk: whole or not there, found by no name but their own, and swept when nobody knows them."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from resource import RLIMIT_FSIZE, getrlimit, setrlimit

import pytest

from tests.photographed import photographed, prints, tiled
from tests.staffed import ADA, MIRA, TOM, asked_by, bisqued, open_studio
from tracker.domain.pieces.photos import Size
from tracker.domain.refusals import Unusable
from tracker.store import backup as keeping
from tracker.store.backup_seal import seal
from tracker.store.pieces.photo_moving import pack_photos
from tracker.store.pieces.photo_shelf import PhotoShelf, shelf_for
from tracker.store.schema import downgrade
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces import photos
from tracker.usecases.studio import tiles

NOW = datetime(2026, 3, 3, 12, 0, tzinfo=UTC)


def files(folder: Path) -> list[str]:
    """The names of all files under a folder."""
    return sorted(path.name for path in folder.rglob("*") if path.is_file())


def test_a_photo_lies_in_two_files_under_a_name_that_tells_nothing(tmp_path: Path) -> None:
    shelf, kept = PhotoShelf(tmp_path / "photos"), prints()

    stem = shelf.keep(kept)

    assert files(shelf.folder) == [f"{stem}-large.jpg", f"{stem}-small.jpg"]
    assert shelf.path(stem, Size.LARGE).read_bytes() == kept.large
    assert shelf.path(stem, Size.SMALL).read_bytes() == kept.small
    assert shelf.has(stem)
    assert shelf.keep(kept) != stem


def test_a_photo_that_is_dropped_is_gone_and_may_be_dropped_again(tmp_path: Path) -> None:
    shelf = PhotoShelf(tmp_path / "photos")
    stem, other = shelf.keep(prints()), shelf.keep(prints())

    shelf.drop([stem])
    shelf.drop([stem])

    assert not shelf.has(stem)
    assert shelf.has(other)


@pytest.mark.parametrize("name", ["../../etc/passwd", "", "A" * 32, "0" * 31, "0" * 33, "0" * 32 + "\n", "\u0660" * 32])
def test_no_other_name_leads_to_a_file(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="no photo"):
        PhotoShelf(tmp_path).path(name, Size.SMALL)


def test_the_photos_of_a_file_lie_beside_it_and_those_of_a_server_by_the_databases_name(tmp_path: Path) -> None:
    beside, attic = shelf_for(str(tmp_path / "footring.db"), "/elsewhere"), str(tmp_path / "attic")
    first, second = (shelf_for(f"postgresql://studio@db/{name}", attic) for name in ("clay", "glaze"))

    assert beside is not None
    assert beside.folder == tmp_path / "footring.db-photos"
    assert first is not None
    assert second is not None
    assert (first.folder, second.folder) == (tmp_path / "attic" / "clay", tmp_path / "attic" / "glaze")
    assert shelf_for("postgresql://studio@db/clay") is None


def test_only_old_files_that_nobody_knows_are_swept_and_only_our_own(tmp_path: Path) -> None:
    shelf = PhotoShelf(tmp_path)
    known, stray, fresh = (shelf.keep(prints()) for _ in range(3))
    letter = shelf.path(stray, Size.SMALL).with_name("letter.txt")
    letter.write_text("Dear studio")
    draft = shelf.path(known, Size.SMALL).with_name(f"{known}-small.jpg.part")
    draft.write_bytes(b"half")
    for path in tmp_path.rglob("*.*"):
        age = 0 if fresh in path.name else 2
        os.utime(path, (NOW.timestamp() - age * 86_400,) * 2)

    swept = shelf.sweep({known}, older_than=NOW - timedelta(days=1))

    assert swept == 3
    assert (shelf.has(known), shelf.has(stray), shelf.has(fresh)) == (True, False, True)
    assert letter.exists()
    assert not draft.exists()


# ---- in a backup and out of it


@pytest.fixture
def source(sqlite_url: str) -> str:
    """A studio with two photos of one piece."""
    store = open_studio(sqlite_url)
    ref = bisqued(store)
    photographed(store, ref, MIRA, "from above")
    photographed(store, ref, TOM)
    store.close()
    return sqlite_url


def test_a_backup_holds_its_photos_and_passes_its_own_check(source: str, tmp_path: Path) -> None:
    path = tmp_path / "kept.footring"

    keeping.backup(source, path)

    keeping.check_backup(path)
    assert not (tmp_path / "kept.footring-photos").exists()


def test_a_photo_that_is_not_as_it_was_packed_is_told_and_not_restored(source: str, tmp_path: Path) -> None:
    path = tmp_path / "kept.footring"
    keeping.backup(source, path)
    with closing(sqlite3.connect(path)) as file:
        file.execute("UPDATE photo_files SET jpeg = zeroblob(length(jpeg)) WHERE stem = (SELECT max(stem) FROM photos)")
        file.commit()
    seal(path)

    with pytest.raises(Unusable) as checked:
        keeping.check_backup(path)
    with pytest.raises(Unusable) as restored:
        keeping.restore(str(tmp_path / "new.db"), path)

    for refused in (checked, restored):
        assert [one.code for one in refused.value.problems[:2]] == ["backup-damaged", "packed-photo-damaged"]

    assert files(tmp_path / "new.db-photos") == []


def test_a_backup_from_before_there_were_photos_is_restored(source: str, tmp_path: Path) -> None:
    path = tmp_path / "kept.footring"
    keeping.backup(source, path)
    downgrade(str(path), "0004")
    with closing(sqlite3.connect(path)) as file:
        file.execute("DROP TABLE photo_files")
        file.execute("PRAGMA application_id = 0")
        file.commit()

    keeping.restore(str(tmp_path / "new.db"), path)

    assert keeping.check(str(tmp_path / "new.db")) == ()
    assert not (tmp_path / "new.db-photos").exists()


def test_a_restore_that_fails_takes_the_photos_back_with_it(source: str, tmp_path: Path) -> None:
    keeping.backup(source, tmp_path / "kept.footring")

    class PulledPlug(Exception):
        """Somebody pulls the plug."""

    def pull(done: int, total: int) -> None:
        if done > total // 2:
            raise PulledPlug

    with pytest.raises(PulledPlug):
        keeping.restore(str(tmp_path / "new.db"), tmp_path / "kept.footring", pull)

    assert files(tmp_path / "new.db-photos") == []


def test_photos_are_neither_packed_nor_restored_where_nobody_knows_their_folder(
    source: str, tmp_path: Path, postgres_url: str
) -> None:
    keeping.backup(source, tmp_path / "kept.footring")
    with pytest.raises(Unusable, match="photos-nowhere"):
        keeping.restore(postgres_url, tmp_path / "kept.footring")
    keeping.restore(postgres_url, tmp_path / "kept.footring", photos=str(tmp_path / "attic"))

    with pytest.raises(Unusable, match="photos-nowhere"):
        keeping.backup(postgres_url, tmp_path / "second.footring")

    assert not (tmp_path / "second.footring").exists()
    assert keeping.check(postgres_url) != ()
    assert keeping.check(postgres_url, photos=str(tmp_path / "attic")) == ()


def test_a_photo_whose_file_is_lost_is_told_and_not_forgotten_by_a_backup(source: str, tmp_path: Path) -> None:
    shelf = shelf_for(source)
    assert shelf is not None
    (shelf.folder / next(shelf.folder.rglob("*-small.jpg"))).unlink()

    (problem,) = keeping.check(source)
    keeping.backup(source, tmp_path / "kept.footring")
    keeping.restore(str(tmp_path / "new.db"), tmp_path / "kept.footring")

    assert problem.code == "photo-lost"
    assert keeping.check(str(tmp_path / "new.db")) == (problem,)


def test_a_photo_that_rots_on_its_disk_is_found_by_the_check_and_so_is_one_from_before(source: str) -> None:
    shelf, store = shelf_for(source), open_store(source)
    assert shelf is not None
    tiled(store, "Still Water", ADA)
    first, *_ = store.read.album.of(1)
    store.close()
    with closing(sqlite3.connect(source.removeprefix("sqlite:///"))) as file:
        file.execute("UPDATE photos SET sha256 = NULL WHERE stem = ?", [first.stem])
        file.commit()

    keeping.note_photos(source)
    assert keeping.check(source) == ()
    for path in shelf.folder.rglob("*-large.jpg"):
        jpeg = path.read_bytes()
        path.write_bytes(jpeg[:-3] + bytes([jpeg[-3] ^ 1]) + jpeg[-2:])

    assert sorted(one.code for one in keeping.check(source)) == ["photo-damaged", "photo-damaged", "tile-damaged"]


def test_a_photo_removed_while_the_backup_is_made_is_not_in_it(source: str, tmp_path: Path) -> None:
    store = open_store(source)
    tiled(store, "Still Water", ADA)
    draft = tmp_path / "draft.db"
    with closing(sqlite3.connect(source.removeprefix("sqlite:///"))) as old, closing(sqlite3.connect(draft)) as new:
        old.backup(new)
    (gone, stays) = store.read.album.of(1)
    photos.remove(store, asked_by(TOM), gone.stem)
    tiles.remove(store, asked_by(ADA), store.read.tiles.of_glaze("Still Water")[0].stem)

    pack_photos(draft, store.shelf, store._engine)

    with closing(sqlite3.connect(draft)) as packed:
        assert packed.execute("SELECT stem FROM photos").fetchall() == [(stays.stem,)]
        assert packed.execute("SELECT count(*) FROM tiles").fetchone() == (0,)
        assert packed.execute("SELECT count(*) FROM photo_files").fetchone() == (2,)
    store.close()


def open_store(url: str) -> Store:
    """A store over a studio that already exists."""
    return Store(url, lambda _: 7)


def test_a_sweep_of_a_studio_takes_what_no_row_knows(source: str) -> None:
    shelf = shelf_for(source)
    assert shelf is not None
    shelf.keep(prints())

    assert keeping.sweep(source, older_than=NOW - timedelta(days=3650)) == 0
    assert keeping.sweep(source, older_than=datetime(9999, 1, 1, tzinfo=UTC)) == 2
    assert keeping.check(source) == ()


def test_a_disk_that_fills_up_is_left_without_any_part_of_the_photo(tmp_path: Path) -> None:
    shelf = shelf_for(str(tmp_path / "studio.db"))
    assert shelf is not None
    picture = prints(width=1200, height=900)
    assert len(picture.small) < len(picture.large)
    before, most = getrlimit(RLIMIT_FSIZE)

    setrlimit(RLIMIT_FSIZE, ((len(picture.small) + len(picture.large)) // 2, most))
    try:
        with pytest.raises(OSError):  # noqa: PT011 -- the system's own
            shelf.keep(picture)
    finally:
        setrlimit(RLIMIT_FSIZE, (before, most))

    assert files(shelf.folder) == []
