"""Photos as the templates want them: addresses, measures, and words for whoever cannot see them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from flask import current_app, g, url_for

from tracker.domain.message import Message, _
from tracker.domain.pieces.photos import LONGEST_SIDE, MOST_OF_A_PIECE, Size
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.people import Right
from tracker.store.pieces.photo_album import PhotoRow
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.pieces.lookup import find_row
from tracker.web.auth import house
from tracker.web.presenters import Plain
from tracker.web.wording import said

_PHOTO = Message("photo", _("Photo"))


def photo_shown(photo: PhotoRow, row: PieceRow) -> Plain:
    """A photo as the macros show it: where both prints and its page are, the small one's measures, its words."""
    longest = LONGEST_SIDE[Size.SMALL]
    share = min(1.0, longest / max(photo.width, photo.height))
    day = current_app.jinja_env.filters["day"](photo.added_at)
    return {
        "stem": photo.stem,
        "small": url_for("photos.picture", stem=photo.stem, size=Size.SMALL.value),
        "large": url_for("photos.picture", stem=photo.stem, size=Size.LARGE.value),
        "href": url_for("photos.look", stem=photo.stem),
        "width": max(1, round(photo.width * share)),
        "height": max(1, round(photo.height * share)),
        "large_width": photo.width,
        "large_height": photo.height,
        "alt": said(
            Message(
                "photo-described",
                _("{caption}: {piece} by {maker}, {stage}, {day}"),
                caption=photo.words or _PHOTO,
                piece=row.piece.what,
                maker=row.maker,
                stage=photo.stage,
                day=day,
            )
        ),
        "words": photo.words,
        "when": said(Message("photo-when", "{stage}, {day}", stage=photo.stage, day=day)),
        "by": photo.by,
        "shared": photo.shared,
    }


def shared_shown(rows: Iterable[PieceRow]) -> Mapping[int, Plain]:
    """The newest shared photo of each of these pieces, by the piece's number: nothing in it says who made it."""
    by_number = {row.piece.id: row for row in rows}
    newest = house().store.read.album.newest_of(list(by_number), shared=True)
    return {number: _without_names(photo, by_number[number]) for number, photo in newest.items()}


def _without_names(photo: PhotoRow, row: PieceRow) -> Plain:
    shown = photo_shown(photo, row)
    alt = Message("example-described", _("Photo of a fired piece: {piece}"), piece=row.piece.what)
    return {
        "small": url_for("examples.picture", stem=photo.stem),
        "width": shown["width"],
        "height": shown["height"],
        "alt": said(alt),
    }


def newest_shown(rows: Iterable[PieceRow]) -> Mapping[int, Plain]:
    """The newest photo of each of these pieces, by the piece's number."""
    by_number = {row.piece.id: row for row in rows}
    newest = house().store.read.album.newest_of(list(by_number))
    return {number: photo_shown(photo, by_number[number]) for number, photo in newest.items()}


def photo_in_hand(ref: str) -> Plain | None:
    """The newest photo of the piece that was just scanned, or None."""
    if not ref:
        return None
    row = find_row(house().store.read, ref, g.person)
    return newest_shown([row]).get(row.piece.id)


def album_shown(row: PieceRow) -> Plain:
    """Everything that the page of a piece shows of its photos, and whether one more may be added there."""
    photos = house().store.read.album.of(row.piece.id)
    gone, full = row.piece.stage is Stage.CLAIMED, len(photos) >= MOST_OF_A_PIECE
    return {
        "photos": [photo_shown(photo, row) for photo in photos],
        "may_add": house().store.shelf is not None and not gone and not full and g.person.may(Right.WORK_ON),
        "is_full": full,
        "open": not photos and row.piece.maker_id == g.person.id,
    }
