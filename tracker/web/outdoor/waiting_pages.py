"""The outdoor kiln: who waits for raku and horsehair, what to look at first, and the cautions; made to be printed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, render_template

from tracker.domain.outdoor.pull_heats import pulled_at
from tracker.domain.studio.people import Right
from tracker.web.auth import allows, house
from tracker.web.presenters import all_waiting_shown, catalog, question_shown

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

pages = Blueprint("outdoor", __name__)


@pages.get("/outdoor")
@allows(Right.MOVE)
def outdoor() -> ResponseReturnValue:
    """Everything that waits for an outdoor route, warnings first, then open questions, then all of it."""
    known, read = catalog(), house().store.read
    routes = [route for route in known.routes_by_heat if route.is_pulled_hot]
    names = [route.name for route in routes]
    rows = read.pieces.waiting(names)
    shown = all_waiting_shown(rows, known)
    ids = {row.piece.id for row in rows}
    questions = [one for one in read.questions.open() if one.route in names or one.piece_id in ids]
    return render_template(
        "outdoor/waiting.html",
        routes=routes,
        counts=[
            (route, pulled_at(route.kind, known.practice.outdoors), sum(row.piece.route == route.name for row in rows))
            for route in routes
        ],
        rows=shown,
        warned=[row for row in shown if row["accepted"]],
        questions=[question_shown(one, known) for one in questions],
        oldest=rows[0].waiting_since if rows else None,
        sessions=read.outdoors.sessions(limit=6),
        now=house().clock(),
    )
