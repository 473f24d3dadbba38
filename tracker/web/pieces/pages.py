"""The pages of pieces: one's own, a new one, one piece with all that may be done with it, and its glazing."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from flask import Blueprint, flash, g, redirect, render_template, request, url_for

from tracker.domain.findings import Unfit
from tracker.domain.labels.studio_bars import Sort, read_bar
from tracker.domain.message import Message, _
from tracker.domain.pieces.piece import Foot, StepName
from tracker.domain.refusals import NotAllowed, NotAStep, Refusal, Unknown
from tracker.domain.rules.suggestions import Change, suggestions
from tracker.domain.studio.materials import GLASS, Layer, Trait, Zone
from tracker.domain.studio.people import Right
from tracker.forms.fields import LONGEST_LINE
from tracker.forms.page_forms import (
    BadForm,
    CorrectionForm,
    MoveForm,
    NewLayerForm,
    NewQuestionForm,
    ReasonForm,
    read_form,
)
from tracker.usecases.pieces import glaze_shelf as shelf
from tracker.usecases.pieces import pieces
from tracker.usecases.pieces.actions import (
    CAN_BE_GLAZED,
    steps_for,
)
from tracker.usecases.pieces.lookup import find_row
from tracker.usecases.rules import questions
from tracker.web import piece_presenters as telling
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.pieces.moves import take
from tracker.web.pieces.own_pieces import finished_pieces, own_pieces
from tracker.web.pieces.piece_page import coats_shown, piece_page
from tracker.web.wording import said

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from tracker.domain.pieces.history import Receipt
    from tracker.domain.pieces.piece import Piece
    from tracker.forms.page_forms import NewLayer
    from tracker.store.pieces.queries import PieceRow
    from tracker.store.rules.queries import QuestionRow

pages = Blueprint("pieces", __name__)

_SEE_OTHER = 303
_UNUSABLE = 422
_MOST_SUGGESTED = 3


# ---- my pieces and a new one -----------------------------------------------------------------------------------


@pages.get("/pieces")
@allows(Right.REGISTER)
def mine() -> ResponseReturnValue:
    """One's own pieces: what to do with each or when its firing is; with ?finished= what was taken home or lost."""
    return finished_pieces() if "finished" in request.args else own_pieces()


# ---- one piece -------------------------------------------------------------------------------------------------


@pages.get("/p/<code>")
@allows(Right.SEE_OWN)
def piece(code: str) -> ResponseReturnValue:
    """The page of the piece with this code, however it was written."""
    row = find_row(house().store.read, code, g.person)
    return piece_page(row) if row.ref == code else redirect(telling.address_of(row.ref))


@pages.get("/slip/<int:number>")
@allows(Right.SEE_OWN)
def slip(number: int) -> ResponseReturnValue:
    """The page of the piece with this ticket number; once it has a code it is known by that."""
    row = find_row(house().store.read, f"W{number}", g.person)
    return piece_page(row) if row.piece.code is None else redirect(telling.address_of(row.ref))


@pages.post("/p/<code>/step")
@allows(Right.SEE_OWN)
def step(code: str) -> ResponseReturnValue:
    """Take a step with a piece from its page; what stands against it is said on that page as it is now."""
    row = find_row(house().store.read, code, g.person)
    try:
        receipt = _take_step(row.ref)
    except (NotAllowed, Unknown):
        raise
    except Refusal as refusal:
        return piece_page(find_row(house().store.read, row.ref, g.person), refusal), status_of(refusal)
    flash(said(receipt.message), "good")
    if "glazing" not in request.form:
        return redirect(telling.address_of(receipt.ref), _SEE_OTHER)
    then = request.form["glazing"][:LONGEST_LINE] or None
    return redirect(url_for("pieces.glazing", code=receipt.ref, glaze=then), _SEE_OTHER)


@pages.post("/p/<code>/ask")
@allows(Right.ASK)
def ask(code: str) -> ResponseReturnValue:
    """Put a question on a piece for the instructor."""
    row = find_row(house().store.read, code, g.person)
    try:
        sent = read_form(NewQuestionForm(), request.form)
        receipt = questions.ask(house().store, asking(), row.ref, sent.text, route=sent.route, seen=sent.seen)
    except (NotAllowed, Unknown):
        raise
    except Refusal as refusal:
        return piece_page(row, refusal), status_of(refusal)
    flash(said(receipt.message), "good")
    return redirect(telling.address_of(row.ref), _SEE_OTHER)


def _take_step(ref: str) -> Receipt:
    """Read which step the page asks for, and take it."""
    store, asked, name = house().store, asking(), request.form.get("step", "")
    if name == StepName.CORRECT:
        to = read_form(CorrectionForm(), request.form)
        return pieces.correct(store, asked, ref, to.to, to.reason, seen=to.seen)
    if name == StepName.FIRE_AGAIN:
        because = read_form(ReasonForm(), request.form)
        return pieces.fire_again(store, asked, ref, because.reason, seen=because.seen)
    return take(read_form(MoveForm(), request.form), ref)


# ---- glazing ---------------------------------------------------------------------------------------------------


@pages.get("/p/<code>/glaze")
@allows(Right.WORK_ON)
def glazing(code: str) -> ResponseReturnValue:
    """Every glaze on the shelf with its verdict for this piece, and what the piece wears already.

    A bucket's bar, or a glaze's name that was typed, takes that glaze.
    """
    row = find_row(house().store.read, code, g.person)
    if (scanned := request.args.get("bucket", "").strip()) == "":
        return _glazing_page(row)
    try:
        glaze = house().store.read.catalog().glaze(_glaze_named(scanned[:400]))
        if glaze.retired:
            raise NotAStep(
                Message("glaze-retired", _("{glaze} is no longer on the shelf."), glaze=glaze.name),
                Message("scan-a-glaze", _("Scan a glaze that is.")),
            )
    except Refusal as refusal:
        return _glazing_page(row, refusal), status_of(refusal)
    zone = request.args.get("zone") or None
    return redirect(url_for("pieces.glazing", code=row.ref, taken=glaze.name, zone=zone, _anchor="taken"), _SEE_OTHER)


def _glaze_named(scanned: str) -> str:
    """The name of the glaze that a bucket's bar says, or the text as it is; another label's bar is refused."""
    labelled = read_bar(scanned)
    if labelled is None:
        return scanned
    if labelled.sort is not Sort.BUCKET:
        raise Unknown(
            Message("not-a-bucket", _("That is no glaze bucket's bar.")),
            Message("scan-the-bucket", _("Scan the bar on the bucket, or take the glaze from the list.")),
        )
    return labelled.name


@pages.post("/p/<code>/glaze")
@allows(Right.WORK_ON)
def put_on(code: str) -> ResponseReturnValue:
    """Put one more layer on a piece, or say every reason why not."""
    row = find_row(house().store.read, code, g.person)
    try:
        coat = read_form(NewLayerForm(), request.form)
        _must_say_all(row.piece, coat)
        receipt = pieces.glaze(
            house().store,
            asking(),
            row.ref,
            coat.glaze,
            coat.zone,
            foot=coat.foot,
            catch_plate=coat.catch_plate,
            seen=coat.seen,
        )
    except NotAllowed:
        raise
    except Refusal as refusal:
        now = find_row(house().store.read, row.ref, g.person)
        return _glazing_page(now, refusal), status_of(refusal)
    flash(said(receipt.message), "good")
    return redirect(url_for("pieces.glazing", code=receipt.ref), _SEE_OTHER)


def _must_say_all(piece: Piece, coat: NewLayer) -> None:
    """Refuse a coat while nobody has said what is done about the foot, nor what catches a glaze that runs."""
    missing: dict[str, Message] = {}
    glazes = house().store.read.catalog().glazes
    if coat.glaze in glazes and glazes[coat.glaze].coat not in GLASS:
        return
    if piece.foot is None and coat.foot is None:
        missing["foot"] = Message("no-foot", _("Say what was done about the foot."))
    worn = [*(layer.glaze for layer in piece.layers), *([glazes[coat.glaze]] if coat.glaze in glazes else [])]
    runny = [glaze.name for glaze in worn if Trait.RUNNY in glaze.traits]
    if runny and not piece.catch_plate and coat.catch_plate is None:
        words = _("{glaze} runs: say whether the piece will stand on a catch plate.")
        missing["catch_plate"] = Message("no-catch-plate", words, glaze=runny[0])
    if missing:
        raise BadForm(missing)


def _glazing_page(row: PieceRow, refusal: Refusal | None = None) -> str:
    reader = house().store.read
    sent = {**request.args.to_dict(), **request.form.to_dict()}
    zone = Zone(sent["zone"]) if sent.get("zone") in set(Zone) else shelf.most_careful_zone(row.piece)
    foot = Foot(sent["foot"]) if sent.get("foot") in set(Foot) else row.piece.foot
    candidates = shelf.candidates_for(replace(row.piece, foot=foot), reader.catalog(), zone)
    asked: dict[str, list[QuestionRow]] = {}
    for one in reader.questions.pinned(glazes_named=[candidate.name for candidate in candidates]):
        asked.setdefault(one.pinned_glaze or "", []).append(one)
    shown = request.args.get("show", "")
    wanted = [one for one in candidates if one.verdict == shown] or candidates
    return render_template(
        "pieces/glazing.html",
        clear=house().store.read.catalog().practice.foot_clear_mm,
        row=row,
        piece=row.piece,
        back=telling.address_of(row.ref),
        coats=coats_shown(row.piece),
        families=shelf.by_family(wanted),
        counts={word: sum(one.verdict == word for one in candidates) for word in ("clear", "warn", "ask", "refuse")},
        total=len(candidates),
        shown=shown if wanted is not candidates else "",
        can_glaze=row.piece.stage in CAN_BE_GLAZED and any(one.goes_on_now for one in candidates),
        can_wash=StepName.WASH_OFF in steps_for(row.piece, g.person, in_kiln=row.firing_id is not None),
        asked=asked,
        would_open=_instead(row.piece, refusal),
        picked=sent.get("glaze", "") or sent.get("taken", ""),
        taken=next((one for one in candidates if one.name == request.args.get("taken")), None),
        zone=zone,
        foot=foot,
        refusal=None if isinstance(refusal, BadForm) else refusal,
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
        typed=sent,
    )


def _instead(piece: Piece, refusal: Refusal | None) -> tuple[telling.Opening, ...]:
    """What little work would let the glaze on that was just refused; it is said on the very form."""
    if not isinstance(refusal, Unfit):
        return ()
    catalog, coat = house().store.read.catalog(), read_form(NewLayerForm(), request.form)
    ware = replace(piece.wearing(Layer(catalog.glaze(coat.glaze), coat.zone)), foot=coat.foot or piece.foot)
    found = (
        one for route in catalog.glazed_routes if ware.may_come_to(route) for one in suggestions(ware, route, catalog)
    )
    prepared = [one for one in found if one.change is Change.PREPARE][:_MOST_SUGGESTED]
    return tuple(
        telling.Opening(one.message, "#foot" if one.ware.foot is not ware.foot else "#catch_plate") for one in prepared
    )
