"""The outdoor kiln: who waits for raku and horsehair, what to look at first, and the cautions; made to be printed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from tracker.domain.findings import Finding
from tracker.domain.outdoor.pull_heats import pulled_at
from tracker.domain.studio.people import Right
from tracker.web.auth import allows, house
from tracker.web.presenters import all_waiting_shown, catalog, question_shown

pages = Blueprint("outdoor", __name__)


@pages.get("/outdoor")
@allows(Right.MOVE)
def outdoor() -> ResponseReturnValue:
    """Everything that waits for an outdoor route: warnings first, then open questions, then all of it."""
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
        warned=_by_warning(shown),
        questions=[question_shown(one, known) for one in questions],
        oldest=rows[0].waiting_since if rows else None,
        sessions=read.outdoors.sessions(limit=_SESSIONS),
        in_view=_IN_VIEW,
        now=house().clock(),
    )


_SESSIONS, _IN_VIEW = 6, 1
"""How many sessions are listed, the newest first, and how many of them before the rest is opened."""


def _by_warning(rows: Iterable[Mapping[str, Any]]) -> list[tuple[tuple[Finding, ...], list[Mapping[str, Any]]]]:
    """The pieces accepted with warnings, under what warns of them, so that it is said once for all of them."""
    groups: list[tuple[tuple[Finding, ...], list[Mapping[str, Any]]]] = []
    for row in rows:
        found: tuple[Finding, ...] = tuple(row["accepted"])
        if not found:
            continue
        same = next((those for warnings, those in groups if warnings == found), None)
        if same is None:
            groups.append((found, [row]))
        else:
            same.append(row)
    return groups
