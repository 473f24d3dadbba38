"""What the outdoor fire did: examples of each glaze by its treatment, and what broke by clay, build, size and glaze."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from flask import Blueprint, g, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.outdoor.breakage import By, Harm, losses
from tracker.domain.outdoor.results import Air, Smoke
from tracker.domain.pieces.layers_then import layers_worn
from tracker.domain.pieces.piece import Piece
from tracker.domain.studio.people import Right
from tracker.store.outdoor.queries import FireRow
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.pieces import photos
from tracker.web.auth import SIGNED_IN, allows, house
from tracker.web.lists import Order, listed
from tracker.web.outdoor.presenters import outcome_shown
from tracker.web.photo_files import print_of
from tracker.web.pieces.photo_presenters import shared_shown
from tracker.web.presenters import catalog, glazes_of

pages = Blueprint("examples", __name__)

_GROUPS = (
    (Message("by-build-and-kind", _("By build and kind of clay")), (By.BUILD, By.KIND)),
    (Message("by-clay", _("By clay")), (By.CLAY,)),
    (Message("by-size", _("By size")), (By.SIZE,)),
    (Message("by-glaze", _("By glaze")), (By.GLAZE,)),
)
_MOST_GROUPS = 12
_ON_A_PAGE = 6
_NEWEST: dict[str, Order[FireRow]] = {
    "newest": Order(Message("newest-first", _("newest")), lambda one: one.firing_id, falling=True)
}


@pages.get("/outdoor/examples")
@allows(SIGNED_IN)
def examples() -> ResponseReturnValue:
    """The studio's own board of examples, with pictures; ?glaze=, ?air= and ?smoke= look for some of them."""
    known, read = catalog(), house().store.read
    glaze = request.args.get("glaze", "")
    air, smoke = request.args.get("air", ""), request.args.get("smoke", "")
    found = read.outdoors.examples(
        glaze=glaze if glaze in known.glazes else "",
        air=Air(air) if air in set(Air) else None,
        smoke=Smoke(smoke) if smoke in set(Smoke) else None,
    )
    rows = {row.piece.id: row for row in read.pieces.by_ids([one.piece_id for one in found])} if found else {}

    def then(one: FireRow) -> Piece:
        piece = rows[one.piece_id].piece
        return replace(piece, layers=layers_worn(piece.layers, one.worn))

    page = listed(found, told=lambda one: _told(one, then(one)), orders=_NEWEST, on_a_page=_ON_A_PAGE)
    pictures = shared_shown([rows[one.piece_id] for one in page.rows])
    unshared = _own_unshared(rows[one.piece_id] for one in page.rows if one.piece_id not in pictures)
    return render_template(
        "outdoor/examples.html",
        shown=[
            {
                "glaze": glazes_of(then(one)),
                "clay": rows[one.piece_id].piece.clay.name,
                "what": rows[one.piece_id].piece.what,
                "build": rows[one.piece_id].piece.build,
                "photo": pictures.get(one.piece_id),
                "own": unshared.get(one.piece_id),
                "mark": one.mark,
                "came": "" if one.outcome.is_good else outcome_shown(one.outcome),
                "when": one.unloaded_at,
            }
            for one in page.rows
        ],
        page=page,
        glazes=[name for name, one in sorted(known.glazes.items()) if one.is_outdoor_only and not one.retired],
        picked={"glaze": glaze, "air": air, "smoke": smoke},
        airs=list(Air),
        smokes=list(Smoke),
    )


def _told(one: FireRow, piece: Piece) -> str:
    """What an example is searched by: its glazes, its color, its clay and what it is."""
    return " ".join((*piece.worn_names, one.mark.color, piece.clay.name, piece.what))


def _own_unshared(rows: Iterable[PieceRow]) -> Mapping[int, str]:
    """Where the reader shares the newest photo of each of these pieces that is their own, by the piece's number."""
    own = [row.piece.id for row in rows if row.piece.maker_id == g.person.id]
    newest = house().store.read.album.newest_of(own)
    return {number: url_for("photos.look", stem=photo.stem) for number, photo in newest.items()}


@pages.get("/outdoor/examples/<stem>")
@allows(SIGNED_IN)
def picture(stem: str) -> ResponseReturnValue:
    """A photo that its maker shares, small, for whoever is signed in; asked for anew each time, for it may end."""
    return print_of(photos.shared_file(house().store, stem), f"{stem}-shared", for_good=False)


@pages.get("/outdoor/losses")
@allows(Right.MOVE)
def broken() -> ResponseReturnValue:
    """What broke or cracked outdoors, by what it was, each share with how sure one can be of it."""
    fired = house().store.read.outdoors.fired()
    return render_template(
        "outdoor/losses.html",
        many=len(fired),
        groups=[(title, losses(fired, by, Harm.BROKE_OR_CRACKED)[:_MOST_GROUPS]) for title, by in _GROUPS],
    )
