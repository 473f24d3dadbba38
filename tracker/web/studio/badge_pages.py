"""Signing in with a badge on a shared tablet, and the instructor's part of it: badges, PINs and tablets."""

from __future__ import annotations

from flask import Blueprint, flash, g, redirect, render_template, request, session, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.refusals import NotAllowed, Refusal
from tracker.domain.studio.people import Right
from tracker.usecases.studio import badges, people
from tracker.usecases.studio.badges import SharedTablet
from tracker.web.auth import KEPT, LAST_BADGE, OPEN, TOKEN, allows, asking, house, keep_and_show
from tracker.web.error_handlers import retry_after, status_of
from tracker.web.kept_forms import read_kept
from tracker.web.shared_tablets import share, stop_sharing, tablet_here
from tracker.web.studio.people_pages import known_person, pin_page
from tracker.web.studio.sign_in import begin, inside
from tracker.web.wording import said, said_refusal

pages = Blueprint("badges", __name__)

LONGEST = 20


@pages.post("/badge")
@allows(OPEN)
def scanned() -> ResponseReturnValue:
    """A badge was scanned on a shared tablet: whoever was signed in there is signed out, and its PIN is asked for."""
    _tablet()
    there = inside(request.form.get("next", ""))
    text = request.form.get("badge", "")[:LONGEST]
    try:
        badges.holder_of(house().store, text)
    except Refusal as refusal:
        flash(said_refusal(refusal), "stop")
        return redirect(there, 303)
    if g.person is not None:
        people.sign_out(house().store, session.get(TOKEN, ""))
        begin("")
        g.person = None
    return _ask_pin(text, there)


@pages.post("/badge/pin")
@allows(OPEN)
def enter() -> ResponseReturnValue:
    """Sign in with the badge that was scanned and its PIN, and go on where the tablet was.

    A form that was sent after its ten minutes comes back to whoever sent it, and to nobody else.
    """
    tablet = _tablet()
    there = inside(request.form.get("next", ""))
    text, pin = request.form.get("badge", "")[:LONGEST], request.form.get("pin", "").strip()[:LONGEST]
    try:
        token, person = badges.sign_in_by_badge(house().store, text, pin, at=house().clock(), tablet=tablet)
    except Refusal as refusal:
        return _ask_pin(text, there, refusal), status_of(refusal), retry_after(refusal)
    kept = read_kept(request.form.get(KEPT, "")) if session.get(LAST_BADGE) == person.id else None
    begin(token, badge_of=person)
    if kept is not None:
        return keep_and_show(kept)
    flash(said(Message("signed-in-by-badge", _("{name} is signed in."), name=person.name)))
    return redirect(there, 303)


@pages.post("/badge/tablet")
@allows(Right.PEOPLE)
def share_this() -> ResponseReturnValue:
    """Let badges sign in on this very device, or no more."""
    answer = redirect(url_for("people.people"), 303)
    if request.form.get("shared") == "yes":
        share(answer)
        words = _("Badges now work on this device. Sign out before you leave it.")
    else:
        stop_sharing(answer)
        words = _("Badges no longer work on this device.")
    flash(said(Message("tablet-shared", words)))
    return answer


@pages.post("/people/<int:number>/badge")
@allows(Right.PEOPLE)
def issue(number: int) -> ResponseReturnValue:
    """Make a badge and a PIN; the PIN is shown on this one page and nowhere else."""
    try:
        pin = badges.issue_badge(house().store, asking(), number)
    except NotAllowed as refusal:
        flash(said_refusal(refusal), "stop")
        return redirect(url_for("people.person", number=number), 303)
    return pin_page(known_person(number), pin)


@pages.post("/people/<int:number>/badge/revoke")
@allows(Right.PEOPLE)
def revoke(number: int) -> ResponseReturnValue:
    """Take a badge away for good."""
    badges.revoke_badge(house().store, asking(), number)
    flash(said(Message("badge-revoked", _("The badge no longer works."))))
    return redirect(url_for("people.person", number=number), 303)


def _tablet() -> SharedTablet:
    tablet = tablet_here()
    if tablet is None:
        raise NotAllowed(
            Message("not-a-shared-tablet", _("Badges don't work on this device.")),
            Message("sign-in-by-password", _("Sign in with your email and password.")),
        )
    return tablet


def _ask_pin(badge: str, there: str, refusal: Refusal | None = None) -> str:
    owner, kept = badges.owner_of(house().store, badge), request.form.get(KEPT, "")
    name = owner.short_name if owner else ""
    return render_template("studio/pin.html", badge=badge, next=there, name=name, kept=kept, refusal=refusal)
