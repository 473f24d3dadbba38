"""The one page of a server whose database holds no studio yet: it sets one up, for whoever has the one-time address."""

from __future__ import annotations

from dataclasses import replace
from hmac import compare_digest
from importlib.resources import files
from threading import Lock
from typing import TYPE_CHECKING
from zoneinfo import available_timezones

from flask import Blueprint, Flask, abort, g, redirect, render_template, request, url_for

from tracker.domain.message import Message, _
from tracker.domain.refusals import Refusal, Unusable
from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.people import NewPerson, Role
from tracker.forms.entity import shape
from tracker.forms.fields import FILE
from tracker.forms.plain_values import Wrong
from tracker.forms.studio.roster import read_email, read_person_name
from tracker.forms.studio.settings_schema import UNITS_IN_WORDS, StudioSchema
from tracker.forms.studio.studio_file import read_studio
from tracker.usecases.studio.founding import open_studio, with_nothing_but_bisque
from tracker.web.wording import said, speak, translated, with_a_capital
from tracker.wording.reader import ANYONE

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from flask.typing import ResponseReturnValue
    from werkzeug.wrappers import Response

    from tracker.domain.studio.catalog import Studio

ADDRESS = "/set-up"
LONGEST_FILE = 2_000_000
_STARTER, _FILE, _EMPTY = "starter", "file", "empty"
_FACTS = ("name", "timezone", "units")
_NEEDED = {
    "who": Message("type-your-name", _("Type your name.")),
    "email": Message("type-your-email", _("Type your email.")),
    "password": Message("choose-a-password", _("Choose a password.")),
    "name": Message("type-the-studios-name", _("Type the studio's name.")),
    "timezone": Message("choose-a-zone", _("Choose a time zone.")),
}


def set_up_app(database: str, key: str, clock: Callable[[], datetime], done: Callable[[], None]) -> Flask:
    """A server's pages before there is a studio in `database`: only who knows `key` sees any.

    `done` is called once a studio is there, before the answer is sent.
    """
    app = Flask("tracker.web")
    app.config.update(MAX_CONTENT_LENGTH=LONGEST_FILE + 100_000, MAX_FORM_MEMORY_SIZE=LONGEST_FILE + 100_000)
    speak(app)
    pages, one_at_a_time = Blueprint("set_up", __name__), Lock()

    @app.before_request
    def nobody() -> None:
        g.person, g.reader = None, ANYONE
        if request.endpoint != "static" and not compare_digest(request.values.get("door", "").encode(), key.encode()):
            abort(404)

    @app.after_request
    def kept_to_itself(answer: Response) -> Response:
        answer.headers["Cache-Control"] = "no-store"
        answer.headers["Referrer-Policy"] = "no-referrer"
        answer.headers["X-Frame-Options"] = "DENY"
        return answer

    @pages.get(ADDRESS)
    def ask() -> ResponseReturnValue:
        return _page({"units": "us", "regime": Regime.US_FDA, "begin": _STARTER}, {})

    @pages.post(ADDRESS)
    def take() -> ResponseReturnValue:
        try:
            with one_at_a_time:
                studio, instructor = _sent()
                open_studio(database, studio, instructor, at=clock(), chosen=request.form.get("password", ""))
                done()
        except _Problems as wrong:
            return _page(request.form.to_dict(), wrong.by_field), 422
        except Unusable as refusal:
            field = "file" if request.form.get("begin") == _FILE else "password"
            return _page(request.form.to_dict(), {field: [said(one) for one in refusal.problems]}), 422
        except Refusal as refusal:
            return _page(request.form.to_dict(), {"name": [said(refusal.message)]}), 409
        return redirect("/", 303)

    app.register_blueprint(pages)
    return app


class _Problems(Exception):
    """What is wrong with the form, by its fields."""

    def __init__(self, by_field: dict[str, list[str]]) -> None:
        super().__init__()
        self.by_field = by_field


def _page(filled: dict[str, str], errors: dict[str, list[str]]) -> str:
    return render_template(
        "studio/set_up.html",
        filled=filled,
        errors=errors,
        zones=sorted(zone for zone in available_timezones() if "/" in zone and not zone.startswith("Etc/")),
        units=[(value, translated(words)) for value, words in UNITS_IN_WORDS.items()],
        regimes=[(str(one), one) for one in Regime],
        action=url_for("set_up.take"),
        key=request.values["door"],
    )


def _sent() -> tuple[Studio, NewPerson]:
    """The studio and the instructor that the form tells of; `_Problems` with all that is wrong."""
    is_file = request.form.get("begin") == _FILE
    needed = {field: words for field, words in _NEEDED.items() if not (is_file and field in _FACTS)}
    errors = {field: [said(words)] for field, words in needed.items() if not request.form.get(field, "").strip()}
    told: dict[str, str] = {}
    for field, reader in (("who", read_person_name), ("email", read_email)):
        try:
            told[field] = reader(request.form.get(field, ""))
        except Wrong as wrong:
            errors.setdefault(field, [with_a_capital(said(wrong.message))])
    studio = _from_file(errors) if is_file else _from_facts(errors)
    if errors or studio is None:
        raise _Problems(errors)
    return studio, NewPerson(name=told["who"], email=told["email"], role=Role.INSTRUCTOR)


def _from_file(errors: dict[str, list[str]]) -> Studio | None:
    file = request.files.get("file")
    try:
        return read_studio(file.read().decode() if file else "")
    except UnicodeDecodeError:
        errors["file"] = [said(Message("file-not-text", _("This file isn't UTF-8 text.")))]
    except Unusable as refusal:
        errors["file"] = [said(one) for one in refusal.problems]
    return None


def _from_facts(errors: dict[str, list[str]]) -> Studio | None:
    """The studio of the form's own facts, with the starter catalog or nothing but a bisque."""
    problems: list[Wrong] = []
    told = {name: request.form.get(name, "").strip() for name in _FACTS}
    raw = {**{name: value for name, value in told.items() if value}, "address": request.url_root.rstrip("/")}
    facts = shape(StudioSchema, FILE).gather(raw, problems, StudioSchema.word)
    for wrong in problems:
        errors.setdefault(wrong.key or "name", [with_a_capital(said(wrong.message))])
    regime = request.form.get("regime", "")
    if regime not in set(Regime):
        errors["regime"] = [said(Message("choose-limits", _("Choose whose limits apply.")))]
    if errors or facts is None:
        return None
    starter = read_studio((files("tracker.forms.studio") / "starter.toml").read_text(encoding="utf-8"))
    practice = replace(starter.catalog.practice, regime=Regime(regime))
    studio = replace(starter, **facts, catalog=replace(starter.catalog, practice=practice))
    return with_nothing_but_bisque(studio) if request.form.get("begin") == _EMPTY else studio
