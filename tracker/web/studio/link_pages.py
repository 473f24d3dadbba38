"""A password by a link in a mail: asking for the link, and choosing the password with it."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.quantities import minutes
from tracker.domain.refusals import Refusal, TooSoon, Unusable
from tracker.domain.studio.mails import LINK_LASTS, PASSWORD_LINKS_APART, MailKind
from tracker.usecases.studio import password_links
from tracker.usecases.studio.mailing import LINK_PAGE
from tracker.web.auth import OPEN, allows, house
from tracker.web.error_handlers import retry_after, status_of
from tracker.web.studio.sign_in import begin

pages = Blueprint("links", __name__)

_LASTS = Message(
    "link-lasts", _("It works once, for {time}."), time=minutes(LINK_LASTS[MailKind.PASSWORD].seconds // 60)
)
_AGAIN = Message(
    "link-again",
    _("Asked before, within {time}? Use the link from then. No second one is sent while it works."),
    time=minutes(PASSWORD_LINKS_APART.seconds // 60),
)


@pages.get("/forgot-password")
@allows(OPEN)
def forgot() -> ResponseReturnValue:
    """Ask for the email of whoever forgot their password; without mail, it says who can help."""
    has_mail = house().store.outbox.is_on
    return render_template("studio/forgot_password.html", email=request.args.get("email", "")[:254], has_mail=has_mail)


@pages.post("/forgot-password")
@allows(OPEN)
def ask() -> ResponseReturnValue:
    """Mail a link, and say the same to everybody, whether somebody has that email or not."""
    email = request.form.get("email", "").strip()[:254]
    try:
        password_links.ask_for_link(house().store, email, at=house().clock(), address=request.remote_addr or "")
    except TooSoon as refusal:
        page = render_template("studio/forgot_password.html", email=email, refusal=refusal, has_mail=True)
        return page, status_of(refusal), retry_after(refusal)
    return render_template("studio/forgot_password.html", email=email, is_sent=True, lasts=_LASTS, again=_AGAIN)


@pages.get(LINK_PAGE)
@allows(OPEN)
def link() -> ResponseReturnValue:
    """Ask whoever followed the link for a new password. Only sending it uses the link: mail servers open links too."""
    return _chooser(request.args.get("t", "")[:100])


@pages.post(LINK_PAGE)
@allows(OPEN)
def choose() -> ResponseReturnValue:
    """Set the password, and go in."""
    token = request.form.get("t", "")[:100]
    try:
        begun = password_links.choose_by_link(house().store, token, request.form.get("new", ""), at=house().clock())
    except Unusable as refusal:
        return _chooser(token, refusal)
    except Refusal:
        return _chooser(token)
    if begun is None:
        return render_template("studio/join.html", state="waits")
    begin(begun)
    return redirect(url_for("signing_in.first_page"), 303)


def _chooser(token: str, refusal: Unusable | None = None) -> ResponseReturnValue:
    try:
        someone = password_links.whose_link(house().store, token, at=house().clock())
    except Refusal as ended:
        return render_template("studio/password_link.html", ended=ended), status_of(ended)
    errors = [("new", one) for one in refusal.problems] if refusal else []
    page = render_template("studio/password_link.html", who=someone, token=token, errors=errors)
    return page, status_of(refusal) if refusal else 200
