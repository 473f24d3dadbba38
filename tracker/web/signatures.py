"""Signatures that every request is checked by: of its cookie, and of the token in a form that was sent."""

from __future__ import annotations

from copy import deepcopy
from datetime import datetime
from typing import Any

from flask import Flask, Request, g, request, session
from flask.sessions import SecureCookieSession, SecureCookieSessionInterface, SessionMixin
from flask_wtf.csrf import CSRFProtect
from itsdangerous import BadSignature, TimestampSigner, URLSafeTimedSerializer

_MOST_KEPT = 10_000
_MOST_READ = 1_000
_CLOCK = TimestampSigner("")
"""The clock by which cookies are signed; it signs nothing."""


class OneSerializer(SecureCookieSessionInterface):
    """Cookies as Flask signs them; what signs them is made once, not twice for each request."""

    def __init__(self) -> None:
        """Make nothing yet: the secret is known to the application."""
        self._made: URLSafeTimedSerializer | None = None
        self._read: dict[str, tuple[dict[str, Any], datetime]] = {}

    def get_signing_serializer(self, app: Flask) -> URLSafeTimedSerializer | None:
        """What signs the cookies of the one application that has this interface."""
        if self._made is None:
            self._made = super().get_signing_serializer(app)
        return self._made

    def open_session(self, app: Flask, request: Request) -> SecureCookieSession | None:
        """The session that a cookie holds; of one whose signature was good before only the age is looked at."""
        cookie, signing = request.cookies.get(self.get_cookie_name(app)), self.get_signing_serializer(app)
        if not cookie or signing is None:
            return super().open_session(app, request)
        known, lasts = self._read.get(cookie), app.permanent_session_lifetime
        if known is None:
            try:
                known = signing.loads(cookie, max_age=int(lasts.total_seconds()), return_timestamp=True)
            except BadSignature:
                return self.session_class()
            if len(self._read) >= _MOST_READ:
                self._read.clear()
            self._read[cookie] = known
        facts, signed_at = known
        is_over = _CLOCK.timestamp_to_datetime(_CLOCK.get_timestamp()) - signed_at > lasts
        return self.session_class() if is_over else self.session_class(deepcopy(facts))

    def should_set_cookie(self, app: Flask, session: SessionMixin) -> bool:
        """Whether the answer carries the cookie: a static file doesn't, since anything between may keep a copy.

        That a cookie lasts longer is said with the pages that somebody opens, not with each scan on one of them.
        """
        is_page = request.endpoint != "static"
        return is_page and (session.modified or request.method == "GET") and super().should_set_cookie(app, session)


class FormTokens(CSRFProtect):  # type: ignore[misc]  # the library has no types
    """Tokens of forms as Flask-WTF checks them; the same one beside the same cookie is checked once.

    A token says nothing but which cookie it belongs to, and has no end of its own (`WTF_CSRF_TIME_LIMIT` is None).
    """

    def __init__(self, app: Flask) -> None:
        """Look at the token of every form that is sent to `app`."""
        self._good: set[tuple[str, str]] = set()
        super().__init__(app)

    def protect(self, apply_exemptions: bool = False) -> None:  # noqa: FBT001, FBT002 -- the signature is the library's
        """Refuse a form that did not come from a page of ours."""
        both = (session.get("csrf_token", ""), request.form.get("csrf_token", ""))
        # Over https the library looks at where the form came from as well, each time.
        if both in self._good and not request.is_secure:
            g.csrf_valid = True
            return
        super().protect(apply_exemptions)
        if g.get("csrf_valid") and all(both):
            if len(self._good) >= _MOST_KEPT:
                self._good.clear()
            self._good.add(both)
