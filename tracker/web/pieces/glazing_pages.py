"""The page on which a piece is glazed: what can go on it, its layers, and where it should be fired."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from flask import flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.findings import NotShown, Unfit
from tracker.domain.labels.keyboards import readings
from tracker.domain.labels.studio_bars import Sort, read_bar
from tracker.domain.message import Either, Message, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.layers_off import way_off
from tracker.domain.pieces.new_pieces import may_be_its_lid
from tracker.domain.pieces.piece import Foot, Piece, Stage, StepName
from tracker.domain.refusals import NotAllowed, NotAStep, Refusal, Unknown
from tracker.domain.rules.food_prospects import never_for_food
from tracker.domain.rules.reglazing import told_before_glazing
from tracker.domain.rules.suggestions import Change, suggestions
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.materials import GLASS, Layer, Trait, Zone
from tracker.domain.studio.people import Right
from tracker.domain.studio.tiles import GlazeSearch
from tracker.forms.page_forms import AsSeenForm, BadForm, LayerOffForm, NewLayer, NewLayerForm, WishForm, read_form
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.pieces import glaze_shelf as shelf
from tracker.usecases.pieces import layers, pieces, wishes
from tracker.usecases.pieces.actions import CAN_BE_GLAZED, steps_for
from tracker.usecases.pieces.lookup import find_row
from tracker.usecases.pieces.undoing import to_put_back
from tracker.web import piece_presenters as telling
from tracker.web.auth import allows, asking, house
from tracker.web.camera import offered_camera
from tracker.web.error_handlers import status_of
from tracker.web.pieces.details_pages import about_clay, to_decorative
from tracker.web.pieces.glazing_presenters import (
    firings_shown,
    kept_at,
    layers_shown,
    most_shown,
    shelf_shown,
    tiles_for,
)
from tracker.web.pieces.new_pages import pages
from tracker.web.stations import layout_here, scanned
from tracker.web.tile_presenters import search_asked, search_shown
from tracker.web.wording import said, shown

# The application takes them from here, so that every address of a piece is among them.
__all__ = ["pages"]

_SEE_OTHER = 303
_MOST_SUGGESTED = 3


@pages.get("/p/<code>/glaze")
@allows(Right.WORK_ON)
def glazing(code: str) -> ResponseReturnValue:
    """The glaze shelf as it is judged for one piece. A bucket's bar or a whole name that was typed picks that glaze."""
    row = find_row(house().store.read, code, g.person)
    try:
        search = search_asked()
        name = _glaze_named(search.words)
    except Refusal as refusal:
        return _page(row, GlazeSearch(), refusal), status_of(refusal)
    if not name:
        return _page(row, search)
    zone = request.args.get("zone") or None
    return redirect(url_for("pieces.glazing", code=row.ref, taken=name, zone=zone, _anchor="taken"), _SEE_OTHER)


def _glaze_named(typed: str) -> str:
    """The name of the glaze whose bucket was scanned or whose whole name was typed; empty where it is only searched.

    A bar that isn't a bucket's is refused, and so is one of a glaze that isn't on the glaze shelf.
    """
    labelled, catalog = read_bar(scanned(typed)), house().store.read.catalog()
    if layout_here() is None and (meant := _buckets_by_keys(typed, catalog)):
        raise Unknown(
            Message("which-bucket", _("This may be the bucket of {glazes}."), glazes=Either(tuple(meant))),
            Message("pick-it-below", _("Pick the glaze below. Then set up the scanner.")),
        )
    if labelled is None and typed.casefold() not in {name.casefold() for name in catalog.glazes}:
        return ""
    if labelled is not None and labelled.sort is not Sort.BUCKET:
        raise Unknown(
            Message("not-a-bucket", _("That isn't a bucket barcode.")),
            Message("scan-the-bucket", _("Scan the barcode on the bucket, or pick the glaze below.")),
        )
    glaze = catalog.glaze(labelled.name if labelled else typed)
    if glaze.retired:
        raise NotAStep(
            Message("glaze-retired", _("{glaze} is no longer on the shelf."), glaze=glaze.name),
            Message("scan-a-glaze", _("Pick a glaze below.")),
        )
    return glaze.name


def _buckets_by_keys(typed: str, catalog: Catalog) -> list[str]:
    """The glazes whose bucket this may be if a scanner typed it on a keyboard of another layout."""
    glazes = {name.casefold(): name for name in catalog.glazes}
    bars = (read_bar(one) for one in readings(typed.strip()))
    names = (one.name.casefold() for one in bars if one is not None and one.sort is Sort.BUCKET)
    return list(dict.fromkeys(glazes[name] for name in names if name in glazes))


@pages.post("/p/<code>/glaze")
@allows(Right.WORK_ON)
def put_on(code: str) -> ResponseReturnValue:
    """Put one more layer on a piece, or say every reason why not; what only the instructor can allow is asked.

    Without script the same form only checks the glaze shelf for another zone.
    """
    if "check" in request.form:
        return _page(find_row(house().store.read, code, g.person), GlazeSearch())

    def do(row: PieceRow) -> Receipt:
        coat = read_form(NewLayerForm(), request.form)
        _must_say_all(row.piece, coat)
        return pieces.glaze(
            house().store,
            asking(),
            row.ref,
            coat.glaze,
            coat.zone,
            foot=coat.foot,
            catch_plate=coat.catch_plate,
            checked_for=coat.checked_for,
            asks=True,
            seen=coat.seen,
        )

    return _done(code, do, lambda ref: url_for("pieces.glazing", code=ref))


@pages.post("/p/<code>/glaze/off")
@allows(Right.WORK_ON)
def take_off(code: str) -> ResponseReturnValue:
    """Take one layer off the record of a piece."""

    def do(row: PieceRow) -> Receipt:
        off = read_form(LayerOffForm(), request.form)
        return layers.take_off(house().store, asking(), row.ref, off.layer, seen=off.seen)

    return _done(code, do, lambda ref: url_for("pieces.glazing", code=ref))


@pages.post("/p/<code>/glaze/fire")
@allows(Right.WORK_ON)
def wish(code: str) -> ResponseReturnValue:
    """Put on record where a piece should be fired, and lead to its page."""

    def do(row: PieceRow) -> Receipt:
        wanted = read_form(WishForm(), request.form)
        return wishes.wish(house().store, asking(), row.ref, wanted.route, seen=wanted.seen)

    return _done(code, do, telling.address_of)


@pages.post("/p/<code>/glaze/withdraw")
@allows(Right.WORK_ON)
def withdraw(code: str) -> ResponseReturnValue:
    """Take the firing that was asked for off the record of a piece."""

    def do(row: PieceRow) -> Receipt:
        return wishes.withdraw(house().store, asking(), row.ref, seen=read_form(AsSeenForm(), request.form).seen)

    return _done(code, do, lambda ref: url_for("pieces.glazing", code=ref, _anchor="fire"))


@pages.post("/p/<code>/glaze/put-away")
@allows(Right.PUT_AWAY)
def put_away(code: str) -> ResponseReturnValue:
    """Note that a piece is on the cart or shelf of the firing it is asked for."""

    def do(row: PieceRow) -> Receipt:
        return wishes.put_away(house().store, asking(), row.ref, seen=read_form(AsSeenForm(), request.form).seen)

    return _done(code, do, telling.address_of)


def _done(code: str, do: Callable[[PieceRow], Receipt], then: Callable[[str], str]) -> ResponseReturnValue:
    """Do what a form of this page asks and lead on, or show the page with every reason why not."""
    row = find_row(house().store.read, code, g.person)
    try:
        receipt = do(row)
    except NotAllowed:
        raise
    except Refusal as refusal:
        now = find_row(house().store.read, row.ref, g.person)
        return _page(now, GlazeSearch(), refusal), status_of(refusal)
    flash(said(receipt.message), "good")
    return redirect(then(receipt.ref), _SEE_OTHER)


def _must_say_all(piece: Piece, coat: NewLayer) -> None:
    """Refuse a coat while nobody has said what is done about the foot, nor what catches a glaze that runs.

    Of wax all over bare ware it is asked where it really goes: that zone is chosen before anybody picks a glaze.
    """
    missing: dict[str, Message] = {}
    catalog = house().store.read.catalog()
    glazes = catalog.glazes
    if coat.glaze in glazes and shelf.keeps_all_bare(piece, glazes[coat.glaze], coat.zone):
        words = _("{glaze} all over keeps off all glaze. Choose where it goes.")
        raise BadForm({"zone": Message("wax-all-over", words, glaze=coat.glaze)})
    if coat.glaze in glazes and glazes[coat.glaze].coat not in GLASS:
        return
    if shelf.keeps_its_foot(piece, catalog) and piece.foot is None and coat.foot is None:
        missing["foot"] = Message("no-foot", _("Choose what was done to the foot."))
    worn = [*(layer.glaze for layer in piece.layers), *([glazes[coat.glaze]] if coat.glaze in glazes else [])]
    runny = [glaze.name for glaze in worn if Trait.RUNNY in glaze.traits]
    if runny and not piece.catch_plate and coat.catch_plate is None:
        words = _("{glaze} runs. Choose whether the piece goes on a kiln cookie.")
        missing["catch_plate"] = Message("no-catch-plate", words, glaze=runny[0])
    if missing:
        raise BadForm(missing)


def _page(row: PieceRow, search: GlazeSearch, refusal: Refusal | None = None) -> str:
    reader, catalog = house().store.read, house().store.read.catalog()
    sent = {**request.args.to_dict(), **request.form.to_dict()}
    picked = sent.get("glaze", "") or sent.get("taken", "")
    is_told = sent.get("zone") in set(Zone) and not (isinstance(refusal, BadForm) and "zone" in refusal.fields)
    zone = Zone(sent["zone"]) if is_told else shelf.usual_zone(row.piece, catalog.glazes.get(picked))
    foot = Foot(sent["foot"]) if sent.get("foot") in set(Foot) else row.piece.foot
    candidates = shelf.candidates_for(replace(row.piece, foot=foot, has_question=False), catalog, zone)
    tiles = tiles_for(row.piece.clay, candidates)
    taken = next((one for one in candidates if one.name == request.args.get("taken")), None)
    found = [one for one in candidates if search.finds(one.glaze, tiles.get(one.name))]
    page = reader.pieces.page(row.piece.id)
    ways = firings_shown(page, catalog, house().clock())
    can_glaze = row.piece.stage in CAN_BE_GLAZED and any(one.goes_on_now and one.can_go_on for one in candidates)
    can = steps_for(row.piece, g.person, in_kiln=(row.firing_id, row.leaving_id) != (None, None))
    return render_template(
        "pieces/glazing.html",
        row=row,
        piece=row.piece,
        back=telling.address_of(row.ref),
        clear=catalog.practice.foot_clear_mm,
        can_glaze=can_glaze,
        has_lid=can_glaze and _is_with_lid(row.piece, [mate.piece for mate in page.mates]),
        asks_foot=can_glaze and shelf.keeps_its_foot(row.piece, catalog),
        can_wash=StepName.WASH_OFF in can,
        put_back=to_put_back(reader, row.piece.id, g.person, house().clock()),
        way_off=str(way_off(row.piece)),
        takes=told_before_glazing(row.piece) if row.piece.is_bisque and not row.piece.has_glaze else None,
        never=never_for_food(catalog, row.piece) if not can_glaze else None,
        to_decorative=to_decorative(row.piece, catalog) if StepName.SET_RIGHT in can else {},
        about_clay=about_clay(row, catalog),
        held=kept_at(row.piece, catalog),
        layers=layers_shown(row.piece, may_come_off=row.firing_id is None),
        is_waxed_alone=row.piece.stage is Stage.WAXED,
        shelf=shelf_shown(
            found,
            tiles,
            row.piece,
            picked=picked,
            is_searched=not search.is_empty,
            most=most_shown(
                row.piece,
                is_asked=bool(ways and ways["asked"]),
                is_told=(taken is not None and taken.can_go_on)
                or not (refusal is None or isinstance(refusal, BadForm)),
            ),
            can_glaze=can_glaze,
        ),
        total=len(candidates),
        found=len(found),
        search=search_shown(search, [one.glaze for one in candidates], tiles),
        names=sorted(one.name for one in candidates),
        near=_near(search.words) if not found else (),
        taken=taken,
        picked=picked,
        zone=zone,
        zones=[{"value": one.value, "label": shown(one), "picture": one.value} for one in Zone],
        zone_says=shown(zone),
        foot=foot,
        foot_says=shown(foot) if foot else "",
        needs_cookie=not row.piece.catch_plate and any(Trait.RUNNY in one.glaze.traits for one in row.piece.layers),
        would_open=_instead(row.piece, refusal),
        refusal=None if isinstance(refusal, BadForm) else refusal,
        is_new=isinstance(refusal, NotShown),
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
        typed=sent,
        firings=ways,
        camera=offered_camera(),
    )


def _is_with_lid(piece: Piece, mates: Iterable[Piece]) -> bool:
    """Whether a piece is a pot with a lid of its own, or that lid: glaze between the two fires them shut."""
    return any(may_be_its_lid(piece, mate) or may_be_its_lid(mate, piece) for mate in mates)


def _near(typed: str) -> tuple[str, ...]:
    """The names of glazes that somebody may have meant."""
    try:
        return (house().store.read.catalog().glaze(typed).name,)
    except Unknown as none:
        meant = dict(none.remedy.facts).get("names") if none.remedy else None
        return tuple(str(name) for name in meant.facts) if isinstance(meant, Either) else ()


def _instead(piece: Piece, refusal: Refusal | None) -> tuple[telling.Opening, ...]:
    """What little work would let the glaze on that was just refused; it is said on the very form."""
    if not isinstance(refusal, Unfit) or "glaze" not in request.form:
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
