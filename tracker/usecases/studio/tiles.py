"""Photos of test tiles: add one to a glaze, remove one, and hand out its file."""

from __future__ import annotations

from dataclasses import replace
from hashlib import sha256
from pathlib import Path

from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.pieces.photos import Prints, Size
from tracker.domain.refusals import FileGone, Unknown
from tracker.domain.studio.materials import Glaze
from tracker.domain.studio.people import Person, Right
from tracker.domain.studio.swatches import Color
from tracker.domain.studio.tiles import Making, Tile, must_take_another_tile
from tracker.store.unit_of_work import Change, Store
from tracker.usecases.pieces.photos import FILE_GONE, shelf_of, with_files


def may_add(store: Store | Change, glaze: str, by: Person) -> Glaze:
    """The glaze, if one more tile of it would be taken from this person; asked before a photo is even opened."""
    by.must_be_allowed(Right.CATALOG)
    one = store.read.catalog().glaze(glaze)
    must_take_another_tile(one, store.read.tiles.count_of_glaze(one.name))
    return one


def add(
    store: Store,
    request: Request,
    glaze: str,
    making: Making,
    photo: tuple[Prints, Color],
) -> Receipt:
    """Keep the photo of one more test tile of a glaze; the same request twice keeps one.

    `photo` is its square prints and the color in its middle, as `read_tile` gives them.
    """
    prints, swatch = photo

    def put_in(change: Change, stem: str) -> Receipt:
        one = may_add(change, glaze, change.request.by)
        named = replace(making, clay=change.catalog.clay(making.clay).name)
        change.tiles.put_in(one.name, named, stem, prints, swatch)
        says = Message("tile-kept", _("{glaze}: test tile added."), glaze=one.name)
        return Receipt(message=says, extra={"photo": stem})

    about = (glaze, making.clay, str(making.cone), str(making.atmosphere), sha256(prints.large).hexdigest())
    return with_files(
        store, prints, lambda stem: store.once(request, "tile", lambda change: put_in(change, stem), about)
    )


def remove(store: Store, request: Request, stem: str) -> Receipt:
    """Remove a test tile from its glaze."""

    def take_out(change: Change) -> Receipt:
        change.request.by.must_be_allowed(Right.CATALOG)
        tile = seen(change, stem)
        change.tiles.take_out(tile.id)
        return Receipt(message=Message("tile-removed", _("{glaze}: test tile removed."), glaze=tile.glaze))

    receipt = store.once(request, "untile", take_out, stem)
    shelf_of(store).drop([stem])
    return receipt


def seen(store: Store | Change, stem: str) -> Tile:
    """The test tile of this name; everybody in the studio may see it."""
    tile = store.read.tiles.tile(stem)
    if tile is None:
        raise Unknown(
            Message("no-such-tile", _("There's no such test tile.")),
            Message("tile-removed-perhaps", _("It may have been removed. Look at its glaze.")),
        )
    return tile


def file_of(store: Store, stem: str, size: Size) -> Path:
    """The file of a test tile in one size."""
    path = shelf_of(store).path(seen(store, stem).stem, size)
    if not path.is_file():
        raise FileGone(FILE_GONE, Message("remove-tile-and-add", _("Remove the tile, then add it again.")))
    return path
