"""Firings: start one, scan its pieces in at the kiln's door, and see what came of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import timedelta
from operator import attrgetter
from typing import Any

from flask import Blueprint, g, jsonify, redirect, render_template, request, session, url_for
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import MultiDict

from tracker.domain.findings import NeedsInstructor, Unfit
from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.firing.mixed_loads import others_that_join, own_route
from tracker.domain.message import Message, Plural, _, together
from tracker.domain.outdoor.pull_heats import fired_to
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.quantities import Quantity, Unit
from tracker.domain.refusals import AlreadyThere, NotAStep, Refusal, Unknown
from tracker.domain.rules.untold import DRY, NotTold
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.cone_bands import AsksCone, ConeQuestion
from tracker.domain.studio.kilns import RAW, RouteKind
from tracker.domain.studio.people import Right
from tracker.forms.page_forms import NewFiringForm, ScanForm, read_form
from tracker.forms.studio.cone_checks import read_cone_answer
from tracker.store.firing.queries import FiringPage, FiringRow, Spent
from tracker.store.pieces.queries import PieceRow
from tracker.store.studio.cone_answers import FIRING
from tracker.usecases.firing import firings as firing_them
from tracker.usecases.firing import starting
from tracker.usecases.firing.before_unloading import may_be_cold
from tracker.usecases.firing.care import cared_for
from tracker.usecases.firing.load_choice import may_join_it
from tracker.usecases.firing.pictures import raw_beside_others
from tracker.usecases.firing.reached_cones import missed_of
from tracker.usecases.pieces.jobs import Job
from tracker.usecases.pieces.lookup import find_firing, find_row
from tracker.usecases.pieces.revalidate import EVERY_FIRING, out_of
from tracker.usecases.pieces.ways_out import away_from_a_kiln, with_open_ways
from tracker.usecases.rules import questions
from tracker.web.auth import allows, asking, house
from tracker.web.camera import offered_camera
from tracker.web.commands_here import commands_shown
from tracker.web.error_handlers import receipt_json, refusal_json, status_of, wants_json
from tracker.web.firing.firing_choices import BETWEEN, cone_choices, kiln_choices, known_firing
from tracker.web.firing.late_scans import late_or, late_shown
from tracker.web.firing.presenters import costs_shown, fire_shown, load_shown, wrong_shown
from tracker.web.lists import Order, listed
from tracker.web.piece_presenters import address_of, tell_url
from tracker.web.pieces.photo_presenters import photo_in_hand
from tracker.web.pieces.scan_refusals import found_url
from tracker.web.presenters import (
    Plain,
    all_waiting_shown,
    catalog,
    ref_in,
    route_title,
    ticket_in,
    told,
    waiting_shown,
)
from tracker.web.stations import scanned
from tracker.web.studio.cone_questions import cone_answers_shown, cone_question_shown
from tracker.web.wording import said, said_refusal

pages = Blueprint("firings", __name__)

AT_THE_DOOR = "answer at the door"
MOST_SHOWN = 500
ON_A_PAGE = 5
_ORDERS: dict[str, Order[FiringRow]] = {
    "newest": Order(Message("newest-first", _("newest")), attrgetter("last_at"), falling=True),
    "oldest": Order(Message("oldest-first", _("oldest")), attrgetter("last_at")),
    "pieces": Order(Message("most-pieces-first", _("most pieces")), attrgetter("count"), falling=True),
}
_STEPS: dict[str, Callable[..., Receipt]] = {
    "load": firing_them.load,
    "light": firing_them.light,
    "reopen": lambda *firing: firing_them.open_again(*firing, never_hot="never_hot" in request.form),
    "off": firing_them.shut_off,
    "on": firing_them.still_on,
    "cancel": firing_them.call_off,
}
_GO, _STOP = Message("door-go", _("GO")), Message("door-stop", _("STOP"))
_ASKED, _OUT = Message("door-asked", _("Asked")), Message("door-out", _("Out"))


@pages.get("/firings")
@allows(Right.FIRE)
def firings() -> ResponseReturnValue:
    """What is being loaded, what was unloaded lately, and how to start another."""
    return _firings(request.args.get("at", ""))


def _firings(picked: str, target: str = "", question: ConeQuestion | None = None) -> str:
    known, read = catalog(), house().store.read
    taken = {one.kiln for one in read.firings.listed(limit=EVERY_FIRING) if one.stage.holds_the_kiln}
    found = read.firings.listed(open_only=False, rounds=False, limit=MOST_SHOWN)
    shown = listed(
        (one for one in found if one.stage is FiringStage.UNLOADED),
        told=lambda one: f"{one.id} {one.kiln} {route_title(one.route, known)} {one.counted}",
        orders=_ORDERS,
        kind_of=attrgetter("kiln"),
        on_a_page=ON_A_PAGE,
    )
    return render_template(
        "firing/firings.html",
        open=[_firing_shown(one, known) for one in found if one.stage is not FiringStage.UNLOADED],
        shown=shown,
        unloaded=[_firing_shown(one, known) for one in shown.rows],
        kilns=kiln_choices(known, taken),
        cones=cone_choices(),
        picked=picked,
        target=target,
        question=cone_question_shown(question),
        spent=_spent(read.firings.spent_since(house().clock() - _A_YEAR)),
    )


_A_YEAR = timedelta(days=365)


def _spent(year: Spent) -> Message:
    """How many firings there were in a year, and what those with a cost on record cost."""
    words = Plural("firings", "1 firing in the last 12 months.", "{firings} firings in the last 12 months.")
    many = Message("fired-in-a-year", words, firings=year.firings)
    if not year.noted:
        return many
    costs = Plural("noted", "1 has its cost entered: {cost}.", "{noted} have their cost entered: {cost} in all.")
    cost = Quantity(year.cost_cents, Unit.CENTS)
    return together([many, Message("spent-in-a-year", costs, noted=year.noted, cost=cost)])


def _firing_shown(one: FiringRow, known: Catalog) -> Plain:
    return {
        "href": url_for("firings.firing", number=one.id),
        "id": one.id,
        "kiln": one.kiln,
        "route": route_title(one.route, known),
        "target": one.target,
        "counted": one.counted,
        "count": one.count,
        "stage": one.stage,
        "planned": one.planned,
        "leaving": one.leaving,
        "caught": one.caught,
        "at": one.last_at,
    }


@pages.post("/firings")
@allows(Right.FIRE)
def start() -> ResponseReturnValue:
    """Start a firing of one kiln on a route it serves; without a cone of its own it aims at the route's."""

    def do() -> Receipt:
        kiln, _between, route = request.form.get("at", "").rpartition(BETWEEN)
        aim = request.form.get("target", "").strip()
        if not aim and route:
            aim = str(catalog().route(route).cone)
        new = read_form(NewFiringForm(), MultiDict({"kiln": kiln, "route": route, "target": aim}))
        answer = read_cone_answer(request.form)
        return starting.start(house().store, asking(), new.kiln, new.route, new.target, answer=answer)

    def there(receipt: Receipt | None) -> str:
        if receipt is None:
            return url_for("firings.firings", at=request.form.get("at", "")[:120])
        return url_for("firings.firing", number=receipt.extra["firing"])

    try:
        return told(do, there)
    except AsksCone as asks:
        at, target = (request.form.get(name, "")[:120] for name in ("at", "target"))
        return _firings(at, target, asks.question), status_of(asks)


@pages.get("/firings/<int:number>")
@allows(Right.FIRE)
def firing(number: int) -> ResponseReturnValue:
    """One firing: at its door while it is loaded, with its results afterwards."""
    page = known_firing(number)
    known, answers = catalog(), cone_answers_shown(FIRING, str(number))
    if page.firing.is_open and page.firing.session_id is not None:
        return redirect(url_for("sessions.session", number=page.firing.session_id))
    raw = raw_beside_others(page, known.practice.fires)
    match page.firing.stage:
        case FiringStage.UNLOADED:
            heat = fired_to(page.firing.route.at(page.firing.counted), known.practice.outdoors)
            shown = {"fire": fire_shown(page), "load": load_shown(page), "heat": heat, **_results(page)}
            shown["late"] = late_shown(number)
            return render_template("firing/results.html", page=page, answers=answers, **shown)
        case FiringStage.FIRING | FiringStage.COOLING:
            wrong = wrong_shown(page, missed_of(house().store.read, page.firing))
            shown = {"fire": fire_shown(page), "load": load_shown(page), "raw": raw, **wrong}
            shown["late"] = late_shown(number)
            cold = may_be_cold(house().store.read, page.firing)
            return render_template("firing/curve.html", page=page, answers=answers, cold=cold, **shown)
        case FiringStage.PLANNED:
            shown = {"fire": fire_shown(page), "load": load_shown(page), "raw": raw}
            shown["others"] = others_that_join(page.firing, known)
            return render_template("firing/planned.html", page=page, answers=answers, **shown)
    waits = _waits_for(page)
    others = [
        (row, route)
        for row, route in may_join_it(house().store.read, page.firing, house().clock())
        if row.piece.planned_in is None
    ]
    return render_template(
        "firing/firing.html",
        page=page,
        answers=answers,
        load=load_shown(page),
        answer=session.pop(AT_THE_DOOR, None),
        inside=all_waiting_shown(page.pieces, known),
        waits=all_waiting_shown(waits, known),
        others=[(route.title, waiting_shown(row, known)) for row, route in others],
        takes_greenware=_takes_greenware(page.firing),
        raw=raw,
        fire=fire_shown(page) if raw else None,
        is_bisque=page.firing.route.kind is RouteKind.BISQUE,
        # One person's word at one time: what somebody else said of the load, or earlier, ticks nothing here.
        ticked={name for name in _TICKS if request.args.get(name)},
        thick=known.practice.thick_wall_mm,
        must_come_out=_must_come_out(page.firing) if page.leaving else None,
        asked=[row.ref for row in page.pieces if row.question_open],
        care=cared_for(page.firing, page.pieces, known, house().clock()),
        seen=_seen(page.pieces, [row for row, _why in page.leaving], page.coming),
        apart=firing_them.sets_apart(house().store.read, page.firing),
        camera=offered_camera(),
        commands=commands_shown(),
    )


@pages.get("/firings/<int:number>/door")
@allows(Right.FIRE)
def door(number: int) -> ResponseReturnValue:
    """Whether this kiln's door stands open, and what must come out of it; its page asks every few seconds."""
    firing = find_firing(house().store.read, number)
    try:
        firing.must_be_loading()
    except Refusal as refusal:
        return jsonify({"open": False, "inside": len(firing.piece_ids), "says": said_refusal(refusal)})
    read = house().store.read.pieces
    inside, leaving, planned = map(read.by_ids, (firing.piece_ids, firing.leaving_ids, firing.planned_ids))
    out = [row.ref for row in leaving]
    seen = _seen(inside, leaving, planned)
    return jsonify({"open": True, "inside": len(inside) + len(leaving), "says": "", "out": out, "seen": seen})


def _seen(inside: Iterable[PieceRow], leaving: Iterable[PieceRow], planned: Iterable[PieceRow]) -> str:
    """What the page of a firing shows of its kiln, for the page to tell whether that is still so."""
    stay = sorted(f"{row.ref}?" if row.question_open else row.ref for row in inside)
    return " ".join([*stay, *sorted(f"-{row.ref}" for row in leaving), *sorted(f"+{row.ref}" for row in planned)])


@pages.post("/firings/<int:number>/in")
@allows(Right.FIRE)
def put_in(number: int) -> ResponseReturnValue:
    """GO or STOP for the piece in one's hands."""
    return _at_the_door(number, _put_in)


@pages.post("/firings/<int:number>/out/<ref>")
@allows(Right.FIRE)
def take_out(number: int, ref: str) -> ResponseReturnValue:
    """Take a piece out again while the kiln is being loaded."""
    return _at_the_door(number, lambda number: _take_out(number, ref))


@pages.post("/firings/<int:number>/ask/<ref>")
@allows(Right.FIRE)
def ask(number: int, ref: str) -> ResponseReturnValue:
    """Ask the instructor about a piece that this kiln's door leaves to them."""
    return _at_the_door(number, lambda number: _ask(number, ref))


@pages.post("/firings/<int:number>/<step>")
@allows(Right.FIRE)
def go_on(number: int, step: str) -> ResponseReturnValue:
    """Take a whole firing one step on in its life."""
    if step not in _STEPS:
        message = Message("firing-has-no-step", _("“{step}” isn't a step of a firing."), step=step[:20])
        raise Unknown(message, Message("go-by-buttons", _("Use the buttons on its page.")))
    here = url_for("firings.firing", number=number)
    return told(lambda: _STEPS[step](house().store, asking(), number), lambda _receipt: here)


# ---- the door --------------------------------------------------------------------------------------------------


def _at_the_door(number: int, do: Any) -> ResponseReturnValue:  # noqa: ANN401 -- a function of the firing's number
    answer, status = do(number)
    if wants_json():
        return jsonify(answer), status
    kind = next((one for one in ("undone", "again") if answer.get(one)), "care" if answer.get("with_care") else "good")
    sent = {name: request.form[name][:24] for name in ("ref", *_TICKS) if name in request.form}
    stop = "needs" if answer["needs"] else "stop"
    session[AT_THE_DOOR] = {**answer, "kind": kind if answer["ok"] else stop, "sent": sent}
    dry, is_thin = ("yes" if sent.get(name) else None for name in _TICKS)
    return redirect(url_for("firings.firing", number=number, dry=dry, is_thin=is_thin), 303)


_TICKS = ("dry", "is_thin")
"""What is said once of all greenware that is scanned."""


def _put_in(number: int) -> tuple[dict[str, Any], int]:
    ref = request.form.get("ref", "").strip()[:24]
    try:
        scan = read_form(ScanForm(), request.form)
        arrived = scanned(scan.ref)
        typed = arrived if ref_in(arrived) else ticket_in(arrived) or arrived
        ref = ref_in(typed) or ref
        if scan.out:
            return _take_out(number, typed)
        receipt = firing_them.put_in(
            house().store, asking(), number, typed, dry=scan.dry, is_thin=scan.is_thin, accepts=scan.accepts
        )
    except AlreadyThere as already:
        answer = {**refusal_json(already), "ok": True, "again": True, "code": ref, "piece_url": address_of(ref)}
        return {**answer, "photo": photo_in_hand(ref)}, 200
    except Refusal as reason:
        refusal = late_or(reason, number, ref)
        known_ref = "" if isinstance(refusal, Unknown) else ref_in(ref)
        if known_ref:
            read = house().store.read
            refusal = with_open_ways(read, refusal, find_row(read, known_ref, g.person).piece, house().clock())
        answer = {
            **refusal_json(refusal),
            "mend": _where_instead(number, known_ref, refusal),
            "word": said(_STOP),
            "code": ref,
            "piece_url": address_of(known_ref) if known_ref else None,
            "photo": photo_in_hand(known_ref),
            "ask_url": _ask_url(number, known_ref, refusal),
            "found_url": found_url(known_ref, Job(StepName.FIND)),
            "tell_url": tell_url(known_ref, refusal) if known_ref else None,
            "asks_dry": isinstance(refusal, NotTold) and any(one.fact == DRY for one in refusal.facts),
        }
        return answer, status_of(refusal)
    undo_url = url_for("firings.take_out", number=number, ref=receipt.ref)
    answer = receipt_json(receipt, word=said(_GO), piece_url=address_of(receipt.ref), undo_url=undo_url)
    return {**answer, "with_care": "with_care" in receipt.extra, "photo": photo_in_hand(receipt.ref)}, 200


def _where_instead(number: int, ref: str, refusal: Refusal) -> str:
    """What puts it right, and where the piece in one's hands belongs instead."""
    firing = house().store.read.firings.firing(number)
    if firing is None or firing.stage is FiringStage.UNLOADED or not ref or not isinstance(refusal, Unfit | NotAStep):
        return said(refusal.remedy)
    piece = find_row(house().store.read, ref, g.person).piece.at(house().clock())
    asked = house().store.read.questions.of_piece(piece.id)
    return said(away_from_a_kiln(piece, firing, refusal, catalog(), asked))


def _ask_url(number: int, ref: str, refusal: Refusal) -> str | None:
    """Where the instructor is asked about a piece, unless there is nothing to ask or they have been asked already."""
    if not ref or not isinstance(refusal, NeedsInstructor):
        return None
    read = house().store.read
    piece, firing = find_row(read, ref, g.person).piece, find_firing(read, number)
    own = own_route(firing, piece, catalog()) or firing.route
    is_open = questions.waits_to_be_asked(read, piece, own.name, refusal.findings)
    return url_for("firings.ask", number=number, ref=ref) if is_open else None


def _ask(number: int, ref: str) -> tuple[dict[str, Any], int]:
    try:
        receipt = questions.ask_at_the_door(house().store, asking(), number, ref)
    except Refusal as refusal:
        return {**refusal_json(refusal), "word": said(_STOP), "code": ref_in(ref) or ref[:24]}, status_of(refusal)
    answer = receipt_json(receipt, word=said(_ASKED), piece_url=address_of(receipt.ref), undo_url=None)
    return {**answer, "undone": True}, 200


def _take_out(number: int, ref: str) -> tuple[dict[str, Any], int]:
    try:
        receipt = firing_them.take_out(house().store, asking(), number, ref)
    except Refusal as refusal:
        return {**refusal_json(refusal), "word": said(_STOP), "code": ref_in(ref) or ref[:24]}, status_of(refusal)
    answer = receipt_json(receipt, word=said(_OUT), piece_url=address_of(receipt.ref), undo_url=None)
    return {**answer, "undone": True}, 200


def _takes_greenware(firing: Firing) -> bool:
    """Whether greenware may go into this firing, so that its page asks whether it is dry."""
    types = (firing.route, *others_that_join(firing, catalog()))
    return any(route.kind in RAW for route in types)


def _waits_for(page: FiringPage) -> list[PieceRow]:
    """What could still come: the route's queue, or for a bisque the greenware, without what stands in a kiln."""
    read, route = house().store.read, page.firing.route
    rows = (
        read.pieces.standing(Stage.GREENWARE) if route.kind is RouteKind.BISQUE else read.pieces.waiting([route.name])
    )
    return [
        row
        for row in rows
        if (row.firing_id, row.leaving_id) == (None, None) and row.piece.planned_in != page.firing.id
    ]


def _must_come_out(firing: Firing) -> Message:
    return out_of(firing.kiln.name, [row.ref for row in house().store.read.pieces.by_ids(firing.leaving_ids)])


# ---- results -------------------------------------------------------------------------------------------------


def _results(page: FiringPage) -> dict[str, Any]:
    known = catalog()
    plan = page.firing.plan
    rows: list[dict[str, Any]] = [
        {
            **waiting_shown(row, known),
            "outcome": row.outcome,
            "slip": f"W{row.piece.id}",
            "raw": row.piece.id in page.raw_ids,
            "level": plan.level_of(row.piece.id) if plan else None,
        }
        for row in page.in_shelf_order
    ]
    kept = [row for row in rows if not _broke(row)]
    return {
        "broke": [row for row in rows if _broke(row)],
        "marred": [row for row in kept if _is_marred(row)],
        "sound": [row for row in kept if not _is_marred(row)],
        "raws": [row for row in kept if row["raw"]],
        "absent": all_waiting_shown(house().store.read.firings.absent(page.firing.id), known),
        **costs_shown(page),
    }


def _broke(row: dict[str, Any]) -> bool:
    return row["outcome"] is not None and row["outcome"].broke


def _is_marred(row: dict[str, Any]) -> bool:
    return row["outcome"] is not None and row["outcome"].is_flawed
