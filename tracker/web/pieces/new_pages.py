"""A new piece in one screen, what its sizes are doubted for, and the tickets at the end of registering."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any
from uuid import uuid5

from flask import flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import MultiDict

from tracker.domain.findings import Level
from tracker.domain.message import Message, _, together
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.new_pieces import Batch, NewPiece, may_be_its_lid
from tracker.domain.pieces.photos import MOST_BYTES, Prints
from tracker.domain.pieces.piece import Build, Piece, Stage, Use
from tracker.domain.pieces.usual_forms import USUAL_FORMS, Form
from tracker.domain.quantities import mm
from tracker.domain.refusals import NotAStep, Refusal, Unknown, Unusable
from tracker.domain.rules.food_prospects import Never, clays_never_for_food, never_for_food
from tracker.domain.rules.untold import untold
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.materials import ClayKind
from tracker.domain.studio.people import Right
from tracker.forms.lengths import read_length
from tracker.forms.page_forms import BadForm, read_form
from tracker.forms.pieces.batch_form import BatchForm
from tracker.forms.pieces.photo_file import read_photo
from tracker.forms.pieces.size_doubts import SIDES, FarOut, SizeDoubt, size_question
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.pieces import photos
from tracker.usecases.pieces.lookup import find_row
from tracker.usecases.pieces.pieces import prospects
from tracker.usecases.pieces.registering import make_decorative, register_all
from tracker.usecases.pieces.ways import ways_for
from tracker.usecases.pieces.wishes import greenware_place
from tracker.usecases.studio import membership
from tracker.usecases.studio.badges import maker_on
from tracker.usecases.studio.people import person_called
from tracker.web import piece_presenters as telling
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.labels.printer import printed_on
from tracker.web.pieces.clay_choices import clays_to_pick
from tracker.web.pieces.details_pages import about_clay, clay_form
from tracker.web.pieces.pages import pages
from tracker.web.plain_input import whole
from tracker.web.presenters import mates_to_pick, told
from tracker.web.wording import in_a_field, reader, said

__all__ = ["pages"]

_SEE_OTHER = 303
_UNUSABLE = 422


@pages.get("/pieces/new")
@allows(Right.REGISTER)
def new() -> ResponseReturnValue:
    """Ask for a new piece; what the last one was of and for stands there, or all of the piece that `like` names.

    Staff come here from a maker's page, too: `maker` is whose piece it is, by number.
    """
    if g.person.may(Right.MOVE) and (number := whole(request.args, "maker", 0)):
        return _page(_made_by(number) | {"maker": membership.person_known(house().store.read, number).called})
    if ref := request.args.get("like", "").strip()[:24]:
        return _page(_like(find_row(house().store.read, ref, g.person).piece))
    return _page(_remembered())


@pages.post("/pieces/new")
@allows(Right.REGISTER)
def register() -> ResponseReturnValue:
    """Enter what was sent; ask about sizes that make no sense, fill in usual ones, or say where it could be fired."""
    sent, doubt, is_answer = _answered(request.form.to_dict())
    problems, batch, prints = _read(sent)
    if is_answer and sent.pop(_PHOTO_LOST, "") and not _photo_again():
        # The answer alone is kept: what is sent next is registered, with the photo or without.
        words = _("Choose the photo again, or register without it.")
        return _page(sent, problems={"photo": Message("photo-still-missing", words)} | problems, doubt=doubt), _UNUSABLE
    # What a side is taken for is asked first; it may be no length at all as it stands.
    problems = {field: said_of for field, said_of in problems.items() if doubt is None or field not in doubt.sides}
    filled = _with_usual_sizes(sent, problems)
    if doubt or problems or filled or batch is None:
        lost = _photo_again() | problems
        return _page(filled or sent, problems=lost, doubt=doubt, is_filled=filled is not None), _UNUSABLE
    if request.form.get("do") == "look":
        return _page(sent, problems=_photo_again(), wanted=batch.one)
    try:
        receipt = register_all(house().store, asking(), batch)
    except (NotAStep, Unknown, Unusable) as refusal:
        if not batch.one.belongs_with:
            raise
        return _page(sent, problems=_photo_again() | {"belongs_with": _in_full(refusal)}), status_of(refusal)
    _keep_photo(receipt, prints)
    return redirect(url_for("pieces.registered", piece=list(receipt.refs)), _SEE_OTHER)


@pages.get("/pieces/registered")
@allows(Right.REGISTER)
def registered() -> ResponseReturnValue:
    """What was just registered: each number to write down, and the tickets for all of them."""
    rows = [find_row(house().store.read, ref, g.person) for ref in request.args.getlist("piece")[:120]]
    if not rows:
        return redirect(url_for("pieces.mine"))
    catalog = house().store.read.catalog()
    is_sealed = rows[0].piece.stage is Stage.GREENWARE and rows[0].piece.vented is False
    shown_rows = [{"ref": row.ref, "what": row.piece.what, "href": telling.address_of(row.ref)} for row in rows]
    return render_template(
        "pieces/registered.html",
        rows=shown_rows,
        firings=() if is_sealed else _open_to(rows[0].piece, catalog),
        careful=() if is_sealed else _open_to(rows[0].piece, catalog, with_care=True),
        is_sealed=is_sealed,
        maker=rows[0].maker_name if rows[0].piece.maker_id != g.person.id else "",
        never=never_for_food(catalog, rows[0].piece),
        for_food=[row.ref for row in rows if row.piece.use is Use.FOOD],
        about_clay=about_clay(rows[0], catalog),
        has_codes=rows[0].piece.code is not None,
        place=greenware_place(catalog) if rows[0].piece.stage is Stage.GREENWARE else "",
        printed_on=printed_on("tags"),
    )


@pages.post("/pieces/registered/decorative")
@allows(Right.REGISTER)
def decorative() -> ResponseReturnValue:
    """Note that pieces just registered are decorative, since no firing makes their clay fit for food."""
    refs = tuple(request.form.getlist("piece")[:120])
    if not refs:
        return redirect(url_for("pieces.mine"), _SEE_OTHER)
    there = url_for("pieces.registered", piece=request.form.getlist("shown")[:120] or list(refs))
    return told(lambda: make_decorative(house().store, asking(), refs), lambda _receipt: there)


def _open_to(piece: Piece, catalog: Catalog, *, with_care: bool = False) -> tuple[str, ...]:
    """The names of the firings that are clear before any glaze, or of those that need care, from cool to hot.

    What a firing still needs to know of the piece is a reason for care, too.
    """
    after = ((route, verdict) for route, verdict in prospects(catalog, piece) if verdict.level < Level.ASK)
    return tuple(
        route.title
        for route, verdict in after
        if (verdict.level is Level.WARN or untold(piece, route, catalog.practice, is_thin=True) != ()) is with_care
    )


# ---- what was sent -----------------------------------------------------------------------------------------------

_SURE_OF, _PHOTO_LOST = "sure_of", "photo_lost"
"""The fields that keep what was confirmed of the sizes, by its keys, and that a photo was sent with the question."""


def _answered(sent: dict[str, str]) -> tuple[dict[str, str], SizeDoubt | FarOut | None, bool]:
    """The form with the answer about its sizes in it, what is to be asked next, and whether there was an answer."""
    sure_of, answer = [one for one in sent.get(_SURE_OF, "").split("|") if one], sent.pop("meant", "")

    def question() -> SizeDoubt | FarOut | None:
        return size_question(sent, reader().units, _usual_mm(sent), _usual_lid_mm(sent), sure_of)

    doubt = question()
    if doubt is None or answer not in {one for one, *_said in doubt.answers}:
        return sent, doubt, False
    sent |= doubt.settled(sent, answer)
    sure_of += [doubt.key] if doubt.key else []
    # A unit that was picked isn't asked about once more.
    if not doubt.key and (again := question()) is not None and set(again.sides) <= set(doubt.sides):
        sure_of.append(again.key)
    sent[_SURE_OF] = "|".join(sure_of)
    return sent, question(), True


def _read(sent: Mapping[str, str]) -> tuple[dict[str, Message], Batch | None, Prints | None]:
    """What is wrong with each field, and where nothing is the pieces and their photo."""
    problems: dict[str, Message] = {}
    batch, prints = None, None
    try:
        batch = read_form(BatchForm(), MultiDict(sent), reader().units)
        batch = _with_lid_named(replace(batch, one=_for_its_maker(batch.one)))
    except BadForm as bad:
        problems |= bad.fields
    if batch is not None and batch.one.clay not in house().store.read.catalog().clays:
        problems["clay"] = Message("no-such-clay", _("Choose one of the clays in the list."))
    try:
        prints = _photo_sent()
    except Refusal as refusal:
        problems["photo"] = _in_full(refusal)
    return problems, batch, prints


def _for_its_maker(one: NewPiece) -> NewPiece:
    if not (maker := request.form.get("maker", "").strip()):
        return one
    g.person.must_be_allowed(Right.MOVE)
    try:
        return replace(one, maker_id=person_called(house().store.read, maker).id)
    except Unknown as no:
        raise BadForm({"maker": _in_full(no)}) from None


def _with_lid_named(batch: Batch) -> Batch:
    if batch.lid is None:
        return batch
    what = said(Message("lid-of", _("lid of {pot}"), pot=batch.one.what))
    return replace(batch, lid=replace(batch.lid, what=what))


def _photo_sent() -> Prints | None:
    sent = request.files.get("photo")
    return read_photo(sent.stream.read(MOST_BYTES + 1)) if sent is not None and sent.filename else None


def _photo_again() -> dict[str, Message]:
    """What is said at the photo where one was sent and the form comes back: no browser sends a file twice."""
    sent = request.files.get("photo")
    again = Message("choose-photo-again", _("Choose the photo again."))
    return {"photo": again} if sent is not None and sent.filename else {}


def _keep_photo(receipt: Receipt, prints: Prints | None) -> None:
    """Keep the photo with the first of the pieces; it is no reason to lose them."""
    if prints is None:
        return
    asked = asking()
    try:
        photos.add(house().store, replace(asked, key=uuid5(asked.key, "photo")), receipt.refs[0], prints)
    except Refusal as refusal:
        flash(said(_in_full(refusal)), "stop")


def _in_full(refusal: Refusal) -> Message:
    """What is wrong and the way out, as the problem of one field."""
    return together((refusal.message, refusal.remedy))


# ---- usual sizes -------------------------------------------------------------------------------------------------


def _usual_form(sent: Mapping[str, str]) -> Form | None:
    return Form(sent["usual"]) if sent.get("usual") in set(Form) else None


def _usual_mm(sent: Mapping[str, str]) -> dict[str, int]:
    form = _usual_form(sent)
    sizes = USUAL_FORMS[form].sizes if form else None
    return {side: read_length(text) for side, text in zip(SIDES, sizes[reader().units], strict=True)} if sizes else {}


def _usual_lid_mm(sent: Mapping[str, str]) -> int | None:
    form = _usual_form(sent)
    lids = USUAL_FORMS[form].lids if form else None
    return read_length(lids[reader().units][1]) if lids else None


def _with_usual_sizes(sent: Mapping[str, str], problems: dict[str, Message]) -> dict[str, str] | None:
    """The form with the usual sizes of what it is where no size was given, to be corrected; None where it needs none.

    A page with script fills them in at once. The problems of the sizes are then none anymore.
    """
    form = _usual_form(sent)
    if form is None or USUAL_FORMS[form].sizes is None or any(sent.get(side, "").strip() for side in SIDES):
        return None
    for side in SIDES:
        problems.pop(side, None)
    # What is as it was remembered of the last piece was picked by nobody.
    last = _remembered()
    own = {name for name in ("build", "use") if sent.get(name) and sent[name] != last.get(name)}
    return {**sent, **{name: text for name, text in _as_usual(form).items() if name not in own}}


def _as_usual(form: Form) -> dict[str, str]:
    """The fields of the form that are filled in for a usual form, by name."""
    usual, units = USUAL_FORMS[form], reader().units
    sizes = dict(zip(SIDES, usual.sizes[units], strict=True)) if usual.sizes else {}
    lids = dict(zip(("lid_height", "lid_width"), usual.lids[units], strict=True)) if usual.lids else {}
    made = {name: str(fact) for name, fact in (("build", usual.build), ("use", usual.use)) if fact}
    return {**sizes, **lids, **made}


def _never_for_food(catalog: Catalog) -> dict[str, dict[str, str]]:
    """What to say of each clay that no firing makes fit for food, and where the instructor enters its absorption."""
    may = g.person.may(Right.CATALOG)
    return {
        clay: {"says": said(why), "href": clay_form(clay) if may and why["which"] == Never.UNMEASURED else ""}
        for clay, why in clays_never_for_food(catalog).items()
    }


def _usual_shown() -> list[dict[str, Any]]:
    """Each usual form as a card, with what a script fills in when it is picked."""
    cards = []
    for form, usual in USUAL_FORMS.items():
        filled = {f"data-fill-{field.replace('_', '-')}": text for field, text in _as_usual(form).items()}
        told = {"data-name": said(usual.called or usual.name)} if usual.is_open else {"data-closed": "yes"}
        cards.append({"value": form.value, "label": usual.name, "attributes": filled | told})
    return cards


# ---- the page ----------------------------------------------------------------------------------------------------


def _remembered() -> dict[str, str]:
    """The clay, build and use of what this person registered last."""
    return _made_by(g.person.id)


def _made_by(maker_id: int) -> dict[str, str]:
    """The clay, build and use of this maker's last piece; a clay that nobody could name is left out."""
    last = next(iter(house().store.read.pieces.last_registered(maker_id, most=1)), None)
    if last is None:
        return {}
    made = _made_like(last.piece)
    return made | {"clay": ""} if last.piece.clay.kind is ClayKind.UNKNOWN else made


def _made_like(piece: Piece) -> dict[str, str]:
    clay = "" if piece.clay.retired else piece.clay.name
    return {"clay": clay, "build": str(piece.build or ""), "use": str(piece.use or "")}


def _like(piece: Piece) -> dict[str, str]:
    """All that is told of a piece and holds of another like it; weight and wall are measured on each one alone."""
    measures = {side: getattr(piece, f"{side}_mm") for side in SIDES}
    sizes = {side: in_a_field(mm(measure)) for side, measure in measures.items() if measure is not None}
    ticked = {name: "yes" for name in ("fragile", "burnished", "nests") if getattr(piece, name)}
    form = {True: "open", False: "sealed", None: ""}[piece.vented]
    return {"what": piece.what, "form": form, **_made_like(piece), **sizes, **ticked, **_lid_of(piece)}


def _lid_of(piece: Piece) -> dict[str, str]:
    """The size of the lid that was registered in one go with a pot; nothing where it has none."""
    read = house().store.read.pieces
    lid = next((mate.piece for mate in read.mates(piece) if may_be_its_lid(piece, mate.piece)), None)
    if lid is None or read.page(lid.id).history[0].at != read.page(piece.id).history[0].at:
        return {}
    measures = {"lid_height": lid.height_mm, "lid_width": lid.width_mm}
    return {field: in_a_field(mm(measure)) for field, measure in measures.items() if measure is not None}


def _last_pot(before: tuple[PieceRow, ...]) -> PieceRow | None:
    """What was registered last, to make another like it; of a pot and its lid the pot."""
    if len(before) > 1 and before[0].piece.set_key and before[0].piece.set_key == before[1].piece.set_key:
        return before[1] if may_be_its_lid(before[1].piece, before[0].piece) else before[0]
    return before[0] if before else None


def _page(
    typed: Mapping[str, str],
    *,
    problems: Mapping[str, Message] | None = None,
    doubt: SizeDoubt | FarOut | None = None,
    is_filled: bool = False,
    wanted: NewPiece | None = None,
) -> str:
    read = house().store.read
    catalog, before = read.catalog(), read.pieces.last_registered(g.person.id)
    if (maker := maker_on(house().store, typed.get("maker", ""))) is not None and g.person.may(Right.MOVE):
        typed = {**typed, "maker": maker.called}
    makers = read.people.listed() if g.person.may(Right.MOVE) else ()
    return render_template(
        "pieces/new_piece.html",
        clays=clays_to_pick(catalog, [row.piece.clay.name for row in before]),
        builds=[(build, build) for build in Build],
        usual=_usual_shown(),
        people=makers,
        cards=read.people.cards([one.id for one in makers]),
        asked=read.questions.pinned(clays_named=list(catalog.clays)),
        ways=telling.ways_shown(ways_for(wanted, catalog)) if wanted else (),
        mates=mates_to_pick(g.person.id),
        last=_last_pot(before) if "like" not in request.args and request.method == "GET" else None,
        thick=catalog.practice.thick_wall_mm,
        takes_photo=house().store.shelf is not None,
        problems=problems or {},
        keeps={
            _SURE_OF: typed.get(_SURE_OF, ""),
            _PHOTO_LOST: "yes" if doubt and (_photo_again() or typed.get(_PHOTO_LOST)) else "",
        },
        doubt=doubt,
        is_filled=is_filled,
        typed=typed,
        never=_never_for_food(catalog),
    )
