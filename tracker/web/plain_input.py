"""What an address or a form may hold at all, before any view looks: no NUL, and no number that no row can have."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import chain

from flask import Flask, request
from werkzeug.exceptions import BadRequest, NotFound
from werkzeug.routing import IntegerConverter

from tracker.store.numbers import LARGEST_NUMBER


class RowNumber(IntegerConverter):
    """The number of a row in an address; a larger one than any row has leads nowhere."""

    def __init__(self, *given: object, **named: object) -> None:
        """Take numbers up to the largest that both engines keep."""
        super().__init__(*given, **{"max": LARGEST_NUMBER, **named})  # type: ignore[arg-type]  # werkzeug's own


def whole(sent: Mapping[str, str], name: str, default: int, *, most: int = LARGEST_NUMBER) -> int:
    """A whole number out of an address or a form, from 0 to `most`; `default` where none was sent, or no such one."""
    text = sent.get(name, "").strip()
    is_number = text.isascii() and text.isdigit() and len(text) <= len(str(most))
    return int(text) if is_number and int(text) <= most else default


def plain_input(app: Flask) -> None:
    """Refuse requests with a NUL, which PostgreSQL doesn't keep; before their pages are added to `app`."""
    app.url_map.converters["int"] = RowNumber
    app.before_request(_must_be_plain)


def _must_be_plain() -> None:
    if "\0" in request.path:
        raise NotFound
    sent = chain(request.args.items(multi=True), request.form.items(multi=True))
    if any("\0" in part for part in chain.from_iterable(sent)):
        raise BadRequest
