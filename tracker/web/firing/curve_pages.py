"""The fire of a firing: readings, a kiln's own log, witness cones, and what it took and cost."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, time, timedelta
from typing import Any
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.cones import Cone
from tracker.domain.findings import NeedsAcceptance
from tracker.domain.firing.cone_model import fits
from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.thermocouples import Couple
from tracker.domain.firing.witness_cones import Stands
from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.quantities import Unit
from tracker.domain.refusals import Refusal, Unusable
from tracker.domain.studio.people import Right
from tracker.forms.firing.curve_file import CurveOptions, read_curve_file
from tracker.forms.firing.firing_forms import (
    MOST_WITNESSES,
    READING_FORM,
    CostForm,
    LogForm,
    TimesForm,
    read_reading,
    read_witnesses,
)
from tracker.forms.page_forms import BadForm, read_form
from tracker.store.firing.queries import FiringPage
from tracker.usecases.firing import logs as firing_logs
from tracker.usecases.firing.corrections import can_correct_times
from tracker.usecases.firing.corrections import correct_times as set_times
from tracker.usecases.firing.counted_cones import count_cone
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.firing.firing_choices import known_firing
from tracker.web.firing.missed_targets import cone_sent
from tracker.web.firing.presenters import costs_shown, money
from tracker.web.presenters import catalog, told
from tracker.web.wording import measured, reader, said
from tracker.wording.render import read

pages = Blueprint("fires", __name__)

_LOG_FORM, _COST_FORM = LogForm(), CostForm()
_ROWS, _SPARE_ROWS, _BESIDE = 6, 3, 3
_CONES = sorted({*fits("self-supporting"), *fits("large")})


@pages.post("/firings/<int:number>/readings")
@allows(Right.FIRE)
def note_reading(number: int) -> ResponseReturnValue:
    """Note what the pyrometer shows, now or at a time of day since the fire was lit."""

    def do() -> Receipt:
        sent = read_reading(read_form(READING_FORM, request.form))
        at = _at(sent.at) if sent.at else None
        return firing_logs.note_reading(house().store, asking(), number, sent.celsius, at=at, sure=sent.sure)

    def there(receipt: Receipt | None) -> str:
        typed = {} if receipt else {name: request.form.get(name, "")[:20] for name in ("shows", "unit", "at")}
        here = url_for(
            "unloading.unloading" if request.form.get("back") == "unload" else "firings.firing", number=number
        )
        return f"{here}?{urlencode(typed)}#fire" if typed else f"{here}#fire"

    return told(do, there)


@pages.post("/firings/<int:number>/readings/<int:second>/take-back")
@allows(Right.FIRE)
def take_back_reading(number: int, second: int) -> ResponseReturnValue:
    """Take a wrong reading away."""

    def do() -> Receipt:
        return firing_logs.take_back_reading(house().store, asking(), number, second)

    return told(do, lambda _receipt: _fire_of(number))


def _at(shown: time) -> datetime:
    """The last moment at which a clock in the studio showed that time."""
    zone = ZoneInfo(house().store.read.studio().timezone)
    now = house().clock().astimezone(zone)
    moment = datetime.combine(now.date(), shown, tzinfo=zone)
    return moment if moment <= now + timedelta(minutes=2) else moment - timedelta(days=1)


@pages.get("/firings/<int:number>/log")
@allows(Right.FIRE)
def log(number: int) -> ResponseReturnValue:
    """Ask for a kiln's own log."""
    return _log_page(known_firing(number))


@pages.post("/firings/<int:number>/log")
@allows(Right.FIRE)
def take_log(number: int) -> ResponseReturnValue:
    """Take in a kiln's own log, or show line by line what is wrong or odd about it."""
    page = known_firing(number)
    text = ""
    try:
        sent = read_form(_LOG_FORM, request.form, reader().units)
        text = _text_of_log()
        options = CurveOptions(unit=sent.unit, couple=sent.couple, junction_c=sent.junction_c)
        read = read_curve_file(text, options, catalog().practice.logs)
        receipt = firing_logs.take_log(
            house().store, asking(), number, read, accepts=sent.accepts, begins=sent.begins_min * 60
        )
    except Refusal as refusal:
        return _log_page(page, text, refusal), status_of(refusal)
    flash(said(receipt.message), "good")
    return redirect(_fire_of(number), 303)


def _text_of_log() -> str:
    """What the uploaded file says, or what was looked at before."""
    upload = request.files.get("file")
    if upload is None or not upload.filename:
        text = request.form.get("text", "").replace("\r\n", "\n")
        if not text.strip():
            raise Unusable([Message("no-log-chosen", _("Choose the kiln's log file."))])
        return text
    try:
        return str(upload.read(), "utf-8-sig")
    except UnicodeDecodeError:
        remedy = Message("choose-csv", _("Choose the CSV file from the kiln's controller."))
        raise Unusable([Message("not-text", _("This isn't a text file."))], remedy) from None


def _log_page(page: FiringPage, text: str = "", refusal: Refusal | None = None) -> str:
    return render_template(
        "firing/log.html",
        page=page,
        text=text,
        sent=request.form,
        refusal=refusal,
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
        questions=refusal.findings if isinstance(refusal, NeedsAcceptance) else (),
        couples=list(Couple),
    )


@pages.get("/firings/<int:number>/times")
@allows(Right.FIRE)
def times(number: int) -> ResponseReturnValue:
    """Ask when a kiln really came on and went off."""
    page = known_firing(number)
    if not can_correct_times(page.firing):
        return redirect(url_for("firings.firing", number=number))
    zone = ZoneInfo(house().store.read.studio().timezone)
    typed: dict[str, str] = {}
    for name, moment in (("on", page.firing.lit_at), ("off", page.firing.shut_at)):
        if moment is not None:
            shown = moment.astimezone(zone)
            typed |= {f"{name}_day": f"{shown:%Y-%m-%d}", name: f"{shown:%H:%M}"}
    return _times_page(page, typed)


@pages.post("/firings/<int:number>/times")
@allows(Right.FIRE)
def correct_times(number: int) -> ResponseReturnValue:
    """Correct when a kiln came on and went off, or say why not and change nothing."""
    page = known_firing(number)
    try:
        sent = read_form(TimesForm(), request.form)
        on, off = sent.moments(ZoneInfo(house().store.read.studio().timezone))
        on, off = _as_exact(on, page.firing.lit_at), off and _as_exact(off, page.firing.shut_at)
        receipt = set_times(house().store, asking(), number, lit_at=on, shut_at=off, log_moves=sent.log_moves)
    except Refusal as refusal:
        return _times_page(page, request.form.to_dict(), refusal), status_of(refusal)
    flash(said(receipt.message), "good")
    return redirect(_fire_of(number), 303)


def _as_exact(typed: datetime, known: datetime | None) -> datetime:
    """A time to the minute, or the very moment on record where that is the same minute: nobody changed that."""
    same = known is not None and known <= typed + timedelta(minutes=1) and known >= typed
    return known if same and known is not None else typed


def _times_page(page: FiringPage, typed: Mapping[str, str], refusal: Refusal | None = None) -> str:
    return render_template(
        "firing/times.html",
        page=page,
        typed=typed,
        is_off=page.firing.stage is not FiringStage.FIRING,
        has_log=bool(house().store.read.firings.log(page.firing.id)),
        refusal=refusal,
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
    )


@pages.get("/firings/<int:number>/cones")
@allows(Right.FIRE)
def cones(number: int) -> ResponseReturnValue:
    """Ask how the witness cones stand."""
    return _cones_page(known_firing(number))


@pages.post("/firings/<int:number>/cones")
@allows(Right.FIRE)
def note_cones(number: int) -> ResponseReturnValue:
    """Note how the witness cones stand."""
    page = known_firing(number)
    try:
        receipt = firing_logs.note_witnesses(house().store, asking(), number, read_witnesses(request.form))
    except Refusal as refusal:
        return _cones_page(page, refusal), status_of(refusal)
    flash(said(receipt.message), "good")
    return redirect(_fire_of(number), 303)


def _cones_page(page: FiringPage, refusal: Refusal | None = None) -> str:
    rows: list[dict[str, Any]] = [
        {"level": one.level or "", "cone": str(one.cone), "stands": one.stands} for one in page.witnesses
    ]
    if refusal is not None:
        rows = [
            {name: request.form.get(f"{name}-{row}", "") for name in ("level", "cone", "stands")}
            for row in range(1, MOST_WITNESSES + 1)
        ]
    empty = {"level": "", "cone": "", "stands": ""}
    rows += [empty] * min(max(_ROWS - len(rows), _SPARE_ROWS), MOST_WITNESSES - len(rows))
    return render_template(
        "firing/cones.html",
        page=page,
        rows=rows,
        kind=request.form.get("kind") or next((one.kind for one in page.witnesses), "self-supporting"),
        cones=[
            ("", Message("no-cone-there", _("none"))),
            *(
                (str(cone), Message("cone-choice", "{cone:capital}", cone=cone))
                for cone in _nearest_first(page.firing.target)
            ),
        ],
        stands=[("", "…"), *((one.value, read(one, reader())) for one in Stands)],
        refusal=refusal,
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
    )


def _nearest_first(target: Cone) -> list[Cone]:
    """All cones, those beside the target of a firing first: these stand in its kiln."""
    place = bisect_left(_CONES, target)
    beside = slice(max(0, place - _BESIDE), place + _BESIDE + 1)
    return [*_CONES[beside], *_CONES[: beside.start], *_CONES[beside.stop :]]


@pages.post("/firings/<int:number>/counts")
@allows(Right.FIRE)
def count(number: int) -> ResponseReturnValue:
    """Say which cone counts for the pieces of a firing that missed its target and was unloaded."""

    def do() -> Receipt:
        cone = cone_sent(request.form.get("counts", ""))
        return count_cone(house().store, asking(), number, cone or known_firing(number).firing.counted)

    return told(do, lambda _receipt: url_for("firings.firing", number=number))


@pages.get("/firings/<int:number>/cost")
@allows(Right.FIRE)
def cost(number: int) -> ResponseReturnValue:
    """Ask what a firing took and cost."""
    return _cost_page(known_firing(number))


@pages.post("/firings/<int:number>/cost")
@allows(Right.FIRE)
def note_cost(number: int) -> ResponseReturnValue:
    """Note what a firing took and cost."""
    page = known_firing(number)
    try:
        sent = read_form(_COST_FORM, request.form, reader().units)
        if request.form.get("fuel_kg", "").strip() == measured(page.fuel_kg, Unit.KILOGRAMS):
            # As it was shown, with fewer decimals than it has.
            sent = replace(sent, fuel_kg=page.fuel_kg)
        receipt = firing_logs.note_cost(
            house().store, asking(), number, kwh=sent.kwh, fuel_kg=sent.fuel_kg, cost_cents=sent.cost_cents
        )
    except Refusal as refusal:
        return _cost_page(page, refusal), status_of(refusal)
    flash(said(receipt.message), "good")
    return redirect(_fire_of(number), 303)


def _cost_page(page: FiringPage, refusal: Refusal | None = None) -> str:
    kept = {
        "kwh": f"{page.kwh:g}" if page.kwh is not None else "",
        "fuel_kg": measured(page.fuel_kg, Unit.KILOGRAMS),
        "cost_cents": money(page.cost_cents) if page.cost_cents is not None else "",
    }
    return render_template(
        "firing/cost.html",
        page=page,
        sent=request.form if refusal else kept,
        refusal=refusal,
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
        currency=house().store.read.studio().currency,
        **costs_shown(page),
    )


def _fire_of(number: int) -> str:
    return url_for("firings.firing", number=number) + "#fire"
