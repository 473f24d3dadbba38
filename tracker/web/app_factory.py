"""How the pages are put together: one Flask application over one store."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime, timedelta
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from flask import Flask, g, session

from tracker.domain.pieces.piece import LINE
from tracker.domain.refusals import Unknown
from tracker.domain.studio.cautions import IN_VIEW
from tracker.domain.studio.people import Right
from tracker.settings import Settings
from tracker.store.unit_of_work import Store
from tracker.usecases.studio import cautions
from tracker.web import health_pages as pages_health
from tracker.web.auth import BY_BADGE, House, fresh_key, guard, house
from tracker.web.error_handlers import answering
from tracker.web.firing import curve_pages as pages_fires
from tracker.web.firing import firing_pages as pages_firings
from tracker.web.firing import plan_pages as pages_plans
from tracker.web.firing import queue_pages as pages_waiting
from tracker.web.firing import unload_pages as pages_unloading
from tracker.web.frame import menu_of
from tracker.web.health_pages import count_requests
from tracker.web.labels import desk_pages as pages_paper
from tracker.web.labels import print_job_pages as pages_printed
from tracker.web.labels import scanner_pages as pages_scanner
from tracker.web.labels import stock_pages as pages_stock
from tracker.web.outdoor import results_pages as pages_examples
from tracker.web.outdoor import run_pages as pages_running
from tracker.web.outdoor import session_pages as pages_sessions
from tracker.web.outdoor import waiting_pages as pages_outdoor
from tracker.web.photo_files import make_room
from tracker.web.pieces import details_pages as pages_known
from tracker.web.pieces import find_pages as pages_finding
from tracker.web.pieces import flaw_pages as pages_flaws
from tracker.web.pieces import glazing_pages as pages_pieces
from tracker.web.pieces import maker_pages as pages_makers
from tracker.web.pieces import nameless_pages as pages_whose
from tracker.web.pieces import photo_pages as pages_photos
from tracker.web.pieces import pickup_pages as pages_pickup
from tracker.web.pieces import refused_pages as pages_refused
from tracker.web.pieces import registered_pages as pages_registered
from tracker.web.pieces import result_pages as pages_results
from tracker.web.pieces import scan_pages as pages_scanning
from tracker.web.pieces import shelf_pages as pages_shelves
from tracker.web.pieces import stocktake_pages as pages_stocktakes
from tracker.web.plain_input import plain_input
from tracker.web.proxies import behind
from tracker.web.request_log import number_requests
from tracker.web.rules import evidence_pages as pages_evidence
from tracker.web.rules import question_pages as pages_questions
from tracker.web.shared_tablets import tablet_here
from tracker.web.signatures import FormTokens, OneSerializer
from tracker.web.stations import keys_here
from tracker.web.studio import badge_pages as pages_badges
from tracker.web.studio import catalog_pages as pages_catalog
from tracker.web.studio import help_pages as pages_help
from tracker.web.studio import join_pages as pages_joining
from tracker.web.studio import link_pages as pages_links
from tracker.web.studio import mail_pages as pages_mails
from tracker.web.studio import people_pages as pages_people
from tracker.web.studio import roster_pages as pages_rosters
from tracker.web.studio import sign_in as signing_in
from tracker.web.studio import term_end_pages as pages_term_ends
from tracker.web.studio import term_pages as pages_terms
from tracker.web.studio import tile_pages as pages_tiles
from tracker.web.studio import today_pages as pages_today
from tracker.web.wording import speak

ALL_PAGES = (
    pages_health.pages,
    signing_in.pages,
    pages_joining.pages,
    pages_links.pages,
    pages_mails.pages,
    pages_today.pages,
    pages_pieces.pages,
    pages_known.pages,
    pages_flaws.pages,
    pages_results.pages,
    pages_registered.pages,
    pages_photos.pages,
    pages_stock.pages,
    pages_paper.pages,
    pages_printed.pages,
    pages_scanner.pages,
    pages_help.pages,
    pages_scanning.pages,
    pages_refused.pages,
    pages_shelves.pages,
    pages_stocktakes.pages,
    pages_finding.pages,
    pages_waiting.pages,
    pages_outdoor.pages,
    pages_sessions.pages,
    pages_running.pages,
    pages_examples.pages,
    pages_firings.pages,
    pages_unloading.pages,
    pages_fires.pages,
    pages_plans.pages,
    pages_pickup.pages,
    pages_whose.pages,
    pages_questions.pages,
    pages_catalog.pages,
    pages_tiles.pages,
    pages_evidence.pages,
    pages_makers.pages,
    pages_people.pages,
    pages_rosters.pages,
    pages_terms.pages,
    pages_term_ends.pages,
    pages_badges.pages,
)
"""Every group of pages there is."""


class _Pages(Flask):
    """Flask without a search for coroutines in every view at every request: none of ours is one."""

    def ensure_sync(self, func: Callable[..., Any]) -> Callable[..., Any]:
        """The view as it is."""
        return func


def build(
    store: Store, settings: Settings, clock: Callable[[], datetime], stopwatch: Callable[[], float], *, port: int = 0
) -> Flask:
    """The pages over `store`, served at `port`; `stopwatch` tells seconds from any moment on, to time requests by."""
    with suppress(Unknown):
        store.read.studio()  # From here on its zone and units are known, whatever becomes of the database.
    app = _Pages("tracker.web")
    # Here and not in the server, so that it holds under any.
    app.wsgi_app = behind(settings.proxies, app.wsgi_app)  # type: ignore[method-assign, assignment]  # so Flask says
    app.config.update(
        SECRET_KEY=store.read.secret(),
        SESSION_COOKIE_NAME="footring",
        SESSION_COOKIE_HTTPONLY=True,
        # Whoever follows a link in a mail stays signed in; forms from elsewhere come without the cookie.
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_SECURE=settings.secure_cookies,
        PERMANENT_SESSION_LIFETIME=timedelta(days=30),
        WTF_CSRF_TIME_LIMIT=None,
        MAX_CONTENT_LENGTH=1024 * 1024,
        SEND_FILE_MAX_AGE_DEFAULT=3600,
    )
    app.extensions["footring"] = House(store, settings, clock, port)
    # Before the token is looked for, because that reads the form.
    make_room(app, {"photos.add": pages_photos.where_photos_go, "tiles.add": pages_tiles.where_tiles_go})
    number_requests(app, stopwatch, behind_proxy=bool(settings.proxies))
    count_requests(app)
    plain_input(app)
    app.session_interface = OneSerializer()
    # Its link is signed, and a mail program that follows it has no token.
    FormTokens(app).exempt(pages_mails.stop_now)
    guard(app)
    answering(app)
    speak(app)
    _say_to_templates(app)
    _number_static_files(app)
    for pages in ALL_PAGES:
        app.register_blueprint(pages)
    return app


def _number_static_files(app: Flask) -> None:
    """Tell in each static file's address what is in it, so that no new page is shown with an older style."""
    folder = Path(app.static_folder or "")

    @cache
    def version_of(name: str) -> str:
        return sha256((folder / name).read_bytes()).hexdigest()[:10]

    @app.url_defaults
    def numbered(endpoint: str, values: dict[str, Any]) -> None:
        if endpoint == "static":
            values.setdefault("v", version_of(values["filename"]))


def _say_to_templates(app: Flask) -> None:
    app.jinja_env.globals |= {"cautions": cautions, "in_view": IN_VIEW, "Right": Right, "STAGES": LINE}

    @app.context_processor
    def always() -> dict[str, object]:
        person = g.get("person")
        menu = menu_of(person) if person else ()
        # The page that says that the database is out of reach doesn't ask it.
        read = house().store.read
        studio = read.studio_as_last_read() if g.get("is_out") else read.studio()
        here = {"keys": keys_here(), "takes_badges": tablet_here() is not None, "by_badge": bool(session.get(BY_BADGE))}
        return {"menu": menu, "person": person, "studio": studio, "fresh_key": fresh_key, **here}
