"""Running an outdoor session on a phone with gloves on: one tap for each thing that happens, network or none."""

from __future__ import annotations

from flask import Blueprint, current_app, jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, Sentences, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import Refusal
from tracker.domain.studio.people import Right
from tracker.forms.outdoor.outdoor_forms import read_tap
from tracker.usecases.outdoor import running as outdoor_running
from tracker.usecases.outdoor.running import Said
from tracker.usecases.outdoor.sessions import no_session
from tracker.usecases.outdoor.stories import SessionSeen, seen
from tracker.web.auth import OPEN, allows, asking, house
from tracker.web.error_handlers import receipt_json, refusal_json, status_of, wants_json
from tracker.web.outdoor.presenters import drawn, fuel_shown, round_shown, story_json
from tracker.web.piece_presenters import address_of
from tracker.web.presenters import catalog, told
from tracker.web.wording import said

pages = Blueprint("running", __name__)


@pages.get("/outdoor/<int:number>/run")
@allows(Right.FIRE)
def run(number: int) -> ResponseReturnValue:
    """The page beside the kiln: the round at hand with one button for what comes next, and the rounds after it."""
    it, known = _seen(number), catalog()
    if not it.session.is_open:
        return redirect(url_for("sessions.session", number=number))
    rounds = [round_shown(one, it, known) for one in it.rounds]
    present = it.present
    return render_template(
        "outdoor/run.html",
        it=it,
        rounds=rounds,
        drawings=drawn(it),
        present=present.number if present else 0,
        story=story_json(it),
        fuel=fuel_shown(house().store.read, it),
        zone=house().store.read.studio().timezone,
        may_photo=house().store.shelf is not None,
        another_day=None
        if outdoor_running.is_of_its_day(it.session, house().clock())
        else outdoor_running.planned_for(it.session),
        its_day=[round(moment.timestamp() * 1000) for moment in outdoor_running.its_day(it.session)],
        last=outdoor_running.last_to_take_back(it.session, it.taps),
    )


@pages.post("/outdoor/<int:number>/taps")
@allows(Right.FIRE)
def tap(number: int) -> ResponseReturnValue:
    """Keep one tap, as it came from a phone that may have kept it for hours, or from a page without script."""

    def do() -> Receipt:
        sent = read_tap(request.form, house().clock())
        heard = Said(
            did=sent.did,
            firing_id=sent.firing,
            ref=sent.piece,
            value=sent.value,
            inside=sent.inside,
            at=sent.at,
        )
        return outdoor_running.hear(house().store, asking(), number, heard)

    if not wants_json():
        return told(do, lambda _: url_for("running.run", number=number))
    try:
        receipt = do()
    except Refusal as refusal:
        return jsonify(refusal_json(refusal)), status_of(refusal)
    there = address_of(receipt.ref) if receipt.ref else None
    answer = receipt_json(receipt, word=said(_KEPT), piece_url=there, undo_url=None)
    return jsonify({**answer, "more": [said(one) for one in _beside(receipt)]})


_KEPT = Message("tap-saved", _("Saved"))


def _beside(receipt: Receipt) -> tuple[Message, ...]:
    """What a receipt says beside that the tap was kept: that two phones differ, or that a piece isn't on record."""
    sentences = dict(receipt.message.facts).get("sentences")
    return sentences.messages[1:] if isinstance(sentences, Sentences) else ()


@pages.get("/outdoor/<int:number>/story")
@allows(Right.FIRE)
def story(number: int) -> ResponseReturnValue:
    """What all phones together have said so far, for a phone to catch up with the others."""
    return jsonify(story_json(_seen(number)))


@pages.get("/outdoor/worker.js")
@allows(OPEN)
def worker() -> ResponseReturnValue:
    """The script that keeps the page beside the kiln when the network is gone; it serves this folder and no other."""
    answer = current_app.send_static_file("outdoor_worker.js")
    answer.headers["Cache-Control"] = "no-cache"
    return answer


def _seen(number: int) -> SessionSeen:
    read = house().store.read
    session = read.outdoors.session(number)
    if session is None:
        raise no_session(number)
    return seen(read, session, house().clock())
