"""Refused scans: what one person has still to deal with, on every device, with the way out of each."""

from __future__ import annotations

from flask import Blueprint, g, jsonify, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.findings import Level
from tracker.domain.message import Message
from tracker.domain.pieces.piece import StepName
from tracker.domain.refusals import Unknown
from tracker.domain.studio.people import Right
from tracker.store.pieces.refused_scans import RefusedScan
from tracker.usecases.pieces import pieces, refused_scans
from tracker.usecases.pieces.jobs import Job
from tracker.usecases.pieces.lookup import find_row, likely_refs
from tracker.usecases.pieces.ways_out import open_queues
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import wants_json
from tracker.web.piece_presenters import address_of
from tracker.web.pieces.scan_refusals import IT_IS, TO_SHELF, found_url, job_in, way_out
from tracker.web.presenters import Plain, catalog

pages = Blueprint("refused", __name__)


@pages.get("/scan/refused")
@allows(Right.MOVE)
def refused() -> ResponseReturnValue:
    """One's own scans that were refused and not dealt with yet."""
    scans = refused_scans.list_refused(house().store, asking())
    return render_template("pieces/refused.html", scans=[_shown(one) for one in scans])


@pages.post("/scan/refused/<uuid:key>")
@allows(Right.MOVE)
def deal_with(key: object) -> ResponseReturnValue:
    """Take one of them off the list."""
    refused_scans.deal_with(house().store, asking(), str(key))
    if wants_json():
        return jsonify({"ok": True, "word": "", "says": "", "mend": ""})
    return redirect(url_for("refused.refused"), 303)


def _shown(scan: RefusedScan) -> Plain:
    is_at_kiln = "unload" in scan.job or "firing" in scan.job
    return {
        "ways": [] if is_at_kiln else _ways(scan),
        "found_url": None if is_at_kiln or not scan.is_piece else found_url(scan.ref, job_in(scan.job)),
        "ref": scan.ref,
        "href": address_of(scan.ref) if scan.is_piece else None,
        "at": scan.at,
        "title": scan.title,
        "says": scan.says,
        "remedy": scan.remedy,
        "again": {**scan.job, "ref": scan.ref},
        "firing_href": url_for("firings.firing", number=int(scan.job["firing"])) if "firing" in scan.job else None,
        "unload_href": url_for("unloading.unloading", number=int(scan.job["unload"])) if "unload" in scan.job else None,
        "done_href": url_for("refused.deal_with", key=scan.key),
    }


def _ways(scan: RefusedScan) -> list[Plain]:
    """The buttons that its line had, as the piece is now: the shelf where it belongs, or the piece that was meant."""
    job, read = job_in(scan.job), house().store.read
    try:
        piece = find_row(read, scan.ref, g.person).piece.at(house().clock())
    except Unknown as unknown:
        meant = likely_refs(unknown)
        return [way_out(one, job, Message("it-is-that-piece", IT_IS, piece=one), scan.key) for one in meant]
    verdicts = {route.name: verdict.level for route, verdict in pieces.prospects(catalog(), piece)}
    if job.step != StepName.QUEUE or verdicts.get(job.route) is not Level.REFUSE:
        return []
    return [
        way_out(
            scan.ref,
            Job(StepName.QUEUE, one.name),
            Message("to-that-shelf", TO_SHELF, firing=one.title),
            scan.key,
        )
        for one in open_queues(piece, catalog(), read.questions.of_piece(piece.id))
    ]
