"""What machines ask of the server: whether it runs, whether it can answer, and how it has been doing."""

from __future__ import annotations

import os
from hmac import compare_digest

from flask import Blueprint, Flask, Response, abort, request
from flask.typing import ResponseReturnValue
from prometheus_client import CollectorRegistry, Counter, Histogram, generate_latest
from prometheus_client.exposition import CONTENT_TYPE_LATEST
from prometheus_client.multiprocess import MultiProcessCollector
from prometheus_client.platform_collector import PlatformCollector
from prometheus_client.process_collector import ProcessCollector

from tracker.web.auth import OPEN, allows, house
from tracker.web.request_log import seconds_taken

pages = Blueprint("health", __name__)

_NUMBERS = CollectorRegistry()
ProcessCollector(registry=_NUMBERS)
PlatformCollector(registry=_NUMBERS)
_ANSWERED = Counter(
    "footring_requests", "Requests that were answered.", ("page", "method", "status"), registry=_NUMBERS
)
_SECONDS = Histogram("footring_request_seconds", "Time from a request to its answer.", ("page",), registry=_NUMBERS)


@pages.get("/healthz")
@allows(OPEN)
def alive() -> ResponseReturnValue:
    """Say that the process answers; nothing is looked up."""
    return Response("alive\n", mimetype="text/plain")


@pages.get("/readyz")
@allows(OPEN)
def ready() -> ResponseReturnValue:
    """Say that the database answers too; where it doesn't, this is refused with 503 like any page."""
    house().store.read.secret()
    return Response("ready\n", mimetype="text/plain")


@pages.get("/metrics")
@allows(OPEN)
def metrics() -> ResponseReturnValue:
    """Numbers for Prometheus, for whoever brings the token; without one in the settings there is no such page."""
    token = house().settings.metrics_token
    if not token:
        abort(404)
    if not compare_digest(request.headers.get("Authorization", "").encode(), f"Bearer {token}".encode()):
        return Response("", 401, {"WWW-Authenticate": "Bearer"})
    numbers = _NUMBERS
    if "PROMETHEUS_MULTIPROC_DIR" in os.environ:
        # Each worker writes its numbers into files there, which are added up.
        numbers = CollectorRegistry()
        MultiProcessCollector(numbers)  # type: ignore[no-untyped-call]  # the library's own
    return Response(generate_latest(numbers), content_type=CONTENT_TYPE_LATEST)


def count_requests(app: Flask) -> None:
    """Count each answer of `app`, and how long it took, by the name of its page: an address may hold a code."""

    @app.after_request
    def count(response: Response) -> Response:
        page = request.endpoint or "none"
        _ANSWERED.labels(page, request.method, str(response.status_code)).inc()
        if (took := seconds_taken()) is not None:
            _SECONDS.labels(page).observe(took)
        return response
