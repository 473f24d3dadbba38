"""How photos travel: into the one file of a backup, and out of it again beside a restored database.

Photos of pieces and of test tiles lie on the same shelf, and are told apart by the table that knows their name.

Only a backup has the table `photo_files`. A backup without it is from before there were photos.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from hashlib import sha256
from pathlib import Path

from sqlalchemy import Connection, Engine, Update, select, text, union_all, update

from tracker.domain.message import Message, _, together
from tracker.domain.pieces.codes import slip_text
from tracker.domain.pieces.photos import Size
from tracker.domain.refusals import Unusable
from tracker.store.backup_seal import damaged
from tracker.store.pieces.photo_shelf import PhotoShelf
from tracker.store.tables import glazes, photos, pieces, tiles

_TABLE = "photo_files"
_NEW_TABLE = (
    f"CREATE TABLE {_TABLE} (stem TEXT NOT NULL, size TEXT NOT NULL, jpeg BLOB NOT NULL, sha256 TEXT NOT NULL,"
    " PRIMARY KEY (stem, size))"
)
_KNOW = ("photos", "tiles")
"""The tables that know photos by their names; databases from before one of them don't have it."""
_HAS_TABLE = "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?"
_KNOWN = "SELECT stem FROM photos UNION ALL SELECT stem FROM tiles"
_IS_THERE = "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = 'photo_files'"
_NO_FOLDER = Message("photos-nowhere", _("The photo folder isn't set."))
_SET_IT = Message("set-footring-photos", _("Set FOOTRING_PHOTOS to it."))


def pack_photos(draft: Path, shelf: PhotoShelf | None, live: Engine) -> None:
    """Put the files of every photo that the backup `draft` knows into it, each with its SHA-256.

    A photo that was removed while the backup was being made is struck out of the draft too; one whose file is lost
    stays known, so that nothing is forgotten in silence. Refused where there are photos and no folder.
    """
    with closing(sqlite3.connect(draft)) as kept:
        kept.execute(f"DROP TABLE IF EXISTS {_TABLE}")
        known_in = [table for table in _KNOW if kept.execute(_HAS_TABLE, (table,)).fetchone()]
        stems = [stem for table in known_in for (stem,) in kept.execute(f"SELECT stem FROM {table}")]  # noqa: S608 -- as above
        if stems and shelf is None:
            raise Unusable([_NO_FOLDER], _SET_IT)
        kept.execute(_NEW_TABLE)
        absent = [stem for stem in stems if shelf and not _packed(kept, shelf, stem)]
        if absent:
            with live.connect() as connection:
                still = {stem for table in known_in for stem in connection.scalars(text(f"SELECT stem FROM {table}"))}  # noqa: S608 -- as above
            gone = [(stem,) for stem in absent if stem not in still]
            for table in known_in:
                kept.executemany(f"DELETE FROM {table} WHERE stem = ?", gone)  # noqa: S608 -- as above
        kept.commit()


def known_stems(connection: Connection) -> frozenset[str]:
    """The names of all photos that the database knows, of pieces and of test tiles."""
    return frozenset(connection.scalars(union_all(select(photos.c.stem), select(tiles.c.stem))))


def _packed(kept: sqlite3.Connection, shelf: PhotoShelf, stem: str) -> bool:
    """Put both sizes of one photo in; give whether both were there."""
    for size in Size:
        try:
            jpeg = shelf.path(stem, size).read_bytes()
        except FileNotFoundError:
            return False
        row = (stem, size.value, jpeg, sha256(jpeg).hexdigest())
        kept.execute(f"INSERT INTO {_TABLE} VALUES (?, ?, ?, ?)", row)  # noqa: S608 -- the table's name stands above
    return True


@contextmanager
def unpacked_photos(copy: Path, shelf: PhotoShelf | None, backup: Path) -> Iterator[None]:
    """Lay the photos in the `copy` of a `backup` down on `shelf`; when the rest of the restoring fails, they go again.

    Refused, before anything is restored, where one is not as it was packed.
    """
    laid: list[str] = []
    is_whole = False
    try:
        for stem, size, jpeg, digest in _packed_in(copy):
            if shelf is None:
                raise Unusable([_NO_FOLDER], _SET_IT)
            if digest and sha256(jpeg).hexdigest() != digest:
                raise damaged(backup, _photo_damaged(stem))
            if not shelf.path(stem, size).exists():
                laid.append(stem)
            shelf.lay_down(stem, size, jpeg)
        yield
        is_whole = True
    finally:
        if shelf is not None and not is_whole:
            shelf.drop(laid)


def damaged_photos(copy: Path) -> Iterator[Message]:
    """What is said of each photo in the copy of a backup that is not as it was packed."""
    for stem, _size, jpeg, digest in _packed_in(copy):
        if digest and sha256(jpeg).hexdigest() != digest:
            yield _photo_damaged(stem)


def _photo_damaged(stem: str) -> Message:
    return Message("packed-photo-damaged", _("The photo {stem} in it is damaged."), stem=stem)


def _packed_in(copy: Path) -> Iterator[tuple[str, Size, bytes, str | None]]:
    """Each known photo of a backup: its name, size, JPEG and SHA-256; None for that from before it was kept."""
    with closing(sqlite3.connect(copy)) as packed:
        columns = {row[1] for row in packed.execute(f"PRAGMA table_info({_TABLE})")}
        if not columns:
            return
        digest = "sha256" if "sha256" in columns else "NULL"
        wanted = f"SELECT stem, size, jpeg, {digest} FROM {_TABLE} WHERE stem IN ({_KNOWN}) ORDER BY stem"  # noqa: S608 -- as above
        for stem, size, jpeg, told in packed.execute(wanted):
            yield stem, Size(size), jpeg, told


def faulty_photos(connection: Connection, shelf: PhotoShelf | None) -> Iterator[Message]:
    """What is said of each photo whose files are gone or not as they were kept; a backup has them inside."""
    of_pieces = connection.execute(
        select(photos.c.id, photos.c.stem, photos.c.sha256, pieces.c.code, photos.c.piece_id)
        .join(pieces, pieces.c.id == photos.c.piece_id)
        .order_by(photos.c.id)
    ).all()
    of_tiles = connection.execute(
        select(tiles.c.stem, tiles.c.sha256, glazes.c.name)
        .join(glazes, glazes.c.id == tiles.c.glaze_id)
        .order_by(tiles.c.id)
    ).all()
    if not (of_pieces or of_tiles):
        return
    if shelf is None:
        yield together([_NO_FOLDER, _SET_IT])
        return
    inside = frozenset[str]()
    if connection.dialect.name == "sqlite" and connection.scalar(text(_IS_THERE)):
        inside = frozenset(connection.scalars(text(f"SELECT stem FROM {_TABLE} GROUP BY stem HAVING count(*) = 2")))  # noqa: S608 -- as above
    for stem, kept, glaze in of_tiles:
        if stem not in inside and (fault := _fault_of(shelf, stem, kept)):
            yield Message(f"tile-{fault}", _TILE[fault], glaze=glaze)
    for number, stem, kept, code, piece_id in of_pieces:
        if stem not in inside and (fault := _fault_of(shelf, stem, kept)):
            yield Message(f"photo-{fault}", _PHOTO[fault], photo=str(number), piece=code or slip_text(piece_id))


_LOST, _DAMAGED = "lost", "damaged"
_TILE = {
    _LOST: _("A test tile of {glaze} has lost its file."),
    _DAMAGED: _("The file of a test tile of {glaze} is damaged."),
}
_PHOTO = {
    _LOST: _("The file of photo {photo}, of {piece}, is missing."),
    _DAMAGED: _("The file of photo {photo}, of {piece}, is damaged."),
}


def _fault_of(shelf: PhotoShelf, stem: str, kept: str | None) -> str:
    """What is wrong with the files of a photo that read as `kept` when it was added; nothing where all is well."""
    now = shelf.sha256_of(stem)
    if now is None:
        return _LOST
    return "" if kept in {None, now} else _DAMAGED


def sha256_to_note(connection: Connection, shelf: PhotoShelf) -> Iterator[Update]:
    """How to note what the files of each photo read as that is from before that was kept."""
    for table in (photos, tiles):
        for number, stem in connection.execute(select(table.c.id, table.c.stem).where(table.c.sha256.is_(None))).all():
            yield update(table).where(table.c.id == number).values(sha256=shelf.sha256_of(stem))
