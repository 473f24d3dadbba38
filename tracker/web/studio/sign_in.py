"""Signing in and out, and choosing a password."""

from __future__ import annotations

from collections.abc import Mapping

from flask import Blueprint, flash, g, redirect, render_template, request, session, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.refusals import Refusal, Unusable
from tracker.domain.studio.passwords import OLD_WRONG
from tracker.domain.studio.people import Person, Right
from tracker.forms.page_forms import BadForm, OwnSettingsForm, read_form
from tracker.forms.studio.settings_schema import NEWS_IN_WORDS, PAPER_IN_WORDS, UNITS_IN_WORDS
from tracker.usecases.studio import people
from tracker.web.auth import (
    BY_BADGE,
    KEPT,
    LAST_BADGE,
    OPEN,
    SIGNED_IN,
    TOKEN,
    allows,
    house,
    keep_and_show,
    sign_in_page,
)
from tracker.web.devices import device_here, remember_device
from tracker.web.error_handlers import retry_after, status_of
from tracker.web.kept_forms import read_kept
from tracker.web.labels.printer import PRINTERS
from tracker.web.wording import said

pages = Blueprint("signing_in", __name__)


@pages.get("/")
@allows(SIGNED_IN)
def first_page() -> ResponseReturnValue:
    """The page a person starts from: Today for those who run the studio, the student's own pieces for a student."""
    return redirect(url_for(_first_of(g.person)))


@pages.get("/sign-in")
@allows(OPEN)
def sign_in() -> ResponseReturnValue:
    """Ask for email and password."""
    if g.person is not None:
        return redirect(url_for("signing_in.first_page"))
    return sign_in_page(there=inside(request.args.get("next", "")))


@pages.post("/sign-in")
@allows(OPEN)
def sign_in_now() -> ResponseReturnValue:
    """Begin a session and go on to where the person wanted to be."""
    there = inside(request.form.get("next", ""))
    email = request.form.get("email", "").strip()[:254]
    device = device_here()
    try:
        token, person = people.sign_in(
            house().store,
            email,
            request.form.get("password", ""),
            at=house().clock(),
            address=request.remote_addr or "",
            device=device,
        )
    except Refusal as refusal:
        page = sign_in_page(email, there, refusal, request.form.get(KEPT, ""))
        return page, status_of(refusal), retry_after(refusal)
    begin(token)
    kept = read_kept(request.form.get(KEPT, ""))
    answer = redirect(there) if kept is None else keep_and_show(kept)
    remember_device(answer, device, person)
    return answer


@pages.post("/sign-out")
@allows(SIGNED_IN)
def sign_out() -> ResponseReturnValue:
    """End the session, here and in the store."""
    people.sign_out(house().store, session.get(TOKEN, ""))
    begin("")
    return redirect(url_for("signing_in.sign_in"))


_UNREAD = {"seen", "ref"}
"""The fields of a form that tell its sender nothing."""


@pages.get("/kept-form")
@allows(SIGNED_IN)
def kept() -> ResponseReturnValue:
    """The form that was sent before signing in, where its own page can't show it: what it says, to be sent again."""
    form = read_kept(people.kept_form(house().store, session.get(TOKEN, "")) or "")
    told = [value for name, value in form.fields if name not in _UNREAD and value.strip()] if form else []
    return render_template("studio/kept_form.html", kept=form, told=told)


@pages.get("/password")
@allows(SIGNED_IN)
def password() -> ResponseReturnValue:
    """Ask for a new password."""
    return render_template("studio/password.html", errors=(), is_first=g.must_change)


@pages.post("/password")
@allows(SIGNED_IN)
def set_password() -> ResponseReturnValue:
    """Set the new password, and let the person sign in with it."""
    old, new = request.form.get("old", ""), request.form.get("new", "")
    try:
        people.set_password(house().store, g.person, old, new, at=house().clock(), token=session.get(TOKEN, ""))
    except Unusable as refusal:
        errors = [("old" if one == OLD_WRONG else "new", one) for one in refusal.problems]
        page = render_template("studio/password.html", errors=errors, is_first=g.must_change)
        return page, status_of(refusal)
    begin("")
    flash(said(Message("password-set", _("Password changed. Sign in again."))))
    return redirect(url_for("signing_in.sign_in"))


@pages.get("/me")
@allows(SIGNED_IN)
def own_settings() -> ResponseReturnValue:
    """Ask in which units the person reads and types, and on which paper they print."""
    news = house().store.outbox.wish(g.person.id)
    return _own_settings({"units": g.person.units or "", "paper": g.person.paper or "", "news": news})


@pages.post("/me")
@allows(SIGNED_IN)
def set_own_settings() -> ResponseReturnValue:
    """Keep the person's units and paper; the next page is in those units."""
    try:
        chosen = read_form(OwnSettingsForm(), request.form)
    except BadForm as bad:
        return _own_settings(request.form, bad), status_of(bad)
    people.choose_own_settings(house().store, g.person, chosen.units, chosen.paper)
    if chosen.news is not None:
        house().store.outbox.choose(g.person.id, chosen.news)
    flash(said(Message("own-settings-saved", _("Your settings are saved."))))
    return redirect(url_for("signing_in.own_settings"), 303)


def _own_settings(sent: Mapping[str, str], bad: BadForm | None = None) -> str:
    return render_template(
        "studio/own_settings.html",
        units=UNITS_IN_WORDS,
        papers=PAPER_IN_WORDS,
        wishes=NEWS_IN_WORDS if house().store.outbox.is_on else {},
        sent=sent,
        problems=bad.fields if bad else {},
    )


def begin(token: str, *, badge_of: Person | None = None) -> None:
    """Begin a session, or end it with no token; what the browser knows of its printers stays."""
    printers = session.get(PRINTERS)
    session.clear()
    if printers:
        session[PRINTERS] = printers
    # As long as the longest that anybody stays: the store knows when each session ends.
    session.permanent = True
    if token:
        session[TOKEN] = token
    if badge_of is not None:
        session[BY_BADGE] = True
        session[LAST_BADGE] = badge_of.id


def _first_of(person: Person) -> str:
    return "today.today" if person.may(Right.MOVE) else "pieces.mine"


def inside(there: str) -> str:
    """An address within this house; anything else is the first page."""
    is_inside = there.startswith("/") and not there.startswith(("//", "/\\")) and there.isprintable()
    return there if is_inside else "/"
