"""What the server writes down: lines of JSON, each request with its number, and nothing that is secret."""

from __future__ import annotations

import json
import logging
import re
from collections.abc import Callable
from datetime import UTC, datetime
from uuid import uuid4

from flask import Flask, Response, g, has_request_context, request

from tracker.settings import Settings

_REQUESTS = logging.getLogger("footring.requests")
_PROXYS_NUMBER = re.compile(r"[A-Za-z0-9._-]{8,64}", re.ASCII)
_HEADER = "X-Request-ID"
_SECRET = (
    (re.compile(r"(://[^:/@\s\"']*):[^@\s\"']+@"), r"\1:***@"),
    (re.compile(r"\bpassword=\S+", re.IGNORECASE), "password=***"),
    # PostgreSQL tells the whole row that a constraint refused.
    (re.compile(r"\b(DETAIL|CONTEXT):.*?(?=\n\[SQL|\n\n|\Z)", re.DOTALL), r"\1: ***"),
    (re.compile(r"\$argon2[^\s\"']*"), "***"),
)
"""What a library may say in an error after all: the password of a database's address, a row, and a hash."""


class AsJson(logging.Formatter):
    """One line of JSON for each record: when, how grave, what, in which request, and where it went wrong."""

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        moment = datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
        told: dict[str, object] = {"at": moment, "level": record.levelname.lower(), "says": record.getMessage()}
        if has_request_context() and "request_id" in g:
            told["request"] = g.request_id
        told |= getattr(record, "facts", {})
        if record.exc_info:
            told["trace"] = self.formatException(record.exc_info)
        return json.dumps({key: without_secrets(one) if isinstance(one, str) else one for key, one in told.items()})


def without_secrets(text: str) -> str:
    """`text` without the passwords of addresses and without hashes."""
    for secret, instead in _SECRET:
        text = secret.sub(instead, text)
    return text


def begin_log(settings: Settings) -> None:
    """Write this process's log to standard error: faults and warnings, and each request where the settings say so."""
    handler = logging.StreamHandler()
    handler.setFormatter(AsJson())
    logging.basicConfig(handlers=[handler], level=logging.WARNING, force=True)
    if settings.log == "requests":
        _REQUESTS.setLevel(logging.INFO)


def seconds_taken() -> float | None:
    """How long this request has been going on; None where it never began."""
    began: tuple[Callable[[], float], float] | None = g.get("began")
    return None if began is None else began[0]() - began[1]


def number_requests(app: Flask, stopwatch: Callable[[], float], *, behind_proxy: bool) -> None:
    """Give each request a number, a proxy's own where there is one, and write the request down once it is answered.

    `stopwatch` tells seconds from any moment on.
    """

    @app.before_request
    def begin() -> None:
        given = request.headers.get(_HEADER, "") if behind_proxy else ""
        g.request_id = given if _PROXYS_NUMBER.fullmatch(given) else uuid4().hex
        g.began = stopwatch, stopwatch()

    @app.after_request
    def end(response: Response) -> Response:
        number = g.get("request_id")
        if number is None:
            return response
        response.headers[_HEADER] = number
        if _REQUESTS.isEnabledFor(logging.INFO):
            facts = {
                "method": request.method,
                "path": request.path,
                "status": response.status_code,
                "ms": round((seconds_taken() or 0.0) * 1000, 1),
                "address": request.remote_addr,
                "person": person.id if (person := g.get("person")) else None,
            }
            _REQUESTS.info("answered", extra={"facts": facts})
        return response
