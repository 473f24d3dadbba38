"""The cookie of a browser on which badges sign in: the instructor says so of a tablet that stands in the studio."""

from __future__ import annotations

import secrets
from datetime import timedelta

from flask import current_app, request
from itsdangerous import BadSignature, URLSafeSerializer
from werkzeug.wrappers import Response

from tracker.usecases.studio.badges import SharedTablet

COOKIE = "footring_tablet"
_KEPT = timedelta(days=365)


def tablet_here() -> SharedTablet | None:
    """The shared tablet that this request comes from; None from any other browser."""
    kept = request.cookies.get(COOKIE, "")
    try:
        return SharedTablet(str(_signing().loads(kept))) if kept else None
    except (BadSignature, ValueError, TypeError):
        return None


def share(answer: Response) -> None:
    """Let badges sign in on this browser, for a year."""
    answer.set_cookie(
        COOKIE,
        _signing().dumps(secrets.token_urlsafe(12)),
        max_age=_KEPT,
        secure=current_app.config["SESSION_COOKIE_SECURE"],
        httponly=True,
        samesite="Strict",
    )


def stop_sharing(answer: Response) -> None:
    """Let no badge sign in on this browser anymore."""
    answer.delete_cookie(COOKIE)


def _signing() -> URLSafeSerializer:
    return URLSafeSerializer(current_app.config["SECRET_KEY"], salt="footring-tablet")
