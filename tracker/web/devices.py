"""The cookie by which a browser is known as one on which somebody signed in before; it opens nothing."""

from __future__ import annotations

import secrets
from datetime import timedelta

from flask import current_app, request
from itsdangerous import BadSignature, URLSafeSerializer
from werkzeug.wrappers import Response

from tracker.domain.studio.people import Person
from tracker.domain.studio.sign_in_waits import Device

COOKIE = "footring_device"
_KEPT = timedelta(days=365)
_MOST_PEOPLE = 50
"""How many people one device is known for: a studio's tablet is shared."""


def device_here() -> Device:
    """The browser of this request; one without a name, known for nobody, where no cookie of ours came."""
    try:
        name, people = _signing().loads(request.cookies.get(COOKIE, ""))
    except (BadSignature, ValueError, TypeError):
        return Device()
    return Device(name, tuple(people))


def remember_device(answer: Response, device: Device, person: Person) -> None:
    """Let the browser keep that this person signed in on it, for a year after the last time."""
    people = [person.id, *(one for one in device.people if one != person.id)][:_MOST_PEOPLE]
    answer.set_cookie(
        COOKIE,
        _signing().dumps([device.name or secrets.token_urlsafe(16), people]),
        max_age=_KEPT,
        path="/sign-in",
        secure=current_app.config["SESSION_COOKIE_SECURE"],
        httponly=True,
        samesite="Strict",
    )


def _signing() -> URLSafeSerializer:
    return URLSafeSerializer(current_app.config["SECRET_KEY"], salt="footring-device")
