"""Who may open which page: every view says so beside itself, and one guard asks before any view runs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import ParamSpec, TypeVar, cast
from urllib.parse import quote
from uuid import UUID, uuid4

from flask import Flask, current_app, flash, g, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from tracker.domain.labels.tag_addresses import at_port
from tracker.domain.message import Either, Message, _
from tracker.domain.pieces.history import Request
from tracker.domain.quantities import days, hours
from tracker.domain.refusals import NotAllowed, Refusal
from tracker.domain.studio.people import RIGHTS, Person, Right
from tracker.settings import Settings
from tracker.store.unit_of_work import Store
from tracker.usecases.studio import badges, people
from tracker.web.kept_forms import KeptForm, filled, form_sent, read_kept
from tracker.web.shared_tablets import tablet_here
from tracker.wording.render import say

P = ParamSpec("P")
R = TypeVar("R")

OPEN = "open to all"
SIGNED_IN = "whoever is signed in"
_WITH_A_FIRST_PASSWORD = {"signing_in.password", "signing_in.set_password", "signing_in.sign_out"}
KEPT = "kept"
"""What stands in an address whose page is to be filled in with the form that the session keeps."""
KEPT_PAGE = "signing_in.kept"
_OK = 200
BY_BADGE = "by badge"
"""What stands in the cookie of a session that a badge began."""
LAST_BADGE = "last badge"
"""What stands there of the person whose badge it was, also when the session is over."""
_SCANS_BY_ADDRESS = {"finding.find", "pickup.pickup", "pieces.glazing"}
"""The pages that a scan opens; all others are sent a form."""
TOKEN = "token"  # noqa: S105 -- the name of a place in the cookie, not a secret


@dataclass(frozen=True, slots=True)
class House:
    """What every page works with: the store, the settings and the clock; `port` is where it is served, 0 if unknown."""

    store: Store
    settings: Settings
    clock: Callable[[], datetime]
    port: int = 0

    @property
    def tag_address(self) -> str:
        """Where the QR codes on tags lead: the address that is set, or else the studio's own at the port in use."""
        return self.settings.address or at_port(self.store.read.studio().address, self.port)


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
    app.after_request(_fill_in)


def _must_be_let_in() -> Response | None:
    endpoint = request.endpoint
    view = current_app.view_functions.get(endpoint or "")
    if view is None:
        return None
    person, must_change = g.person, g.must_change = _who_it_is()
    right = getattr(view, "allows", None)
    if right == OPEN or endpoint == "static":
        return None
    if person is None:
        return signed_out()
    if must_change and endpoint not in _WITH_A_FIRST_PASSWORD:
        return redirect(url_for("signing_in.password"))
    if right is None:
        message = f"{endpoint} does not say who may open it"
        raise RuntimeError(message)
    if right != SIGNED_IN:
        if request.method == "GET":
            _must_be_theirs_to_see(person, right)
        person.must_be_allowed(right)
    return None


def _must_be_theirs_to_see(person: Person, right: Right) -> None:
    """Refuse a page to whoever only looks, in words about looking."""
    if not person.may(right):
        roles = Either(tuple(sorted(RIGHTS[right], reverse=True)))
        raise NotAllowed(
            Message("page-of-others", _("This page is for the {roles}."), roles=roles),
            Message("own-pieces-instead", _("What you can do is in the menu.")),
        )


def signed_out() -> Response:
    """The sign-in page for whoever is not signed in, with the form that they sent, so that nothing is lost."""
    is_script = request.accept_mimetypes.best == "application/json"
    if not is_script and (kept := form_sent()) is not None:
        return current_app.make_response((sign_in_page(kept=kept.text()), 401))
    if request.method != "GET" and session.get(TOKEN):
        words = _("You were signed out, so nothing was changed. Sign in and try again.")
        flash(say(Message("signed-out-meanwhile", words)), "note")
    return redirect(url_for("signing_in.sign_in", next=_here()))


def sign_in_page(email: str = "", there: str = "/", refusal: Refusal | None = None, kept: str = "") -> str:
    """The page that asks for email and password; `kept` is a form that was sent before, as text."""
    student, staff = people.MAKERS_STAY.days, people.STAFF_STAY // timedelta(hours=1)
    words = _("You stay signed in on this device for {days}. Staff stay for {hours}.")
    stays = Message("stays-signed-in", words, days=days(student), hours=hours(staff))
    return render_template(
        "studio/sign_in.html",
        email=email,
        refusal=refusal,
        next=there,
        kept=kept,
        stays=say(stays),
        takes_badges=tablet_here() is not None,
        has_mail=house().store.outbox.is_on,
    )


def keep_and_show(kept: KeptForm) -> Response:
    """Keep a form in the session that is open now, and lead to its page, which is filled in with it."""
    people.keep_form(house().store, session.get(TOKEN, ""), kept.text())
    words = _("You were signed out, so nothing was changed. The page is as you left it. Press its button again.")
    flash(say(Message("form-is-back", words)), "note")
    if kept.had_files:
        flash(say(Message("files-again", _("Files weren't saved. Choose them again."))), "note")
    mark = "&" if "?" in kept.page else "?"
    return redirect(f"{kept.page}{mark}{KEPT}=1", 303)


def _fill_in(response: Response) -> Response:
    """Fill the kept form into the page that is asked for it; a page without that form leads to one that has it."""
    is_page = request.method == "GET" and KEPT in request.args and response.mimetype == "text/html"
    if not is_page or response.status_code != _OK or g.get("person") is None or request.endpoint == KEPT_PAGE:
        return response
    kept = read_kept(people.kept_form(house().store, session.get(TOKEN, "")) or "")
    if kept is None:
        return response
    page = filled(response.get_data(as_text=True), kept)
    if page is None:
        return redirect(url_for(KEPT_PAGE), 303)
    response.set_data(page)
    return response


def who_asks() -> Person | None:
    """Whoever is signed in with the cookie that came, also before the guard has looked."""
    if "person" not in g:
        g.person, g.must_change = _who_it_is()
    return cast("Person | None", g.person)


def _who_it_is() -> tuple[Person | None, bool]:
    token, here = session.get(TOKEN, ""), house()
    found = people.who(here.store, token, at=here.clock()) if token else None
    if found is None or not session.get(BY_BADGE):
        return found or (None, False)
    if request.method == "POST" or (request.endpoint in _SCANS_BY_ADDRESS and request.args):
        badges.stay(here.store, token, at=here.clock())
    # Whoever has a PIN of their own may work on a shared tablet before they chose a password.
    return found[0], False


def _here() -> str:
    """Where to go on after signing in: this page when it can simply be opened again."""
    if request.method != "GET":
        return "/"
    asked = request.query_string.decode("latin-1")
    return f"{quote(request.path)}?{asked}" if asked else quote(request.path)
