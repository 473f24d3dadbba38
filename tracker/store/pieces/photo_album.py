"""Which photo belongs to which piece: what pages ask of it, and what one request writes in it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Row, Select, delete, func, insert, literal, select, update

from tracker.domain.pieces.photos import Prints
from tracker.domain.pieces.piece import Piece, Stage
from tracker.store.connected import Asked, Written
from tracker.store.tables import merged, people, photos, pieces


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoRow:
    """A photo of a piece: `stem` names its files, `stage` is where the piece stood when it was taken.

    `width` and `height` are those of the large print in pixels, `bytes` those of both together; `words` may be empty.
    `shared` says that the maker lets everybody see it.
    """

    id: int
    piece_id: int
    stem: str
    width: int
    height: int
    bytes: int
    stage: Stage
    words: str
    added_at: datetime
    by: str
    by_id: int
    shared: bool


_PHOTO = select(photos, people.c.name.label("by_name")).join(people, people.c.id == photos.c.by_id)


class Album(Asked):
    """The photos as pages ask for them."""

    def of(self, piece_id: int) -> tuple[PhotoRow, ...]:
        """The photos of one piece and of its other registrations, the newest first."""
        own = select(literal(piece_id).label("piece_id"))
        others = select(merged.c.piece_id).where(merged.c.into_id == piece_id)
        return self._all(_PHOTO.where(photos.c.piece_id.in_(own.union_all(others))).order_by(photos.c.id.desc()))

    def newest_of(self, piece_ids: Collection[int], *, shared: bool = False) -> Mapping[int, PhotoRow]:
        """The newest photo of each of these pieces, by the piece's number; pieces without one are left out.

        A photo of another registration of a piece is one of that piece. With `shared` the newest of those that their
        makers share.
        """
        if not piece_ids:
            return {}
        with self._connect() as connection:
            leads = select(merged.c.piece_id, merged.c.into_id).where(merged.c.into_id.in_(piece_ids))
            into = {row.piece_id: row.into_id for row in connection.execute(leads)}
        own = photos.c.piece_id.in_([*piece_ids, *into])
        newest = select(func.max(photos.c.id)).where(own).group_by(photos.c.piece_id)
        if shared:
            newest = newest.where(photos.c.shared)
        found = self._all(_PHOTO.where(photos.c.id.in_(newest)).order_by(photos.c.id))
        return {into.get(row.piece_id, row.piece_id): row for row in found}

    def photo(self, stem: str) -> PhotoRow | None:
        """The photo of this name, or None."""
        return next(iter(self._all(_PHOTO.where(photos.c.stem == stem))), None)

    def of_maker(self, person_id: int) -> tuple[PhotoRow, ...]:
        """Every photo of a maker's pieces, and of their other registrations."""
        mine = select(pieces.c.id).where(pieces.c.maker_id == person_id)
        others = select(merged.c.piece_id).where(merged.c.into_id.in_(mine))
        return self._all(_PHOTO.where(photos.c.piece_id.in_(mine.union_all(others))).order_by(photos.c.id))

    def _all(self, wanted: Select[Any]) -> tuple[PhotoRow, ...]:
        with self._connect() as connection:
            return tuple(map(_photo_of, connection.execute(wanted)))


class AlbumPen(Written):
    """The album, from inside one request's transaction."""

    def put_in(self, piece: Piece, stem: str, prints: Prints, words: str) -> None:
        """Enter a photo whose files are laid down already."""
        self._connection.execute(
            insert(photos),
            {
                "piece_id": piece.id,
                "stem": stem,
                "width": prints.width,
                "height": prints.height,
                "bytes": len(prints.small) + len(prints.large),
                "sha256": prints.sha256,
                "stage": piece.stage,
                "words": words,
                "added_at": self._request.at,
                "by_id": self._request.by.id,
            },
        )

    def share(self, number: int, *, shared: bool) -> None:
        """Keep whether everybody may see a photo."""
        self._connection.execute(update(photos).where(photos.c.id == number).values(shared=shared))

    def take_out(self, ids: Collection[int]) -> None:
        """Strike photos out; their files go once this is done."""
        self._connection.execute(delete(photos).where(photos.c.id.in_(ids)))


def _photo_of(row: Row[Any]) -> PhotoRow:
    return PhotoRow(
        id=row.id,
        piece_id=row.piece_id,
        stem=row.stem,
        width=row.width,
        height=row.height,
        bytes=row.bytes,
        stage=Stage(row.stage),
        words=row.words,
        added_at=row.added_at,
        by=row.by_name,
        by_id=row.by_id,
        shared=row.shared,
    )
