"""The one page of a server whose database holds no studio yet: it sets one up, for whoever has the one-time address."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from hmac import compare_digest
from threading import Lock
from zoneinfo import available_timezones

from flask import Blueprint, Flask, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.wrappers import Response

from tracker.domain.refusals import Refusal, Unusable
from tracker.domain.studio.leach_limits import Regime
from tracker.forms.studio.founding_form import Beginning, CantSetUp, read_founding
from tracker.forms.studio.settings_schema import UNITS_IN_WORDS
from tracker.forms.studio.studio_file import LONGEST_FILE
from tracker.usecases.studio.founding import open_studio
from tracker.web.error_handlers import problems_told, with_headers
from tracker.web.wording import speak, translated
from tracker.wording.reader import ANYONE

ADDRESS = "/set-up"


def set_up_app(database: str, key: str, clock: Callable[[], datetime], done: Callable[[], None]) -> Flask:
    """A server's pages before there is a studio in `database`: only who knows `key` sees any.

    Everybody else is told, at every address, where the one that has it is shown.
    `done` is called once a studio is there, before the answer is sent.
    """
    app = Flask("tracker.web")
    app.config.update(MAX_CONTENT_LENGTH=LONGEST_FILE + 100_000, MAX_FORM_MEMORY_SIZE=LONGEST_FILE + 100_000)
    speak(app)
    app.after_request(with_headers)
    pages, one_at_a_time = Blueprint("set_up", __name__), Lock()

    @app.before_request
    def nobody() -> ResponseReturnValue | None:
        g.person, g.reader = None, ANYONE
        if request.endpoint != "static" and not compare_digest(request.values.get("door", "").encode(), key.encode()):
            return render_template("studio/not_set_up.html"), 404
        return None

    @app.after_request
    def kept_to_itself(answer: Response) -> Response:
        answer.headers["Referrer-Policy"] = "no-referrer"
        return answer

    @pages.get(ADDRESS)
    def ask() -> ResponseReturnValue:
        return _page({"units": "us", "regime": Regime.US_FDA, "begin": Beginning.STARTER}, {})

    @pages.post(ADDRESS)
    def take() -> ResponseReturnValue:
        file = request.files.get("file")
        try:
            with one_at_a_time:
                about = read_founding(request.form, file.read() if file else b"", request.url_root.rstrip("/"))
                studio, instructor, password = about
                open_studio(database, studio, instructor, at=clock(), chosen=password)
                done()
        except CantSetUp as wrong:
            told = {field: problems_told(problems) for field, problems in wrong.by_field.items()}
            return _page(request.form.to_dict(), told), 422
        except Unusable as refusal:
            field = "file" if request.form.get("begin") == Beginning.FROM_FILE else "password"
            return _page(request.form.to_dict(), {field: problems_told(refusal.problems)}), 422
        except Refusal as refusal:
            return _page(request.form.to_dict(), {"name": problems_told([refusal.message])}), 409
        return redirect("/", 303)

    app.register_blueprint(pages)
    return app


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
