"""Whose is this? A piece without a name is found by what one can see of it."""

from __future__ import annotations

from flask import Blueprint, g, render_template, request
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.pieces.nameless import BARE, MOST_SHOWN, TOLERANCE_PCT, Sighting
from tracker.domain.pieces.piece import Build
from tracker.domain.studio.materials import ClayKind
from tracker.domain.studio.people import Right
from tracker.forms.page_forms import BadForm, read_form
from tracker.forms.pieces.photo_forms import IN_STUDIO, SightingForm
from tracker.usecases.pieces import photos
from tracker.web.auth import allows, house
from tracker.web.piece_presenters import address_of, size_in_words
from tracker.web.pieces.photo_presenters import newest_shown
from tracker.web.presenters import Plain, catalog, glazes_of
from tracker.web.wording import reader, said, shown

pages = Blueprint("whose", __name__)

_UNUSABLE = 422
_KINDS = {
    ClayKind.EARTHENWARE: Message("any-earthenware", _("any earthenware")),
    ClayKind.STONEWARE: Message("any-stoneware", _("any stoneware")),
    ClayKind.PORCELAIN: Message("any-porcelain", _("any porcelain")),
    ClayKind.GROGGED: Message("any-grogged", _("any grogged clay")),
    ClayKind.UNKNOWN: Message("unidentified-clay", _("unidentified clay")),
}

_BY_KIND, _BY_NAME = Message("clays-by-kind", _("By kind")), Message("clays-by-name", _("By name"))


@pages.get("/whose")
@allows(Right.SEE_ALL)
def whose() -> ResponseReturnValue:
    """Ask what can be seen of a nameless piece; once something is told, show what it could be, side by side."""
    problems, sighting = {}, Sighting()
    try:
        sighting = read_form(SightingForm(), request.args, reader().units)
    except BadForm as bad:
        problems = bad.fields
    found = _found(sighting)
    page = render_template(
        "pieces/nameless.html",
        typed=request.args,
        problems=problems,
        clays=_clays(),
        glazes=_glazes(),
        stages=[(stage, stage) for stage in IN_STUDIO],
        builds=[(build, build) for build in Build],
        tolerance=TOLERANCE_PCT,
        most=MOST_SHOWN,
        asked=sighting.says_anything,
        may_miss=sighting.may_miss,
        alike=[one for one in found if not one["lacks"]],
        nearly=[one for one in found if one["lacks"]],
    )
    return (page, _UNUSABLE) if problems else page


def _found(sighting: Sighting) -> list[Plain]:
    rows = photos.look_for(house().store, sighting, g.person, at=house().clock())
    pictures = newest_shown(row for row, _ in rows)
    return [
        {
            "ref": row.ref,
            "href": address_of(row.ref),
            "what": row.piece.what,
            "maker": row.maker_name,
            "section": row.section,
            "size": size_in_words(row.piece),
            "clay": f"{row.piece.clay.name}, {shown(row.piece.clay.kind)}",
            "glaze": glazes_of(row.piece),
            "stage": row.piece.stage,
            "build": row.piece.build,
            "place": row.piece.shelf,
            "since": row.since,
            "photo": pictures.get(row.piece.id),
            "lacks": lacks,
        }
        for row, lacks in rows
    ]


def _clays() -> list[tuple[str, list[tuple[str, str]]]]:
    kinds = [(str(kind), said(words)) for kind, words in _KINDS.items()]
    names = [(name, name) for name in sorted(catalog().clays)]
    return [(said(_BY_KIND), kinds), (said(_BY_NAME), names)]


def _glazes() -> list[tuple[str, str]]:
    shelf = sorted(catalog().glazes.values(), key=lambda glaze: glaze.name)
    return [(BARE, said(Message("bare", _("no glaze"))))] + [
        (one.name, f"{one.name}, {one.color}" if one.color else one.name) for one in shelf if not one.burns_away
    ]
