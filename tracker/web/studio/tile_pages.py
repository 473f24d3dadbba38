"""The pages of test tiles: add one to a glaze, look at it large, remove it; and the pictures themselves."""

from __future__ import annotations

from urllib.parse import urlencode

from flask import Blueprint, g, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.photos import MOST_BYTES, Size
from tracker.domain.refusals import Unknown, Unusable
from tracker.domain.studio.cone_bands import tile_doubt
from tracker.domain.studio.materials import Glaze
from tracker.domain.studio.people import Right
from tracker.domain.studio.tiles import Making
from tracker.forms.page_forms import read_form
from tracker.forms.pieces.photo_file import read_tile
from tracker.forms.studio.tile_forms import MakingForm
from tracker.usecases.pieces.photos import gap_of
from tracker.usecases.studio import tiles
from tracker.web.auth import allows, asking, house
from tracker.web.photo_files import photo_sent, print_of
from tracker.web.presenters import told
from tracker.web.tile_presenters import ASKED, tile_shown
from tracker.web.wording import said

pages = Blueprint("tiles", __name__)


@pages.post("/tiles")
@allows(Right.CATALOG)
def add() -> ResponseReturnValue:
    """Keep the photo of one more test tile of the glaze that the address names, or say why not."""
    name = request.args.get("glaze", "")

    def do() -> Receipt:
        glaze = tiles.may_add(house().store, name, g.person)
        new = read_form(MakingForm(), request.form)
        _must_be_the_cone(glaze, new)
        photo = read_tile(photo_sent().stream.read(MOST_BYTES + 1))
        return tiles.add(house().store, asking(), glaze.name, new, photo)

    return told(do, lambda _receipt: where_tiles_go())


def _must_be_the_cone(glaze: Glaze, new: Making) -> None:
    """Ask once about a cone at which the glaze doesn't mature; the page of the glaze then has what was sent."""
    doubt = tile_doubt(glaze, new.cone)
    if doubt is not None and request.form.get(ASKED) != str(new.cone):
        g.tile_asked = new
        remedy = _("Check the cone, choose the photo, and add the tile again.")
        raise Unusable([doubt], Message("check-the-tiles-cone", remedy))


@pages.get("/tiles/<stem>")
@allows(Right.SEE_OWN)
def look(stem: str) -> ResponseReturnValue:
    """One test tile, large, with the way to remove it for whoever keeps the catalog."""
    tile = tiles.seen(house().store, stem)
    gap = said(gap_of(house().store, stem))
    return render_template("studio/tile.html", tile=tile_shown(tile), back=tiles_of(tile.glaze), gap=gap)


@pages.get("/tiles/<stem>/<size>")
@allows(Right.SEE_OWN)
def picture(stem: str, size: str) -> ResponseReturnValue:
    """One print of a test tile as a JPEG, for everybody in the studio."""
    if size not in set(Size):
        raise Unknown(
            Message("no-such-tile", _("This test tile doesn't exist.")),
            Message("tile-small-or-large", _("Open the test tile from its glaze's page.")),
        )
    return print_of(tiles.file_of(house().store, stem, Size(size)), f"{stem}-{size}")


@pages.post("/tiles/<stem>/remove")
@allows(Right.CATALOG)
def remove(stem: str) -> ResponseReturnValue:
    """Remove a test tile from its glaze."""
    there = tiles_of(tiles.seen(house().store, stem).glaze)
    return told(lambda: tiles.remove(house().store, asking(), stem), lambda _receipt: there)


def where_tiles_go() -> str:
    """Where the form of this request for a tile was: the page of its glaze, with what its cone was asked about."""
    return tiles_of(request.args.get("glaze", ""), g.get("tile_asked"))


def tiles_of(glaze: str, asked: Making | None = None) -> str:
    """Where the test tiles of a glaze are shown; `asked` is a tile whose cone was asked about."""
    address = url_for("catalog.thing", sort="glaze", name=glaze)
    if asked is not None:
        sent = {"tile_clay": asked.clay, ASKED: str(asked.cone), "tile_air": asked.atmosphere or ""}
        address = f"{address}&{urlencode(sent)}"
    return f"{address}#tiles"
