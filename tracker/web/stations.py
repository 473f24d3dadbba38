"""How the scanner at this station types: a cookie of this browser, set on the page that tries a scanner out."""

from __future__ import annotations

import json
from datetime import timedelta

from flask import current_app, request
from werkzeug.wrappers import Response

from tracker.domain.labels.keyboards import Layout, meant_by
from tracker.domain.pieces.scanned import as_scanned

COOKIE = "footring_keys"
_KEPT = timedelta(days=730)


def layout_here() -> Layout | None:
    """The keyboard layout that was found at this station; None where nobody tried its scanner out."""
    kept = request.cookies.get(COOKIE, "")
    return Layout(kept) if kept and kept in set(Layout) else None


def keep_layout(answer: Response, layout: Layout | None) -> None:
    """Let the browser keep its layout, or forget it."""
    if layout is None:
        answer.delete_cookie(COOKIE)
        return
    secure = current_app.config["SESSION_COOKIE_SECURE"]
    answer.set_cookie(COOKIE, layout, max_age=_KEPT, secure=secure, httponly=True, samesite="Lax")


def scanned(text: str) -> str:
    """What was scanned or typed at this station, with its scanner's keys put right."""
    return as_scanned(text, layout_here())


def keys_here() -> str:
    """For scripts: which key is meant by each letter that arrives; empty where all arrive as they are meant."""
    layout = layout_here()
    return "" if layout is None or layout is Layout.US else json.dumps(meant_by(layout), ensure_ascii=False)
