"""An outdoor session: plan it, choose and arrange its rounds, read it over, print its sheet, and end it."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from flask import Blueprint, Response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.outdoor.results import Air, Smoke
from tracker.domain.outdoor.sessions import Session, SessionStage
from tracker.domain.outdoor.setting_up import Opening, container_names
from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import Refusal, Unknown
from tracker.domain.studio.kilns import Kiln
from tracker.domain.studio.people import Right
from tracker.forms.outdoor.outdoor_forms import (
    MOST_ALIKE,
    MarkForm,
    WeighedForm,
    read_session,
    session_as_sent,
)
from tracker.forms.page_forms import BadForm, read_form
from tracker.usecases.outdoor import running as outdoor_running
from tracker.usecases.outdoor import sessions as outdoor
from tracker.usecases.outdoor.pictures import session_sheet
from tracker.usecases.outdoor.stories import seen
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.firing.presenters import wrong_shown
from tracker.web.outdoor.presenters import drawn, fuel_shown, piece_shown, room_in_words, round_shown
from tracker.web.presenters import all_waiting_shown, catalog, paper_asked, told
from tracker.web.wording import reader, said
from tracker.wording.render import read

pages = Blueprint("sessions", __name__)

_OPENS = {
    Opening.LIFT_OFF: Message("lifts-off", _("the whole kiln lifts off the pieces")),
    Opening.FRONT: Message("opens-in-front", _("a door at the front")),
    Opening.TOP: Message("opens-on-top", _("a lid on top")),
}
_OPENINGS = [
    {"value": one.value, "label": Message("opening", "{opening:capital}", opening=one), "note": note}
    for one, note in _OPENS.items()
]
_NOT_NOTED = Message("not-noted", _("not recorded"))


@pages.get("/outdoor/plan")
@allows(Right.FIRE)
def plan() -> ResponseReturnValue:
    """Ask what is known of a session beforehand, beginning with what was said of the last one in the same kiln."""
    return _facts_page(_kiln_asked_for(), {}, None)


@pages.post("/outdoor/plan")
@allows(Right.FIRE)
def plan_now() -> ResponseReturnValue:
    """Plan a session, with rounds proposed from what waits longest."""
    kiln = _kiln_asked_for()
    try:
        receipt = outdoor.plan(house().store, asking(), read_session(request.form, kiln, _zone(), reader().units))
    except Refusal as refusal:
        return _facts_page(kiln, dict(request.form), refusal), status_of(refusal)
    return redirect(url_for("sessions.session", number=receipt.extra["session"]), 303)


@pages.get("/outdoor/<int:number>")
@allows(Right.FIRE)
def session(number: int) -> ResponseReturnValue:
    """One session: its rounds, what is left out, and what there is to do next."""
    known, store = catalog(), house().store
    it = seen(store.read, _known(number), house().clock())
    before = store.read.outdoors.fired()
    rounds = [round_shown(one, it, known, before) for one in it.rounds]
    return render_template(
        "outdoor/session.html",
        it=it,
        rounds=rounds,
        current=next((one["number"] for one in rounds if not one["is_done"]), None),
        wrong=_comes_out_wrong(it.session),
        drawings=drawn(it),
        left_out=[{**piece_shown(row, known), "why": why} for row, why in it.left_out],
        fuel=fuel_shown(store.read, it),
        differs=[message for _tap, message in it.story.differs],
        airs=[("", said(_NOT_NOTED)), *((one.value, read(one, reader())) for one in Air)],
        smokes=[("", said(_NOT_NOTED)), *((one.value, read(one, reader())) for one in Smoke)],
        is_planned=it.session.stage is SessionStage.PLANNED,
        is_running=it.session.stage is SessionStage.RUNNING,
    )


def _comes_out_wrong(session: Session) -> list[Any]:
    """What comes out wrong of each round that is hot, where a cone was corrected meanwhile."""
    hot = [house().store.read.firings.page(one.id) for one in session.rounds if one.is_hot]
    told = [wrong_shown(page)["wrong"] for page in hot if page is not None]
    return [one for one in told if one]


@pages.get("/outdoor/<int:number>/sheet.pdf")
@allows(Right.FIRE)
def sheet(number: int) -> ResponseReturnValue:
    """The sheet of a session for the clipboard."""
    queries = house().store.read
    it = seen(queries, _known(number), house().clock())
    made = session_sheet(queries, it, reader(), paper=paper_asked())
    headers = {"Content-Disposition": f'inline; filename="outdoor-session-{number}.pdf"'}
    return Response(made, mimetype="application/pdf", headers=headers)


@pages.get("/outdoor/<int:number>/facts")
@allows(Right.FIRE)
def facts(number: int) -> ResponseReturnValue:
    """Ask anew what is known beforehand."""
    it = _known(number)
    return _facts_page(it.kiln, dict(session_as_sent(it.facts, it.kiln, _zone(), reader().units)), None, it)


@pages.post("/outdoor/<int:number>/facts")
@allows(Right.FIRE)
def tell(number: int) -> ResponseReturnValue:
    """Say it anew, and have the rounds that are to come planned by it."""
    it = _known(number)
    try:
        told_now = read_session(request.form, it.kiln, _zone(), reader().units, before=it.facts)
        outdoor.tell(house().store, asking(), number, told_now)
    except Refusal as refusal:
        return _facts_page(it.kiln, dict(request.form), refusal, it), status_of(refusal)
    return redirect(url_for("sessions.session", number=number), 303)


@pages.get("/outdoor/<int:number>/pieces")
@allows(Right.FIRE)
def choosing(number: int) -> ResponseReturnValue:
    """Ask which of the waiting pieces are fired in this session."""
    known, it = catalog(), _known(number)
    routes = [route.name for route in known.routes_by_heat if route.is_pulled_hot and it.kiln.serves(route)]
    rows = [row for row in house().store.read.pieces.waiting(routes) if row.firing_id is None]
    ours = {one for firing in it.coming for one in firing.planned_ids}
    coming = {firing.id for firing in it.coming}
    elsewhere = {row.piece.id for row in rows if row.piece.planned_in not in {None, *coming}}
    return render_template(
        "outdoor/session_pieces.html",
        it=it,
        rows=[
            {**shown, "chosen": row.piece.id in ours, "elsewhere": row.piece.id in elsewhere}
            for row, shown in zip(rows, all_waiting_shown(rows, known), strict=True)
        ],
    )


@pages.post("/outdoor/<int:number>/pieces")
@allows(Right.FIRE)
def choose(number: int) -> ResponseReturnValue:
    """Have the rounds to come planned from these pieces."""
    refs = request.form.getlist("pick")
    return _told(lambda: outdoor.choose(house().store, asking(), number, refs), number)


@pages.post("/outdoor/<int:number>/arrange")
@allows(Right.FIRE)
def arrange(number: int) -> ResponseReturnValue:
    """Put a piece into another round by hand, or leave it for another day."""
    ref, there = request.form.get("ref", ""), request.form.get("round", "")
    to = int(there) if re.fullmatch(r"[0-9]{1,3}", there) else None
    return _told(lambda: outdoor.arrange(house().store, asking(), number, ref, to), number)


@pages.post("/outdoor/<int:number>/call-off")
@allows(Right.FIRE)
def call_off(number: int) -> ResponseReturnValue:
    """Call a session off before its first fire."""
    there = url_for("outdoor.outdoor")
    return told(lambda: outdoor.call_off(house().store, asking(), number), lambda _receipt: there)


@pages.post("/outdoor/<int:number>/end")
@allows(Right.FIRE)
def end(number: int) -> ResponseReturnValue:
    """End a session, with what its fuel weighs now."""

    def do() -> Receipt:
        weighed = read_form(WeighedForm(), request.form, reader().units).fuel_after
        return outdoor.end(house().store, asking(), number, fuel_after_kg=weighed)

    return _told(do, number)


@pages.post("/outdoor/<int:number>/weigh")
@allows(Right.FIRE)
def weigh(number: int) -> ResponseReturnValue:
    """Say what the fuel weighed after a session that has ended."""

    def do() -> Receipt:
        weighed = read_form(WeighedForm(), request.form, reader().units).fuel_after
        return outdoor.weigh(house().store, asking(), number, weighed)

    return _told(do, number)


@pages.post("/outdoor/<int:number>/mark/<int:firing>/<ref>")
@allows(Right.FIRE)
def mark(number: int, firing: int, ref: str) -> ResponseReturnValue:
    """Say what the fire did to a piece."""

    def do() -> Receipt:
        return outdoor_running.mark(house().store, asking(), number, firing, ref, read_form(MarkForm(), request.form))

    return told(do, lambda _receipt: url_for("sessions.session", number=number, _anchor=ref))


# ---- what the pages are made of ------------------------------------------------------------------------------------


def _told(do: Any, number: int) -> ResponseReturnValue:  # noqa: ANN401 -- a function that gives a receipt
    return told(do, lambda _receipt: url_for("sessions.session", number=number))


def _known(number: int) -> Session:
    found = house().store.read.outdoors.session(number)
    if found is None:
        raise outdoor.no_session(number)
    return found


def _zone() -> ZoneInfo:
    return ZoneInfo(house().store.read.studio().timezone)


def _outdoor_kilns() -> list[Kiln]:
    known = catalog()
    outdoors = {route.name for route in known.routes_by_heat if route.is_pulled_hot}
    return [kiln for kiln in known.kilns.values() if not kiln.retired and kiln.routes & outdoors]


def _kiln_asked_for() -> Kiln:
    kilns = _outdoor_kilns()
    if not kilns:
        message = Message("no-outdoor-kiln-in-use", _("This studio has no outdoor kiln."))
        raise Unknown(message, Message("enter-one", _("Add one to the catalog, with an outdoor firing type.")))
    name = request.values.get("kiln", "")
    return next((kiln for kiln in kilns if kiln.name == name), kilns[0])


def _facts_page(kiln: Kiln, sent: dict[str, str], refusal: Refusal | None, of: Session | None = None) -> str:
    now = house().clock().astimezone(_zone())
    if not sent:
        last = house().store.read.outdoors.last_facts(kiln.name)
        sent = dict(session_as_sent(last.facts, kiln, _zone(), reader().units)) if last else _first_guess(kiln)
        sent |= {"day": f"{now:%Y-%m-%d}", "fuel_before": "", "air": "", "weather": ""}
        if not last:
            sent |= {"begins": f"{now + timedelta(hours=1):%H}:00"}
    kinds = [
        {
            "number": kind,
            "room": room_in_words(room),
            "names": ", ".join(container_names(kind, 1)),
            "many": sent.get(f"many-{kind}", "1"),
            "lid": bool(sent.get(f"lid-{kind}")),
        }
        for kind, room in enumerate(kiln.containers, start=1)
    ]
    return render_template(
        "outdoor/session_facts.html",
        kiln=kiln,
        kilns=[one.name for one in _outdoor_kilns()],
        sent=sent,
        kinds=kinds,
        most_alike=MOST_ALIKE,
        openings=_OPENINGS,
        errors=refusal.fields if isinstance(refusal, BadForm) else {},
        refusal=refusal,
        number=of.id if of else None,
        fuel=fuel_shown(house().store.read, seen(house().store.read, of, house().clock())) if of else None,
    )


def _first_guess(kiln: Kiln) -> dict[str, str]:
    lids = {f"lid-{kind}": "yes" for kind, _room in enumerate(kiln.containers, start=1)}
    return {"opening": Opening.LIFT_OFF.value, **lids}
