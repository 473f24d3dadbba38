"""Unloading a kiln: what came of each piece, said one by one with a scanner or all at once on a form."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import MultiDict

from tracker.domain.firing.firings import FiringStage
from tracker.domain.labels.keyboards import letters_of_codes
from tracker.domain.message import Message, _
from tracker.domain.pieces.codes import ALPHABET
from tracker.domain.pieces.outcomes import AFTER_BISQUE, Flaw, Outcome
from tracker.domain.refusals import NotAStep, Refusal, Unknown
from tracker.domain.rules.unloading_checks import ORDERS
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.people import Right
from tracker.forms.firing.outcome_forms import LONGEST_NOTE, read_outcomes
from tracker.forms.firing.said_forms import ABSENT, is_unless_said, read_said
from tracker.store.firing.queries import FiringPage
from tracker.store.pieces.refused_scans import RefusedScan
from tracker.usecases.firing import unloading as unloading_them
from tracker.usecases.firing.before_unloading import heat_in_doubt, kept_shut, may_be_cold
from tracker.usecases.firing.reached_cones import missed_of
from tracker.usecases.firing.unloading import find_in_kiln, said_already, say_of
from tracker.usecases.pieces.lookup import find_row, likely_refs
from tracker.usecases.pieces.refused_scans import keep_refused, list_refused
from tracker.usecases.pieces.ware_shelves import known_shelves
from tracker.web.auth import allows, asking, house
from tracker.web.commands_here import commands_shown
from tracker.web.error_handlers import receipt_json, refusal_json, status_of
from tracker.web.firing.firing_choices import known_firing
from tracker.web.firing.late_scans import late_shown, out_of_it
from tracker.web.firing.missed_targets import come_out_wrong, cone_choices, cone_sent, look_at_each
from tracker.web.firing.presenters import wrong_shown
from tracker.web.firing.said_so_far import fields_of, with_said
from tracker.web.piece_presenters import address_of
from tracker.web.presenters import all_waiting_shown, catalog, flaw_groups, ref_in
from tracker.web.wording import said

pages = Blueprint("unloading", __name__)

_LONGEST_REF = 60
_RESULTS = (
    (str(Outcome.GOOD), Message("came-good", _("Good"))),
    (str(Outcome.BROKE), Message("came-broken", _("Broke"))),
    (ABSENT, Message("came-absent", _("Wasn't in the kiln"))),
    ("", Message("came-unsaid", _("Not checked yet"))),
)


@pages.get("/firings/<int:number>/unload")
@allows(Right.FIRE)
def unloading(number: int) -> ResponseReturnValue:
    """Ask for the outcome of each piece."""
    page = known_firing(number)
    if page.firing.stage is FiringStage.UNLOADED or not page.pieces:
        return redirect(url_for("firings.firing", number=number))
    so_far = with_said(MultiDict(), page, house().store.read.firings.taken_out(number))
    return _unload_page(page, so_far, None)


@pages.post("/firings/<int:number>/unload/piece")
@allows(Right.FIRE)
def say(number: int) -> ResponseReturnValue:
    """Keep what is said of one piece, for the script of the page; what is refused stays to deal with."""
    ref = request.form.get("ref", "")[:_LONGEST_REF]
    try:
        unless_said = is_unless_said(request.form, ref)
        receipt = say_of(house().store, asking(), number, ref, read_said(request.form, ref), unless_said=unless_said)
    except Refusal as refusal:
        return _kept(number, ref, refusal)
    answer = receipt_json(receipt, word=said(Message("saved", _("Saved"))), piece_url=None, undo_url=None)
    return jsonify({**answer, "stood": bool(receipt.extra.get("stood")), **_state(number)})


@pages.post("/firings/<int:number>/unload/scan")
@allows(Right.FIRE)
def scanned(number: int) -> ResponseReturnValue:
    """Say what was scanned that the page knows no piece by; unless it is in the kiln it stays to deal with."""
    ref = request.form.get("ref", "")[:_LONGEST_REF]
    try:
        piece = find_in_kiln(house().store.read, asking().by, number, ref)
    except NotAStep as refusal:
        return _kept(number, ref, out_of_it(refusal, number, find_row(house().store.read, ref, asking().by).ref))
    except Refusal as refusal:
        return _kept(number, ref, refusal)
    inside = Message("in-this-kiln", _("{piece} is in this kiln. Reload the page."), piece=piece.ref)
    return jsonify({"ok": True, "word": "", "says": said(inside), "mend": "", "code": piece.ref})


@pages.get("/firings/<int:number>/unload/said")
@allows(Right.FIRE)
def said_so_far(number: int) -> ResponseReturnValue:
    """What was said of each piece so far, on whatever device, and whether the firing is unloaded by now."""
    return jsonify(_state(number))


@pages.post("/firings/<int:number>/unload")
@allows(Right.FIRE)
def unload(number: int) -> ResponseReturnValue:
    """Unload a firing; a bisque gives its pieces their codes now."""
    page = known_firing(number)
    entered = with_said(request.form.copy(), page, house().store.read.firings.taken_out(number))
    sent = entered.copy()
    absent = [row.ref for row in page.pieces if sent.get(f"outcome-{row.ref}") == ABSENT]
    refs = [row.ref for row in page.pieces if row.ref not in absent]
    # Of what was expected to come out wrong somebody says how it did: it isn't good with the rest.
    missed = missed_of(house().store.read, page.firing)
    expected_wrong = {row.ref for row, _found in come_out_wrong(page, missed)}
    unsaid = [ref for ref in refs if not sent.get(f"outcome-{ref}") and f"flaw-{ref}" not in sent]
    to_look_at = [ref for ref in unsaid if ref in expected_wrong]
    rest = [ref for ref in unsaid if ref not in expected_wrong]
    for ref in rest:
        sent[f"outcome-{ref}"] = request.form.get("rest", "")
    try:
        if to_look_at and "rest" in request.form:
            raise look_at_each(page, missed, to_look_at)
        outcomes = read_outcomes(sent, refs)
        was_fired = "fired" in request.form
        shelves = dict.fromkeys(rest, request.form["shelf"]) if request.form.get("shelf", "").strip() else {}
        unloading_them.unload(
            house().store,
            asking(),
            number,
            outcomes,
            was_fired=was_fired,
            counts=cone_sent(request.form.get("counts", "")),
            absent=absent,
            shelves=shelves,
        )
    except Refusal as refusal:
        if page.firing.stage is FiringStage.UNLOADED:
            return redirect(url_for("firings.firing", number=number), 303)
        # What was entered, and nothing more: what was to be good with the rest isn't yet.
        return _unload_page(page, entered, refusal), status_of(refusal)
    return redirect(url_for("firings.firing", number=number), 303)


def _state(number: int) -> dict[str, Any]:
    page = known_firing(number)
    so_far = with_said(MultiDict(), page, house().store.read.firings.taken_out(number))
    said_of = {row.ref: fields_of(so_far, row.ref) for row in page.pieces}
    told = {row.ref: said_already(house().store.read, number, row.piece) for row in page.pieces if said_of[row.ref]}
    sentences = {ref: said(message) for ref, message in told.items() if message is not None}
    return {"said": said_of, "told": sentences, "over": page.firing.stage is FiringStage.UNLOADED}


def _kept(number: int, ref: str, refusal: Refusal) -> ResponseReturnValue:
    """A refusal, once it is on the list of whoever scanned, with where it is marked as dealt with."""
    asks = asking()
    title = Message("unload-firing", _("Unload firing {firing}"), firing=str(number))
    keep_refused(house().store, asks, ref, {"unload": str(number)}, title, refusal, refusal.remedy)
    known = ref_in(ref)
    return jsonify(
        {
            **refusal_json(refusal),
            "code": known or ref,
            "piece_url": address_of(known) if known else None,
            "done_url": url_for("refused.deal_with", key=asks.key),
            "likely": likely_refs(refusal) if isinstance(refusal, Unknown) else (),
        }
    ), status_of(refusal)


def _unload_page(page: FiringPage, sent: MultiDict[str, str], refusal: Refusal | None) -> str:
    groups = flaw_groups()
    of_raw = [(title, [one for one in flaws if Flaw(one[0]) in AFTER_BISQUE]) for title, flaws in groups]
    raws = {row.ref for row in page.pieces if row.piece.id in page.raw_ids}
    read = house().store.read
    shut = kept_shut(read, page.firing, house().clock())
    to_do = list_refused(house().store, asking())
    doubt = None if shut else heat_in_doubt(read, page.firing, house().clock())
    missed = missed_of(read, page.firing)
    return render_template(
        "firing/unload.html",
        page=page,
        rows=all_waiting_shown(page.pieces, catalog()),
        groups=groups,
        raw_groups=[group for group in of_raw if group[1]],
        raws=raws,
        results=_RESULTS,
        longest_note=LONGEST_NOTE,
        sent=sent,
        refusal=shut or refusal,
        shut=shut is not None,
        cold=may_be_cold(read, page.firing),
        doubt=doubt,
        doubt_asked=doubt is not None and (refusal is None or refusal.message.code != doubt.message.code),
        missed=missed,
        cone_choices=cone_choices(missed) if missed else (),
        goes={row.ref: _goes(page, row.piece.id) for row in page.pieces},
        shelves=known_shelves(read),
        orders=[[value, said(one.message), one.is_kept, one.is_last] for value, one in ORDERS.items()],
        commands=commands_shown(),
        keyboards=letters_of_codes(f"{ALPHABET}W0123456789"),
        no_pieces=[_no_piece_shown(one) for one in to_do if one.job.get("unload") == str(page.firing.id)],
        late=late_shown(page.firing.id),
        **wrong_shown(page, missed),
    )


def _goes(page: FiringPage, piece_id: int) -> Message | None:
    """Where a piece that came out whole is put, unless somebody names a shelf."""
    if piece_id in page.raw_ids:
        return Message("to-its-ticket", _("Keep it next to its ticket."))
    if page.firing.route.kind is RouteKind.BISQUE:
        return None
    return Message("to-pickup", _("Put it on the pickup shelf."))


def _no_piece_shown(scan: RefusedScan) -> dict[str, Any]:
    """A scan of this kiln that was refused and isn't dealt with."""
    return {
        "ref": scan.ref,
        "href": address_of(scan.ref) if scan.is_piece else None,
        "says": scan.says,
        "mend": scan.remedy,
        "done_url": url_for("refused.deal_with", key=scan.key),
    }
