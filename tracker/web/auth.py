"""Who may open which page: every view says so beside itself, and one guard asks before any view runs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ParamSpec, TypeVar, cast
from urllib.parse import quote
from uuid import UUID, uuid4

from flask import current_app, flash, g, redirect, request, session, url_for

from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Request
from tracker.usecases.studio import people
from tracker.wording.render import say

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from flask import Flask
    from werkzeug.wrappers import Response

    from tracker.domain.studio.people import Person, Right
    from tracker.settings import Settings
    from tracker.store.unit_of_work import Store

P = ParamSpec("P")
R = TypeVar("R")

OPEN = "open to all"
SIGNED_IN = "whoever is signed in"
_WITH_A_FIRST_PASSWORD = {"signing_in.password", "signing_in.set_password", "signing_in.sign_out"}
TOKEN = "token"  # noqa: S105 -- the name of a place in the cookie, not a secret


@dataclass(frozen=True, slots=True)
class House:
    """What every page works with: the store, the settings and the clock."""

    store: Store
    settings: Settings
    clock: Callable[[], datetime]


def house() -> House:
    """The house of the application that is running."""
    return cast("House", current_app.extensions["footring"])


def allows(right: Right | str) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Say beside a view which right opens it, or `OPEN`, or `SIGNED_IN`."""

    def mark(view: Callable[P, R]) -> Callable[P, R]:
        view.allows = right  # type: ignore[attr-defined]  # a function carries what it declares
        return view

    return mark


def asking() -> Request:
    """What the person who sends this request asks for: with the form's key, so that it happens once."""
    return Request(_key(request.form.get("key", "")), g.person, house().clock())


def fresh_key() -> str:
    """A new request key for a form."""
    return str(uuid4())


def _key(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError:
        return uuid4()


def guard(app: Flask) -> None:
    """Put the guard before every view of `app`."""
    app.before_request(_must_be_let_in)


def _must_be_let_in() -> Response | None:
    view = current_app.view_functions.get(request.endpoint or "")
    if view is None:
        return None
    g.person, must_change = _who_it_is()
    right = getattr(view, "allows", None)
    if right == OPEN or request.endpoint == "static":
        return None
    if g.person is None:
        if request.method != "GET" and session.get(TOKEN):
            words = _("You were signed out, so nothing was changed. Sign in and try again.")
            flash(say(Message("signed-out-meanwhile", words)), "note")
        return redirect(url_for("signing_in.sign_in", next=_here()))
    if must_change and request.endpoint not in _WITH_A_FIRST_PASSWORD:
        return redirect(url_for("signing_in.password"))
    if right is None:
        message = f"{request.endpoint} does not say who may open it"
        raise RuntimeError(message)
    if right != SIGNED_IN:
        g.person.must_be_allowed(right)
    return None


def _who_it_is() -> tuple[Person | None, bool]:
    token = session.get(TOKEN, "")
    found = people.who(house().store, token, at=house().clock()) if token else None
    return found or (None, False)


def _here() -> str:
    """Where to go on after signing in: this page when it can simply be opened again."""
    return quote(request.full_path.rstrip("?")) if request.method == "GET" else "/"
