"""What is known of a piece, put right after it was registered: one form, reached from the page of the piece."""

from __future__ import annotations

from collections.abc import Mapping

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import MultiDict

from tracker.domain.findings import Unsettled
from tracker.domain.firing.outlooks import STILL_TO_FIRE
from tracker.domain.message import Message, _
from tracker.domain.pieces.piece import Build, Piece, Stage, StepName, Use
from tracker.domain.quantities import grams, mm
from tracker.domain.refusals import NotAllowed, Refusal, Unknown
from tracker.domain.rules.food_prospects import Never, never_for_food, why_never
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.materials import ClayKind
from tracker.domain.studio.people import Right
from tracker.forms.page_forms import BadForm, read_form
from tracker.forms.pieces.piece_schema import ToldForm
from tracker.forms.pieces.size_doubts import SIDES, WALL, FarOut, SizeDoubt, size_question
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.pieces import editing
from tracker.usecases.pieces.actions import steps_for
from tracker.usecases.pieces.lookup import find_row
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.piece_presenters import address_of
from tracker.web.pieces.clay_choices import clays_to_pick
from tracker.web.presenters import mates_to_pick
from tracker.web.wording import in_a_field, reader, said

pages = Blueprint("known", __name__)

_UNUSABLE = 422


@pages.get("/p/<code>/known")
@allows(Right.WORK_ON)
def known(code: str) -> ResponseReturnValue:
    """Show what is known of a piece, to be put right; an address that names facts fills them in."""
    row = find_row(house().store.read, code, g.person)
    return _page(row, {**known_of(row.piece), **request.args.to_dict()})


@pages.post("/p/<code>/known")
@allows(Right.WORK_ON)
def set_right(code: str) -> ResponseReturnValue:
    """Change the details of a piece, or say why not and change nothing."""
    row = find_row(house().store.read, code, g.person)
    doubt = size_question(_resized(row.piece), reader().units, _sides_of(row.piece))
    answer = request.form.get("meant", "")
    if doubt and answer not in {one for one, *_said in doubt.answers}:
        return _page(row, request.form.to_dict(), doubt=doubt), _UNUSABLE
    try:
        changed = _changed(row.piece)
        for side, text in doubt.settled(request.form, answer).items() if doubt else ():
            changed[side] = text
        sent = read_form(ToldForm(), changed, reader().units)
        receipt = editing.set_right(
            house().store,
            asking(),
            row.ref,
            sent.told,
            clay=sent.clay,
            belongs_with=sent.belongs_with,
            seen=sent.seen,
        )
    except (NotAllowed, Unknown):
        raise
    except Refusal as refusal:
        now = find_row(house().store.read, row.ref, g.person)
        return _page(now, request.form.to_dict(), refusal), status_of(refusal)
    flash(said(receipt.message), "good")
    return redirect(address_of(receipt.ref), 303)


def known_of(piece: Piece) -> dict[str, str]:
    """What the form shows of a piece: each fact as somebody would type or tick it, and nothing of what is unknown."""
    ticked = {name: "yes" for name in ("fragile", "burnished", "mended", "nests") if getattr(piece, name)}
    form = {True: "open", False: "sealed", None: ""}[piece.vented]
    return {
        **_measures_of(piece),
        **ticked,
        "what": piece.what,
        "clay": piece.clay.name,
        "build": str(piece.build or ""),
        "use": str(piece.use or ""),
        "form": form,
        "foot": str(piece.foot or ""),
        "catch_plate": "yes" if piece.catch_plate else "no",
        "set": piece.set_name or "",
    }


def to_decorative(piece: Piece, catalog: Catalog) -> dict[str, str]:
    """The form that makes a piece decorative which no firing makes fit for food; empty where one may."""
    is_never = piece.stage in STILL_TO_FIRE and never_for_food(catalog, piece) is not None
    return {**known_of(piece), "use": str(Use.DECORATIVE), "seen": str(piece.version)} if is_never else {}


def about_clay(row: PieceRow, catalog: Catalog) -> dict[str, object]:
    """The link that finds out what isn't known of a piece's clay, where it leads and what it `says`; else empty.

    The instructor enters an absorption that no record has; everybody else asks.
    """
    clay, page = row.piece.clay, address_of(row.ref)
    if clay.kind is ClayKind.UNKNOWN:
        says = Message("ask-which-clay", _("Ask which clay it is"))
        return {"href": f"{page}?about=clay#text", "says": says}
    if why_never(catalog, row.piece) is not Never.UNMEASURED:
        return {}
    if g.person.may(Right.CATALOG):
        return {"href": clay_form(clay.name), "says": Message("enter-absorption", _("Enter the absorption"))}
    says = Message("ask-absorption", _("Ask the instructor"))
    return {"href": f"{page}?about=absorption#text", "says": says}


def clay_form(name: str) -> str:
    """Where the absorption of a clay is entered."""
    return url_for("catalog.thing", sort="clay", name=name, _anchor="absorption_pct")


def _page(
    row: PieceRow, typed: Mapping[str, str], refusal: Refusal | None = None, *, doubt: SizeDoubt | FarOut | None = None
) -> str:
    piece, catalog = row.piece, house().store.read.catalog()
    return render_template(
        "pieces/details.html",
        clear=catalog.practice.foot_clear_mm,
        may_name=piece.stage is Stage.GREENWARE or g.person.may(Right.EDIT),
        clays=_clays(piece, catalog),
        builds=[(build, build) for build in Build],
        ask=address_of(row.ref) + "?about=clay#text",
        waits=g.person.may(Right.EDIT) and (piece.route is not None or row.firing_id is not None),
        row=row,
        piece=piece,
        here=url_for("known.set_right", code=row.ref),
        back=address_of(row.ref),
        can=StepName.SET_RIGHT in steps_for(piece, g.person, in_kiln=row.firing_id is not None),
        is_glazed=piece.stage in {Stage.GLAZED, Stage.QUEUED},
        mates=mates_to_pick(piece.maker_id, but=piece.id),
        typed=typed,
        doubt=doubt,
        refusal=None if isinstance(refusal, BadForm) else refusal,
        findings=refusal.findings if isinstance(refusal, Unsettled) else (),
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
    )


def _clays(piece: Piece, catalog: Catalog) -> list[tuple[str, str | list[tuple[str, str]]]]:
    """The clays it may be made of: its own first, also where the studio uses it no longer."""
    own = [(piece.clay.name, piece.clay.name)] if piece.clay.retired else []
    return [*own, *clays_to_pick(catalog, [piece.clay.name])]


def _measures_of(piece: Piece) -> dict[str, str]:
    """Each measure as it is known, in the units of whoever looks."""
    lengths = {name: getattr(piece, f"{name}_mm") for name in ("height", "width", "depth", "wall")}
    told = {name: in_a_field(mm(length)) for name, length in lengths.items() if length is not None}
    return told if piece.weight_g is None else {**told, "weight": in_a_field(grams(piece.weight_g))}


def _sides_of(piece: Piece) -> dict[str, int]:
    """How long each side is known to be, in mm."""
    sides = {side: getattr(piece, f"{side}_mm") for side in SIDES}
    return {side: length for side, length in sides.items() if length is not None}


def _resized(piece: Piece) -> dict[str, str]:
    """The sides and the wall that were typed; a side is expected to be about as long as it was known to be."""
    return {side: text for side, text in _changed(piece).items() if side in {*SIDES, WALL}}


def _changed(piece: Piece) -> MultiDict[str, str]:
    """What was sent, without the measures that were left as they were shown: a page says less of them than is known."""
    shown_before = _measures_of(piece)
    sent = [(name, text) for name, text in request.form.items(multi=True) if text.strip() != shown_before.get(name)]
    return MultiDict(sent)
