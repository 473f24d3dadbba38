"""Photos of pieces: add one, remove one, and see one where one may; look for the maker of a nameless piece."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.pieces.nameless import Sighting
from tracker.domain.pieces.photos import Prints, Size, must_take_another
from tracker.domain.pieces.piece import Piece
from tracker.domain.refusals import FileGone, NotAllowed, Unknown, Unusable
from tracker.domain.studio.people import Person, Right
from tracker.store.pieces.photo_album import PhotoRow
from tracker.store.pieces.photo_shelf import PhotoShelf
from tracker.store.pieces.queries import PieceRow
from tracker.store.unit_of_work import Change, Store
from tracker.usecases.once import once
from tracker.usecases.pieces.lookup import find_piece, may_see, named

FILE_GONE = Message("photo-file-gone", _("The file of this photo is missing."))


def may_add(store: Store, ref: str, by: Person) -> Piece:
    """The piece, if one more photo of it would be taken from this person; asked before a photo is even opened."""
    shelf_of(store)
    by.must_be_allowed(Right.WORK_ON)
    piece = find_piece(store.read, ref, by)
    must_take_another(piece.ref, piece.stage, len(store.read.album.of(piece.id)))
    return piece


def add(store: Store, request: Request, ref: str, prints: Prints, *, words: str = "") -> Receipt:
    """Keep one more photo of a piece; the same request twice keeps one."""
    about = (ref, words, sha256(prints.large).hexdigest())
    return with_files(
        store,
        prints,
        lambda stem: store.once(request, "photo", lambda change: _add(change, ref, stem, prints, words), about),
    )


def with_files(store: Store, prints: Prints, enter: Callable[[str], Receipt]) -> Receipt:
    """Lay a photo's files down and `enter` it by its name; the files go again where another was entered, or none."""
    shelf = shelf_of(store)
    # The files come first: laying them down inside the transaction would keep every other writer waiting for the disk.
    stem = shelf.keep(prints)
    with ExitStack() as undo:
        undo.callback(_drop_unless_entered, store, shelf, stem)
        receipt = enter(stem)
        if receipt.extra["photo"] == stem:
            undo.pop_all()
    return receipt


def _drop_unless_entered(store: Store, shelf: PhotoShelf, stem: str) -> None:
    """Where the database can't be asked, nobody knows whether the photo was entered, and its files stay."""
    if store.read.album.photo(stem) is None and store.read.tiles.tile(stem) is None:
        shelf.drop([stem])


def _add(change: Change, ref: str, stem: str, prints: Prints, words: str) -> Receipt:
    by = change.request.by
    by.must_be_allowed(Right.WORK_ON)
    piece = find_piece(change.read, ref, by, hold=True)
    must_take_another(piece.ref, piece.stage, len(change.read.album.of(piece.id)))
    change.album.put_in(piece, stem, prints, words)
    says = Message("photo-kept", _("{piece}: photo saved."), piece=named(piece))
    return Receipt(message=says, ref=piece.ref, piece_id=piece.id, extra={"photo": stem})


def remove(store: Store, request: Request, stem: str) -> Receipt:
    """Remove one photo of a piece: for the piece's maker and for staff."""
    shelf = shelf_of(store)
    receipt = store.once(request, "unphoto", lambda change: _remove(change, stem), stem)
    shelf.drop([stem])
    return receipt


def _remove(change: Change, stem: str) -> Receipt:
    by = change.request.by
    by.must_be_allowed(Right.WORK_ON)
    photo, row = seen(change, stem, by)
    change.album.take_out([photo.id])
    says = Message("photo-removed", _("{piece}: photo removed."), piece=named(row.piece))
    return Receipt(message=says, ref=row.ref, piece_id=row.piece.id)


def seen(store: Store | Change, stem: str, by: Person) -> tuple[PhotoRow, PieceRow]:
    """A photo and its piece; students see those of their own pieces only.

    The piece is the one that stays where it was registered twice, for whoever may see that.
    """
    photo = store.read.album.photo(stem)
    if photo is not None:
        for number in (store.read.pieces.leads_to(photo.piece_id), photo.piece_id):
            row = store.read.pieces.row(number=number) if number is not None else None
            if row is not None and may_see(row.piece, by):
                return photo, row
    raise _no_such_photo()


@once("share")
def share(change: Change, stem: str, *, shared: bool) -> Receipt:
    """Let everybody see one photo among the examples, or no longer: for the maker of the piece alone."""
    by = change.request.by
    photo, row = seen(change, stem, by)
    if row.piece.maker_id != by.id:
        raise NotAllowed(
            Message("share-by-maker", _("Only the maker of a piece can share its photos.")),
            Message("share-by-maker-remedy", _("Ask the maker.")),
        )
    change.album.share(photo.id, shared=shared)
    yes = _("{piece}: photo shared with the examples, without your name.")
    says = Message("photo-shared", yes if shared else _("{piece}: photo no longer shared."), piece=named(row.piece))
    return Receipt(message=says, ref=row.ref, piece_id=row.piece.id)


def file_of(store: Store, stem: str, size: Size, by: Person) -> Path:
    """The file of a photo in one size, for whoever may see its piece."""
    photo, _row = seen(store, stem, by)
    return _file_of(store, photo, size)


def shared_file(store: Store, stem: str) -> Path:
    """The small file of a photo that its maker shares, for everybody."""
    photo = store.read.album.photo(stem)
    if photo is None or not photo.shared:
        raise _no_such_photo()
    return _file_of(store, photo, Size.SMALL)


def _no_such_photo() -> Unknown:
    return Unknown(
        Message("no-such-photo", _("This photo isn't there.")),
        Message("photo-removed-perhaps", _("It may have been removed. Check the piece's page.")),
    )


def _file_of(store: Store, photo: PhotoRow, size: Size) -> Path:
    path = shelf_of(store).path(photo.stem, size)
    if not path.is_file():
        raise FileGone(FILE_GONE, Message("remove-and-take-another", _("Remove it from the piece, and take another.")))
    return path


def gap_of(store: Store, stem: str) -> Message | None:
    """What is said of a photo, of a piece or a test tile, whose file is missing; None where it is there."""
    return None if store.shelf is None or store.shelf.has(stem) else FILE_GONE


def look_for(
    store: Store, sighting: Sighting, by: Person, *, at: datetime
) -> tuple[tuple[PieceRow, tuple[str, ...]], ...]:
    """Pieces that a nameless one could be, the likeliest first, each with the names of the traits it lacks."""
    by.must_be_allowed(Right.SEE_ALL)
    return store.read.pieces.lookalikes(sighting, at=at) if sighting.says_anything else ()


def shelf_of(store: Store) -> PhotoShelf:
    """Where photos lie; refused where nobody said so."""
    if store.shelf is None:
        raise Unusable(
            [Message("no-photo-folder", _("This studio has no photo folder yet."))],
            Message("set-photo-folder", _("Ask the person who runs the server to set FOOTRING_PHOTOS.")),
        )
    return store.shelf
