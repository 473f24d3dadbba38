"""How answers leave the house: refusals as a page or as JSON, and the headers that every answer carries."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from flask import Flask, Response, current_app, g, jsonify, render_template, request
from flask.typing import ResponseReturnValue
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException

from tracker.domain.findings import Finding, NeedsAcceptance, Unsettled
from tracker.domain.message import ByRole, Message, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import (
    ChangedMeanwhile,
    KeyUsedElsewhere,
    NotAllowed,
    Refusal,
    TooSoon,
    Trouble,
    Unavailable,
    Unknown,
    Unusable,
)
from tracker.store.troubles import unavailable
from tracker.web.auth import keep_and_show, signed_out, who_asks
from tracker.web.camera import is_camera_offered
from tracker.web.kept_forms import KeptForm, comes_from_here, form_sent, sent_again
from tracker.web.wording import said

_STATUS: tuple[tuple[type[Refusal], int], ...] = (
    (Unknown, 404),
    (NotAllowed, 403),
    (TooSoon, 429),
    (ChangedMeanwhile, 409),
    (KeyUsedElsewhere, 409),
    (Unusable, 422),
    (Refusal, 409),
)

_HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; "
    "img-src 'self' data:; connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "X-Frame-Options": "DENY",
}

_JSON = "application/json"
_UNAVAILABLE = 503
_MOST_PROBLEMS = 40
_RETRY_AFTER = {Trouble.BUSY: 2}
_RETRY_LATER = 10
"""Seconds after which a request that found the database out of reach may come again."""

_WITH_CAMERA = _HEADERS["Content-Security-Policy"].replace("script-src 'self'", "script-src 'self' 'wasm-unsafe-eval'")
"""The policy of a page that scans with the camera: the reader of barcodes is WebAssembly."""

_NOT_READ = Message("not-read", _("Footring couldn't read that."))
_TRY_AGAIN = Message("try-again", _("Go back and try again."))
_ANSWERS = {
    400: (_NOT_READ, _TRY_AGAIN),
    404: (
        Message("no-such-page", _("This page doesn't exist.")),
        Message("no-such-page-remedy", _("Check the address, or go to your first page.")),
    ),
    405: (
        Message("page-not-used-so", _("That link doesn't work here.")),
        Message("page-not-used-so-remedy", _("Go back and use the button on the page.")),
    ),
    413: (
        Message("too-much", _("That is too large to send.")),
        Message("too-much-remedy", _("Send a smaller file or less text.")),
    ),
    500: (
        Message("fault", _("Something went wrong. Nothing was changed.")),
        Message(
            "fault-remedy",
            ByRole(
                _("Try again. If it happens again, tell the instructor."),
                {"instructor": _("Try again. If it happens again, check the server log.")},
            ),
        ),
    ),
}
"""What is said where HTTP itself refuses, by status; any other is answered like one that could not be read."""


def wants_json() -> bool:
    """Whether the caller is a script that asked for JSON."""
    # Scans ask for just that, and each would take apart the list of what it accepts.
    if request.headers.get("Accept") == _JSON:
        return True
    return request.accept_mimetypes.best == _JSON


def status_of(refusal: Refusal) -> int:
    """The HTTP status of a refusal."""
    return next(status for kind, status in _STATUS if isinstance(refusal, kind))


def problems_told(problems: Sequence[Message]) -> list[str]:
    """What is wrong with a file or a form, at most 40 lines of it and how many more there are."""
    told = [said(one) for one in problems[:_MOST_PROBLEMS]]
    if more := len(problems) - len(told):
        told.append(said(Message("and-more", _("And {count} more."), count=more)))
    return told


def problems_of(refusal: Refusal) -> list[str]:
    """Why a file is refused, in as many lines."""
    return problems_told(refusal.problems if isinstance(refusal, Unusable) else (refusal.message,))


def retry_after(refusal: Refusal) -> dict[str, str]:
    """The header that says in how many seconds to try again, where the refusal knows."""
    return {"Retry-After": str(refusal.seconds)} if isinstance(refusal, TooSoon) else {}


def refusal_json(refusal: Refusal | Unavailable) -> dict[str, Any]:
    """A refusal as the scan line's script reads it; `needs` names the warnings that may be accepted."""
    needs = refusal.findings if isinstance(refusal, NeedsAcceptance) else ()
    return {
        "ok": False,
        "word": said(refusal.word),
        "says": said(refusal.message),
        "mend": said(refusal.remedy),
        "code": None,
        "piece_url": None,
        "undo_url": None,
        "needs": [{"rule": one.rule, "says": said(one.message)} for one in needs] or None,
    }


def receipt_json(receipt: Receipt, *, word: str, piece_url: str | None, undo_url: str | None) -> dict[str, Any]:
    """A receipt as the scan line's script reads it."""
    return {
        "ok": True,
        "word": word,
        "says": said(receipt.message),
        "mend": "",
        "code": receipt.ref,
        "piece_url": piece_url,
        "undo_url": undo_url,
        "needs": None,
    }


def answering(app: Flask) -> None:
    """Give `app` one handler for all refusals, one for all other errors, and the headers."""
    app.register_error_handler(Refusal, refused)
    app.register_error_handler(CSRFError, _stale)
    app.register_error_handler(HTTPException, _http_error)
    app.register_error_handler(Exception, _fault)
    app.after_request(with_headers)


def refused(refusal: Refusal) -> ResponseReturnValue:
    """A refusal as JSON for a script, and as a page for everybody else."""
    status = status_of(refusal)
    if wants_json():
        return jsonify(refusal_json(refusal)), status, retry_after(refusal)
    findings = refusal.findings if isinstance(refusal, Unsettled) else ()
    return *_page(status, refusal.word, refusal.message, refusal.remedy, findings), retry_after(refusal)


def _stale(_error: CSRFError) -> ResponseReturnValue:
    """A form whose page was of another session: kept, and shown again, where it came from a page of this house."""
    person, is_ours = who_asks(), comes_from_here()
    if not wants_json() and is_ours is not False and (kept := form_sent()) is not None:
        if person is None:
            return signed_out()
        if is_ours:
            return keep_and_show(kept)
    stale = Refusal(
        Message("page-stale", _("This page was open too long, or you signed out.")),
        Message("page-stale-remedy", _("Reload the page and try again.")),
    )
    if wants_json():
        return jsonify(refusal_json(stale)), 400
    return _page(400, Message("load-again", _("Reload the page")), stale.message, stale.remedy)


def _http_error(error: HTTPException) -> ResponseReturnValue:
    if error.response is not None or (error.code or 500) < 400:  # noqa: PLR2004 -- redirects come this way too
        return error
    refusal = Refusal(*_ANSWERS.get(error.code or 500, (_NOT_READ, _TRY_AGAIN)))
    if wants_json():
        return jsonify(refusal_json(refusal)), error.code or 500
    answer = current_app.make_response(_page(error.code or 500, refusal.word, refusal.message, refusal.remedy))
    if allowed := getattr(error, "valid_methods", None):
        answer.headers["Allow"] = ", ".join(allowed)
    return answer


def _fault(error: Exception) -> ResponseReturnValue:
    if trouble := unavailable(error):
        return _not_now(trouble, error)
    current_app.logger.error("a fault in %s", request.path, exc_info=error)
    if current_app.testing:
        raise error
    return _http_error(_Fault())


def _not_now(trouble: Unavailable, error: Exception) -> ResponseReturnValue:
    """The database or its disk can't take the request now: the page has the form that was sent, to send again."""
    g.is_out = True
    current_app.logger.warning(
        "%s: %s", request.path, trouble.trouble, exc_info=error if error is not trouble else None
    )
    headers = {"Retry-After": str(_RETRY_AFTER.get(trouble.trouble, _RETRY_LATER))}
    if wants_json():
        return jsonify({**refusal_json(trouble), "trouble": trouble.trouble}), _UNAVAILABLE, headers
    page, status = _page(_UNAVAILABLE, trouble.word, trouble.message, trouble.remedy, again=sent_again())
    return page, status, headers


class _Fault(HTTPException):
    code = 500


def _page(
    status: int,
    word: Message,
    says: Message,
    mend: Message | None,
    findings: Sequence[Finding] = (),
    *,
    again: KeptForm | None = None,
) -> tuple[str, int]:
    if "person" not in g:
        g.person = None
    told = {"word": word, "says": says, "mend": mend, "findings": findings, "again": again}
    return render_template("error.html", status=status, **told), status


def with_headers(response: Response) -> Response:
    """The answer with what keeps it out of other sites, caches and frames."""
    wanted = dict(_HEADERS)
    if request.is_secure:
        wanted["Strict-Transport-Security"] = "max-age=31536000"
    if is_camera_offered():
        wanted["Content-Security-Policy"] = _WITH_CAMERA
    if request.endpoint != "static":
        wanted["Cache-Control"] = "no-store"
    there = {name.lower() for name, _value in response.headers}
    response.headers.extend((name, value) for name, value in wanted.items() if name.lower() not in there)
    return response
