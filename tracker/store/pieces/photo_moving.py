"""How photos travel: into the one file of a backup, and out of it again beside a restored database.

Photos of pieces and of test tiles lie on the same shelf, and are told apart by the table that knows their name.

Only a backup has the table `photo_files`. A backup without it is from before there were photos.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing, contextmanager
from typing import TYPE_CHECKING

from sqlalchemy import select, text, union_all

from tracker.domain.message import Message, _, together
from tracker.domain.pieces.codes import slip_text
from tracker.domain.pieces.photos import Size
from tracker.domain.refusals import Unusable
from tracker.store.tables import glazes, photos, pieces, tiles

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from sqlalchemy import Connection, Engine

    from tracker.store.pieces.photo_shelf import PhotoShelf

_TABLE = "photo_files"
_NEW_TABLE = (
    f"CREATE TABLE {_TABLE} (stem TEXT NOT NULL, size TEXT NOT NULL, jpeg BLOB NOT NULL, PRIMARY KEY (stem, size))"
)
_KNOWN = "SELECT stem FROM photos UNION ALL SELECT stem FROM tiles"
_IS_THERE = "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = 'photo_files'"
_NO_FOLDER = Message("photos-nowhere", _("The photo folder isn't set."))
_SET_IT = Message("set-footring-photos", _("Set FOOTRING_PHOTOS to it."))


def pack_photos(draft: Path, shelf: PhotoShelf | None, live: Engine) -> None:
    """Put the files of every photo that the backup `draft` knows into it.

    A photo that was removed while the backup was being made is struck out of the draft too; one whose file is lost
    stays known, so that nothing is forgotten in silence. Refused where there are photos and no folder.
    """
    with closing(sqlite3.connect(draft)) as kept:
        kept.execute(f"DROP TABLE IF EXISTS {_TABLE}")
        stems = [stem for (stem,) in kept.execute(_KNOWN)]
        if stems and shelf is None:
            raise Unusable([_NO_FOLDER], _SET_IT)
        kept.execute(_NEW_TABLE)
        absent = [stem for stem in stems if shelf and not _packed(kept, shelf, stem)]
        if absent:
            with live.connect() as connection:
                still = known_stems(connection)
            gone = [(stem,) for stem in absent if stem not in still]
            kept.executemany("DELETE FROM photos WHERE stem = ?", gone)
            kept.executemany("DELETE FROM tiles WHERE stem = ?", gone)
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
        kept.execute(f"INSERT INTO {_TABLE} VALUES (?, ?, ?)", (stem, size.value, jpeg))  # noqa: S608 -- the table's name stands above
    return True


@contextmanager
def unpacked_photos(copy: Path, shelf: PhotoShelf | None) -> Iterator[None]:
    """Lay the photos of the backup `copy` down on `shelf`; when the rest of the restoring fails, they go again."""
    laid: list[str] = []
    is_whole = False
    with closing(sqlite3.connect(copy)) as packed:
        is_there = packed.execute(_IS_THERE).fetchone()[0]
        wanted = f"SELECT stem, size, jpeg FROM {_TABLE} WHERE stem IN ({_KNOWN}) ORDER BY stem"  # noqa: S608 -- as above
        try:
            for stem, size, jpeg in packed.execute(wanted) if is_there else ():
                if shelf is None:
                    raise Unusable([_NO_FOLDER], _SET_IT)
                if not shelf.path(stem, Size(size)).exists():
                    laid.append(stem)
                shelf.lay_down(stem, Size(size), jpeg)
            yield
            is_whole = True
        finally:
            if shelf is not None and not is_whole:
                shelf.drop(laid)


def lost_photos(connection: Connection, shelf: PhotoShelf | None) -> Iterator[Message]:
    """What is said of each photo whose files are gone; a backup has them inside."""
    of_pieces = connection.execute(
        select(photos.c.id, photos.c.stem, pieces.c.code, photos.c.piece_id)
        .join(pieces, pieces.c.id == photos.c.piece_id)
        .order_by(photos.c.id)
    ).all()
    of_tiles = connection.execute(
        select(tiles.c.stem, glazes.c.name).join(glazes, glazes.c.id == tiles.c.glaze_id).order_by(tiles.c.id)
    ).all()
    if not (of_pieces or of_tiles):
        return
    if shelf is None:
        yield together([_NO_FOLDER, _SET_IT])
        return
    inside = frozenset[str]()
    if connection.dialect.name == "sqlite" and connection.scalar(text(_IS_THERE)):
        inside = frozenset(connection.scalars(text(f"SELECT stem FROM {_TABLE} GROUP BY stem HAVING count(*) = 2")))  # noqa: S608 -- as above
    for stem, glaze in of_tiles:
        if stem not in inside and not shelf.has(stem):
            yield Message("tile-lost", _("A test tile of {glaze} has lost its file."), glaze=glaze)
    for number, stem, code, piece_id in of_pieces:
        if stem not in inside and not shelf.has(stem):
            words = _("The file of photo {photo}, of {piece}, is missing.")
            yield Message("photo-lost", words, photo=str(number), piece=code or slip_text(piece_id))
