"""The end of mail about pieces, by the signed link in it, without signing in; a mail program may follow it too."""

from __future__ import annotations

import re

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from tracker.usecases.studio.mailing import STOP_PAGE, is_signed, stop_mail
from tracker.web.auth import OPEN, allows, house

pages = Blueprint("mails", __name__)

_NOT_FOUND = 404


@pages.get(STOP_PAGE)
@allows(OPEN)
def stop() -> ResponseReturnValue:
    """Ask whether the mail shall stop: mail scanners open links, so opening this one does nothing."""
    person, signature = _sent()
    if not is_signed(house().store, person, signature):
        return render_template("studio/stop_mail.html"), _NOT_FOUND
    return render_template("studio/stop_mail.html", query={"p": person, "s": signature})


@pages.post(STOP_PAGE)
@allows(OPEN)
def stop_now() -> ResponseReturnValue:
    """Stop the mail: for the page, and for a mail program's one click (RFC 8058), which has no page of ours."""
    person, signature = _sent()
    is_done = stop_mail(house().store, person, signature)
    return render_template("studio/stop_mail.html", is_done=is_done), 200 if is_done else _NOT_FOUND


def _sent() -> tuple[int, str]:
    """Whom the link is for, 0 for nobody, and how it is signed."""
    number = re.fullmatch(r"[0-9]{1,9}", request.args.get("p", ""), re.ASCII)
    return int(number[0]) if number else 0, request.args.get("s", "")[:64]
