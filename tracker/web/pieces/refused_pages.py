"""Refused scans: what one person has still to deal with, on every device, with the way out of each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, jsonify, redirect, render_template, url_for

from tracker.domain.studio.people import Right
from tracker.usecases.pieces import refused_scans
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import wants_json
from tracker.web.piece_presenters import address_of

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from tracker.store.pieces.refused_scans import RefusedScan
    from tracker.web.presenters import Plain

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
    return {
        "ref": scan.ref,
        "href": address_of(scan.ref) if scan.is_piece else None,
        "at": scan.at,
        "title": scan.title,
        "says": scan.says,
        "remedy": scan.remedy,
        "again": {**scan.job, "ref": scan.ref},
        "unload_href": url_for("unloading.unloading", number=int(scan.job["unload"])) if "unload" in scan.job else None,
        "done_href": url_for("refused.deal_with", key=scan.key),
    }
