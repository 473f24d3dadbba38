"""Photos on their way: how many bytes a form may bring, the file it brought, and a print on its way out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from flask import Flask, Response, flash, jsonify, redirect, request, send_file
from flask.typing import ResponseReturnValue
from markupsafe import escape
from werkzeug.datastructures import FileStorage

from tracker.domain.message import Message, _
from tracker.domain.pieces.photos import MOST_BYTES, too_heavy
from tracker.domain.refusals import FileGone, Unusable
from tracker.web.error_handlers import refusal_json, refused, status_of, wants_json
from tracker.web.wording import said, said_refusal

_MOST_SENT = MOST_BYTES + 64 * 1024
"""Bytes of a whole request: the photo, and the few fields that travel with it."""

_AMONG_OTHERS = frozenset({"pieces.register"})
"""Forms that take a photo beside much else, and look at it with the rest."""

_FOR_GOOD = "private, max-age=31536000, immutable"
"""How long a browser may keep a picture: its address never shows another. Nobody in between may keep it at all."""


def make_room(app: Flask, forms: Mapping[str, Callable[[], str]]) -> None:
    """Let these forms, and no others, bring more than the pages' bound; before anything of them is read.

    Each endpoint comes with where one is led back to with a photo that is too heavy.
    """
    app.before_request(lambda: _room_for_a_photo(forms))
    app.register_error_handler(FileGone, _gap)


def _gap(refusal: FileGone) -> ResponseReturnValue:
    """What is told where a photo's file is missing: a picture that says so where a page wanted one, else a page."""
    wanted = request.headers.get("Sec-Fetch-Dest", "") == "image" or request.headers.get("Accept", "")[:6] == "image/"
    return Response(_picture_of_a_gap(), 404, mimetype="image/svg+xml") if wanted else refused(refusal)


def _picture_of_a_gap() -> str:
    """A gray sheet with a dashed edge and two words, which fit a thumbnail too."""
    words = escape(said(Message("file-missing", _("File missing"))))
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="240" height="240" viewBox="0 0 120 120">'
        '<rect width="120" height="120" fill="#e6e4e0"/>'
        '<path d="M6 6h108v108h-108z" fill="none" stroke="#5c5850" stroke-width="2" stroke-dasharray="6 5"/>'
        '<text x="60" y="65" text-anchor="middle" font-family="sans-serif" font-size="15" fill="#3a3730"'
        f' textLength="92" lengthAdjust="spacingAndGlyphs">{words}</text></svg>'
    )


def _room_for_a_photo(forms: Mapping[str, Callable[[], str]]) -> ResponseReturnValue | None:
    if request.endpoint in _AMONG_OTHERS:
        # A photo that is too heavy is a problem of its field there: what was typed beside it must not be lost.
        request.max_content_length = 4 * _MOST_SENT
        return None
    back = forms.get(request.endpoint or "")
    if back is None:
        return None
    request.max_content_length = _MOST_SENT
    if (request.content_length or 0) <= _MOST_SENT:
        return None
    refusal = too_heavy()
    if wants_json():
        answer = jsonify(refusal_json(refusal))
        answer.status_code = status_of(refusal)
        return answer
    flash(said_refusal(refusal), "stop")
    return redirect(back(), 303)


def photo_sent() -> FileStorage:
    """The photo that came with this request; refused where none was chosen."""
    sent = request.files.get("photo")
    if sent is None or not sent.filename:
        raise Unusable(
            [Message("no-photo-sent", _("No photo arrived."))],
            Message("take-one", _("Take or choose a photo, then send it again.")),
        )
    return sent


def print_of(path: Path, etag: str, *, for_good: bool = True) -> Response:
    """A JPEG that its reader's own browser may keep, for good or as long as it is still handed out."""
    answer = send_file(path, mimetype="image/jpeg", conditional=True, etag=etag)
    answer.headers["Cache-Control"] = _FOR_GOOD if for_good else "private, no-cache"
    answer.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    return answer
